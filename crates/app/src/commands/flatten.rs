//! Writes the photo at true scale.

use super::{CommandError, measured};
use crate::files::{self, FileError, LoadedPhoto, Place, Problem};
use crate::flatten::{self, FlatRefused};
use platewright_core::camera::FlatFrame;
use platewright_core::job::Job;
use platewright_core::solution::Solution;
use std::io::Write;
use std::path::Path;

/// Opens the job at `job`, computes it, writes its photo at true scale to `output`, and says what the scale is.
pub(super) fn run(job: &Path, output: &Path, px_per_mm: Option<f64>, out: &mut dyn Write) -> Result<(), CommandError> {
    let opened = files::open_job(job)?;
    let photo = opened.photo.clone();
    let (job, measured) = measured(opened)?;
    let frame = write(&job, &measured.solution, &photo, px_per_mm, output)?;
    let ([width, height], [x, y]) = (frame.size, frame.origin_px);
    writeln!(out, "Wrote {}: {width} × {height} px, {} px per mm.", output.display(), frame.px_per_mm)?;
    writeln!(out, "Where coordinates start is at x {x}, y {y} px; the datum's line is level.")?;
    Ok(())
}

/// Writes the photo of `job` at true scale to `path`; how it lies there.
///
/// # Errors
/// Where the size is not known, or the file cannot be made or written; whatever stood at `path` is then as it was.
pub fn write(
    job: &Job,
    solution: &Solution,
    photo: &LoadedPhoto,
    px_per_mm: Option<f64>,
    path: &Path,
) -> Result<FlatFrame, FileError> {
    if photo.is_at(path) {
        return Err(Place::file(path).has(Problem::OwnPhoto));
    }
    let not_made = |why: FlatRefused| {
        Place::file(path).has(Problem::NotMade { what: "the true-scale photo", why: why.to_string() })
    };
    let map = solution.map.ok_or_else(|| not_made(FlatRefused::SizeNotKnown))?;
    let frame = flatten::frame(job, solution, photo.size(), px_per_mm).map_err(not_made)?;
    let flat = flatten::flatten(photo, &map, frame).map_err(not_made)?;
    files::write(path, &flat.png(&job.title).map_err(not_made)?)?;
    Ok(frame)
}
