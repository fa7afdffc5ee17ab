//! What would move all holes together: a tilt that is wrong, or one length that was misread.

use super::adjusted::Adjusted;
use super::covariance::Halves;
use super::factor::dot;
use super::next_length::NextLength;
use super::normal::Row;
use super::problem::{Feature, Length, Span};
use crate::camera::CameraUnknown;
use crate::instrument::Instrument;
use crate::space::PlateVec;

/// How the places of all holes hang together, and what would move them. Coordinates are x and y of the first hole, x and y
/// of the second and so on, in the solve frame after the best rigid move, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Sensitivity {
    /// How many coordinates there are.
    pub size: usize,
    /// Their joint covariance C, mm², rows one after the other.
    pub covariance: Vec<f64>,
    /// How they move with either tilt of the camera where all the rest is adjusted to it, mm per radian:
    /// `C_xt C_tt^-1`, the regression on the tilts t.
    pub by_tilt: [Vec<f64>; 2],
    /// How they move with each length that is read too long, mm per mm: `C a p` with the length's derivatives a and its
    /// weight p (external reliability: Baarda, A testing procedure for use in geodetic networks, 1968).
    pub by_length: Vec<Vec<f64>>,
}

impl Adjusted<'_> {
    /// What would move the holes.
    pub fn sensitivity(&self) -> Sensitivity {
        let halves = Halves::of(self.problem(), &self.state(), self.factor());
        let place = |rim| halves.of_place(self.problem(), self.factor(), Feature::Rim(rim));
        let places: Vec<Vec<f64>> = (0..self.problem().rims.len()).flat_map(place).collect();
        let with = |half: &[f64], share: f64| places.iter().map(|place| share * dot(place, half)).collect();
        let [a, b] = [CameraUnknown::TiltA, CameraUnknown::TiltB].map(|unknown| {
            let mut row = Row::new();
            row.add(self.layout().camera + unknown as usize, 1.0);
            self.factor().half(&row)
        });
        let (aa, ab, bb) = (dot(&a, &a), dot(&a, &b), dot(&b, &b));
        // Beliefs keep both tilts from being one and the same.
        let share = 1.0 / (aa * bb - ab * ab);
        let (by_a, by_b): (Vec<f64>, Vec<f64>) = (with(&a, share), with(&b, share));
        let mix = |p: f64, q: f64| by_a.iter().zip(&by_b).map(|(a, b)| p * a + q * b).collect();
        let by_length = |length: &Length| {
            with(&self.factor().half(&self.length(length.span).1), 1.0 / (length.sigma_mm * length.sigma_mm))
        };
        Sensitivity {
            size: places.len(),
            covariance: places.iter().flat_map(|one| places.iter().map(|other| dot(one, other))).collect(),
            by_tilt: [mix(bb, -ab), mix(-ab, aa)],
            by_length: self.problem().lengths.iter().map(by_length).collect(),
        }
    }

    /// The length between two holes, in the instrument's reach, that best decides between two movements of the holes (each a
    /// step for every hole, mm, in the solve frame); `None` where none would.
    pub fn telling_moves_apart(
        &self,
        instrument: &Instrument,
        one: &[PlateVec],
        other: &[PlateVec],
    ) -> Option<NextLength> {
        self.most_apart(instrument, |span, judge, reached| {
            let (Span::FarRims(a, b) | Span::NearRims(a, b)) = span else { return None };
            let towards = (self.centre(b) - self.centre(a)).unit()?;
            let grows = |moves: &[PlateVec]| Some(towards.dot(*moves.get(b)? - *moves.get(a)?));
            let variance = judge.reach.reading_variance() + reached.variance;
            Some((grows(one)? - grows(other)?).abs() / variance.sqrt())
        })
    }
}
