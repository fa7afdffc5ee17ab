//! Which points belong to which line or arc: the cheapest split of the chain, by dynamic programming.
//!
//! A run of points costs a fixed price for being a piece, and its misfit in units of the tolerance; a run is allowed
//! only where its points lie within the tolerance of it, seen by groups of neighbours so that noise averages out. Runs
//! grow point by point from every start, with sums that follow along, until they have been off for a while or can no longer
//! be part of the cheapest split.

use super::clean::Chain;
use super::curve::Curve;
use super::sums::{Fitted, Sums};
use crate::space::PlateVec;

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

/// The best way to an end.
struct Way {
    /// In squared tolerances; infinite where there is none.
    cost: f64,
    /// The slot at which its last run starts.
    start: usize,
    is_line: bool,
}

/// A run that grows from its start.
struct Growth {
    /// The slot and the point at which it starts, and what the best way there costs.
    start: usize,
    from: usize,
    so_far: f64,
    sums: Sums,
    /// Squared distances from its line and its arc when they were worked out last, mm²: of more points they are no less.
    of_line: f64,
    of_arc: f64,
    /// Ends since the last at which it is known to be allowed, with its sums there, and how many of them it is known not
    /// to be allowed at.
    unsure: Vec<(usize, Sums)>,
    known: usize,
}

impl Growth {
    fn new(chain: &Chain, start: usize, from: usize, so_far: f64) -> Self {
        let (sums, unsure) = (Sums::new(chain.at(from)), Vec::new());
        Self { start, from, so_far, sums, of_line: 0.0, of_arc: 0.0, unsure, known: 0 }
    }
}

