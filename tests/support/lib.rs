//! Shared support of the checks.

pub mod accuracy;
mod align;
mod machine;
mod program;
mod truth;

pub use align::errors_after_rigid_move;
pub use machine::{project_dir, python, run_judge, shared_dir, skip};
pub use program::{Ran, platewright};
pub use truth::{CASES, Case};
