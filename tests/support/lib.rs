//! Shared support of the checks.

pub mod accuracy;
mod align;
pub mod boards;
mod cameras;
pub mod coverage;
mod crowded;
pub mod edges;
mod general_solver;
pub mod measure_order;
pub mod misreading;
pub mod outlines;
pub mod random_job;
mod rim_bound;
pub mod rims;
pub mod screen;
mod shared;
mod traced;
mod truth;

pub use align::{centres_by_one_length, centres_by_true_camera, errors_after_rigid_move, rigid_move};
pub use cameras::map_of;
pub use crowded::crowded;
pub use general_solver::general_solver;
pub use rim_bound::Bound;
pub use shared::{built_program, judge, project_dir, shared_dir, skip};
pub use traced::traced;
pub use truth::{CASES, Case, TruePiece};
