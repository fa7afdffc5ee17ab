//! Rims and openings above walls that look like the face.

use super::{
    EdgePoint, FaceSide, Picture, RimMeasurement, RimStart, Verdict, Walls, follow_edge, measure_rim, measure_rims,
};
use crate::camera::{Lens, PlateMap, Pose};
use crate::space::{PhotoPoint, PlatePoint, PlateVec};

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

/// What a ray through a place of the face's plane meets where the wall ends.
fn far_end(map: &PlateMap, at: PlatePoint) -> PlatePoint {
    let (foot, height_mm) = map.standpoint();
    at + (at - foot) * (DEPTH_MM / height_mm)
}

/// A plate with holes over dark ground.
fn bytes(map: &PlateMap, holes: &[(PlatePoint, f64)]) -> Vec<u8> {
    bytes_of(map, |at| {
        let Some((centre, wall)) = holes.iter().find(|(centre, _)| centre.distance(at) < RADIUS_MM) else {
            return [FACE; 3];
        };
        if far_end(map, at).distance(*centre) < RADIUS_MM { [0.1; 3] } else { [*wall; 3] }
    })
}

/// The sRGB bytes (IEC 61966-2-1) of light on the face's plane, the mean of places about each pixel with the weights of a
/// Gaussian of 0.8 px.
fn bytes_of(map: &PlateMap, light: impl Fn(PlatePoint) -> [f64; 3]) -> Vec<u8> {
    let mut state = 1_u64;
    let mut rgb = Vec::new();
    for pixel in 0..SIDE * SIDE {
        let (mut sum, mut weights) = ([0.0; 3], 0.0);
        for (i, j) in (-4..=4).flat_map(|i| (-4..=4).map(move |j| (f64::from(i) * 0.5, f64::from(j) * 0.5))) {
            let weight = (-0.5 * (i * i + j * j) / 0.64_f64).exp();
            let at = PhotoPoint::new(f64::from(pixel % SIDE) + i, f64::from(pixel / SIDE) + j);
            for (sum, light) in sum.iter_mut().zip(light(map.plate_from_photo(at).unwrap())) {
                *sum += weight * light;
            }
            weights += weight;
        }
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let dither = (state >> 40) as f64 / f64::from(1 << 24);
        rgb.extend(sum.map(|sum| {
            let coded = 1.055 * f64::powf(sum / weights, 1.0 / 2.4) - 0.055;
            (coded * 255.0 + dither).floor() as u8
        }));
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
    let walls = Walls::of_rims(together.iter().flatten()).unwrap();
    assert!((walls.depth_mm / DEPTH_MM - 1.0).abs() < 0.05 && (walls.blur_px - 0.8).abs() < 0.05, "{walls:?}");
    assert_eq!(Walls::of_rims(together.iter().flatten().take(2)), None, "two rims are no agreement");
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

const OPENING_MM: f64 = 8.0;
const WALLS: Walls = Walls { depth_mm: DEPTH_MM, sigma_share: 0.04, blur_px: 0.8 };
const BROWN: [f64; 3] = [0.34, 0.22, 0.11];

/// A round opening in a brown face, over ground of one light; `wall` gives the light of the wall, of 1 for the face's, by
/// the direction from the middle.
fn opening(map: &PlateMap, ground: f64, wall: impl Fn(PlateVec) -> f64) -> Vec<u8> {
    bytes_of(map, |at| {
        let (below, middle) = (far_end(map, at), PlatePoint::default());
        if at.distance(middle) > OPENING_MM {
            BROWN
        } else if below.distance(middle) < OPENING_MM {
            [ground; 3]
        } else {
            BROWN.map(|light| light * wall((at - middle).unit().unwrap()))
        }
    })
}

/// The opening's edge, followed from rough nodes.
fn followed(map: &PlateMap, rgb: &[u8], walls: Option<Walls>) -> Vec<EdgePoint> {
    let node = |number: u32| {
        let rough_mm = OPENING_MM + if number.is_multiple_of(2) { 0.2 } else { -0.3 };
        let angle = f64::from(number) * std::f64::consts::TAU / 12.0;
        map.photo_from_plate(PlatePoint::new(rough_mm * angle.cos(), rough_mm * angle.sin())).unwrap()
    };
    let nodes: Vec<PhotoPoint> = (0..12).map(node).collect();
    let picture = Picture::from_srgb([SIDE, SIDE], rgb).unwrap();
    let edge = follow_edge(&picture, map, &nodes, true, FaceSide::Right, 6.0, walls);
    edge.pieces.into_iter().flat_map(|piece| piece.points).collect()
}

/// How many points there are, and how far the farthest lies off the opening's rim, px.
fn off_rim(map: &PlateMap, points: &[EdgePoint]) -> (usize, f64) {
    let off = |point: &EdgePoint| {
        let at = map.plate_from_photo(point.at).unwrap();
        (at.distance(PlatePoint::default()) - OPENING_MM).abs() * map.px_per_mm(at)
    };
    (points.len(), points.iter().map(off).fold(0.0, f64::max))
}

#[test]
fn where_the_foot_of_the_wall_is_followed_the_opening_is_above_it() {
    let map = map();
    // As light as the face on one side of where it shows, and half as light on the other.
    let rgb = opening(&map, 0.6, |towards| 0.75 + 0.25 * towards.y);
    let (count, off_px) = off_rim(&map, &followed(&map, &rgb, None));
    assert!(count > 60 && off_px > 2.0, "by the light alone: {count} points, one {off_px} px off");
    let (count, off_px) = off_rim(&map, &followed(&map, &rgb, Some(WALLS)));
    // What shows by a fraction of a pixel, beside the half that hides its wall, is left at the foot.
    assert!(count > 80 && off_px < 0.9, "above the wall: {count} points, one {off_px} px off");
}

#[test]
fn where_the_rim_is_followed_it_stays() {
    let map = map();
    // A wall that is as dark as the ground: no far end is seen, and one step only.
    let rgb = opening(&map, 0.04, |_| 0.1);
    let alone = followed(&map, &rgb, None);
    let (count, off_px) = off_rim(&map, &alone);
    assert!(count > 80 && off_px < 0.2, "{count} points, one {off_px} px off");
    assert_eq!(followed(&map, &rgb, Some(WALLS)), alone, "the same points");
}
