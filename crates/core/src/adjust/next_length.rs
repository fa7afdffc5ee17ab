//! Which length is worth measuring next.

use super::adjusted::Adjusted;
use super::covariance::{Covariance, PlaceCovariance, Relations};
use super::problem::{Feature, Span};

/// The longest that a workshop caliper spans, mm. Common practice, no source.
const REACH_MM: f64 = 150.0;
/// The smallest hole that a caliper's jaws enter, mm. Common practice, no source.
const JAWS_MM: f64 = 3.0;
/// The smallest wall that is measured with any sense, mm. Common practice, no source.
const WALL_MM: f64 = 0.5;
/// Standard deviation of a digital caliper, mm. Common practice, no source.
const CALIPER_SIGMA_MM: f64 = 0.05;

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

/// The lengths in a caliper's reach that would leave the worst kept hole best known, best first, at most `count`, one
/// per pair of features.
///
/// Knowing one more quantity `a . x` with variance s² changes the covariance by a rank-one update,
/// `C - C a a' C / (s² + a' C a)`, so nothing is solved again.
pub fn next_lengths(adjusted: &Adjusted<'_>, count: usize) -> Vec<NextLength> {
    let problem = adjusted.problem();
    let mut kept: Vec<usize> = (0..problem.rims.len()).filter(|i| problem.rims[*i].keep).collect();
    // The worst first: a length that does nothing for it is done with at once.
    let known = |rim: &usize| adjusted.relative().covariance(Feature::Rim(*rim));
    kept.sort_by(|a, b| known(b).major_mm().total_cmp(&known(a).major_mm()));
    let Some(before) = kept.first().map(|rim| known(rim).major_mm()) else { return Vec::new() };
    let search = Search::new(adjusted, &kept);
    let mut best: Vec<NextLength> = Vec::with_capacity(count + 1);
    let mut offer = |spans: &[Span]| {
        let worst_of_enough = best.last().filter(|_| best.len() >= count);
        let bound = worst_of_enough.map_or(before, |last| last.worst_after_mm);
        let better = |a: &NextLength, b: &NextLength| a.worst_after_mm.total_cmp(&b.worst_after_mm);
        let found = spans.iter().filter_map(|span| search.try_span(*span, bound)).min_by(better);
        if let Some(found) = found {
            let place = best.partition_point(|other| other.worst_after_mm <= found.worst_after_mm);
            best.insert(place, found);
            best.truncate(count);
        }
    };
    for (i, a) in kept.iter().enumerate() {
        for b in &kept[i + 1..] {
            offer(&[Span::FarRims(*a, *b), Span::NearRims(*a, *b)]);
        }
    }
    for a in &kept {
        offer(&[Span::Diameter(*a)]);
    }
    for a in 0..problem.spots.len() {
        for b in a + 1..problem.spots.len() {
            offer(&[Span::Points(a, b)]);
        }
    }
    best
}

/// What each span is judged by.
struct Search<'a> {
    adjusted: &'a Adjusted<'a>,
    covariance: Covariance,
    relations: Relations,
    /// Of the kept holes, in the order of the relations, with the larger axis, mm.
    places: Vec<(PlaceCovariance, f64)>,
    /// For each hole whether a caliper's jaws enter it.
    entered: Vec<bool>,
    /// The lengths that are taken already, each named as [`named`] does, in order.
    taken: Vec<Span>,
}

impl<'a> Search<'a> {
    fn new(adjusted: &'a Adjusted<'a>, kept: &[usize]) -> Self {
        let problem = adjusted.problem();
        let covariance = adjusted.covariance();
        let relations = adjusted.relations(&covariance, kept);
        let place = |rim: &usize| {
            let covariance = adjusted.relative().covariance(Feature::Rim(*rim));
            (covariance, covariance.major_mm())
        };
        let places = kept.iter().map(place).collect();
        let entered = (0..problem.rims.len()).map(|rim| 2.0 * adjusted.bore_radius(rim) >= JAWS_MM).collect();
        let mut taken: Vec<Span> = problem.lengths.iter().map(|length| named(length.span)).collect();
        taken.sort_unstable();
        Self { adjusted, covariance, relations, places, entered, taken }
    }

    /// What a span would bring; `None` out of reach, taken already, or not better than `bound`.
    fn try_span(&self, span: Span, bound: f64) -> Option<NextLength> {
        if matches!(span, Span::FarRims(a, b) | Span::NearRims(a, b) if !(self.entered[a] && self.entered[b])) {
            return None;
        }
        let (expected_mm, row) = self.adjusted.length(span);
        let least = if matches!(span, Span::Diameter(_)) { JAWS_MM } else { WALL_MM };
        if !(least..=REACH_MM).contains(&expected_mm) || self.taken.binary_search(&named(span)).is_ok() {
            return None;
        }
        let variance = CALIPER_SIGMA_MM * CALIPER_SIGMA_MM + self.covariance.between(&row, &row);
        let mut worst = 0.0_f64;
        for (at, (covariance, before)) in self.places.iter().enumerate() {
            if *before <= worst {
                // The rest were better known to begin with.
                break;
            }
            worst = worst.max(covariance.less(self.relations.with(at, &row), variance).major_mm());
            if worst >= bound {
                return None;
            }
        }
        Some(NextLength { span, expected_mm, worst_after_mm: worst })
    }
}

/// A length as it is named with the smaller number first, where either order means the same.
fn named(span: Span) -> Span {
    let ordered = |a: usize, b: usize| (a.min(b), a.max(b));
    let of = |kind: fn(usize, usize) -> Span, (a, b)| kind(a, b);
    match span {
        Span::Centres(a, b) => of(Span::Centres, ordered(a, b)),
        Span::FarRims(a, b) => of(Span::FarRims, ordered(a, b)),
        Span::NearRims(a, b) => of(Span::NearRims, ordered(a, b)),
        Span::Points(a, b) => of(Span::Points, ordered(a, b)),
        Span::Sides(a, b) => of(Span::Sides, ordered(a, b)),
        Span::Square(a, b) => of(Span::Square, ordered(a, b)),
        Span::Diameter(_) | Span::RimToSide(..) | Span::SameSize(..) | Span::OnSide(..) => span,
    }
}
