//! What is adjusted: beliefs about the camera, picks in the photo, lengths on the plate.

use super::layout::{RIM_UNKNOWNS, SIDE_UNKNOWNS};
use super::precision::{Precision, SharedError};
use crate::camera::CAMERA_UNKNOWNS;
use crate::space::{PhotoPoint, PlatePoint};

/// A value believed beforehand, with its standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior {
    /// The value.
    pub value: f64,
    /// Its standard deviation, greater than zero.
    pub sigma: f64,
}

/// What is believed of the camera before anything was measured, in the order of [`crate::camera::CameraUnknown`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Priors(pub [Prior; CAMERA_UNKNOWNS]);

/// Width of a broken edge (rim radius - bore radius), mm. Common practice, no source.
pub const BREAK_WIDTH: Prior = Prior { value: 0.5, sigma: 0.4 };

/// How parallel two edges are that are measured jaw to jaw, radians (0.2 degrees). Common practice, no source.
pub(super) const PARALLEL_SIGMA_RAD: f64 = 0.0035;

/// A round hole by its picks.
#[derive(Debug, Clone, PartialEq)]
pub struct Rim {
    /// Picks on the rim, three or more.
    pub picks: Vec<PhotoPoint>,
    /// How well they are known.
    pub precision: Precision,
    /// The width of its broken edge, by its number in [`Problem::breaks`].
    pub edge_break: Option<usize>,
    /// The finished part has it: its place counts.
    pub keep: bool,
}

/// A named point by its pick.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// The pick.
    pub pick: PhotoPoint,
    /// Its standard deviation, px.
    pub sigma_px: f64,
}

/// A straight edge by its picks.
#[derive(Debug, Clone, PartialEq)]
pub struct Side {
    /// Picks along it, two or more.
    pub picks: Vec<PhotoPoint>,
    /// How well they are known.
    pub precision: Precision,
}

/// What a length lies between; features by their number in the problem.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Span {
    /// Between two hole centres.
    Centres(usize, usize),
    /// Far side of one bore to the far side of the other.
    FarRims(usize, usize),
    /// The wall between two bores.
    NearRims(usize, usize),
    /// Across one bore.
    Diameter(usize),
    /// Between two points.
    Points(usize, usize),
    /// Between two straight parallel edges.
    Sides(usize, usize),
    /// The wall between a bore and an edge.
    RimToSide(usize, usize),
    /// How much larger a bore is than the common size, by its number below [`Problem::sizes`]; stated to be 0.
    SameSize(usize, usize),
    /// How far two straight edges are from square, over a blade of [`SQUARE_BLADE_MM`]; stated to be 0.
    Square(usize, usize),
    /// How far a point lies beside a straight edge, outward of its normal; stated to be 0.
    OnSide(usize, usize),
}

impl Span {
    /// It is a statement about the shape, which reads 0, and no length between jaws.
    pub const fn is_statement(self) -> bool {
        matches!(self, Self::SameSize(..) | Self::Square(..) | Self::OnSide(..))
    }
}

/// The blade over which a square corner is judged, mm, as a try square is: off square by so much in 100. Common
/// practice, no source.
pub const SQUARE_BLADE_MM: f64 = 100.0;

/// A length taken by hand, or a statement about the shape.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Length {
    /// What it lies between.
    pub span: Span,
    /// The reading, mm; 0 for a statement.
    pub mm: f64,
    /// Its standard deviation, mm.
    pub sigma_mm: f64,
}

/// A named point that is where two straight edges cross.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// The point, by its number.
    pub spot: usize,
    /// The edges, by their numbers.
    pub sides: [usize; 2],
    /// Standard deviation of its distance from either, mm: how sharp the corner is.
    pub sigma_mm: f64,
}

/// Something with a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Feature {
    /// A hole, by its number in the problem.
    Rim(usize),
    /// A named point, by its number in the problem.
    Spot(usize),
}

/// A feature whose place on an overlay is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Known {
    /// The hole or point.
    pub feature: Feature,
    /// Its place in the overlay's own frame, mm.
    pub at: PlatePoint,
    /// The standard deviation of either coordinate, mm.
    pub sigma_mm: f64,
}

/// Known places that lie on the face with a free shift and turn: a trial plate, a printed sheet of points.
#[derive(Debug, Clone, PartialEq)]
pub struct Overlay {
    /// What lies where on it.
    pub places: Vec<Known>,
}

/// How little is believed of where an overlay lies (shift x and y, mm; turn, radians): enough to keep the turn of a
/// single place finite, and nothing that two places would feel.
pub(super) const OVERLAY_SIGMA: [f64; 3] = [1e5, 1e5, 100.0];

/// Everything that goes into one adjustment.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// Beliefs about the camera.
    pub priors: Priors,
    /// Round holes.
    pub rims: Vec<Rim>,
    /// Named points.
    pub spots: Vec<Spot>,
    /// Straight edges.
    pub sides: Vec<Side>,
    /// Widths of broken edges (rim radius - bore radius), mm, as far as they are known beforehand.
    pub breaks: Vec<Prior>,
    /// How many sizes there are that several holes have in common.
    pub sizes: usize,
    /// Points that are where two edges cross: what they are is given, and not tested as a statement is.
    pub corners: Vec<Corner>,
    /// Lengths and statements that count.
    pub lengths: Vec<Length>,
    /// Known places.
    pub overlays: Vec<Overlay>,
}

impl Problem {
    /// Rows of the adjustment: two per point, corner and known place, one per other pick, length, belief and pair of parallel
    /// edges.
    pub fn observations(&self) -> usize {
        self.rows(|picks, _, _| picks)
    }

    /// The same with as many for each measured rim and edge as it has unknowns of its own.
    pub(super) fn observations_tested(&self) -> usize {
        self.rows(|picks, precision, unknowns| match precision {
            Precision::Measured { shared, .. } if *shared != SharedError::default() => picks.min(unknowns),
            _ => picks,
        })
    }

    /// `along` tells the rows of so many picks along a curve of so many unknowns.
    fn rows(&self, along: impl Fn(usize, &Precision, usize) -> usize) -> usize {
        let parallel = self.lengths.iter().filter(|l| matches!(l.span, Span::Sides(..))).count();
        self.rims.iter().map(|rim| along(rim.picks.len(), &rim.precision, RIM_UNKNOWNS)).sum::<usize>()
            + self.sides.iter().map(|side| along(side.picks.len(), &side.precision, SIDE_UNKNOWNS)).sum::<usize>()
            + 2 * self.spots.len()
            + 2 * self.corners.len()
            + self.lengths.len()
            + parallel
            + self.overlays.iter().map(|overlay| 2 * overlay.places.len() + OVERLAY_SIGMA.len()).sum::<usize>()
            + self.breaks.len()
            + CAMERA_UNKNOWNS
    }
}
