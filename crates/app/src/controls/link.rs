//! A link: what can be done, among words.

use crate::theme::{self, Lettering};
use egui::text::{LayoutJob, TextWrapping};
use egui::{Response, Role, Sense, Stroke, Ui, Vec2, WidgetInfo};

/// A link with its accessible name where the words alone do not say it.
pub fn link(ui: &mut Ui, words: &str, name: Option<&str>) -> Response {
    let colours = theme::colours(ui);
    // A name that somebody typed may be longer than any panel is wide.
    let mut job = LayoutJob::simple_singleline(words.to_owned(), Lettering::Body.font(), colours.blue);
    job.wrap = TextWrapping::truncate_at_width(ui.max_rect().width().min(ui.clip_rect().width()));
    let galley = ui.painter().layout_job(job);
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
