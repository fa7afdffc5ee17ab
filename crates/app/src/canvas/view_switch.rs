//! The switch between the photo as shot and flat, over the photo's upper left corner.

use crate::command::{Action, Command};
use crate::session::{Session, View};
use crate::theme::{TARGET, Weight, font};
use egui::{Align2, CornerRadius, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};

/// From the corner of the photo, points.
const INSET: f32 = 12.0;
/// Size of each half, points.
const HALF: egui::Vec2 = vec2(66.0, TARGET + 2.0);

/// Where the switch is.
pub(super) fn rect(view: Rect) -> Rect {
    Rect::from_min_size(view.min + vec2(INSET, INSET), vec2(2.0 * HALF.x, HALF.y))
}

/// Draws the switch and asks for the other view where it is clicked.
pub(super) fn show(ui: &Ui, view: Rect, session: &Session, commands: &mut Vec<Command>) {
    let c = session.settings.theme.colours();
    let whole = rect(view);
    let waits = Action::SwitchView.waits_for(session);
    for (index, (which, name)) in [(View::AsShot, "As shot"), (View::Flat, "Flat")].into_iter().enumerate() {
        let half = Rect::from_min_size(whole.min + vec2(HALF.x * index as f32, 0.0), HALF);
        let chosen = session.screen.view == which;
        let enabled = chosen || waits.is_none();
        let sense = if enabled { Sense::click() } else { Sense::hover() };
        let response = ui.interact(half, ui.scope_id().with(("view switch", index)), sense);
        response.widget_info(|| WidgetInfo::selected(Role::RadioButton, enabled, chosen, name));
        let (fill, text) = match (chosen, enabled, response.hovered()) {
            (true, ..) => (c.ink, c.paper),
            (false, false, _) => (c.sheet, c.soft),
            (false, true, true) => (c.tray, c.ink),
            (false, true, false) => (c.sheet, c.ink),
        };
        ui.painter().rect_filled(half, CornerRadius::ZERO, fill);
        let down = if response.is_pointer_button_down_on() { 1.0 } else { 0.0 };
        let at = half.center() + vec2(0.0, down);
        ui.painter().text(at, Align2::CENTER_CENTER, name, font(13.5, Weight::SemiBold), text);
        if response.has_focus() {
            let ring = half.expand(3.0);
            ui.painter().rect_stroke(ring, CornerRadius::same(4), Stroke::new(2.0, c.blue), StrokeKind::Middle);
        }
        if response.clicked() && !chosen {
            commands.push(Command::Do(Action::SwitchView));
        }
        if let Some(reason) = waits.filter(|_| !enabled) {
            response.on_hover_text(reason);
        }
    }
    ui.painter().rect_stroke(whole, CornerRadius::same(3), Stroke::new(1.5, c.ink), StrokeKind::Outside);
    let middle = whole.center().x;
    let divide = vec![pos2(middle, whole.top()), pos2(middle, whole.bottom())];
    ui.painter().add(Shape::line(divide, Stroke::new(1.5, c.ink)));
}
