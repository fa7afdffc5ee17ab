//! Rims that would explain the misfit as well as the measures that are accused of it.
//!
//! The tests accuse readings only: picks count as they were said to. A rim that lies on another edge than the hole's own bends the
//! measures that touch it, and good ones are accused. So each rim that an accused measure touches is let loose in turn.

use super::assemble::Role;
use super::results::Results;
use crate::adjust::{Length, Precision, Problem, Reliability, SharedError, Span, adjust_once};
use crate::job::Id;

/// How far a rim that is let loose may lie beside its picks, px: so far that they say nothing of where it is.
const LOOSE_PX: f64 = 100.0;

/// A rim has three unknowns: lengths that touch it are no longer misfits as far as these take them up.
const OF_A_RIM: usize = 3;

/// What each figure that is let loose takes from the square sum by chance, twice over (Akaike, A new look at the statistical
/// model identification, 1974).
const COST: f64 = 2.0;

/// Explanations that differ by less than this are as good as each other.
const AS_WELL: f64 = 1.0;

/// So many rims are tried, and so many said.
const TRIED: usize = 8;
const SAID: usize = 2;

impl Results<'_> {
    /// The holes whose rims would explain what does not fit as well as the measures that are accused of it, the best first.
    pub(super) fn suspect_rims(&self, reliability: &Reliability) -> Vec<Id> {
        let problem = &self.assembled.problem;
        let accused: Vec<usize> = reliability.suspects.iter().map(|suspect| suspect.reading).collect();
        let aside = self.aside();
        let count = accused.len() + aside.len();
        // A trial that is accused is looked at first; what else it may be is told when it is settled.
        if count == 0 || accused.iter().any(|reading| *reading >= problem.lengths.len()) {
            return Vec::new();
        }
        let mut without = problem.clone();
        without.lengths = kept(&problem.lengths, &accused);
        let Some(explained) = adjust_once(&without).map(|adjusted| adjusted.square_sum()) else { return Vec::new() };
        let mut rims: Vec<usize> = Vec::new();
        let spans = accused.iter().map(|reading| problem.lengths[*reading].span).chain(aside.iter().map(|a| a.span));
        for rim in spans.flat_map(touched) {
            if !rims.contains(&rim) {
                rims.push(rim);
            }
        }
        let mut whole = problem.clone();
        whole.lengths.extend(aside);
        let limit = explained + COST * count as f64 + AS_WELL;
        let cost = |rim: usize| Some((loose_cost(&whole, rim)?, rim));
        let mut found: Vec<(f64, usize)> = rims.into_iter().take(TRIED).filter_map(cost).collect();
        found.retain(|(cost, _)| *cost <= limit);
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found.into_iter().take(SAID).map(|(_, rim)| self.hole_id(rim)).collect()
    }

    /// The measures that were set aside.
    fn aside(&self) -> Vec<Length> {
        let measures = self.job.measures.iter().zip(&self.assembled.measures);
        let aside = measures.filter_map(|(measure, role)| match role {
            Role::Aside(span) => Some(Length { span: *span, mm: measure.mm, sigma_mm: measure.sigma_mm }),
            _ => None,
        });
        aside.collect()
    }
}

fn kept(lengths: &[Length], but: &[usize]) -> Vec<Length> {
    let numbered = lengths.iter().enumerate().filter(|(number, _)| !but.contains(number));
    numbered.map(|(_, length)| *length).collect()
}

/// The square sum with a rim let loose, with the cost of what is let loose; `None` where no camera sees that.
fn loose_cost(problem: &Problem, rim: usize) -> Option<f64> {
    let touching = problem.lengths.iter().filter(|length| touched(length.span).any(|other| other == rim)).count();
    let mut loose = problem.clone();
    let picks = loose.rims[rim].picks.len();
    let precision = &mut loose.rims[rim].precision;
    // Measured points stay a circle, wherever it is; picks of a hand may be wrong one by one.
    let spare = if let Precision::Measured { shared, .. } = precision {
        *shared = SharedError { shift_px: LOOSE_PX, radius_px: LOOSE_PX };
        0
    } else {
        *precision = Precision::ByHand(LOOSE_PX);
        picks.saturating_sub(OF_A_RIM)
    };
    let square_sum = adjust_once(&loose)?.square_sum();
    Some(square_sum + COST * (touching.min(OF_A_RIM) + spare) as f64)
}

/// The rims that a span touches.
fn touched(span: Span) -> impl Iterator<Item = usize> {
    let rims = match span {
        Span::Centres(a, b) | Span::FarRims(a, b) | Span::NearRims(a, b) => [Some(a), Some(b)],
        Span::Diameter(rim) | Span::RimToSide(rim, _) | Span::SameSize(rim, _) => [Some(rim), None],
        Span::Points(..) | Span::Sides(..) | Span::Square(..) | Span::OnSide(..) => [None, None],
    };
    rims.into_iter().flatten()
}
