//! Outlines proposed in pictures whose light is known, and pictures without one.

use super::*;
use crate::camera::{Lens, Pose};

const SIDE: u32 = 400;

/// Square over the face, 10 px per mm, the plate's origin at the middle of the picture.
fn square_map() -> PlateMap {
    let middle = f64::from(SIDE - 1) / 2.0;
    PlateMap::new(Lens::pinhole(3000.0, PhotoPoint::new(middle, middle)), Pose::square(300.0))
}

/// Colours of light with a little noise as sRGB bytes (IEC 61966-2-1).
fn bytes(light: impl Fn(f64, f64) -> [f64; 3]) -> Vec<u8> {
    let mut state = 5_u64;
    let mut rgb = Vec::new();
    for pixel in 0..SIDE * SIDE {
        for value in light(f64::from(pixel % SIDE), f64::from(pixel / SIDE)) {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            let linear = (value + 0.02 * ((state >> 40) as f64 / f64::from(1 << 24) - 0.5)).clamp(0.0, 1.0);
            let coded = if linear <= 0.003_130_8 { 12.92 * linear } else { 1.055 * linear.powf(1.0 / 2.4) - 0.055 };
            rgb.push((coded * 255.0).round() as u8);
        }
    }
    rgb
}

/// How far a place lies within a box, px.
fn within([left, top, right, bottom]: [f64; 4], x: f64, y: f64) -> f64 {
    (x - left).min(y - top).min(right - x).min(bottom - y)
}

const OUTLINE: [f64; 4] = [60.0, 80.0, 340.0, 330.0];
const OPENING: [f64; 4] = [220.0, 150.0, 300.0, 260.0];
const HOLE: [f64; 3] = [130.0, 200.0, 22.0];

/// How far a place lies from the face's edge, towards the face, px.
fn depth(x: f64, y: f64) -> f64 {
    let off_hole = (x - HOLE[0]).hypot(y - HOLE[1]) - HOLE[2];
    within(OUTLINE, x, y).min(-within(OPENING, x, y)).min(off_hole)
}

/// A grey plate with an opening and a round hole on brown wood as light as itself.
fn plate() -> Vec<u8> {
    bytes(|x, y| {
        let covered = (0.5 + 0.5 * depth(x, y)).clamp(0.0, 1.0);
        let (face, ground) = ([0.4, 0.4, 0.4], [0.55, 0.38, 0.2]);
        std::array::from_fn(|i| ground[i] + (face[i] - ground[i]) * covered)
    })
}

fn propose(rgb: &[u8], x: f64, y: f64, holes: &[(PlatePoint, f64)]) -> Option<Proposal> {
    let picture = Picture::from_srgb([SIDE, SIDE], rgb).unwrap();
    propose_outline(&picture, &square_map(), PhotoPoint::new(x, y), holes, None, &mut |_| true)
}

fn hole() -> (PlatePoint, f64) {
    (square_map().plate_from_photo(PhotoPoint::new(HOLE[0], HOLE[1])).unwrap(), HOLE[2] / 10.0)
}

/// Twice the area within a chain, px²; positive where it runs clockwise as it is seen, as y runs down.
fn twice_area(chain: &[PhotoPoint]) -> f64 {
    let next = chain.iter().cycle().skip(1);
    chain.iter().zip(next).map(|(a, b)| a.x * b.y - b.x * a.y).sum()
}

#[test]
fn one_click_gives_the_outline_and_the_opening() {
    let proposal = propose(&plate(), 100.0, 300.0, &[hole()]).unwrap();
    assert_eq!(proposal.openings.len(), 1, "the opening, and not the known hole");
    for (chain, within_chain, sense) in [(&proposal.outer, OUTLINE, -1.0), (&proposal.openings[0], OPENING, 1.0)] {
        for place in chain {
            let off = within(within_chain, place.x, place.y);
            assert!(off.abs() < 1.5, "{place:?} is {off} px within {within_chain:?}");
        }
        let [left, top, right, bottom] = within_chain;
        let share = 0.5 * sense * twice_area(chain) / ((right - left) * (bottom - top));
        assert!((share - 1.0).abs() < 0.01, "it goes round once with the face on its left: {share}");
    }
}

#[test]
fn an_unknown_hole_is_an_opening() {
    let proposal = propose(&plate(), 100.0, 300.0, &[]).unwrap();
    assert_eq!(proposal.openings.len(), 2, "the opening and the hole");
}

#[test]
fn where_no_face_ends_nothing_is_proposed() {
    assert_eq!(propose(&bytes(|_, _| [0.4; 3]), 200.0, 200.0, &[]), None, "an even picture");
    // On the ground, which runs off the photo.
    assert_eq!(propose(&plate(), 20.0, 20.0, &[]), None, "the ground");
}

#[test]
fn clicks_that_are_no_places_propose_nothing() {
    let rgb = plate();
    for (x, y) in [(-5.0, 100.0), (100.0, 1e9), (f64::NAN, 100.0), (100.0, f64::INFINITY)] {
        assert_eq!(propose(&rgb, x, y, &[]), None, "({x}, {y})");
    }
    let bad = [(PlatePoint::new(f64::NAN, 0.0), 2.0), (PlatePoint::new(0.0, 0.0), f64::INFINITY)];
    assert!(propose(&rgb, 100.0, 300.0, &bad[..1]).is_some(), "a hole that is nowhere hides nothing");
    let tiny = Picture::from_srgb([20, 20], &[90; 1200]).unwrap();
    let click = PhotoPoint::new(10.0, 10.0);
    assert_eq!(propose_outline(&tiny, &square_map(), click, &bad, None, &mut |_| true), None, "a tiny photo");
}

#[test]
fn it_stops_when_it_is_told_to() {
    let rgb = plate();
    let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
    let run = |stop_at: usize| {
        let (mut calls, mut shares) = (0, Vec::new());
        let click = PhotoPoint::new(100.0, 300.0);
        let proposal = propose_outline(&picture, &square_map(), click, &[], None, &mut |share| {
            calls += 1;
            shares.push(share);
            calls <= stop_at
        });
        (proposal, shares)
    };
    let (whole, shares) = run(usize::MAX);
    assert!(whole.is_some() && shares.is_sorted(), "{shares:?}");
    for stop_at in 0..shares.len() {
        let (stopped, calls) = run(stop_at);
        assert_eq!((stopped, calls.len()), (None, stop_at + 1), "stopped after {stop_at}");
    }
}
