//! What the person should know, in sentences.

use super::assemble::{Assembled, NoRim, Role, off_line_px};
use super::beliefs::{BeliefSource, focal_unsaid};
use super::doubted_fit::doubted_fit;
use super::doubted_rims::{doubted_rims, no_camera, unsaid_breaks};
use super::finish::{fastener, said_fastener};
use super::results::Results;
use super::{Finding, FindingKind, MeasureFit, Solution, Stated, StatementFit, Suspects, TrialFit, Weight};
use crate::adjust::Termination;
use crate::job::{Id, Job, capital, listed};
use crate::tolerance::K95_PLACE;

/// A worst hole known less well than this, 95 %, mm, is said: more than the play of a medium clearance hole for M6,
/// (6.6 - 6) / 2 by ISO 273, with a half again for the cutter.
const WORTH_SAYING_MM: f64 = 0.5;

/// A further measure that leaves more than this share of the uncertainty does not help.
const NO_HELP: f64 = 0.9;

/// So many misreadings are told one by one. Where there are more, hardly any is told rightly before the first are settled.
const MOST_SUSPECTS: usize = 4;

/// A focal length that is said is doubted when it lies this many standard deviations from the photo's own.
const FOCAL_FAR_OFF_SIGMAS: f64 = 4.0;

/// All findings, most pressing first.
pub(super) fn findings(results: &Results<'_>, solution: &Solution) -> Vec<Finding> {
    let (job, assembled) = (results.job, results.assembled);
    let mut list = Vec::new();
    trial_cause(solution, &mut list);
    disagreeing(results, solution, &mut list);
    doubted_fit(results, solution, &mut list);
    unfinished(job, assembled, &mut list);
    unknown_size(results, solution, &mut list);
    ambiguous(job, solution, &mut list);
    unchecked(results, solution, &mut list);
    unsaid_breaks(results, solution, &mut list);
    no_camera(results, &mut list);
    doubted_rims(results, &mut list);
    focal_far_off(results, &mut list);
    no_such_fastener(job, &mut list);
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
    Finding::new(weight, None, text)
}

pub(super) fn about(weight: Weight, id: &Id, text: String) -> Finding {
    Finding::new(weight, Some(id.clone()), text)
}

fn long_or_short(mm: f64) -> String {
    format!("{:.2} mm {}", mm.abs(), if mm > 0.0 { "long" } else { "short" })
}

/// The same for a figure so large that it could be taken for the length.
fn too_long_or_short(mm: f64) -> String {
    format!("{:.2} mm too {}", mm.abs(), if mm > 0.0 { "long" } else { "short" })
}

fn question(measure: &MeasureFit) -> String {
    measure.slip.map_or_else(String::new, |slip| format!(" {}", slip.question(measure.measured_mm)))
}

fn disagreeing(results: &Results<'_>, solution: &Solution, list: &mut Vec<Finding>) {
    for (place, role) in results.assembled.measures.iter().enumerate() {
        if matches!(role, Role::Aside(_)) {
            let measure = &solution.measures[place];
            let (name, off, question) =
                (results.job.reading_name(&measure.id), too_long_or_short(measure.misread_mm()), question(measure));
            let text = format!(
                "{name} cannot be meant: it is {off}.{question} The part is shown without it. Look at its kind and its \
                 holes, measure it again, or leave it out."
            );
            list.push(about(Weight::Disagrees, &measure.id, text));
        }
    }
    for (row, fit) in results.assembled.stated.iter().zip(&solution.statements) {
        if matches!(row.role, Role::Aside(_)) {
            let text = format!("{} That cannot be meant; the part is shown without it.", statement_off(results, fit));
            list.push(about(Weight::Disagrees, &fit.id, text));
        }
    }
    for Suspects { ids, tell_apart } in solution.suspects.iter().take(MOST_SUSPECTS) {
        let Some(first) = ids.first() else { continue };
        // Where a trial does not agree, what explains it is told instead.
        if of_trial(results, ids) && trial_is_off(solution) {
            continue;
        }
        let text = match ids.as_slice() {
            [only] => alone(results, solution, only),
            several => {
                let names = capital(&results.job.reading_names(several));
                let call = tell_apart.as_ref().map_or_else(
                    || "Measure them again.".to_owned(),
                    |next| format!("{} to tell which.", next.call(results.job)),
                );
                format!("{names} explain the misfit equally well. {call}")
            }
        };
        // Several trials at one hole are told of once.
        if list.iter().all(|finding| finding.text != text) {
            list.push(about(Weight::Disagrees, first, text));
        }
    }
    let accused = list.iter_mut().find(|finding| finding.kind == FindingKind::General);
    if let (Some(first), [_, ..]) = (accused, solution.suspect_rims.as_slice()) {
        let names: Vec<String> =
            solution.suspect_rims.iter().map(|id| results.job.feature_name(id).to_owned()).collect();
        first.text =
            format!("{} Or look at the rim of {}: that would explain it as well.", first.text, names.join(" or "));
    }
    let besides = solution.suspects.len().saturating_sub(MOST_SUSPECTS);
    if besides > 0 {
        let text = format!("{besides} more do not agree either. Settle these first, and most of the rest may follow.");
        list.push(whole(Weight::Disagrees, text));
    }
}

