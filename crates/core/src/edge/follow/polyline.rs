//! Chains of photo points.

use crate::space::{PhotoPoint, PhotoVec};

/// A chain of points in the photo, each with the number of the piece that it belongs to.
#[derive(Debug, Clone, Default)]
pub(in crate::edge) struct Polyline {
    pub(in crate::edge) points: Vec<(PhotoPoint, usize)>,
    pub(in crate::edge) closed: bool,
}

impl Polyline {
    /// The point `step` places from the one at `index`; beyond the ends of an open chain its end.
    pub(in crate::edge) fn point(&self, index: usize, step: isize) -> PhotoPoint {
        let (len, at) = (self.points.len().cast_signed(), index.cast_signed() + step);
        let at = if self.closed { at.rem_euclid(len) } else { at.clamp(0, len - 1) };
        self.points[at.cast_unsigned()].0
    }

    /// The same chain with its points `spacing_px` apart.
    pub(in crate::edge) fn resampled(&self, spacing_px: f64) -> Self {
        let mut all = self.points.clone();
        if self.closed {
            all.extend(self.points.first().copied());
        }
        let mut points: Vec<(PhotoPoint, usize)> = self.points.first().copied().into_iter().collect();
        let mut left = spacing_px;
        for pair in all.windows(2) {
            let ([(from, piece), (to, _)], length) = ([pair[0], pair[1]], pair[0].0.distance(pair[1].0));
            let mut done = 0.0;
            while length - done >= left {
                done += left;
                left = spacing_px;
                points.push((from.lerp(to, done / length), piece));
            }
            left -= length - done;
        }
        let meets = |points: &[(PhotoPoint, usize)]| {
            points.len() > 3 && points[0].0.distance(points[points.len() - 1].0) < 0.7 * spacing_px
        };
        if self.closed && meets(&points) {
            points.pop();
        }
        Self { points, closed: self.closed }
    }

    /// Each point replaced by the mean of those up to `reach` places away; the ends of an open chain stay.
    pub(in crate::edge) fn smoothed(&self, reach: usize) -> Self {
        let len = self.points.len();
        let mean = |index: usize| {
            let room = if self.closed { reach } else { reach.min(index).min(len - 1 - index) }.cast_signed();
            let own = self.points[index].0;
            let sum = (-room..=room).fold(PhotoVec::default(), |sum, step| sum + (self.point(index, step) - own));
            (own + sum * (1.0 / (2 * room + 1) as f64), self.points[index].1)
        };
        Self { points: (0..len).map(mean).collect(), closed: self.closed }
    }

    /// The direction at a point, from those `reach` places before and after it.
    pub(super) fn direction(&self, index: usize, reach: usize) -> Option<PhotoVec> {
        let reach = reach.cast_signed();
        (self.point(index, reach) - self.point(index, -reach)).unit()
    }

    /// How much the chain turns from `reach` places before a point to `reach` after it, radians.
    pub(super) fn turn_rad(&self, index: usize, reach: usize) -> f64 {
        let (reach, at) = (reach.cast_signed(), self.point(index, 0));
        let (before, after) = (at - self.point(index, -reach), self.point(index, reach) - at);
        before.cross(after).atan2(before.dot(after)).abs()
    }
}
