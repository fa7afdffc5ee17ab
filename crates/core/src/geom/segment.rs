//! A straight piece or a circular arc.
//!
//! Formulas of the bulge `b = tan(sweep / 4)` (DXF reference, LWPOLYLINE): half sweep `a` has `cos a = (1 - b²)/(1 + b²)`
//! and `sin a = 2b/(1 + b²)`; radius `= chord (1 + b²) / (4 |b|)`. Everything is worked out from the chord rather than
//! from the centre, which is far away on a flat arc and would cost digits.

use super::Bounds;
use crate::space::{PlatePoint, PlateVec};
use crate::tolerance::{FLAT_ARC_BULGE, FLAT_ARC_MM};

/// A straight piece or a circular arc, by its ends and its bulge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// Where it starts.
    pub from: PlatePoint,
    /// Where it ends.
    pub to: PlatePoint,
    /// Tangent of a quarter of the arc's angle, positive counter-clockwise; 0 for a line.
    pub bulge: f64,
}

impl Segment {
    /// A straight piece.
    pub const fn line(from: PlatePoint, to: PlatePoint) -> Self {
        Self { from, to, bulge: 0.0 }
    }

    /// A circular arc.
    pub const fn arc(from: PlatePoint, to: PlatePoint, bulge: f64) -> Self {
        Self { from, to, bulge }
    }

    /// It is straight.
    pub fn is_line(&self) -> bool {
        self.bulge == 0.0
    }

    /// The same piece, straight if its arc is too flat to matter.
    #[must_use]
    pub fn without_flat_arc(self) -> Self {
        let flat = self.bulge.abs() <= FLAT_ARC_BULGE && self.rise_mm() <= FLAT_ARC_MM;
        if flat { Self::line(self.from, self.to) } else { self }
    }

    /// The straight step from start to end.
    pub fn chord(&self) -> PlateVec {
        self.to - self.from
    }

    /// How far the arc leaves its chord, mm.
    pub fn rise_mm(&self) -> f64 {
        self.bulge.abs() * self.chord().length() / 2.0
    }

    /// Angle that the arc covers, rad, positive counter-clockwise; 0 for a line.
    pub fn sweep_rad(&self) -> f64 {
        4.0 * self.bulge.atan()
    }

    /// Radius, mm; `None` for a line.
    pub fn radius_mm(&self) -> Option<f64> {
        let b = self.bulge;
        (b != 0.0).then(|| self.chord().length() * (1.0 + b * b) / (4.0 * b.abs()))
    }

    /// Centre of the circle; `None` for a line.
    pub fn centre(&self) -> Option<PlatePoint> {
        let b = self.bulge;
        let chord = self.chord();
        (b != 0.0).then(|| self.from + chord * 0.5 + chord.perp() * ((1.0 - b * b) / (4.0 * b)))
    }

    /// Length along it, mm.
    pub fn length_mm(&self) -> f64 {
        let chord = self.chord().length();
        let half = self.sweep_rad().abs() / 2.0;
        if half == 0.0 { chord } else { chord * half / half.sin() }
    }

    /// The place at the share `t` of its length, 0 at the start and 1 at the end.
    pub fn point_at(&self, t: f64) -> PlatePoint {
        if t <= 0.0 {
            return self.from;
        }
        if t >= 1.0 {
            return self.to;
        }
        let half = self.sweep_rad() / 2.0;
        if half == 0.0 {
            return self.from.lerp(self.to, t);
        }
        // The chord to the point has turned from the whole chord by (t - 1) half, and is shorter by the ratio of sines.
        let (sin, cos) = ((t - 1.0) * half).sin_cos();
        self.from + turned(self.chord(), sin, cos) * ((t * half).sin() / half.sin())
    }

    /// Direction at the start, length one; `None` for a piece of no length.
    pub fn start_direction(&self) -> Option<PlateVec> {
        let (sin, cos) = self.half_sweep_sin_cos();
        Some(turned(self.chord().unit()?, -sin, cos))
    }

