//! Rims that are offered as further holes, and contours that are proposed, as they are seen.

use crate::canvas::transform::Transform;
use crate::proposal::ProposedContour;
use crate::session::{Operation, Session};
use egui::{Pos2, Rect, Vec2, vec2};
use platewright_core::job::Role;

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
    /// It goes round the part.
    pub(in crate::canvas) is_outline: bool,
    /// It is ticked.
    pub(in crate::canvas) is_ticked: bool,
    /// The pointer is on its row in the sheet.
    pub(in crate::canvas) is_pointed_at: bool,
}

/// The offers; none but where holes are picked.
pub(super) fn offers(session: &Session, transform: &Transform) -> Vec<OfferSeen> {
    let screen = &session.screen;
    if let Some(proposal) = screen.proposal.as_ref().filter(|_| screen.operation == Operation::Outline) {
        let all = proposal.contours.iter().enumerate();
        return all.filter_map(|(index, contour)| proposed(session, transform, index, contour)).collect();
    }
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
        Some(OfferSeen { index, line, tick_box, is_outline: false, is_ticked: rim.is_ticked, is_pointed_at })
    };
    offers.rims.iter().enumerate().filter_map(seen).collect()
}

/// A proposed contour: its box stands beside the place of it that is farthest up and to the right.
fn proposed(session: &Session, transform: &Transform, index: usize, contour: &ProposedContour) -> Option<OfferSeen> {
    let line: Option<Vec<Pos2>> = contour.line.iter().map(|point| transform.screen_from_photo(*point)).collect();
    let line = line.filter(|line| Rect::from_points(line).intersects(transform.rect))?;
    let towards = |at: &Pos2| at.x - at.y;
    let outermost = line.iter().max_by(|a, b| towards(a).total_cmp(&towards(b)))?;
    let middle = *outermost + vec2(1.0, -1.0) * (BESIDE + 0.5 * BOX);
    let tick_box = Rect::from_center_size(middle, Vec2::splat(BOX));
    let is_pointed_at = session.screen.pointed_offer == Some(index);
    let is_outline = contour.role == Role::Outer;
    Some(OfferSeen { index, line, tick_box, is_outline, is_ticked: contour.is_ticked, is_pointed_at })
}
