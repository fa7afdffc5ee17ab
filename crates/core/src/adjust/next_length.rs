//! Which length is worth measuring next.

use super::adjusted::Adjusted;
use super::covariance::{Covariance, PlaceCovariance, Relations};
use super::problem::{Feature, Span};
use super::reach::{Reach, Reached, each_pair};
use crate::instrument::Instrument;

/// A length that would help.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NextLength {
    /// What it lies between.
    pub span: Span,
    /// What it would read by the present fit, mm.
    pub expected_mm: f64,
    /// Larger axis of the worst kept hole's ellipse with this length taken, mm (1 sigma).
    pub worst_after_mm: f64,
}

/// While nobody knows how large the part is, lengths of these shares of the longest are named beside it, so that one of
/// them is in reach.
const SHARES: [f64; 4] = [0.7, 0.5, 0.33, 0.2];

/// The lengths in an instrument's reach that would leave the worst kept hole best known, best first, at most `count`, one
/// per pair of features. While the scale is not known they are the best of all and the best among shorter and shorter ones.
///
/// Knowing one more quantity `a . x` with variance s² changes the covariance by a rank-one update,
/// `C - C a a' C / (s² + a' C a)`, so nothing is solved again.
pub fn next_lengths(adjusted: &Adjusted<'_>, instrument: &Instrument, count: usize) -> Vec<NextLength> {
    let judge = Judge::of(adjusted, instrument);
    let Some(before) = judge.worst() else { return Vec::new() };
    let mut best = judge.best(count, before, f64::INFINITY);
    let sizes_known = best.first().is_none_or(|next| judge.is_sure(next.span));
    if !sizes_known {
        best.truncate(1);
        let longest = judge.longest_mm();
        for share in SHARES.iter().take(count.saturating_sub(1)) {
            let shorter = judge.best(1, f64::INFINITY, share * longest);
            best.extend(
                shorter.into_iter().filter(|next| best.iter().all(|other| other.span != next.span)).collect::<Vec<_>>(),
            );
        }
    }
    best
}

/// What each length is judged by.
#[derive(Debug)]
pub(super) struct Judge<'a> {
    adjusted: &'a Adjusted<'a>,
    pub(super) reach: Reach<'a>,
    pub(super) covariance: Covariance,
    relations: Relations,
    /// Of the kept holes, the worst first, in the order of the relations, with the larger axis, mm.
    places: Vec<(PlaceCovariance, f64)>,
}

impl<'a> Judge<'a> {
    pub(super) fn of(adjusted: &'a Adjusted<'a>, instrument: &'a Instrument) -> Self {
        let problem = adjusted.problem();
        let known = |rim: &usize| adjusted.relative().covariance(Feature::Rim(*rim));
        let mut kept: Vec<usize> = (0..problem.rims.len()).filter(|i| problem.rims[*i].keep).collect();
        // The worst first: a length that does nothing for it is done with at once.
        kept.sort_by(|a, b| known(b).major_mm().total_cmp(&known(a).major_mm()));
        let places = kept.iter().map(|rim| (known(rim), known(rim).major_mm())).collect();
        let covariance = adjusted.covariance();
        let relations = adjusted.relations(&covariance, &kept);
        Self { adjusted, reach: Reach::of(adjusted, instrument), covariance, relations, places }
    }

    /// Larger axis of the worst kept hole as it is, mm.
    fn worst(&self) -> Option<f64> {
        self.places.first().map(|(_, major)| *major)
    }

    /// The best lengths of at most `most_mm`, each better than `bound`.
    fn best(&self, count: usize, bound: f64, most_mm: f64) -> Vec<NextLength> {
        let mut best: Vec<NextLength> = Vec::with_capacity(count + 1);
        each_pair(self.adjusted.problem(), |spans| {
            let worst_of_enough = best.last().filter(|_| best.len() >= count);
            let bound = worst_of_enough.map_or(bound, |last| last.worst_after_mm);
            let better = |a: &NextLength, b: &NextLength| a.worst_after_mm.total_cmp(&b.worst_after_mm);
            let tried = spans.iter().filter_map(|span| {
                let reached = self.reach.length(&self.covariance, *span).filter(|reached| reached.mm <= most_mm)?;
                self.next(*span, &reached, bound)
            });
            if let Some(found) = tried.min_by(better) {
                let place = best.partition_point(|other| other.worst_after_mm <= found.worst_after_mm);
                best.insert(place, found);
                best.truncate(count);
            }
        });
        best
    }

    /// What a length would bring; `None` where that is not better than `bound`.
    pub(super) fn next(&self, span: Span, reached: &Reached, bound: f64) -> Option<NextLength> {
        let variance = self.reach.reading_variance() + reached.variance;
        let mut worst = 0.0_f64;
        for (at, (covariance, before)) in self.places.iter().enumerate() {
            if *before <= worst {
                // The rest were better known to begin with.
                break;
            }
            worst = worst.max(covariance.less(self.relations.with(at, &reached.row), variance).major_mm());
            if worst >= bound {
                return None;
            }
        }
        Some(NextLength { span, expected_mm: reached.mm, worst_after_mm: worst })
    }

    /// Its size is known well enough to say that the instrument spans it.
    fn is_sure(&self, span: Span) -> bool {
        self.reach.length(&self.covariance, span).is_none_or(|reached| reached.surely)
    }

    /// The longest length that may be in reach, mm.
    fn longest_mm(&self) -> f64 {
        let mut longest = 0.0_f64;
        each_pair(self.adjusted.problem(), |spans| {
            for reached in spans.iter().filter_map(|span| self.reach.length(&self.covariance, *span)) {
                longest = longest.max(reached.mm);
            }
        });
        longest
    }
}
