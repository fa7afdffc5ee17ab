//! What a trial comes to, in sentences.

use super::Evidence;
use super::compare::Seen;
use crate::job::{Id, Job, MeasureKind, capital, listed};
use crate::solution::{Act, Cause};
use crate::space::PlateVec;

/// Shares under this are no part of what is said of a print: 0.05 mm over a hand span (common practice, no source).
const NO_SHARE: f64 = 5e-4;

/// What to do where holes touched and nobody said which side, or how far.
fn say_where(job: &Job, untold: &[Id]) -> String {
    let names: Vec<String> = untold.iter().map(|id| job.feature_name(id).to_owned()).collect();
    format!("Say which side touches at {}, and how far the plate has to go there.", listed(&names))
}

/// How it stands where holes touched and nobody said which side, or how far: the rest agrees.
pub(super) fn untold(job: &Job, untold: &[Id]) -> (String, String) {
    ("What did not touch agrees.".to_owned(), say_where(job, untold))
}

/// How it stands, and what to do, where too few holes were tried.
pub(super) fn too_few(evidence: &Evidence<'_>, is_off: bool, untold: &[Id], more: &[Id]) -> (String, String) {
    let job = evidence.results.job;
    let names: Vec<String> =
        evidence.rims.iter().map(|rim| job.feature_name(&evidence.hole_id(*rim)).to_owned()).collect();
    let others: Vec<String> = more.iter().take(2).map(|id| job.feature_name(id).to_owned()).collect();
    let call = if !untold.is_empty() {
        say_where(job, untold)
    } else if others.is_empty() {
        "Three holes or more on their studs at once tell why.".to_owned()
    } else {
        format!("Try it on {} as well, all at once: three holes or more tell why.", listed(&others))
    };
    let [one, other] = names.as_slice() else {
        return (
            format!("One hole alone tells nothing: the plate can be shifted until {} fits.", listed(&names)),
            call,
        );
    };
    if !is_off {
        return (format!("{one} and {other} fit each other, as far as two holes tell."), call);
    }
    // Lengthwise is all that two holes tell.
    let along = evidence.from_middle[evidence.rims[1]] - evidence.from_middle[evidence.rims[0]];
    let off = match (evidence.figures.seen.as_slice(), along.unit()) {
        ([Seen::Off(a), Seen::Off(b)], Some(along)) => Some((*b - *a).dot(along)),
        _ => None,
    };
    let sentence = match off {
        Some(off) => {
            let way = if off > 0.0 { "too near to" } else { "too far from" };
            format!("{one} and {other} are {:.2} mm {way} each other on the plate.", off.abs())
        }
        None => format!("{one} and {other} do not fit each other."),
    };
    (sentence, format!("That may have any cause. {call}"))
}

/// How it stands where no cause is named.
pub(super) fn without_cause(agrees: bool, went_on: bool, blocked: bool) -> (String, String) {
    let (sentence, explanation) = match (agrees, went_on) {
        (true, _) if blocked => (
            "It would not go on everywhere, and what is known does not say why.",
            "Look there first: is the stud straight, the hole clear? Then measure near it, and try the next proof on.",
        ),
        (true, true) => ("It went on wherever it was tried.", "The trial counts as a measure now."),
        (true, false) => (
            "What touched is within the play and what was not known yet: nothing need be wrong.",
            "The trial counts as a measure now. Make the proof again and try that.",
        ),
        (false, _) => (
            "More than one thing is off: no single cause explains this trial.",
            "Measure what nothing checks, make the proof again, and try that.",
        ),
    };
    (sentence.to_owned(), explanation.to_owned())
}

/// The likeliest cause, then what explains the trial as well and what to do next.
pub(super) fn explained(job: &Job, causes: &[Cause], leaves_more: bool, act: &Act) -> (String, String) {
    // What is seen stands before what may have led to it.
    let is_hole = |cause: &&Cause| matches!(cause, Cause::Hole { .. });
    let first = causes.iter().take(2).find(is_hole).or(causes.first());
    let rest: Vec<&Cause> = causes.iter().filter(|cause| Some(*cause) != first).collect();
    let mut parts = Vec::new();
    match rest.as_slice() {
        [] => {}
        [one] => parts.push(format!("Or {}: that would explain it as well.", clause(job, one))),
        several => {
            let list: Vec<String> = several.iter().map(|one| format!("or {}", clause(job, one))).collect();
            parts.push(format!("{}: any of these would explain it.", capital(&list.join(", "))));
        }
    }
    if leaves_more {
        parts.push("It does not explain all of the trial: settle this first.".to_owned());
    }
    parts.push(call(job, act, causes.len() > 1));
    (first.map_or_else(String::new, |cause| format!("{}.", capital(&clause(job, cause)))), parts.join(" "))
}

