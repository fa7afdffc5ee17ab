//! Networks of distances alone, against GNU Gama 2.33.
//!
//! Eight places of a plate of 180 mm by 120 mm, distances of 0.030 mm standard deviation, one of them 0.30 mm too long.
//! The picks are given a standard deviation of ten thousand px, so that they say nothing. Gama gives its standardised
//! misfits the other sign (adjusted - observed).

use super::held_camera;
use crate::adjust::{Feature, Length, Problem, Span, Spot, adjust};
use crate::camera::View;
use crate::instrument::Instrument;
use crate::space::PlatePoint;

/// From, to, reading in mm, redundancy number, standardised misfit.
type Distance = (usize, usize, f64, f64, f64);

/// All 28 distances; from place 1 to place 4 reads 0.30 mm long.
const ALL_DISTANCES: &[Distance] = &[
    (0, 1, 89.92, 0.5705, -1.236),
    (0, 2, 179.92, 0.5298, -0.571),
    (0, 3, 189.74, 0.5861, 0.811),
    (0, 4, 216.16, 0.6311, 2.005),
    (0, 5, 150.00, 0.5335, -1.289),
    (0, 6, 119.81, 0.4428, -1.044),
    (0, 7, 60.02, 0.4612, 0.537),
    (1, 2, 89.98, 0.5706, 1.582),
    (1, 3, 108.40, 0.5424, 2.664),
    (1, 4, 150.31, 0.5335, -7.597),
    (1, 5, 120.11, 0.4396, 3.924),
    (1, 6, 149.94, 0.5336, 1.570),
    (1, 7, 108.27, 0.5424, -0.414),
    (2, 3, 60.35, 0.4611, -1.503),
    (2, 4, 120.01, 0.4426, 3.664),
    (2, 5, 150.06, 0.5330, -2.628),
    (2, 6, 216.24, 0.6311, -0.014),
    (2, 7, 189.73, 0.5860, 0.521),
    (3, 4, 59.74, 0.4610, 1.170),
    (3, 5, 108.01, 0.5425, -0.899),
    (3, 6, 189.62, 0.5857, -0.660),
    (3, 7, 180.04, 0.5779, -1.562),
    (4, 5, 89.84, 0.5711, 1.138),
    (4, 6, 179.91, 0.5298, 0.224),
    (4, 7, 189.61, 0.5858, 1.349),
    (5, 6, 90.06, 0.5710, -0.478),
    (5, 7, 108.17, 0.5429, 0.134),
    (6, 7, 59.76, 0.4613, -0.086),
];
/// Standard deviations of x and y with inner constraints, mm.
const ALL_DISTANCES_SIGMA: [[f64; 2]; 8] = [
    [0.013_166, 0.013_814],
    [0.012_371, 0.016_350],
    [0.013_166, 0.013_813],
    [0.013_305, 0.013_742],
    [0.013_167, 0.013_818],
    [0.012_364, 0.016_374],
    [0.013_167, 0.013_814],
    [0.013_306, 0.013_740],
];

/// 18 distances, four of them unchecked; from place 2 to place 6 reads 0.30 mm long.
const FEW_DISTANCES: &[Distance] = &[
    (0, 1, 89.55, 0.3564, 2.154),
    (1, 2, 90.41, 0.3568, 2.158),
    (2, 3, 59.76, 0.3438, -1.037),
    (3, 4, 59.81, 0.3433, -1.018),
    (4, 5, 90.08, 0.3563, 2.330),
    (5, 6, 90.16, 0.3563, 2.330),
    (6, 7, 59.73, 0.3449, 0.899),
    (7, 0, 60.14, 0.3423, 0.879),
    (0, 4, 216.29, 0.2993, -6.115),
    (2, 6, 216.56, 0.3009, -6.110),
    (1, 5, 119.66, 0.0000, -2.330),
    (3, 7, 179.98, 0.0000, -2.279),
    (0, 2, 179.99, 0.4257, 2.302),
    (4, 6, 180.28, 0.4258, 2.136),
    (0, 6, 119.86, 0.3738, 2.174),
    (2, 4, 119.46, 0.3744, 4.017),
    (1, 7, 107.50, 0.0001, 2.905),
    (1, 3, 108.27, 0.0001, 2.576),
];
/// Standard deviations of x and y with inner constraints, mm.
const FEW_DISTANCES_SIGMA: [[f64; 2]; 8] = [
    [0.016_901, 0.019_721],
    [0.014_951, 0.034_514],
    [0.016_899, 0.019_681],
    [0.030_260, 0.019_174],
    [0.019_964, 0.019_664],
    [0.023_670, 0.043_198],
    [0.019_977, 0.019_659],
    [0.030_385, 0.019_216],
];

