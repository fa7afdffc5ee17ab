//! How the job stands, as questions that several panels ask.

use crate::session::Session;
use platewright_core::check::{Check, Verdict};
use platewright_core::job::{Contour, Hole, Id, Job, Outcome, Role};
use platewright_core::solution::{BoltUp, ContourFit, MeasureFit, MeasureVerdict, Suspects};
use platewright_core::standards::Fastener;

/// The job, where one is open.
pub(super) fn job(session: &Session) -> Option<&Job> {
    session.document.as_ref().map(crate::session::Document::job)
}

/// The names of the holes at which the last plate that was tried went so.
pub(super) fn tried(job: &Job, outcome: Outcome) -> Vec<String> {
    let trials = job.last_trials().filter(|trial| trial.outcome == outcome);
    trials.map(|trial| job.feature_name(&trial.hole).to_owned()).collect()
}

/// The measures that disagree.
pub(super) fn disagreeing(session: &Session) -> impl Iterator<Item = &MeasureFit> {
    session.results.solution.measures.iter().filter(|m| m.verdict == MeasureVerdict::Disagrees)
}

/// The first group of readings any one of which explains a misfit, where it is more than one reading: none of them is at
/// fault for certain.
pub(super) fn equally_suspect(session: &Session) -> Option<&Suspects> {
    session.results.solution.suspects.first().filter(|suspects| suspects.ids.len() > 1)
}

/// The names of the measures that disagree, `M1 and M3`.
pub(super) fn blamed(session: &Session) -> Option<String> {
    let job = job(session)?;
    let names = job.reading_names(disagreeing(session).map(|measure| &measure.id));
    (!names.is_empty()).then_some(names)
}

/// Which measures disagree: `M2 disagrees`, `M1 and M3 disagree`.
pub(super) fn who_disagrees(session: &Session) -> Option<String> {
    let verb = if disagreeing(session).nth(1).is_none() { "disagrees" } else { "disagree" };
    blamed(session).map(|names| format!("{names} {verb}"))
}

/// Something disagrees, or what was picked and what was measured do not fit together: no figure holds until it is settled.
pub(super) fn is_unsettled(session: &Session) -> bool {
    let solution = &session.results.solution;
    who_disagrees(session).is_some() || !solution.suspects.is_empty() || !solution.fits_together()
}

/// The odds, where they can be trusted: the size is known, nothing disagrees, and they are about every fastener that is
/// said.
pub(super) fn odds(session: &Session) -> Option<&BoltUp> {
    let solution = &session.results.solution;
    let every = job(session).is_some_and(|job| fasteners(job) == Fasteners::Known);
    let settled = every && solution.fit.scale_known() && !is_unsettled(session);
    solution.bolt_up.as_ref().filter(|_| settled)
}

/// What is said of the fasteners of the holes that are kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Fasteners {
    /// Nothing.
    Unsaid,
    /// At this hole, a name that the standards do not have.
    NoSuch {
        /// The hole.
        hole: Id,
        /// What was typed.
        typed: String,
    },
    /// All that are said are the standards'.
    Known,
}

/// What is said of the fasteners that go through.
pub(super) fn fasteners(job: &Job) -> Fasteners {
    let said = |hole: &Hole| {
        let through = job.group(hole.group.as_ref()?).filter(|group| !group.tapped)?;
        Some((hole.id.clone(), through.fastener.clone()?))
    };
    let all: Vec<(Id, String)> = job.holes.iter().filter(|hole| hole.keep).filter_map(said).collect();
    if all.is_empty() {
        return Fasteners::Unsaid;
    }
    let unknown = all.into_iter().find(|(_, typed)| Fastener::parse(typed).is_none());
    unknown.map_or(Fasteners::Known, |(hole, typed)| Fasteners::NoSuch { hole, typed })
}

/// What to do where no fastener is said.
pub(super) const SAY_FASTENERS: &str = "Say which fasteners go through, and the odds follow.";

/// A name that no standard has, as a sentence with the way out.
pub(super) fn no_such_fastener(typed: &str, hole: &str) -> String {
    format!("‘{typed}’ at {hole} is no fastener that the standards hold. Type M1.6 to M36, or #4 to 1\u{a0}in.")
}

/// The measure that disagrees most, where one does.
pub(super) fn worst_measure(session: &Session) -> Option<&MeasureFit> {
    let size = |measure: &MeasureFit| measure.w.map_or(0.0, f64::abs);
    disagreeing(session).max_by(|a, b| size(a).total_cmp(&size(b)))
}

/// The measures that nothing checks.
pub(super) fn unchecked(session: &Session) -> impl Iterator<Item = &MeasureFit> {
    session.results.solution.measures.iter().filter(|m| m.verdict == MeasureVerdict::Unchecked)
}

/// How many measures count: neither left out nor waiting for what they lie between.
pub(super) fn counted(session: &Session) -> usize {
    let aside = |m: &&MeasureFit| matches!(m.verdict, MeasureVerdict::LeftOut | MeasureVerdict::Waits);
    let measures = &session.results.solution.measures;
    measures.len() - measures.iter().filter(aside).count()
}

/// The measures that wait for what they lie between.
pub(super) fn waiting(session: &Session) -> impl Iterator<Item = &MeasureFit> {
    session.results.solution.measures.iter().filter(|m| m.verdict == MeasureVerdict::Waits)
}

/// The first hole that has too few picks to be one.
pub(super) fn unfinished_hole(job: &Job) -> Option<&Hole> {
    job.holes.iter().find(|hole| hole.rim.len() < PICKS_OF_A_HOLE)
}

/// So many picks make a hole.
pub(super) const PICKS_OF_A_HOLE: usize = 3;

/// The outline, where one is begun.
pub(super) fn outline(session: &Session) -> Option<(&Contour, Option<&ContourFit>)> {
    let contour = job(session)?.contours.iter().find(|contour| contour.role == Role::Outer)?;
    let fit = session.results.solution.contours.iter().find(|fit| fit.id == contour.id);
    Some((contour, fit))
}

/// The checks that fail.
pub(super) fn failing(session: &Session) -> impl Iterator<Item = &Check> {
    session.results.checks.iter().filter(|check| check.verdict == Verdict::Fail)
}

/// Half the axis of the worst hole's 95 % ellipse, mm; `None` while sizes are not known.
pub(super) fn worst_hole_mm(session: &Session) -> Option<f64> {
    let fit = &session.results.solution.fit;
    let known = fit.worst_sigma_mm.filter(|sigma| sigma.is_finite() && fit.scale_known());
    known.map(|sigma| sigma * platewright_core::tolerance::K95_PLACE)
}

/// So many in words: `one`, `two`, up to `twelve`, then the figure.
pub(super) fn in_words(number: usize) -> String {
    const WORDS: [&str; 13] =
        ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    WORDS.get(number).map_or_else(|| number.to_string(), |word| (*word).to_owned())
}
