//! The accuracy of the whole adjustment on the public cases, as one row a case.

use crate::align::{centres_by_one_length, centres_by_true_camera, errors_after_rigid_move};
use crate::truth::Case;
use platewright_core::instrument::Instrument;
use platewright_core::solution::{Inputs, Solution, solve};
use platewright_core::space::PlatePoint;
use std::time::{Duration, Instant};

/// What one case came to.
#[derive(Debug)]
pub struct Row {
    /// The case.
    pub name: String,
    /// Number of holes.
    pub holes: usize,
    /// Number of measures used.
    pub measures: usize,
    /// Largest hole error by scaling the photo with its longest measure, mm.
    pub one_length_mm: f64,
    /// Largest hole error by the same clicks with the true camera, mm.
    pub true_camera_mm: f64,
    /// Largest hole error by this program, mm.
    pub program_mm: f64,
    /// The ± (95 %) that the program states for its worst hole, mm.
    pub stated_mm: f64,
    /// Holes whose error is within the ± stated for them.
    pub covered: usize,
    /// How long the solve took.
    pub solve_time: Duration,
}

/// Solves one case from its clicks and caliper values.
///
/// # Panics
/// Where the solution lacks a hole.
pub fn row(case: &Case) -> Row {
    let job = case.job();
    let truth = case.true_centres(&job);
    let started = Instant::now();
    let solution = solve(&Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER });
    let solve_time = started.elapsed();
    let errors = errors_after_rigid_move(&centres(&solution), &truth);
    let stated: Vec<f64> = solution.holes.iter().map(platewright_core::solution::HoleFit::plus_minus_mm).collect();
    assert_eq!(errors.len(), job.holes.len(), "every hole was found");
    Row {
        name: case.name.clone(),
        holes: job.holes.len(),
        measures: job.measures.len(),
        one_length_mm: largest(&errors_after_rigid_move(&centres_by_one_length(&job), &truth)),
        true_camera_mm: largest(&errors_after_rigid_move(&centres_by_true_camera(&job, &case.camera()), &truth)),
        program_mm: largest(&errors),
        stated_mm: largest(&stated),
        covered: errors.iter().zip(&stated).filter(|(error, stated)| error <= stated).count(),
        solve_time,
    }
}

/// The centres of a solution's holes.
pub fn centres(solution: &Solution) -> Vec<PlatePoint> {
    solution.holes.iter().map(|hole| hole.centre).collect()
}

/// The largest of some figures.
pub fn largest(figures: &[f64]) -> f64 {
    figures.iter().copied().fold(0.0, f64::max)
}
