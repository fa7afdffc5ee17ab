//! What follows from a job: values, ±, reliability, findings. Can be thrown away at any time.
//!
//! ## Invariants
//! - [`solve`] is a pure function of its inputs: the same job gives the same digits, whatever was solved before.
//! - Nothing here fails from outside: what cannot be told is a [`Finding`] or a `None`, never an error or a NaN.
//! - Plate coordinates are in the datum's frame.

mod added;
mod aside;
mod assemble;
mod beliefs;
mod cause;
mod datum;
mod doubted_fit;
mod doubted_rims;
mod findings;
mod finish;
mod groundwork;
mod odds;
mod readings;
mod results;
mod slip;
mod suspect_rims;
#[cfg(test)]
mod tests;
mod traced;
mod trial;
mod types;

pub use added::added_among;
pub use beliefs::{BeliefSource, Beliefs, Believed, EXIF_FOCAL_SIGMA, beliefs, focal_unsaid, usual_term};
pub use finish::{added_diameter_mm, fastener, finished_mm, is_tapped, play_mm, said_fastener};
pub use groundwork::Groundwork;
pub use slip::{Slip, SlipKind};
pub use types::*;

use crate::adjust::{Adjusted, Problem, Termination, adjust};
use crate::camera::PlateMap;
use crate::edge::Picture;
use crate::job::{Contour, Job};
use crate::seen::{self, Camera, Seen};
use assemble::Assembled;

/// How many of the measures worth taking next are named.
const NEXT_MEASURES: usize = 5;

/// What is adjusted for a job: its picks, its lengths that count, and the beliefs about its camera.
pub fn problem(inputs: &Inputs<'_>) -> Problem {
    assembled(inputs).problem
}

/// The same as the solution of the job stands on: without the measures that cannot be meant.
pub fn problem_solved(inputs: &Inputs<'_>) -> Problem {
    adjusted(inputs, |assembled, _| assembled.problem.clone())
}

/// The problem with the way back to the job, and with what a trial fit showed.
fn assembled(inputs: &Inputs<'_>) -> Assembled {
    let mut assembled = assemble::assemble(inputs);
    trial::lay(inputs.job, &mut assembled);
    assembled
}

/// The job has something that lies in the photo.
fn has_anything(job: &Job) -> bool {
    !job.holes.is_empty()
        || !job.points.is_empty()
        || !job.edges.is_empty()
        || job.contours.iter().any(|contour| !contour.nodes.is_empty())
}

/// Adjusts a job, without what cannot be meant, and hands it on; `None` where there is nothing or no camera sees it all.
fn adjusted<T>(inputs: &Inputs<'_>, then: impl FnOnce(&Assembled, Option<Adjusted<'_>>) -> T) -> T {
    let assembled = assembled(inputs);
    let whole = if has_anything(inputs.job) { adjust(&assembled.problem) } else { None };
    match aside::set_aside(&assembled, whole.as_ref()) {
        Some(rest) => then(&rest, adjust(&rest.problem)),
        None => then(&assembled, whole),
    }
}

/// Computes everything that follows from a job.
pub fn solve(inputs: &Inputs<'_>) -> Solution {
    Groundwork::default().solve_again(inputs, &|_| None)
}

/// How much is asked for.
#[derive(Clone, Copy)]
enum Depth<'a> {
    /// What fits into a frame.
    InHand,
    /// Everything, with what is known already of what may have been meant with a contour.
    Whole(&'a dyn Fn(&Contour) -> Option<Vec<SuggestionFit>>),
}

/// Everything that follows from a job but its contours, of which nothing here depends on them.
fn but_contours(inputs: &Inputs<'_>, depth: Depth<'_>) -> Solution {
    adjusted(inputs, |assembled, adjusted| match adjusted {
        Some(adjusted) => with_fit(inputs, assembled, &adjusted, depth),
        None => without_fit(inputs.job, assembled),
    })
}

