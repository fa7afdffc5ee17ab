//! Runs that the chain can do without.
//!
//! The split judges by plain sums, which two points side by side and far off can mislead. Judged by sums in which no
//! point counts for more than a few standard deviations, a short run may turn out to cost more than it is worth, and an
//! arc to be a line.

use super::Fit;
use super::curve::Curve;
use super::joint::{NEARLY_STILL_MM, Pieces, Tie, spread_mm};
use super::split::{ARC_COST, ARC_POINTS, LINE_COST, Run};
use super::sums::Sums;

/// Runs of no more points are tried without.
const SHORT: usize = 9;
/// No point counts for more than this many spreads.
const CAP: f64 = 3.0;
/// No more than this many runs are tried, so that hopeless points take no long time.
const TRIES: usize = 60;

impl Fit {
    /// Lets go what costs less without; says whether there was any.
    pub(super) fn spare(&mut self) -> bool {
        let mut changed = self.straighten();
        let mut tries = 0;
        let mut k = 0;
        while k < self.pieces.runs.len() && self.pieces.runs.len() > 2 && tries < TRIES {
            let run = self.pieces.runs[k];
            if run.last + 1 - run.first > SHORT {
                k += 1;
                continue;
            }
            tries += 1;
            if self.join_across(k) || self.join_pair(k) || self.go_without(k) {
                changed = true;
                k = k.saturating_sub(2);
            } else {
                k += 1;
            }
        }
        changed
    }

    /// What a curve costs that stands for some points, in squared tolerances.
    fn cost(&self, curve: &Curve, run: &Run) -> f64 {
        let price = if run.is_line { LINE_COST } else { ARC_COST };
        price + (run.first..=run.last).map(|p| self.point_cost(curve, p)).sum::<f64>()
    }

    fn point_cost(&self, curve: &Curve, point: usize) -> f64 {
        let cap = CAP * spread_mm(&self.chain, self.tolerance_mm);
        let kept = self.chain.point(point);
        kept.weight * (curve.off_mm(kept.at).abs().min(cap) / self.tolerance_mm).powi(2)
    }

    fn cost_of(&self, k: usize) -> f64 {
        self.cost(&self.pieces.curves[k], &self.pieces.runs[k])
    }

    /// The best curve for a run from a first one.
    fn refined(&self, run: Run, first: Curve) -> Option<Curve> {
        let mut alone = Pieces { runs: vec![run], curves: vec![first], ties: vec![Tie::Free], holds: Vec::new() };
        alone.fit_until(&self.chain, self.tolerance_mm, NEARLY_STILL_MM)?;
        alone.curves.pop()
    }

    /// Arcs that are lines become lines.
    fn straighten(&mut self) -> bool {
        let mut changed = false;
        for k in 0..self.pieces.runs.len() {
            let run = Run { is_line: true, ..self.pieces.runs[k] };
            if self.pieces.runs[k].is_line || run.last + 1 - run.first < ARC_POINTS {
                continue;
            }
            let mut sums = Sums::new(self.chain.at(run.first));
            (run.first..=run.last).for_each(|p| sums.add(self.chain.at(p), self.chain.point(p).weight));
            let line = sums.line(self.chain.at(run.last) - self.chain.at(run.first));
            // A line that is far off needs no second look.
            let near = line.filter(|line| line.square_sum < sums.weight() * self.tolerance_mm * self.tolerance_mm);
            if let Some(line) = near.and_then(|line| self.refined(run, line.curve))
                && self.cost(&line, &run) < self.cost_of(k)
            {
                (self.pieces.runs[k], self.pieces.curves[k]) = (run, line);
                changed = true;
            }
        }
        changed
    }

    /// The neighbours of a run, where it is pinned to neither.
    fn beside(&self, k: usize) -> Option<(usize, usize)> {
        let n = self.pieces.runs.len();
        let is_inside = self.chain.closed || (k > 0 && k + 1 < n);
        let (before, after) = ((k + n - 1) % n, (k + 1) % n);
        let is_free = |join: usize| self.pieces.ties[join] == Tie::Free;
        (n > 2 && is_inside && is_free(before) && is_free(k)).then_some((before, after))
    }