/// So much of what fewer points misfit is sure of more of them: a circle's distances are those of the first order.
const LEAST_SHARE: f64 = 0.9;

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
        // Ways to everything up to before `first + slot * stride`; the last slot is the whole.
        let slots = count / stride;
        let slot_at = |slot: usize| if slot == slots { last + 1 } else { first + slot * stride };
        let mut ways = vec![Way { cost: 0.0, start: 0, is_line: true }];
        let mut growing: Vec<Growth> = Vec::new();
        for end in 1..=slots {
            let (from, stop) = (slot_at(end - 1), slot_at(end));
            if ways[end - 1].cost.is_finite() {
                growing.push(Growth::new(self.chain, end - 1, from, ways[end - 1].cost));
            }
            for point in self.chain.stretches(from, stop - 1).flatten() {
                for growth in &mut growing {
                    growth.sums.add(point.at, point.weight);
                }
            }
            let way = self.best_way(&mut growing, ways[end - 1].start, stop);
            growing.retain_mut(|growth| self.grows_on(growth, stop, way.cost));
            ways.push(way);
        }
        let mut runs = Vec::new();
        let mut end = slots;
        while end > 0 {
            let Way { start, is_line, .. } = ways[end];
            runs.push(Run { first: slot_at(start), last: slot_at(end) - 1, is_line });
            end = start;
        }
        runs.reverse();
        runs
    }

    /// The best way to before `stop`; the start that was best for the end before is looked at first, as it mostly is again,
    /// which tells that the others are not.
    fn best_way(&self, growing: &mut [Growth], likely: usize, stop: usize) -> Way {
        let mut way = Way { cost: f64::INFINITY, start: 0, is_line: true };
        let likely = growing.iter().position(|growth| growth.start == likely).unwrap_or(0);
        for number in std::iter::once(likely).chain((0..growing.len()).filter(|number| *number != likely)) {
            let Some(growth) = growing.get_mut(number).filter(|growth| stop - growth.from > 1) else { continue };
            // Of equals the first.
            let most = if growth.start < way.start { way.cost.next_up() } else { way.cost };
            if let Some((cost, is_line)) = self.better(growth, stop - 1, most) {
                way = Way { cost, start: growth.start, is_line };
                growth.unsure.clear();
                growth.known = 0;
            } else {
                growth.unsure.push((stop, growth.sums));
            }
        }
        way
    }

    /// The way over a run that has grown up to `last`, as a line or as an arc, where that is allowed and costs less than `most`.
    ///
    /// What a run costs is worked out only where it may do so, and whether it is allowed only where it does.
    fn better(&self, growth: &mut Growth, last: usize, most: f64) -> Option<(f64, bool)> {
        let (first, so_far) = (growth.from, growth.so_far);
        let square = self.tolerance_mm * self.tolerance_mm;
        let mut straight = None;
        if so_far + LINE_COST + LEAST_SHARE * growth.of_line / square < most {
            let line = growth.sums.line(self.forward_of_line(first, last));
            growth.of_line = line.map_or(growth.of_line, |line| line.square_sum);
            let cost = LINE_COST + growth.of_line / square;
            let line = line.filter(|_| so_far + cost < most);
            straight = line.filter(|line| self.allows_line(line, &growth.sums, first, last)).map(|_| cost);
        }
        let is_cheaper = |cost: f64| straight.map_or(so_far + cost < most, |line| cost < line);
        let may_bend = last - first + 1 >= ARC_POINTS && straight.is_none_or(|line| line >= ARC_COST);
        if may_bend && is_cheaper(ARC_COST + LEAST_SHARE * growth.of_arc / square) {
            let arc = growth.sums.circle(self.forward_of_arc(first, last));
            growth.of_arc = arc.map_or(growth.of_arc, |arc| arc.square_sum);
            let cost = ARC_COST + growth.of_arc / square;
            let arc = arc.filter(|_| is_cheaper(cost));
            if arc.is_some_and(|arc| self.allows_arc(&arc, &growth.sums, first, last)) {
                return Some((so_far + cost, false));
            }
        }
        straight.map(|cost| (so_far + cost, true))
    }

    /// A run may be part of a way to an end farther on.
    ///
    /// It may not where its points cost more than the best way to here: from here on a new run costs less (Killick, Fearnhead
    /// and Eckley 2012); nor where it was off for long. Whether it was is looked into only where all depends on it.
    fn grows_on(&self, growth: &mut Growth, stop: usize, least: f64) -> bool {
        let square = self.tolerance_mm * self.tolerance_mm;
        let from = growth.from;
        let is_dear =
            |growth: &Growth| growth.so_far + LEAST_SHARE * growth.of_line.min(growth.of_arc) / square > least;
        let is_off_for_long = |growth: &Growth| {
            let since = growth.unsure.first().map(|(since, _)| *since);
            since.is_some_and(|since| stop - since >= OFF_FOR + (since - from) / OFF_SHARE)
        };
        if is_dear(growth) {
            return false;
        }
        if !is_off_for_long(growth) {
            return true;
        }
        let before = growth.unsure.len() - 1;
        let mut allowed = Some(before);
        if let Some(off) = self.off(&growth.sums, from, stop - 1) {
            [growth.of_line, growth.of_arc] = off;
            if is_dear(growth) {
                return false;
            }
            let is_allowed = |(stop, sums): &(usize, Sums)| self.off(sums, from, stop - 1).is_none();
            allowed = growth.unsure[growth.known..before].iter().rposition(is_allowed).map(|at| growth.known + at);
        }
        let Some(allowed) = allowed else { return false };
        growth.unsure.drain(..=allowed);
        growth.known = growth.unsure.len();
        !is_off_for_long(growth)
    }

    /// Where neither a line nor an arc through the points from `first` to `last` is allowed, their squared distances, mm²; none
    /// where there is none.
    fn off(&self, sums: &Sums, first: usize, last: usize) -> Option<[f64; 2]> {
        let line = sums.line(self.forward_of_line(first, last));
        if line.is_some_and(|line| self.allows_line(&line, sums, first, last)) {
            return None;
        }
        let arc = sums.circle(self.forward_of_arc(first, last)).filter(|_| last - first + 1 >= ARC_POINTS);
        if arc.is_some_and(|arc| self.allows_arc(&arc, sums, first, last)) {
            return None;
        }
        Some([line, arc].map(|fitted| fitted.map_or(0.0, |fitted| fitted.square_sum)))
    }

    fn forward_of_line(&self, first: usize, last: usize) -> PlateVec {
        self.chain.at(last) - self.chain.at(first)
    }

    fn forward_of_arc(&self, first: usize, last: usize) -> PlateVec {
        let middle = first + (last - first).div_ceil(2);
        self.chain.at((middle + 1).min(last)) - self.chain.at(middle - 1)
    }

    fn allows_line(&self, line: &Fitted, sums: &Sums, first: usize, last: usize) -> bool {
        last - first < ALWAYS_ALLOWED || self.allows(line, sums, first, last)
    }

    fn allows_arc(&self, arc: &Fitted, sums: &Sums, first: usize, last: usize) -> bool {
        let sweep = (self.length_mm_of(first, last) * arc.curve.bend).abs();
        sweep < SWEEP_MAX_RAD && self.allows(arc, sums, first, last)
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

#[cfg(test)]
mod tests {
    use super::super::EdgePoint;
    use super::*;
    use crate::space::PlatePoint;
    use proptest::prelude::*;

    /// The cheapest split with every run from every start looked at, until it was off for long.
    fn cheapest_of_all(gate: &Gate<'_>, first: usize, last: usize) -> Vec<Run> {
        let stride = (last - first + 1).div_ceil(ENDS_MAX);
        let slots = (last - first + 1) / stride;
        let slot_at = |slot: usize| if slot == slots { last + 1 } else { first + slot * stride };
        let square = gate.tolerance_mm * gate.tolerance_mm;
        let mut best = vec![(f64::INFINITY, 0, true); slots + 1];
        best[0].0 = 0.0;
        for start in 0..slots {
            let (before, ahead) = best.split_at_mut(start + 1);
            let (so_far, from) = (before[start].0, slot_at(start));
            let (mut sums, mut off_since) = (Sums::new(gate.chain.at(from)), None);
            for (end, way) in (start + 1..).zip(ahead) {
                let stop = slot_at(end);
                (slot_at(end - 1)..stop).for_each(|k| sums.add(gate.chain.at(k), gate.chain.point(k).weight));
                if stop - from < 2 || so_far.is_infinite() {
                    continue;
                }
                let line = sums.line(gate.forward_of_line(from, stop - 1));
                let line = line.filter(|line| gate.allows_line(line, &sums, from, stop - 1));
                let arc = sums.circle(gate.forward_of_arc(from, stop - 1)).filter(|_| stop - from >= ARC_POINTS);
                let arc = arc.filter(|arc| gate.allows_arc(arc, &sums, from, stop - 1));
                let line = line.map(|line| (LINE_COST + line.square_sum / square, true));
                let arc = arc.map(|arc| (ARC_COST + arc.square_sum / square, false));
                let cheaper = line.into_iter().chain(arc).min_by(|a, b| a.0.total_cmp(&b.0));
                let Some((cost, is_line)) = cheaper else {
                    let since = *off_since.get_or_insert(stop - from);
                    if stop - from - since >= OFF_FOR + since / OFF_SHARE {
                        break;
                    }
                    continue;
                };
                off_since = None;
                if so_far + cost < way.0 {
                    *way = (so_far + cost, start, is_line);
                }
            }
        }
        let (mut runs, mut end) = (Vec::new(), slots);
        while end > 0 {
            let (_, start, is_line) = best[end];
            runs.push(Run { first: slot_at(start), last: slot_at(end) - 1, is_line });
            end = start;
        }
        runs.reverse();
        runs
    }

    /// A chain of lines and arcs that bend by chance, with places that are off by `noise_mm` at most, and some far off.
    fn chain(pieces: &[(f64, f64, u32)], noise_mm: f64, strays: &[usize]) -> Option<Chain> {
        let (mut at, mut along, mut points) = (PlatePoint::default(), PlateVec::new(1.0, 0.0), Vec::new());
        for (turn, bend, count) in pieces {
            along = along * turn.cos() + along.perp() * turn.sin();
            for k in 0..*count {
                let (sine, cosine) = (bend * 0.4).sin_cos();
                along = along * cosine + along.perp() * sine;
                at = at + along * 0.4;
                let off = noise_mm * (12.9 * f64::from(k) + at.x * 78.2).sin();
                let stray = if strays.contains(&points.len()) { 0.3 } else { 0.0 };
                points.push(EdgePoint { at: at + along.perp() * (off + stray), sigma_mm: 0.01, pinned: false });
            }
        }
        Chain::new(&points, false, 0.05)
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]
        #[test]
        fn what_is_left_out_of_the_search_is_never_cheapest(
            pieces in prop::collection::vec((-1.6..1.6, prop::sample::select(vec![0.0, 0.0, 0.08, -0.2, 0.6]), 3..70_u32), 1..8),
            noise_mm in 0.0..0.06,
            strays in prop::collection::vec(0..300_usize, 0..4),
        ) {
            let Some(chain) = chain(&pieces, noise_mm, &strays) else { return Ok(()) };
            let length = |k: usize| if k == 0 { 0.0 } else { chain.at(k).distance(chain.at(k - 1)) };
            let sum = |sum: &mut f64, k: usize| { *sum += length(k); Some(*sum) };
            let length_mm = (0..chain.len()).scan(0.0, sum).collect();
            let gate = Gate { chain: &chain, tolerance_mm: 0.05, length_mm };
            let last = chain.len() - 1;
            prop_assert_eq!(gate.cheapest(0, last), cheapest_of_all(&gate, 0, last));
        }
    }
}
