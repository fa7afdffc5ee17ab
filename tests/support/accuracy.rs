//! The accuracy of the whole adjustment on the public cases, as one row a case.

use crate::align::{centres_by_one_length, centres_by_true_camera, errors_after_rigid_move};
use crate::truth::Case;
use platewright_core::edge::Picture;
use platewright_core::instrument::Instrument;
use platewright_core::job::Job;
use platewright_core::solution::{HoleFit, Inputs, Solution, solve, solve_photo};
use platewright_core::space::PlatePoint;
use platewright_core::tolerance::K95_FIGURE;
use std::time::{Duration, Instant};

/// What is known of the holes of one case, against the truth.
#[derive(Debug, Clone)]
pub struct Holes {
    /// Largest error of a centre after the best rigid move, mm.
    pub centre_mm: f64,
    /// Largest error of the diameter of a seen rim, mm.
    pub diameter_mm: f64,
    /// The ± (95 %) that is stated for the worst hole, mm.
    pub stated_mm: f64,
    /// Holes whose error is within the ± stated for them.
    pub covered: usize,
    /// Holes whose bore's diameter is within the ± stated for it.
    pub diameters_covered: usize,
    /// Holes whose rims were measured in the photo and served.
    pub measured: usize,
    /// How long it took, without reading the photo.
    pub time: Duration,
}

impl Holes {
    fn of(case: &Case, job: &Job, solution: &Solution, time: Duration) -> Self {
        let holes = &solution.holes;
        assert_eq!(holes.len(), job.holes.len(), "every hole was found");
        let errors = errors_after_rigid_move(&centres(solution), &case.true_centres(job));
        let stated: Vec<f64> = holes.iter().map(HoleFit::plus_minus_mm).collect();
        let radii = |hole: &HoleFit| case.true_radii_mm(&hole.id).expect("the case has the hole");
        let rim_off = |hole: &HoleFit| (hole.rim_diameter_mm - 2.0 * radii(hole)[0]).abs();
        let bore_off = |hole: &HoleFit| (hole.bore_diameter_mm - 2.0 * radii(hole)[1]).abs();
        Self {
            centre_mm: largest(&errors),
            diameter_mm: largest(&holes.iter().map(rim_off).collect::<Vec<_>>()),
            stated_mm: largest(&stated),
            covered: errors.iter().zip(&stated).filter(|(error, stated)| error <= stated).count(),
            diameters_covered: holes
                .iter()
                .filter(|hole| bore_off(hole) <= K95_FIGURE * hole.diameter_sigma_mm)
                .count(),
            measured: holes.iter().filter(|hole| hole.is_measured).count(),
            time,
        }
    }
}

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
    /// By the clicks and measures alone.
    pub clicks: Holes,
    /// With the rims measured in the photo.
    pub rims: Holes,
}

/// Solves one case from its clicks and caliper values, without its photo and with it.
///
/// # Panics
/// Where the solution lacks a hole, or the photo cannot be read.
pub fn row(case: &Case) -> Row {
    let job = case.job();
    let truth = case.true_centres(&job);
    let inputs = Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None };
    let started = Instant::now();
    let by_clicks = solve(&inputs);
    let clicks = Holes::of(case, &job, &by_clicks, started.elapsed());
    let photo = case.pixels();
    let picture = Picture::from_srgb([photo.width(), photo.height()], photo.as_raw()).expect("a whole picture");
    let rims = with_rims(case, &job, &picture);
    Row {
        name: case.name.clone(),
        holes: job.holes.len(),
        measures: job.measures.len(),
        one_length_mm: largest(&errors_after_rigid_move(&centres_by_one_length(&job), &truth)),
        true_camera_mm: largest(&errors_after_rigid_move(&centres_by_true_camera(&job, &case.camera()), &truth)),
        clicks,
        rims,
    }
}

/// What is known of the holes of a case's job with its rims measured in the photo.
///
/// # Panics
/// Where the solution lacks a hole.
pub fn with_rims(case: &Case, job: &Job, picture: &Picture<'_>) -> Holes {
    let inputs = Inputs { job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None };
    let started = Instant::now();
    let (_, by_rims) = solve_photo(&inputs, picture, &|| true).expect("nobody stops it");
    Holes::of(case, job, &by_rims, started.elapsed())
}

/// The centres of a solution's holes.
pub fn centres(solution: &Solution) -> Vec<PlatePoint> {
    solution.holes.iter().map(|hole| hole.centre).collect()
}

/// The largest of some figures.
pub fn largest(figures: &[f64]) -> f64 {
    figures.iter().copied().fold(0.0, f64::max)
}
