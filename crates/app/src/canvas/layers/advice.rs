//! Where on the photo it costs something: a dashed ring round each place of the rule that is pointed at in the sheet.

use super::Lines;
use crate::canvas::transform::Transform;
use crate::session::Session;
use crate::theme::on_photo;
use egui::{Painter, Pos2, Vec2};

/// Between a place and the ring round it, and the least radius of a ring, points.
const ROOM: f32 = 6.0;
const LEAST: f32 = 12.0;

/// Draws them.
pub(in crate::canvas) fn paint(painter: &Painter, transform: &Transform, session: &Session) {
    let Some(pointed) = session.screen.photo_advice.pointed else { return };
    let mut lines = Lines::new(transform.rect);
    let advice = session.results.judged.advice.iter().filter(|advice| advice.name == pointed);
    for place in advice.flat_map(|advice| &advice.places) {
        let Some(at) = transform.screen_from_photo(place.at) else { continue };
        let radius = (0.5 * place.across_px * session.screen.look.zoom) as f32 + ROOM;
        let on_ring = |step: u32| at + Vec2::angled(step as f32 * std::f32::consts::TAU / 72.0) * radius.max(LEAST);
        let ring: Vec<Pos2> = (0..=72).map(on_ring).collect();
        lines.dashed(&ring, (2.4, on_photo::DISAGREE), 1.2, [7.0, 4.0]);
    }
    lines.paint(painter);
}
