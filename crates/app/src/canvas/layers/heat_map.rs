//! How well every place of the face is known: darker bands where it is known less, dashed lines between them.

use crate::canvas::scene::Scene;
use crate::theme::on_photo;
use egui::{Painter, Rect, Shape, Stroke};
use std::sync::Arc;

/// Draws the bands and the lines between them; their values are labels.
pub(in crate::canvas) fn paint(painter: &Painter, view: Rect, scene: &Scene) {
    let Some(heat) = &scene.heat else { return };
    painter.extend(heat.meshes.iter().map(|mesh| Shape::Mesh(Arc::clone(mesh))));
    let near = view.expand(8.0);
    for (_, line) in heat.lines.iter().filter(|(_, line)| Rect::from_points(line).intersects(near)) {
        let halo = Stroke::new(3.0, on_photo::HEAT_HALO.gamma_multiply(0.45));
        painter.extend(Shape::dashed_line(line, halo, 7.0, 3.0));
        painter.extend(Shape::dashed_line(line, Stroke::new(1.3, on_photo::HEAT_LINE), 7.0, 3.0));
    }
}
