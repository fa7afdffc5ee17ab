//! Problems that no one would wish for: never a panic, never a NaN.

use super::held_camera;
use crate::adjust::{Adjusted, Feature, Length, Prior, Priors, Problem, Rim, Span, adjust};
use crate::camera::View;
use crate::space::{PlatePoint, PlateVec};

/// Beliefs as of a phone held by eye.
fn loose_camera() -> Priors {
    let sigmas = [3.0, 0.09, 0.09, 0.04, 20.0, 20.0, 0.05, 0.02, 0.001, 0.001];
    let mut priors = held_camera();
    for (prior, sigma) in priors.0.iter_mut().zip(sigmas) {
        *prior = Prior { sigma, ..*prior };
    }
    priors
}

/// Holes of 5 mm radius with three picks each.
fn plate(places: impl IntoIterator<Item = (f64, f64)>, lengths: Vec<Length>) -> Problem {
    let priors = loose_camera();
    let mut camera = priors.0.map(|prior| prior.value);
    (camera[1], camera[2]) = (0.07, -0.05);
    let view = View::from_unknowns(&camera);
    let rim = |(x, y)| Rim {
        picks: (0..3)
            .map(|k| PlatePoint::new(x, y) + PlateVec::from_angle(f64::from(k) * 2.1) * 5.0)
            .map(|place| view.project(place).unwrap())
            .collect(),
        precision: 1.5.into(),
        edge_break: None,
        keep: true,
    };
    Problem {
        priors,
        rims: places.into_iter().map(rim).collect(),
        spots: Vec::new(),
        sides: Vec::new(),
        breaks: Vec::new(),
        sizes: 0,
        lengths,
        corners: Vec::new(),
        overlays: Vec::new(),
    }
}

fn length(span: Span, mm: f64) -> Length {
    Length { span, mm, sigma_mm: 0.05 }
}

#[track_caller]
fn check_finite(adjusted: &Adjusted<'_>) {
    assert!(adjusted.square_sum().is_finite(), "the square sum");
    for rim in 0..adjusted.problem().rims.len() {
        let (centre, place) = (adjusted.centre(rim), adjusted.relative().covariance(Feature::Rim(rim)));
        assert!(centre.is_finite() && adjusted.rim_radius(rim).is_finite(), "hole {rim} at {centre:?}");
        assert!(place.xx >= 0.0 && place.yy >= 0.0 && place.major_mm().is_finite(), "hole {rim}: {place:?}");
    }
    for tested in adjusted.reliability().tested {
        assert!((0.0..=1.0).contains(&tested.redundancy), "{tested:?}");
        assert!(tested.w.is_none_or(f64::is_finite) && tested.noticed_mm.is_none_or(f64::is_finite), "{tested:?}");
    }
}

#[test]
fn one_hole() {
    let problem = plate([(10.0, 5.0)], vec![length(Span::Diameter(0), 10.0)]);
    check_finite(&adjust(&problem).unwrap());
}

#[test]
fn two_picks_on_one_pixel() {
    let mut problem = plate([(0.0, 0.0), (60.0, 10.0)], vec![length(Span::Centres(0, 1), 60.8)]);
    problem.rims[0].picks[1] = problem.rims[0].picks[0];
    check_finite(&adjust(&problem).unwrap());
}

#[test]
fn the_same_length_read_twice_and_not_alike() {
    let far = |mm| length(Span::FarRims(0, 1), mm);
    let problem = plate([(0.0, 0.0), (60.0, 10.0), (20.0, 50.0)], vec![far(70.8), far(140.0), far(70.8)]);
    let adjusted = adjust(&problem).unwrap();
    check_finite(&adjusted);
    assert_eq!(adjusted.reliability().suspects[0].reading, 1, "the one that the other two outvote");
}

#[test]
fn all_lengths_parallel() {
    let places = (0..6).map(|i| (f64::from(i) * 25.0 - 60.0, 0.0));
    let lengths = (0..5).flat_map(|i| [length(Span::FarRims(i, i + 1), 35.0), length(Span::NearRims(i, i + 1), 15.0)]);
    let problem = plate(places, lengths.collect());
    check_finite(&adjust(&problem).unwrap());
}

#[test]
fn two_holes_at_one_place() {
    let problem = plate([(0.0, 0.0), (0.0, 0.0)], vec![length(Span::Centres(0, 1), 0.1)]);
    check_finite(&adjust(&problem).unwrap());
}

#[test]
fn a_thousand_holes_of_three_picks() {
    let places = (0..1000).map(|i| (f64::from(i % 40) * 4.0 - 80.0, f64::from(i / 40) * 4.0 - 50.0));
    let lengths = (0..40).map(|i| length(Span::Centres(20 * i, 20 * i + 19), 76.0));
    let problem = plate(places, lengths.collect());
    check_finite(&adjust(&problem).unwrap());
}

#[test]
fn what_was_solved_before_changes_no_digit() {
    let lengths = || vec![length(Span::FarRims(0, 1), 70.8), length(Span::FarRims(1, 2), 66.5)];
    let problem = plate([(0.0, 0.0), (60.0, 10.0), (20.0, 50.0)], lengths());
    let once = adjust(&problem).unwrap().plain();
    let mut other = problem.clone();
    other.lengths[0].mm += 3.0;
    adjust(&other).unwrap();
    other.lengths = lengths();
    assert_eq!(adjust(&other).unwrap().plain(), once, "to the last bit");
}
