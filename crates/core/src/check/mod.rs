//! What must hold before anything is cut.

use crate::job::{Id, Job};
use crate::solution::Solution;
use serde::Serialize;

/// What a check found.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// Its name.
    pub name: &'static str,
    /// What it found.
    pub verdict: Verdict,
    /// One sentence.
    pub text: String,
    /// Where.
    pub about: Option<Id>,
}

/// What a check found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// It holds.
    Pass,
    /// It holds, with something to bear in mind.
    Warn,
    /// It does not hold.
    Fail,
    /// Nobody can tell from here.
    CannotTell,
}

/// All checks.
pub fn all(_job: &Job, _solution: &Solution) -> Vec<Check> {
    Vec::new()
}
