//! The shapes of the results.

mod camera;
mod contours;
mod features;
mod measures;
mod trial;

pub use camera::{Ambiguity, CameraFit, FitSummary};
pub use contours::{
    AgreedFit, Change, ContourFit, EdgePlace, FairPiece, FarNode, MeasuredContour, SuggestionFit, Unseen,
};
pub use features::{AddedFit, EdgeFit, HoleFit, PointFit, SlotFit};
pub use measures::{Effect, MeasureFit, MeasureVerdict, NextMeasure, Stated, StatementFit, Suspects};
pub use trial::{Act, Cause, TrialFit, TrialVerdict};

use crate::adjust::FaceUncertainty;
use crate::camera::{PlateMap, RigidMove};
use crate::instrument::Instrument;
use crate::job::{Id, Job};
use crate::seen::Seen;
use crate::space::PlatePoint;
use crate::tolerance::K95_PLACE;
use serde::Serialize;

/// What [`super::solve`] is given.
#[derive(Debug, Clone, Copy)]
pub struct Inputs<'a> {
    /// What the person said.
    pub job: &'a Job,
    /// Focal length that the photo says of itself (35 mm equivalent by the diagonal rule), px.
    pub exif_focal_px: Option<f64>,
    /// What the next measures are to be taken with.
    pub instrument: Instrument,
    /// What the photo shows of the holes, edges and contours; without it their picks are all there is.
    pub seen: Option<&'a Seen>,
}

/// Everything that follows from a job.
#[derive(Debug, Clone, Default)]
pub struct Solution {
    /// From photo to plate and back; `None` while nothing was picked.
    pub map: Option<PlateMap>,
    /// One per hole of the job that has enough picks, in the job's order.
    pub holes: Vec<HoleFit>,
    /// One per named point of the job, in the job's order.
    pub points: Vec<PointFit>,
    /// One per straight edge of the job that has enough picks, in the job's order.
    pub edges: Vec<EdgeFit>,
    /// One per measure of the job, in the job's order.
    pub measures: Vec<MeasureFit>,
    /// What is stated about the shape, in the job's order, groups of one size last.
    pub statements: Vec<StatementFit>,
    /// Which measures, statements and trials would explain what does not fit, most suspect first.
    pub suspects: Vec<Suspects>,
    /// Holes whose rims would explain it as well, if they lay on another edge than the hole's own; the best first.
    pub suspect_rims: Vec<Id>,
    /// The camera that was found.
    pub camera: Option<CameraFit>,
    /// How it all hangs together.
    pub fit: FitSummary,
    /// The odds that the plate goes over its fasteners; `None` where no fastener is said, or nothing is known yet.
    pub bolt_up: Option<BoltUp>,
    /// How far off a hole could be anywhere on the face.
    pub face: Option<FaceMap>,
    /// One per contour of the job, in the job's order.
    pub contours: Vec<ContourFit>,
    /// Every hole and slot that is added and has a place, in the job's order.
    pub added: Vec<AddedFit>,
    /// The measures worth taking next, best first.
    pub measure_next: Vec<NextMeasure>,
    /// Holes whose edge looks broken in the photo although the job does not say so, in the job's order.
    pub unsaid_breaks: Vec<Id>,
    /// What a trial fit comes to; `None` where nothing was tried, and while something is in hand.
    pub trial: Option<TrialFit>,
    /// What the person should know, most pressing first.
    pub findings: Vec<Finding>,
}

impl Solution {
    /// What was picked and what was measured fit together as a whole; where they do not, no ± and no odds hold.
    pub fn fits_together(&self) -> bool {
        !self.findings.iter().any(|finding| finding.kind.is_of_the_fit())
    }
}

/// A place's uncertainty: the 1-sigma ellipse after the best rigid move over all kept features.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Ellipse {
    /// Larger semi-axis, mm (1 sigma).
    pub major_mm: f64,
    /// Smaller semi-axis, mm (1 sigma).
    pub minor_mm: f64,
    /// Direction of the larger axis in the datum's frame, radians from x towards y.
    pub major_angle_rad: f64,
}

