//! The camera as found, and how it all hangs together.

use super::NextMeasure;
use crate::job::{Id, LensTerm};
use crate::space::PhotoPoint;

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
    /// Standard deviations of its x and y, px.
    pub principal_sigma_px: [f64; 2],
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

impl CameraFit {
    /// A term of the lens, and its standard deviation.
    pub fn term(&self, term: LensTerm) -> (f64, f64) {
        let [cx_sigma, cy_sigma] = self.principal_sigma_px;
        match term {
            LensTerm::Cx => (self.principal_px.x, cx_sigma),
            LensTerm::Cy => (self.principal_px.y, cy_sigma),
            LensTerm::K1 => self.k1,
            LensTerm::K2 => self.k2,
            LensTerm::P1 => self.p1,
            LensTerm::P2 => self.p2,
        }
    }
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
    /// The largest `sigma_mm` of the kept holes; `None` where there is none, or nothing else that it could be off from.
    pub worst_sigma_mm: Option<f64>,
    /// The hole that has it.
    pub worst_hole: Option<Id>,
    /// Relative standard deviation of the scale.
    pub scale_sigma: Option<f64>,
    /// Another camera position fits nearly as well and puts this hole elsewhere.
    pub ambiguous: Option<Ambiguity>,
    /// How the adjustment ended.
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
    /// The measure that would settle it.
    pub settle: Option<NextMeasure>,
}