fn of_trial(results: &Results<'_>, ids: &[Id]) -> bool {
    results.job.trials.iter().any(|trial| ids.contains(&trial.id))
}

fn trial_is_off(solution: &Solution) -> bool {
    solution.trial.as_ref().is_some_and(TrialFit::is_off)
}

/// What explains a trial that does not agree.
fn trial_cause(solution: &Solution, list: &mut Vec<Finding>) {
    let Some(fit) = solution.trial.as_ref().filter(|_| trial_is_off(solution)) else { return };
    list.push(Finding::new(Weight::Disagrees, fit.about().cloned(), fit.text()).of_kind(FindingKind::TrialCause));
}

/// A reading that alone explains the misfit.
fn alone(results: &Results<'_>, solution: &Solution, id: &Id) -> String {
    if let Some(measure) = solution.measures.iter().find(|measure| measure.id == *id) {
        let (name, off) = (results.job.reading_name(id), long_or_short(measure.misread_mm()));
        let (question, again) = (question(measure), "Measure it again, or leave it out.");
        return format!("{name} does not agree with the rest: it is {off}.{question} {again}");
    }
    if results.job.trials.iter().any(|trial| trial.id == *id) {
        let name = capital(&results.job.reading_name(id));
        return format!("{name} does not agree with the rest. Try the plate there again, or take that trial out.");
    }
    let of_id = solution.statements.iter().filter(|fit| fit.id == *id);
    let worst = of_id.max_by(|a, b| a.w.unwrap_or(0.0).abs().total_cmp(&b.w.unwrap_or(0.0).abs()));
    let said = worst.map_or_else(String::new, |fit| statement_off(results, fit));
    format!("{said} Look at the part, or leave that statement out.")
}

/// `H4 is not of one size with its group: 0.31 mm larger.`
fn statement_off(results: &Results<'_>, fit: &StatementFit) -> String {
    let names: Vec<&str> = fit.about.iter().map(|id| results.job.feature_name(id)).collect();
    let off = fit.off_mm.abs();
    match (fit.stated, names.as_slice()) {
        (Stated::SameSize, [hole, ..]) => {
            let way = if fit.off_mm > 0.0 { "larger" } else { "smaller" };
            format!("{hole} is not of one size with its group: it is {off:.2} mm {way}.")
        }
        (Stated::Square, [a, b, ..]) => format!("{a} and {b} are not square: {off:.2} mm off in 100."),
        (Stated::OnEdge, [edge, point, ..]) => format!("{point} is not on {edge}: it lies {off:.2} mm beside it."),
        _ => "A statement about the shape does not hold.".to_owned(),
    }
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
        let text = match off_line_px(edge) {
            Some(off) => format!(
                "{} is no straight edge: its picks lie up to {off:.0} px off a line. Begin a new edge for each side.",
                edge.name
            ),
            None => format!("{} is no edge yet; two picks well apart make it one.", edge.name),
        };
        list.push(about(Weight::NotKnown, &edge.id, text));
    }
    for (place, measure) in job.measures.iter().enumerate() {
        if assembled.measures[place] == Role::Waits {
            let names: Vec<String> = measure.between.iter().map(|id| job.feature_name(id).to_owned()).collect();
            let name = job.reading_name(&measure.id);
            let text = format!("{name} waits until {} can be fitted; it does not count so far.", listed(&names));
            list.push(about(Weight::NotKnown, &measure.id, text));
        }
    }
    for row in assembled.stated.iter().filter(|row| row.role == Role::Waits) {
        let unfitted =
            |id: &&Id| job.edges.iter().zip(&assembled.edges).any(|(edge, side)| edge.id == **id && side.is_none());
        let names: Vec<String> = row.about.iter().filter(unfitted).map(|id| job.feature_name(id).to_owned()).collect();
        let name = job.reading_name(&row.id);
        let text = format!("{name} waits until {} can be fitted; it does not count so far.", listed(&names));
        // A straight edge waits once, however many points are said to lie on it.
        if list.iter().all(|finding| finding.text != text) {
            list.push(about(Weight::NotKnown, &row.id, text));
        }
    }
}

