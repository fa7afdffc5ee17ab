//! Which length is worth measuring next.

use super::adjusted::Adjusted;
use super::covariance::PlaceCovariance;
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
    let kept: Vec<usize> = (0..problem.rims.len()).filter(|i| problem.rims[*i].keep).collect();
    // The worst first: a length that does nothing for it is done with at once.
    let mut places: Vec<(Feature, PlaceCovariance)> =
        kept.iter().map(|i| (Feature::Rim(*i), adjusted.relative().covariance(Feature::Rim(*i)))).collect();
    places.sort_by(|a, b| b.1.major_mm().total_cmp(&a.1.major_mm()));
    let Some(before) = places.first().map(|(_, covariance)| covariance.major_mm()) else { return Vec::new() };
    let mut best: Vec<NextLength> = Vec::with_capacity(count + 1);
    let mut offer = |spans: &[Span]| {
        let worst_of_enough = best.last().filter(|_| best.len() >= count);
        let bound = worst_of_enough.map_or(before, |last| last.worst_after_mm);
        let better = |a: &NextLength, b: &NextLength| a.worst_after_mm.total_cmp(&b.worst_after_mm);
        let found = spans.iter().filter_map(|span| try_span(adjusted, &places, *span, bound)).min_by(better);
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

/// What a span would bring; `None` out of reach, taken already, or not better than `bound`.
fn try_span(
    adjusted: &Adjusted<'_>,
    places: &[(Feature, PlaceCovariance)],
    span: Span,
    bound: f64,
) -> Option<NextLength> {
    let (expected_mm, row) = adjusted.length(span);
    let least = if matches!(span, Span::Diameter(_)) { JAWS_MM } else { WALL_MM };
    let enters = |rim: usize| 2.0 * adjusted.bore_radius(rim) >= JAWS_MM;
    let reached = (least..=REACH_MM).contains(&expected_mm)
        && match span {
            Span::FarRims(a, b) | Span::NearRims(a, b) => enters(a) && enters(b),
            _ => true,
        };
    if !reached || adjusted.problem().lengths.iter().any(|length| same(length.span, span)) {
        return None;
    }
    let variance = CALIPER_SIGMA_MM * CALIPER_SIGMA_MM + adjusted.variance(&row);
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
    Some(NextLength { span, expected_mm, worst_after_mm: worst })
}

/// The same length, whichever way round it is named.
fn same(a: Span, b: Span) -> bool {
    let turned = match b {
        Span::Centres(i, j) => Span::Centres(j, i),
        Span::FarRims(i, j) => Span::FarRims(j, i),
        Span::NearRims(i, j) => Span::NearRims(j, i),
        Span::Points(i, j) => Span::Points(j, i),
        Span::Sides(i, j) => Span::Sides(j, i),
        Span::Square(i, j) => Span::Square(j, i),
        Span::Diameter(_) | Span::RimToSide(..) | Span::SameSize(..) | Span::OnSide(..) => b,
    };
    a == b || a == turned
}
