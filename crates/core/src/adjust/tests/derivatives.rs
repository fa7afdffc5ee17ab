//! The gradient of every kind of observation against central differences, and what misfits mean.

use super::Draws;
use crate::adjust::evaluate::Joint;
use crate::adjust::layout::Layout;
use crate::adjust::levenberg::Model;
use crate::adjust::normal::Normal;
use crate::adjust::rim::{Circle, Middle};
use crate::adjust::{
    BREAK_WIDTH, Corner, Feature, Known, Length, Overlay, Prior, Priors, Problem, Rim, Side, Span, Spot,
};
use crate::camera::View;
use crate::space::{PhotoPoint, PlatePoint, PlateVec};
use std::sync::Arc;

const CAMERA: [f64; 10] = [5.9, 0.21, -0.16, 8.0, 1980.0, 1510.0, -0.08, 0.03, 0.0011, -0.0007];

/// A problem with everything in it: two holes with one broken edge, a point, two parallel edges.
fn problem(lengths: Vec<Length>) -> (Problem, Vec<f64>) {
    let view = View::from_unknowns(&CAMERA);
    let see = |x: f64, y: f64| view.project(PlatePoint::new(x, y)).unwrap() + crate::space::PhotoVec::new(1.3, -2.1);
    let rim = |x: f64, y: f64, r: f64, edge_break| Rim {
        picks: (0..5).map(|i| PlateVec::from_angle(f64::from(i)) * r).map(|v| see(x + v.x, y + v.y)).collect(),
        precision: 1.5.into(),
        edge_break,
        keep: true,
    };
    let side = |x: f64| Side { picks: vec![see(x, -30.0), see(x + 0.2, 5.0), see(x, 44.0)], precision: 2.0.into() };
    let problem = Problem {
        priors: Priors(CAMERA.map(|value| Prior { value: value + 0.01, sigma: 0.3 })),
        rims: vec![rim(30.0, 20.0, 9.0, Some(0)), rim(-25.0, -41.0, 4.0, None)],
        spots: vec![Spot { pick: see(50.0, -5.0), sigma_px: 1.0 }, Spot { pick: see(5.0, 15.0), sigma_px: 1.0 }],
        sides: vec![side(60.0), side(-50.0)],
        breaks: vec![BREAK_WIDTH],
        sizes: 1,
        lengths,
        corners: vec![Corner { spot: 1, sides: [0, 1], sigma_mm: 0.4 }],
        overlays: vec![Overlay {
            places: vec![
                Known { feature: Feature::Rim(1), at: PlatePoint::new(12.0, -40.0), sigma_mm: 0.2 },
                Known { feature: Feature::Spot(0), at: PlatePoint::new(65.0, 33.0), sigma_mm: 0.3 },
            ],
        }],
    };
    let mut values = vec![0.0; Layout::of(&problem).size];
    let layout = Layout::of(&problem);
    let mut put = |at: usize, from: &[f64]| values[at..at + from.len()].copy_from_slice(from);
    put(layout.rims[0], &[30.2, 19.9, 9.1]);
    put(layout.rims[1], &[-25.1, -40.8, 3.9]);
    put(layout.spots[0], &[50.1, -5.2]);
    put(layout.spots[1], &[5.3, 15.0]);
    // Exactly parallel, one seen from either side.
    put(layout.sides[0], &[0.01, 60.1]);
    put(layout.sides[1], &[0.01 + std::f64::consts::PI, 49.8]);
    put(layout.breaks, &[0.4]);
    put(layout.sizes, &[17.0]);
    put(layout.overlay(0), &[-20.0, 5.0, 0.3]);
    put(layout.camera, &CAMERA);
    (problem, values)
}

fn check(name: &str, lengths: Vec<Length>) {
    let (problem, values) = problem(lengths);
    let layout = Layout::of(&problem);
    let model = Joint { problem: &problem, layout: &layout };
    let mut normal = Normal::new(Arc::clone(model.structure()));
    let mut feet = model.guess();
    let mut sum_at = |values: &[f64], normal: &mut Normal| model.evaluate(values, &mut feet, normal).unwrap();
    sum_at(&values, &mut normal);
    let exact = normal.gradient.clone();
    for (i, exact) in exact.iter().enumerate() {
        let step = 1e-5 * (1.0 + values[i].abs()).min(10.0);
        let mut there = values.clone();
        let mut at = |steps: f64| {
            there[i] = values[i] + steps * step;
            sum_at(&there, &mut normal)
        };
        // Central differences of the fourth order; the gradient is half the derivative of the square sum.
        let central = (8.0 * (at(1.0) - at(-1.0)) - (at(2.0) - at(-2.0))) / (24.0 * step);
        let off = (central - exact).abs();
        assert!(off < 1e-6 * (1.0 + exact.abs()), "{name}, unknown {i}: {exact} against {central}");
    }
}

