//! The upright box around something.

use crate::space::{PlatePoint, PlateVec};

/// An upright box, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Least x and least y.
    pub min: PlatePoint,
    /// Greatest x and greatest y.
    pub max: PlatePoint,
}

impl Bounds {
    /// The box around points; `None` around none.
    pub fn around(points: impl IntoIterator<Item = PlatePoint>) -> Option<Self> {
        points.into_iter().map(|p| Self { min: p, max: p }).reduce(Self::union)
    }

    /// The box around a circle.
    pub fn around_circle(centre: PlatePoint, radius_mm: f64) -> Self {
        Self { min: centre, max: centre }.grown(radius_mm)
    }

    /// The box around both.
    #[must_use]
    pub fn union(self, other: Self) -> Self {
        Self {
            min: PlatePoint::new(self.min.x.min(other.min.x), self.min.y.min(other.min.y)),
            max: PlatePoint::new(self.max.x.max(other.max.x), self.max.y.max(other.max.y)),
        }
    }

    /// The box with every side moved outwards by `by_mm`.
    #[must_use]
    pub fn grown(self, by_mm: f64) -> Self {
        let step = PlateVec::new(by_mm, by_mm);
        Self { min: self.min - step, max: self.max + step }
    }

    /// The boxes share a point.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.min.x <= other.max.x && other.min.x <= self.max.x && self.min.y <= other.max.y && other.min.y <= self.max.y
    }

    /// Width and height, mm.
    pub fn size(&self) -> PlateVec {
        self.max - self.min
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_holds_its_points_and_no_more() {
        let held = Bounds::around([PlatePoint::new(1.0, 5.0), PlatePoint::new(-2.0, 7.0)]).unwrap();
        assert_eq!(held.size(), PlateVec::new(3.0, 2.0), "from -2 to 1 and from 5 to 7");
        assert!(!held.overlaps(&Bounds::around_circle(PlatePoint::new(4.0, 6.0), 2.9)), "0.1 mm apart");
        assert!(held.overlaps(&Bounds::around_circle(PlatePoint::new(4.0, 6.0), 3.0)), "touching counts");
        assert_eq!(Bounds::around([]), None, "nothing has no box");
    }
}
