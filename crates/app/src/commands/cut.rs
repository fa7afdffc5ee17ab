//! Writes the cut file, unless a check fails.

use super::{CommandError, measured};
use crate::files::{self, FileError, Place, Problem};
use crate::printing::{self, Plex};
use platewright_core::check::{self, Check, Verdict};
use platewright_core::export::{CutDrawing, CutFormat, NotForCutter, WrongName};
use platewright_core::job::{FileUnit, Job, Stock};
use platewright_core::paper::{CutSource, Page, Paper, cut_pages};
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
    let ends_in = |wanted: &str| output.extension().is_some_and(|extension| extension.eq_ignore_ascii_case(wanted));
    let opened = files::open_job(job)?;
    let (job, measured) = measured(opened)?;
    let (solution, checks) = (&measured.solution, &measured.checks);
    let format = match r12 {
        _ if ends_in("svg") => CutFormat::Svg,
        true => CutFormat::DxfR12,
        false => CutFormat::Dxf,
    };
    if ends_in("pdf") {
        write_drawing(Drawn { job: &job, solution, checks, format }, Paper::A4, output, even_so)?;
    } else {
        write(&job, solution, format, output, even_so)?;
    }
    writeln!(out, "Wrote {}.", output.display())?;
    Ok(())
}

/// Writes the cut file of `job` to `path`. With `even_so` it is written although checks fail, and says in itself which.
///
/// # Errors
/// Where a check fails, the file's name does not say what the file cannot, or the file cannot be made or written; whatever
/// stood at `path` is then as it was.
pub fn write(job: &Job, solution: &Solution, format: CutFormat, path: &Path, even_so: bool) -> Result<(), CutRefused> {
    let failed = refused_unless(even_so, &check::all(job, solution), path)?;
    let stock = job.stock.unwrap_or_default();
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    if let Some(wrong) = format.wrong_name(&stem, &stock) {
        let named = |stem: String| format!("{stem}.{}", format.extension());
        let problem = match wrong {
            WrongName::Lacks { mark, name } => Problem::NameLacks { mark, name: named(name) },
            WrongName::Claims { mark, name } => Problem::NameClaims { mark, name: named(name) },
        };
        return Err(Place::file(path).has(problem).into());
    }
    let mut drawing = CutDrawing::from_solution(job, solution);
    // Checks tell places as they are on screen: what is mirrored, in inches or one of several has them elsewhere.
    let is_elsewhere = job.design.mirrored || stock.unit == FileUnit::Inch || stock.copy_count() > 1;
    let frame = if is_elsewhere { ", PLACES IN MM, AS DRAWN IN THE WORKBENCH" } else { "" };
    let note = |check: &Check| format!("NOT CHECKED GOOD{frame}: {}: {}", check.name, check.text);
    drawing.notes.extend(failed.iter().map(note));
    let drawing = match drawing.clone().for_cutter(&stock) {
        // That they do not go on the sheet is a check that fails.
        Err(NotForCutter::Rows(_)) if even_so => drawing.for_cutter(&Stock { sheet_mm: None, ..stock }),
        drawing => drawing,
    };
    let bytes = drawing.and_then(|drawing| format.bytes(&drawing, stock.unit).map_err(NotForCutter::from));
    let not_made = |why: String| Place::file(path).has(Problem::NotMade { what: "the cut file", why });
    files::write(path, &bytes.map_err(|refused| not_made(refused.to_string()))?)?;
    Ok(())
}

/// What fails, where it is to be written all the same.
fn refused_unless(even_so: bool, checks: &[Check], path: &Path) -> Result<Vec<Check>, CutRefused> {
    let failed: Vec<Check> = checks.iter().filter(|check| check.verdict == Verdict::Fail).cloned().collect();
    if check::may_cut(checks) || even_so {
        return Ok(failed);
    }
    Err(CutRefused::Checks(FailedChecks { file: Place::file(path), failed }))
}

/// What a cut drawing is of.
#[derive(Debug, Clone, Copy)]
pub struct Drawn<'a> {
    /// The job.
    pub job: &'a Job,
    /// What follows from it.
    pub solution: &'a Solution,
    /// What the checks say.
    pub checks: &'a [Check],
    /// The format of the cut file that it goes with.
    pub format: CutFormat,
}

/// Writes the drawing that goes with the cut file to `path`.
///
/// # Errors
/// As [`write()`].
pub fn write_drawing(of: Drawn<'_>, paper: Paper, path: &Path, even_so: bool) -> Result<(), CutRefused> {
    refused_unless(even_so, of.checks, path)?;
    let not_made = |why: String| Place::file(path).has(Problem::NotMade { what: "the drawing", why });
    let plex = Plex::new().map_err(|error| not_made(error.to_string()))?;
    let pages = pages(of, paper, &plex);
    if pages.is_empty() {
        return Err(not_made("there is nothing to cut".to_owned()).into());
    }
    let title = format!("Cut drawing of {}", if of.job.title.is_empty() { "a part" } else { &of.job.title });
    let bytes = printing::pdf(&title, &pages).map_err(|error| not_made(error.to_string()))?;
    files::write(path, &bytes)?;
    Ok(())
}

/// The pages of the cut drawing; none where nothing is cut.
pub fn pages(of: Drawn<'_>, paper: Paper, plex: &Plex) -> Vec<Page> {
    let Drawn { job, solution, checks, format } = of;
    let drawing = CutDrawing::from_solution(job, solution);
    cut_pages(&CutSource { job, solution, checks, drawing: &drawing, format }, paper, plex)
}
