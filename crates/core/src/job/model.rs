//! The job as it stands in its file: one struct per JSON object, keys as in the file.

use super::contours::Contour;
use super::stock::{Duty, Stock};
use super::trial::{Trial, Tried};
use super::{Added, Design};
use crate::space::PhotoPoint;
use serde::{Deserialize, Serialize};
use std::fmt;

/// The name by which parts of a job refer to each other; unique in the whole job.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Id(pub String);

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl From<&str> for Id {
    fn from(text: &str) -> Self {
        Self(text.to_owned())
    }
}

/// One part to be made, from one photo.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Job {
    /// Always `platewright-job`.
    pub format: String,
    /// Version of the file's layout.
    pub version: u32,
    /// The part's name.
    #[serde(default)]
    pub title: String,
    /// The photo that everything was picked on.
    pub photo: Photo,
    /// Round holes.
    #[serde(default)]
    pub holes: Vec<Hole>,
    /// Named points of the face, corners for instance.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<NamedPoint>,
    /// Straight sides of the face.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub edges: Vec<StraightEdge>,
    /// What was measured by hand.
    #[serde(default)]
    pub measures: Vec<Measure>,
    /// What is said about the shape.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub statements: Vec<Statement>,
    /// Holes that get one finished size.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub groups: Vec<Group>,
    /// The outline and the openings.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub contours: Vec<Contour>,
    /// What is cut although it is not on the photo.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub added: Vec<Added>,
    /// What is done to the whole part before it is cut.
    #[serde(default, skip_serializing_if = "Design::is_as_seen")]
    pub design: Design,
    /// Where plate coordinates start and which way x runs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub datum: Option<Datum>,
    /// The sheet and the cutter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stock: Option<Stock>,
    /// What the part is to hold back or keep people from.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub duties: Vec<Duty>,
    /// What a trial fit was made with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tried: Option<Tried>,
    /// What a trial fit showed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub trials: Vec<Trial>,
}

/// The photo, and what is believed about how it was taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Photo {
    /// Where the photo is, relative to the job file, or absolute.
    pub file: String,
    /// SHA-256 of the photo's bytes, 64 lower-case hex digits.
    pub sha256: String,
    /// Width and height after the EXIF orientation is applied, px.
    pub size: [u32; 2],
    /// How square to the face the camera was held.
    #[serde(default)]
    pub held: Held,
    /// Belief about the focal length; left out: what the photo's EXIF says, else a broad guess.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub focal_px: Option<Belief>,
    /// Beliefs about the lens other than the usual ones.
    #[serde(default, skip_serializing_if = "LensBeliefs::is_usual")]
    pub lens: LensBeliefs,
}

/// How square to the face the camera was held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Held {
    /// Square by eye: 5 degrees.
    #[default]
    ByEye,
    /// With a level: 1 degree.
    Levelled,
    /// Nobody knows: 15 degrees.
    Unknown,
}

impl Held {
    /// How far the camera may have been tilted either way, degrees (1 sigma). Common practice, no source.
    pub fn tilt_sigma_deg(self) -> f64 {
        match self {
            Self::ByEye => 5.0,
            Self::Levelled => 1.0,
            Self::Unknown => 15.0,
        }
    }
}

/// A value believed before anything was measured, with its standard deviation.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Belief {
    /// The value.
    pub value: f64,
    /// Its standard deviation, greater than zero.
    pub sigma: f64,
}

/// Beliefs about the lens that replace the usual ones; `None` keeps the usual one.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LensBeliefs {
    /// Principal point along x, px.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cx: Option<Belief>,
    /// Principal point along y, px.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cy: Option<Belief>,
    /// First radial term.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub k1: Option<Belief>,
    /// Second radial term.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub k2: Option<Belief>,
    /// First tangential term.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub p1: Option<Belief>,
    /// Second tangential term.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub p2: Option<Belief>,
}

/// A term of the lens.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LensTerm {
    /// Principal point along x, px.
    Cx,
    /// Principal point along y, px.
    Cy,
    /// First radial term.
    K1,
    /// Second radial term.
    K2,
    /// First tangential term.
    P1,
    /// Second tangential term.
    P2,
}

impl LensTerm {
    /// All of them, in the order of the file.
    pub const ALL: [Self; 6] = [Self::Cx, Self::Cy, Self::K1, Self::K2, Self::P1, Self::P2];
}

impl LensBeliefs {
    /// What was said of a term; `None` keeps the usual belief.
    pub fn term(&self, term: LensTerm) -> Option<Belief> {
        match term {
            LensTerm::Cx => self.cx,
            LensTerm::Cy => self.cy,
            LensTerm::K1 => self.k1,
            LensTerm::K2 => self.k2,
            LensTerm::P1 => self.p1,
            LensTerm::P2 => self.p2,
        }
    }

    /// The same with another belief about one term.
    #[must_use]
    pub fn with_term(mut self, term: LensTerm, belief: Option<Belief>) -> Self {
        let old = match term {
            LensTerm::Cx => &mut self.cx,
            LensTerm::Cy => &mut self.cy,
            LensTerm::K1 => &mut self.k1,
            LensTerm::K2 => &mut self.k2,
            LensTerm::P1 => &mut self.p1,
            LensTerm::P2 => &mut self.p2,
        };
        *old = belief;
        self
    }

    /// Nothing replaces the usual beliefs.
    pub fn is_usual(&self) -> bool {
        *self == Self::default()
    }
}

pub(super) fn yes() -> bool {
    true
}

