//! Lines and arcs, each starting where the one before ends.

use super::{Bounds, Segment};
use crate::space::{PlatePoint, PlateVec};

/// Lines and arcs, each starting where the one before ends.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Contour {
    /// The pieces in order.
    pub segments: Vec<Segment>,
    /// The last piece ends where the first starts.
    pub closed: bool,
}

/// A place where a contour is open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// The loose end before it.
    pub from: PlatePoint,
    /// The loose end after it.
    pub to: PlatePoint,
}

impl Gap {
    /// Its width, mm.
    pub fn width_mm(&self) -> f64 {
        (self.to - self.from).length()
    }
}

impl Contour {
    /// Straight pieces round a polygon, closed.
    pub fn polygon(corners: &[PlatePoint]) -> Self {
        let ends = corners.iter().skip(1).chain(corners.first());
        Self { segments: corners.iter().zip(ends).map(|(&a, &b)| Segment::line(a, b)).collect(), closed: true }
    }

    /// Two half turns round a circle, counter-clockwise, closed.
    pub fn circle(centre: PlatePoint, radius_mm: f64) -> Self {
        let right = PlatePoint::new(centre.x + radius_mm, centre.y);
        let left = PlatePoint::new(centre.x - radius_mm, centre.y);
        Self { segments: vec![Segment::arc(right, left, 1.0), Segment::arc(left, right, 1.0)], closed: true }
    }

    /// Round a slot of this width whose ends are rounded about two places `length_mm` apart, counter-clockwise, closed.
    pub fn slot(middle: PlatePoint, length_mm: f64, angle_rad: f64, width_mm: f64) -> Self {
        let along = PlateVec::from_angle(angle_rad);
        let (half, side) = (along * (length_mm / 2.0), along.perp() * (width_mm / 2.0));
        let [a, b, c, d] = [middle - half - side, middle + half - side, middle + half + side, middle - half + side];
        let segments = vec![Segment::line(a, b), Segment::arc(b, c, 1.0), Segment::line(c, d), Segment::arc(d, a, 1.0)];
        Self { segments, closed: true }
    }

    /// There is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.segments.is_empty()
    }

    /// Every piece starts at the very coordinates where the one before ends, the first at those of the last.
    pub fn is_closed_exactly(&self) -> bool {
        let next = self.segments.iter().cycle().skip(1);
        !self.is_empty() && self.segments.iter().zip(next).all(|(piece, next)| piece.to == next.from)
    }

    /// The pieces in runs that hang together: one for a whole contour, more where places on the way are missing.
    pub fn runs(&self) -> impl Iterator<Item = &[Segment]> {
        self.segments.chunk_by(|piece, next| piece.to == next.from)
    }

    /// Length along all pieces, mm.
    pub fn length_mm(&self) -> f64 {
        self.segments.iter().map(Segment::length_mm).sum()
    }

    /// Area inside, mm², positive counter-clockwise and exact with arcs (Green's theorem: half of the sum of `x dy - y
    /// dx` along the chords, and what lies between each arc and its chord). Of an open contour: closed by a line.
    pub fn signed_area_mm2(&self) -> f64 {
        let Some(first) = self.segments.first() else { return 0.0 };
        // Taken from a point of the contour: far from the origin, products of coordinates would cost digits.
        let from_origin = |p: PlatePoint| p - first.from;
        let beside = |s: &Segment| s.area_beside_chord_mm2() + from_origin(s.from).cross(from_origin(s.to)) / 2.0;
        self.segments.iter().map(beside).sum()
    }

    /// It runs counter-clockwise.
    pub fn is_counter_clockwise(&self) -> bool {
        self.signed_area_mm2() > 0.0
    }

    /// The same contour, gone round the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        Self { segments: self.segments.iter().rev().map(|s| s.reversed()).collect(), closed: self.closed }
    }

    /// The same contour seen from the other side (y turned round), gone round the same way as before.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let segments = self.segments.iter().map(|s| s.mirrored()).collect();
        Self { segments, closed: self.closed }.reversed()
    }

    /// The same contour a step away.
    #[must_use]
    pub fn moved(&self, step: PlateVec) -> Self {
        let moved = |s: &Segment| Segment::arc(s.from + step, s.to + step, s.bulge);
        Self { segments: self.segments.iter().map(moved).collect(), closed: self.closed }
    }

    /// The same contour, gone round counter-clockwise, or clockwise.
    #[must_use]
    pub fn oriented(self, counter_clockwise: bool) -> Self {
        if self.is_counter_clockwise() == counter_clockwise { self } else { self.reversed() }
    }

    /// Points along all pieces, each once, that no chord between them leaves its piece by more than `chord_mm`. The
    /// first point comes again as the last where the contour is closed.
    pub fn sampled(&self, chord_mm: f64) -> Vec<PlatePoint> {
        let mut points: Vec<PlatePoint> = Vec::new();
        for piece in self.segments.iter().flat_map(|s| s.sampled(chord_mm)) {
            if points.last() != Some(&piece) {
                points.push(piece);
            }
        }
        points
    }

    /// The upright box around it; `None` where there is nothing in it.
    pub fn bounds(&self) -> Option<Bounds> {
        self.segments.iter().map(Segment::bounds).reduce(Bounds::union)
    }

    /// Distance from `point` to the nearest piece, mm; infinite where there is none.
    pub fn distance_mm(&self, point: PlatePoint) -> f64 {
        self.segments.iter().map(|s| s.distance_mm(point)).fold(f64::INFINITY, f64::min)
    }

    /// `point` lies inside (even-odd rule). Of a point on a piece itself nothing is promised.
    ///
    /// The polygon of the chords and each sliver between an arc and its chord are taken apart: a point is inside where
    /// it is in an odd number of them. A point that lies on a chord is moved aside by the same thought step for both,
    /// much less up than right, so that the centre of a rounded end (it lies on the chord of a half turn) counts once.
    pub fn contains(&self, point: PlatePoint) -> bool {
        let crossed = self.segments.iter().filter(|s| ray_crosses_chord(s, point) != in_sliver(s, point));
        crossed.count() % 2 == 1
    }
}

