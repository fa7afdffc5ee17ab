//! Files for the cutter, bytes out.
//!
//! ## Invariants
//! - One format per file; all of them are written from the same [`CutDrawing`].
//! - The same drawing gives the same bytes. Nothing that is not a number leaves the shop.
//! - Whether a drawing *should* be cut is for [`crate::check`] to say; here it is only put down.

mod ascii;
mod drawing;
mod dxf;
mod dxf_r12;
mod dxf_records;
mod dxf_repair;
mod format;
mod kerf;
mod lines;
mod plate;
mod plate_mesh;
mod rows;
mod stl;
mod svg;
mod threemf;
mod xml;

pub use drawing::{CutContour, CutDrawing, CutHole, Land};
pub(crate) use dxf::usable_bounds;
pub use dxf::{ExportRefused, LAYER_INNER, LAYER_MARK, LAYER_OUTER};
pub use format::{CutFormat, NotForCutter, WrongName};
pub use kerf::KerfRefused;
pub use plate::{
    HOLE_ALLOWANCE_MM, PLATE_THICKNESS_MM, PlateOptions, PlateRefused, ProofPlate, SHRINK_PERCENT, proof_plate,
};
pub use plate_mesh::Mesh;
pub use rows::{Rows, RowsRefused};
pub use stl::stl;
pub use threemf::{NotPacked, threemf};

use dxf::DxfRelease;
