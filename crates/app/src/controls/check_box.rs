//! A box that is ticked or not.

use super::icons::{self, Icon};
use super::text::columns_text;
use crate::theme::{self, Lettering};
use egui::{Align2, Response, Role, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo};

/// A check box with its words; clicked when it is to change.
pub fn check_box(ui: &mut Ui, ticked: bool, words: &str) -> Response {
    let colours = theme::colours(ui);
    let galley = ui.painter().layout_no_wrap(words.to_owned(), Lettering::Body.font(), colours.ink);
    let size = Vec2::new(galley.size().x + 23.0, theme::TARGET);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let square = egui::Rect::from_center_size(egui::pos2(rect.left() + 7.0, rect.center().y), Vec2::splat(13.0));
    let fill = if response.hovered() { colours.tray } else { colours.sheet };
    ui.painter().rect(square, 2.0, fill, Stroke::new(theme::EDGE, colours.ink), StrokeKind::Middle);
    if ticked {
        icons::paint(ui.painter(), icons::square(square.center()).shrink(2.0), Icon::Agrees, colours.blue);
    }
    let at = egui::pos2(rect.left() + 22.0, rect.center().y);
    columns_text(ui, at, Align2::LEFT_CENTER, Lettering::Body, colours.ink, words);
    super::focus_ring(ui, &response, rect);
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, ticked, words));
    response
}
