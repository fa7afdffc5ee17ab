//! Holes, points and edges as found.

use super::Ellipse;
use crate::job::Id;
use crate::space::PlatePoint;

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
    /// Points of the rim that were used: those measured in the photo, or the picks.
    pub rim_points: usize,
    /// They were measured in the photo.
    pub is_measured: bool,
    /// Root mean square of their distances from the fitted rim, px.
    pub rim_rms_px: f64,
    /// How far each of them lies outside (+) or inside (-) the rim, px.
    pub picks_off_px: Vec<f64>,
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

/// A straight edge as found.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeFit {
    /// Its id in the job.
    pub id: Id,
    /// Where its outermost picks lie, brought square on to the line.
    pub ends: [PlatePoint; 2],
    /// Root mean square of its picks' distances from the line, px.
    pub rms_px: f64,
}
