//! Pages as files for a printer, and the typeface that they are set in.

mod pdf;
mod plex;

pub use pdf::{NotPrinted, pdf};
pub use plex::Plex;
