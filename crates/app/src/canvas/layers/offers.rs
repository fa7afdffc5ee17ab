//! Rims that are offered as further holes: whole where they are ticked, dashed where they are not, each with its box.

use super::Lines;
use crate::canvas::scene::OfferSeen;
use crate::controls::{Icon, icons};
use crate::theme::{Colours, Weight, font, on_photo};
use egui::{CornerRadius, Painter, Rect, Stroke, StrokeKind, pos2};

/// Draws them.
pub(in crate::canvas) fn paint(painter: &Painter, view: Rect, offers: &[OfferSeen], colours: &Colours) {
    let mut lines = Lines::new(view);
    for offer in offers {
        let width = if offer.is_pointed_at { 3.0 } else { 1.8 };
        if offer.is_ticked {
            lines.closed(&offer.line, width, on_photo::BRASS_LIGHT, 1.3);
        } else {
            let closed: Vec<_> = offer.line.iter().chain(offer.line.first()).copied().collect();
            lines.dashed(&closed, (width, on_photo::LIGHT), 1.2, [5.0, 4.0]);
        }
    }
    lines.paint(painter);
    for offer in offers {
        let edge = Stroke::new(1.2, colours.flag_ink);
        let number = (offer.index + 1).to_string();
        let number = painter.layout_no_wrap(number, font(12.0, Weight::SemiBold), colours.flag_ink);
        let flag = offer.tick_box.with_max_x(offer.tick_box.right() + number.size().x + 6.0);
        painter.rect(flag, CornerRadius::same(2), colours.flag, edge, StrokeKind::Inside);
        painter.rect(offer.tick_box, CornerRadius::same(2), colours.flag, edge, StrokeKind::Inside);
        let at = pos2(offer.tick_box.right() + 3.0, flag.center().y - number.size().y / 2.0);
        painter.galley(at, number, colours.flag_ink);
        if offer.is_ticked {
            icons::paint(painter, icons::square(offer.tick_box.center()).shrink(1.0), Icon::Agrees, colours.flag_ink);
        }
    }
}
