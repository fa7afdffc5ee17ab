//! Edges in pictures whose light is known, and inputs that are no edges.

use super::*;
use crate::camera::{Lens, Pose};
use crate::edge::Rejection;
use crate::edge::step::normal;

const SIDE: u32 = 240;

/// Square over the face, 10 px per mm, the plate's origin at the middle of the picture.
fn square_map() -> PlateMap {
    let middle = f64::from(SIDE - 1) / 2.0;
    PlateMap::new(Lens::pinhole(3000.0, PhotoPoint::new(middle, middle)), Pose::square(300.0))
}

/// Grey sRGB bytes (IEC 61966-2-1) of a picture of light, rounded with a seeded dither.
fn bytes(light: impl Fn(f64, f64) -> f64) -> Vec<u8> {
    let mut state = 1_u64;
    let mut rgb = Vec::new();
    for pixel in 0..SIDE * SIDE {
        let linear = light(f64::from(pixel % SIDE), f64::from(pixel / SIDE)).clamp(0.0, 1.0);
        let coded = if linear <= 0.003_130_8 { 12.92 * linear } else { 1.055 * linear.powf(1.0 / 2.4) - 0.055 };
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let dither = (state >> 40) as f64 / f64::from(1 << 24);
        rgb.extend([(coded * 255.0 + dither).floor().min(255.0) as u8; 3]);
    }
    rgb
}

/// A plate from 40.3 to 199.6 px each way whose corner at the lower right is round, with a radius of 60 px: how far a place
/// lies within it.
fn depth(x: f64, y: f64) -> f64 {
    let (near, far, radius) = (40.3, 199.6, 60.0);
    let centre = far - radius;
    let round = if x > centre && y > centre { radius - (x - centre).hypot(y - centre) } else { f64::INFINITY };
    (x - near).min(y - near).min(far - x).min(far - y).min(round)
}

/// The plate on a ground, blurred over 0.8 px.
fn plate(face: f64, ground: f64) -> Vec<u8> {
    bytes(|x, y| ground + (face - ground) * normal(depth(x, y) / 0.8).0)
}

/// Rough nodes at the corners and both ends of the round one, counter-clockwise as the plate is seen.
fn nodes() -> Vec<PhotoPoint> {
    [(43.0, 37.0), (36.0, 203.0), (138.0, 196.0), (203.0, 142.0), (196.0, 44.0)]
        .map(|(x, y)| PhotoPoint::new(x, y))
        .to_vec()
}

fn follow(rgb: &[u8], nodes: &[PhotoPoint], closed: bool, face: FaceSide) -> FollowedEdge {
    let picture = Picture::from_srgb([SIDE, SIDE], rgb).unwrap();
    follow_edge(&picture, &square_map(), nodes, closed, face, 8.0, None)
}

fn points(edge: &FollowedEdge) -> Vec<EdgePoint> {
    edge.pieces.iter().flat_map(|piece| piece.points.clone()).collect()
}

#[test]
fn straight_sides_and_a_round_corner_are_measured_where_they_are() {
    for (face, ground) in [(0.6, 0.1), (0.1, 0.6), (0.35, 0.25)] {
        let edge = follow(&plate(face, ground), &nodes(), true, FaceSide::Left);
        assert_eq!(edge.pieces.len(), 5, "a piece from each node to the next");
        for (number, piece) in edge.pieces.iter().enumerate() {
            assert!(piece.points.len() >= 6, "piece {number} of {face} on {ground}: {}", piece.points.len());
        }
        let all = points(&edge);
        for point in &all {
            let off = depth(point.at.x, point.at.y);
            assert!(off.abs() < 0.1, "{face} on {ground}: {point:?} lies {off} px within");
            assert!(point.sigma_px > 0.0 && point.sigma_px < 0.3, "{point:?}");
            assert!((point.contrast - (face - ground)).abs() < 0.05, "{point:?}");
        }
        // Four sides of 160 px less the round corner, a point every eight px but at three corners.
        assert!(all.len() > 55, "{} points", all.len());
    }
}

