//! A smooth curve: a cubic by its ends and the ends of its levers, over kurbo.

use crate::space::{PlatePoint, PlateVec};
use kurbo::{CubicBez, ParamCurve, ParamCurveArclen, ParamCurveDeriv, Point};

/// A lever shorter than this share of the control polygon has no direction of its own: it is what rounding leaves of a
/// lever of no length.
const LEVER_OF_NO_LENGTH: f64 = 1e-6;

/// A cubic (third-degree Bézier curve) on the plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cubic {
    curve: CubicBez,
}

fn kurbo_point(p: PlatePoint) -> Point {
    Point::new(p.x, p.y)
}

fn plate_point(p: Point) -> PlatePoint {
    PlatePoint::new(p.x, p.y)
}

impl Cubic {
    /// The curve from `from` to `to` that leaves along the step `lever_out` and arrives from the side of `to + lever_in`.
    pub fn new(from: PlatePoint, lever_out: PlateVec, lever_in: PlateVec, to: PlatePoint) -> Self {
        let [a, b, c, d] = [from, from + lever_out, to + lever_in, to].map(kurbo_point);
        Self { curve: CubicBez::new(a, b, c, d) }
    }

    /// Where it starts.
    pub fn from(&self) -> PlatePoint {
        plate_point(self.curve.p0)
    }

    /// Where it ends.
    pub fn to(&self) -> PlatePoint {
        plate_point(self.curve.p3)
    }

    /// The place at the parameter `t`, the very ends at 0 and 1.
    pub fn point_at(&self, t: f64) -> PlatePoint {
        if t <= 0.0 {
            self.from()
        } else if t >= 1.0 {
            self.to()
        } else {
            plate_point(self.curve.eval(t))
        }
    }

    /// Change of the place with the parameter, mm.
    pub fn derivative_at(&self, t: f64) -> PlateVec {
        let d = self.curve.deriv().eval(t);
        PlateVec::new(d.x, d.y)
    }

    /// The part from the parameter `start` to `end`.
    #[must_use]
    pub fn part(&self, start: f64, end: f64) -> Self {
        let mut part = self.curve.subsegment(start..end);
        part.p0 = kurbo_point(self.point_at(start));
        part.p3 = kurbo_point(self.point_at(end));
        Self { curve: part }
    }

    /// Length of the control polygon, mm: no part of the curve is longer.
    pub fn polygon_mm(&self) -> f64 {
        let c = &self.curve;
        c.p0.distance(c.p1) + c.p1.distance(c.p2) + c.p2.distance(c.p3)
    }

    /// Length along it to within `accuracy_mm`, mm.
    pub fn length_mm(&self, accuracy_mm: f64) -> f64 {
        self.curve.arclen(accuracy_mm)
    }

    /// Direction at the start, length one; where the first lever has no length, that of the next control point that
    /// stands apart. `None` for a curve of no length.
    pub fn start_direction(&self) -> Option<PlateVec> {
        let c = &self.curve;
        self.first_step(c.p0, [c.p1, c.p2, c.p3])
    }

    /// Direction at the end, length one.
    pub fn end_direction(&self) -> Option<PlateVec> {
        let c = &self.curve;
        self.first_step(c.p3, [c.p2, c.p1, c.p0]).map(|back| -back)
    }

    fn first_step(&self, from: Point, then: [Point; 3]) -> Option<PlateVec> {
        let least = LEVER_OF_NO_LENGTH * self.polygon_mm();
        let step = then.into_iter().map(|p| p - from).find(|step| step.hypot() > least)?;
        PlateVec::new(step.x, step.y).unit()
    }

    /// Parameters strictly between the ends where it nearly stands still: cusps, turning back on a line, sharp tips.
    ///
    /// They are where the square of the derivative is least, at roots of `B'(t) · B''(t)`, a cubic in t.
    pub fn standstills(&self) -> Vec<f64> {
        let c = &self.curve;
        let step = |a: Point, b: Point| PlateVec::new(b.x - a.x, b.y - a.y);
        let (d0, d1, d2) = (step(c.p0, c.p1), step(c.p1, c.p2), step(c.p2, c.p3));
        // B' / 3 = p + 2 q t + r t², so B'·B'' / 18 = p·q + (2 q·q + p·r) t + 3 q·r t² + r·r t³.
        let (p, q, r) = (d0, d1 - d0, d2 - d1 * 2.0 + d0);
        let roots = kurbo::common::solve_cubic(p.dot(q), 2.0 * q.dot(q) + p.dot(r), 3.0 * q.dot(r), r.dot(r));
        let slow = NEARLY_STANDING * self.polygon_mm();
        let mut found: Vec<f64> = roots.into_iter().filter(|t| *t > 0.0 && *t < 1.0).collect();
        found.retain(|&t| self.derivative_at(t).length() <= slow);
        found.sort_by(f64::total_cmp);
        found
    }

