//! Which points belong to which line or arc: the cheapest split of the chain, by dynamic programming.
//!
//! A run of points costs a fixed price for being a piece, and its misfit in units of the tolerance; a run is allowed
//! only where its points lie within the tolerance of it, seen by groups of neighbours so that noise averages out. From
//! each start, runs are grown point by point with sums that follow along, until they have been off for a while.

use super::clean::Chain;
use super::curve::Curve;
use super::sums::{Fitted, Sums};

/// Points from `first` to `last`, both included, counted on round a closed chain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Run {
    pub(super) first: usize,
    pub(super) last: usize,
    pub(super) is_line: bool,
}

/// What a line and an arc cost, in squared tolerances.
pub(super) const LINE_COST: f64 = 6.0;
pub(super) const ARC_COST: f64 = 7.0;

/// No arc is told from fewer points.
pub(super) const ARC_POINTS: usize = 5;

/// Runs of this many points and fewer are allowed whatever they look like, so that there always is a split.
const ALWAYS_ALLOWED: usize = 3;

/// Neighbours that are judged together, and how many standard deviations of their mean are allowed for.
pub(super) const GROUP: usize = 5;
pub(super) const GROUP_ALLOWANCE: f64 = 1.0;

/// A run is given up when it was off for this many points, and this share of its length.
const OFF_FOR: usize = 6;
const OFF_SHARE: usize = 4;

/// Places where runs may end are thinned so that there are no more than this.
const ENDS_MAX: usize = 800;

/// An arc of a larger part of the whole turn would leave no way round.
const SWEEP_MAX_RAD: f64 = 5.8;

/// A turn of the chain over a few points that is no bend, rad.
const SURE_CORNER_RAD: f64 = 0.5;

/// What is allowed.
struct Gate<'a> {
    chain: &'a Chain,
    tolerance_mm: f64,
    /// Length along the points up to each, round a closed chain twice.
    length_mm: Vec<f64>,
}

/// The best split: runs in order, each point in one of them (a pinned one in two).
pub(super) fn split(chain: &Chain, tolerance_mm: f64) -> Vec<Run> {
    let n = chain.len();
    let around = if chain.closed { 2 * n } else { n };
    let mut length_mm = vec![0.0; around];
    for k in 1..around {
        length_mm[k] = length_mm[k - 1] + chain.at(k).distance(chain.at(k - 1));
    }
    let gate = Gate { chain, tolerance_mm, length_mm };
    if !chain.closed {
        return gate.between_pins(0, n - 1);
    }
    if let Some(pin) = (0..n).find(|&k| chain.point(k).pinned) {
        return gate.between_pins(pin, pin + n);
    }
    let start = chain.sharpest();
    let runs = gate.cheapest(start, start + n - 1);
    if is_sure_corner(chain, start) {
        return runs;
    }
    // Opened in the middle of a bend the split has an end there that nobody asked for: it is opened again at the end
    // of a run that lies farthest from there.
    let opposite = start + n / 2;
    let apart = |run: &&Run| run.last.abs_diff(opposite);
    let again = runs.iter().filter(|run| run.last + 1 < start + n).min_by_key(apart).map_or(start, |run| run.last + 1);
    let again = again % n;
    gate.cheapest(again, again + n - 1)
}

fn is_sure_corner(chain: &Chain, k: usize) -> bool {
    let n = chain.len();
    let reach = 5.min(n / 8).max(1);
    let (back, ahead) = (chain.at(k) - chain.at(k + n - reach), chain.at(k + reach) - chain.at(k));
    back.cross(ahead).atan2(back.dot(ahead)).abs() > SURE_CORNER_RAD
}

