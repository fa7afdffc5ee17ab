//! What is fit to be fitted: finite places, each once, without those that lie far off both their sides.

use super::EdgePoint;
use crate::space::{PlatePoint, PlateVec};
use crate::tolerance::{LARGEST_FIGURE, SAME_PLACE_MM};

/// A point that takes part.
#[derive(Debug, Clone, Copy)]
pub(super) struct Kept {
    /// Its number among the points that were given.
    pub(super) given: usize,
    pub(super) at: PlatePoint,
    /// Its share in the sums, about one.
    pub(super) weight: f64,
    pub(super) pinned: bool,
}

/// The points that take part, in order, and their noise.
#[derive(Debug, Clone)]
pub(super) struct Chain {
    pub(super) points: Vec<Kept>,
    pub(super) closed: bool,
    /// Standard deviation of a point of weight one, mm.
    pub(super) noise_mm: f64,
    /// How far points that follow each other lie apart, mm: the median.
    pub(super) step_mm: f64,
    /// The points stand in the opposite order to that in which they were given.
    pub(super) turned: bool,
}

/// The most that points of one chain may count for more or less than its median point.
const WEIGHT_MIN: f64 = 0.04;
const WEIGHT_MAX: f64 = 4.0;

/// A point is left out where it is off by more than this many standard deviations, whichever side it is judged from.
const FAR_OFF: f64 = 5.0;

impl Chain {
    /// `None` where fewer than three places are left.
    pub(super) fn new(given: &[EdgePoint], closed: bool, tolerance_mm: f64) -> Option<Self> {
        let mut points: Vec<Kept> = Vec::with_capacity(given.len());
        let usable = |p: &EdgePoint| p.at.x.abs().max(p.at.y.abs()) <= LARGEST_FIGURE;
        for (number, p) in given.iter().enumerate().filter(|(_, p)| usable(p)) {
            match points.last_mut() {
                Some(last) if last.at.distance(p.at) <= SAME_PLACE_MM => last.pinned |= p.pinned,
                _ => points.push(Kept { given: number, at: p.at, weight: 1.0, pinned: p.pinned }),
            }
        }
        if closed
            && let [first, .., last] = points.as_mut_slice()
            && first.at.distance(last.at) <= SAME_PLACE_MM
        {
            first.pinned |= last.pinned;
            points.pop();
        }
        if points.len() < 3 {
            return None;
        }
        let sigma = |p: &Kept| Some(given[p.given].sigma_mm).filter(|s| s.is_finite() && *s > 0.0);
        let usual = median(points.iter().filter_map(sigma).collect()).unwrap_or(0.0);
        for p in &mut points {
            let ratio = sigma(p).map_or(1.0, |own| usual / own);
            p.weight = (ratio * ratio).clamp(WEIGHT_MIN, WEIGHT_MAX);
        }
        let mut chain = Self { points, closed, noise_mm: usual, step_mm: 0.0, turned: false };
        chain.take_own_order();
        chain.noise_mm = usual.max(chain.scatter_mm().min(SCATTER_BELIEVED * usual.max(tolerance_mm)));
        // What stood beside a stray is judged better without it.
        let far_mm = tolerance_mm.max(FAR_OFF * chain.noise_mm);
        chain.leave_out_strays(far_mm);
        chain.leave_out_strays(far_mm);
        let steps = chain.points.windows(2).map(|two| two[0].at.distance(two[1].at));
        chain.step_mm = median(steps.collect()).unwrap_or(0.0);
        (chain.points.len() >= 3).then_some(chain)
    }

    /// Puts the points into an order that depends on nothing but themselves, so that the same points give the same digits
    /// whichever of them comes first and whichever way they are gone along: from where they turn most, towards the
    /// farther neighbour.
    fn take_own_order(&mut self) {
        let n = self.len();
        if self.closed {
            let start = self.sharpest();
            self.points.rotate_left(start);
        }
        let last_step =
            if self.closed { self.at(n - 1).distance(self.at(0)) } else { self.at(n - 1).distance(self.at(n - 2)) };
        self.turned = last_step > self.at(0).distance(self.at(1));
        if self.turned {
            self.points.reverse();
            if self.closed {
                self.points.rotate_right(1);
            }
        }
    }

    /// What neighbours scatter about each other, mm: the median distance from the middle of the two beside.
    fn scatter_mm(&self) -> f64 {
        let off = self.points.windows(3).map(|t| off_line(t[1].at, t[0].at, t[2].at));
        // 1.4826: the normal distribution's standard deviation by its median deviation; 1.5: one and two halves.
        median(off.collect()).unwrap_or(0.0) * 1.4826 / 1.5f64.sqrt()
    }

