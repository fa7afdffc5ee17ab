//! Writes the inspection report.

use super::{CommandError, measured, verdict};
use crate::files::{self, FileError, LoadedPhoto, Place, Problem};
use crate::measuring::Measured;
use crate::printing::{self, Plex};
use image::imageops::{self, FilterType};
use platewright_core::instrument::Instrument;
use platewright_core::job::Job;
use platewright_core::paper::{Paper, ReportPhoto, ReportSource, region_of_interest, report_pages};
use platewright_core::solution::{Inputs, beliefs};
use std::io::Write;
use std::path::Path;
use std::sync::Arc;

/// The most pixels of the photo along either side on a report: 250 to the inch over the width of a sheet.
const MOST_PIXELS: u32 = 1760;

/// Opens the job at `job`, computes it and writes its report to `output`.
pub(super) fn run(job: &Path, output: &Path, paper: Paper, out: &mut dyn Write) -> Result<(), CommandError> {
    let opened = files::open_job(job)?;
    let photo = Arc::new(opened.photo.clone());
    let (job, measured) = measured(opened)?;
    let pages = write(&job, &measured, &photo, paper, output)?;
    let pages = if pages == 1 { "1 page".to_owned() } else { format!("{pages} pages") };
    writeln!(out, "Wrote {}: {pages} of {}.", output.display(), paper.name())?;
    Ok(())
}

/// Writes the inspection report of `job` to `path`; how many pages it has.
///
/// # Errors
/// Where the file cannot be made or written; whatever stood at `path` is then as it was.
pub fn write(
    job: &Job,
    measured: &Measured,
    photo: &LoadedPhoto,
    paper: Paper,
    path: &Path,
) -> Result<usize, FileError> {
    let not_made = |why: String| Place::file(path).has(Problem::NotMade(why));
    let plex = Plex::new().map_err(|error| not_made(error.to_string()))?;
    let solution = &measured.solution;
    let inputs = Inputs { job, exif_focal_px: photo.exif_focal_px, instrument: Instrument::CALIPER, seen: None };
    let odds = verdict::odds_lines(job, solution);
    let source = ReportSource {
        job,
        solution,
        checks: &measured.checks,
        headline: &verdict::headline(job, solution),
        odds: odds.as_deref(),
        beliefs: beliefs(&inputs),
        photo: report_photo(photo, job),
        program: concat!("Platewright ", env!("CARGO_PKG_VERSION")),
    };
    let pages = report_pages(&source, paper, &plex);
    let title = format!("Inspection report, {}", if job.title.is_empty() { "a part" } else { &job.title });
    let bytes = printing::pdf(&title, &pages).map_err(|error| not_made(error.to_string()))?;
    files::write(path, &bytes)?;
    Ok(pages.len())
}

/// What was marked on the photo, with some room round it, as finely as paper shows it.
fn report_photo(photo: &LoadedPhoto, job: &Job) -> Option<ReportPhoto> {
    let [left, top, right, bottom] = region_of_interest(job);
    let [width, height] = photo.size();
    let (right, bottom) = (right.min(width), bottom.min(height));
    if left >= right || top >= bottom {
        return None;
    }
    let (across, down) = (right - left, bottom - top);
    let part = imageops::crop_imm(photo.image.as_ref(), left, top, across, down);
    let longest = across.max(down);
    let step = f64::from(longest) / f64::from(longest.min(MOST_PIXELS));
    let pixels = [across, down].map(|n| ((f64::from(n) / step).round() as u32).max(1));
    let small =
        if step > 1.0 { imageops::resize(&*part, pixels[0], pixels[1], FilterType::Triangle) } else { part.to_image() };
    Some(ReportPhoto {
        rgb: Arc::from(small.into_raw()),
        pixels,
        corner_px: [f64::from(left), f64::from(top)],
        step_px: step,
    })
}
