//! What must hold before anything is cut.
//!
//! ## Invariants
//! - One rule per file, all of them in `RULES`, in the order in which they are shown.
//! - A rule gives one check for each thing that is wrong, naming it, or a single one that says that all is well or that
//!   it cannot tell. It never says less than it knows: what was not looked at is not passed.

mod bolt_up;
mod closed;
mod copies_apart;
mod corners;
mod doubled;
mod edge_distance;
mod gasket;
mod holes_apart;
mod holes_found;
mod holes_inside;
mod kerf;
mod land;
mod measures_agree;
mod no_crossing;
mod on_edge;
mod one_outline;
mod photo;
mod room;
mod size_checked;
mod size_known;
mod size_meant;
mod small_holes;
mod tilt_settled;
mod trial;
mod wall;
mod walls;
mod within_sheet;

use crate::export::{CutContour, CutDrawing};
use crate::job::{Id, Job, Role, SheetMaterial, count};
use crate::solution::{ContourFit, Solution, fastener};
use crate::space::PlatePoint;
use crate::standards::Fastener;
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
    /// Where it is, in the datum's frame and seen as in the photo, the worst place first; empty where it is nowhere on the
    /// part, or all over what it is about.
    pub places: Vec<PlatePoint>,
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

/// All rules, in the order in which they are shown: the outline, the holes, what is left between them, the sheet and the
/// cutter, and then how far all of it can be trusted.
const RULES: [Rule; 26] = [
    one_outline::check,
    closed::check,
    no_crossing::check,
    doubled::check,
    on_edge::check,
    land::check,
    holes_found::check,
    holes_inside::check,
    holes_apart::check,
    edge_distance::check,
    walls::check,
    gasket::check,
    small_holes::check,
    corners::check,
    kerf::check,
    copies_apart::check,
    within_sheet::check,
    size_meant::check,
    size_known::check,
    size_checked::check,
    tilt_settled::check,
    measures_agree::check,
    photo::check,
    room::check,
    bolt_up::check,
    trial::check,
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
        Self { name, verdict, text: text.into(), about: None, places: Vec::new() }
    }

    fn about(self, id: &Id) -> Self {
        Self { about: Some(id.clone()), ..self }
    }

    fn at(self, places: impl IntoIterator<Item = PlatePoint>) -> Self {
        Self { places: places.into_iter().filter(|place| place.is_finite()).collect(), ..self }
    }
}

impl Case<'_> {
    /// Thickness of the sheet, mm, where it is said.
    fn thickness_mm(&self) -> Option<f64> {
        self.job.stock.and_then(|stock| stock.thickness_mm)
    }

    /// What the sheet is of, where it is said.
    fn material(&self) -> Option<SheetMaterial> {
        self.job.stock.and_then(|stock| stock.material)
    }

    /// The fastener that goes through a hole or is screwed into it, by the id of what is cut; `None` where none is said, or
    /// one that the standards do not hold.
    fn fastener(&self, id: &Id) -> Option<Fastener> {
        if let Some(hole) = self.job.hole(id) {
            return fastener(self.job, hole);
        }
        let added = self.job.added(id)?;
        let of_group = || self.job.group(added.group.as_ref()?)?.fastener.as_deref();
        Fastener::parse(added.tapped.as_deref().or_else(of_group)?)
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

/// How many more are alike, as a sentence with a space before it: `and_more(2, "too thin")` is ` 2 more are too thin.`
fn and_more(n: usize, what: &str) -> String {
    match n {
        0 => String::new(),
        1 => format!(" One more is {what}."),
        n => format!(" {n} more are {what}."),
    }
}

/// The closed openings, slots among them.
fn openings(cut: &CutDrawing) -> impl Iterator<Item = &CutContour> {
    cut.openings.iter().filter(|opening| opening.contour.closed)
}

#[cfg(test)]
mod design_tests;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod trade_tests;
#[cfg(test)]
mod trust_tests;
#[cfg(test)]
mod verdict_tests;
