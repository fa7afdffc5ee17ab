//! How neighbours meet: which of them touch, and where the others cross.

use super::joint::{Tie, covariance, half_length_mm, spread_mm};
use super::split::{GROUP, GROUP_ALLOWANCE, Run};
use super::{Fit, JoinKind};
use crate::space::PlatePoint;
use nalgebra::Vector3;

/// Neighbours touch where this share of the tolerance makes them, whatever the noise.
const TANGENT_SHARE: f64 = 0.6;
/// Neighbours that do not cross have to meet somehow: this share of the tolerance, half of it from each.
const APART_SHARE: f64 = 2.0;
/// Or where it takes no more than this many standard deviations, up to this many tolerances.
const TANGENT_SIGMAS: f64 = 3.0;
const TANGENT_MOST: f64 = 1.5;
/// Points so many times as far apart as most leave a gap, and the corner that its sides make lies no farther from its middle
/// than this share of it: the sides of an angle of 67 degrees and more.
const GAP_STEPS: f64 = 12.0;
const GAP_REACH: f64 = 0.75;
/// How often one touch too many is given up.
const RELEASES: usize = 24;

/// Two neighbours that might touch.
struct Candidate {
    join: usize,
    /// How much of what is allowed it takes.
    strain: f64,
}

impl Fit {
    /// Makes those neighbours touch that may, all at once, and gives those up that bend a run away from its points.
    pub(super) fn tie_tangents(&mut self) -> Option<()> {
        let joins: Vec<_> = self.pieces.joins(&self.chain).collect();
        let mut tied: Vec<Candidate> = joins.iter().filter_map(|&(k, next)| self.candidate(k, next)).collect();
        for candidate in &tied {
            self.pieces.ties[candidate.join] = Tie::Tangent;
        }
        let free = self.pieces.curves.clone();
        for _ in 0..RELEASES {
            self.pieces.curves.clone_from(&free);
            let solved = self.settle().is_some();
            let n = self.pieces.runs.len();
            let off: Vec<bool> = (0..n).map(|k| !solved || !self.is_within(k)).collect();
            let touches = |c: &Candidate| {
                let next = (c.join + 1) % n;
                off[c.join] || off[next] || self.near_touch(c.join, next).is_none()
            };
            let worst = (0..tied.len())
                .filter(|&c| touches(&tied[c]))
                .max_by(|&a, &b| tied[a].strain.total_cmp(&tied[b].strain));
            let Some(worst) = worst else { return solved.then_some(()) };
            self.pieces.ties[tied.swap_remove(worst).join] = Tie::Free;
        }
        for candidate in tied {
            self.pieces.ties[candidate.join] = Tie::Free;
        }
        self.pieces.curves = free;
        self.settle()
    }

    fn candidate(&self, k: usize, next: usize) -> Option<Candidate> {
        let pieces = &self.pieces;
        if pieces.ties[k] != Tie::Free || pieces.runs.len() < 2 {
            return None;
        }
        let (a, b) = (&pieces.curves[k], &pieces.curves[next]);
        let (run, other) = (&pieces.runs[k], &pieces.runs[next]);
        let between = self.between(run, other);
        let (gap, own, theirs) = a.gap(b, between)?;
        let variance = |row: [f64; 3], run: &Run, curve| {
            let row = Vector3::from(row);
            covariance(&self.chain, run, curve, self.tolerance_mm).map_or(0.0, |c| (row.transpose() * c * row)[0])
        };
        let sigma = (variance(own, run, a) + variance(theirs, other, b)).sqrt();
        let noise = (TANGENT_SIGMAS * sigma).min(TANGENT_MOST * self.tolerance_mm);
        let reach = 20.0 * self.tolerance_mm;
        let crosses = a.crossing(b, between).is_some_and(|at| at.distance(between) <= reach);
        let share = if crosses { TANGENT_SHARE } else { APART_SHARE };
        let strain = gap.abs() / noise.max(share * self.tolerance_mm);
        self.near_touch(k, next).filter(|_| strain <= 1.0).map(|_| Candidate { join: k, strain })
    }

    /// Where two neighbours touch, if that is near where their points meet.
    fn near_touch(&self, k: usize, next: usize) -> Option<PlatePoint> {
        let pieces = &self.pieces;
        let (run, other) = (&pieces.runs[k], &pieces.runs[next]);
        let between = self.between(run, other);
        let shorter = half_length_mm(&self.chain, run).min(half_length_mm(&self.chain, other));
        let step = self.chain.at(run.last).distance(self.chain.at(other.first));
        let at = pieces.curves[k].touch(&pieces.curves[next], between)?;
        (at.distance(between) <= shorter + 3.0 * step).then_some(at)
    }

    /// The place between the last point of a run and the first of the next.
    pub(super) fn between(&self, run: &Run, next: &Run) -> PlatePoint {
        self.chain.at(run.last).lerp(self.chain.at(next.first), 0.5)
    }

    /// The points of a run lie within the tolerance of its curve, by groups.
    fn is_within(&self, k: usize) -> bool {
        let (run, curve) = (&self.pieces.runs[k], &self.pieces.curves[k]);
        let far = self.stray_mm();
        let off = (run.first..=run.last).map(|p| curve.off_mm(self.chain.at(p)).clamp(-far, far));
        self.groups_within(&off.collect::<Vec<_>>())
    }

    /// A point that is off by more is off by itself, and counts for no more, mm.
    pub(super) fn stray_mm(&self) -> f64 {
        (3.0 * spread_mm(&self.chain, self.tolerance_mm)).max(2.0 * self.tolerance_mm)
    }

    /// The means of neighbours' distances are within the tolerance.
    pub(super) fn groups_within(&self, off: &[f64]) -> bool {
        let group = GROUP.min(off.len()).max(1);
        let most = self.tolerance_mm + GROUP_ALLOWANCE * self.chain.noise_mm / (group as f64).sqrt();
        off.windows(group).all(|w| (w.iter().sum::<f64>() / group as f64).abs() <= most)
    }

    /// Where the run `k` ends and the next starts: two places where they do not meet.
    pub(super) fn meeting(&self, k: usize, next: usize) -> (JoinKind, PlatePoint, PlatePoint) {
        let pieces = &self.pieces;
        let (a, b) = (&pieces.curves[k], &pieces.curves[next]);
        let (run, other) = (&pieces.runs[k], &pieces.runs[next]);
        let between = self.between(run, other);
        match pieces.ties[k] {
            Tie::Through(place) => return (JoinKind::Pinned, place, place),
            Tie::Tangent => {
                if let Some(at) = self.near_touch(k, next) {
                    return (JoinKind::Tangent, at, at);
                }
            }
            Tie::Free => {}
        }
        let step = self.chain.at(run.last).distance(self.chain.at(other.first));
        // Beyond a long gap nothing tells how far: a right angle is no farther from its middle than half of it.
        let is_gap = step > GAP_STEPS * self.chain.step_mm;
        let reach = if is_gap { GAP_REACH } else { 2.0 } * step + 20.0 * self.tolerance_mm;
        match a.crossing(b, between).filter(|at| at.distance(between) <= reach) {
            Some(at) => (JoinKind::Corner, at, at),
            None => (JoinKind::Bridge, a.foot(self.chain.at(run.last)), b.foot(self.chain.at(other.first))),
        }
    }
}
