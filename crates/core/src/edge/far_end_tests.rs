//! Rims above walls that look like the face.

use super::{Picture, RimMeasurement, RimStart, Verdict, measure_rim, measure_rims};
use crate::camera::{Lens, PlateMap, Pose};
use crate::space::{PhotoPoint, PlatePoint};

const SIDE: u32 = 240;
const RADIUS_MM: f64 = 2.0;
const DEPTH_MM: f64 = 2.0;
const FACE: f64 = 0.6;

/// About 10 px per mm, the camera 26 mm beside the middle.
fn map() -> PlateMap {
    let middle = f64::from(SIDE - 1) / 2.0;
    let lens = Lens::pinhole(1500.0, PhotoPoint::new(middle, middle));
    PlateMap::new(lens, Pose { distance_mm: 150.0, tilt_a_rad: 0.0, tilt_b_rad: 0.18 })
}

/// Four holes, each with the light of its wall.
fn holes(last_wall: f64) -> [(PlatePoint, f64); 4] {
    let at = |x, y, wall| (PlatePoint::new(x, y), wall);
    [at(-5.03, -5.11, 0.3), at(5.21, -4.92, 0.3), at(-4.87, 5.04, 0.3), at(5.06, 5.17, last_wall)]
}

/// Grey sRGB bytes (IEC 61966-2-1) of a plate with holes over dark ground, the mean of places about each pixel with the
/// weights of a Gaussian of 0.8 px.
fn bytes(map: &PlateMap, holes: &[(PlatePoint, f64)]) -> Vec<u8> {
    let (foot, height_mm) = map.standpoint();
    let light = |at: PlatePoint| {
        let Some((centre, wall)) = holes.iter().find(|(centre, _)| centre.distance(at) < RADIUS_MM) else {
            return FACE;
        };
        // The ray goes on to the depth where the wall ends.
        let below = at + (at - foot) * (DEPTH_MM / height_mm);
        if below.distance(*centre) < RADIUS_MM { 0.1 } else { *wall }
    };
    let mut state = 1_u64;
    let mut rgb = Vec::new();
    for pixel in 0..SIDE * SIDE {
        let (mut sum, mut weights) = (0.0, 0.0);
        for (i, j) in (-4..=4).flat_map(|i| (-4..=4).map(move |j| (f64::from(i) * 0.5, f64::from(j) * 0.5))) {
            let weight = (-0.5 * (i * i + j * j) / 0.64_f64).exp();
            let at = PhotoPoint::new(f64::from(pixel % SIDE) + i, f64::from(pixel / SIDE) + j);
            sum += weight * light(map.plate_from_photo(at).unwrap());
            weights += weight;
        }
        let coded: f64 = 1.055 * (sum / weights).powf(1.0 / 2.4) - 0.055;
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let dither = (state >> 40) as f64 / f64::from(1 << 24);
        rgb.extend([(coded * 255.0 + dither).floor() as u8; 3]);
    }
    rgb
}

fn starts(holes: &[(PlatePoint, f64)]) -> Vec<RimStart> {
    let start =
        |(centre, _): &(PlatePoint, f64)| RimStart { centre: *centre, radius_mm: RADIUS_MM + 0.05, reach_px: 12.0 };
    holes.iter().map(start).collect()
}

fn off_mm(rim: &RimMeasurement, centre: PlatePoint) -> f64 {
    rim.centre.distance(centre).max((rim.radius_mm - RADIUS_MM).abs())
}

#[test]
fn where_only_the_far_end_of_the_wall_is_seen_the_rim_is_above_it() {
    let (map, holes) = (map(), holes(FACE));
    let rgb = bytes(&map, &holes);
    let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
    let starts = starts(&holes);
    let alone = measure_rim(&picture, &map, &starts[3]).unwrap();
    assert_eq!(
        alone.verdict,
        Verdict::Scattered,
        "half rim, half far end: {} px, {} mm",
        alone.rms_px,
        alone.radius_mm
    );
    for (number, (found, (centre, _))) in measure_rims(&picture, &map, &starts).iter().zip(holes).enumerate() {
        let rim = found.as_ref().unwrap();
        assert!(rim.verdict.is_one_circle(), "hole {number}: {:?}", rim.verdict);
        let off = off_mm(rim, centre);
        assert!(off < if number == 3 { 0.03 } else { 0.01 }, "hole {number} is off by {off} mm");
    }
    let together = measure_rims(&picture, &map, &starts);
    let [plain, above] = [0, 3].map(|number| together[number].as_ref().unwrap());
    assert!(above.shared_radius_px > plain.shared_radius_px, "how deep it is shifts all of its points");
    assert!(
        above.wall_depth_mm.is_some_and(|depth| (depth / DEPTH_MM - 1.0).abs() < 0.05),
        "{:?}",
        above.wall_depth_mm
    );
}

#[test]
fn nothing_is_brought_up_where_the_thickness_is_not_told() {
    let map = map();
    let holes = &holes(FACE)[2..];
    let rgb = bytes(&map, holes);
    let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
    let rims = measure_rims(&picture, &map, &starts(holes));
    assert_eq!(rims[1].as_ref().unwrap().verdict, Verdict::Scattered, "one other rim is no agreement");
}