    /// Points along it from start to end, both included, that no chord between them leaves it by more than `chord_mm`:
    /// over a step h of the parameter a chord is off by `h² |B''| / 8` at most, and `|B''|` is greatest at an end.
    pub fn sampled(&self, chord_mm: f64) -> Vec<PlatePoint> {
        let c = &self.curve;
        let bend = |a: Point, b: Point, c: Point| ((c - b) - (b - a)).hypot() * 6.0;
        let most = bend(c.p0, c.p1, c.p2).max(bend(c.p1, c.p2, c.p3));
        let n = (most / (8.0 * chord_mm)).sqrt().ceil().clamp(1.0, SAMPLES_MAX);
        (0..=n as usize).map(|k| self.point_at(k as f64 / n)).collect()
    }

    /// Distance from `place` to the curve near the parameter `t`, mm: Newton's method on the foot of the normal, from
    /// `t` and kept within `reach` of it. Never more than the distance to the place at `t` itself.
    pub(super) fn distance_near(&self, place: PlatePoint, t: f64, reach: f64) -> f64 {
        let (low, high) = ((t - reach).max(0.0), (t + reach).min(1.0));
        let mut foot = t;
        let mut least = self.point_at(t).distance(place);
        for _ in 0..3 {
            let along = self.derivative_at(foot);
            let square = along.dot(along);
            if square == 0.0 {
                break;
            }
            foot = (foot + (place - self.point_at(foot)).dot(along) / square).clamp(low, high);
            least = least.min(self.point_at(foot).distance(place));
        }
        least
    }
}

/// Slower than this share of the control polygon counts as nearly standing still.
const NEARLY_STANDING: f64 = 0.05;

/// The most chords of a sampled curve: levers of a metre need 300 at the finest tolerance in use.
const SAMPLES_MAX: f64 = 4096.0;

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::geom::segment::tests::any_point;
    use proptest::prelude::*;

    prop_compose! {
        pub(in crate::geom) fn any_cubic()(a in any_point(), b in any_point(), c in any_point(), d in any_point())
            -> Cubic { Cubic::new(a, b - a, c - d, d) }
    }

    #[test]
    fn a_cusp_is_found() {
        // The levers cross so that the curve stands still in the middle: B'(1/2) = 0 by symmetry.
        let [from, to] = [PlatePoint::new(0.0, 0.0), PlatePoint::new(10.0, 0.0)];
        let cusp = Cubic::new(from, PlateVec::new(10.0, 10.0), PlateVec::new(-10.0, 10.0), to);
        let still = cusp.standstills();
        assert!(still.iter().any(|&t| (t - 0.5).abs() < 1e-9), "{still:?}");
        let part = cusp.part(0.0, 0.5);
        let direction = part.end_direction().unwrap();
        assert!((direction - PlateVec::new(0.0, 1.0)).length() < 1e-9, "it rises into the cusp: {direction:?}");
    }

    #[test]
    fn a_point_has_no_direction() {
        let none =
            Cubic::new(PlatePoint::new(1.0, 2.0), PlateVec::default(), PlateVec::default(), PlatePoint::new(1.0, 2.0));
        assert_eq!(none.start_direction(), None, "nothing to go along");
        assert_eq!(none.standstills(), [0.0; 0], "nothing to stop on");
        assert!(none.sampled(0.02).iter().all(|p| p.is_finite()), "no NaN");
    }

    proptest! {
        #[test]
        fn samples_keep_the_chord(curve in any_cubic()) {
            let n = curve.sampled(0.02).len() - 1;
            for k in 0..n {
                let (a, b) = (k as f64 / n as f64, (k + 1) as f64 / n as f64);
                let middle = curve.point_at(a).lerp(curve.point_at(b), 0.5);
                prop_assert!(curve.distance_near(middle, f64::midpoint(a, b), 1.0) <= 0.02 * (1.0 + 1e-9));
            }
        }
    }
}
