//! What follows from a job: values, ±, reliability, findings. Can be thrown away at any time.
//!
//! ## Invariants
//! - [`solve`] is a pure function of its inputs: the same job gives the same digits, whatever was solved before.
//! - Nothing here fails from outside: what cannot be told is a [`Finding`] or a `None`, never an error or a NaN.
//! - Plate coordinates are in the datum's frame.

mod types;

pub use types::*;

/// Computes everything that follows from a job.
pub fn solve(_inputs: &Inputs<'_>) -> Solution {
    Solution::default()
}
