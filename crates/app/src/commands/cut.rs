//! Writes the cut file, unless a check fails.

use super::{CommandError, measured};
use crate::files::{self, FileError, Place, Problem};
use platewright_core::check::{self, Check, Verdict};
use platewright_core::export::{CutDrawing, CutFormat, NotForCutter};
use platewright_core::job::Job;
use platewright_core::solution::Solution;
use std::fmt;
use std::io::Write;
use std::path::Path;

/// Why no cut file was written.
#[derive(Debug, thiserror::Error)]
pub enum CutRefused {
    /// Checks fail.
    #[error("{0}")]
    Checks(FailedChecks),
    /// The file could not be made or written.
    #[error(transparent)]
    File(#[from] FileError),
}

/// The checks that keep a file from being written.
#[derive(Debug)]
pub struct FailedChecks {
    file: Place,
    failed: Vec<Check>,
}

impl fmt::Display for FailedChecks {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let fail = if self.failed.len() == 1 { "a check fails" } else { "these checks fail" };
        write!(f, "{}: not written, because {fail}:", self.file)?;
        self.failed.iter().try_for_each(|check| write!(f, "\n- {}: {}", check.name, check.text))
    }
}

/// Opens the job at `job`, computes it and writes its cut file to `output`.
pub(super) fn run(
    job: &Path,
    output: &Path,
    r12: bool,
    even_so: bool,
    out: &mut dyn Write,
) -> Result<(), CommandError> {
    let format = match output.extension() {
        Some(extension) if extension.eq_ignore_ascii_case("svg") => CutFormat::Svg,
        _ if r12 => CutFormat::DxfR12,
        _ => CutFormat::Dxf,
    };
    let opened = files::open_job(job)?;
    let (job, measured) = measured(opened)?;
    write(&job, &measured.solution, format, output, even_so)?;
    writeln!(out, "Wrote {}.", output.display())?;
    Ok(())
}

/// Writes the cut file of `job` to `path`. With `even_so` it is written although checks fail, and says in itself which.
///
/// # Errors
/// Where a check fails, the file's name does not say what the file cannot, or the file cannot be made or written; whatever
/// stood at `path` is then as it was.
pub fn write(job: &Job, solution: &Solution, format: CutFormat, path: &Path, even_so: bool) -> Result<(), CutRefused> {
    let checks = check::all(job, solution);
    let may_cut = check::may_cut(&checks);
    let failed: Vec<Check> = checks.into_iter().filter(|check| check.verdict == Verdict::Fail).collect();
    if !may_cut && !even_so {
        return Err(CutRefused::Checks(FailedChecks { file: Place::file(path), failed }));
    }
    let stock = job.stock.unwrap_or_default();
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    if let Some(mark) = format.missing_mark(&stem, &stock) {
        let name = format!("{}.{}", format.file_stem(&stem, &stock), format.extension());
        return Err(Place::file(path).has(Problem::NameLacks { mark, name }).into());
    }
    let mut drawing = CutDrawing::from_solution(job, solution);
    // Checks tell places as they are on screen, and a mirrored drawing has them elsewhere.
    let frame = if job.design.mirrored { ", PLACES AS IN THE PHOTO" } else { "" };
    let note = |check: &Check| format!("NOT CHECKED GOOD{frame}: {}: {}", check.name, check.text);
    drawing.notes.extend(failed.iter().map(note));
    let drawing = drawing.for_cutter(&stock);
    let bytes = drawing.and_then(|drawing| format.bytes(&drawing, stock.unit).map_err(NotForCutter::from));
    let bytes = bytes.map_err(|refused| {
        Place::file(path).has(Problem::NotMade { what: "the cut file", why: refused.to_string() })
    })?;
    files::write(path, &bytes)?;
    Ok(())
}
