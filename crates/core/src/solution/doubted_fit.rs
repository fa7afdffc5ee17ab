//! Whether what was picked and what was measured fit together as a whole; where they do not, no figure stands.
//!
//! The square sum of the fit leaves out how the points of a measured rim scatter about their circle ([`crate::adjust`]):
//! it sees a rim that is shifted, and is blind to one that is bent. So each measured rim is looked at by itself as well.

use super::findings::{about, to_check};
use super::results::Results;
use super::{Finding, FindingKind, MeasureVerdict, Solution, Weight};
use crate::adjust::Precision;
use crate::job::{capital, listed};

/// Chance below which the fit as a whole is doubted, the same as for one measure.
const FIT_DOUBTED: f64 = 0.001;

/// A measured rim is bent off its hole where its points lie this far off the fitted one, root mean square, px, and so many
/// times as far as they and what they share are good to: no edge in a photo is that uneven and is still trusted.
const BENT_PX: f64 = 3.0;
const BENT_SIGMAS: f64 = 10.0;

/// So many are named where there are too many to name all.
const NAMED: usize = 4;

/// Says that the fit as a whole does not hold, once.
pub(super) fn doubted_fit(results: &Results<'_>, solution: &Solution, list: &mut Vec<Finding>) {
    let bent = bent(results, solution);
    list.extend(if bent.is_empty() {
        misfit(results, solution).map(|finding| finding.of_kind(FindingKind::DoubtedFit))
    } else {
        Some(told_of_bent(results, solution, &bent).of_kind(FindingKind::BentRims))
    });
}

/// The measured rims that the fit bends off what the photo shows of them, the worst first.
fn bent(results: &Results<'_>, solution: &Solution) -> Vec<usize> {
    let is_bent = |rim: &usize| {
        let Precision::Measured { sigma_px, shared } = &results.assembled.problem.rims[*rim].precision else {
            return false;
        };
        let square_sum: f64 = sigma_px.iter().map(|sigma| sigma * sigma).sum();
        let own_square = square_sum / sigma_px.len().max(1) as f64 + shared.shift_px.powi(2) + shared.radius_px.powi(2);
        let rms_px = solution.holes[*rim].rim_rms_px;
        rms_px > BENT_PX && rms_px > BENT_SIGMAS * own_square.sqrt()
    };
    let mut bent: Vec<usize> = (0..solution.holes.len()).filter(is_bent).collect();
    bent.sort_by(|a, b| solution.holes[*b].rim_rms_px.total_cmp(&solution.holes[*a].rim_rms_px));
    bent
}

fn told_of_bent(results: &Results<'_>, solution: &Solution, bent: &[usize]) -> Finding {
    let off_px = solution.holes[bent[0]].rim_rms_px;
    let mut names: Vec<String> =
        bent.iter().take(NAMED).map(|rim| results.job.feature_name(&solution.holes[*rim].id).to_owned()).collect();
    let more = bent.len() - names.len();
    if more > 0 {
        names.push(format!("{more} more"));
    }
    let (rims, they) = if bent.len() == 1 { ("rim", "it lies") } else { ("rims", "they lie up to") };
    let names = listed(&names);
    let bends = format!("The fit bends the {rims} of {names}: {they} {off_px:.0} px off what the photo shows.");
    let text = match to_read_again(results, solution) {
        Some(measures) => {
            let call = to_check(results, solution).map_or_else(String::new, |call| format!(" {call} to check them."));
            format!("{bends} A hand measure is misread, or was taken elsewhere. Read {measures} again.{call}")
        }
        None => format!("{bends} Look at what is said of the camera and of the shape."),
    };
    let others = bent[1..].iter().map(|rim| solution.holes[*rim].id.clone()).collect();
    Finding { others, ..about(Weight::Disagrees, &solution.holes[bent[0]].id, text) }
}

/// The whole does not fit, and no reading explains it: a pick is off, or a measure that nothing checks.
fn misfit(results: &Results<'_>, solution: &Solution) -> Option<Finding> {
    let doubted = solution.fit.p_value.is_some_and(|p| p < FIT_DOUBTED);
    if !doubted || !solution.suspects.is_empty() {
        return None;
    }
    let sigmas = |rim: usize| {
        let precision = &results.assembled.problem.rims[rim].precision;
        let offs = solution.holes[rim].picks_off_px.iter().enumerate();
        let square_sum: f64 = offs.clone().map(|(pick, off)| (off / precision.sigma_px(pick)).powi(2)).sum();
        square_sum / (offs.len() as f64).max(1.0)
    };
    let worst = (0..solution.holes.len()).max_by(|a, b| sigmas(*a).total_cmp(&sigmas(*b)));
    let text = "Picks and measures fit each other worse than their ± allow.";
    let rim = worst.map(|rim| format!("look at the rim of {}", results.job.feature_name(&solution.holes[rim].id)));
    let is_unchecked = solution.measures.iter().any(|fit| fit.verdict == MeasureVerdict::Unchecked);
    let way_out = match (to_read_again(results, solution).filter(|_| is_unchecked), rim) {
        (Some(measures), rim) => {
            let rim = rim.map_or_else(String::new, |rim| format!(", then {rim}"));
            format!(" Nothing checks {measures}, and one that is misread bends everything: read them again{rim}.")
        }
        (None, Some(rim)) => format!(" {} first.", capital(&rim)),
        (None, None) => String::new(),
    };
    let about = worst.map(|rim| solution.holes[rim].id.clone());
    Some(Finding::new(Weight::Disagrees, about, format!("{text}{way_out}")))
}

/// The measures to be read again: those that nothing checks, or else all that count; `None` where none does.
fn to_read_again(results: &Results<'_>, solution: &Solution) -> Option<String> {
    let named = |wanted: fn(MeasureVerdict) -> bool| {
        let of_those = solution.measures.iter().filter(|fit| wanted(fit.verdict)).map(|fit| &fit.id);
        let ids: Vec<_> = of_those.collect();
        match ids.len() {
            0 => None,
            1..=NAMED => Some(results.job.reading_names(ids)),
            _ => Some("the hand measures".to_owned()),
        }
    };
    named(|verdict| verdict == MeasureVerdict::Unchecked)
        .or_else(|| named(|verdict| !matches!(verdict, MeasureVerdict::LeftOut | MeasureVerdict::Waits)))
}
