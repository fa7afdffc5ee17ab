//! Writes the proof at 1:1 on paper, to be tried on before anything is cut.

use super::{CommandError, SIZE_NOT_KNOWN, measured};
use crate::files::{self, FileError, Place, Problem};
use crate::printing::{self, Plex};
use platewright_core::check::{Check, Verdict};
use platewright_core::export::CutDrawing;
use platewright_core::job::Job;
use platewright_core::paper::{Paper, PrinterScale, ProofOptions, proof_pages};
use platewright_core::solution::Solution;
use std::io::Write;
use std::path::Path;

/// Length of the check bars on every paper that the command prints on, mm.
pub(super) const BARS_MM: f64 = 100.0;

/// How the sheets are printed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Printed {
    /// The paper.
    pub(super) paper: Paper,
    /// What the check bars across and up of an uncorrected print read, mm.
    pub(super) bars_mm: [f64; 2],
}

/// Opens the job at `job`, computes it and writes its proof to `output`.
pub(super) fn run(job: &Path, output: &Path, printed: Printed, out: &mut dyn Write) -> Result<(), CommandError> {
    let printer = PrinterScale::from_bars([BARS_MM; 2], printed.bars_mm)?;
    let opened = files::open_job(job)?;
    let (job, measured) = measured(opened)?;
    let options = ProofOptions {
        paper: printed.paper,
        printer,
        not_checked: failing(&measured.checks),
        ..ProofOptions::default()
    };
    let sheets = write(&job, &measured.solution, &options, output)?;
    let sheets = if sheets == 1 { "1 sheet".to_owned() } else { format!("{sheets} sheets") };
    writeln!(out, "Wrote {}: {sheets} of {}. Print at 100 %.", output.display(), printed.paper.name())?;
    Ok(())
}

/// The names of checks that fail, each once.
pub fn failing(checks: &[Check]) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for check in checks.iter().filter(|check| check.verdict == Verdict::Fail) {
        if !names.iter().any(|name| name == check.name) {
            names.push(check.name.to_owned());
        }
    }
    names
}

/// Writes the sheets of a proof of `job` to `path`; how many they are.
///
/// # Errors
/// Where there is nothing to draw, or the file cannot be made or written; whatever stood at `path` is then as it was.
pub fn write(job: &Job, solution: &Solution, options: &ProofOptions, path: &Path) -> Result<usize, FileError> {
    let not_made = |why: String| Place::file(path).has(Problem::NotMade { what: "the proof", why });
    if !solution.fit.scale_known() {
        return Err(not_made(SIZE_NOT_KNOWN.to_owned()));
    }
    let plex = Plex::new().map_err(|error| not_made(error.to_string()))?;
    let drawing = CutDrawing::from_solution(job, solution);
    let pages = proof_pages(&drawing, options, &plex).map_err(|refused| not_made(refused.to_string()))?;
    let title = format!("Proof of {}", if job.title.is_empty() { "a part" } else { &job.title });
    let bytes = printing::pdf(&title, &pages).map_err(|error| not_made(error.to_string()))?;
    files::write(path, &bytes)?;
    Ok(pages.len())
}
