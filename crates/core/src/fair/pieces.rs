//! Runs on their way to the best fit: the first curves, ends that move, runs that go.

use super::Fit;
use super::clean::Chain;
use super::joint::{Hold, Pieces, Tie, spread_mm};
use super::split::{self, Run};
use super::sums::Sums;

/// How many points an end may move in one round.
const REACH: usize = 40;

/// A run keeps this many points at least when its ends move.
fn least_points(run: &Run) -> usize {
    if run.is_line { 2 } else { split::ARC_POINTS - 1 }
}

impl Pieces {
    pub(super) fn none() -> Self {
        Self { runs: Vec::new(), curves: Vec::new(), ties: Vec::new(), holds: Vec::new() }
    }

    /// The curve of each run by itself, with pinned ends tied to their places.
    pub(super) fn of(chain: &Chain, runs: Vec<Run>) -> Option<Self> {
        let curves = split::curves(chain, &runs)?;
        let n = runs.len();
        let pin = |k: usize| {
            let (run, next) = (&runs[k], &runs[(k + 1) % n]);
            let shared = run.last % chain.len() == next.first % chain.len() && chain.point(run.last).pinned;
            if shared { Tie::Through(chain.at(run.last)) } else { Tie::Free }
        };
        let mut pieces = Self { ties: (0..n).map(pin).collect(), runs, curves, holds: Vec::new() };
        if !chain.closed {
            pieces.pin_loose_ends(chain);
        }
        Some(pieces)
    }

    /// A pinned point at the loose end of an open chain is passed through as well.
    fn pin_loose_ends(&mut self, chain: &Chain) {
        let (Some(first), Some(last)) = (self.runs.first(), self.runs.last()) else { return };
        let ends = [(0, first.first), (self.runs.len() - 1, last.last)];
        for (k, point) in ends {
            if chain.point(point).pinned {
                self.holds.push((k, Hold::Distance(chain.at(point), 0.0)));
            }
        }
        if let Some(tie) = self.ties.last_mut() {
            *tie = Tie::Free;
        }
    }

    /// Gives one of `members`, runs that follow each other, what the others are held to, and how the last of them is joined to
    /// the next.
    pub(super) fn take_over(&mut self, one: usize, members: &[usize]) {
        if let Some(last) = members.last() {
            self.ties[one] = self.ties[*last];
        }
        for (held, _) in self.holds.iter_mut().filter(|(held, _)| members.contains(held)) {
            *held = one;
        }
    }

    /// Takes a run away, with the join after it; neighbours are free to touch anew.
    pub(super) fn remove(&mut self, k: usize) {
        self.runs.remove(k);
        self.curves.remove(k);
        self.ties.remove(k);
        for tie in &mut self.ties {
            if *tie == Tie::Tangent {
                *tie = Tie::Free;
            }
        }
        let moved = |held: usize| if held > k { held - 1 } else { held };
        self.holds = self.holds.iter().filter(|h| h.0 != k).map(|&(h, hold)| (moved(h), hold)).collect();
    }

    /// Numbers of the joins: each run with the one after it.
    pub(super) fn joins(&self, chain: &Chain) -> impl Iterator<Item = (usize, usize)> + use<> {
        let n = self.runs.len();
        let count = if n < 2 {
            0
        } else if chain.closed {
            n
        } else {
            n - 1
        };
        (0..count).map(move |k| (k, (k + 1) % n))
    }
}

impl Fit {
    /// The whole of a closed chain as one circle, where it is one.
    pub(super) fn whole_circle(&self) -> Option<Pieces> {
        let chain = &self.chain;
        if !chain.closed || chain.points.iter().any(|p| p.pinned) || chain.len() < 2 * split::ARC_POINTS {
            return None;
        }
        let run = Run { first: 0, last: chain.len() - 1, is_line: false };
        let mut sums = Sums::new(chain.at(0));
        chain.points.iter().for_each(|p| sums.add(p.at, p.weight));
        let circle = sums.circle(chain.at(1) - chain.at(0))?.curve;
        let most = self.tolerance_mm + 2.5 * chain.noise_mm;
        let off = chain.points.iter().filter(|p| circle.off_mm(p.at).abs() > most).count();
        // Of the points that the noise alone throws this far, a hundredth is more than there are.
        let turned: f64 = (0..chain.len())
            .map(|k| (circle.direction_at(chain.at(k)), circle.direction_at(chain.at(k + 1))))
            .map(|(a, b)| a.cross(b).atan2(a.dot(b)))
            .sum();
        let once = (turned.abs() - std::f64::consts::TAU).abs() < 1e-3;
        if !once || off * 100 > chain.len() {
            return None;
        }
        // Points in line order decide which way it goes, not the first two, which may be swapped by noise.
        let forward = circle.direction_at(chain.at(0)) * (turned * circle.bend).signum();
        let curve = sums.circle(forward).map_or(circle, |fitted| fitted.curve);
        let curve = if (turned > 0.0) == (curve.bend > 0.0) { curve } else { circle_reversed(curve) };
        let mut pieces = Pieces { runs: vec![run], curves: vec![curve], ties: vec![Tie::Free], holds: Vec::new() };
        pieces.fit(chain, self.tolerance_mm)?;
        Some(pieces)
    }

