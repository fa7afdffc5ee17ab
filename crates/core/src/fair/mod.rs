//! An outline made fair: from places measured along an edge to the fewest lines and arcs within a tolerance.
//!
//! The points are cleaned (`clean`), split into runs by dynamic programming (`split`), and all runs are fitted
//! together by least squares (`joint`), with neighbours that touch where the points do not speak against it. The ends
//! of the runs then move to where they fit best, runs that cost more than they save go (`spare`), small rounded corners
//! are tried (`fillet`), and it is fitted again. A corner is where its neighbours cross, never
//! a point. A smooth curve becomes a run of touching arcs, fitted to the points themselves: that takes fewer than a
//! curve first fitted and then divided.
//!
//! ## Invariants
//! - The same points turned, mirrored, gone along the other way or from another start give the same contour.
//! - Whatever comes in, an answer or `None` comes out, in a time that grows little faster than the number of points.
//!
//! ```
//! use platewright_core::fair::{EdgePoint, Wanted, fair};
//! use platewright_core::space::PlatePoint;
//! let side = |k: i32| f64::from(k) - 9.5;
//! let square = (0..80).map(|k| match (k / 20, side(k % 20)) {
//!     (0, t) => [t, -10.0],
//!     (1, t) => [10.0, t],
//!     (2, t) => [-t, 10.0],
//!     (_, t) => [-10.0, -t],
//! });
//! let points: Vec<_> = square.map(|p| EdgePoint { at: PlatePoint::from(p), sigma_mm: 0.01, pinned: false }).collect();
//! let faired = fair(&points, &Wanted::closed_outer()).expect("eighty points make an outline");
//! assert_eq!(faired.contour.segments.len(), 4);
//! assert!((faired.contour.signed_area_mm2() - 400.0).abs() < 1e-6);
//! ```

mod agree;
mod assemble;
mod banded;
mod clean;
mod curve;
mod fillet;
mod joins;
mod joint;
mod pieces;
mod spare;
mod split;
mod suggest;
mod sums;
#[cfg(test)]
mod tests;

pub use agree::agreed;
pub use suggest::{RoundThing, Suggestion, SuggestionKind, suggestions};

use crate::geom::Contour;
use crate::space::PlatePoint;
use crate::tolerance::CUT_CHORD_MM;
use clean::Chain;
use joint::{NEARLY_STILL_MM, Pieces};

/// A place measured on the edge, on the plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgePoint {
    /// Where it is, mm.
    pub at: PlatePoint,
    /// Its standard deviation across the edge, mm; not a positive number: not known.
    pub sigma_mm: f64,
    /// The contour passes through this very place, and a piece ends there.
    pub pinned: bool,
}

/// What is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wanted {
    /// The last point is followed by the first.
    pub closed: bool,
    /// How far the contour may lie from the points, their noise apart, mm. Points noisier than two thirds of it are
    /// given one and a half times their noise.
    pub tolerance_mm: f64,
    /// Which way round a closed contour is to go: counter-clockwise, clockwise, or as the points do.
    pub counter_clockwise: Option<bool>,
}

impl Wanted {
    /// A closed outline, counter-clockwise, within the tolerance of a cut contour.
    pub fn closed_outer() -> Self {
        Self { closed: true, tolerance_mm: CUT_CHORD_MM, counter_clockwise: Some(true) }
    }
}

/// An outline of lines and arcs, and how it came to be.
#[derive(Debug, Clone)]
pub struct Faired {
    /// Lines and arcs of half a turn at most, each starting at the very place where the one before ends.
    pub contour: Contour,
    /// The lines and arcs that the points were found to lie on, in the order of the contour.
    pub primitives: Vec<Primitive>,
    /// Where they meet: after each primitive, on an open chain after each but the last.
    pub joins: Vec<Join>,
    /// The tolerance that was used, mm.
    pub tolerance_mm: f64,
    /// The noise of the points, mm (1 sigma): what they are said to be good to, or what neighbours scatter.
    pub noise_mm: f64,
    /// The largest distance of a point that took part, mm.
    pub worst_mm: f64,
    /// The signed distance of every given point, mm, positive to the right of the contour (outside a counter-clockwise
    /// one); not a number for a point without a finite place.
    pub deviations: Vec<f64>,
    /// Points that took no part, as they lie far off: their numbers.
    pub left_out: Vec<usize>,
    fit: Fit,
}

/// What further fits start from.
#[derive(Debug, Clone)]
struct Fit {
    chain: Chain,
    pieces: Pieces,
    tolerance_mm: f64,
    counter_clockwise: Option<bool>,
}

/// A line or an arc.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Primitive {
    /// What it is.
    pub kind: PrimitiveKind,
    /// The given point that it starts with, in the order of the contour.
    pub from_point: usize,
    /// The given point that it ends with; the chain's order decides what lies between.
    pub to_point: usize,
    /// Root mean square of its points' distances, mm.
    pub rms_mm: f64,
    /// The largest of them, mm.
    pub worst_mm: f64,
    /// Its length, mm.
    pub length_mm: f64,
    /// Which of the pieces of the contour it became: the first, and how many.
    pub segments: (usize, usize),
}

/// What a primitive is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PrimitiveKind {
    /// Straight.
    Line,
    /// Round.
    Arc {
        /// Its centre.
        centre: PlatePoint,
        /// Its radius, mm.
        radius_mm: f64,
    },
}

/// How two primitives meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum JoinKind {
    /// They cross there.
    Corner,
    /// They touch there.
    Tangent,
    /// The place was given.
    Pinned,
    /// They do not meet; a short straight piece leads from one to the other.
    Bridge,
}

/// Where two primitives meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Join {
    /// How.
    pub kind: JoinKind,
    /// Where; of a bridge, where it starts.
    pub at: PlatePoint,
}

/// Rounds in which the ends of the runs are moved.
const MOVING_ROUNDS: usize = 4;

/// Lines and arcs through measured points; `None` where fewer than three of them are places of their own, or nothing
/// can be made of them.
pub fn fair(points: &[EdgePoint], wanted: &Wanted) -> Option<Faired> {
    let asked_mm =
        if wanted.tolerance_mm.is_finite() { wanted.tolerance_mm.max(LEAST_TOLERANCE_MM) } else { CUT_CHORD_MM };
    let chain = Chain::new(points, wanted.closed, asked_mm)?;
    let tolerance_mm = asked_mm.max(NOISE_FACTOR * chain.noise_mm);
    let mut fit = Fit { pieces: Pieces::none(), chain, tolerance_mm, counter_clockwise: wanted.counter_clockwise };
    if let Some(circle) = fit.whole_circle() {
        fit.pieces = circle;
        return fit.assembled(points);
    }
    let runs = split::split(&fit.chain, tolerance_mm);
    fit.pieces = Pieces::of(&fit.chain, runs)?;
    for _ in 0..MOVING_ROUNDS {
        fit.pieces.fit_until(&fit.chain, tolerance_mm, NEARLY_STILL_MM)?;
        let fewer = fit.spare();
        if !fit.move_ends() && !fewer {
            break;
        }
    }
    fit.settle()?;
    fit.round_corners();
    fit.tie_tangents()?;
    fit.assembled(points)
}

/// No contour is asked for more closely, mm.
const LEAST_TOLERANCE_MM: f64 = 1e-3;

/// Tolerance over noise where the noise decides.
const NOISE_FACTOR: f64 = 1.5;
