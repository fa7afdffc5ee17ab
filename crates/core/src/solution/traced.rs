//! Places and steps that follow from those of features, with their derivatives by each.
//!
//! What is added to a part rests on features that are not exactly known, and shares their errors. To first order its
//! covariance is `J C J'`, with J the derivatives of its place by theirs and C their joint covariance.

use crate::adjust::{Feature, PlaceCovariance};
use crate::space::{PlatePoint, PlateVec};

/// Derivatives of x and y (rows) by the x and y of a feature (columns).
type By = [[f64; 2]; 2];

/// A place or a step, mm, and how it moves with each feature.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Traced {
    x: f64,
    y: f64,
    by: Vec<(Feature, By)>,
}

impl Traced {
    /// One that no feature moves.
    pub(super) fn fixed(x: f64, y: f64) -> Self {
        Self { x, y, by: Vec::new() }
    }

    /// A feature's own place.
    pub(super) fn feature(feature: Feature, at: PlatePoint) -> Self {
        Self { x: at.x, y: at.y, by: vec![(feature, [[1.0, 0.0], [0.0, 1.0]])] }
    }

    /// As a place.
    pub(super) fn place(&self) -> PlatePoint {
        PlatePoint::new(self.x, self.y)
    }

    /// As a step.
    pub(super) fn step(&self) -> PlateVec {
        PlateVec::new(self.x, self.y)
    }

    /// The features that move it.
    pub(super) fn features(&self) -> impl Iterator<Item = Feature> {
        self.by.iter().map(|(feature, _)| *feature)
    }

    /// The sum of both.
    pub(super) fn plus(&self, other: &Self) -> Self {
        let mut sum = Self { x: self.x + other.x, y: self.y + other.y, by: self.by.clone() };
        for (feature, by) in &other.by {
            match sum.by.iter_mut().find(|(known, _)| known == feature) {
                Some((_, sum)) => {
                    sum.iter_mut().flatten().zip(by.iter().flatten()).for_each(|(sum, by)| *sum += by);
                }
                None => sum.by.push((*feature, *by)),
            }
        }
        sum
    }

    /// What leads from `other` to this.
    pub(super) fn minus(&self, other: &Self) -> Self {
        self.plus(&other.times(-1.0))
    }

    /// Longer by a factor.
    pub(super) fn times(&self, factor: f64) -> Self {
        self.mapped([[factor, 0.0], [0.0, factor]])
    }

    /// A step given by its share along this one, and across it to the left.
    pub(super) fn turned(&self, PlateVec { x, y }: PlateVec) -> Self {
        self.mapped([[x, -y], [y, x]])
    }

    /// The direction of a step, of length one: `du = (I - u u') dv / |v|`. `None` for a step of no length.
    pub(super) fn unit(&self) -> Option<Self> {
        let PlateVec { x, y } = self.step().unit()?;
        let share = 1.0 / self.step().length();
        let off = -x * y * share;
        let by = self.mapped([[(1.0 - x * x) * share, off], [off, (1.0 - y * y) * share]]).by;
        Some(Self { x, y, by })
    }

    fn mapped(&self, map: By) -> Self {
        let row = |[a, b]: [f64; 2], [x, y]: [f64; 2]| a * x + b * y;
        let of = |by: &By| map.map(|m| [0, 1].map(|column| row(m, [by[0][column], by[1][column]])));
        let [x, y] = map.map(|m| row(m, [self.x, self.y]));
        Self { x, y, by: self.by.iter().map(|(feature, by)| (*feature, of(by))).collect() }
    }

    /// Its covariance, from the joint covariance of `features` as [`crate::adjust::Adjusted::joint_covariance`] gives it.
    pub(super) fn covariance(&self, features: &[Feature], joint: &[f64]) -> PlaceCovariance {
        let width = 2 * features.len();
        let mut rows = [vec![0.0; width], vec![0.0; width]];
        for (feature, by) in &self.by {
            if let Some(at) = features.iter().position(|known| known == feature) {
                for (row, by) in rows.iter_mut().zip(by) {
                    row[2 * at..2 * at + 2].copy_from_slice(by);
                }
            }
        }
        let form = |p: &[f64], q: &[f64]| -> f64 {
            let product = |(p, row): (&f64, &[f64])| p * row.iter().zip(q).map(|(c, q)| c * q).sum::<f64>();
            p.iter().zip(joint.chunks_exact(width.max(1))).map(product).sum()
        };
        let [x, y] = rows;
        PlaceCovariance { xx: form(&x, &x), xy: form(&x, &y), yy: form(&y, &y) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FEATURES: [Feature; 3] = [Feature::Rim(0), Feature::Rim(1), Feature::Spot(0)];

    /// A place that uses everything: beside a point, by a direction from a hole to another.
    fn some_place(at: [PlatePoint; 3]) -> Traced {
        let [a, b, c] = [0, 1, 2].map(|i| Traced::feature(FEATURES[i], at[i]));
        let along = b.minus(&a).unit().unwrap();
        c.plus(&along.turned(PlateVec::new(4.0, -3.0))).plus(&a.times(0.25)).plus(&Traced::fixed(1.0, 2.0))
    }

    #[test]
    fn derivatives_are_those_of_differences() {
        let at = [PlatePoint::new(1.0, 2.0), PlatePoint::new(41.0, 17.0), PlatePoint::new(-20.0, 33.0)];
        let place = some_place(at);
        for (i, feature) in FEATURES.iter().enumerate() {
            let by = place.by.iter().find(|(known, _)| known == feature).unwrap().1;
            for (column, step) in [PlateVec::new(1e-4, 0.0), PlateVec::new(0.0, 1e-4)].into_iter().enumerate() {
                let moved = |sign: f64| {
                    let mut at = at;
                    at[i] = at[i] + step * sign;
                    some_place(at).place()
                };
                let slope = (moved(1.0) - moved(-1.0)) * (1.0 / 2e-4);
                let found = PlateVec::new(by[0][column], by[1][column]);
                assert!((slope - found).length() < 1e-8, "{feature:?} {column}: {found:?} and not {slope:?}");
            }
        }
    }

    #[test]
    fn the_middle_of_two_places_is_known_better_than_either() {
        let [a, b] = [FEATURES[0], FEATURES[1]].map(|feature| Traced::feature(feature, PlatePoint::default()));
        let middle = a.plus(&b).times(0.5);
        // Independent, 0.2 mm along x and 0.1 mm along y each.
        let mut joint = vec![0.0; 16];
        for i in 0..4 {
            joint[5 * i] = if i % 2 == 0 { 0.04 } else { 0.01 };
        }
        let covariance = middle.covariance(&FEATURES[..2], &joint);
        let near = |a: f64, b: f64| (a - b).abs() < 1e-15;
        assert!(near(covariance.xx, 0.02) && near(covariance.yy, 0.005) && near(covariance.xy, 0.0), "{covariance:?}");
        assert_eq!(Traced::fixed(1.0, 1.0).covariance(&[], &[]), PlaceCovariance::default(), "nothing moves it");
    }
}
