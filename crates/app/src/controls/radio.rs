//! One of a list: a ring that is filled where it is chosen, its words, and what they mean in a second line.

use crate::theme::{self, Lettering};
use egui::{Response, Role, Sense, Stroke, Ui, Vec2, WidgetInfo, pos2};

/// From the ring's left edge to the words, points.
const WORDS_AT: f32 = 24.0;

/// A row of a list of which one is chosen; clicked when it is to be this one. `name` says what it is a choice of.
pub fn radio_row(ui: &mut Ui, name: &str, chosen: bool, words: &str, hint: &str) -> Response {
    let colours = theme::colours(ui);
    let width = ui.available_width();
    let room = width - WORDS_AT;
    let lettering = if chosen { Lettering::Strong } else { Lettering::Body };
    let head = ui.painter().layout(words.to_owned(), lettering.font(), colours.ink, room);
    let below = ui.painter().layout(hint.to_owned(), Lettering::Small.font(), colours.soft, room);
    let below_high = if hint.is_empty() { 0.0 } else { below.size().y };
    let high = (head.size().y + below_high + 4.0).max(theme::TARGET);
    let (rect, response) = ui.allocate_exact_size(Vec2::new(width, high), Sense::click());
    if response.hovered() && !chosen {
        ui.painter().rect_filled(rect.expand2(Vec2::new(4.0, 0.0)), 3.0, colours.tray);
    }
    let middle = pos2(rect.left() + 8.0, rect.top() + 2.0 + head.size().y / 2.0);
    let ring = if chosen { colours.blue } else { colours.line };
    ui.painter().circle(middle, 6.5, colours.sheet, Stroke::new(theme::EDGE, ring));
    if chosen {
        ui.painter().circle_filled(middle, 3.5, colours.blue);
    }
    let at = pos2(rect.left() + WORDS_AT, rect.top() + 2.0);
    let under = pos2(at.x, at.y + head.size().y);
    ui.painter().galley(at, head, colours.ink);
    if !hint.is_empty() {
        ui.painter().galley(under, below, colours.soft);
    }
    super::focus_ring(ui, &response, rect);
    response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, chosen, format!("{name}: {words}")));
    response
}
