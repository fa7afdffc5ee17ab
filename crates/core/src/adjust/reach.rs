//! Which lengths an instrument can be held to.

use super::adjusted::Adjusted;
use super::covariance::Covariance;
use super::normal::Row;
use super::problem::{Problem, Span};
use crate::instrument::Instrument;
use crate::tolerance::SCALE_NOT_KNOWN;

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

/// A length that an instrument can be held to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reached {
    /// What it would read by the present fit, mm.
    pub(super) mm: f64,
    /// Its derivatives.
    pub(super) row: Row,
    /// Its variance, mm².
    pub(super) variance: f64,
    /// Its size is known well enough to say that the instrument spans it.
    pub(super) surely: bool,
}

/// What decides whether an instrument can be held to a length.
#[derive(Debug)]
pub(super) struct Reach<'a> {
    adjusted: &'a Adjusted<'a>,
    instrument: &'a Instrument,
    /// For each hole whether the jaws enter it.
    entered: Vec<bool>,
    /// The lengths that are taken already, each named as [`named`] does, in order.
    taken: Vec<Span>,
}

impl<'a> Reach<'a> {
    pub(super) fn of(adjusted: &'a Adjusted<'a>, instrument: &'a Instrument) -> Self {
        let problem = adjusted.problem();
        let enters = |rim| 2.0 * adjusted.bore_radius(rim) >= instrument.jaws_mm;
        let entered = (0..problem.rims.len()).map(enters).collect();
        let mut taken: Vec<Span> = problem.lengths.iter().map(|length| named(length.span)).collect();
        taken.sort_unstable();
        Self { adjusted, instrument, entered, taken }
    }

    /// The length, where the instrument can be held to it and it is not taken yet. While the scale is not known nobody
    /// can say what it spans, and everything may be in reach.
    pub(super) fn length(&self, covariance: &Covariance, span: Span) -> Option<Reached> {
        let (can_be_held, jaws) = match span {
            Span::FarRims(a, b) | Span::NearRims(a, b) => (true, self.entered[a] && self.entered[b]),
            Span::Diameter(rim) | Span::RimToSide(rim, _) => (true, self.entered[rim]),
            Span::Sides(a, b) => (self.adjusted.skew(a, b).abs() < PARALLEL_SINE, true),
            Span::Points(..) => (true, true),
            // A centre is nothing that jaws touch, and a statement is nothing that is read.
            Span::Centres(..) | Span::SameSize(..) | Span::Square(..) | Span::OnSide(..) => (false, false),
        };
        if !can_be_held || self.taken.binary_search(&named(span)).is_ok() {
            return None;
        }
        let (mm, row) = self.adjusted.length(span);
        let variance = covariance.between(&row, &row).max(0.0);
        let surely = variance.sqrt() < SCALE_NOT_KNOWN * mm.abs();
        let in_reach = jaws && (WALL_MM..=self.instrument.reach_mm).contains(&mm);
        (mm > 0.0 && (in_reach || !surely)).then_some(Reached { mm, row, variance, surely })
    }

    /// Variance of the instrument's reading, mm².
    pub(super) fn reading_variance(&self) -> f64 {
        self.instrument.sigma_mm * self.instrument.sigma_mm
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
