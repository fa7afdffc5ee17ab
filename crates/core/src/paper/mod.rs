//! What goes on paper, as pages of lines, text and pictures.
//!
//! ## Invariants
//! - A [`Page`] is the whole truth of what is printed: a file and a window draw the same items, and add nothing.
//! - Everything is in mm on the sheet, x right, y up, from its lower left corner. Colours are roles ([`Ink`]).
//! - Pages follow from what is handed in alone: no date, and the same pages each time.

mod cut;
mod lettering;
mod page;
mod plate;
mod printer;
mod proof;
mod report;
mod sheet;

pub use cut::{CutSource, cut_pages};
pub use lettering::{EvenlyWide, Lettering, Weight, legible, shortened, width_mm, wrapped};
pub use page::{Align, Ink, Item, Page, Pen, Picture, Stretch, Turned, Words};
pub use plate::plate_page;
pub use printer::{BarRefused, PrinterScale};
pub use proof::{ProofOptions, ProofRefused, Tile, TileLayout, proof_pages};
pub use report::{ReportPhoto, ReportSource, region_of_interest, report_pages};
pub use sheet::{MARGIN_MM, Paper};