const PLACES: [[f64; 2]; 8] =
    [[-90.0, -60.0], [0.0, -60.0], [90.0, -60.0], [90.0, 0.0], [90.0, 60.0], [0.0, 60.0], [-90.0, 60.0], [-90.0, 0.0]];

fn network(distances: &[Distance]) -> Problem {
    let priors = held_camera();
    let view = View::from_unknowns(&priors.0.map(|prior| prior.value));
    let spot = |place: &[f64; 2]| Spot { pick: view.project(PlatePoint::from(*place)).unwrap(), sigma_px: 1e4 };
    let length = |d: &Distance| Length { span: Span::Points(d.0, d.1), mm: d.2, sigma_mm: 0.03 };
    Problem {
        priors,
        rims: Vec::new(),
        spots: PLACES.iter().map(spot).collect(),
        sides: Vec::new(),
        breaks: 0,
        sizes: 0,
        overlays: Vec::new(),
        lengths: distances.iter().map(length).collect(),
    }
}

fn check(distances: &[Distance], sigmas: &[[f64; 2]; 8]) {
    let problem = network(distances);
    let adjusted = adjust(&problem).unwrap();
    let reliability = adjusted.reliability();
    for (tested, (from, to, _, redundancy, w)) in reliability.tested.iter().zip(distances) {
        let off = (tested.redundancy - redundancy).abs();
        assert!(off < 6e-4, "{from} to {to}: redundancy {} against {redundancy}", tested.redundancy);
        match tested.w {
            Some(ours) => assert!((ours + w).abs() < 0.01, "{from} to {to}: {ours} against -({w})"),
            None => assert!(*redundancy < 1e-3, "{from} to {to} is tested by Gama"),
        }
    }
    for (i, sigma) in sigmas.iter().enumerate() {
        let place = adjusted.relative().covariance(Feature::Spot(i));
        for (ours, theirs) in [place.xx.sqrt(), place.yy.sqrt()].into_iter().zip(sigma) {
            assert!((ours / theirs - 1.0).abs() < 0.005, "place {i}: {ours} against {theirs}");
        }
    }
}

#[test]
fn every_distance_checked() {
    check(ALL_DISTANCES, &ALL_DISTANCES_SIGMA);
    let problem = network(ALL_DISTANCES);
    let suspects = adjust(&problem).unwrap().reliability().suspects;
    assert_eq!(suspects.len(), 1, "one misreading explains it all");
    assert_eq!((suspects[0].length, suspects[0].equally.len()), (9, 0), "it is the one from place 1 to place 4");
}

#[test]
fn two_distances_that_cannot_be_told_apart() {
    check(FEW_DISTANCES, &FEW_DISTANCES_SIGMA);
    let problem = network(FEW_DISTANCES);
    let suspects = adjust(&problem).unwrap().reliability().suspects;
    assert_eq!(suspects.len(), 1, "one misreading explains it all");
    let mut both = suspects[0].equally.clone();
    both.push(suspects[0].length);
    both.sort_unstable();
    // What decides is a distance that one of the two explanations moves and the other does not.
    let adjusted = adjust(&problem).unwrap();
    let instrument = Instrument { sigma_mm: 0.03, reach_mm: 300.0, jaws_mm: 0.0 };
    let telling = adjusted.telling_readings_apart(&instrument, both[0], both[1]);
    let telling = telling.expect("one of the distances not yet taken tells");
    let predicted = [both[0], both[1]].map(|without| adjusted.length_without(telling.span, without).unwrap());
    let apart = (predicted[0].0 - predicted[1].0).abs();
    assert!(apart > 3.0 * 0.03, "the two explanations differ by {apart} mm there: {telling:?}");
    assert_eq!(both, [8, 9], "place 0 to 4 and place 2 to 6 explain it equally well (correlation 0.99998)");
}