/// A cause as a clause: `M6, H3 to H7, reads 0.42 mm long`.
fn clause(job: &Job, cause: &Cause) -> String {
    match cause {
        Cause::Whole { small: Some(small) } => {
            format!("the whole plate is {:.2}\u{a0}% too {}", 100.0 * small.abs(), small_or_large(*small))
        }
        Cause::Whole { small: None } => "the whole plate is too small or too large".to_owned(),
        Cause::Print { small_across, small_up } => print(*small_across, *small_up),
        Cause::Tilt { off_deg: Some(off) } => format!("the camera was tilted {off:.1}° otherwise than was found"),
        Cause::Tilt { off_deg: None } => "the camera was tilted otherwise than was found".to_owned(),
        Cause::Measure { id, long_mm } => {
            let way = match long_mm {
                Some(mm) if *mm > 0.0 => format!("reads {mm:.2} mm long"),
                Some(mm) => format!("reads {:.2} mm short", mm.abs()),
                None => "is misread".to_owned(),
            };
            format!("{}, {way}", measure_name(job, id))
        }
        Cause::Hole { id, sits: Some(sits), .. } => {
            let (name, far) = (job.feature_name(id), sits.length());
            // A mirrored proof is looked at from the other side.
            if job.design.mirrored {
                format!("{name} sits {far:.2} mm too far {} on the proof, which is mirrored", way(sits.mirrored()))
            } else {
                format!("{name} sits {far:.2} mm too far {}", way(*sits))
            }
        }
        Cause::Hole { id, sits: None, at_least_mm } => {
            format!("{} is out of its place by more than {at_least_mm:.2} mm", job.feature_name(id))
        }
    }
}

fn small_or_large(small: f64) -> &'static str {
    if small > 0.0 { "small" } else { "large" }
}

fn print(small_across: Option<f64>, small_up: Option<f64>) -> String {
    let side = |small: Option<f64>, way: &str| {
        let small = small.filter(|small| small.abs() >= NO_SHARE)?;
        Some(format!("{:.2}\u{a0}% too {} {way}", 100.0 * small.abs(), small_or_large(small)))
    };
    let sides: Vec<String> = [side(small_across, "across"), side(small_up, "up")].into_iter().flatten().collect();
    if sides.is_empty() {
        return "the print came out of scale".to_owned();
    }
    format!("the print came out {}", listed(&sides))
}

/// `M6, H3 to H7`.
fn measure_name(job: &Job, id: &Id) -> String {
    let name = job.reading_name(id);
    let Some(measure) = job.measures.iter().find(|measure| measure.id == *id) else { return name };
    let ends: Vec<&str> = measure.between.iter().map(|id| job.feature_name(id)).collect();
    let across = if measure.kind == MeasureKind::Diameter { "across " } else { "" };
    format!("{name}, {across}{}", ends.join(" to "))
}

/// One of eight ways, as what was tried is seen.
fn way(step: PlateVec) -> &'static str {
    const WAYS: [&str; 8] =
        ["right", "up and right", "up", "up and left", "left", "down and left", "down", "down and right"];
    let eighths = (step.angle_rad() / std::f64::consts::FRAC_PI_4).round() as i64;
    WAYS[eighths.rem_euclid(8) as usize]
}

/// What to do next.
fn call(job: &Job, act: &Act, to_tell: bool) -> String {
    let names = |ids: &[Id]| {
        let names: Vec<String> = ids.iter().map(|id| job.feature_name(id).to_owned()).collect();
        listed(&names)
    };
    let tell = if to_tell { " to tell which" } else { "" };
    match act {
        Act::MeasureBars => format!("Measure the check bars of the print{tell}."),
        Act::CheckInstrument => {
            "Hold the caliper or rule against another, and measure the longest length again.".to_owned()
        }
        Act::MeasureAgain(id) => format!("Measure {} again{tell}.", job.reading_name(id)),
        Act::Measure(next) => format!("{}{tell}.", next.call(job)),
        Act::LookAt(hole) => {
            let name = job.feature_name(hole);
            format!("Look at the rim of {name}, and whether its stud stands straight.")
        }
        Act::SeeWhichSide(holes) => format!("Look which side touches at {}, and say that{tell}.", names(holes)),
        Act::TryAlso(holes) => format!("Try it on {} as well.", names(holes)),
    }
}
