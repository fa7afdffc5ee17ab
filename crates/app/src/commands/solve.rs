//! Computes a job and prints what is known.

use super::{CommandError, measured, solve_json, verdict};
use crate::files;
use serde_json::Value;
use std::io::{self, Write};
use std::path::Path;

/// Opens the job at `path`, computes it and prints it, as JSON or as tables.
pub(super) fn run(path: &Path, json: bool, out: &mut dyn Write) -> Result<(), CommandError> {
    let opened = files::open_job(path)?;
    let (job, measured) = measured(opened)?;
    if json {
        let report = solve_json::Report::new(&job, &measured);
        let mut value = serde_json::to_value(&report).map_err(io::Error::from)?;
        round_figures(&mut value);
        let text = serde_json::to_string_pretty(&value).map_err(io::Error::from)?;
        writeln!(out, "{text}")?;
    } else {
        out.write_all(verdict::text(&job, &measured.solution, &measured.checks).as_bytes())?;
    }
    out.flush()?;
    Ok(())
}

/// Rounds every figure to nine decimals: far below anything that is known, and above the rounding in which machines
/// differ.
fn round_figures(value: &mut Value) {
    match value {
        Value::Number(number) if number.is_f64() => {
            let figure = number.as_f64().map(|figure| (figure * 1e9).round() / 1e9 + 0.0);
            *value = figure.map_or(Value::Null, Value::from);
        }
        Value::Array(list) => list.iter_mut().for_each(round_figures),
        Value::Object(map) => map.values_mut().for_each(round_figures),
        _ => {}
    }
}
