//! What was tried on the part, and what that showed hole by hole.

use super::model::Id;
use crate::space::PlatePoint;
use serde::{Deserialize, Serialize};

/// What a trial fit showed at one hole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Trial {
    /// Its id.
    pub id: Id,
    /// The hole.
    pub hole: Id,
    /// Which of the plates that were tried one after the other, from 1. Each lay on the part in its own way.
    #[serde(default = "first", skip_serializing_if = "is_first")]
    pub round: u32,
    /// What happened.
    pub outcome: Outcome,
    /// The way in which the plate has to move, degrees from x towards y.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub towards_deg: Option<f64>,
    /// How far, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mm: Option<f64>,
    /// Where the trial plate had the hole, mm from the datum; left out: where the job puts it without this round and later
    /// ones. In the last round as it was drawn, to be stretched as [`Tried`] says; in earlier ones as large as it was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_mm: Option<PlatePoint>,
}

const fn first() -> u32 {
    1
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands over a reference")]
const fn is_first(round: &u32) -> bool {
    *round == first()
}

/// What happened at a hole in a trial fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// It went on.
    WentOn,
    /// It touched on one side.
    Touched,
    /// It could not be brought over; nobody could tell how far it was off, and mostly not which way.
    WouldNotGo,
    /// It was not tried.
    NotTried,
}

/// What the last round of trials was made with.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tried {
    /// What it was.
    pub on: TriedOn,
    /// The check bar across the print: what it should be and what it reads, mm. It lies along x.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bar_across_mm: Option<[f64; 2]>,
    /// The check bar up the print: what it should be and what it reads, mm. It lies along y.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bar_up_mm: Option<[f64; 2]>,
    /// Its number among the proofs that were written on this machine: bars that are read later are known to be its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub print: Option<u32>,
}

impl Tried {
    /// The check bars along x and along y, as far as they were measured: what each should be and what it reads, mm.
    pub fn bars(&self) -> [Option<[f64; 2]>; 2] {
        [self.bar_across_mm, self.bar_up_mm]
    }

    /// How much longer it came out than it should, along x and along y; 1 where nobody measured that, or nothing was printed.
    pub fn stretch(&self) -> [f64; 2] {
        let bars = if self.on.is_printed() { self.bars() } else { [None; 2] };
        bars.map(|bar| bar.map_or(1.0, |[should_be, reads]| reads / should_be))
    }
}

/// What a plate that is tried on can be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TriedOn {
    /// The proof on paper or card.
    #[default]
    Paper,
    /// A plate printed in plastic.
    PrintedPlate,
    /// A plate that was cut.
    CutPlate,
}

impl TriedOn {
    /// All of them, in the order of the screen.
    pub const ALL: [Self; 3] = [Self::Paper, Self::PrintedPlate, Self::CutPlate];

    /// A printer made it, which may stretch one way more than the other.
    pub fn is_printed(self) -> bool {
        self != Self::CutPlate
    }
}
