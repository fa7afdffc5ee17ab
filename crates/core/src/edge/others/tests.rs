//! Pictures with rims and pictures without.

use super::*;
use crate::camera::{Lens, Pose};
use crate::space::{PhotoPoint, PlatePoint};

const SIDE: u32 = 400;

/// Square over the face, 10 px per mm, the plate's origin at the middle of the picture.
fn square_map() -> PlateMap {
    let middle = f64::from(SIDE - 1) / 2.0;
    PlateMap::new(Lens::pinhole(3000.0, PhotoPoint::new(middle, middle)), Pose::square(300.0))
}

/// Numbers that look random (Knuth's linear congruential generator), evenly from -0.5 to 0.5.
fn draws() -> impl FnMut() -> f64 {
    let mut state = 5_u64;
    move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 40) as f64 / f64::from(1 << 24) - 0.5
    }
}

/// Grey sRGB bytes (IEC 61966-2-1) of a picture of light with a little noise.
fn bytes(light: impl Fn(f64, f64) -> f64) -> Vec<u8> {
    let mut draw = draws();
    let mut rgb = Vec::new();
    for pixel in 0..SIDE * SIDE {
        let linear = (light(f64::from(pixel % SIDE), f64::from(pixel / SIDE)) + 0.02 * draw()).clamp(0.0, 1.0);
        let coded = if linear <= 0.003_130_8 { 12.92 * linear } else { 1.055 * linear.powf(1.0 / 2.4) - 0.055 };
        rgb.extend([(coded * 255.0).round() as u8; 3]);
    }
    rgb
}

/// How much of a disc covers a place, blurred over a pixel or two.
fn covered(x: f64, y: f64, [cx, cy, radius]: [f64; 3]) -> f64 {
    (0.5 + 0.5 * (radius - (x - cx).hypot(y - cy))).clamp(0.0, 1.0)
}

/// A face of light `face` with discs of light `hole`.
fn discs(face: f64, hole: f64, discs: &[[f64; 3]]) -> Vec<u8> {
    bytes(|x, y| {
        let most = discs.iter().map(|disc| covered(x, y, *disc)).fold(0.0, f64::max);
        face + (hole - face) * most
    })
}

fn start(map: &PlateMap, [x, y, radius]: [f64; 3]) -> RimStart {
    let centre = map.plate_from_photo(PhotoPoint::new(x, y)).unwrap();
    RimStart { centre, radius_mm: radius / 10.0, reach_px: 8.0 }
}

fn find(rgb: &[u8], accepted: [f64; 3], known: &[RimStart]) -> Vec<Offer> {
    let (map, picture) = (square_map(), Picture::from_srgb([SIDE, SIDE], rgb).unwrap());
    find_rims(&picture, &map, &start(&map, accepted), known, &mut |_| true).unwrap()
}

const HOLES: [[f64; 3]; 5] =
    [[80.3, 70.1, 20.0], [300.2, 90.8, 20.0], [200.4, 200.6, 60.0], [330.7, 320.2, 20.0], [70.0, 320.5, 9.0]];

#[test]
fn holes_are_offered_alike_ones_first() {
    for (face, hole) in [(0.6, 0.1), (0.1, 0.6), (0.3, 0.22)] {
        let offers = find(&discs(face, hole, &HOLES), HOLES[0], &[]);
        let map = square_map();
        let places: Vec<PhotoPoint> = offers.iter().map(|offer| map.photo_from_plate(offer.centre).unwrap()).collect();
        assert_eq!(offers.len(), 4, "face {face}, hole {hole}: {places:?}");
        for (offer, number) in offers.iter().zip([1, 3, 2, 4]) {
            let [x, y, radius] = HOLES[number];
            let off = map.photo_from_plate(offer.centre).unwrap().distance(PhotoPoint::new(x, y));
            assert!(off < 0.5, "hole {number} is {off} px off");
            assert!((offer.radius_mm * 10.0 - radius).abs() < 0.5, "hole {number}: {} mm", offer.radius_mm);
            let size = if number == 1 || number == 3 { SizeClass::Like } else { SizeClass::Other };
            assert_eq!(offer.size, size, "hole {number}");
            for pick in offer.picks {
                assert!((pick.distance(PhotoPoint::new(x, y)) - radius).abs() < 0.6, "hole {number}: pick {pick:?}");
            }
        }
    }
}

#[test]
fn known_holes_are_not_offered_again() {
    let map = square_map();
    let known = [start(&map, HOLES[2]), start(&map, HOLES[4])];
    let offers = find(&discs(0.6, 0.1, &HOLES), HOLES[0], &known);
    assert_eq!(offers.len(), 2, "{offers:?}");
    assert!(offers.iter().all(|offer| offer.size == SizeClass::Like), "{offers:?}");
}

#[test]
fn the_same_picture_gives_the_same_offers() {
    let rgb = discs(0.6, 0.1, &HOLES);
    assert_eq!(find(&rgb, HOLES[0], &[]), find(&rgb, HOLES[0], &[]));
}

#[test]
fn whoever_waits_can_stop_it() {
    let (map, rgb) = (square_map(), discs(0.6, 0.1, &HOLES));
    let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
    let mut told: Vec<f64> = Vec::new();
    let mut go_on = |done: f64| {
        told.push(done);
        true
    };
    assert!(find_rims(&picture, &map, &start(&map, HOLES[0]), &[], &mut go_on).is_some());
    assert!(told.is_sorted() && told.last().is_some_and(|last| (last - 1.0).abs() < 1e-9), "{told:?}");
    for after in 0..told.len() {
        let mut left = after;
        let mut go_on = |_| {
            left = left.saturating_sub(1);
            left > 0
        };
        let stopped = find_rims(&picture, &map, &start(&map, HOLES[0]), &[], &mut go_on);
        assert_eq!(stopped, None, "stopped after {after} steps");
    }
}

