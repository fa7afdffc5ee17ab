//! Small rounded corners.
//!
//! Where two lines meet in a corner that was rounded by little more than the noise, the split finds an arc too dear: it
//! has to pay for three numbers. An arc that touches both lines has one, its radius, and fewer points speak for it.

use super::Fit;
use super::curve::Curve;
use super::joint::Tie;
use super::split::Run;
use crate::space::PlatePoint;

/// What such an arc has to save, in variances of a point: the 0.995 quantile of chi-square with one degree of
/// freedom.
const SAVED: f64 = 7.9;
/// No corner that turns by less is rounded, rad.
const TURN_MIN: f64 = 0.1;
/// Radii tried from corner to corner of the shorter line, each this many times the one before.
const STEP: f64 = 1.25;
const TRIES: usize = 24;
/// Points that have to lie on the arc.
const POINTS: usize = 3;

impl Fit {
    /// Rounds those corners of two lines whose points ask for it; says whether any was.
    pub(super) fn round_corners(&mut self) -> bool {
        self.line_up();
        let joins: Vec<_> = self.pieces.joins(&self.chain).collect();
        let mut rounded = false;
        // From the last, so that what is put in does not shift those that are to come.
        for (k, next) in joins.into_iter().rev() {
            if let Some((arc, first, last)) = self.rounding(k, next) {
                self.put_in(k, next, arc, first, last);
                rounded = true;
            }
        }
        rounded
    }

    /// The arc that saves most at a corner, and the points that lie on it.
    fn rounding(&self, k: usize, next: usize) -> Option<(Curve, usize, usize)> {
        let pieces = &self.pieces;
        let (a, b) = (&pieces.curves[k], &pieces.curves[next]);
        if a.bend != 0.0 || b.bend != 0.0 || pieces.ties[k] != Tie::Free || pieces.runs.len() < 3 {
            return None;
        }
        let (run, other) = (pieces.runs[k], pieces.runs[next]);
        let corner = a.crossing(b, self.between(&run, &other))?;
        let turn = a.along.cross(b.along).atan2(a.along.dot(b.along));
        let half = (turn / 2.0).tan().abs();
        if turn.abs() < TURN_MIN || half > 3.0 {
            return None;
        }
        let reach = corner.distance(self.chain.at(run.first)).min(corner.distance(self.chain.at(other.last))) / 2.0;
        let shift = run.last + 1 - other.first;
        let noise = self.chain.noise_mm.max(0.1 * self.tolerance_mm);
        let cap = 3.0 * noise;
        let mut best: Option<(f64, Curve, usize, usize)> = None;
        let mut leg = reach;
        for _ in 0..TRIES {
            let start = corner + a.along * -leg;
            let arc = Curve { at: start, along: a.along, bend: turn.signum() * half / leg };
            let ahead = |p: PlatePoint| (p - corner).dot(a.along) > -leg;
            let behind = |p: PlatePoint| (p - corner).dot(b.along) < leg;
            let first =
                (run.first..=run.last).rev().take_while(|&p| ahead(self.chain.at(p))).last().unwrap_or(run.last + 1);
            let last = (other.first..=other.last).take_while(|&p| behind(self.chain.at(p))).last();
            let last = last.map_or(run.last, |p| p + shift);
            let cost = |curve: &Curve, p: usize| {
                let point = self.chain.point(p);
                point.weight * (curve.off_mm(point.at).abs().min(cap) / noise).powi(2)
            };
            let saved: f64 = (first..=last).map(|p| cost(if p <= run.last { a } else { b }, p) - cost(&arc, p)).sum();
            if last + 1 >= first + POINTS && saved > best.map_or(SAVED, |b| b.0) {
                best = Some((saved, arc, first, last));
            }
            leg /= STEP;
        }
        best.filter(|b| b.2 > run.first + 1 && b.3 + 1 < other.last + shift).map(|b| (b.1, b.2, b.3))
    }

    fn put_in(&mut self, k: usize, next: usize, arc: Curve, first: usize, last: usize) {
        let pieces = &mut self.pieces;
        let shift = pieces.runs[k].last + 1 - pieces.runs[next].first;
        pieces.runs[k].last = first - 1;
        pieces.runs[next].first = last + 1 - shift;
        let middle = self.chain.at(usize::midpoint(first, last));
        pieces.runs.insert(k + 1, Run { first, last, is_line: false });
        pieces.curves.insert(k + 1, arc.held_at(middle));
        pieces.ties.insert(k + 1, Tie::Free);
        for hold in &mut pieces.holds {
            hold.0 += usize::from(hold.0 > k);
        }
    }
}
