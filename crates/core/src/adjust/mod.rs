//! One joint least-squares adjustment of camera, holes, points, edges and lengths.
//!
//! Everything that was picked or measured, and everything believed of the camera, is one observation with its
//! standard deviation; everything else is an unknown. [`adjust`] finds the unknowns of smallest weighted square sum
//! and their covariance, and reports a second solution where one fits nearly as well.
//!
//! ## Invariants
//! - No hand measure and no pick placed by hand is ever down-weighted: it is tested, reported, and left to the person.
//!   Points measured in the photo are many, and count robustly.
//! - Nothing is switched on or off by the number of measures. Beliefs keep the problem well posed.
//! - Plate coordinates in here are those of the solve frame (see [`crate::camera`]).
//! - Standard deviations are those that the observations were given; they are not scaled by the fit.

mod adjusted;
mod chi_square;
mod covariance;
mod evaluate;
mod face;
mod factor;
mod gram;
mod layout;
mod length;
mod levenberg;
mod linearized;
mod next_length;
mod normal;
mod overlay;
mod plain;
mod precision;
mod problem;
mod reach;
mod reliability;
mod rim;
mod sensitivity;
mod start;
mod state;
mod structure;
mod tell_apart;
#[cfg(test)]
mod tests;
mod thinned;
mod without;

pub(crate) use adjusted::best_move;
pub use adjusted::{Adjusted, Other, adjust, adjust_once};
pub use chi_square::survival as chi_square_survival;
pub use covariance::{PlaceCovariance, Relative};
pub use face::FaceUncertainty;
pub use linearized::Linearized;
pub use next_length::{NextLength, next_lengths};
pub use plain::Plain;
pub use precision::{Precision, SharedError};
pub use problem::{
    BREAK_WIDTH, Corner, Feature, Known, Length, Overlay, Prior, Priors, Problem, Rim, SQUARE_BLADE_MM, Side, Span,
    Spot,
};
pub use reliability::{Reliability, Suspect, Tested};
pub use sensitivity::Sensitivity;
pub use without::Without;

/// How an adjustment ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Termination {
    /// The step became smaller than anything that could be seen.
    Converged,
    /// The limit of iterations was reached; the best point so far is reported.
    IterationLimit,
    /// No step made it better; the best point so far is reported.
    NoBetterStep,
    /// No camera that was tried sees all picks, so nothing was adjusted.
    NotSeen,
}