    /// Direction at the end, length one; `None` for a piece of no length.
    pub fn end_direction(&self) -> Option<PlateVec> {
        let (sin, cos) = self.half_sweep_sin_cos();
        Some(turned(self.chord().unit()?, sin, cos))
    }

    fn half_sweep_sin_cos(&self) -> (f64, f64) {
        let b = self.bulge;
        let whole = 1.0 + b * b;
        (2.0 * b / whole, (1.0 - b * b) / whole)
    }

    /// The same piece, gone along the other way.
    #[must_use]
    pub fn reversed(self) -> Self {
        Self { from: self.to, to: self.from, bulge: -self.bulge }
    }

    /// The same piece seen from the other side: y turned round.
    #[must_use]
    pub fn mirrored(self) -> Self {
        Self { from: self.from.mirrored(), to: self.to.mirrored(), bulge: -self.bulge }
    }

    /// The place on it that is nearest to `point`.
    pub fn nearest(&self, point: PlatePoint) -> PlatePoint {
        let Some((centre, radius)) = self.centre().zip(self.radius_mm()) else {
            return self.nearest_on_line(point);
        };
        match (point - centre).unit() {
            Some(outward) if self.covers_direction(outward) => {
                point - outward * self.off_circle_mm(point, centre, radius)
            }
            _ if point.distance(self.from) <= point.distance(self.to) => self.from,
            _ => self.to,
        }
    }

    /// Distance from `point` to the nearest place on it, mm.
    pub fn distance_mm(&self, point: PlatePoint) -> f64 {
        let Some((centre, radius)) = self.centre().zip(self.radius_mm()) else {
            return self.nearest_on_line(point).distance(point);
        };
        match (point - centre).unit() {
            Some(outward) if self.covers_direction(outward) => self.off_circle_mm(point, centre, radius).abs(),
            _ => point.distance(self.from).min(point.distance(self.to)),
        }
    }

    fn nearest_on_line(&self, point: PlatePoint) -> PlatePoint {
        let chord = self.chord();
        let square = chord.dot(chord);
        if square == 0.0 { self.from } else { self.point_at((point - self.from).dot(chord) / square) }
    }

    /// Distance from the circle, positive outside. The difference of squares over the sum keeps its digits when the
    /// centre is far away: in the chord's frame the square of the radius drops out.
    fn off_circle_mm(&self, point: PlatePoint, centre: PlatePoint, radius_mm: f64) -> f64 {
        let chord = self.chord();
        let from_middle = point - (self.from + chord * 0.5);
        let b = self.bulge;
        let power = from_middle.dot(from_middle)
            - chord.dot(chord) / 4.0
            - 2.0 * from_middle.dot(chord.perp()) * ((1.0 - b * b) / (4.0 * b));
        power / ((point - centre).length() + radius_mm)
    }

    /// The arc passes through the ray from its centre along `outward` (length one).
    ///
    /// The middle of a counter-clockwise arc lies to the right of its chord, whatever its size; the angle from there is
    /// compared by its sine, which keeps its digits on a flat arc.
    pub(super) fn covers_direction(&self, outward: PlateVec) -> bool {
        let Some(along) = self.chord().unit() else { return false };
        let (sine, _) = self.half_sweep_sin_cos();
        let off_middle = outward.dot(along).abs();
        let on_its_side = along.cross(outward) * self.bulge <= 0.0;
        if self.bulge.abs() <= 1.0 {
            on_its_side && off_middle <= sine.abs()
        } else {
            on_its_side || off_middle >= sine.abs()
        }
    }

    /// The share of its length at which `point`, a place on it, lies.
    pub fn share_at(&self, point: PlatePoint) -> f64 {
        let chord = self.chord();
        let square = chord.dot(chord);
        if square == 0.0 {
            return 0.0;
        }
        let step = point - self.from;
        if self.is_line() {
            return (step.dot(chord) / square).clamp(0.0, 1.0);
        }
        // The chord to the point has turned from the start direction by half of the angle covered so far.
        let Some((start, direction)) = self.start_direction().zip(step.unit()) else { return 0.0 };
        let turned_by = start.cross(direction).atan2(start.dot(direction));
        (turned_by / (self.sweep_rad() / 2.0)).clamp(0.0, 1.0)
    }