pub(super) fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference to skip_serializing_if")]
pub(super) fn is_true(value: &bool) -> bool {
    *value
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference to skip_serializing_if")]
pub(super) fn is_false(value: &bool) -> bool {
    !*value
}

/// A round hole, known by picks on its rim.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hole {
    /// Its id.
    pub id: Id,
    /// Its name on screen, `H1`.
    pub name: String,
    /// Picks on the rim; three or more make a hole, fewer are kept and said to be too few.
    pub rim: Vec<PhotoPoint>,
    /// How well the picks were placed, px (1 sigma); left out: [`crate::tolerance::CLICK_SIGMA_PX`].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sigma_px: Option<f64>,
    /// The rim is to be measured in the picture, not only picked.
    #[serde(default = "yes")]
    pub measure_rim: bool,
    /// The group that gives its finished size; holes of one group share the width of a broken edge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub group: Option<Id>,
    /// The edge is broken: the rim that is seen is wider than the bore that the jaws touch.
    #[serde(default, skip_serializing_if = "is_false")]
    pub edge_break: bool,
    /// The finished part has it.
    #[serde(default = "yes", skip_serializing_if = "is_true")]
    pub keep: bool,
}

/// A named point of the face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NamedPoint {
    /// Its id.
    pub id: Id,
    /// Its name on screen, `P1`.
    pub name: String,
    /// Where it was picked.
    pub at: PhotoPoint,
    /// How well the pick was placed, px (1 sigma); left out: [`crate::tolerance::CLICK_SIGMA_PX`].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sigma_px: Option<f64>,
}

/// A straight side of the face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StraightEdge {
    /// Its id.
    pub id: Id,
    /// Its name on screen, `E1`.
    pub name: String,
    /// Picks along it, two or more.
    pub along: Vec<PhotoPoint>,
    /// How well the picks were placed, px (1 sigma); left out: [`crate::tolerance::CLICK_SIGMA_PX`].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sigma_px: Option<f64>,
    /// The edge is to be measured in the picture, not only picked.
    #[serde(default = "yes")]
    pub measure_edge: bool,
}

/// A length taken by hand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measure {
    /// Its id.
    pub id: Id,
    /// What was held where.
    pub kind: MeasureKind,
    /// The features that it lies between: one for a diameter, two otherwise.
    pub between: Vec<Id>,
    /// The reading, mm.
    pub mm: f64,
    /// Its standard deviation, mm.
    pub sigma_mm: f64,
    /// It counts; false: left out, kept and shown struck through.
    #[serde(rename = "use", default = "yes", skip_serializing_if = "is_true")]
    pub in_use: bool,
}

/// What was held where.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MeasureKind {
    /// Between two hole centres.
    Centres,
    /// Far side of one hole to the far side of the other.
    FarRims,
    /// The wall between two holes.
    NearRims,
    /// Across one hole.
    Diameter,
    /// Between two named points.
    Points,
    /// Between two straight parallel edges, jaw to jaw.
    Edges,
    /// From a hole's rim to a straight edge.
    RimToEdge,
}

impl MeasureKind {
    /// What was held where, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Centres => "centres",
            Self::FarRims => "far rims",
            Self::NearRims => "near rims",
            Self::Diameter => "diameter",
            Self::Points => "points",
            Self::Edges => "edges",
            Self::RimToEdge => "rim to edge",
        }
    }
}

/// Something said about the shape: it counts like a measure that reads nothing off.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Statement {
    /// Its id.
    pub id: Id,
    /// What is said.
    pub kind: StatementKind,
    /// Of which features: two edges that are square; an edge, then the points that lie on it.
    pub between: Vec<Id>,
    /// How far it may be off, mm (1 sigma): a point beside its edge, a square corner over a blade of 100 mm.
    pub sigma_mm: f64,
    /// It counts; false: left out, kept and shown struck through.
    #[serde(rename = "use", default = "yes", skip_serializing_if = "is_true")]
    pub in_use: bool,
}

/// What is said about the shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StatementKind {
    /// Two edges make a square corner.
    Square,
    /// Points lie on a straight edge.
    Straight,
}

impl StatementKind {
    /// What is said, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Square => "square corner",
            Self::Straight => "on one line",
        }
    }

    /// How far off it may be where the person does not say, mm (1 sigma). Common practice, no source.
    pub fn usual_sigma_mm(self) -> f64 {
        match self {
            Self::Square => 0.1,
            Self::Straight => 0.05,
        }
    }
}

/// How much holes of the same size differ where the person does not say, mm of diameter (1 sigma): drilled holes of one
/// drill. Common practice, no source.
pub const SAME_SIZE_SIGMA_MM: f64 = 0.03;

/// Holes that get one finished size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Group {
    /// Its id.
    pub id: Id,
    /// The fastener that goes through, `M6` for instance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fastener: Option<String>,
    /// The clearance class: `fine`, `medium`, `coarse`, or `close`, `normal`, `loose`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clearance: Option<String>,
    /// The diameter to cut, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finished_mm: Option<f64>,
    /// Its holes are of the same size, to this much of diameter, mm (1 sigma); left out: nothing is said of that.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub same_size_sigma_mm: Option<f64>,
    /// Its holes are tapped for the coarse thread of the fastener, and cut to the size of its drill.
    #[serde(default, skip_serializing_if = "is_false")]
    pub tapped: bool,
}

/// Where plate coordinates start and which way x runs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Datum {
    /// The hole or point at (0, 0).
    pub origin: Id,
    /// The hole or point that x runs towards.
    pub along: Id,
}