/// The parts of the work of [`solve_photo`].
pub const MEASURING_PARTS: usize = 3;

/// Looks for the job's rims, edges and contours in its photo, and computes everything that follows from both.
///
/// The picks say where to look and give a first camera; what is seen by it gives a better one, by which the photo is
/// looked at once more. `go_on` is asked before each of the [`MEASURING_PARTS`] of the work, and
/// oftener in the last; `None` where it says no.
pub fn solve_photo(inputs: &Inputs<'_>, picture: &Picture<'_>, go_on: &dyn Fn() -> bool) -> Option<(Seen, Solution)> {
    let camera = |seen| {
        let map = |adjusted: Adjusted<'_>| PlateMap::from_view(adjusted.view());
        adjusted(&Inputs { seen, ..*inputs }, |_, adjusted| adjusted.map(map))
    };
    let look = |map: Option<PlateMap>, known| {
        map.map_or(Some(Seen::default()), |map| seen::look(inputs.job, picture, &map, known, go_on))
    };
    let by_picks = go_on().then(|| camera(None))?;
    let rough = look(by_picks, Camera::Rough)?;
    let known = go_on().then(|| camera(Some(&rough)))?;
    let seen = unless_unseen(look(known, Camera::Known)?, by_picks.is_some(), known.is_some());
    let solution = go_on().then(|| solve(&Inputs { seen: Some(&seen), ..*inputs }))?;
    if seen.no_camera || solution.map.is_some() || by_picks.is_none() {
        return Some((seen, solution));
    }
    let seen = unless_unseen(seen, true, false);
    let solution = solve(&Inputs { seen: Some(&seen), ..*inputs });
    Some((seen, solution))
}

/// What was seen, unless no camera sees it where one sees the picks: then it serves for nothing, and says so.
fn unless_unseen(seen: Seen, picks_are_seen: bool, is_seen: bool) -> Seen {
    if picks_are_seen && !is_seen { Seen { no_camera: true, ..Seen::default() } } else { seen }
}

fn without_fit(job: &Job, assembled: &Assembled) -> Solution {
    let anything = has_anything(job);
    let findings = findings::without_fit(job, assembled, anything);
    let fit = FitSummary { termination: anything.then_some(Termination::NotSeen), ..FitSummary::default() };
    Solution { measures: readings::waiting(job), fit, findings, ..Solution::default() }
}

fn with_fit(inputs: &Inputs<'_>, assembled: &Assembled, adjusted: &Adjusted<'_>, depth: Depth<'_>) -> Solution {
    let job = inputs.job;
    let datum = datum::datum(job, assembled, adjusted);
    let map = PlateMap::from_view(adjusted.view()).with_datum(&datum);
    let results = results::Results { job, inputs, instrument: &inputs.instrument, assembled, adjusted, datum: &datum };
    let reliability = adjusted.reliability();
    let holes = results.holes();
    let mut solution = Solution {
        map: Some(map),
        contours: Vec::new(),
        points: results.points(),
        edges: results.edges(),
        measures: results.measures(&reliability),
        statements: results.statements(&reliability),
        suspects: results.suspects(&reliability),
        suspect_rims: match depth {
            Depth::InHand => Vec::new(),
            Depth::Whole(_) => results.suspect_rims(&reliability),
        },
        camera: Some(results.camera()),
        fit: results.summary(),
        bolt_up: odds::bolt_up(&results),
        face: Some(FaceMap::new(adjusted.face_uncertainty(), datum)),
        added: added::added(&results),
        measure_next: results.measure_next(NEXT_MEASURES),
        unsaid_breaks: results.unsaid_breaks(),
        trial: match depth {
            Depth::InHand => None,
            Depth::Whole(_) => cause::trial_fit(&results),
        },
        findings: Vec::new(),
        holes,
    };
    solution.findings = findings::findings(&results, &solution);
    solution
}