/// The odds that the plate goes over its fasteners.
#[derive(Debug, Clone, PartialEq)]
pub struct BoltUp {
    /// The share of draws in which it goes on, 0 to 1.
    pub odds: f64,
    /// Standard error of the share.
    pub standard_error: f64,
    /// The hole whose fastener stands in the way most often; where none does, the one with the least room.
    pub worst: Option<Id>,
    /// One per kept hole with a fastener, in the job's order.
    pub holes: Vec<BoltUpHole>,
    /// How far off the cutter was taken to be, ± 95 %, mm.
    pub cutting_mm: f64,
}

impl BoltUp {
    /// The odds in words, `97 times in 100`. Never 100 in 100: odds are not certainty.
    pub fn times(&self) -> String {
        match ((self.odds * 100.0).round(), (self.odds * 1000.0).floor()) {
            (_, thousand) if thousand >= 999.0 => "999 times in 1000 or better".to_owned(),
            (hundred, thousand) if hundred >= 100.0 => format!("{thousand:.0} times in 1000"),
            (1.0, _) => "once in 100".to_owned(),
            (hundred, _) if hundred >= 1.0 => format!("{hundred:.0} times in 100"),
            _ => "less than once in 100".to_owned(),
        }
    }
}

/// A hole and its fastener.
#[derive(Debug, Clone, PartialEq)]
pub struct BoltUpHole {
    /// The hole.
    pub id: Id,
    /// How far the fastener may lie off the middle of the finished hole, mm; less than 0 where it does not go in.
    pub play_mm: f64,
    /// The share of the failing draws in which it stands in the way, 0 to 1.
    pub in_the_way: f64,
}

/// How far off a hole could be anywhere on the face.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceMap {
    uncertainty: FaceUncertainty,
    datum: RigidMove,
}

impl FaceMap {
    pub(super) fn new(uncertainty: FaceUncertainty, datum: RigidMove) -> Self {
        Self { uncertainty, datum }
    }

    /// Larger axis of the 95 % ellipse of a hole at `place` (in the datum's frame) that was picked as the others were,
    /// mm; `None` where the camera does not see it.
    pub fn plus_minus_mm(&self, place: PlatePoint) -> Option<f64> {
        Some(self.uncertainty.at(self.datum.undo(place))?.major_mm() * K95_PLACE)
    }
}

/// Something the person should know.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// How much it matters.
    pub weight: Weight,
    /// What sort of thing it says.
    pub kind: FindingKind,
    /// What it is about, for the window to show; `None` for the whole job.
    pub about: Option<Id>,
    /// What else it is about, where it tells of several alike, in the job's order.
    pub others: Vec<Id>,
    /// One sentence, then the way out.
    pub text: String,
}

impl Finding {
    /// A finding about one thing, or about the whole job.
    pub fn new(weight: Weight, about: Option<Id>, text: String) -> Self {
        Self { weight, kind: FindingKind::General, about, others: Vec::new(), text }
    }

    /// The same, of a sort that has a way out of its own.
    #[must_use]
    pub fn of_kind(self, kind: FindingKind) -> Self {
        Self { kind, ..self }
    }

    /// All that it is about.
    pub fn all_about(&self) -> impl Iterator<Item = &Id> {
        self.about.iter().chain(&self.others)
    }
}

/// What sort of thing a finding says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FindingKind {
    /// Anything that its text says in full.
    General,
    /// The size of the part is not known.
    UnknownSize,
    /// Two positions of the camera fit.
    UnsettledTilt,
    /// What was picked and what was measured do not fit together as a whole.
    DoubtedFit,
    /// The fit bends measured rims off what the photo shows of them.
    BentRims,
    /// What explains a trial fit.
    TrialCause,
    /// Edges look broken although the job does not say so.
    BrokenEdges,
    /// Rims or edges in the photo are not to be trusted, or not all the way.
    DoubtedEdges,
}

impl FindingKind {
    /// It says that the fit as a whole does not hold.
    pub(super) fn is_of_the_fit(self) -> bool {
        matches!(self, Self::DoubtedFit | Self::BentRims)
    }
}

/// How much a finding matters; the order is that of urgency.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Weight {
    /// Something contradicts something.
    Disagrees,
    /// Something is not known.
    NotKnown,
    /// Something to bear in mind.
    Caution,
}
