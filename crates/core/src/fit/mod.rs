//! Circles and lines through points.
//!
//! Points are plain pairs: the fits serve the photo (px) and the plate (mm) alike, and what goes in has the unit of
//! what comes out.

mod circle;
mod line;

pub use circle::{Circle, CircleFit, geometric, kasa, taubin};
pub use line::{Line, orthogonal_line};
