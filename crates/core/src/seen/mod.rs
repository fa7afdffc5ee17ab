//! What the photo shows of a job: the rims, straight edges and contours that the person pointed at, measured.
//!
//! Picks say where to look; the photo says where the edge is. What was seen is derived from photo, job and camera, and
//! can be thrown away at any time.
//!
//! ## Invariants
//! - What was seen belongs to the picks that it was looked for by: once they are moved it answers for them no longer.
//! - Points are kept in the photo, where a better camera does not move them.
//! - Only what may be believed takes the place of the picks ([`RimSeen::serves`], [`SideSeen::serves`]).

mod contour;
mod look;

pub use contour::ContourSeen;
pub(crate) use contour::REACH_PX;
pub use look::{Camera, look, look_again};

use crate::adjust::{Precision, SharedError};
use crate::edge::{EdgePoint, NoRim, NoSide, RimMeasurement, SideMeasurement, SideVerdict, Verdict, Walls};
use crate::job::{Contour, Hole, Id, Job, NamedPoint, StraightEdge};
use crate::space::PhotoPoint;

/// What the photo shows of a job's holes and edges, each in the job's order.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Seen {
    /// The holes whose rims were looked for.
    pub rims: Vec<RimSeen>,
    /// The straight edges that were looked for.
    pub sides: Vec<SideSeen>,
    /// The named points that are corners of two of these edges.
    pub corners: Vec<CornerSeen>,
    /// The contours whose edge was followed.
    pub contours: Vec<ContourSeen>,
    /// No camera sees all that was measured, although one sees the picks: nothing of it is kept.
    pub no_camera: bool,
}

/// A hole's rim as the photo shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct RimSeen {
    /// The hole.
    pub id: Id,
    /// What it was looked for by.
    by: LookedForBy,
    /// The job says that its edge is broken.
    edge_break: bool,
    /// What was found.
    pub found: Result<RimMeasurement, NoRim>,
}

/// A straight edge as the photo shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct SideSeen {
    /// The edge.
    pub id: Id,
    /// What it was looked for by.
    by: LookedForBy,
    /// What was found.
    pub found: Result<SideMeasurement, NoSide>,
}

/// A named point that was picked where two measured edges cross: it is the corner that they make, which is known better
/// than any pick.
#[derive(Debug, Clone, PartialEq)]
pub struct CornerSeen {
    /// The point.
    pub id: Id,
    /// What it was looked for by.
    by: LookedForBy,
    /// The edges that cross there.
    pub edges: [Id; 2],
}

/// Picks, with how well they were placed.
#[derive(Debug, Clone, PartialEq)]
struct LookedForBy {
    picks: Vec<PhotoPoint>,
    sigma_px: Option<f64>,
}

impl Seen {
    /// What was seen of a hole as it stands; `None` where its rim was not looked for since its picks were moved, or is
    /// not to be measured.
    pub fn rim(&self, hole: &Hole) -> Option<&RimSeen> {
        let seen = self.rims.iter().find(|seen| seen.id == hole.id)?;
        (hole.measure_rim && seen.by.is(&hole.rim, hole.sigma_px) && seen.edge_break == hole.edge_break).then_some(seen)
    }

    /// The walls of the part, where its rims tell.
    pub fn walls(&self) -> Option<Walls> {
        Walls::of_rims(self.rims.iter().filter_map(|rim| rim.found.as_ref().ok()))
    }

    /// The corner that a named point as it stands was picked at; `None` where it is none, or one of its edges stands on its
    /// picks by now.
    pub fn corner(&self, point: &NamedPoint, job: &Job) -> Option<&CornerSeen> {
        let seen = self.corners.iter().find(|seen| seen.id == point.id)?;
        let holds = |id: &Id| job.edges.iter().any(|edge| edge.id == *id && self.side(edge).is_some());
        (seen.by.is(&[point.at], point.sigma_px) && seen.edges.iter().all(holds)).then_some(seen)
    }

    /// What was seen along a contour as it stands; `None` where its edge was not looked for since its nodes were moved, or
    /// is not to be followed.
    pub fn contour(&self, contour: &Contour, job: &Job) -> Option<&ContourSeen> {
        self.contours.iter().find(|seen| seen.answers(contour, job))
    }

    /// How many of the job's holes, edges and nodes of contours were not looked for where they are now. A node that is moved
    /// has two pieces that are not followed yet.
    pub fn unseen(&self, job: &Job) -> usize {
        let holes = job.holes.iter().filter(|hole| is_wanted(hole) && self.rim(hole).is_none());
        let edges = job.edges.iter().filter(|edge| is_wanted_edge(edge) && self.side(edge).is_none());
        let nodes = job.contours.iter().map(|contour| {
            let before = self.contours.iter().find(|seen| seen.id == contour.id);
            contour::unseen_pieces(contour, job, before).div_ceil(2)
        });
        holes.count() + edges.count() + nodes.sum::<usize>()
    }

    /// Nothing was looked for.
    pub fn is_empty(&self) -> bool {
        self.rims.is_empty() && self.sides.is_empty() && self.contours.is_empty()
    }

