//! A box that is ticked or not.

use super::icons::{self, Icon};
use crate::theme::{self, Lettering};
use egui::{Response, Role, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo};

/// A check box with its words, in as many lines as they need; clicked when it is to change.
pub fn check_box(ui: &mut Ui, ticked: bool, words: &str) -> Response {
    let colours = theme::colours(ui);
    let room = ui.available_width() - 23.0;
    let galley = ui.painter().layout(words.to_owned(), Lettering::Body.font(), colours.ink, room);
    let size = Vec2::new(galley.size().x + 23.0, galley.size().y.max(theme::TARGET));
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let square = egui::Rect::from_center_size(
        egui::pos2(rect.left() + 7.0, rect.top() + theme::TARGET / 2.0),
        Vec2::splat(13.0),
    );
    let fill = if response.hovered() { colours.tray } else { colours.sheet };
    ui.painter().rect(square, 2.0, fill, Stroke::new(theme::EDGE, colours.ink), StrokeKind::Middle);
    if ticked {
        icons::paint(ui.painter(), icons::square(square.center()).shrink(2.0), Icon::Agrees, colours.blue);
    }
    let at = egui::pos2(rect.left() + 22.0, rect.center().y - galley.size().y / 2.0);
    ui.painter().galley(at, galley, colours.ink);
    super::focus_ring(ui, &response, rect);
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, ticked, words));
    response
}
