//! Measures that cannot be meant: wrong kind, wrong hole, a digit too many.
//!
//! A reading that is wrong by a tenth of a hand span does not show as one misfit. It bends camera and plate until
//! everything is wrong, and the tests of the bent fit accuse whatever is nearest. So where the whole does not fit, each
//! measure that the bent fit suspects, or cannot test, is taken out in turn and all the rest adjusted again, from where the
//! whole is. The one without which the rest fits by far best, and which lies far from what the rest says, is set aside.
//! That is said aloud, and the person decides: it is never a quiet change of weight, and readings that are off by less
//! are kept in.

use super::assemble::Assembled;
use crate::adjust::{Adjusted, Length, Problem, Tested, adjust, adjust_once};
use crate::tolerance::REDUNDANCY_UNCHECKED;

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

/// However many there are, no more than this are set aside: more than that is no slip, and nobody would look through it.
const MOST_IN_ALL: usize = 4;

/// How many measures are taken out in turn, those that the fit cannot test and then those of the largest standardised
/// misfits first. The tests of a bent fit need not name the wrong one first: it is among those that bend it most, or it
/// has bent it so far that nothing contradicts it any more.
const SUSPECTED: usize = 24;

/// The problem without the measures that cannot be meant, which are marked in its `measures`; `None` where the whole fits
/// as `adjusted`, or nothing is to be set aside. `adjusted` is `None` where no camera sees everything: then one reading may
/// be what drives it out of sight.
pub(super) fn set_aside(assembled: &Assembled, adjusted: Option<&Adjusted<'_>>) -> Option<Assembled> {
    let most = (assembled.problem.lengths.len() / MOST).min(MOST_IN_ALL);
    let mut rest = assembled.clone();
    let mut next = match adjusted {
        Some(adjusted) if fits(adjusted) => return None,
        Some(adjusted) => not_meant(adjusted),
        None => not_seen(&assembled.problem),
    };
    for count in 0..most {
        let Some(length) = next else { return (count > 0).then_some(rest) };
        rest.set_aside(length);
        match adjust(&rest.problem) {
            Some(adjusted) if !fits(&adjusted) => next = not_meant(&adjusted),
            _ => break,
        }
    }
    (most > 0).then_some(rest)
}

fn fits(adjusted: &Adjusted<'_>) -> bool {
    adjusted.p_value().is_none_or(|p| p >= NO_FIT)
}

/// The length without which the rest is seen, and fits best.
fn not_seen(problem: &Problem) -> Option<usize> {
    let without = |length: usize| {
        let mut rest = problem.clone();
        rest.lengths.remove(length);
        let square_sum = adjust_once(&rest)?.square_sum();
        Some((square_sum, length))
    };
    let seen = (0..problem.lengths.len().min(SUSPECTED)).filter_map(without);
    seen.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, length)| length)
}

/// The length without which the rest fits by far best, if it lies far from what the rest says.
fn not_meant(adjusted: &Adjusted<'_>) -> Option<usize> {
    let tested = adjusted.reliability().tested;
    // What is not tested stands before everything else.
    let misfit = |tested: &Tested| {
        let checked = tested.redundancy >= REDUNDANCY_UNCHECKED;
        tested.w.filter(|_| checked).map_or(f64::INFINITY, f64::abs)
    };
    let mut suspected: Vec<(f64, usize)> = tested.iter().map(misfit).zip(0..).collect();
    suspected.sort_by(|a, b| b.0.total_cmp(&a.0));
    let numbers: Vec<usize> = suspected.into_iter().take(SUSPECTED).map(|(_, number)| number).collect();
    let mut without = adjusted.without_each(&numbers);
    without.sort_by(|a, b| a.square_sum.total_cmp(&b.square_sum));
    let best = without.first()?;
    let alone = without.get(1).is_none_or(|second| second.square_sum - best.square_sum > EQUALLY);
    let Length { mm, sigma_mm, .. } = adjusted.problem().lengths[best.length];
    let sigmas = (mm - best.fitted_mm).abs() / best.sigma_mm.hypot(sigma_mm);
    (alone && sigmas > NOT_MEANT_SIGMAS).then_some(best.length)
}
