//! What the person said: picks, measures, names, choices. Nothing derived. The keys of the file: `README.md` beside this.
//!
//! ## Invariants
//! - [`Edit`] is the only mutator of a [`Job`]; [`History`] keeps every step of it.
//! - A job that was read has passed [`validate`]: every id is unique, every reference exists, every number is finite.
//! - Reading then writing a job changes no value.

mod carry_out;
mod contours;
mod design;
mod edit;
mod error;
mod file;
mod history;
mod layout;
mod limits;
mod look_up;
mod model;
mod placing_order;
mod stock;
mod trial;
mod validate;
mod validate_design;

#[cfg(test)]
mod design_tests;
#[cfg(test)]
mod tests;

#[cfg(test)]
pub(crate) use tests::example;

pub use contours::{Contour, Meant, MeantKind, Node, NodeKind, Piece, Role};
pub use design::{Added, AddedKind, Between, Design, MOST_ADDED, MOST_ON_A_CIRCLE, Offset, OnCircle, Placed};
pub use edit::{Edit, EditRefused, LeverSide};
pub use error::JobError;
pub use file::{FORMAT, VERSION, read, write};
pub use history::History;
pub use look_up::{capital, count, listed};
pub use model::*;
pub(crate) use placing_order::PlacingOrder;
pub use stock::{Duty, FileUnit, MOST_COPIES, SheetMaterial, Stock};
pub use trial::{Outcome, Trial, Tried, TriedOn};
pub use validate::validate;
