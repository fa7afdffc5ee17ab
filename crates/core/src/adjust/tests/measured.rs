//! Rims and edges whose points were measured in the photo.

use super::{Draws, held_camera};
use crate::adjust::{Adjusted, Length, Linearized, Precision, Priors, Problem, Rim, SharedError, Side, Span, adjust};
use crate::camera::View;
use crate::space::{PhotoPoint, PhotoVec, PlatePoint, PlateVec};
use nalgebra::{DMatrix, DVector};

const PX_PER_MM: f64 = 10.0;
const SIGMA_PX: f64 = 0.2;
const SHARED: SharedError = SharedError { shift_px: 0.05, radius_px: 0.08 };
const POINTS: u32 = 40;
const HOLES: [(f64, f64, f64); 4] = [(-60.0, -40.0, 6.0), (62.0, -41.0, 4.0), (1.0, 45.0, 3.0), (0.0, 0.0, 18.0)];

/// A camera of which everything but the lens is open.
fn open_camera() -> Priors {
    let mut priors = held_camera();
    for (prior, sigma) in priors.0.iter_mut().zip([0.05, 0.05, 0.05, 0.04]) {
        prior.sigma = sigma;
    }
    priors
}

fn measured(count: u32, shared: SharedError) -> Precision {
    Precision::Measured { sigma_px: vec![SIGMA_PX; count as usize], shared }
}

/// A rim of evenly spread points, each off by its own error and all by the shared one, `noise` times over.
fn rim(view: &View, (x, y, r): (f64, f64, f64), draws: &mut Draws, noise: f64) -> Rim {
    let [dx, dy, dr] = [SHARED.shift_px, SHARED.shift_px, SHARED.radius_px]
        .map(|sigma_px| noise * sigma_px / PX_PER_MM * draws.normal());
    let place = |k: u32| {
        let towards = PlateVec::from_angle(std::f64::consts::TAU * f64::from(k) / f64::from(POINTS));
        PlatePoint::new(x + dx, y + dy) + towards * (r + dr)
    };
    let mut own = || PhotoVec::new(draws.normal(), draws.normal()) * (noise * SIGMA_PX);
    let picks = (0..POINTS).map(|k| view.project(place(k)).unwrap() + own()).collect();
    Rim { picks, precision: measured(POINTS, SHARED), edge_break: None, keep: true }
}

fn problem(priors: Priors, seed: u64, noise: f64) -> Problem {
    let mut draws = Draws(seed);
    let view = View::from_unknowns(&priors.0.map(|prior| prior.value + noise * prior.sigma * draws.normal()));
    let rims = HOLES.iter().map(|hole| rim(&view, *hole, &mut draws, noise)).collect();
    let mut centres = |a: usize, b: usize| Length {
        span: Span::Centres(a, b),
        mm: (HOLES[a].0 - HOLES[b].0).hypot(HOLES[a].1 - HOLES[b].1) + noise * 0.05 * draws.normal(),
        sigma_mm: 0.05,
    };
    let lengths = vec![centres(0, 1), centres(0, 2), centres(1, 2), centres(0, 3)];
    Problem {
        priors,
        rims,
        spots: Vec::new(),
        sides: Vec::new(),
        breaks: Vec::new(),
        sizes: 0,
        lengths,
        corners: Vec::new(),
        overlays: Vec::new(),
    }
}

fn variance(adjusted: &Adjusted<'_>, unknown: usize) -> f64 {
    adjusted.plain().covariance[unknown][unknown]
}

#[test]
fn what_points_share_does_not_average_out() {
    let mut alone = problem(held_camera(), 1, 0.0);
    alone.rims.truncate(1);
    alone.lengths.clear();
    let adjusted = adjust(&alone).unwrap();
    let n = f64::from(POINTS);
    // Two over n of a point's variance for either axis, one over n for the radius (Chernov and Lesort 2004), and the
    // shared part in full; in mm at 10 px a mm.
    let shift = (2.0 * SIGMA_PX * SIGMA_PX / n + SHARED.shift_px.powi(2)) / PX_PER_MM.powi(2);
    let radius = (SIGMA_PX * SIGMA_PX / n + SHARED.radius_px.powi(2)) / PX_PER_MM.powi(2);
    for (number, expected) in [(10, shift), (11, shift), (12, radius)] {
        let found = variance(&adjusted, number);
        assert!((found / expected - 1.0).abs() < 1e-3, "unknown {number}: {found} against {expected}");
    }
}

