//! What is drawn on the photo. Each layer only paints what the scene holds.

mod added;
mod advice;
mod cut;
mod datum;
mod dimensions;
mod edges;
mod heat_map;
mod lines;
mod measured;
mod offers;
mod on_edge;
mod outline;
mod rims;

pub(super) use added::{paint as paint_added, paint_land};
pub(super) use advice::paint as paint_advice;
pub(super) use cut::paint as paint_cut;
pub(super) use datum::{Arrow, arrows as datum_arrows, paint as paint_datum};
pub(super) use dimensions::paint as paint_dimensions;
pub(super) use edges::paint as paint_edges;
pub(super) use heat_map::paint as paint_heat_map;
pub(super) use lines::Lines;
pub(super) use measured::{add as add_measured, paint as paint_measured};
pub(super) use offers::paint as paint_offers;
pub(super) use on_edge::paint as paint_on_edge;
pub(super) use outline::paint as paint_outlines;
pub(super) use rims::{paint_asked, paint_ellipses, paint_picks, paint_rims};
