//! Laying what was found over what is true, and the two plain ways of finding it that the program is held against.

use platewright_core::camera::RigidMove;
use platewright_core::job::{Job, MeasureKind};
use platewright_core::space::{PlatePoint, PlateVec};
use platewright_synth::Camera;

/// The best rigid move (shift and turn, least squares; Umeyama 1991 without scale) that lays `found` over `truth`.
pub fn rigid_move(found: &[PlatePoint], truth: &[PlatePoint]) -> RigidMove {
    let middle = |points: &[PlatePoint]| {
        let n = points.len() as f64;
        PlateVec::new(points.iter().map(|p| p.x).sum::<f64>() / n, points.iter().map(|p| p.y).sum::<f64>() / n)
    };
    let (from, to) = (middle(found), middle(truth));
    let (mut cross, mut dot) = (0.0, 0.0);
    for (f, t) in found.iter().zip(truth) {
        let (a, b) = ([f.x - from.x, f.y - from.y], [t.x - to.x, t.y - to.y]);
        dot += a[0] * b[0] + a[1] * b[1];
        cross += a[0] * b[1] - a[1] * b[0];
    }
    let turn = RigidMove::new(cross.atan2(dot), PlateVec::default());
    RigidMove::new(cross.atan2(dot), to - turn.turn(from))
}

/// Distances between `found` and `truth` after the best rigid move, mm.
pub fn errors_after_rigid_move(found: &[PlatePoint], truth: &[PlatePoint]) -> Vec<f64> {
    let best = rigid_move(found, truth);
    found.iter().zip(truth).map(|(f, t)| best.apply(*f).distance(*t)).collect()
}

/// Hole centres by the camera that is known exactly: the clicks projected to the face, a geometric circle through each.
pub fn centres_by_true_camera(job: &Job, camera: &Camera) -> Vec<PlatePoint> {
    let on_face = |hole: &platewright_core::job::Hole| {
        let points: Vec<[f64; 2]> = hole.rim.iter().map(|p| camera.plate_from_photo([p.x, p.y], 0.0)).collect();
        let [x, y, _] = circle(&points);
        PlatePoint::new(x, y)
    };
    job.holes.iter().map(on_face).collect()
}

/// Hole centres as a ruler laid over the photo gives them: circles in the photo, everything scaled by the longest
/// far-rims measure.
///
/// # Panics
/// Where the job has no such measure.
pub fn centres_by_one_length(job: &Job) -> Vec<PlatePoint> {
    let circles: Vec<[f64; 3]> =
        job.holes.iter().map(|hole| circle(&hole.rim.iter().map(|p| [p.x, p.y]).collect::<Vec<_>>())).collect();
    let longest = job
        .measures
        .iter()
        .filter(|m| m.kind == MeasureKind::FarRims)
        .max_by(|a, b| a.mm.total_cmp(&b.mm))
        .expect("every public case has a far-rims measure");
    let of = |id: &platewright_core::job::Id| {
        circles[job.holes.iter().position(|h| h.id == *id).expect("the measure's holes are in the job")]
    };
    let (a, b) = (of(&longest.between[0]), of(&longest.between[1]));
    let length_px = (a[0] - b[0]).hypot(a[1] - b[1]) + a[2] + b[2];
    let mm_per_px = longest.mm / length_px;
    circles.iter().map(|c| PlatePoint::new(c[0] * mm_per_px, -c[1] * mm_per_px)).collect()
}

/// Centre and radius of the circle with the least square sum of distances, by Gauss-Newton from the mean.
fn circle(points: &[[f64; 2]]) -> [f64; 3] {
    let n = points.len() as f64;
    let (mut x, mut y) = (points.iter().map(|p| p[0]).sum::<f64>() / n, points.iter().map(|p| p[1]).sum::<f64>() / n);
    let mut r = points.iter().map(|p| (p[0] - x).hypot(p[1] - y)).sum::<f64>() / n;
    for _ in 0..100 {
        let mut normal = [[0.0; 4]; 3];
        for p in points {
            let d = (p[0] - x).hypot(p[1] - y);
            let row = [(p[0] - x) / d, (p[1] - y) / d, 1.0];
            for i in 0..3 {
                for j in 0..3 {
                    normal[i][j] += row[i] * row[j];
                }
                normal[i][3] += row[i] * (d - r);
            }
        }
        let step = solve3(normal);
        (x, y, r) = (x + step[0], y + step[1], r + step[2]);
        if step.iter().all(|s| s.abs() < 1e-12 * r.abs()) {
            break;
        }
    }
    [x, y, r]
}

/// Solves three equations by elimination with row exchange.
fn solve3(mut m: [[f64; 4]; 3]) -> [f64; 3] {
    for i in 0..3 {
        let pivot = (i..3).max_by(|a, b| m[*a][i].abs().total_cmp(&m[*b][i].abs())).unwrap_or(i);
        m.swap(i, pivot);
        for row in 0..3 {
            if row != i {
                let factor = m[row][i] / m[i][i];
                let above = m[i];
                for (value, up) in m[row].iter_mut().zip(above) {
                    *value -= factor * up;
                }
            }
        }
    }
    [m[0][3] / m[0][0], m[1][3] / m[1][1], m[2][3] / m[2][2]]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Gander, Golub, Strebel, BIT 34 (1994), geometric fit of the six points of their table.
    #[test]
    fn the_plain_circle_fit_meets_gander_1994() {
        let [x, y, r] = circle(&[[1.0, 7.0], [2.0, 6.0], [5.0, 8.0], [7.0, 7.0], [9.0, 5.0], [3.0, 7.0]]);
        for (value, published) in [(x, 4.7398), (y, 2.9835), (r, 4.7142)] {
            assert!((value - published).abs() < 1e-4, "{value} against {published}");
        }
    }

    #[test]
    fn a_rigid_move_is_no_error() {
        let truth = [(0.0, 0.0), (30.0, 5.0), (-4.0, 22.0)].map(|(x, y)| PlatePoint::new(x, y));
        let (s, c) = 0.4_f64.sin_cos();
        let found = truth.map(|p| PlatePoint::new(7.0 + c * p.x - s * p.y, -3.0 + s * p.x + c * p.y));
        let errors = errors_after_rigid_move(&found, &truth);
        assert!(errors.iter().all(|e| *e < 1e-12), "{errors:?}");
    }
}