/// The ray from `point` along x crosses the chord.
fn ray_crosses_chord(piece: &Segment, point: PlatePoint) -> bool {
    let (a, b) = (piece.from, piece.to);
    (a.y > point.y) != (b.y > point.y) && (is_left_of_chord(piece, point) == (b.y > a.y))
}

/// `point` lies between the arc and its chord.
fn in_sliver(piece: &Segment, point: PlatePoint) -> bool {
    let Some((centre, radius)) = piece.centre().zip(piece.radius_mm()) else { return false };
    // A counter-clockwise arc lies to the right of its chord. One of more than half a turn has its centre there too,
    // and the same two conditions hold.
    point.distance(centre) < radius && is_left_of_chord(piece, point) != (piece.bulge > 0.0)
}

/// `point` lies to the left of the line through the chord, moved right, then up, where it lies on it.
fn is_left_of_chord(piece: &Segment, point: PlatePoint) -> bool {
    let chord = piece.chord();
    let side = chord.cross(point - piece.from);
    let side = if side == 0.0 { -chord.y } else { side };
    if side == 0.0 { chord.x > 0.0 } else { side > 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::segment::tests::any_point;
    use approx::assert_relative_eq;
    use proptest::prelude::*;
    use std::f64::consts::PI;

    fn at(x: f64, y: f64) -> PlatePoint {
        PlatePoint::new(x, y)
    }

    /// A slot 40 mm between centres and 10 mm wide, counter-clockwise.
    fn slot() -> Contour {
        let slot = Contour::slot(at(0.0, 0.0), 40.0, 0.0, 10.0);
        assert_eq!(slot.segments[0], Segment::line(at(-20.0, -5.0), at(20.0, -5.0)), "its first side");
        slot
    }

    #[test]
    fn a_slot_has_the_area_and_length_of_the_textbook() {
        let slot = slot();
        assert!(slot.is_closed_exactly() && slot.is_counter_clockwise(), "as built");
        assert_relative_eq!(slot.signed_area_mm2(), 400.0 + 25.0 * PI, epsilon = 1e-11);
        assert_relative_eq!(slot.length_mm(), 80.0 + 10.0 * PI, epsilon = 1e-12);
        let turned = slot.clone().oriented(false);
        assert_relative_eq!(turned.signed_area_mm2(), -400.0 - 25.0 * PI, epsilon = 1e-11);
        assert!(turned.is_closed_exactly(), "reversing keeps the ends");
        assert_eq!(turned.oriented(true), slot, "and back again");
        assert!(slot.bounds().unwrap().size().x - 50.0 < 1e-12, "the ends are part of it");
    }

    #[test]
    fn the_centre_of_a_rounded_end_is_inside() {
        for (inside, x, y) in [
            (true, 20.0, 0.0),
            (true, -20.0, 0.0),
            (true, 24.9, 0.0),
            (false, 25.1, 0.0),
            (true, 0.0, 4.9),
            (false, 24.0, 4.0),
            (false, -40.0, -5.0),
            (false, -40.0, 5.0),
            (true, 20.0, 2.0),
        ] {
            assert_eq!(slot().contains(at(x, y)), inside, "at ({x}, {y})");
            assert_eq!(slot().reversed().contains(at(x, y)), inside, "at ({x}, {y}), gone round the other way");
            // The same slot turned by a quarter, so that the chords of its ends are level.
            let upright = |p: PlatePoint| at(-p.y, p.x);
            let segments = slot().segments.into_iter().map(|s| Segment::arc(upright(s.from), upright(s.to), s.bulge));
            let quarter = Contour { segments: segments.collect(), closed: true };
            assert_eq!(quarter.contains(upright(at(x, y))), inside, "at ({x}, {y}), turned by a quarter");
        }
    }

    #[test]
    fn runs_break_where_a_place_is_missing() {
        let mut open = slot();
        open.segments.remove(2);
        assert_eq!(open.runs().map(<[Segment]>::len).collect::<Vec<_>>(), [2, 1], "two pieces, then one");
        assert!(!open.is_closed_exactly(), "a piece is missing");
        assert!(!Contour::default().is_closed_exactly(), "nothing is not closed");
    }

    prop_compose! {
        /// A star of lines and flat arcs round the origin: it never crosses itself.
        fn any_star()(spokes in prop::collection::vec((5.0..40.0f64, -0.15..0.15f64), 3..12)) -> Contour {
            let n = spokes.len() as f64;
            let ends: Vec<PlatePoint> = spokes.iter().enumerate().map(|(k, (r, _))| {
                let angle = 2.0 * PI * k as f64 / n;
                at(r * angle.cos(), r * angle.sin())
            }).collect();
            let mut star = Contour::polygon(&ends);
            star.segments.iter_mut().zip(&spokes).for_each(|(s, (_, bulge))| s.bulge = *bulge);
            star
        }
    }

    /// The same contour for kurbo, its arcs as cubics of an accuracy that does not matter.
    fn kurbo_path(contour: &Contour) -> kurbo::BezPath {
        let point = |p: PlatePoint| kurbo::Point::new(p.x, p.y);
        let mut path = kurbo::BezPath::new();
        path.move_to(point(contour.segments[0].from));
        for s in &contour.segments {
            match s.centre().zip(s.radius_mm()) {
                None => path.line_to(point(s.to)),
                Some((c, r)) => {
                    let arc = kurbo::Arc::new(point(c), (r, r), (s.from - c).angle_rad(), s.sweep_rad(), 0.0);
                    path.extend(arc.append_iter(1e-10));
                }
            }
        }
        path.close_path();
        path
    }

    proptest! {
        #[test]
        fn area_length_and_inside_agree_with_kurbo(star in any_star(), p in any_point()) {
            use kurbo::Shape;
            let path = kurbo_path(&star);
            prop_assert!((star.signed_area_mm2() - path.area()).abs() < 1e-6, "{} {}", star.signed_area_mm2(), path.area());
            prop_assert!((star.length_mm() - path.perimeter(1e-9)).abs() < 1e-5);
            prop_assume!(star.distance_mm(p) > 1e-6);
            prop_assert_eq!(star.contains(p), path.contains(kurbo::Point::new(p.x, p.y)));
            prop_assert_eq!(star.reversed().contains(p), star.contains(p));
        }

        #[test]
        fn sampled_finely_the_shoelace_gives_the_same_area(star in any_star()) {
            let points = star.sampled(1e-4);
            let shoelace: f64 = points.windows(2).map(|w| (w[0].x * w[1].y - w[1].x * w[0].y) / 2.0).sum();
            prop_assert!((shoelace - star.signed_area_mm2()).abs() < 1e-4 * star.length_mm());
        }
    }
}