    /// The upright box around it.
    pub fn bounds(&self) -> Bounds {
        let ends = Bounds { min: self.from, max: self.from }.union(Bounds { min: self.to, max: self.to });
        let Some((centre, radius)) = self.centre().zip(self.radius_mm()) else { return ends };
        let axes = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)].map(|(x, y)| PlateVec::new(x, y));
        axes.into_iter().filter(|&axis| self.covers_direction(axis)).fold(ends, |held, axis| {
            let at = centre + axis * radius;
            held.union(Bounds { min: at, max: at })
        })
    }

    /// Area between the arc and its chord, mm², positive where the arc turns counter-clockwise.
    pub fn area_beside_chord_mm2(&self) -> f64 {
        let sweep = self.sweep_rad();
        let chord = self.chord();
        let square = chord.dot(chord);
        // Below 0.01 rad `sweep - sin sweep` loses digits; three terms of its series are exact to rounding there.
        let difference = if sweep.abs() < 0.01 {
            let s2 = sweep * sweep;
            sweep * s2 / 6.0 * (1.0 - s2 / 20.0 * (1.0 - s2 / 42.0))
        } else {
            sweep - sweep.sin()
        };
        let sine = (sweep / 2.0).sin();
        if sine == 0.0 { 0.0 } else { square * difference / (8.0 * sine * sine) }
    }

    /// Points along it from start to end, both included, that no chord between them leaves it by more than `chord_mm`.
    pub fn sampled(&self, chord_mm: f64) -> Vec<PlatePoint> {
        let n = self.radius_mm().map_or(1, |radius| {
            let step_rad = 2.0 * (1.0 - chord_mm / radius).clamp(-1.0, 1.0).acos();
            (self.sweep_rad().abs() / step_rad).ceil().clamp(1.0, SAMPLES_MAX) as usize
        });
        (0..=n).map(|k| self.point_at(k as f64 / n as f64)).collect()
    }
}

/// The most chords of a sampled arc: a whole turn of 10 m radius at the finest tolerance in use needs 1,600.
const SAMPLES_MAX: f64 = 4096.0;

