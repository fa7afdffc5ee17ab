//! The shapes of the results.

use crate::camera::PlateMap;
use crate::geom::{Contour as CutContour, Crossing, Gap};
use crate::job::{Id, Job, MeasureKind, Role};
use crate::space::{PhotoPoint, PlatePoint};
use serde::Serialize;

/// What [`super::solve`] is given.
#[derive(Debug, Clone, Copy)]
pub struct Inputs<'a> {
    /// What the person said.
    pub job: &'a Job,
    /// Focal length that the photo says of itself (35 mm equivalent by the diagonal rule), px.
    pub exif_focal_px: Option<f64>,
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
    /// One per measure of the job, in the job's order.
    pub measures: Vec<MeasureFit>,
    /// The camera that was found.
    pub camera: Option<CameraFit>,
    /// How it all hangs together.
    pub fit: FitSummary,
    /// One per contour of the job, in the job's order.
    pub contours: Vec<ContourFit>,
    /// The measures worth taking next, best first.
    pub measure_next: Vec<NextMeasure>,
    /// What the person should know, most pressing first.
    pub findings: Vec<Finding>,
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

/// A hole as found.
#[derive(Debug, Clone, PartialEq)]
pub struct HoleFit {
    /// Its id in the job.
    pub id: Id,
    /// Its centre.
    pub centre: PlatePoint,
    /// Diameter of the rim that is seen, mm.
    pub rim_diameter_mm: f64,
    /// Diameter of the bore that jaws touch, mm; the rim's where the edge is not broken.
    pub bore_diameter_mm: f64,
    /// Standard deviation of the bore's diameter, mm.
    pub diameter_sigma_mm: f64,
    /// How well its place is known.
    pub ellipse: Ellipse,
    /// Points of the rim that were used (picks and measured points).
    pub rim_points: usize,
    /// Root mean square of their distances from the fitted rim, px.
    pub rim_rms_px: f64,
}

impl HoleFit {
    /// Larger axis of the 1-sigma ellipse, mm.
    pub fn sigma_mm(&self) -> f64 {
        self.ellipse.major_mm
    }

    /// How far off its place can be: larger axis of the 95 % ellipse, mm.
    pub fn plus_minus_mm(&self) -> f64 {
        self.ellipse.major_mm * crate::tolerance::K95_PLACE
    }
}

/// A named point as found.
#[derive(Debug, Clone, PartialEq)]
pub struct PointFit {
    /// Its id in the job.
    pub id: Id,
    /// Where it is.
    pub at: PlatePoint,
    /// How well its place is known.
    pub ellipse: Ellipse,
}

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
    /// What to think of it.
    pub verdict: MeasureVerdict,
}

impl MeasureFit {
    /// How much the reading is too long, mm (fitted - measured has the other sign).
    pub fn off_mm(&self) -> f64 {
        self.measured_mm - self.fitted_mm
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

/// The camera as found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CameraFit {
    /// Focal length, px, and its standard deviation.
    pub focal_px: (f64, f64),
    /// Angle between the optical axis and the face's normal, degrees, and its standard deviation.
    pub tilt_deg: (f64, f64),
    /// From the projection centre to the face along the optical axis, mm, and its standard deviation.
    pub distance_mm: (f64, f64),
    /// Principal point, px.
    pub principal_px: PhotoPoint,
    /// First radial term, and its standard deviation.
    pub k1: (f64, f64),
    /// Second radial term, and its standard deviation.
    pub k2: (f64, f64),
    /// First tangential term, and its standard deviation.
    pub p1: (f64, f64),
    /// Second tangential term, and its standard deviation.
    pub p2: (f64, f64),
    /// Scale where the optical axis meets the face, px per mm.
    pub px_per_mm: f64,
}

/// How it all hangs together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FitSummary {
    /// Observations and beliefs less unknowns.
    pub dof: usize,
    /// Weighted square sum of the misfits over `dof`; `None` without redundancy.
    pub variance_factor: Option<f64>,
    /// Chance of a larger square sum if every stated sigma is right; `None` without redundancy.
    pub p_value: Option<f64>,
    /// The largest `sigma_mm` of the kept holes; `None` where there is none.
    pub worst_sigma_mm: Option<f64>,
    /// The hole that has it.
    pub worst_hole: Option<Id>,
    /// Relative standard deviation of the scale.
    pub scale_sigma: Option<f64>,
    /// Another camera position fits nearly as well and puts this hole elsewhere.
    pub ambiguous: Option<Ambiguity>,
    /// How the adjustment ended; `None` where there is nothing to adjust.
    pub termination: Option<crate::adjust::Termination>,
}

impl FitSummary {
    /// The size of things is known well enough to show figures in mm.
    pub fn scale_known(&self) -> bool {
        self.scale_sigma.is_some_and(|sigma| sigma < crate::tolerance::SCALE_NOT_KNOWN)
    }
}

/// Two camera positions fit.
#[derive(Debug, Clone, PartialEq)]
pub struct Ambiguity {
    /// The hole that moves most between them.
    pub hole: Id,
    /// By how much, mm.
    pub moves_mm: f64,
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

/// A contour as lines and arcs.
#[derive(Debug, Clone, PartialEq)]
pub struct ContourFit {
    /// Its id in the job.
    pub id: Id,
    /// What it goes round.
    pub role: Role,
    /// Where its nodes lie on the plate, in the job's order; a node that the map does not reach is left out.
    pub nodes: Vec<PlatePoint>,
    /// Lines and arcs, in order and oriented: an outline counter-clockwise, an opening clockwise, once it is closed.
    pub cut: CutContour,
    /// For each node of the job: the place on the plate, sampled, of the piece that starts there, for drawing.
    pub pieces: Vec<Vec<PlatePoint>>,
    /// Where it is open.
    pub gaps: Vec<Gap>,
    /// Where it crosses or touches itself; pieces are named by the nodes of the job at which they start.
    pub crossings: Vec<Crossing>,
    /// Length, mm.
    pub length_mm: f64,
    /// Area inside, mm²; `None` while it is open.
    pub area_mm2: Option<f64>,
    /// The largest distance between the lines and arcs and the curves that they stand for, mm.
    pub chord_mm: f64,
}

/// Something the person should know.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// How much it matters.
    pub weight: Weight,
    /// What it is about, for the window to show; `None` for the whole job.
    pub about: Option<Id>,
    /// One sentence, then the way out.
    pub text: String,
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
