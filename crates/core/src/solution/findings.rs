//! What the person should know, in sentences.

use super::assemble::{Assembled, NoRim, Role};
use super::results::Results;
use super::{Finding, NextMeasure, Solution, Weight};
use crate::adjust::{Reliability, Suspect, Termination};
use crate::job::{Id, Job, MeasureKind};
use crate::tolerance::K95_PLACE;

/// A worst hole known less well than this, 95 %, mm, is said: more than the play of a medium clearance hole for M6,
/// (6.6 - 6) / 2 by ISO 273, with a half again for the cutter.
const WORTH_SAYING_MM: f64 = 0.5;

/// A further measure that leaves more than this share of the uncertainty does not help.
const NO_HELP: f64 = 0.9;

/// Chance below which the fit as a whole is doubted, the same as for one measure.
const FIT_DOUBTED: f64 = 0.001;

/// All findings, most pressing first.
pub(super) fn findings(results: &Results<'_>, reliability: &Reliability, solution: &Solution) -> Vec<Finding> {
    let (job, assembled) = (results.job, results.assembled);
    let mut list = Vec::new();
    disagreeing(results, reliability, solution, &mut list);
    doubted(results, reliability, solution, &mut list);
    unfinished(job, assembled, &mut list);
    unknown_size(results, solution, &mut list);
    ambiguous(job, solution, &mut list);
    unchecked(results, solution, &mut list);
    if solution.fit.termination.is_some_and(|end| end != Termination::Converged) {
        let text = "The fit did not come to rest, so its figures are rough. Look for a pick far off its rim.";
        list.push(whole(Weight::Caution, text.to_owned()));
    }
    list.sort_by_key(|finding| finding.weight);
    list
}

/// The findings where nothing could be fitted.
pub(super) fn without_fit(job: &Job, assembled: &Assembled, anything: bool) -> Vec<Finding> {
    let mut list = Vec::new();
    if anything {
        let text = "No camera sees all the picks. Check what is said of the focal length and the lens.";
        list.push(whole(Weight::Disagrees, text.to_owned()));
    }
    unfinished(job, assembled, &mut list);
    list
}

fn whole(weight: Weight, text: String) -> Finding {
    Finding { weight, about: None, text }
}

fn about(weight: Weight, id: &Id, text: String) -> Finding {
    Finding { weight, about: Some(id.clone()), text }
}

/// A measure's name: its number in the list.
fn measure_name(place: usize) -> String {
    format!("M{}", place + 1)
}

/// `M1`, `M1 and M2`, `M1, M2 and M3`.
fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// `Measure H2 to H7.`
fn call_to_measure(job: &Job, next: &NextMeasure) -> String {
    let names: Vec<&str> = next.between.iter().map(|id| job.feature_name(id)).collect();
    match (next.kind, names.as_slice()) {
        (MeasureKind::Diameter, [hole]) => format!("Measure across {hole}."),
        (_, [a, b]) => format!("Measure {a} to {b}."),
        _ => format!("Measure {}.", names.join(" to ")),
    }
}

/// The place in the job of a length of the adjustment.
fn place_of(results: &Results<'_>, length: usize) -> Option<usize> {
    results.assembled.measures.iter().position(|role| *role == Role::Counts(length))
}

fn disagreeing(results: &Results<'_>, reliability: &Reliability, solution: &Solution, list: &mut Vec<Finding>) {
    for (place, role) in results.assembled.measures.iter().enumerate() {
        if matches!(role, Role::Aside(_)) {
            let measure = &solution.measures[place];
            let way = if measure.off_mm() > 0.0 { "long" } else { "short" };
            let text = format!(
                "{} cannot be meant: it is {:.2} mm {way}. The part is shown without it. Look at its kind and its holes, \
                 measure it again, or leave it out.",
                measure_name(place),
                measure.off_mm().abs()
            );
            list.push(about(Weight::Disagrees, &measure.id, text));
        }
    }
    for Suspect { length, equally } in &reliability.suspects {
        let Some(place) = place_of(results, *length) else { continue };
        let measure = &solution.measures[place];
        if equally.is_empty() {
            let by_others = results.adjusted.length_by_others(*length);
            let misread = measure.measured_mm - by_others.unwrap_or(measure.fitted_mm);
            let way = if misread > 0.0 { "long" } else { "short" };
            let text = format!(
                "{} does not agree with the rest: it is {:.2} mm {way}. Measure it again, or leave it out.",
                measure_name(place),
                misread.abs()
            );
            list.push(about(Weight::Disagrees, &measure.id, text));
        } else {
            let mut places: Vec<usize> = equally.iter().filter_map(|other| place_of(results, *other)).collect();
            places.push(place);
            places.sort_unstable();
            let names: Vec<String> = places.into_iter().map(measure_name).collect();
            let call = solution.measure_next.first().map_or_else(
                || "Measure them again.".to_owned(),
                |next| {
                    let call = call_to_measure(results.job, next);
                    format!("{} to tell which.", call.trim_end_matches('.'))
                },
            );
            let text = format!("{} explain the misfit equally well. {call}", listed(&names));
            list.push(about(Weight::Disagrees, &measure.id, text));
        }
    }
}

