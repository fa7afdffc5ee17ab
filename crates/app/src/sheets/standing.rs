//! How the job stands, as questions that several panels ask.

use crate::session::Session;
use platewright_core::check::{Check, Verdict};
use platewright_core::job::{Contour, Hole, Job, Role};
use platewright_core::solution::{ContourFit, MeasureFit, MeasureVerdict};

/// The job, where one is open.
pub(super) fn job(session: &Session) -> Option<&Job> {
    session.document.as_ref().map(crate::session::Document::job)
}

/// The measures that disagree.
pub(super) fn disagreeing(session: &Session) -> impl Iterator<Item = &MeasureFit> {
    session.results.solution.measures.iter().filter(|m| m.verdict == MeasureVerdict::Disagrees)
}

/// Several disagree, so that none of them is at fault for certain: their names, `M1 and M3`.
pub(super) fn equally_suspect(session: &Session) -> Option<String> {
    let job = job(session)?;
    let names: Vec<String> = disagreeing(session).map(|m| super::figures::measure_name(job, &m.id)).collect();
    match names.as_slice() {
        [] | [_] => None,
        [most @ .., last] => Some(format!("{} and {last}", most.join(", "))),
    }
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

/// With a capital at its beginning.
pub(super) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}