    /// Fits all runs together.
    pub(super) fn settle(&mut self) -> Option<()> {
        self.pieces.fit(&self.chain, self.tolerance_mm)
    }

    /// Gives the first `given` points of a run to the one before and the others to the one after; says whether it could.
    pub(super) fn let_go(&mut self, k: usize, given: usize) -> bool {
        let n = self.pieces.runs.len();
        let len = self.chain.len();
        let is_closed = self.chain.closed && n > 2;
        let before = k.checked_sub(1).or_else(|| is_closed.then(|| n - 1));
        let after = (k + 1 < n).then_some(k + 1).or_else(|| is_closed.then_some(0));
        let pinned = |join: usize| matches!(self.pieces.ties[join], Tie::Through(_));
        if n < 2 || pinned(k) || before.is_some_and(pinned) {
            return false;
        }
        let run = self.pieces.runs[k];
        self.hand_on_loose_ends(k, before, after);
        let count = run.last + 1 - run.first;
        let given = match (before, after) {
            (Some(_), Some(_)) => given,
            (Some(_), None) => count,
            _ => 0,
        };
        let runs = &mut self.pieces.runs;
        if let Some(before) = before {
            runs[before].last += given;
        }
        if let Some(after) = after {
            let taken = count - given;
            if runs[after].first < taken {
                runs[after].first += len;
                runs[after].last += len;
            }
            runs[after].first -= taken;
        }
        self.pieces.remove(k);
        true
    }

    /// Where a run at the end of an open chain goes, its neighbour passes the pinned point there.
    fn hand_on_loose_ends(&mut self, k: usize, before: Option<usize>, after: Option<usize>) {
        let Some(to) = before.xor(after) else { return };
        let ends = [self.chain.at(0), self.chain.at(self.chain.len() - 1)];
        for (held, hold) in self.pieces.holds.iter_mut().filter(|(held, _)| *held == k) {
            if matches!(hold, Hold::Distance(place, _) if ends.contains(place)) {
                *held = to;
            }
        }
    }

    /// Counts the points of all runs on from the first, which leaves room to move its start backwards.
    pub(super) fn line_up(&mut self) {
        let n = self.chain.len();
        let mut next = None;
        for run in &mut self.pieces.runs {
            let count = run.last - run.first;
            let first = next.unwrap_or(if self.chain.closed { run.first % n + n } else { run.first });
            // A pinned point belongs to both.
            run.first = if first % n == run.first % n { first } else { first - 1 };
            run.last = run.first + count;
            next = Some(run.last + 1);
        }
    }

    /// Moves the end of each run to where both neighbours fit best; says whether any moved.
    pub(super) fn move_ends(&mut self) -> bool {
        let reach_mm = 4.685 * spread_mm(&self.chain, self.tolerance_mm);
        self.line_up();
        let joins: Vec<_> = self.pieces.joins(&self.chain).collect();
        let mut moved = false;
        for (k, next) in joins {
            if self.pieces.ties[k] == Tie::Free {
                moved |= self.move_end(k, next, reach_mm);
            }
        }
        moved
    }

    fn move_end(&mut self, k: usize, next: usize, reach_mm: f64) -> bool {
        let (run, other) = (self.pieces.runs[k], self.pieces.runs[next]);
        let n = self.chain.len();
        // The other run on the same count of points as this one.
        let shift = run.last + 1 - other.first;
        let (low, high) = (run.first + least_points(&run) - 1, other.last + shift);
        let Some(high) = high.checked_sub(least_points(&other)) else { return false };
        let (low, high) = (low.max(run.last.saturating_sub(REACH)), high.min(run.last + REACH));
        if low > high || run.last < low || run.last > high || shift % n != 0 {
            return false;
        }
        let off = |curve: usize, point: usize| {
            self.pieces.curves[curve].off_mm(self.chain.at(point)).abs().min(reach_mm).powi(2)
        };
        // Against ending after `low`: what a later end adds to this run and takes from the other.
        let (mut sum, mut least, mut best) = (0.0, 0.0, low);
        for last in low + 1..=high {
            sum += off(k, last) - off(next, last);
            if sum < least {
                (least, best) = (sum, last);
            }
        }
        if best == run.last {
            return false;
        }
        self.pieces.runs[k].last = best;
        let first = best + 1;
        self.pieces.runs[next].first = if first >= shift { first - shift } else { first };
        true
    }
}

fn circle_reversed(curve: super::curve::Curve) -> super::curve::Curve {
    super::curve::Curve { along: -curve.along, bend: -curve.bend, ..curve }
}
