//! What an edge may be on the plate: the circle of a rim or the line of a straight side.

use crate::space::{PlatePoint, PlateVec};

/// A curve on the plate with the face on one side of it.
pub(super) trait Curve: Copy {
    /// How many points make one, and how many unknowns it has.
    const POINTS: usize;

    /// The curve through points given in the order in which it runs; `None` where they make none.
    fn through(points: &[PlatePoint; 3]) -> Option<Self>;

    /// The place at a share of its length, 0 to 1, and the normal towards the face.
    fn place(&self, share: f64) -> (PlatePoint, PlateVec);

    /// The share of its length at which a point lies beside it: the inverse of [`Curve::place`].
    fn share(&self, point: PlatePoint) -> f64;

    /// How far a point lies off it, towards the face, mm.
    fn off_mm(&self, point: PlatePoint) -> f64;

    /// Derivative of [`Curve::off_mm`] by the unknowns; those beyond [`Curve::POINTS`] are zero.
    fn off_by_unknowns(&self, point: PlatePoint) -> [f64; 3];

    /// The curve with its unknowns changed; `None` where that makes none.
    fn moved(&self, step: [f64; 3]) -> Option<Self>;
}

/// The circle of a rim; the face lies outside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Circle {
    pub(super) centre: PlatePoint,
    pub(super) radius_mm: f64,
}

impl Circle {
    fn outward(&self, point: PlatePoint) -> PlateVec {
        // A point at the centre lies in no direction; any will do.
        (point - self.centre).unit().unwrap_or(PlateVec::new(1.0, 0.0))
    }
}

impl Curve for Circle {
    const POINTS: usize = 3;

    fn through([a, b, c]: &[PlatePoint; 3]) -> Option<Self> {
        let (ab, ac) = (*b - *a, *c - *a);
        let twice_area = 2.0 * ab.cross(ac);
        let (b2, c2) = (ab.dot(ab), ac.dot(ac));
        let to_centre = PlateVec::new((ac.y * b2 - ab.y * c2) / twice_area, (ab.x * c2 - ac.x * b2) / twice_area);
        let radius_mm = to_centre.length();
        (radius_mm.is_finite() && radius_mm > 0.0).then_some(Self { centre: *a + to_centre, radius_mm })
    }

    fn place(&self, share: f64) -> (PlatePoint, PlateVec) {
        let outward = PlateVec::from_angle(share * std::f64::consts::TAU);
        (self.centre + outward * self.radius_mm, outward)
    }

    fn share(&self, point: PlatePoint) -> f64 {
        let step = point - self.centre;
        step.y.atan2(step.x).rem_euclid(std::f64::consts::TAU) / std::f64::consts::TAU
    }

    fn off_mm(&self, point: PlatePoint) -> f64 {
        // A plain root: the search asks this a hundred thousand times, and nothing here overflows.
        let step = point - self.centre;
        step.dot(step).sqrt() - self.radius_mm
    }

    fn off_by_unknowns(&self, point: PlatePoint) -> [f64; 3] {
        let outward = self.outward(point);
        [-outward.x, -outward.y, -1.0]
    }

    fn moved(&self, [x, y, radius]: [f64; 3]) -> Option<Self> {
        let moved = Self { centre: self.centre + PlateVec::new(x, y), radius_mm: self.radius_mm + radius };
        (moved.centre.is_finite() && moved.radius_mm > 0.0 && moved.radius_mm.is_finite()).then_some(moved)
    }
}

/// The part of a straight side between two places; the face lies on the left of the way from one to the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Side {
    pub(super) from: PlatePoint,
    pub(super) to: PlatePoint,
}

impl Side {
    fn direction(&self) -> PlateVec {
        (self.to - self.from).unit().unwrap_or(PlateVec::new(1.0, 0.0))
    }

    /// Another line's part beside this one: what a search finds is a line, and the picks say how much of it counts.
    pub(super) fn beside(&self, line: &Self) -> Self {
        let direction = line.direction();
        let foot = |point: PlatePoint| line.from + direction * direction.dot(point - line.from);
        Self { from: foot(self.from), to: foot(self.to) }
    }
}

impl Curve for Side {
    const POINTS: usize = 2;

    fn through([from, to, _]: &[PlatePoint; 3]) -> Option<Self> {
        (*to - *from).unit().map(|_| Self { from: *from, to: *to })
    }

    fn place(&self, share: f64) -> (PlatePoint, PlateVec) {
        (self.from.lerp(self.to, share), self.direction().perp())
    }

    fn share(&self, point: PlatePoint) -> f64 {
        self.direction().dot(point - self.from) / self.from.distance(self.to)
    }

    fn off_mm(&self, point: PlatePoint) -> f64 {
        self.direction().perp().dot(point - self.from)
    }

    fn off_by_unknowns(&self, point: PlatePoint) -> [f64; 3] {
        // The unknowns are how far each end moves towards the face.
        let direction = self.direction();
        let share = direction.dot(point - self.from) / self.from.distance(self.to);
        [share - 1.0, -share, 0.0]
    }

    fn moved(&self, [from, to, _]: [f64; 3]) -> Option<Self> {
        let normal = self.direction().perp();
        let moved = Self { from: self.from + normal * from, to: self.to + normal * to };
        (moved.from.is_finite() && moved.to.is_finite()).then_some(moved)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check_derivatives<C: Curve>(curve: &C, point: PlatePoint) {
        let exact = curve.off_by_unknowns(point);
        for unknown in 0..3 {
            let mut step = [0.0; 3];
            step[unknown] = 1e-5;
            let ahead = curve.moved(step).unwrap().off_mm(point);
            step[unknown] = -1e-5;
            let behind = curve.moved(step).unwrap().off_mm(point);
            let numeric = (ahead - behind) / 2e-5;
            assert!((numeric - exact[unknown]).abs() < 1e-8, "unknown {unknown}: {} against {numeric}", exact[unknown]);
        }
    }

    #[test]
    fn derivatives_against_differences() {
        let circle = Circle { centre: PlatePoint::new(3.0, -2.0), radius_mm: 4.0 };
        check_derivatives(&circle, PlatePoint::new(6.0, 1.5));
        let side = Side { from: PlatePoint::new(1.0, 1.0), to: PlatePoint::new(9.0, 7.0) };
        check_derivatives(&side, side.place(0.3).0);
    }

    #[test]
    fn a_circle_goes_through_its_three_points() {
        let points = [(8.0, 3.0), (3.0, 8.0), (-2.0, 3.0)].map(|(x, y)| PlatePoint::new(x, y));
        let circle = Circle::through(&points).unwrap();
        assert!(circle.centre.distance(PlatePoint::new(3.0, 3.0)) < 1e-14, "{circle:?}");
        assert!((circle.radius_mm - 5.0).abs() < 1e-14, "{circle:?}");
        let line = [(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)].map(|(x, y)| PlatePoint::new(x, y));
        assert_eq!(Circle::through(&line), None, "points in a line");
    }

    #[test]
    fn the_face_lies_on_the_left_of_a_side() {
        let side = Side { from: PlatePoint::new(0.0, 0.0), to: PlatePoint::new(4.0, 0.0) };
        assert!((side.off_mm(PlatePoint::new(1.0, 2.0)) - 2.0).abs() < 1e-15, "2 mm into the face");
    }
}
