//! Writes the inspection report.

use super::{CommandError, measured, verdict};
use crate::files::{self, FileError, LoadedPhoto, Place, Problem};
use crate::printing::{self, Plex};
use image::imageops::{self, FilterType};
use platewright_core::check::Check;
use platewright_core::instrument::Instrument;
use platewright_core::job::Job;
use platewright_core::paper::{Page, Paper, ReportPhoto, ReportSource, region_of_interest, report_pages};
use platewright_core::solution::{Inputs, Solution, beliefs};
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
    let of = Reported { job: &job, solution: &measured.solution, checks: &measured.checks, photo: &photo };
    let pages = write(of, paper, output)?;
    let pages = if pages == 1 { "1 page".to_owned() } else { format!("{pages} pages") };
    writeln!(out, "Wrote {}: {pages} of {}.", output.display(), paper.name())?;
    Ok(())
}

/// What a report is of.
#[derive(Debug, Clone, Copy)]
pub struct Reported<'a> {
    /// The job.
    pub job: &'a Job,
    /// What follows from it.
    pub solution: &'a Solution,
    /// What the checks say.
    pub checks: &'a [Check],
    /// Its photo.
    pub photo: &'a LoadedPhoto,
}

/// Writes the inspection report to `path`; how many pages it has.
///
/// # Errors
/// Where the file cannot be made or written; whatever stood at `path` is then as it was.
pub fn write(of: Reported<'_>, paper: Paper, path: &Path) -> Result<usize, FileError> {
    let not_made = |why: String| Place::file(path).has(Problem::NotMade { what: "the report", why });
    let plex = Plex::new().map_err(|error| not_made(error.to_string()))?;
    let pages = pages(of, report_photo(of.photo, of.job), paper, &plex);
    let title = format!("Inspection report, {}", if of.job.title.is_empty() { "a part" } else { &of.job.title });
    let bytes = printing::pdf(&title, &pages).map_err(|error| not_made(error.to_string()))?;
    files::write(path, &bytes)?;
    Ok(pages.len())
}

/// The pages of the report, with its photo.
pub fn pages(of: Reported<'_>, seen: Option<ReportPhoto>, paper: Paper, plex: &Plex) -> Vec<Page> {
    let Reported { job, solution, checks, photo } = of;
    let inputs = Inputs { job, exif_focal_px: photo.exif_focal_px, instrument: Instrument::CALIPER, seen: None };
    let odds = verdict::odds_lines(job, solution);
    let source = ReportSource {
        job,
        solution,
        checks,
        headline: &verdict::headline(job, solution),
        odds: odds.as_deref(),
        beliefs: beliefs(&inputs),
        photo: seen,
        program: concat!("Platewright ", env!("CARGO_PKG_VERSION")),
    };
    report_pages(&source, paper, plex)
}

/// What was marked on the photo, with some room round it, as finely as paper shows it.
pub fn report_photo(photo: &LoadedPhoto, job: &Job) -> Option<ReportPhoto> {
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