    /// One curve for a run and both its neighbours.
    fn join_across(&mut self, k: usize) -> bool {
        let Some((before, after)) = self.beside(k) else { return false };
        let costs = self.cost_of(before) + self.cost_of(k) + self.cost_of(after);
        let n = self.chain.len();
        let (start, stop) = (self.pieces.runs[before].first, self.pieces.runs[after].last);
        let last = if stop > start { stop } else { stop + n };
        // All round is no run.
        last + 1 - start < n && self.join(&[before, k, after], start, last, costs)
    }

    /// One curve for a run and one of its neighbours.
    fn join_pair(&mut self, k: usize) -> bool {
        let Some((before, after)) = self.beside(k) else { return false };
        [(before, k), (k, after)].into_iter().any(|(one, other)| {
            let costs = self.cost_of(one) + self.cost_of(other);
            let (start, stop) = (self.pieces.runs[one].first, self.pieces.runs[other].last);
            let last = if stop > start { stop } else { stop + self.chain.len() };
            self.join(&[one, other], start, last, costs)
        })
    }

    /// Puts one run in the place of `members` where it costs less.
    fn join(&mut self, members: &[usize], first: usize, last: usize, costs: f64) -> bool {
        let longest = members.iter().copied().max_by_key(|&k| self.pieces.runs[k].last - self.pieces.runs[k].first);
        let Some(longest) = longest else { return false };
        let run = Run { first, last, is_line: self.pieces.runs[longest].is_line };
        let Some(curve) = self.refined(run, self.pieces.curves[longest]) else { return false };
        // A pinned place ends a run.
        let hides_pin = (first + 1..last).any(|p| self.chain.point(p).pinned);
        if hides_pin || self.cost(&curve, &run) >= costs || !self.is_within_but_strays(&curve, &run) {
            return false;
        }
        (self.pieces.runs[longest], self.pieces.curves[longest]) = (run, curve);
        self.pieces.take_over(longest, members);
        let mut others: Vec<usize> = members.iter().copied().filter(|&k| k != longest).collect();
        others.sort_unstable();
        others.into_iter().rev().for_each(|k| self.pieces.remove(k));
        true
    }

    /// Gives the points of a run to its neighbours where that costs less.
    fn go_without(&mut self, k: usize) -> bool {
        let Some((before, after)) = self.beside(k) else { return false };
        let run = self.pieces.runs[k];
        let [one, other] = [before, after].map(|j| self.pieces.curves[j]);
        let mut sum: f64 = (run.first..=run.last).map(|p| self.point_cost(&other, p)).sum();
        let (mut least, mut given) = (sum, 0);
        for (count, p) in (1..).zip(run.first..=run.last) {
            sum += self.point_cost(&one, p) - self.point_cost(&other, p);
            if sum < least {
                (least, given) = (sum, count);
            }
        }
        let off = (run.first..=run.last).zip(0..).map(|(p, count)| {
            let far = self.stray_mm();
            (if count < given { &one } else { &other }).off_mm(self.chain.at(p)).clamp(-far, far)
        });
        // Points that are far off together are no strays.
        least < self.cost_of(k) && self.groups_within(&off.collect::<Vec<_>>()) && self.let_go(k, given)
    }

    /// Groups of points lie within the tolerance, those that are far off by themselves apart.
    fn is_within_but_strays(&self, curve: &Curve, run: &Run) -> bool {
        let cap = self.stray_mm();
        let off = (run.first..=run.last).map(|p| curve.off_mm(self.chain.at(p)));
        let off: Vec<f64> = off.filter(|d| d.abs() < cap).collect();
        let enough = off.len() * 10 >= (run.last + 1 - run.first) * 8;
        enough && self.groups_within(&off)
    }
}