/// The whole does not fit, and no measure explains it: a pick is off.
fn doubted(results: &Results<'_>, reliability: &Reliability, solution: &Solution, list: &mut Vec<Finding>) {
    let doubted = solution.fit.p_value.is_some_and(|p| p < FIT_DOUBTED);
    if !doubted || !reliability.suspects.is_empty() {
        return;
    }
    let sigmas = |rim: usize| solution.holes[rim].rim_rms_px / results.assembled.problem.rims[rim].sigma_px;
    let worst = (0..solution.holes.len()).max_by(|a, b| sigmas(*a).total_cmp(&sigmas(*b)));
    let text = "Picks and measures fit each other worse than their ± allow.";
    list.push(match worst.map(|rim| &solution.holes[rim].id) {
        Some(id) => {
            let text = format!("{text} Look at the rim of {} first.", results.job.feature_name(id));
            about(Weight::Disagrees, id, text)
        }
        None => whole(Weight::Disagrees, text.to_owned()),
    });
}

/// Holes without enough picks, edges that are no line, measures that wait for them.
fn unfinished(job: &Job, assembled: &Assembled, list: &mut Vec<Finding>) {
    for (hole, state) in job.holes.iter().zip(&assembled.holes) {
        let name = &hole.name;
        let text = match state {
            Ok(_) => continue,
            Err(NoRim::TooFew(0)) => format!("{name} has no pick yet; three make it a hole."),
            Err(NoRim::TooFew(1)) => format!("{name} has one pick; two more make it a hole."),
            Err(NoRim::TooFew(_)) => format!("{name} has two picks; a third makes it a hole."),
            Err(NoRim::NoCircle) => {
                format!("{name} is no circle yet: its picks are too close together or in a line. Spread them.")
            }
        };
        list.push(about(Weight::NotKnown, &hole.id, text));
    }
    for (edge, _) in job.edges.iter().zip(&assembled.edges).filter(|(_, side)| side.is_none()) {
        let text = format!("{} is no edge yet; two picks well apart make it one.", edge.name);
        list.push(about(Weight::NotKnown, &edge.id, text));
    }
    for (place, measure) in job.measures.iter().enumerate() {
        if assembled.measures[place] == Role::Waits {
            let names: Vec<String> = measure.between.iter().map(|id| job.feature_name(id).to_owned()).collect();
            let name = measure_name(place);
            let text = format!("{name} waits until {} can be fitted; it does not count so far.", listed(&names));
            list.push(about(Weight::NotKnown, &measure.id, text));
        }
    }
}

/// The scale, and the worst hole.
fn unknown_size(results: &Results<'_>, solution: &Solution, list: &mut Vec<Finding>) {
    let count = results.assembled.problem.lengths.len();
    if count == 0 {
        let text = "Scale: no measure so far. Sizes are not known until one is taken.";
        list.push(whole(Weight::NotKnown, text.to_owned()));
        return;
    }
    let (Some(worst), Some(hole)) = (solution.fit.worst_sigma_mm, &solution.fit.worst_hole) else { return };
    let within = worst * K95_PLACE;
    if within < WORTH_SAYING_MM {
        return;
    }
    let (job, next) = (results.job, solution.measure_next.first());
    let helps = next.filter(|next| next.worst_sigma_after_mm < NO_HELP * next.worst_sigma_before_mm);
    let text = if let Some(next) = helps {
        let call = call_to_measure(job, next);
        if count == 1 {
            format!("One measure does not fix the tilt: the worst hole is good to ±{within:.2} mm only. {call}")
        } else {
            let name = job.feature_name(hole);
            format!("{name} is good to ±{within:.2} mm only. {call} Rims picked anew, zoomed in, help too.")
        }
    } else {
        let name = job.feature_name(hole);
        format!("{name} is good to ±{within:.2} mm only, and measures help little. Zoom in and pick its rim again.")
    };
    list.push(about(Weight::NotKnown, hole, text));
}

fn ambiguous(job: &Job, solution: &Solution, list: &mut Vec<Finding>) {
    let Some(ambiguity) = &solution.fit.ambiguous else { return };
    let text = "The tilt is not settled: two positions of the camera fit.";
    let call = solution.measure_next.first().map(|next| {
        let call = call_to_measure(job, next);
        format!(" {} and it will be.", call.trim_end_matches('.'))
    });
    let text = format!("{text}{}", call.unwrap_or_default());
    list.push(about(Weight::NotKnown, &ambiguity.hole, text));
}

fn unchecked(results: &Results<'_>, solution: &Solution, list: &mut Vec<Finding>) {
    let unchecked: Vec<usize> = (0..solution.measures.len())
        .filter(|place| solution.measures[*place].verdict == super::MeasureVerdict::Unchecked)
        .collect();
    let Some(first) = unchecked.first() else { return };
    let counting = results.assembled.problem.lengths.len();
    let call = solution.measure_next.first().map(|next| format!(" {}", call_to_measure(results.job, next)));
    let text = if unchecked.len() == counting && counting > 1 {
        format!("Nothing checks the measures yet: if one is misread, nobody will notice.{}", call.unwrap_or_default())
    } else {
        let names: Vec<String> = unchecked.iter().copied().map(measure_name).collect();
        let one = if names.len() == 1 { "it" } else { "one" };
        let call = call.unwrap_or_default();
        format!("Nothing checks {} yet: if {one} is misread, nobody will notice.{call}", listed(&names))
    };
    list.push(about(Weight::Caution, &solution.measures[*first].id, text));
}