#[test]
fn picks_points_edges_and_beliefs() {
    check("no length", Vec::new());
}

#[test]
fn every_kind_of_length() {
    for span in [
        Span::Centres(0, 1),
        Span::FarRims(0, 1),
        Span::NearRims(1, 0),
        Span::Diameter(0),
        Span::Diameter(1),
        Span::Points(0, 1),
        Span::Sides(0, 1),
        Span::RimToSide(0, 1),
        Span::RimToSide(1, 0),
        Span::SameSize(0, 0),
        Span::SameSize(1, 0),
        Span::Square(0, 1),
        Span::OnSide(0, 0),
        Span::OnSide(1, 1),
    ] {
        check(&format!("{span:?}"), vec![Length { span, mm: 77.0, sigma_mm: 0.5 }]);
    }
}

#[test]
fn a_rim_misfit_is_the_distance_to_the_nearest_place_of_the_rim() {
    let view = View::from_unknowns(&CAMERA);
    let (centre, radius) = (PlatePoint::new(40.0, -20.0), 25.0);
    let middle = view.project(centre).unwrap();
    let mut draws = Draws(5);
    for _ in 0..50 {
        let pick = middle + crate::space::PhotoVec::new(300.0 * draws.normal(), 300.0 * draws.normal());
        let nearest = (0..100_000)
            .map(|i| PlateVec::from_angle(f64::from(i) * std::f64::consts::TAU / 1e5) * radius)
            .filter_map(|v| view.project(centre + v))
            .map(|seen| seen.distance(pick))
            .fold(f64::INFINITY, f64::min);
        let px = Circle { centre, radius }.misfit_px(&view, pick).unwrap();
        assert!((px.abs() - nearest).abs() < 1e-3, "{px} px against {nearest} px");
    }
}

#[test]
fn a_pick_at_the_centre_has_a_finite_misfit() {
    let view = View::from_unknowns(&CAMERA);
    let centre = PlatePoint::new(40.0, -20.0);
    let pick: PhotoPoint = view.project(centre).unwrap();
    let mut towards = Middle::of(&view, centre).unwrap().direction(pick);
    let mut finite = false;
    let circle = Circle { centre, radius: 5.0 };
    let seen = circle.misfits(
        &view,
        |_| 1.0,
        &[pick],
        std::slice::from_mut(&mut towards),
        |px, own, camera| {
            assert!(px < -20.0, "well inside: {px} px");
            finite = own.iter().chain(camera).chain([&px]).all(|by| by.is_finite());
        },
    );
    assert!(seen.is_some() && finite, "with derivatives");
}

#[test]
fn a_pick_has_the_same_misfit_alone_and_among_others() {
    let view = View::from_unknowns(&CAMERA);
    let circle = Circle { centre: PlatePoint::new(40.0, -20.0), radius: 25.0 };
    let middle = view.project(circle.centre).unwrap();
    let mut draws = Draws(8);
    // More than are worked on side by side, and no whole number of times as many.
    let picks: Vec<PhotoPoint> =
        (0..21).map(|_| middle + crate::space::PhotoVec::new(200.0 * draws.normal(), 200.0 * draws.normal())).collect();
    let by_middle = Middle::of(&view, circle.centre).unwrap();
    let mut feet: Vec<PlateVec> = picks.iter().map(|pick| by_middle.direction(*pick)).collect();
    let mut together = Vec::new();
    circle.misfits(&view, |_| 1.0, &picks, &mut feet, |px, _, _| together.push(px)).unwrap();
    assert_eq!(together.len(), picks.len(), "one for each");
    for (pick, together) in picks.iter().zip(together) {
        let alone = circle.misfit_px(&view, *pick).unwrap();
        assert!((alone - together).abs() < 1e-9, "{alone} px alone, {together} px among others");
    }
}
