//! What can be asked of an adjustment: how well any place is known, how places hang together, what a misreading does,
//! what the rest says of a length.

use super::simulation::{HOLES, simulate};
use crate::adjust::{Adjusted, Feature, Length, Problem, Rim, Span, adjust};
use crate::space::{PlatePoint, PlateVec};
use std::f64::consts::FRAC_PI_4;

/// A drawn job with one more hole that is not kept, picked all round.
fn with_a_hole_to_look_at() -> (Problem, PlatePoint) {
    let mut problem = simulate(5, 1.0).problem;
    let at = adjust(&problem).unwrap().centre(4) + PlateVec::new(-31.0, 24.0);
    let adjusted = adjust(&problem).unwrap();
    let pick = |k: i32| adjusted.view().project(at + PlateVec::from_angle(f64::from(k) * FRAC_PI_4) * 5.0).unwrap();
    let picks = (0..8).map(pick).collect();
    problem.rims.push(Rim { picks, precision: 1.5.into(), edge_break: None, keep: false });
    (problem, at)
}

#[test]
fn any_place_is_known_as_well_as_a_hole_there() {
    let (problem, _) = with_a_hole_to_look_at();
    let adjusted = adjust(&problem).unwrap();
    let number = problem.rims.len() - 1;
    let hole = adjusted.relative().covariance(Feature::Rim(number));
    let anywhere = adjusted.face_uncertainty().at(adjusted.centre(number)).unwrap();
    let det = |c: crate::adjust::PlaceCovariance| (c.xx * c.yy - c.xy * c.xy).sqrt();
    assert!(det(anywhere) > det(hole), "four picks are worse than eight: {anywhere:?} and {hole:?}");
    let [by_x, by_y] = adjusted.view().project_by_plate(adjusted.centre(number)).unwrap().1;
    let scale2 = (by_x[0] * by_y[1] - by_x[1] * by_y[0]).abs();
    // Taking off what the picks alone leave, 2 s²/n, both are what the camera leaves.
    let rest = |c: crate::adjust::PlaceCovariance, n: f64| c.xx + c.yy - 2.0 * 2.0 * 1.5 * 1.5 / n / scale2;
    let (a, b) = (rest(anywhere, 4.0), rest(hole, 8.0));
    assert!((a / b - 1.0).abs() < 0.05, "the camera leaves {a} there and {b} at the hole, mm²");
}

#[test]
fn covariances_between_places_have_no_rigid_move_left() {
    let problem = simulate(9, 1.0).problem;
    let adjusted = adjust(&problem).unwrap();
    let relative = adjusted.relative();
    let all: Vec<Feature> = (0..HOLES.len()).map(Feature::Rim).chain([Feature::Spot(0)]).collect();
    let joint = adjusted.joint_covariance(&all);
    let number = |feature: Feature| all.iter().position(|other| *other == feature).unwrap();
    let between = |a: Feature, b: Feature| {
        let (i, j, size) = (2 * number(a), 2 * number(b), 2 * all.len());
        [0, 1].map(|axis| [joint[(i + axis) * size + j], joint[(i + axis) * size + j + 1]])
    };
    for a in &all {
        let own = relative.covariance(*a);
        let [[xx, xy], [yx, yy]] = between(*a, *a);
        let largest = own.xx.max(own.yy);
        let same = [(xx, own.xx), (xy, own.xy), (yx, own.xy), (yy, own.yy)];
        assert!(same.iter().all(|(a, b)| (a - b).abs() < 1e-9 * largest), "{a:?} with itself: {same:?}");
        for axis in 0..2 {
            for column in 0..2 {
                let sum: f64 = all.iter().map(|b| between(*a, *b)[axis][column]).sum();
                assert!(sum.abs() < 1e-9 * largest, "{a:?}: the shift that is left has {sum} mm²");
            }
        }
        for b in &all {
            let (there, back) = (between(*a, *b), between(*b, *a));
            assert!((there[0][1] - back[1][0]).abs() < 1e-9 * largest, "{a:?} with {b:?} either way round");
        }
    }
}

#[test]
fn a_misreading_moves_the_worst_hole_as_told() {
    let mut problem = simulate(12, 0.0).problem;
    let adjusted = adjust(&problem).unwrap();
    let (number, misread) = (1, 0.02);
    let (rim, share) = adjusted.influences()[number];
    let told = share * misread;
    let before: Vec<PlatePoint> = (0..HOLES.len()).map(|i| adjusted.centre(i)).chain([adjusted.spot(0)]).collect();
    problem.lengths[number].mm += misread;
    let after = adjust(&problem).unwrap();
    let moved = after_best_move(&before, &after);
    let largest = moved[..HOLES.len()].iter().copied().fold(0.0, f64::max);
    assert!((moved[rim] / told - 1.0).abs() < 0.02, "{told} mm told, {} mm moved", moved[rim]);
    assert!((largest - moved[rim]).abs() < 0.02 * largest, "no hole moves more");
}

