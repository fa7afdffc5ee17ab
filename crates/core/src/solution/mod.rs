//! What follows from a job: values, ±, reliability, findings. Can be thrown away at any time.
//!
//! ## Invariants
//! - [`solve`] is a pure function of its inputs: the same job gives the same digits, whatever was solved before.
//! - Nothing here fails from outside: what cannot be told is a [`Finding`] or a `None`, never an error or a NaN.
//! - Plate coordinates are in the datum's frame.

mod aside;
mod assemble;
mod datum;
mod findings;
mod results;
#[cfg(test)]
mod tests;
mod types;

pub use types::*;

use crate::adjust::{Problem, Termination, adjust};
use crate::camera::PlateMap;
use crate::outline::contour_fit;
use crate::tolerance::CUT_CHORD_MM;

/// How many of the measures worth taking next are named.
const NEXT_MEASURES: usize = 5;

/// What is adjusted for a job: its picks, its lengths that count, and the beliefs about its camera.
pub fn problem(inputs: &Inputs<'_>) -> Problem {
    assemble::assemble(inputs).problem
}

/// Computes everything that follows from a job.
pub fn solve(inputs: &Inputs<'_>) -> Solution {
    let job = inputs.job;
    let assembled = assemble::assemble(inputs);
    let anything = !job.holes.is_empty()
        || !job.points.is_empty()
        || !job.edges.is_empty()
        || job.contours.iter().any(|contour| !contour.nodes.is_empty());
    let whole = if anything { adjust(&assembled.problem) } else { None };
    let rest = whole.as_ref().and_then(|whole| aside::set_aside(&assembled, whole));
    let (assembled, adjusted) = match &rest {
        Some(rest) => (rest, adjust(&rest.problem)),
        None => (&assembled, whole),
    };
    let Some(adjusted) = adjusted else {
        let findings = findings::without_fit(job, assembled, anything);
        let fit = FitSummary { termination: anything.then_some(Termination::NotSeen), ..FitSummary::default() };
        return Solution { measures: results::waiting(job), fit, findings, ..Solution::default() };
    };
    let datum = datum::datum(job, assembled, &adjusted);
    let map = PlateMap::from_view(adjusted.view()).with_datum(&datum);
    let results = results::Results { job, assembled, adjusted: &adjusted, datum: &datum };
    let reliability = adjusted.reliability();
    let mut solution = Solution {
        map: Some(map),
        holes: results.holes(),
        points: results.points(),
        measures: results.measures(&reliability),
        camera: Some(results.camera()),
        fit: results.summary(),
        contours: job.contours.iter().map(|contour| contour_fit(contour, &map, CUT_CHORD_MM)).collect(),
        measure_next: results.measure_next(NEXT_MEASURES),
        findings: Vec::new(),
    };
    solution.findings = findings::findings(&results, &reliability, &solution);
    solution
}
