//! Which length is worth measuring next.

use super::adjusted::Adjusted;
use super::covariance::PlaceCovariance;
use super::problem::{Feature, Span};
use super::reach::{each_pair, expected_mm};
use crate::instrument::Instrument;

/// A length that would help.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NextLength {
    /// What it lies between.
    pub span: Span,
    /// What it would read, mm.
    pub expected_mm: f64,
    /// Larger axis of the worst kept hole's ellipse with this length taken, mm (1 sigma).
    pub worst_after_mm: f64,
}

/// The lengths in an instrument's reach that would leave the worst kept hole best known, best first, at most `count`,
/// one per pair of features.
///
/// Knowing one more quantity `a . x` with variance s² changes the covariance by a rank-one update,
/// `C - C a a' C / (s² + a' C a)`, so nothing is solved again.
pub fn next_lengths(adjusted: &Adjusted<'_>, instrument: &Instrument, count: usize) -> Vec<NextLength> {
    // The worst first: a length that does nothing for it is done with at once.
    let places = worst_first(adjusted);
    let Some(before) = places.first().map(|(_, covariance)| covariance.major_mm()) else { return Vec::new() };
    let mut best: Vec<NextLength> = Vec::with_capacity(count + 1);
    each_pair(adjusted.problem(), |spans| {
        let worst_of_enough = best.last().filter(|_| best.len() >= count);
        let bound = worst_of_enough.map_or(before, |last| last.worst_after_mm);
        let better = |a: &NextLength, b: &NextLength| a.worst_after_mm.total_cmp(&b.worst_after_mm);
        let tried = spans.iter().filter_map(|span| {
            let expected_mm = expected_mm(adjusted, instrument, *span)?;
            let worst_after_mm = worst_after(adjusted, instrument, &places, *span, bound)?;
            Some(NextLength { span: *span, expected_mm, worst_after_mm })
        });
        if let Some(found) = tried.min_by(better) {
            let place = best.partition_point(|other| other.worst_after_mm <= found.worst_after_mm);
            best.insert(place, found);
            best.truncate(count);
        }
    });
    best
}

/// The kept holes with how well they are known, the worst first.
pub(super) fn worst_first(adjusted: &Adjusted<'_>) -> Vec<(Feature, PlaceCovariance)> {
    let rims = adjusted.problem().rims.iter().enumerate().filter(|(_, rim)| rim.keep);
    let mut places: Vec<_> =
        rims.map(|(i, _)| (Feature::Rim(i), adjusted.relative().covariance(Feature::Rim(i)))).collect();
    places.sort_by(|a, b| b.1.major_mm().total_cmp(&a.1.major_mm()));
    places
}

/// Larger axis of the worst place with a span taken, mm; `None` where that is not better than `bound`.
pub(super) fn worst_after(
    adjusted: &Adjusted<'_>,
    instrument: &Instrument,
    places: &[(Feature, PlaceCovariance)],
    span: Span,
    bound: f64,
) -> Option<f64> {
    let (_, row) = adjusted.length(span);
    let variance = instrument.sigma_mm * instrument.sigma_mm + adjusted.variance(&row);
    let mut worst = 0.0_f64;
    for (feature, covariance) in places {
        if covariance.major_mm() <= worst {
            // The rest were better known to begin with.
            break;
        }
        worst = worst.max(covariance.less(adjusted.relative().with(*feature, &row), variance).major_mm());
        if worst >= bound {
            return None;
        }
    }
    Some(worst)
}