#[test]
fn the_other_way_round_the_face_is_on_the_right() {
    let rgb = plate(0.6, 0.1);
    let mut backwards = nodes();
    backwards.reverse();
    let all = points(&follow(&rgb, &backwards, true, FaceSide::Right));
    assert!(all.len() > 55, "{} points", all.len());
    assert!(all.iter().all(|point| point.contrast > 0.4), "the face is lighter");
}

#[test]
fn the_face_begins_where_the_wall_ends() {
    // Ground, a wall of four px nearly as light as the face, face: along y.
    let rgb = bytes(|x, _| 0.1 + 0.3 * normal((x - 100.0) / 0.8).0 + 0.3 * normal((x - 104.0) / 0.8).0);
    let nodes = [PhotoPoint::new(98.0, 20.0), PhotoPoint::new(106.0, 220.0)];
    let edge = follow(&rgb, &nodes, false, FaceSide::Left);
    let all = points(&edge);
    assert!(all.len() > 15, "{} points", all.len());
    for point in all {
        assert!((point.at.x - 104.0).abs() < 0.15, "{point:?}");
    }
}

#[test]
fn an_even_picture_has_no_edge() {
    let edge = follow(&bytes(|_, _| 0.4), &nodes(), true, FaceSide::Left);
    assert!(points(&edge).is_empty(), "{edge:?}");
    for piece in &edge.pieces {
        assert!(!piece.rejected.is_empty(), "every piece says so");
    }
}

#[test]
fn what_is_off_the_photo_is_said_to_be() {
    let rgb = plate(0.6, 0.1);
    let nodes = [(-60.0, 50.0), (-50.0, 200.0)].map(|(x, y)| PhotoPoint::new(x, y));
    let edge = follow(&rgb, &nodes, false, FaceSide::Left);
    assert!(points(&edge).is_empty(), "{edge:?}");
    assert!(!edge.pieces[0].rejected.is_empty(), "it says so");
}

#[test]
fn two_nodes_at_one_place_have_no_edge_between() {
    let rgb = plate(0.6, 0.1);
    let mut twice = nodes();
    twice.insert(1, twice[1]);
    let edge = follow(&rgb, &twice, true, FaceSide::Left);
    assert_eq!(edge.pieces[1], FollowedPiece::default(), "nothing between one place and itself");
    for number in [0, 2, 3, 4, 5] {
        assert!(edge.pieces[number].points.len() >= 6, "piece {number} is measured");
    }
}

#[test]
fn nodes_that_are_no_places_are_refused_alone() {
    let rgb = plate(0.6, 0.1);
    for bad in [f64::NAN, f64::INFINITY, -1e300] {
        let mut nodes = nodes();
        nodes[0].x = bad;
        let edge = follow(&rgb, &nodes, true, FaceSide::Left);
        let nowhere = [Rejected { at: None, reason: Rejection::OffPhoto }];
        for number in [0, 4] {
            assert_eq!(edge.pieces[number].rejected, nowhere, "{bad}, piece {number}");
        }
        assert!(edge.pieces[1].points.len() >= 6, "the others are measured");
    }
    let reach = f64::NAN;
    let picture = Picture::from_srgb([SIDE, SIDE], &rgb).unwrap();
    let edge = follow_edge(&picture, &square_map(), &nodes(), true, FaceSide::Left, reach, None);
    assert_eq!(edge.pieces.len(), 5, "no reach is the least");
}

#[test]
fn fewer_than_two_nodes_make_no_piece() {
    let rgb = plate(0.6, 0.1);
    for count in [0, 1] {
        assert!(follow(&rgb, &nodes()[..count], true, FaceSide::Left).pieces.is_empty(), "{count} nodes");
    }
    assert_eq!(follow(&rgb, &nodes()[..2], true, FaceSide::Left).pieces.len(), 1, "two nodes close nothing");
    let empty = Picture::from_srgb([0, 0], &[]).unwrap();
    let edge = follow_edge(&empty, &square_map(), &nodes(), true, FaceSide::Left, 8.0, None);
    assert!(points(&edge).is_empty(), "a photo without pixels");
}

#[test]
fn the_same_photo_gives_the_same_digits() {
    let rgb = plate(0.5, 0.2);
    assert_eq!(follow(&rgb, &nodes(), true, FaceSide::Left), follow(&rgb, &nodes(), true, FaceSide::Left));
}
