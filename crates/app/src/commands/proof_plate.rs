//! Writes the proof plate, to print and try on: 3MF or STL.

use super::{CommandError, SIZE_NOT_KNOWN, measured};
use crate::files::{self, FileError, Place, Problem};
use platewright_core::check;
use platewright_core::export::{CutDrawing, PlateOptions, ProofPlate, proof_plate, stl, threemf};
use platewright_core::job::Job;
use platewright_core::solution::Solution;
use std::io::Write;
use std::path::Path;

/// What the person asks a plate to be; what is left out is as usual.
#[derive(Debug, Clone, Copy, PartialEq, Default, clap::Args)]
pub struct Asked {
    /// Thickness of a printed plate, mm; else the sheet's, from 2 to 5
    #[arg(long, value_name = "MM")]
    pub thickness: Option<f64>,
    /// How much the plastic shrinks, %; else 0.3
    #[arg(long, value_name = "PERCENT")]
    pub shrink: Option<f64>,
    /// How much too small printed holes come out, mm across; else 0.2
    #[arg(long, value_name = "MM")]
    pub hole_allowance: Option<f64>,
}

impl Asked {
    /// Anything is asked of it.
    pub fn is_said(self) -> bool {
        self != Self::default()
    }

    /// What is made of it for a job.
    pub fn options(self, job: &Job) -> PlateOptions {
        let usual = PlateOptions::usual(job.stock.and_then(|stock| stock.thickness_mm));
        PlateOptions {
            thickness_mm: self.thickness.unwrap_or(usual.thickness_mm),
            shrink_percent: self.shrink.unwrap_or(usual.shrink_percent),
            hole_allowance_mm: self.hole_allowance.unwrap_or(usual.hole_allowance_mm),
            ..usual
        }
    }
}

/// A format of proof plates.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlateFormat {
    /// 3MF, which knows its unit.
    ThreeMf,
    /// STL, which does not.
    Stl,
}

impl PlateFormat {
    /// The format that a file's name says; `None` where it is none of these.
    pub fn of(path: &Path) -> Option<Self> {
        let extension = path.extension()?;
        [Self::ThreeMf, Self::Stl].into_iter().find(|format| extension.eq_ignore_ascii_case(format.extension()))
    }

    /// The extension of its files.
    pub fn extension(self) -> &'static str {
        match self {
            Self::ThreeMf => "3mf",
            Self::Stl => "stl",
        }
    }
}

/// Opens the job at `job`, computes it, writes its proof plate to `output`, and says what was assumed and what a printed
/// plate is not.
pub(super) fn run(job: &Path, output: &Path, asked: Asked, out: &mut dyn Write) -> Result<(), CommandError> {
    let (job, measured) = measured(files::open_job(job)?)?;
    let format = PlateFormat::of(output).unwrap_or(PlateFormat::ThreeMf);
    let plate = write(&job, &measured.solution, asked.options(&job), format, output)?;
    writeln!(out, "Wrote {}: {}.", output.display(), plate.options.in_words())?;
    if format == PlateFormat::Stl {
        writeln!(out, "An STL holds no unit: open it in mm, at 100 %.")?;
    }
    writeln!(out, "A printed plate is a template only: it softens with heat and creeps under bolts.")?;
    writeln!(out, "Printing some plastics gives off fumes: ventilate.")?;
    let open = check::all(&job, &measured.solution);
    if !check::may_cut(&open) {
        writeln!(out, "The cut file would be refused as things are: see what ‘platewright cut’ says.")?;
    }
    Ok(())
}

/// Writes the proof plate of `job` to `path`; the plate.
///
/// # Errors
/// Where there is no plate, or the file cannot be made or written; whatever stood at `path` is then as it was.
pub fn write(
    job: &Job,
    solution: &Solution,
    options: PlateOptions,
    format: PlateFormat,
    path: &Path,
) -> Result<ProofPlate, FileError> {
    let not_made = |why: String| Place::file(path).has(Problem::NotMade { what: "the proof plate", why });
    let plate = plate(job, solution, &options).map_err(not_made)?;
    let bytes = match format {
        PlateFormat::Stl => stl(&plate).map_err(|error| not_made(error.to_string()))?,
        PlateFormat::ThreeMf => threemf(&plate).map_err(|error| not_made(error.to_string()))?,
    };
    files::write(path, &bytes)?;
    Ok(plate)
}

/// The plate of a job whose size is known.
///
/// # Errors
/// One sentence without a full stop: why there is none.
pub fn plate(job: &Job, solution: &Solution, options: &PlateOptions) -> Result<ProofPlate, String> {
    if !solution.fit.scale_known() {
        return Err(SIZE_NOT_KNOWN.to_owned());
    }
    proof_plate(&CutDrawing::from_solution(job, solution), options).map_err(|refused| refused.to_string())
}
