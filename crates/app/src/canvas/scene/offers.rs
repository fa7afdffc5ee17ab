//! Rims that are offered as further holes, as they are seen.

use crate::canvas::transform::Transform;
use crate::session::{Operation, Session};
use egui::{Pos2, Rect, Vec2, vec2};

/// Side of a tick box, points.
const BOX: f32 = 16.0;
/// From a rim to its box, points.
const BESIDE: f32 = 5.0;

/// A rim that is offered.
#[derive(Debug, Clone)]
pub(in crate::canvas) struct OfferSeen {
    /// Its place in the list of offers.
    pub(in crate::canvas) index: usize,
    /// Its rim, closed.
    pub(in crate::canvas) line: Vec<Pos2>,
    /// Its tick box.
    pub(in crate::canvas) tick_box: Rect,
    /// It is ticked.
    pub(in crate::canvas) is_ticked: bool,
    /// The pointer is on its row in the sheet.
    pub(in crate::canvas) is_pointed_at: bool,
}

/// The offers; none but where holes are picked.
pub(super) fn offers(session: &Session, transform: &Transform) -> Vec<OfferSeen> {
    let screen = &session.screen;
    let Some(offers) = screen.offers.as_ref().filter(|_| screen.operation == Operation::Holes) else {
        return Vec::new();
    };
    let seen = |(index, rim): (usize, &crate::offers::OfferedRim)| {
        let line: Option<Vec<Pos2>> = rim.line.iter().map(|point| transform.screen_from_photo(*point)).collect();
        let line = line.filter(|line| Rect::from_points(line).intersects(transform.rect))?;
        let round = Rect::from_points(&line);
        let half = vec2(round.width(), -round.height()) * (0.5 * std::f32::consts::FRAC_1_SQRT_2);
        let middle = round.center() + half + vec2(1.0, -1.0) * (BESIDE + 0.5 * BOX);
        let tick_box = Rect::from_center_size(middle, Vec2::splat(BOX));
        let is_pointed_at = screen.pointed_offer == Some(index);
        Some(OfferSeen { index, line, tick_box, is_ticked: rim.is_ticked, is_pointed_at })
    };
    offers.rims.iter().enumerate().filter_map(seen).collect()
}
