//! What will be cut, lightly over the photo: contours as lines and arcs, holes at their finished size.

use super::Lines;
use super::outline::paint_gap;
use crate::canvas::scene::{Scene, circle};
use crate::canvas::transform::Transform;
use crate::theme::on_photo;
use egui::{Painter, Pos2};
use platewright_core::export::{CutContour, CutDrawing, CutHole};
use platewright_core::tolerance::DRAWN_CHORD_MM;

/// Draws the cut lines.
pub(in crate::canvas) fn paint(painter: &Painter, transform: &Transform, scene: &Scene, cut: &CutDrawing) {
    let mut lines = Lines::new(transform.rect);
    for CutContour { contour, .. } in cut.outer.iter().chain(&cut.openings) {
        let places = contour.sampled(DRAWN_CHORD_MM).into_iter();
        let line: Vec<Pos2> = places.filter_map(|plate| transform.screen_from_plate(plate)).collect();
        if contour.closed {
            lines.closed(&line, 2.2, on_photo::LIGHT, 1.4);
        } else {
            lines.line(&line, 2.2, on_photo::LIGHT, 1.4);
        }
    }
    for &CutHole { centre, diameter_mm, .. } in &cut.holes {
        if let Some(rim) = circle(centre, diameter_mm / 2.0, transform) {
            lines.closed(&rim, 2.2, on_photo::LIGHT, 1.4);
        }
        if let Some(at) = transform.screen_from_plate(centre) {
            lines.cross(at, 12.0, 1.4, on_photo::BRASS_LIGHT, 1.0);
        }
    }
    for outline in &scene.outlines {
        paint_gap(&mut lines, outline);
    }
    lines.paint(painter);
}
