//! The switch between the photo as shot, flat, and what will be written on paper, over the view's upper left corner.

use crate::command::{Action, Command};
use crate::session::{Operation, Session, View};
use crate::theme::{ROUTE_CARD_WIDTH, ROUTE_FOLDED_WIDTH, ROUTE_WIDTH, TARGET, Weight, font};
use egui::{Align2, CornerRadius, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};

/// From the corner of the view, points.
const INSET: f32 = 12.0;
/// Size of each part, points.
const PART: egui::Vec2 = vec2(66.0, TARGET + 2.0);

/// What can be shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shown {
    Paper,
    AsShot,
    Flat,
}

impl Shown {
    const WITH_PAPER: [(Self, &'static str); 3] =
        [(Self::Paper, "Paper"), (Self::AsShot, "As shot"), (Self::Flat, "Flat")];

    fn now(session: &Session) -> Self {
        match session.screen.view {
            _ if session.screen.shows_paper() => Self::Paper,
            View::AsShot => Self::AsShot,
            View::Flat => Self::Flat,
        }
    }
}

/// What can be shown from the open operation.
fn parts(session: &Session) -> &'static [(Shown, &'static str)] {
    let writes = matches!(session.screen.operation, Operation::Proof | Operation::Cut);
    if writes && session.screen.export().has_pages() { &Shown::WITH_PAPER } else { &Shown::WITH_PAPER[1..] }
}

/// Where the switch is: beside the settings that slide over the view where the route card is folded.
pub(crate) fn rect(view: Rect, session: &Session) -> Rect {
    let is_folded = view.left() < ROUTE_WIDTH;
    let card = if is_folded && session.screen.route_open { ROUTE_FOLDED_WIDTH + ROUTE_CARD_WIDTH } else { 0.0 };
    let at = pos2(view.left().max(card) + INSET, view.top() + INSET);
    Rect::from_min_size(at, vec2(parts(session).len() as f32 * PART.x, PART.y))
}

/// How far down it reaches.
pub(super) fn bottom(view: Rect) -> f32 {
    view.top() + INSET + PART.y
}

/// Draws the switch and asks for another view where it is clicked.
pub(crate) fn show(ui: &Ui, view: Rect, session: &mut Session, commands: &mut Vec<Command>) {
    let c = session.settings.theme.colours();
    let (whole, now) = (rect(view, session), Shown::now(session));
    let flat_waits = Action::SwitchView.waits_for(session);
    for (index, &(which, name)) in parts(session).iter().enumerate() {
        let part = Rect::from_min_size(whole.min + vec2(PART.x * index as f32, 0.0), PART);
        let chosen = now == which;
        let waits = flat_waits.filter(|_| which == Shown::Flat && !chosen);
        let sense = if waits.is_none() { Sense::click() } else { Sense::hover() };
        let response = ui.interact(part, ui.scope_id().with(("view switch", index)), sense);
        response.widget_info(|| WidgetInfo::selected(Role::RadioButton, waits.is_none(), chosen, name));
        let (fill, text) = match (chosen, waits, response.hovered()) {
            (true, ..) => (c.ink, c.paper),
            (false, Some(_), _) => (c.sheet, c.soft),
            (false, None, true) => (c.tray, c.ink),
            (false, None, false) => (c.sheet, c.ink),
        };
        ui.painter().rect_filled(part, CornerRadius::ZERO, fill);
        let down = if response.is_pointer_button_down_on() { 1.0 } else { 0.0 };
        let at = part.center() + vec2(0.0, down);
        ui.painter().text(at, Align2::CENTER_CENTER, name, font(13.5, Weight::SemiBold), text);
        if response.has_focus() {
            let ring = part.expand(3.0);
            ui.painter().rect_stroke(ring, CornerRadius::same(4), Stroke::new(2.0, c.blue), StrokeKind::Middle);
        }
        if response.clicked() && !chosen {
            switch_to(session, commands, now, which);
        }
        if let Some(reason) = waits {
            response.on_hover_text(reason);
        }
    }
    ui.painter().rect_stroke(whole, CornerRadius::same(3), Stroke::new(1.5, c.ink), StrokeKind::Outside);
    for index in 1..parts(session).len() {
        let x = whole.left() + PART.x * index as f32;
        let divide = vec![pos2(x, whole.top()), pos2(x, whole.bottom())];
        ui.painter().add(Shape::line(divide, Stroke::new(1.5, c.ink)));
    }
}

/// Between the two views of the photo goes the command; to and from the paper only what is shown changes.
fn switch_to(session: &mut Session, commands: &mut Vec<Command>, now: Shown, to: Shown) {
    match (now, to) {
        (Shown::AsShot | Shown::Flat, Shown::AsShot | Shown::Flat) => commands.push(Command::Do(Action::SwitchView)),
        (_, Shown::Paper) => session.screen.on_paper = true,
        (Shown::Paper, view) => {
            session.screen.on_paper = false;
            session.screen.view = if view == Shown::Flat { View::Flat } else { View::AsShot };
        }
    }
}
