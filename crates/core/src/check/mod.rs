//! What must hold before anything is cut.
//!
//! ## Invariants
//! - One rule per file, all of them in `RULES`, in the order in which they are shown.
//! - A rule gives one check for each thing that is wrong, naming it, or a single one that says that all is well or that
//!   it cannot tell. It never says less than it knows: what was not looked at is not passed.

mod closed;
mod holes_apart;
mod holes_found;
mod holes_inside;
mod kerf;
mod land;
mod measures_agree;
mod no_crossing;
mod on_edge;
mod one_outline;
mod size_known;
mod tilt_settled;

use crate::export::{CutContour, CutDrawing};
use crate::job::{Id, Job, Role};
use crate::solution::{ContourFit, Solution};
use serde::Serialize;

/// What a rule found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Check {
    /// The rule's name, as it stands on the sheet.
    pub name: &'static str,
    /// What it found.
    pub verdict: Verdict,
    /// One sentence; where something is wrong, then the way out.
    pub text: String,
    /// What it is about, for the window to show; `None` for the whole job.
    pub about: Option<Id>,
}

/// What a rule found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// All is well.
    Pass,
    /// Something to bear in mind.
    Warn,
    /// It must not be cut like this.
    Fail,
    /// There is nothing to judge by.
    CannotTell,
}

impl Verdict {
    /// What was found, in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Pass => "Holds",
            Self::Warn => "Bear in mind",
            Self::Fail => "Fails",
            Self::CannotTell => "Cannot tell",
        }
    }
}

/// What is judged.
#[derive(Debug, Clone, Copy)]
struct Case<'a> {
    job: &'a Job,
    solution: &'a Solution,
    /// What is cut, seen as in the photo: places in sentences are those on screen.
    cut: &'a CutDrawing,
}

/// Judges a job by one rule.
type Rule = fn(Case<'_>) -> Vec<Check>;

/// All rules, in the order in which they are shown.
const RULES: [Rule; 12] = [
    one_outline::check,
    closed::check,
    no_crossing::check,
    on_edge::check,
    land::check,
    holes_found::check,
    holes_inside::check,
    holes_apart::check,
    size_known::check,
    tilt_settled::check,
    measures_agree::check,
    kerf::check,
];

/// What all rules say of a job.
pub fn all(job: &Job, solution: &Solution) -> Vec<Check> {
    all_of(job, solution, &CutDrawing::as_seen(job, solution))
}

/// The same where what is cut, seen as in the photo, is at hand.
pub fn all_of(job: &Job, solution: &Solution, cut: &CutDrawing) -> Vec<Check> {
    RULES.iter().flat_map(|rule| rule(Case { job, solution, cut })).collect()
}

/// Nothing fails: the cut file may be written.
pub fn may_cut(checks: &[Check]) -> bool {
    checks.iter().all(|check| check.verdict != Verdict::Fail)
}

impl Check {
    fn of(name: &'static str, verdict: Verdict, text: impl Into<String>) -> Self {
        Self { name, verdict, text: text.into(), about: None }
    }

    fn about(self, id: &Id) -> Self {
        Self { about: Some(id.clone()), ..self }
    }
}

/// What is wrong, or else the one check that says that nothing is.
fn found_or(found: Vec<Check>, otherwise: impl FnOnce() -> Check) -> Vec<Check> {
    if found.is_empty() { vec![otherwise()] } else { found }
}

/// How a contour is named at the start of a sentence.
fn contour_name(fit: &ContourFit) -> String {
    match fit.role {
        Role::Outer => "The outline".to_owned(),
        Role::Opening => format!("Opening {}", fit.id),
    }
}

/// A number of things with their name, `1 hole` or `3 holes`.
fn count(n: usize, one: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") }
}

/// The closed openings, slots among them.
fn openings(cut: &CutDrawing) -> impl Iterator<Item = &CutContour> {
    cut.openings.iter().filter(|opening| opening.contour.closed)
}

#[cfg(test)]
mod design_tests;
#[cfg(test)]
mod tests;
