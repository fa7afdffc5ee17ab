//! Straight edges as light lines, the one in hand in brass; square corners as small squares.

use super::Lines;
use crate::canvas::scene::Scene;
use crate::theme::on_photo;
use egui::{Painter, Rect};

/// Draws them.
pub(in crate::canvas) fn paint(painter: &Painter, view: Rect, scene: &Scene) {
    let mut lines = Lines::new(view);
    for corner in &scene.corners {
        lines.line(corner, 1.5, on_photo::LIGHT, 1.3);
    }
    for edge in &scene.edges {
        let (width, colour) = if edge.is_in_hand { (2.4, on_photo::BRASS) } else { (1.7, on_photo::LIGHT) };
        lines.line(&edge.line, width, colour, 1.4);
        if let Some(reaching) = &edge.reaching {
            lines.dashed(reaching, (1.5, on_photo::BRASS_LIGHT), 1.3, [5.0, 3.5]);
        }
    }
    lines.paint(painter);
}