/// `step` turned by the angle with this sine and cosine, from x towards y.
fn turned(step: PlateVec, sin: f64, cos: f64) -> PlateVec {
    PlateVec::new(step.x * cos - step.y * sin, step.x * sin + step.y * cos)
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;
    use std::f64::consts::{FRAC_PI_2, PI, SQRT_2};

    fn at(x: f64, y: f64) -> PlatePoint {
        PlatePoint::new(x, y)
    }

    prop_compose! {
        pub(in crate::geom) fn any_point()(x in -50.0..50.0, y in -50.0..50.0) -> PlatePoint { PlatePoint::new(x, y) }
    }
    prop_compose! {
        pub(in crate::geom) fn any_segment()(from in any_point(), to in any_point(), bulge in -1.0..1.0, straight: bool)
            -> Segment { Segment::arc(from, to, if straight { 0.0 } else { bulge }) }
    }

    #[test]
    fn a_quarter_turn_has_the_published_bulge_and_radius() {
        // Bulge of 90 degrees 0.4142135624 (DXF reference); R = c (1 + b²) / (4 |b|).
        let quarter = Segment::arc(at(10.0, 0.0), at(0.0, 10.0), SQRT_2 - 1.0);
        assert_relative_eq!(quarter.sweep_rad(), FRAC_PI_2, epsilon = 1e-14);
        assert_relative_eq!(quarter.radius_mm().unwrap(), 10.0, epsilon = 1e-12);
        assert!(quarter.centre().unwrap().distance(at(0.0, 0.0)) < 1e-12, "centre at the origin");
        assert_relative_eq!(quarter.length_mm(), 5.0 * PI, epsilon = 1e-12);
        assert!(quarter.point_at(0.5).distance(at(50f64.sqrt(), 50f64.sqrt())) < 1e-12, "middle at 45 degrees");
        assert!((quarter.start_direction().unwrap() - PlateVec::new(0.0, 1.0)).length() < 1e-12, "leaves along y");
        assert!((quarter.end_direction().unwrap() - PlateVec::new(-1.0, 0.0)).length() < 1e-12, "arrives along -x");
        assert_relative_eq!(quarter.area_beside_chord_mm2(), 25.0 * PI - 50.0, epsilon = 1e-11);
    }

    #[test]
    fn a_half_turn_reaches_its_side() {
        let half = Segment::arc(at(-5.0, 0.0), at(5.0, 0.0), -1.0);
        let held = half.bounds();
        assert!(held.max.distance(at(5.0, 5.0)) < 1e-12 && held.min.distance(at(-5.0, 0.0)) < 1e-12, "{held:?}");
        assert_relative_eq!(half.distance_mm(at(0.0, 7.0)), 2.0, epsilon = 1e-12);
        assert_relative_eq!(half.distance_mm(at(4.0, -3.0)), 10f64.sqrt(), epsilon = 1e-12);
    }

    #[test]
    fn a_piece_of_no_length_has_no_direction_and_no_nan() {
        for bulge in [0.0, 0.7, -1.0] {
            let none = Segment::arc(at(3.0, 4.0), at(3.0, 4.0), bulge);
            assert_eq!(none.start_direction(), None, "bulge {bulge}");
            assert_eq!(none.nearest(at(0.0, 0.0)), at(3.0, 4.0), "bulge {bulge}");
            assert_relative_eq!(none.distance_mm(at(0.0, 0.0)), 5.0);
            assert_relative_eq!(none.length_mm(), 0.0);
            assert_relative_eq!(none.area_beside_chord_mm2(), 0.0);
            assert!(none.sampled(0.01).iter().all(|p| p.is_finite()), "bulge {bulge}");
        }
    }

    proptest! {
        #[test]
        fn points_of_an_arc_lie_on_it_at_their_share(s in any_segment(), t in 0.0..1.0) {
            let p = s.point_at(t);
            prop_assert!(s.distance_mm(p) < 1e-9, "off by {}", s.distance_mm(p));
            prop_assert!(s.chord().length() < 0.1 || (s.share_at(p) - t).abs() < 1e-6, "{} for {t}", s.share_at(p));
            prop_assert!(s.reversed().point_at(1.0 - t).distance(p) < 1e-9);
            let b = s.bounds().grown(1e-9);
            prop_assert!(b.min.x <= p.x && p.x <= b.max.x && b.min.y <= p.y && p.y <= b.max.y);
        }

        #[test]
        fn nearest_is_no_farther_than_any_sample(s in any_segment(), p in any_point()) {
            let d = s.distance_mm(p);
            prop_assert!((s.nearest(p).distance(p) - d).abs() < 1e-8);
            let sampled = s.sampled(1e-3).into_iter().map(|q| q.distance(p)).fold(f64::INFINITY, f64::min);
            // Half a step along the piece, at most, separates the nearest sample from the nearest place.
            let along = s.length_mm() / (s.sampled(1e-3).len() - 1) as f64;
            prop_assert!(d <= sampled + 1e-9);
            prop_assert!(s.is_line() || sampled <= d + along);
        }

        #[test]
        fn samples_keep_the_chord(s in any_segment(), chord_mm in 1e-3..1.0) {
            for pair in s.sampled(chord_mm).windows(2) {
                let off = s.distance_mm(pair[0].lerp(pair[1], 0.5));
                prop_assert!(off <= chord_mm * (1.0 + 1e-6) + 1e-9, "{off} over {chord_mm}");
            }
        }
    }
}
