//! Photos of flat parts with known truth, for tests and benchmarks.
//!
//! ## Invariants
//! - Shares no camera and no fitting code with the core: what is wrong there cannot hide here. The back projection is a
//!   plain fixed-point iteration, slow and hard to get wrong.
//! - Everything follows from its arguments and a seed: the same call gives the same bytes.
//!
//! Plate frame: mm, x right, y up, z out of the face towards the camera. Photo frame: px, x right, y down, (0, 0) the
//! centre of the top-left pixel.

mod camera;
mod plate;
mod random;
mod render;

pub use camera::Camera;
pub use plate::{Plate, RoundHole};
pub use random::Random;
pub use render::{Look, render};