/// What was typed for a fastener and is none that the standards hold, once for each name.
fn no_such_fastener(job: &Job, list: &mut Vec<Finding>) {
    let mut said: Vec<&str> = Vec::new();
    for hole in job.holes.iter().filter(|hole| hole.keep && fastener(job, hole).is_none()) {
        let Some(typed) = said_fastener(job, hole).filter(|typed| !said.contains(typed)) else { continue };
        said.push(typed);
        let name = &hole.name;
        let text = format!(
            "‘{typed}’ at {name} is no fastener that the standards hold. Type M1.6 to M36, or #4 to 1\u{a0}in."
        );
        list.push(about(Weight::Caution, &hole.id, text));
    }
}

/// The scale, and the worst hole.
fn unknown_size(results: &Results<'_>, solution: &Solution, list: &mut Vec<Finding>) {
    let count = results.assembled.problem.lengths.iter().filter(|each| !each.span.is_statement()).count();
    if count == 0 && !solution.fit.scale_known() {
        let text = "Scale: no measure so far. Sizes are not known until one is taken.";
        list.push(whole(Weight::NotKnown, text.to_owned()).of_kind(FindingKind::UnknownSize));
        return;
    }
    let (Some(worst), Some(hole)) = (solution.fit.worst_sigma_mm, &solution.fit.worst_hole) else {
        if let [only] = solution.holes.as_slice() {
            let name = results.job.feature_name(&only.id);
            let text =
                format!("{name} alone lies nowhere: it takes a second hole to say how well they lie to each other.");
            list.push(about(Weight::NotKnown, &only.id, text));
        }
        return;
    };
    let within = worst * K95_PLACE;
    // Where the whole does not fit, the figure is none.
    let is_doubted = list.iter().any(|finding| finding.kind.is_of_the_fit());
    if within < WORTH_SAYING_MM || is_doubted {
        return;
    }
    let (job, next) = (results.job, solution.measure_next.first());
    let helps = next.filter(|next| next.worst_sigma_after_mm < NO_HELP * next.worst_sigma_before_mm);
    let text = if let Some(next) = helps {
        let call = format!("{}.", next.call(job));
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
    let hole = job.feature_name(&ambiguity.hole);
    let mut text = format!(
        "The tilt is not settled: two positions of the camera fit, and {hole} lies {:.2} mm elsewhere by the other.",
        ambiguity.moves_mm
    );
    let best = solution.measure_next.first();
    if let Some(next) = ambiguity.settle.as_ref().or(best) {
        text = format!("{text} {} and it will be.", next.call(job));
    }
    list.push(about(Weight::NotKnown, &ambiguity.hole, text).of_kind(FindingKind::UnsettledTilt));
}

/// The measure to be taken that checks those that nothing checks, the one that is checked least first; what helps the worst
/// hole need not check them.
pub(super) fn to_check(results: &Results<'_>, solution: &Solution) -> Option<String> {
    let unchecked = solution.measures.iter().filter(|fit| fit.verdict == super::MeasureVerdict::Unchecked);
    let least = unchecked.min_by(|a, b| a.redundancy.total_cmp(&b.redundancy));
    let checks = least.and_then(|fit| results.checking(&fit.id));
    checks.as_ref().or(solution.measure_next.first()).map(|next| next.call(results.job))
}

fn unchecked(results: &Results<'_>, solution: &Solution, list: &mut Vec<Finding>) {
    let unchecked: Vec<usize> = (0..solution.measures.len())
        .filter(|place| solution.measures[*place].verdict == super::MeasureVerdict::Unchecked)
        .collect();
    let Some(first) = unchecked.first() else { return };
    let counting = results.assembled.problem.lengths.iter().filter(|each| !each.span.is_statement()).count();
    let call = to_check(results, solution).map(|call| format!(" {call}."));
    let text = if unchecked.len() == counting && counting > 1 {
        format!("Nothing checks the measures yet: if one is misread, nobody will notice.{}", call.unwrap_or_default())
    } else {
        let names = results.job.reading_names(unchecked.iter().map(|place| &solution.measures[*place].id));
        let one = if unchecked.len() == 1 { "it" } else { "one" };
        let call = call.unwrap_or_default();
        format!("Nothing checks {names} yet: if {one} is misread, nobody will notice.{call}")
    };
    list.push(about(Weight::Caution, &solution.measures[*first].id, text));
}

/// What the person says of the focal length is far from what the photo says of itself.
fn focal_far_off(results: &Results<'_>, list: &mut Vec<Finding>) {
    let Some(said) = results.job.photo.focal_px else { return };
    let unsaid = focal_unsaid(results.inputs);
    if unsaid.source != BeliefSource::Photo {
        return;
    }
    let (found, sigma) = (unsaid.belief.value, unsaid.belief.sigma.hypot(said.sigma));
    if (said.value - found).abs() > FOCAL_FAR_OFF_SIGMAS * sigma {
        let text = format!(
            "The focal length is said to be {:.0} px, and the photo says {found:.0} px of itself. If the photo was cropped or \
             scaled both may be wrong; else leave it to the photo.",
            said.value
        );
        list.push(whole(Weight::Caution, text));
    }
}
