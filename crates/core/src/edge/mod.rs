//! Edges in the photo, measured to a small part of a pixel.
//!
//! From the photo as linear light ([`Picture`]), a camera and a rough place, to points on a rim ([`measure_rim`]) or a
//! straight side ([`measure_side`]), each with its standard deviation. What is measured lives in the photo, px: a later
//! camera may use the same points. The camera is needed to search a tilted circle as the ellipse that it is, and to
//! fit it as the circle that it is.
//!
//! ## Invariants
//! - Everything is measured in linear light, from whole pixels.
//! - The rim lies on the face: of two edges it is the outermost, and it is a circle on the plate.
//! - Whatever is handed in, the answer is a measurement with finite figures or says that there is none.
//! - The same photo, camera and start give the same digits.

mod clipped;
mod consensus;
mod contrast;
mod curve;
mod follow;
mod others;
mod oval;
mod picture;
mod profile;
mod propose;
mod reading;
mod rim;
mod search;
mod second;
mod side;
mod slanted;
mod smear;
mod station;
mod step;
mod trace;

#[cfg(test)]
mod far_end_tests;
#[cfg(test)]
mod tests;

pub use clipped::{Clipped, CutOff, Tile};
pub use follow::{FaceSide, FollowedEdge, FollowedPiece, follow_edge};
pub(crate) use follow::{ONE_PLACE_PX, PROFILE_PX};
pub use others::{Offer, SizeClass, find_rims};
pub use picture::Picture;
pub use propose::{Proposal, propose_outline};
pub use reading::{Rejected, Rejection};
pub use rim::{LARGEST_RMS_PX, NoRim, RimMeasurement, RimStart, SHORTEST_ARC_DEG, Verdict, measure_rim, measure_rims};
pub use second::Walls;
pub use side::{NoSide, SideMeasurement, SideVerdict, corner, measure_side};
pub use slanted::measure_rim_at_any_slant;
pub use smear::{Smear, smear};
pub use trace::EdgePoint;
