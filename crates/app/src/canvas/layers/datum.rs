//! Where plate coordinates start and which way they run.

use super::Lines;
use crate::canvas::scene::Scene;
use crate::canvas::transform::Transform;
use crate::theme::{Weight, font, on_photo};
use egui::{Align2, Color32, Painter, Pos2, Vec2, vec2};
use platewright_core::space::{PlatePoint, PlateVec};

/// Length of an arrow, points.
const ARROW: f32 = 26.0;
/// Between the rim and the arrow, points.
const GAP: f32 = 7.0;

/// Draws the arrows X and Y, from the rim of the hole at the origin.
pub(in crate::canvas) fn paint(painter: &Painter, transform: &Transform, scene: &Scene) {
    let Some(origin) = transform.screen_from_plate(PlatePoint::default()) else { return };
    let at_origin = scene.features.iter().find(|feature| feature.at.distance(origin) < 2.0);
    let start = at_origin.map_or(0.0, |feature| feature.reach) + GAP;
    let mut lines = Lines::new(transform.rect);
    for (step, name) in [(PlateVec::new(1.0, 0.0), "X"), (PlateVec::new(0.0, 1.0), "Y")] {
        let Some(ahead) = transform.screen_from_plate(PlatePoint::default() + step) else { return };
        let along = (ahead - origin).normalized();
        let (tail, tip) = (origin + along * start, origin + along * (start + ARROW));
        lines.line(&[tail, tip], 1.6, on_photo::BRASS_LIGHT, 1.5);
        let barb = |turn: f32| tip - Vec2::angled(along.angle() + turn) * 8.0;
        lines.line(&[barb(0.45), tip, barb(-0.45)], 1.6, on_photo::BRASS_LIGHT, 1.5);
        halo_text(painter, tip + along * 10.0, name, on_photo::LIGHT);
    }
    lines.paint(painter);
}

/// A letter with a dark halo.
fn halo_text(painter: &Painter, at: Pos2, text: &str, colour: Color32) {
    let font = font(13.0, Weight::SemiBold);
    for step in [vec2(1.2, 0.0), vec2(-1.2, 0.0), vec2(0.0, 1.2), vec2(0.0, -1.2)] {
        painter.text(at + step, Align2::CENTER_CENTER, text, font.clone(), on_photo::CASING);
    }
    painter.text(at, Align2::CENTER_CENTER, text, font, colour);
}
