//! A whole line or circle, as one kind of thing.
//!
//! A curve is a place on it, its direction there and its bend (curvature, 1/mm, positive where it turns left; 0 for a
//! line). Nothing is worked out from a centre, so that an arc may become as flat as it likes.
//!
//! The distance from the curve: with `u` the step from its place, `n` its left normal and `k` its bend,
//! `g = k u·u - 2 u·n`, `s = sqrt(1 + k g)`, the distance is `g / (1 + s)`, positive to the right. Its derivative is
//! `(dg - d² dk) / (2 s)`.

use crate::space::{PlatePoint, PlateVec};

/// A whole line or circle that is gone along one way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Curve {
    /// A place on it, mm.
    pub(super) at: PlatePoint,
    /// Its direction there, length one.
    pub(super) along: PlateVec,
    /// Its bend, 1/mm: positive to the left; 0 for a line.
    pub(super) bend: f64,
}

/// The three numbers that a curve may be changed by: aside (mm), turn (rad), bend (1/mm).
pub(super) type Row = [f64; 3];

/// So many places are worked on side by side.
pub(super) const SIDE_BY_SIDE: usize = 8;

/// One number of the rows of places side by side.
type Rows = [f64; SIDE_BY_SIDE];

/// A point at the centre itself has no direction; it counts as one beside it, by this share of the radius.
const NEAR_CENTRE: f64 = 1e-9;

impl Curve {
    /// Radius, mm; `None` for a line.
    pub(super) fn radius_mm(&self) -> Option<f64> {
        (self.bend != 0.0).then(|| 1.0 / self.bend.abs())
    }

    /// Centre; `None` for a line.
    pub(super) fn centre(&self) -> Option<PlatePoint> {
        (self.bend != 0.0).then(|| self.at + self.along.perp() * (1.0 / self.bend))
    }

    /// Signed distance of `place`, mm, positive to the right of the curve.
    pub(super) fn off_mm(&self, place: PlatePoint) -> f64 {
        let (g, s) = self.power(place);
        g / (1.0 + s)
    }

    /// The signed distance and its derivatives.
    pub(super) fn off_with_row(&self, place: PlatePoint) -> (f64, Row) {
        let u = place - self.at;
        let normal = self.along.perp();
        let (g, s) = self.power(place);
        let off = g / (1.0 + s);
        let half = 0.5 / s.max(NEAR_CENTRE);
        (
            off,
            [
                (2.0 - 2.0 * self.bend * u.dot(normal)) * half,
                2.0 * u.dot(self.along) * half,
                (u.dot(u) - off * off) * half,
            ],
        )
    }

    /// The same for some places side by side, digit for digit, in a shape that the compiler makes vectors of.
    pub(super) fn offs_with_rows(&self, places: &[PlatePoint; SIDE_BY_SIDE]) -> ([f64; SIDE_BY_SIDE], [Rows; 3]) {
        let (normal, bend) = (self.along.perp(), self.bend);
        let (mut offs, mut rows) = ([0.0; SIDE_BY_SIDE], [[0.0; SIDE_BY_SIDE]; 3]);
        for i in 0..SIDE_BY_SIDE {
            let u = places[i] - self.at;
            let (square, aside) = (u.dot(u), u.dot(normal));
            let g = bend * square - 2.0 * aside;
            let s = (1.0 + bend * g).max(0.0).sqrt();
            let (off, half) = (g / (1.0 + s), 0.5 / s.max(NEAR_CENTRE));
            offs[i] = off;
            rows[0][i] = (2.0 - 2.0 * bend * aside) * half;
            rows[1][i] = 2.0 * u.dot(self.along) * half;
            rows[2][i] = (square - off * off) * half;
        }
        (offs, rows)
    }

    fn power(&self, place: PlatePoint) -> (f64, f64) {
        let u = place - self.at;
        let g = self.bend * u.dot(u) - 2.0 * u.dot(self.along.perp());
        (g, (1.0 + self.bend * g).max(0.0).sqrt())
    }

    /// Direction of the curve at the foot of `place`, length one.
    pub(super) fn direction_at(&self, place: PlatePoint) -> PlateVec {
        let u = place - self.at;
        let outward = self.along.perp() - u * self.bend;
        outward.unit().map_or(self.along, |inward| -inward.perp())
    }

    /// The nearest place on the curve.
    pub(super) fn foot(&self, place: PlatePoint) -> PlatePoint {
        place + self.direction_at(place).perp() * self.off_mm(place)
    }

    /// The curve after a change.
    pub(super) fn changed(&self, [aside, turn, bend]: Row) -> Self {
        let normal = self.along.perp();
        let (sin, cos) = turn.sin_cos();
        let along = self.along * cos + normal * sin;
        Self { at: self.at + normal * aside, along: along.unit().unwrap_or(self.along), bend: self.bend + bend }
    }

    /// The same curve held at the foot of `place`.
    pub(super) fn held_at(&self, place: PlatePoint) -> Self {
        Self { at: self.foot(place), along: self.direction_at(place), bend: self.bend }
    }

