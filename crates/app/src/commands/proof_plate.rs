//! Writes the proof plate, to print and try on: 3MF or STL.

use super::{CommandError, measured};
use crate::files::{self, Place, Problem};
use platewright_core::check;
use platewright_core::export::{CutDrawing, PlateOptions, ProofPlate, proof_plate, stl, threemf};
use platewright_core::job::Job;
use platewright_core::solution::Solution;
use std::io::Write;
use std::path::Path;

/// What the person asks a plate to be; what is left out is as usual.
#[derive(Debug, Clone, Copy, PartialEq, Default, clap::Args)]
pub(super) struct Asked {
    /// Thickness of a printed plate, mm; else the sheet's, from 2 to 5
    #[arg(long, value_name = "MM")]
    pub(super) thickness: Option<f64>,
    /// How much the plastic shrinks, %; else 0.3
    #[arg(long, value_name = "PERCENT")]
    pub(super) shrink: Option<f64>,
    /// How much too small printed holes come out, mm across; else 0.2
    #[arg(long, value_name = "MM")]
    pub(super) hole_allowance: Option<f64>,
}

impl Asked {
    fn options(self, job: &Job) -> PlateOptions {
        let usual = PlateOptions::usual(job.stock.and_then(|stock| stock.thickness_mm));
        PlateOptions {
            thickness_mm: self.thickness.unwrap_or(usual.thickness_mm),
            shrink_percent: self.shrink.unwrap_or(usual.shrink_percent),
            hole_allowance_mm: self.hole_allowance.unwrap_or(usual.hole_allowance_mm),
            ..usual
        }
    }
}

/// Opens the job at `job`, computes it, writes its proof plate to `output`, and says what was assumed and what a printed
/// plate is not.
pub(super) fn run(job: &Path, output: &Path, asked: &Asked, out: &mut dyn Write) -> Result<(), CommandError> {
    let (job, measured) = measured(files::open_job(job)?)?;
    let not_made = |why: String| Place::file(output).has(Problem::PlateNotMade(why));
    let plate = plate(&job, &measured.solution, &asked.options(&job)).map_err(not_made)?;
    let is_stl = output.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("stl"));
    let bytes = if is_stl {
        stl(&plate).map_err(|error| not_made(error.to_string()))?
    } else {
        threemf(&plate).map_err(|error| not_made(error.to_string()))?
    };
    files::write(output, &bytes)?;
    writeln!(out, "Wrote {}: {}.", output.display(), plate.options.in_words())?;
    if is_stl {
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

/// The plate of a job whose size is known.
fn plate(job: &Job, solution: &Solution, options: &PlateOptions) -> Result<ProofPlate, String> {
    if !solution.fit.scale_known() {
        return Err("nothing says how large the part is; measure between two holes".to_owned());
    }
    proof_plate(&CutDrawing::from_solution(job, solution), options).map_err(|refused| refused.to_string())
}
