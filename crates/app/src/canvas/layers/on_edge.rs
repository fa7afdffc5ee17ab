//! How the cut lies to the measured edge: whiskers, stretches that were not seen, crossings, pieces pointed at.

use super::Lines;
use crate::canvas::scene::OnEdge;
use crate::theme::on_photo;
use egui::{Painter, Rect};

/// Draws it.
pub(in crate::canvas) fn paint(painter: &Painter, view: Rect, on_edge: &OnEdge) {
    let mut lines = Lines::new(view);
    for piece in &on_edge.pointed {
        lines.line(piece, 3.0, on_photo::BRASS, 1.4);
    }
    for stretch in &on_edge.unseen {
        lines.dashed(stretch, (2.2, on_photo::UNKNOWN), 1.4, [2.0, 4.0]);
    }
    for crossing in &on_edge.crossings {
        lines.open_ring(*crossing, 11.0, 2.2, on_photo::DISAGREE, 2.0);
        lines.cross(*crossing, 8.0, 1.8, on_photo::DISAGREE, 1.3);
    }
    for whisker in on_edge.whiskers.iter().flat_map(|whiskers| &whiskers.all) {
        let (width, colour) = if whisker.is_over { (2.4, on_photo::DISAGREE) } else { (1.3, on_photo::BRASS_LIGHT) };
        lines.line(&[whisker.from, whisker.to], width, colour, 0.8);
    }
    lines.paint(painter);
}
