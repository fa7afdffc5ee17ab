//! Lines, arcs, and the contours made of them, on the plate in mm.

use crate::space::{PlatePoint, PlateVec};

/// A straight piece or a circular arc, by its ends and its bulge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// Where it starts.
    pub from: PlatePoint,
    /// Where it ends.
    pub to: PlatePoint,
    /// Tangent of a quarter of the arc's angle, positive counter-clockwise; 0 for a line.
    pub bulge: f64,
}

/// Lines and arcs, each starting where the one before ends.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Contour {
    /// The pieces in order.
    pub segments: Vec<Segment>,
    /// The last piece ends where the first starts.
    pub closed: bool,
}

/// A place where a contour is open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// The loose end before it.
    pub from: PlatePoint,
    /// The loose end after it.
    pub to: PlatePoint,
}

impl Gap {
    /// Its width, mm.
    pub fn width_mm(&self) -> f64 {
        (self.to - self.from).length()
    }
}

/// A place where a contour meets itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Where.
    pub at: PlatePoint,
    /// The two pieces, by their numbers from 0.
    pub pieces: (usize, usize),
}

/// Keeps the import used until the shapes get their methods.
pub type Step = PlateVec;