    /// Leaves out single points and pairs that lie off the line through their two neighbours, off the lines that lead up to
    /// them on either side, and off the circles through three neighbours: a corner's points are on one of the lines, those
    /// of an arc on the circles.
    fn leave_out_strays(&mut self, far_mm: f64) {
        let n = self.points.len();
        if n < 8 {
            return;
        }
        // Counted from one round below, so that what stands before the first point has a number too.
        let at = |k: usize| -> Option<PlatePoint> {
            let is_there = self.closed || (n..2 * n).contains(&k);
            is_there.then(|| self.at(k))
        };
        let mut stray = vec![false; n];
        for run in [1, 2] {
            for k in n..2 * n {
                let ends = [(k - 1, k + run), (k - 3, k - 1), (k + run, k + run + 2)];
                let lines = || ends.iter().filter_map(|&(a, b)| Some((at(a)?, at(b)?)));
                let arcs = [(k - 2, k - 1, k + run), (k - 1, k + run, k + run + 1)];
                let arcs = || arcs.iter().filter_map(|&(a, b, c)| Some((at(a)?, at(b)?, at(c)?)));
                let is_off = |p: PlatePoint| {
                    lines().all(|(a, b)| off_line(p, a, b) > far_mm)
                        && arcs().all(|(a, b, c)| off_circle(p, a, b, c) > far_mm)
                };
                let members = (k..k + run).map(at).collect::<Option<Vec<_>>>();
                if lines().count() > 1 && members.is_some_and(|members| members.into_iter().all(is_off)) {
                    (k..k + run).for_each(|j| stray[j % n] = true);
                }
            }
        }
        let mut strays = stray.into_iter();
        self.points.retain(|p| !strays.next().unwrap_or(false) || p.pinned);
    }

    pub(super) fn len(&self) -> usize {
        self.points.len()
    }

    /// The point `k`, counted on round a closed chain.
    pub(super) fn point(&self, k: usize) -> &Kept {
        let n = self.points.len();
        // A division takes longer than all that is done with a point, and hardly any is farther on than one round.
        let once = if k < n { k } else { k - n };
        &self.points[if once < n { once } else { once % n }]
    }

    /// The points from `first` to `last`, in the parts that they make where they run over the end of a closed chain.
    pub(super) fn stretches(&self, first: usize, last: usize) -> impl Iterator<Item = &[Kept]> {
        let (mut start, mut left) = (first % self.points.len(), last + 1 - first);
        std::iter::from_fn(move || {
            let stretch = &self.points[start..self.points.len().min(start + left)];
            left -= stretch.len();
            start = 0;
            (!stretch.is_empty()).then_some(stretch)
        })
    }

    pub(super) fn at(&self, k: usize) -> PlatePoint {
        self.point(k).at
    }

    /// The place where a closed chain turns most, seen over a few points.
    pub(super) fn sharpest(&self) -> usize {
        let n = self.len();
        let reach = (n / 8).clamp(1, SHARPEST_REACH);
        let turn = |k: usize| {
            let back: PlateVec = self.at(k) - self.at(k + n - reach);
            let ahead = self.at(k + reach) - self.at(k);
            back.cross(ahead).atan2(back.dot(ahead)).abs()
        };
        (0..n).max_by(|&a, &b| turn(a).total_cmp(&turn(b))).unwrap_or(0)
    }
}

/// Points on either side over which a turn is seen.
const SHARPEST_REACH: usize = 5;

/// The scatter of the points is believed up to this many times what they are said to be good to, or the tolerance.
const SCATTER_BELIEVED: f64 = 3.0;

fn off_line(place: PlatePoint, a: PlatePoint, b: PlatePoint) -> f64 {
    (b - a).unit().map_or_else(|| place.distance(a), |along| along.cross(place - a).abs())
}

/// Distance from the circle through three places, or from their line where they make none.
fn off_circle(place: PlatePoint, a: PlatePoint, b: PlatePoint, c: PlatePoint) -> f64 {
    let (ab, ac) = (b - a, c - a);
    let twice_area = ab.cross(ac);
    let centre = a + (ab.perp() * ac.dot(ac) - ac.perp() * ab.dot(ab)) * (0.5 / twice_area);
    let off = (place.distance(centre) - a.distance(centre)).abs();
    if off.is_finite() && a.distance(centre) < 1e5 * (ab.length() + ac.length()) { off } else { off_line(place, a, c) }
}

/// The middle one of some figures; `None` of none.
pub(super) fn median(mut values: Vec<f64>) -> Option<f64> {
    let middle = values.len() / 2;
    (!values.is_empty()).then(|| *values.select_nth_unstable_by(middle, f64::total_cmp).1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_off_the_circle_through_three_others() {
        let at = |angle: f64, radius: f64| PlatePoint::new(3.0 + radius * angle.cos(), -2.0 + radius * angle.sin());
        let [a, b, c] = [0.1, 0.9, 1.4].map(|angle| at(angle, 5.0));
        assert!((off_circle(at(2.0, 5.3), a, b, c) - 0.3).abs() < 1e-9, "outside");
        assert!((off_circle(at(0.5, 4.8), c, a, b) - 0.2).abs() < 1e-9, "inside");
        let line = |x: f64| PlatePoint::new(x, 2.0 * x);
        let off = off_circle(PlatePoint::new(0.0, 1.0), line(0.0), line(1.0), line(3.0));
        assert!((off - 0.2_f64.sqrt()).abs() < 1e-9, "a line has no circle: {off}");
    }
}