/// The error is eliminated from the normal equations in one place and whitened away in another; both are generalised
/// least squares, by ways that have nothing in common.
#[test]
fn elimination_and_whitening_agree() {
    let mut problem = problem(open_camera(), 7, 1.0);
    let view = View::from_unknowns(&open_camera().0.map(|prior| prior.value));
    let along = |k: u32| view.project(PlatePoint::new(-80.0 + 4.0 * f64::from(k), 60.0)).unwrap();
    let precision = measured(20, SharedError { shift_px: 0.04, radius_px: 0.0 });
    problem.sides.push(Side { picks: (0..20).map(along).collect(), precision });
    let adjusted = adjust(&problem).unwrap();
    let plain = adjusted.plain();
    let mut linearized = Linearized::of(&problem);
    let residuals = DVector::from_vec(linearized.residuals(&plain.unknowns).unwrap());
    let jacobian = linearized.jacobian(&plain.unknowns).unwrap();
    let jacobian = DMatrix::from_row_slice(residuals.len(), plain.unknowns.len(), &jacobian);
    let covariance = (jacobian.transpose() * &jacobian).try_inverse().unwrap();
    let size = plain.unknowns.len();
    for i in 0..size {
        for j in 0..size {
            let scale = (covariance[(i, i)] * covariance[(j, j)]).sqrt();
            let off = plain.covariance[i][j] - covariance[(i, j)];
            assert!(off.abs() < 1e-6 * scale, "covariance of {i} and {j}: off by {off} of {scale}");
        }
    }
    let step = covariance * (jacobian.transpose() * &residuals);
    for i in 0..size {
        let sigma = plain.covariance[i][i].sqrt();
        assert!(step[i].abs() < 1e-4 * sigma, "unknown {i} would go on by {} of {sigma}", step[i]);
    }
}

#[test]
fn the_test_of_the_whole_is_not_drowned_in_points() {
    let runs = 150;
    let (mut whole, mut covered) = (0.0, 0);
    for seed in 0..runs {
        let problem = problem(open_camera(), 100 + seed, 1.0);
        let adjusted = adjust(&problem).unwrap();
        // 14 camera and length rows and 12 of rims, less 10 and 12 unknowns.
        assert_eq!(adjusted.dof(), 4, "what is tested");
        whole += adjusted.square_sum() / 4.0;
        covered += usize::from(adjusted.p_value().unwrap() > 0.05);
    }
    let mean = whole / runs as f64;
    // The mean of 150 values of chi-square over 4 has the standard deviation sqrt(2 / 4 / 150) = 0.058.
    assert!((mean - 1.0).abs() < 0.2, "mean square sum per degree of freedom: {mean}");
    assert!(covered >= 133, "about 95 of 100 pass the test at 5 %: {covered} of {runs}");
    let mut misread = problem(open_camera(), 100, 1.0);
    misread.lengths[0].mm += 1.0;
    let p_value = adjust(&misread).unwrap().p_value().unwrap();
    assert!(p_value < 1e-6, "1 mm of misreading shows: {p_value}");
}

#[test]
fn a_few_points_off_the_rim_hardly_move_it_and_picks_by_hand_do() {
    let place = |precision: Precision| {
        let mut alone = problem(held_camera(), 3, 0.0);
        alone.rims.truncate(1);
        alone.lengths.clear();
        alone.rims[0].precision = precision;
        for pick in &mut alone.rims[0].picks[..4] {
            *pick = PhotoPoint::new(pick.x + 10.0, pick.y);
        }
        let adjusted = adjust(&alone).unwrap();
        adjusted.centre(0).distance(PlatePoint::new(HOLES[0].0, HOLES[0].1)) * PX_PER_MM
    };
    let robust = place(measured(POINTS, SHARED));
    // Huber: each pulls as if it were three of its standard deviations off, 4 x 0.6 px x 2 / 36 along x, and somewhat
    // more as they lie on one side, where they pull at the radius as well.
    assert!(robust < 0.2, "four points in forty, each 50 of its standard deviations off: {robust} px");
    let plain = place(SIGMA_PX.into());
    assert!(plain > 1.0, "by hand each counts in full: {plain} px");
}
