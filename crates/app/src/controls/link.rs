//! A link: what can be done, among words.

use super::text::one_line;
use crate::theme::{self, Lettering};
use egui::{Response, Role, Sense, Stroke, Ui, Vec2, WidgetInfo};

/// A link with its accessible name where the words alone do not say it.
pub fn link(ui: &mut Ui, words: &str, name: Option<&str>) -> Response {
    let colours = theme::colours(ui);
    let galley = one_line(ui, words, Lettering::Body, colours.blue, 0.0);
    let size = galley.size();
    let (rect, response) =
        ui.allocate_exact_size(Vec2::new(size.x.max(theme::TARGET), size.y.max(theme::TARGET)), Sense::click());
    let at = egui::pos2(rect.left(), rect.center().y - size.y / 2.0);
    let thickness = if response.hovered() { 2.0 } else { 1.0 };
    ui.painter().galley(at, galley, colours.blue);
    ui.painter().hline(rect.left()..=rect.left() + size.x, at.y + size.y - 1.0, Stroke::new(thickness, colours.blue));
    super::focus_ring(ui, &response, rect);
    response.widget_info(|| WidgetInfo::labeled(Role::Link, true, name.unwrap_or(words)));
    response
}
