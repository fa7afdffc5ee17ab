//! Measures that cannot be meant: wrong kind, wrong hole, a digit too many.
//!
//! A reading that is wrong by a tenth of a hand span does not show as one misfit. It bends camera and plate until
//! everything is wrong, and the tests of the bent fit accuse whatever is nearest. So where the whole does not fit, each
//! measure is taken out in turn and all the rest adjusted again. The one without which the rest fits by far best, and
//! which lies far from what the rest says, is set aside. That is said aloud, and the person decides: it is never a quiet
//! change of weight, and readings that are off by less are kept in.

use super::assemble::Assembled;
use crate::adjust::{Adjusted, Length, Problem, adjust, adjust_once};

/// A reading further from what the others say than this many of its standard deviations is no reading of that length:
/// 2 mm for a caliper. Up to there the linear tests hold well enough to name it without setting it aside.
const NOT_MEANT_SIGMAS: f64 = 40.0;

/// Chance of the whole misfit below which something is wrong with it.
const NO_FIT: f64 = 1e-3;

/// Two measures whose removal leaves square sums that differ by less than this explain the misfit equally well; then
/// neither is set aside.
const EQUALLY: f64 = 4.0;

/// At most this share of the measures is set aside: the rest must outvote them.
const MOST: usize = 3;

/// However many there are, no more than this are set aside: each takes as many adjustments as there are measures, which
/// on a job of sixty readings that fit nothing would hold up the window for ten seconds and more.
const MOST_IN_ALL: usize = 4;

/// The problem without the measures that cannot be meant, which are marked in its `measures`; `None` where the whole
/// fits as `adjusted`, or nothing is to be set aside.
pub(super) fn set_aside(assembled: &Assembled, adjusted: &Adjusted<'_>) -> Option<Assembled> {
    if fits(adjusted) {
        return None;
    }
    let most = (assembled.problem.lengths.len() / MOST).min(MOST_IN_ALL);
    let mut rest = assembled.clone();
    for count in 0..most {
        let Some(length) = not_meant(&rest.problem) else { return (count > 0).then_some(rest) };
        rest.set_aside(length);
        if adjust(&rest.problem).is_none_or(|adjusted| fits(&adjusted)) {
            break;
        }
    }
    (most > 0).then_some(rest)
}

fn fits(adjusted: &Adjusted<'_>) -> bool {
    adjusted.p_value().is_none_or(|p| p >= NO_FIT)
}

/// The length without which the rest fits by far best, if it lies far from what the rest says.
fn not_meant(problem: &Problem) -> Option<usize> {
    let mut without: Vec<(f64, usize, f64)> = (0..problem.lengths.len())
        .filter_map(|number| {
            let (square_sum, sigmas) = taken_out(problem, number)?;
            Some((square_sum, number, sigmas))
        })
        .collect();
    without.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (best, number, sigmas) = *without.first()?;
    let alone = without.get(1).is_none_or(|second| second.0 - best > EQUALLY);
    (alone && sigmas > NOT_MEANT_SIGMAS).then_some(number)
}

/// The square sum without a length, and how far its reading lies from what the rest says, in standard deviations.
fn taken_out(problem: &Problem, number: usize) -> Option<(f64, f64)> {
    let mut rest = problem.clone();
    let Length { span, mm, sigma_mm } = rest.lengths.remove(number);
    let adjusted = adjust_once(&rest)?;
    let (fitted_mm, predicted_sigma) = adjusted.fitted_length(span);
    Some((adjusted.square_sum(), (mm - fitted_mm).abs() / predicted_sigma.hypot(sigma_mm)))
}
