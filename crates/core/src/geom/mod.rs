//! Lines, arcs, and the contours made of them, on the plate in mm.
//!
//! ## Invariants
//! - A piece is its two ends and its bulge, the form in which cut files hold it: nothing is rounded on the way out.
//! - Methods are right for every finite bulge; what this crate makes keeps arcs to half a turn (bulge from -1 to 1).
//! - Everything finite that goes in comes out finite: a piece of no length has no direction (`None`), never a NaN.

mod arc;
mod biarc;
mod bounds;
mod closest;
mod contour;
mod crossing;
mod cubic;
mod offset;
mod segment;

pub use arc::{bulge_arriving, bulge_leaving, bulge_through};
pub use biarc::{ArcFit, arcs_from_cubic};
pub use bounds::Bounds;
pub use closest::closest_places;
pub use contour::{Contour, Gap};
pub use crossing::{Crossing, contour_crossings, crossings_between, doubled_between, doubled_in, meeting_points};
pub use cubic::Cubic;
pub use offset::{OffsetRefused, contours_beside};
pub use segment::Segment;
