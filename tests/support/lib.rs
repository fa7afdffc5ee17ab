//! Shared support of the checks.

pub mod accuracy;
mod align;
mod cameras;
pub mod rims;
mod shared;
mod truth;

pub use align::{centres_by_one_length, centres_by_true_camera, errors_after_rigid_move};
pub use cameras::map_of;
pub use shared::{judge, project_dir, shared_dir, skip};
pub use truth::{CASES, Case};
