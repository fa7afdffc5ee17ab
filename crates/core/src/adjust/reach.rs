//! Which lengths an instrument can be held to.

use super::adjusted::Adjusted;
use super::problem::{Problem, Span};
use crate::instrument::Instrument;

/// The smallest wall that is measured with any sense, mm. Common practice, no source.
const WALL_MM: f64 = 0.5;

/// Edges that are farther from parallel than this are not measured jaw to jaw, as the sine of their angle (2 degrees).
const PARALLEL_SINE: f64 = 0.035;

/// Hands every pair of features (and every single hole) to `offer` as the spans between them, whether they can be
/// reached or not.
pub(super) fn each_pair(problem: &Problem, mut offer: impl FnMut(&[Span])) {
    let (rims, spots, sides) = (problem.rims.len(), problem.spots.len(), problem.sides.len());
    for a in 0..rims {
        for b in a + 1..rims {
            offer(&[Span::FarRims(a, b), Span::NearRims(a, b)]);
        }
    }
    for rim in 0..rims {
        offer(&[Span::Diameter(rim)]);
        for side in 0..sides {
            offer(&[Span::RimToSide(rim, side)]);
        }
    }
    for a in 0..spots {
        for b in a + 1..spots {
            offer(&[Span::Points(a, b)]);
        }
    }
    for a in 0..sides {
        for b in a + 1..sides {
            offer(&[Span::Sides(a, b)]);
        }
    }
}

/// What the instrument would read, mm; `None` where it cannot be held there, or that length is taken already.
pub(super) fn expected_mm(adjusted: &Adjusted<'_>, instrument: &Instrument, span: Span) -> Option<f64> {
    let problem = adjusted.problem();
    let enters = |rim: usize| 2.0 * adjusted.bore_radius(rim) >= instrument.jaws_mm;
    let held = match span {
        Span::FarRims(a, b) | Span::NearRims(a, b) => enters(a) && enters(b),
        Span::Diameter(rim) | Span::RimToSide(rim, _) => enters(rim),
        Span::Sides(a, b) => adjusted.skew(a, b).abs() < PARALLEL_SINE,
        Span::Points(..) => true,
        // A centre is nothing that jaws touch, and a statement is nothing that is read.
        Span::Centres(..) | Span::SameSize(..) | Span::Square(..) | Span::OnSide(..) => false,
    };
    if !held || problem.lengths.iter().any(|length| same(length.span, span)) {
        return None;
    }
    let (mm, _) = adjusted.length(span);
    (WALL_MM..=instrument.reach_mm).contains(&mm).then_some(mm)
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
