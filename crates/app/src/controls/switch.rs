//! One of a few: a row of halves (or thirds), the chosen one in ink.

use crate::theme::{self, Lettering};
use egui::{CornerRadius, Rect, Role, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2};

/// A switch between `choices`, each with its words; the newly chosen one, where it changed. `name` says what it is a
/// choice of, before each of the words in their accessible names.
pub fn switch<T: Copy + PartialEq>(ui: &mut Ui, name: &str, now: T, choices: &[(T, &str)], width: f32) -> Option<T> {
    let colours = theme::colours(ui);
    let (id, whole) = ui.allocate_space(Vec2::new(width, theme::TARGET + 2.0));
    // What is left over beside the words is shared out, so that a long word does not touch its edge.
    let font = Lettering::Strong.font();
    let widths: Vec<f32> = choices
        .iter()
        .map(|(_, words)| ui.painter().layout_no_wrap((*words).to_owned(), font.clone(), colours.ink).size().x)
        .collect();
    let padding = (whole.width() - widths.iter().sum::<f32>()) / choices.len().max(1) as f32;
    let mut left = whole.left();
    let mut chosen = None;
    for (index, (value, words)) in choices.iter().enumerate() {
        let right = left + widths[index] + padding;
        let rect = Rect::from_min_max(pos2(left, whole.top()), pos2(right, whole.bottom()));
        left = right;
        let response = ui.interact(rect, id.with(index), Sense::click());
        let is_now = *value == now;
        let (fill, text) = match (is_now, response.hovered()) {
            (true, _) => (colours.ink, colours.paper),
            (false, true) => (colours.tray, colours.ink),
            (false, false) => (colours.sheet, colours.soft),
        };
        let corners = CornerRadius {
            nw: if index == 0 { 3 } else { 0 },
            sw: if index == 0 { 3 } else { 0 },
            ne: if index + 1 == choices.len() { 3 } else { 0 },
            se: if index + 1 == choices.len() { 3 } else { 0 },
        };
        ui.painter().rect(rect, corners, fill, Stroke::new(1.0, colours.ink), StrokeKind::Inside);
        let lettering = if is_now { Lettering::Strong } else { Lettering::Body };
        ui.painter().text(rect.center(), egui::Align2::CENTER_CENTER, *words, lettering.font(), text);
        super::focus_ring(ui, &response, rect);
        response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, is_now, format!("{name}: {words}")));
        if response.clicked() && !is_now {
            chosen = Some(*value);
        }
    }
    chosen
}
