//! Arcs from what is known about them: a third point, or the direction at one end.

use super::Segment;
use crate::space::{PlatePoint, PlateVec};
use crate::tolerance::LARGE_ARC_RADIUS_MM;

/// Bulge of the arc from `from` to `to` that passes through `through`; 0 where the three lie in line in this order or
/// `through` is one of the ends, and `None` where no arc is meant (see [`LARGE_ARC_RADIUS_MM`]).
///
/// The angle at `through` is half of the rest of the turn (Euclid III.20), so `sweep / 4 = (pi - angle) / 2`.
pub fn bulge_through(from: PlatePoint, through: PlatePoint, to: PlatePoint) -> Option<f64> {
    let (back, ahead) = (from - through, to - through);
    if back.length() == 0.0 || ahead.length() == 0.0 {
        return meant(from, to, 0.0);
    }
    // `back x ahead` is positive where `through` lies to the left of the chord: the arc then turns clockwise.
    let (cross, dot) = (back.cross(ahead), back.dot(ahead));
    // tan((pi - angle) / 2) = sin angle / (1 - cos angle) = (1 + cos angle) / sin angle: the one that adds up.
    let whole = cross.hypot(dot);
    meant(from, to, if dot > 0.0 { -(whole + dot) / cross } else { -cross / (whole - dot) })
}

/// Bulge of the arc from `from` to `to` that leaves along `direction`; `None` where no arc is meant.
pub fn bulge_leaving(from: PlatePoint, direction: PlateVec, to: PlatePoint) -> Option<f64> {
    let chord = to - from;
    // Half of the half sweep, the angle from direction to chord: tan(a / 2) = sin a / (1 + cos a).
    let (cross, dot) = (direction.cross(chord), direction.dot(chord));
    meant(from, to, cross / (cross.hypot(dot) + dot))
}

/// Bulge of the arc from `from` to `to` that arrives along `direction`; `None` where no arc is meant.
pub fn bulge_arriving(from: PlatePoint, to: PlatePoint, direction: PlateVec) -> Option<f64> {
    bulge_leaving(to, -direction, from).map(|bulge| -bulge)
}

/// The bulge, if it is finite and its arc is one that somebody could mean.
fn meant(from: PlatePoint, to: PlatePoint, bulge: f64) -> Option<f64> {
    let radius_mm = Segment::arc(from, to, bulge).radius_mm();
    let usable = bulge.is_finite() && (bulge.abs() <= 1.0 || radius_mm.is_some_and(|r| r <= LARGE_ARC_RADIUS_MM));
    usable.then_some(bulge)
}

impl Segment {
    /// The piece in parts of half a turn at most: itself, or its two halves.
    pub fn in_half_turns(self) -> Vec<Self> {
        if self.bulge.abs() <= 1.0 { vec![self] } else { self.halved().to_vec() }
    }

    /// The piece in two of the same length.
    pub fn halved(self) -> [Self; 2] {
        let middle = self.point_at(0.5);
        let bulge = (self.bulge.atan() / 2.0).tan();
        [Self::arc(self.from, middle, bulge), Self::arc(middle, self.to, bulge)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::segment::tests::{any_point, any_segment};
    use proptest::prelude::*;

    fn at(x: f64, y: f64) -> PlatePoint {
        PlatePoint::new(x, y)
    }

    #[test]
    fn three_points_give_the_circle_through_them() {
        // Thales: the right angle at the third point makes the ends a diameter.
        assert!((bulge_through(at(-5.0, 0.0), at(3.0, 4.0), at(5.0, 0.0)).unwrap() + 1.0).abs() < 1e-15, "clockwise");
        assert!((bulge_through(at(-5.0, 0.0), at(3.0, -4.0), at(5.0, 0.0)).unwrap() - 1.0).abs() < 1e-15, "the other");
        assert_eq!(bulge_through(at(0.0, 0.0), at(1.0, 0.0), at(3.0, 0.0)), Some(0.0), "in line: straight");
        assert_eq!(bulge_through(at(0.0, 0.0), at(0.0, 0.0), at(3.0, 0.0)), Some(0.0), "on an end: straight");
        assert_eq!(bulge_through(at(0.0, 0.0), at(9.0, 0.0), at(3.0, 0.0)), None, "beyond the end: no arc is meant");
        assert_eq!(bulge_leaving(at(0.0, 0.0), PlateVec::new(-1.0, 0.0), at(3.0, 0.0)), None, "right back: no arc");
        assert_eq!(bulge_leaving(at(0.0, 0.0), PlateVec::new(0.0, 0.0), at(3.0, 0.0)), None, "no direction: no arc");
    }

    proptest! {
        #[test]
        fn an_arc_is_found_again_from_its_point_and_from_its_directions(s in any_segment(), t in 0.1..0.9) {
            prop_assume!(s.chord().length() > 1.0);
            prop_assert!((bulge_through(s.from, s.point_at(t), s.to).unwrap() - s.bulge).abs() < 1e-9);
            let (start, end) = (s.start_direction().unwrap(), s.end_direction().unwrap());
            prop_assert!((bulge_leaving(s.from, start, s.to).unwrap() - s.bulge).abs() < 1e-12);
            prop_assert!((bulge_arriving(s.from, s.to, end).unwrap() - s.bulge).abs() < 1e-12);
        }

        #[test]
        fn a_large_arc_comes_in_two_halves_that_lie_on_it(a in any_point(), b in any_point(), bulge in 1.0..20.0) {
            prop_assume!(a.distance(b) > 0.1);
            let whole = Segment::arc(a, b, bulge);
            let halves = whole.in_half_turns();
            prop_assert_eq!(halves.len(), 2);
            prop_assert!((halves[0].length_mm() + halves[1].length_mm() - whole.length_mm()).abs() < 1e-6);
            let r = whole.radius_mm().unwrap();
            for p in halves.iter().flat_map(|h| h.sampled(0.01)) {
                prop_assert!(((p - whole.centre().unwrap()).length() - r).abs() < 1e-7);
            }
        }
    }
}