impl Gate<'_> {
    /// Splits each stretch from one pinned point to the next.
    fn between_pins(&self, first: usize, last: usize) -> Vec<Run> {
        let pins = (first + 1..last).filter(|&k| self.chain.point(k).pinned);
        let mut ends: Vec<usize> = std::iter::once(first).chain(pins).collect();
        ends.push(last);
        ends.windows(2).flat_map(|pair| self.cheapest(pair[0], pair[1])).collect()
    }

    fn cheapest(&self, first: usize, last: usize) -> Vec<Run> {
        let count = last - first + 1;
        let stride = count.div_ceil(ENDS_MAX);
        // Costs of everything up to before `first + slot * stride`; the last slot is the whole.
        let slots = count / stride;
        let slot_at = |slot: usize| if slot == slots { last + 1 } else { first + slot * stride };
        let mut best = vec![(f64::INFINITY, 0, true); slots + 1];
        best[0].0 = 0.0;
        for slot in 0..slots {
            let so_far = best[slot].0;
            if so_far.is_finite() {
                self.grow(slot_at(slot), slot, slots, &slot_at, &mut |end, cost, is_line| {
                    if so_far + cost < best[end].0 {
                        best[end] = (so_far + cost, slot, is_line);
                    }
                });
            }
        }
        let mut runs = Vec::new();
        let mut end = slots;
        while end > 0 {
            let (_, start, is_line) = best[end];
            runs.push(Run { first: slot_at(start), last: slot_at(end) - 1, is_line });
            end = start;
        }
        runs.reverse();
        runs
    }

    /// Offers every run from `from` to an end slot.
    fn grow(
        &self,
        from: usize,
        slot: usize,
        slots: usize,
        slot_at: &impl Fn(usize) -> usize,
        offer: &mut impl FnMut(usize, f64, bool),
    ) {
        let chain = self.chain;
        let mut sums = Sums::new(chain.at(from));
        let mut next = from;
        let mut off_since = None;
        for end in slot + 1..=slots {
            let stop = slot_at(end);
            while next < stop {
                let point = chain.point(next);
                sums.add(point.at, point.weight);
                next += 1;
            }
            let count = stop - from;
            if count < 2 {
                continue;
            }
            if let Some((cost, is_line)) = self.best_of(&sums, from, stop - 1) {
                off_since = None;
                offer(end, cost, is_line);
                continue;
            }
            let since = *off_since.get_or_insert(count);
            if count - since >= OFF_FOR + since / OFF_SHARE {
                break;
            }
        }
    }

    /// The cheaper of a line and an arc through the points from `first` to `last`, where one is allowed.
    fn best_of(&self, sums: &Sums, first: usize, last: usize) -> Option<(f64, bool)> {
        let chain = self.chain;
        let count = last - first + 1;
        let square = self.tolerance_mm * self.tolerance_mm;
        let forward = chain.at(last) - chain.at(first);
        let line = sums.line(forward).map(|line| (LINE_COST + line.square_sum / square, line));
        let straight = line.filter(|(_, line)| count <= ALWAYS_ALLOWED || self.allows(line, sums, first, last));
        let least = straight.map_or(f64::INFINITY, |(cost, _)| cost);
        if count < ARC_POINTS || least < ARC_COST {
            return straight.map(|(cost, _)| (cost, true));
        }
        let middle = first + count / 2;
        let forward = chain.at((middle + 1).min(last)) - chain.at(middle - 1);
        let arc = sums.circle(forward).map(|arc| (ARC_COST + arc.square_sum / square, arc));
        let round = arc.filter(|(cost, arc)| {
            let sweep = (self.length_mm_of(first, last) * arc.curve.bend).abs();
            *cost < least && sweep < SWEEP_MAX_RAD && self.allows(arc, sums, first, last)
        });
        round.map(|(cost, _)| (cost, false)).or_else(|| straight.map(|(cost, _)| (cost, true)))
    }

    fn length_mm_of(&self, first: usize, last: usize) -> f64 {
        let n = self.chain.len();
        let whole = if first >= n { first / n * n } else { 0 };
        self.length_mm[(last - whole).min(self.length_mm.len() - 1)] - self.length_mm[first - whole]
    }

    /// The points lie within the tolerance of the curve: all together, and by groups at both ends and between.
    fn allows(&self, fitted: &Fitted, sums: &Sums, first: usize, last: usize) -> bool {
        let noise = self.chain.noise_mm;
        let half = self.tolerance_mm / 2.0;
        if fitted.square_sum > sums.weight() * (1.5 * noise * noise + half * half) {
            return false;
        }
        let group = GROUP.min(last - first + 1);
        let most = self.tolerance_mm + GROUP_ALLOWANCE * noise / (group as f64).sqrt();
        let spare = last + 1 - group - first;
        [0, spare, spare / 2, spare / 4, spare - spare / 4]
            .into_iter()
            .all(|skip| self.group_off_mm(&fitted.curve, first + skip, group) <= most)
    }

    fn group_off_mm(&self, curve: &Curve, from: usize, group: usize) -> f64 {
        let off: f64 = (from..from + group).map(|k| curve.off_mm(self.chain.at(k))).sum();
        off.abs() / group as f64
    }
}

/// The curve of each run by itself; a run whose points make no arc is given its line.
pub(super) fn curves(chain: &Chain, runs: &[Run]) -> Option<Vec<Curve>> {
    runs.iter().map(|run| curve_of(chain, run)).collect()
}

fn curve_of(chain: &Chain, run: &Run) -> Option<Curve> {
    let mut sums = Sums::new(chain.at(run.first));
    for k in run.first..=run.last {
        sums.add(chain.at(k), chain.point(k).weight);
    }
    let middle = usize::midpoint(run.first, run.last);
    let ahead = (middle + 1).min(run.last);
    let arc = if run.is_line { None } else { sums.circle(chain.at(ahead) - chain.at(middle - 1)) };
    let fitted = arc.or_else(|| sums.line(chain.at(run.last) - chain.at(run.first)))?;
    Some(fitted.curve.held_at(chain.at(middle)))
}
