//! How well any place of the face is known: what a hole there would be good to.

use super::adjusted::Adjusted;
use super::covariance::{Counting, PlaceCovariance};
use super::problem::Feature;
use crate::camera::{CAMERA_UNKNOWNS, View};
use crate::space::{PlatePoint, PlateVec};

/// Unknowns of the camera, then shift x, shift y and turn of the best rigid move.
const WIDTH: usize = CAMERA_UNKNOWNS + 3;

/// How far off a hole could be at any place of the face: what the camera leaves open after the best rigid move over the
/// places that count, and what picking it as the others were picked adds.
///
/// For a fixed pixel the place on the face moves with the camera's unknowns c by `-Jx^-1 Jc dc`, where Jx and Jc are the
/// derivatives of the projection by the place and by the camera; the rigid move m takes off `G m`. With the joint
/// covariance S of c and m the place has `A S A'`, `A = [-Jx^-1 Jc, -G]`.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceUncertainty {
    view: View,
    middle: PlatePoint,
    joint: [[f64; WIDTH]; WIDTH],
    picked_px2: f64,
}

impl FaceUncertainty {
    pub(super) fn of(adjusted: &Adjusted<'_>) -> Self {
        let counting = Counting::of(adjusted.problem(), &adjusted.state());
        let camera = adjusted.layout().camera;
        let with_unknowns = counting.move_with_unknowns(adjusted.covariance());
        let mut joint = [[0.0; WIDTH]; WIDTH];
        for i in 0..CAMERA_UNKNOWNS {
            joint[i][..CAMERA_UNKNOWNS].copy_from_slice(&adjusted.covariance_of(camera + i)[camera..]);
            for k in 0..3 {
                joint[i][CAMERA_UNKNOWNS + k] = with_unknowns[camera + i][k];
                joint[CAMERA_UNKNOWNS + k][i] = with_unknowns[camera + i][k];
            }
        }
        for k in 0..3 {
            let own = counting.move_by_all(|unknown| with_unknowns[unknown][k]);
            joint[CAMERA_UNKNOWNS + k][CAMERA_UNKNOWNS..].copy_from_slice(&own);
        }
        Self { view: adjusted.view(), middle: counting.middle(), joint, picked_px2: picked_px2(adjusted) }
    }

    /// Covariance of a hole picked at this place, mm², in the solve frame; `None` where the camera does not see it.
    pub fn at(&self, place: PlatePoint) -> Option<PlaceCovariance> {
        let seen = self.view.project_with_derivatives(place)?;
        let [[a, b], [c, d]] = seen.by_plate;
        let det = a * d - b * c;
        let PlateVec { x, y } = place - self.middle;
        let ([u, v], [turn_x, turn_y]) = (seen.by_camera, [[-1.0, 0.0, y], [0.0, -1.0, -x]]);
        let by: [[f64; WIDTH]; 2] = [
            std::array::from_fn(|i| u.get(i).map_or_else(|| turn_x[i - u.len()], |u| (b * v[i] - d * u) / det)),
            std::array::from_fn(|i| v.get(i).map_or_else(|| turn_y[i - v.len()], |v| (c * u[i] - a * v) / det)),
        ];
        let form = |p: &[f64; WIDTH], q: &[f64; WIDTH]| -> f64 {
            (0..WIDTH).map(|i| p[i] * (0..WIDTH).map(|j| self.joint[i][j] * q[j]).sum::<f64>()).sum()
        };
        // A circle of px on the photo is an ellipse on the face: Jx^-1 Jx^-T.
        let picked = self.picked_px2 / (det * det);
        let covariance = PlaceCovariance {
            xx: form(&by[0], &by[0]) + picked * (d * d + b * b),
            xy: form(&by[0], &by[1]) - picked * (d * c + b * a),
            yy: form(&by[1], &by[1]) + picked * (a * a + c * c),
        };
        (det != 0.0 && covariance.major_mm().is_finite()).then_some(covariance)
    }
}

/// Variance of a rim's centre by its picks alone, px², the middle one of all kept rims: n picks spread evenly around
/// leave 2 s²/n on either axis (Chernov and Lesort, Statistical efficiency of curve fitting algorithms, 2004).
fn picked_px2(adjusted: &Adjusted<'_>) -> f64 {
    let kept = adjusted.problem().rims.iter().filter(|rim| rim.keep);
    let mut each: Vec<f64> = kept.map(|rim| 2.0 * rim.sigma_px * rim.sigma_px / rim.picks.len() as f64).collect();
    each.sort_by(f64::total_cmp);
    each.get(each.len() / 2).copied().unwrap_or(0.0)
}

impl Adjusted<'_> {
    /// How well any place of the face is known.
    pub fn face_uncertainty(&self) -> FaceUncertainty {
        FaceUncertainty::of(self)
    }

    /// The kept hole that a misreading of a length moves most, by its number, and by how much, mm: `C' a p` times the
    /// misreading, where C' is the covariance after the best rigid move and p the reading's weight (Baarda's external
    /// reliability, 1968).
    pub fn influence(&self, length: usize, misreading_mm: f64) -> Option<(usize, f64)> {
        let reading = self.problem().lengths[length];
        let (_, row) = self.length(reading.span);
        let share = misreading_mm / (reading.sigma_mm * reading.sigma_mm);
        let rims = self.problem().rims.iter().enumerate().filter(|(_, rim)| rim.keep);
        rims.map(|(rim, _)| {
            let [x, y] = self.relative().with(Feature::Rim(rim), &row);
            (rim, (x * share).hypot(y * share))
        })
        .max_by(|a, b| a.1.total_cmp(&b.1))
    }
}
