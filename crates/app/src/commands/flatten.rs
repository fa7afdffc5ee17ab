//! Writes the photo at true scale.

use super::{CommandError, measured};
use crate::files::{self, Place, Problem};
use crate::flatten::{self, FlatRefused};
use std::io::Write;
use std::path::Path;

/// Opens the job at `job`, computes it, writes its photo at true scale to `output`, and says what the scale is.
pub(super) fn run(job: &Path, output: &Path, px_per_mm: Option<f64>, out: &mut dyn Write) -> Result<(), CommandError> {
    let opened = files::open_job(job)?;
    let photo = opened.photo.clone();
    if photo.is_at(output) {
        return Err(Place::file(output).has(Problem::OwnPhoto).into());
    }
    let (job, measured) = measured(opened)?;
    let not_made = |why: FlatRefused| Place::file(output).has(Problem::FlatNotMade(why.to_string()));
    let map = measured.solution.map.ok_or_else(|| not_made(FlatRefused::SizeNotKnown))?;
    let frame = flatten::frame(&job, &measured.solution, photo.size(), px_per_mm).map_err(not_made)?;
    let flat = flatten::flatten(&photo, &map, frame).map_err(not_made)?;
    files::write(output, &flat.png(&job.title).map_err(not_made)?)?;
    let ([width, height], [x, y]) = (frame.size, frame.origin_px);
    writeln!(out, "Wrote {}: {width} × {height} px, {} px per mm.", output.display(), frame.px_per_mm)?;
    writeln!(out, "Where coordinates start is at x {x}, y {y} px; the datum's line is level.")?;
    Ok(())
}
