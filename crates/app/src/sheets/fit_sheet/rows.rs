//! Rows of the tables: cells at fixed places, the whole row one target.

use crate::controls::{columns_text, focus_ring};
use crate::sheets::terms;
use crate::theme::{self, Colours, Lettering};
use egui::{Align2, Color32, Rect, Response, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

/// A row being drawn.
pub(super) struct Row {
    /// Where it is.
    pub(super) rect: Rect,
    /// What is done to it.
    pub(super) response: Response,
}

/// A row that can be clicked; `name` says everything that its cells say.
pub(super) fn clickable(ui: &mut Ui, name: &str, chosen: bool) -> Row {
    let colours = theme::colours(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), theme::TARGET), Sense::click());
    let fill = match (chosen, response.hovered()) {
        (true, _) => colours.sheet,
        (false, true) => colours.tray,
        (false, false) => Color32::TRANSPARENT,
    };
    let ground = rect.expand2(vec2(4.0, 0.0));
    ui.painter().rect_filled(ground, 2.0, fill);
    if chosen {
        let bar = Rect::from_min_size(ground.min - vec2(4.0, 0.0), vec2(3.0, ground.height()));
        ui.painter().rect_filled(bar, 0.0, colours.brass);
    }
    focus_ring(ui, &response, ground.shrink(2.0));
    response.widget_info(|| WidgetInfo::selected(Role::Row, true, chosen, name));
    Row { rect, response }
}

/// A row that only says something.
pub(super) fn plain(ui: &mut Ui, name: &str) -> Rect {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), theme::ROW), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Row, true, name));
    rect
}

/// The column heads: words, where they end or start, as a share of the width.
pub(super) fn column_heads(ui: &mut Ui, heads: &[(&str, f32, Align2)]) {
    let colours = theme::colours(ui);
    let (rect, whole) = ui.allocate_exact_size(vec2(ui.available_width(), 16.0), Sense::hover());
    for (index, (words, x, align)) in heads.iter().enumerate() {
        let at = pos2(rect.left() + x, rect.center().y);
        let drawn = ui.painter().text(at, *align, *words, Lettering::Small.font(), colours.soft);
        if let Some(meaning) = terms::meaning(words) {
            let response = ui.interact(drawn.expand2(vec2(3.0, 2.0)), whole.id.with(index), Sense::hover());
            response.widget_info(|| WidgetInfo::labeled(Role::ColumnHeader, true, words));
            describe(response, meaning);
        }
    }
}

/// Says more of what is under the pointer, and to a screen reader.
pub(super) fn describe(response: Response, words: &str) -> Response {
    response.ctx.accesskit_node_builder(response.id, |node| node.set_description(words));
    response.on_hover_text(words)
}

/// A cell whose words start at `x` from the row's left.
pub(super) fn left(ui: &Ui, rect: Rect, x: f32, lettering: Lettering, colour: Color32, words: &str) {
    columns_text(ui, pos2(rect.left() + x, rect.center().y), Align2::LEFT_CENTER, lettering, colour, words);
}

/// A cell whose words end at `x` from the row's left.
pub(super) fn right(ui: &Ui, rect: Rect, x: f32, lettering: Lettering, colour: Color32, words: &str) {
    columns_text(ui, pos2(rect.left() + x, rect.center().y), Align2::RIGHT_CENTER, lettering, colour, words);
}

/// A label at the left and its figure at the right.
pub(super) fn pair(ui: &mut Ui, label: &str, figure: &str) {
    let colours: &Colours = theme::colours(ui);
    let rect = plain(ui, &format!("{label}: {figure}"));
    left(ui, rect, 0.0, Lettering::Body, colours.ink, label);
    right(ui, rect, rect.width(), Lettering::Strong, colours.ink, figure);
}

/// The line through a row that is left out.
pub(super) fn strike(ui: &Ui, rect: Rect, to: f32) {
    let colour = theme::colours(ui).soft;
    ui.painter().hline(rect.left()..=rect.left() + to, rect.center().y, Stroke::new(1.2, colour));
}
