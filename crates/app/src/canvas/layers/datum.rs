//! Where plate coordinates start and which way they run.

use super::Lines;
use crate::canvas::scene::Scene;
use crate::canvas::transform::Transform;
use crate::theme::{Weight, font, on_photo};
use egui::{Align2, Color32, Painter, Pos2, Rect, Vec2};
use platewright_core::space::{PlatePoint, PlateVec};

/// Length of an arrow, points.
const ARROW: f32 = 26.0;
/// Between the rim and the arrow, points.
const GAP: f32 = 7.0;
/// From the tip of an arrow to the middle of its letter, points.
const LETTER: f32 = 10.0;

/// An arrow with its letter.
#[derive(Debug, Clone, Copy)]
pub(in crate::canvas) struct Arrow {
    tail: Pos2,
    tip: Pos2,
    along: Vec2,
    letter: &'static str,
}

impl Arrow {
    /// What it covers, its letter included.
    pub(in crate::canvas) fn rect(&self) -> Rect {
        Rect::from_two_pos(self.tail, self.tip + self.along * (LETTER + 6.0)).expand(4.0)
    }
}

/// The arrows X and Y, from the rim of the hole at the origin; none while there is nothing to run between.
pub(in crate::canvas) fn arrows(transform: &Transform, scene: &Scene) -> Vec<Arrow> {
    let Some(origin) = transform.screen_from_plate(PlatePoint::default()).filter(|_| scene.features.len() > 1) else {
        return Vec::new();
    };
    let at_origin = scene.features.iter().find(|feature| feature.at.distance(origin) < 2.0);
    let start = at_origin.map_or(0.0, |feature| feature.reach) + GAP;
    let arrow = |(step, letter)| {
        let ahead = transform.screen_from_plate(PlatePoint::default() + step)?;
        let along = (ahead - origin).normalized();
        Some(Arrow { tail: origin + along * start, tip: origin + along * (start + ARROW), along, letter })
    };
    [(PlateVec::new(1.0, 0.0), "X"), (PlateVec::new(0.0, 1.0), "Y")].into_iter().filter_map(arrow).collect()
}

/// Draws them.
pub(in crate::canvas) fn paint(painter: &Painter, view: Rect, arrows: &[Arrow]) {
    let mut lines = Lines::new(view);
    for Arrow { tail, tip, along, letter } in arrows {
        lines.line(&[*tail, *tip], 1.6, on_photo::BRASS_LIGHT, 1.5);
        let barb = |turn: f32| *tip - Vec2::angled(along.angle() + turn) * 8.0;
        lines.line(&[barb(0.45), *tip, barb(-0.45)], 1.6, on_photo::BRASS_LIGHT, 1.5);
        halo_text(painter, *tip + *along * LETTER, letter, on_photo::BRASS_LIGHT);
    }
    lines.paint(painter);
}

/// A letter with a dark halo.
fn halo_text(painter: &Painter, at: Pos2, text: &str, colour: Color32) {
    let font = font(13.0, Weight::SemiBold);
    for side in 0..8 {
        let step = Vec2::angled(side as f32 * std::f32::consts::TAU / 8.0) * 1.6;
        painter.text(at + step, Align2::CENTER_CENTER, text, font.clone(), on_photo::CASING);
    }
    painter.text(at, Align2::CENTER_CENTER, text, font, colour);
}
