//! Statements about the shape, and known places that lie on the face.

use super::held_camera;
use crate::adjust::{Feature, Known, Length, Overlay, Priors, Problem, Rim, Side, Span, Spot, adjust};
use crate::camera::{RigidMove, View};
use crate::space::{PhotoPoint, PhotoVec, PlatePoint, PlateVec};

/// A camera of which everything but the lens is open.
fn open_camera() -> Priors {
    let mut priors = held_camera();
    for (prior, sigma) in priors.0.iter_mut().zip([3.0, 0.09, 0.09, 0.04]) {
        prior.sigma = sigma;
    }
    priors
}

fn view() -> View {
    View::from_unknowns(&open_camera().0.map(|prior| prior.value))
}

fn see(x: f64, y: f64) -> PhotoPoint {
    view().project(PlatePoint::new(x, y)).unwrap()
}

fn rim(x: f64, y: f64, radius: f64) -> Rim {
    let picks = (0..4).map(|k| PlateVec::from_angle(1.5 * f64::from(k)) * radius).map(|v| see(x + v.x, y + v.y));
    Rim { picks: picks.collect(), precision: 1.5.into(), edge_break: None, keep: true }
}

fn problem() -> Problem {
    Problem {
        priors: open_camera(),
        rims: vec![rim(-60.0, -40.0, 4.0), rim(62.0, -41.0, 4.0), rim(1.0, 45.0, 4.0)],
        spots: Vec::new(),
        sides: Vec::new(),
        breaks: Vec::new(),
        sizes: 0,
        lengths: vec![Length { span: Span::Centres(0, 1), mm: 122.0 + 0.004, sigma_mm: 0.05 }],
        corners: Vec::new(),
        overlays: Vec::new(),
    }
}

fn stated(span: Span, sigma_mm: f64) -> Length {
    Length { span, mm: 0.0, sigma_mm }
}

#[test]
fn holes_of_one_size_share_what_is_known_of_it() {
    let mut problem = Problem { priors: held_camera(), ..problem() };
    let alone = adjust(&problem).unwrap().fitted_length(Span::Diameter(0)).1;
    problem.sizes = 1;
    problem.lengths.extend((0..3).map(|rim| stated(Span::SameSize(rim, 0), 0.001)));
    let adjusted = adjust(&problem).unwrap();
    let sigma = adjusted.fitted_length(Span::Diameter(0)).1;
    // The camera being known, three equal holes are the mean of three.
    assert!((sigma / alone - 1.0 / 3_f64.sqrt()).abs() < 0.01, "± of a diameter falls from {alone} to {sigma}");
    assert!((adjusted.fitted_length(Span::Diameter(1)).0 - 8.0).abs() < 0.01, "and it stays what it is");
}

#[test]
fn a_hole_that_is_not_of_the_stated_size_is_named() {
    let mut problem = problem();
    problem.rims.extend([rim(40.0, 10.0, 4.0), rim(-30.0, 20.0, 4.6)]);
    problem.sizes = 1;
    problem.lengths.extend((0..5).map(|rim| stated(Span::SameSize(rim, 0), 0.02)));
    let reliability = adjust(&problem).unwrap().reliability();
    let suspect = &reliability.suspects[0];
    assert_eq!(problem.lengths[suspect.reading].span, Span::SameSize(4, 0), "the larger one: {suspect:?}");
    assert!(suspect.equally.is_empty(), "and no other: {suspect:?}");
}

#[test]
fn square_edges_and_a_point_on_an_edge_hold_what_they_state() {
    let side = |a: PhotoPoint, b: PhotoPoint| Side { picks: vec![a, b], precision: 2.0.into() };
    let mut problem = problem();
    // Picked a few px askew, one edge along x and one along y.
    problem.sides = vec![
        side(see(-60.0, -60.0), see(60.0, -60.0) + PhotoVec::new(0.0, 9.0)),
        side(see(70.0, -50.0), see(70.0, 50.0)),
    ];
    problem.spots = vec![Spot { pick: see(70.3, 20.0), sigma_px: 1.5 }];
    let adjusted = adjust(&problem).unwrap();
    let (askew, askew_sigma) = adjusted.fitted_length(Span::Square(0, 1));
    let (beside, _) = adjusted.fitted_length(Span::OnSide(0, 1));
    assert!(askew.abs() > 0.5 && beside.abs() > 0.2, "as picked: {askew} in 100 and {beside} mm");
    problem.lengths.extend([stated(Span::Square(0, 1), 0.01), stated(Span::OnSide(0, 1), 0.005)]);
    let adjusted = adjust(&problem).unwrap();
    let (square, square_sigma) = adjusted.fitted_length(Span::Square(0, 1));
    let (on, _) = adjusted.fitted_length(Span::OnSide(0, 1));
    assert!(square.abs() < 0.01 && on.abs() < 0.005, "as stated: {square} in 100 and {on} mm");
    assert!(square_sigma < 0.1 * askew_sigma, "± of the corner falls from {askew_sigma} to {square_sigma}");
}

#[test]
fn an_overlay_gives_the_scale_wherever_it_lies() {
    let mut problem = problem();
    problem.lengths.clear();
    let lies = RigidMove::new(2.5, PlateVec::new(300.0, -80.0));
    let places = [(-60.0, -40.0), (62.0, -41.0), (1.0, 45.0)].into_iter().enumerate().map(|(i, (x, y))| Known {
        feature: Feature::Rim(i),
        at: lies.apply(PlatePoint::new(x, y)),
        sigma_mm: 0.02,
    });
    problem.overlays = vec![Overlay { places: places.collect() }];
    let adjusted = adjust(&problem).unwrap();
    let (mm, sigma) = adjusted.fitted_length(Span::Centres(0, 1));
    assert!((mm - 122.004).abs() < 1e-3, "{mm} mm between the first two");
    assert!(sigma < 0.03, "known by the overlay to {sigma} mm");
    assert!(adjusted.square_sum() < 1e-3, "nothing contradicts: {}", adjusted.square_sum());
}

#[test]
fn a_single_known_place_leaves_everything_finite() {
    let mut problem = problem();
    let known = Known { feature: Feature::Rim(2), at: PlatePoint::new(5.0, 5.0), sigma_mm: 0.1 };
    problem.overlays = vec![Overlay { places: vec![known] }];
    let free = Problem { overlays: Vec::new(), ..problem.clone() };
    let (with, without) = (adjust(&problem).unwrap(), adjust(&free).unwrap());
    for rim in 0..3 {
        let of = |adjusted: &crate::adjust::Adjusted<'_>| adjusted.relative().covariance(Feature::Rim(rim)).major_mm();
        assert!((of(&with) / of(&without) - 1.0).abs() < 1e-6, "one place alone says nothing of hole {rim}");
    }
}
