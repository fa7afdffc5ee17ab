//! What a trial fit comes to, and what explains it.

use super::measures::NextMeasure;
use crate::job::Id;
use crate::space::PlateVec;
use serde::Serialize;

/// What a trial fit comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct TrialFit {
    /// In a word.
    pub verdict: TrialVerdict,
    /// What explains it, the likeliest first; the others explain it equally well.
    pub causes: Vec<Cause>,
    /// Even the first does not explain all of it: more than one thing is off.
    pub leaves_more: bool,
    /// What to do next.
    pub act: Option<Act>,
    /// How it stands, in a sentence.
    pub sentence: String,
    /// What else explains it and what to do next, in sentences; may be empty.
    pub explanation: String,
}

impl TrialFit {
    /// It contradicts the job.
    pub fn is_off(&self) -> bool {
        matches!(self.verdict, TrialVerdict::Explained | TrialVerdict::Unexplained)
    }

    /// The first measure or hole that explains it.
    pub fn about(&self) -> Option<&Id> {
        self.causes.iter().find_map(|cause| match cause {
            Cause::Measure { id, .. } | Cause::Hole { id, .. } => Some(id),
            Cause::Whole { .. } | Cause::Print { .. } | Cause::Tilt { .. } => None,
        })
    }

    /// All that is said, as one text.
    pub fn text(&self) -> String {
        [self.sentence.as_str(), self.explanation.as_str()].join(" ").trim_end().to_owned()
    }
}

/// What a trial fit comes to, in a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TrialVerdict {
    /// Too little was said to tell anything of the cause: too few holes, or not which side of them touched.
    TooFew,
    /// It is within what was known and the play: nothing need be wrong.
    Agrees,
    /// One cause explains it.
    Explained,
    /// It does not agree, and no single cause explains it.
    Unexplained,
}

/// One thing that, if it were wrong, would explain a trial. A size is `None` where only its least is known, since nobody
/// could tell which side touched.
#[derive(Debug, Clone, PartialEq)]
pub enum Cause {
    /// All sizes are out by one share: how much the plate is too small (+) or too large (-).
    Whole {
        /// The share.
        small: Option<f64>,
    },
    /// The print came out of scale: how much it is too small along x and along y.
    Print {
        /// The share along x; `None` as well where its check bar rules it out.
        small_across: Option<f64>,
        /// The same along y.
        small_up: Option<f64>,
    },
    /// The camera was tilted otherwise.
    Tilt {
        /// By how much, degrees.
        off_deg: Option<f64>,
    },
    /// A measure was misread.
    Measure {
        /// The measure.
        id: Id,
        /// How much it reads too long (+) or too short (-), mm.
        long_mm: Option<f64>,
    },
    /// One hole is out of its place, or what it goes over is.
    Hole {
        /// The hole.
        id: Id,
        /// Where the plate has it, from where it should be, mm in the datum's frame.
        sits: Option<PlateVec>,
        /// It is out by this at least, mm.
        at_least_mm: f64,
    },
}

/// What to do about a trial.
#[derive(Debug, Clone, PartialEq)]
pub enum Act {
    /// Measure the check bars of the print.
    MeasureBars,
    /// Check what the measures were taken with against another.
    CheckInstrument,
    /// Measure this one again.
    MeasureAgain(Id),
    /// Take a further measure.
    Measure(NextMeasure),
    /// Look at the rim of this hole, and at what it goes over.
    LookAt(Id),
    /// Look which side of these holes touches.
    SeeWhichSide(Vec<Id>),
    /// Try the plate on these holes as well.
    TryAlso(Vec<Id>),
}