/// How far each place is from where it was, after the best rigid move.
fn after_best_move(before: &[PlatePoint], after: &Adjusted<'_>) -> Vec<f64> {
    let places = (0..HOLES.len()).map(|i| after.centre(i)).chain([after.spot(0)]);
    let pairs: Vec<_> = before.iter().copied().zip(places).collect();
    let best = crate::adjust::adjusted::best_move(&pairs).unwrap();
    pairs.iter().map(|(before, after)| before.distance(best.apply(*after))).collect()
}

#[test]
fn what_the_rest_says_of_a_length_is_what_it_says_without_it() {
    let mut problem = simulate(21, 1.0).problem;
    problem.lengths[2].mm += 0.4;
    let adjusted = adjust(&problem).unwrap();
    let mut rest = problem.clone();
    let Length { span, .. } = rest.lengths.remove(2);
    let rest = adjust(&rest).unwrap();
    for asked in [span, Span::FarRims(1, 4), Span::Diameter(2)] {
        let (told, told_sigma) = adjusted.length_without(asked, 2).unwrap();
        let (mm, sigma) = rest.fitted_length(asked);
        assert!((told - mm).abs() < 0.02, "{asked:?}: {told} told, {mm} found");
        assert!((told_sigma / sigma - 1.0).abs() < 0.03, "{asked:?}: ±{told_sigma} told, ±{sigma} found");
    }
}

/// Steps of all rims from one adjustment to another, without the rigid move over all places that count, in the first's frame.
fn steps(from: &Adjusted<'_>, to: &Adjusted<'_>) -> Vec<PlateVec> {
    let count = from.problem().rims.len();
    let spots = from.problem().spots.len();
    let pairs: Vec<(PlatePoint, PlatePoint)> = (0..count)
        .map(|rim| (from.centre(rim), to.centre(rim)))
        .chain((0..spots).map(|spot| (from.spot(spot), to.spot(spot))))
        .collect();
    let aligned = crate::adjust::best_move(&pairs).unwrap();
    pairs[..count].iter().map(|(from, to)| aligned.apply(*to) - *from).collect()
}

/// By doing it: a reading that is changed and a belief about the tilt that is held fast elsewhere move the holes as was said.
#[test]
fn holes_move_with_a_reading_and_with_the_tilt_as_is_said() {
    let problem = simulate(3, 1.0).problem;
    let adjusted = adjust(&problem).unwrap();
    let sensitivity = adjusted.sensitivity();
    let check = |what: &str, found: &[PlateVec], said: Vec<PlateVec>| {
        let largest = said.iter().map(|step| step.length()).fold(0.0, f64::max);
        let off = found.iter().zip(&said).map(|(a, b)| (*a - *b).length()).fold(0.0, f64::max);
        assert!(largest > 1e-4 && off < 0.05 * largest, "{what}: off by {off} of {largest} mm");
    };
    let pairs = |column: &[f64], by: f64| -> Vec<PlateVec> {
        column.chunks_exact(2).map(|pair| PlateVec::new(pair[0], pair[1]) * by).collect()
    };
    for length in [0, 4, 9] {
        let mut other = problem.clone();
        other.lengths[length].mm += 0.02;
        let found = steps(&adjusted, &adjust(&other).unwrap());
        check(&format!("length {length}"), &found, pairs(&sensitivity.by_length[length], 0.02));
    }
    for (tilt, by_tilt) in sensitivity.by_tilt.iter().enumerate() {
        // One tilt held where it is and the other elsewhere.
        let pose = *adjusted.view().pose();
        let mut other = problem.clone();
        let values = [pose.tilt_a_rad, pose.tilt_b_rad];
        for (k, value) in values.into_iter().enumerate() {
            let prior = &mut other.priors.0[1 + k];
            (prior.value, prior.sigma) = (value + if k == tilt { 1e-3 } else { 0.0 }, 1e-8);
        }
        let found = steps(&adjusted, &adjust(&other).unwrap());
        check(&format!("tilt {tilt}"), &found, pairs(by_tilt, 1e-3));
    }
}