    /// The same of a straight edge.
    pub fn side(&self, edge: &StraightEdge) -> Option<&SideSeen> {
        let seen = self.sides.iter().find(|seen| seen.id == edge.id)?;
        (edge.measure_edge && seen.by.is(&edge.along, edge.sigma_px)).then_some(seen)
    }
}

impl LookedForBy {
    fn is(&self, picks: &[PhotoPoint], sigma_px: Option<f64>) -> bool {
        self.picks == picks && self.sigma_px == sigma_px
    }
}

/// The hole's rim is to be measured, and three picks say where.
fn is_wanted(hole: &Hole) -> bool {
    hole.measure_rim && hole.rim.len() >= 3
}

/// The edge is to be measured, and two picks say where.
fn is_wanted_edge(edge: &StraightEdge) -> bool {
    edge.measure_edge && edge.along.len() >= 2
}

/// Points that take the place of picks.
#[derive(Debug, Clone, PartialEq)]
pub struct Points {
    /// Where they are in the photo.
    pub at: Vec<PhotoPoint>,
    /// How well they are known.
    pub precision: Precision,
}

impl Points {
    fn of(points: &[EdgePoint], shared: SharedError) -> Self {
        let sigma_px = points.iter().map(|point| point.sigma_px).collect();
        let at = points.iter().map(|point| point.at).collect();
        Self { at, precision: Precision::Measured { sigma_px, shared } }
    }
}

impl RimSeen {
    /// The measured points, where they may be believed.
    ///
    /// A faint rim's points know how faint they are. Where two rims fit equally well the outer one serves if the job says
    /// that the edge is broken, as a broken edge shows two.
    pub fn serves(&self) -> Option<Points> {
        let rim = self.found.as_ref().ok()?;
        let serves = match rim.verdict {
            Verdict::Trusted | Verdict::Faint { .. } => true,
            Verdict::TwoRims { .. } => self.edge_break,
            Verdict::ShortArc | Verdict::Scattered | Verdict::TooSmall => false,
        };
        let shared = SharedError { shift_px: rim.shared_shift_px, radius_px: rim.shared_radius_px };
        serves.then(|| Points::of(&rim.points, shared))
    }

    /// How much smaller the bore's radius is than the rim's, where the photo shows both, mm.
    pub fn break_width_mm(&self) -> Option<f64> {
        let rim = self.found.as_ref().ok().filter(|_| self.serves().is_some())?;
        Some(rim.radius_mm - rim.inner_radius_mm?)
    }

    /// The photo shows a bore below a broken edge, and the job says nothing of it.
    pub fn shows_unsaid_break(&self) -> bool {
        let has_bore = self.found.as_ref().is_ok_and(|rim| rim.inner_radius_mm.is_some());
        has_bore && !self.edge_break && self.serves().is_some()
    }

    /// Why the rim is not to be trusted, as the end of a sentence; `None` where it is trusted.
    pub fn doubt(&self) -> Option<String> {
        let rim = match &self.found {
            Ok(rim) => rim,
            Err(NoRim::OffPhoto) => return Some("its picks make a circle that is not on the photo".to_owned()),
            Err(NoRim::NotFound) => return Some("nothing by its picks looks like a rim".to_owned()),
        };
        match rim.verdict {
            Verdict::Trusted => None,
            Verdict::ShortArc => Some(format!("only {:.0}° of its rim can be seen", rim.arc_deg)),
            Verdict::Scattered => {
                Some(format!("what is seen of it is no circle but lies up and down by {:.1} px", rim.rms_px))
            }
            Verdict::TwoRims { .. } if self.edge_break => None,
            Verdict::TwoRims { other_radius_mm } => Some(format!(
                "two rims are seen, one {:.2} times as wide as the other, and either could be the edge on the face",
                other_radius_mm / rim.radius_mm
            )),
            Verdict::Faint { good_to_px } => Some(format!("it is faint, and good to {good_to_px:.2} px only")),
            Verdict::TooSmall => Some("it is so small in the photo that its edge runs together".to_owned()),
        }
    }
}

impl SideSeen {
    /// The measured points, where they may be believed.
    pub fn serves(&self) -> Option<Points> {
        let side = self.found.as_ref().ok()?;
        let serves = matches!(side.verdict, SideVerdict::Trusted | SideVerdict::Faint | SideVerdict::WallUntold);
        serves.then(|| Points::of(&side.points, SharedError { shift_px: side.shared_px, radius_px: 0.0 }))
    }

    /// Why the edge is not to be trusted, as the end of a sentence; `None` where it is trusted.
    pub fn doubt(&self) -> Option<String> {
        let side = match &self.found {
            Ok(side) => side,
            Err(NoSide::OffPlate) => return Some("its picks are not two places on the plate".to_owned()),
            Err(NoSide::NotFound) => return Some("nothing between its picks looks like an edge".to_owned()),
        };
        match side.verdict {
            SideVerdict::Trusted => None,
            SideVerdict::Patchy => Some("less than half of it can be seen".to_owned()),
            SideVerdict::Faint => Some("it is too faint or too short to be sure of".to_owned()),
            SideVerdict::WallUntold => Some("the wall below it shows, and the two are not told apart".to_owned()),
            SideVerdict::Scattered => Some(format!("what is seen lies up and down by {:.1} px", side.rms_px)),
        }
    }
}
