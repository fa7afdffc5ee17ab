//! The best rigid move against SciPy's SLSQP on the same errors (tests/judges/minimax.py: true turns, numeric
//! derivatives), and the reference example of six holes.

use platewright_core::bolt_up::minimax_move;
use platewright_core::space::{PlatePoint, PlateVec};
use platewright_tests::{judge, shared_dir, skip};
use serde_json::{Value, json};

/// One plate with its errors, mm.
struct Draw {
    places: Vec<PlatePoint>,
    offsets: Vec<PlateVec>,
    plays: Vec<f64>,
}

/// The next of numbers that are spread evenly over 0 to 1: multiples of the golden ratio.
fn even(count: &mut f64) -> f64 {
    *count += 1.0;
    (*count * 0.618_033_988_749_894_9).fract()
}

/// Plates of 3 to 12 holes on an uneven ring, with errors about as large as the play, so that some go on.
fn draws() -> Vec<Draw> {
    let mut count = 0.0;
    let draw = |k: u32| {
        let holes = 3 + k % 10;
        let mut next = || even(&mut count);
        let place = |i: u32, next: &mut dyn FnMut() -> f64| {
            let turn = (f64::from(i) + 0.6 * next()) * std::f64::consts::TAU / f64::from(holes);
            PlatePoint::default() + PlateVec::from_angle(turn) * (70.0 + 40.0 * next())
        };
        let places = (0..holes).map(|i| place(i, &mut next)).collect();
        let size = 0.3 + 0.06 * f64::from(k % 7);
        let offsets = (0..holes).map(|_| PlateVec::new(next() - 0.5, next() - 0.5) * (2.0 * size)).collect();
        let plays = (0..holes).map(|_| if next() < 0.3 { 0.5 } else { 0.3 }).collect();
        Draw { places, offsets, plays }
    };
    (0..100).map(draw).collect()
}

#[test]
fn the_best_move_is_that_of_scipy() {
    let draws = draws();
    let as_json = |draw: &Draw| {
        let places: Vec<[f64; 2]> = draw.places.iter().map(|p| (*p).into()).collect();
        let offsets: Vec<[f64; 2]> = draw.offsets.iter().map(|e| (*e).into()).collect();
        json!({"places": places, "offsets": offsets, "plays": draw.plays})
    };
    let input = json!({"cases": draws.iter().map(as_json).collect::<Vec<_>>()});
    let Some(answer) = judge("minimax.py", &[], &input.to_string()) else { return };
    let theirs = answer["worst"].as_array().expect("a figure for each case");
    assert_eq!(theirs.len(), draws.len(), "a figure for each case");
    let mut goes_on = 0;
    for (k, (draw, theirs)) in draws.iter().zip(theirs).enumerate() {
        let ours = minimax_move(&draw.offsets, &draw.places, &draw.plays).expect("the case is a plate").worst_mm;
        let theirs = theirs.as_f64().expect("a figure");
        assert!((ours - theirs).abs() < 1e-6, "case {k}: {ours} here, {theirs} by SciPy");
        assert_eq!(ours <= 0.0, theirs <= 0.0, "case {k}: whether it goes on, {ours} and {theirs}");
        goes_on += usize::from(ours <= 0.0);
    }
    assert!((20..=80).contains(&goes_on), "both kinds are there: {goes_on} of {} go on", draws.len());
}

/// `minimax_registration` of the reference data: P moved onto Q, turned about the middle of P.
#[test]
fn six_holes_as_in_the_reference_data() {
    let Some(shared) = shared_dir() else { return skip("the reference figures are not beside the project") };
    let path = shared.join("references/data/computed_checks.json");
    let text = std::fs::read_to_string(&path).expect("the reference data can be read");
    let all: Value = serde_json::from_str(&text).expect("the reference data is JSON");
    let data = &all["minimax_registration"];
    let points = |key: &str| -> Vec<PlatePoint> {
        serde_json::from_value(data[key].clone()).unwrap_or_else(|error| panic!("{key}: {error}"))
    };
    let figure = |key: &str| data["minimax"][key].as_f64().unwrap_or_else(|| panic!("{key} is a figure"));
    let (holes, fasteners) = (points("P"), points("Q"));
    let offsets: Vec<PlateVec> = holes.iter().zip(&fasteners).map(|(p, q)| *p - *q).collect();
    let found = minimax_move(&offsets, &fasteners, &vec![0.0; holes.len()]).expect("six holes");
    assert!((found.worst_mm - figure("max")).abs() < 1e-9, "largest {}", found.worst_mm);
    assert!((found.turn_rad - figure("theta_rad")).abs() < 1e-8, "turn {}", found.turn_rad);
    let least_squares = platewright_tests::errors_after_rigid_move(&holes, &fasteners);
    let largest = least_squares.iter().copied().fold(0.0, f64::max);
    let theirs = data["least_squares"]["max"].as_f64().expect("a figure");
    assert!((largest - theirs).abs() < 1e-8, "the largest by least squares is {largest}");
    assert!(found.worst_mm < largest, "and the best move betters it");
}
