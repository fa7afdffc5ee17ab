//! Holes, points, edges and what is added, as found.

use super::Ellipse;
use crate::geom::Contour as CutContour;
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

    /// How far off it can be once it is cut, mm (95 %), by a cutter that holds ±`cutting_mm` (95 %) along either axis.
    ///
    /// Place and cut are off independently of each other, so that their 1-sigma figures add in squares, the cutter's being
    /// `cutting_mm` over the factor of a single figure; the sum is a place in the plane and takes the factor of one.
    /// Adding the halves of 95 % themselves would take the cutter's scatter along one axis for its scatter in the plane.
    pub fn needs_mm(&self, cutting_mm: f64) -> f64 {
        self.sigma_mm().hypot(cutting_mm / crate::tolerance::K95_FIGURE) * crate::tolerance::K95_PLACE
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

/// A hole or slot that is added, where it lies.
#[derive(Debug, Clone, PartialEq)]
pub struct AddedFit {
    /// Its id in the job; those of one circle share it.
    pub id: Id,
    /// Which of a circle, from 1.
    pub number: usize,
    /// Its name on screen.
    pub name: String,
    /// Its middle.
    pub at: PlatePoint,
    /// How well its place is known, by what it is placed from.
    pub ellipse: Ellipse,
    /// Its diameter, of a slot its width, mm; `None` where no size is said.
    pub diameter_mm: Option<f64>,
    /// What a slot has besides.
    pub slot: Option<SlotFit>,
}

/// How a slot lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlotFit {
    /// Between the centres of its ends, mm.
    pub length_mm: f64,
    /// Which way it lies in the datum's frame, radians from x towards y.
    pub angle_rad: f64,
}

impl AddedFit {
    /// The line round it, counter-clockwise; `None` where no size is said.
    pub fn rim(&self) -> Option<CutContour> {
        let diameter_mm = self.diameter_mm?;
        Some(match self.slot {
            Some(slot) => CutContour::slot(self.at, slot.length_mm, slot.angle_rad, diameter_mm),
            None => CutContour::circle(self.at, diameter_mm / 2.0),
        })
    }
}
