//! Points along the true outline of a public case, as an edge measured in its photo would give them, and how far a
//! contour is from that outline.

use crate::{Case, TruePiece};
use platewright_core::fair::EdgePoint;
use platewright_core::geom::{Contour, Segment};
use platewright_core::space::PlatePoint;
use platewright_synth::Random;
use std::f64::consts::TAU;

/// How an edge is measured.
#[derive(Debug, Clone, Copy)]
pub struct EdgeNoise {
    /// From one point to the next along the photo, px.
    pub step_px: f64,
    /// Standard deviation of each coordinate, px.
    pub sigma_px: f64,
    /// Share of points that are off by 3 to 12 px.
    pub strays: f64,
    /// Seed of what is drawn.
    pub seed: u64,
}

/// Points along the outline of a case, noisy in the photo and turned to the plate by the true camera.
pub fn edge_points(case: &Case, noise: &EdgeNoise) -> Vec<EdgePoint> {
    let camera = case.camera();
    let mut random = Random::new(noise.seed);
    let dense: Vec<PlatePoint> = case.true_outline().iter().flat_map(|piece| piece.sampled(1e-4, 0.01)).collect();
    let seen: Vec<[f64; 2]> = dense.iter().map(|p| camera.photo_from_plate([p.x, p.y, 0.0])).collect();
    let mut points = Vec::new();
    let mut gone = random.between(0.0, noise.step_px);
    for (pair, place) in seen.windows(2).zip(&dense) {
        gone += (pair[1][0] - pair[0][0]).hypot(pair[1][1] - pair[0][1]);
        if gone < noise.step_px {
            continue;
        }
        gone -= noise.step_px;
        let mut px = pair[1].map(|c| c + random.normal(noise.sigma_px));
        if random.unit() < noise.strays {
            let (far, angle) = (random.between(3.0, 12.0), random.between(0.0, TAU));
            px = [px[0] + far * angle.cos(), px[1] + far * angle.sin()];
        }
        let beside = camera.photo_from_plate([place.x + 0.01, place.y, 0.0]);
        let px_per_mm = (beside[0] - pair[0][0]).hypot(beside[1] - pair[0][1]) / 0.01;
        let at = PlatePoint::from(camera.plate_from_photo(px, 0.0));
        points.push(EdgePoint { at, sigma_mm: noise.sigma_px / px_per_mm, pinned: false });
    }
    points
}

/// The true outline with its cubics as fine polylines.
pub fn true_contour(pieces: &[TruePiece]) -> Contour {
    let lines = |points: Vec<PlatePoint>| points.windows(2).map(|w| Segment::line(w[0], w[1])).collect::<Vec<_>>();
    let of = |piece: &TruePiece| match piece {
        TruePiece::Round(segment) => vec![*segment],
        TruePiece::Smooth(_) => lines(piece.sampled(1e-4, f64::INFINITY)),
    };
    Contour { segments: pieces.iter().flat_map(of).collect(), closed: true }
}

/// The largest distance between two contours, either way, by places at most `step_mm` apart, mm.
pub fn apart_mm(one: &Contour, other: &Contour, step_mm: f64) -> f64 {
    let from = |a: &Contour, b: &Contour| {
        let places = a.segments.iter().flat_map(|s| {
            let parts = (s.length_mm() / step_mm).ceil().max(1.0) as usize;
            (0..=parts).map(move |k| s.point_at(k as f64 / parts as f64))
        });
        places.map(|p| b.distance_mm(p)).fold(0.0, f64::max)
    };
    from(one, other).max(from(other, one))
}
