//! How well any place of the face is known: what a hole there would be good to.

use super::adjusted::Adjusted;
use super::covariance::{Halves, PlaceCovariance};
use super::factor::dot;
use super::normal::Row;
use super::problem::{Feature, Length};
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
        let (halves, camera) = (adjusted.halves(), adjusted.layout().camera);
        let of_camera = |i: usize| {
            let mut row = Row::new();
            row.add(camera + i, 1.0);
            adjusted.factor().half(&row)
        };
        let all: Vec<Vec<f64>> = (0..CAMERA_UNKNOWNS).map(of_camera).chain(halves.of_move().iter().cloned()).collect();
        let joint = std::array::from_fn(|i| std::array::from_fn(|j| dot(&all[i], &all[j])));
        Self { view: adjusted.view(), middle: halves.middle(), joint, picked_px2: picked_px2(adjusted) }
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

/// Variance of a rim's centre by its picks alone, px², the middle one of all kept rims.
fn picked_px2(adjusted: &Adjusted<'_>) -> f64 {
    let kept = adjusted.problem().rims.iter().filter(|rim| rim.keep);
    let mut each: Vec<f64> = kept.map(|rim| rim.precision.centre_variance_px2(rim.picks.len())).collect();
    each.sort_by(f64::total_cmp);
    each.get(each.len() / 2).copied().unwrap_or(0.0)
}

impl Adjusted<'_> {
    fn halves(&self) -> Halves {
        Halves::of(self.problem(), &self.state(), self.factor())
    }

    /// How well any place of the face is known.
    pub fn face_uncertainty(&self) -> FaceUncertainty {
        FaceUncertainty::of(self)
    }

    /// Joint covariance of some places after the best rigid move, mm²: rows one after the other, in the order x and y of
    /// the first, x and y of the second and so on.
    pub fn joint_covariance(&self, features: &[Feature]) -> Vec<f64> {
        let halves = self.halves();
        let place = |feature: &Feature| halves.of_place(self.problem(), self.factor(), *feature);
        let all: Vec<Vec<f64>> = features.iter().flat_map(place).collect();
        all.iter().flat_map(|a| all.iter().map(|b| dot(a, b))).collect()
    }

    /// For each length the kept hole that a misreading of it moves most, by its number, and how far, mm for each mm of the
    /// misreading: `C' a p` with C' the covariance after the best rigid move and p the reading's weight (Baarda's external
    /// reliability, 1968). Empty where no hole is kept.
    pub fn influences(&self) -> Vec<(usize, f64)> {
        let halves = self.halves();
        let kept = self.problem().rims.iter().enumerate().filter(|(_, rim)| rim.keep);
        let place = |rim| halves.of_place(self.problem(), self.factor(), Feature::Rim(rim));
        let kept: Vec<(usize, [Vec<f64>; 2])> = kept.map(|(rim, _)| (rim, place(rim))).collect();
        let influence = |reading: &Length| {
            let half = self.factor().half(&self.length(reading.span).1);
            let share = 1.0 / (reading.sigma_mm * reading.sigma_mm);
            let moves = kept.iter().map(|(rim, [x, y])| (*rim, share * dot(x, &half).hypot(dot(y, &half))));
            moves.max_by(|a, b| a.1.total_cmp(&b.1))
        };
        self.problem().lengths.iter().filter_map(influence).collect()
    }
}
