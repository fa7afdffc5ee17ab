//! Files for the cutter, bytes out.
//!
//! ## Invariants
//! - One format per file; all of them are written from the same [`CutDrawing`].
//! - The same drawing gives the same bytes. Nothing that is not a number leaves the shop.
//! - Whether a drawing *should* be cut is for [`crate::check`] to say; here it is only put down.

mod ascii;
mod drawing;
mod dxf;
mod dxf_repair;
mod plate;
mod plate_mesh;
mod stl;
mod threemf;

pub use drawing::{CutContour, CutDrawing, CutHole, Land};
pub use dxf::{ExportRefused, LAYER_INNER, LAYER_MARK, LAYER_OUTER, dxf};
pub use plate::{
    HOLE_ALLOWANCE_MM, PLATE_THICKNESS_MM, PlateOptions, PlateRefused, ProofPlate, SHRINK_PERCENT, proof_plate,
};
pub use plate_mesh::Mesh;
pub use stl::stl;
pub use threemf::{NotPacked, threemf};