#[test]
fn where_there_is_no_other_hole_none_is_offered() {
    let accepted = [80.3, 70.1, 20.0];
    let hole = |x: f64, y: f64| covered(x, y, accepted);
    let mut draw = draws();
    let noise: Vec<f64> = (0..SIDE * SIDE).map(|_| draw()).collect();
    let noise = |x: f64, y: f64| noise[(y * f64::from(SIDE) + x) as usize];
    let squares = |x: f64, y: f64| x % 40.0 > 12.0 && x % 40.0 < 30.0 && y % 30.0 > 8.0 && y % 30.0 < 24.0 && y > 110.0;
    let strokes = |x: f64, y: f64| y > 110.0 && (x % 24.0 < 5.0 || y % 36.0 < 5.0) && (x / 90.0).fract() < 0.8;
    let pictures: [(&str, Vec<u8>); 5] = [
        ("nothing else", bytes(|x, y| 0.6 - 0.5 * hole(x, y))),
        ("noise", bytes(|x, y| 0.5 - 0.4 * hole(x, y) + 0.3 * noise(x, y))),
        ("stripes", bytes(|x, y| 0.5 + 0.1 * (0.9 * x + 0.3 * y).sin() - 0.4 * hole(x, y))),
        ("squares", bytes(|x, y| 0.6 - 0.5 * hole(x, y).max(f64::from(u8::from(squares(x, y)))))),
        ("strokes", bytes(|x, y| 0.6 - 0.5 * hole(x, y).max(f64::from(u8::from(strokes(x, y)))))),
    ];
    for (name, rgb) in pictures {
        let offers = find(&rgb, accepted, &[]);
        assert!(offers.is_empty(), "{name}: {offers:?}");
    }
}

#[test]
fn round_things_that_are_no_holes_of_the_face_are_not_offered() {
    let accepted = [80.3, 70.1, 20.0];
    // The face is left of x = 200; beyond it lies a bench with a stain. On the face a circle is scribed.
    let light = |x: f64, y: f64| {
        let ground = if x < 200.0 { 0.6 } else { 0.15 };
        let line = (covered(x, y, [100.0, 300.0, 40.0]) - covered(x, y, [100.0, 300.0, 38.0])).max(0.0);
        let stain = covered(x, y, [300.0, 200.0, 20.0]);
        (ground - 0.1 * stain).max(0.02) - 0.4 * line - 0.5 * covered(x, y, accepted)
    };
    let offers = find(&bytes(light), accepted, &[]);
    assert!(offers.is_empty(), "{offers:?}");
}

#[test]
fn a_step_beside_the_rim_is_no_hole_of_its_own() {
    let accepted = [80.3, 70.1, 20.0];
    let light = |x: f64, y: f64| {
        let inner = covered(x, y, [300.0, 304.0, 42.0]);
        0.6 - 0.5 * covered(x, y, accepted) - 0.25 * covered(x, y, [300.0, 300.0, 50.0]) - 0.3 * inner
    };
    let offers = find(&bytes(light), accepted, &[]);
    assert_eq!(offers.len(), 1, "{offers:?}");
    assert!((offers[0].radius_mm - 5.0).abs() < 0.05, "the outermost is the rim: {}", offers[0].radius_mm);
}

#[test]
fn nothing_that_is_handed_in_does_harm() {
    let rgb = discs(0.6, 0.1, &[[80.0, 70.0, 20.0], [398.0, 200.0, 30.0], [200.0, 2.0, 25.0], [0.0, 400.0, 60.0]]);
    let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
    let nan = Lens::pinhole(f64::NAN, PhotoPoint::new(f64::NAN, 0.0));
    let steep = Pose { distance_mm: 300.0, tilt_a_rad: 1.5, tilt_b_rad: 0.0 };
    let maps = [
        square_map(),
        PlateMap::new(nan, Pose::square(300.0)),
        PlateMap::new(Lens::pinhole(3000.0, PhotoPoint::new(200.0, 200.0)), steep),
        PlateMap::new(Lens::pinhole(3000.0, PhotoPoint::new(200.0, 200.0)), Pose::square(f64::INFINITY)),
    ];
    for map in maps {
        for radius_mm in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-9, 2.0, 1e5] {
            for at in [PlatePoint::default(), PlatePoint::new(-12.0, 13.0), PlatePoint::new(f64::NAN, 0.0)] {
                let rim = RimStart { centre: at, radius_mm, reach_px: f64::NAN };
                let offers = find_rims(&picture, &map, &rim, &[rim], &mut |_| true).unwrap();
                for offer in offers {
                    let is_finite = offer.centre.is_finite() && offer.radius_mm.is_finite();
                    assert!(is_finite && offer.picks.iter().all(|pick| pick.is_finite()), "{offer:?}");
                }
            }
        }
    }
    for size in [0, 1, 3, 30, 60] {
        let rgb = vec![90; (size * size * 3) as usize];
        let tiny = Picture::from_srgb([size, size], &rgb).unwrap();
        let offers = find_rims(&tiny, &square_map(), &start(&square_map(), HOLES[0]), &[], &mut |_| true);
        assert_eq!(offers, Some(Vec::new()), "an even picture of {size} px");
    }
    let even = bytes(|_, _| 0.4);
    assert!(find(&even, HOLES[0], &[]).is_empty(), "nothing where the accepted hole should be");
}