    /// The coefficients of `k/2 x·x - b·x + c` about `origin`, with `b·b - 2 k c = 1`.
    fn form(&self, origin: PlatePoint) -> (PlateVec, f64) {
        let w = self.at - origin;
        let normal = self.along.perp();
        (normal + w * self.bend, self.bend / 2.0 * w.dot(w) + w.dot(normal))
    }

    /// How far two curves are from touching with the same direction, mm, and its derivatives by both; `None` where they
    /// bend so much alike that it has no meaning.
    ///
    /// Oriented contact of circles (Lie; as in Cecil, Lie sphere geometry, 2008, section 1.2, from memory):
    /// `b1·b2 - k1 c2 - k2 c1 = 1`; over the difference of bends it is the gap.
    pub(super) fn gap(&self, other: &Self, origin: PlatePoint) -> Option<(f64, Row, Row)> {
        let difference = other.bend - self.bend;
        if difference.abs() < LEAST_BEND_DIFFERENCE {
            return None;
        }
        let ((b1, c1), (b2, c2)) = (self.form(origin), other.form(origin));
        let off = b1.dot(b2) - self.bend * c2 - other.bend * c1 - 1.0;
        let row = |one: &Self, b: PlateVec, c: f64, bend: f64| {
            let (w, normal) = (one.at - origin, one.along.perp());
            [
                (one.bend * normal.dot(b) - bend * (one.bend * w.dot(normal) + 1.0)) / difference,
                (-one.along.dot(b) + bend * w.dot(one.along)) / difference,
                (w.dot(b) - c - bend * w.dot(w) / 2.0) / difference,
            ]
        };
        Some((off / difference, row(self, b2, c2, other.bend), row(other, b1, c1, self.bend)))
    }

    /// Where two curves that touch (or nearly) are nearest to each other, near `place`.
    pub(super) fn touch(&self, other: &Self, place: PlatePoint) -> Option<PlatePoint> {
        let ((b1, _), (b2, _)) = (self.form(place), other.form(place));
        // At the touch both gradients, b - k x, are the same normal.
        let difference = other.bend - self.bend;
        let step = (b2 - b1) * (1.0 / difference);
        let at = place + step;
        at.is_finite().then(|| self.foot(at))
    }

    /// Where two curves cross, the one nearest to `place`; `None` where they do not.
    pub(super) fn crossing(&self, other: &Self, place: PlatePoint) -> Option<PlatePoint> {
        // The difference of the two forms, scaled so that the squares drop out, is the line that holds both crossings.
        let ((b1, c1), (b2, c2)) = (self.form(place), other.form(place));
        let normal = b1 * other.bend - b2 * self.bend;
        let (line, whole) = if self.bend == 0.0 {
            ((b1, c1), other)
        } else if other.bend == 0.0 {
            ((b2, c2), self)
        } else {
            ((normal, c1 * other.bend - c2 * self.bend), self)
        };
        let length = line.0.length();
        let unit = line.0.unit()?;
        let foot = place + unit * (line.1 / length);
        if whole.bend == 0.0 {
            return line_crossing(whole, foot, unit);
        }
        let side = unit.perp();
        // On the line x = foot + t side the circle's form is k/2 t² + p t + q = 0.
        let u = foot - whole.at;
        let n = whole.along.perp();
        let p = whole.bend * u.dot(side) - n.dot(side);
        let q = whole.bend / 2.0 * u.dot(u) - n.dot(u);
        let root = (p * p - 2.0 * whole.bend * q).max(-1.0);
        if root < 0.0 {
            return None;
        }
        let sum = p + root.sqrt().copysign(p);
        let roots = [-sum / whole.bend, -2.0 * q / sum];
        let places = roots.into_iter().filter(|t| t.is_finite()).map(|t| foot + side * t);
        places.min_by(|a, b| a.distance(place).total_cmp(&b.distance(place)))
    }
}

/// Bends that differ by less than this are the same: radii of 1 km and more.
const LEAST_BEND_DIFFERENCE: f64 = 1e-6;

/// Where the line `line` meets the one through `foot` with the normal `unit`.
fn line_crossing(line: &Curve, foot: PlatePoint, unit: PlateVec) -> Option<PlatePoint> {
    let towards = line.along.dot(unit);
    let t = (foot - line.at).dot(unit) / towards;
    t.is_finite().then(|| line.at + line.along * t)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_side_by_side_have_the_digits_of_each_by_itself() {
        for bend in [0.0, 0.037, -2.0] {
            let curve = Curve { at: PlatePoint::new(1.3, -0.7), along: PlateVec::from_angle(0.4), bend };
            // Among them the centre, where there is one.
            let place = |i: usize| curve.centre().filter(|_| i == 3).unwrap_or(PlatePoint::new(i as f64 * 0.31, 0.9));
            let places = std::array::from_fn(place);
            let (offs, rows) = curve.offs_with_rows(&places);
            for (i, place) in places.into_iter().enumerate() {
                assert_eq!((offs[i], rows.map(|row| row[i])), curve.off_with_row(place), "{bend}, {place:?}");
            }
        }
    }
}
