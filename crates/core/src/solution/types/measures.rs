//! Measures and statements beside what the fit makes of them, and the measures worth taking next.

use super::super::slip::Slip;
use crate::job::{Id, Job, MeasureKind};
use serde::Serialize;

/// A measure beside what the fit makes of it.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasureFit {
    /// Its id in the job.
    pub id: Id,
    /// The reading, mm.
    pub measured_mm: f64,
    /// What the fit makes of the same length, mm; the reading itself while the measure waits.
    pub fitted_mm: f64,
    /// Standard deviation of the reading, mm.
    pub sigma_mm: f64,
    /// Redundancy number 0..1: how much the others check it; for one that does not count, how much they would.
    pub redundancy: f64,
    /// Standardised misfit, positive where the reading is too long; `None` where nothing checks the measure.
    pub w: Option<f64>,
    /// The smallest misreading that would be noticed, mm; `None` where none would.
    pub noticed_mm: Option<f64>,
    /// What a misreading just too small to be noticed does to the kept hole that it moves most.
    pub noticed_effect: Option<Effect>,
    /// What the others make of the same length, mm; `None` where nothing checks the measure.
    pub by_others_mm: Option<f64>,
    /// The likely slip, where the others contradict the measure.
    pub slip: Option<Slip>,
    /// What to think of it.
    pub verdict: MeasureVerdict,
}

impl MeasureFit {
    /// How much the reading is too long, mm (fitted - measured has the other sign).
    pub fn off_mm(&self) -> f64 {
        self.measured_mm - self.fitted_mm
    }

    /// How much the reading is too long by what the others say, mm: what the person would find by measuring again. A
    /// misreading bends the fit towards itself, so that [`Self::off_mm`] shows only a part of it.
    pub fn misread_mm(&self) -> f64 {
        self.measured_mm - self.by_others_mm.unwrap_or(self.fitted_mm)
    }
}

/// What to think of a measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum MeasureVerdict {
    /// The others bear it out.
    Agrees,
    /// The others contradict it.
    Disagrees,
    /// Nothing checks it.
    Unchecked,
    /// The person left it out.
    LeftOut,
    /// One of its features has too few picks, or its kind is not one that is computed.
    Waits,
}

impl MeasureVerdict {
    /// What to think of it, in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Agrees => "agrees",
            Self::Disagrees => "disagrees",
            Self::Unchecked => "nothing checks it",
            Self::LeftOut => "left out",
            Self::Waits => "waits for picks",
        }
    }
}

/// What a misreading does to a hole.
#[derive(Debug, Clone, PartialEq)]
pub struct Effect {
    /// The hole.
    pub hole: Id,
    /// How far it moves, mm.
    pub mm: f64,
}

/// What a statement says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stated {
    /// A hole is of one size with the others of its group.
    SameSize,
    /// Two edges are square.
    Square,
    /// A point lies on an edge.
    OnEdge,
}

/// A statement about the shape beside what the fit makes of it; a statement about several features has one for each.
#[derive(Debug, Clone, PartialEq)]
pub struct StatementFit {
    /// The statement, or the group whose holes are of one size.
    pub id: Id,
    /// What it says.
    pub stated: Stated,
    /// Of which features: the hole; the two edges; the edge and the point.
    pub about: Vec<Id>,
    /// How much it is off, mm: diameter less the common one; over a blade of 100 mm; beside the edge. By the rest alone
    /// where they contradict it.
    pub off_mm: f64,
    /// How far off it may be, mm (1 sigma).
    pub sigma_mm: f64,
    /// Redundancy number 0..1: how much the rest checks it.
    pub redundancy: f64,
    /// Standardised misfit; `None` where nothing checks it.
    pub w: Option<f64>,
    /// What to think of it.
    pub verdict: MeasureVerdict,
}

/// Measures, statements and trials any one of which explains a misfit; one alone where nothing else does.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspects {
    /// Ids of measures, statements, groups or trials, the most suspect first.
    pub ids: Vec<Id>,
    /// The measure that would tell them apart.
    pub tell_apart: Option<NextMeasure>,
}

/// A measure that would help.
#[derive(Debug, Clone, PartialEq)]
pub struct NextMeasure {
    /// What to hold where.
    pub kind: MeasureKind,
    /// Between which features.
    pub between: Vec<Id>,
    /// What it would read by the present fit, mm.
    pub expected_mm: f64,
    /// Worst `sigma_mm` of the kept holes now, mm.
    pub worst_sigma_before_mm: f64,
    /// The same with this measure taken, mm.
    pub worst_sigma_after_mm: f64,
}

impl NextMeasure {
    /// What to measure, as a call without its full stop: `Measure H2 to H7`, `Measure across H3`. Where another kind was
    /// measured between the same two, the kind as well: `Measure the near rims of H2 and H7`.
    pub fn call(&self, job: &Job) -> String {
        let names: Vec<&str> = self.between.iter().map(|id| job.feature_name(id)).collect();
        let is_same_pair = |between: &[Id]| between.len() == 2 && self.between.iter().all(|id| between.contains(id));
        let measured = || job.measures.iter().any(|measure| is_same_pair(&measure.between));
        match (self.kind, names.as_slice()) {
            (MeasureKind::Diameter, _) => format!("Measure across {}", names.join(" to ")),
            (MeasureKind::FarRims | MeasureKind::NearRims, [a, b]) if measured() => {
                format!("Measure the {} of {a} and {b}", self.kind.words())
            }
            _ => format!("Measure {}", names.join(" to ")),
        }
    }
}
