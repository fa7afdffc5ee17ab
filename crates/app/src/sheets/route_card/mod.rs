//! The route card: the six operations, their sign-off boxes, and the settings of the open one. In a small window it
//! folds to the numbers, and the open card slides over the photo.

mod added;
mod camera;
mod clearance;
mod cut;
mod design;
mod duties;
mod finished;
mod group;
mod holes;
mod mark;
mod measured;
mod measures;
mod outline;
mod photo;
mod proof;

use super::sign_off::{SignOff, sign_off};
use super::terms;
use crate::command::{Action, Command};
use crate::controls::{focus_ring, icons, say, say_in};
use crate::session::{Operation, Session};
use crate::theme::{self, Colours, Lettering};
use egui::{
    Align2, Area, Frame, Id, Margin, Order, Panel, Rect, Role, ScrollArea, Sense, Stroke, Ui, WidgetInfo, pos2, vec2,
};

/// Width of the brass bar of the open operation.
const BRASS_BAR: f32 = 4.0;
/// Where names start, from the card's left edge.
const NAME_AT: f32 = 50.0;
/// Height of the card's own head.
const HEAD: f32 = 38.0;
/// Height of an operation on the folded card.
const FOLDED_ROW: f32 = 60.0;

/// The route card.
pub fn route_card(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let colours = theme::colours(ui);
    let window = ui.ctx().content_rect().width();
    let folded = window < theme::FOLD_BELOW;
    let width = match (folded, window >= theme::WIDE_FROM) {
        (true, _) => theme::ROUTE_FOLDED_WIDTH,
        (false, true) => theme::ROUTE_WIDE,
        (false, false) => theme::ROUTE_WIDTH,
    };
    let frame = Frame::NONE.fill(colours.paper);
    let panel = Panel::left("route").exact_size(width).resizable(false).show_separator_line(false).frame(frame);
    let card = panel.show(ui, |ui| {
        let whole = ui.max_rect();
        if folded {
            folded_card(ui, session, commands);
        } else {
            ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
                ui.spacing_mut().item_spacing.y = 0.0;
                eyelet(ui, colours);
                for operation in Operation::ALL {
                    operation_on_card(ui, session, commands, operation);
                }
            });
        }
        ui.painter().vline(whole.right() - 0.5, whole.y_range(), Stroke::new(1.0, colours.line));
    });
    if folded && session.screen.route_open {
        slid_out(ui, session, commands, card.response.rect);
    }
}

/// The card's head with its punched eyelet.
fn eyelet(ui: &mut Ui, colours: &Colours) {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), HEAD), Sense::hover());
    let middle = rect.center().y;
    let painter = ui.painter();
    let at = pos2(rect.left() + theme::ROUTE_MARGIN, middle);
    painter.text(at, Align2::LEFT_CENTER, "Route", Lettering::Strong.font(), colours.ink);
    painter.circle(rect.center(), 7.0, colours.tray, Stroke::new(3.0, colours.brass));
    icons::dashed_level(painter, rect.left(), rect.right(), rect.bottom() - 0.5, colours.line);
    response.widget_info(|| WidgetInfo::labeled(Role::Heading, true, "Route"));
}

fn operation_on_card(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>, operation: Operation) {
    let colours = theme::colours(ui);
    let open = session.screen.operation == operation && (session.document.is_some() || operation == Operation::Photo);
    let left = ui.max_rect().left();
    let fill = if open { colours.sheet } else { colours.paper };
    let block = Frame::NONE.fill(fill).show(ui, |ui| {
        head_of_operation(ui, session, commands, operation);
        if open && session.document.is_some() {
            let margin = Margin { left: 20, right: 14, top: 2, bottom: 10 };
            Frame::NONE.inner_margin(margin).show(ui, |ui| settings(ui, session, commands, operation));
        }
        ui.take_available_width();
    });
    let rect = block.response.rect;
    if open {
        let bar = Rect::from_min_max(pos2(left, rect.top()), pos2(left + BRASS_BAR, rect.bottom()));
        ui.painter().rect_filled(bar, 0.0, colours.brass);
    }
    icons::dashed_level(ui.painter(), rect.left(), rect.right(), rect.bottom() - 0.5, colours.line);
}

/// Number, name, state line and sign-off box; a click opens the operation.
fn head_of_operation(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>, operation: Operation) {
    let colours = theme::colours(ui);
    let (sign, state) = sign_off(session, operation);
    let width = ui.available_width();
    let wrap = width - NAME_AT - theme::ROUTE_MARGIN;
    let state_galley = ui.painter().layout(state.clone(), Lettering::Small.font(), colours.soft, wrap);
    // The open operation keeps room for two lines: its settings below do not move while a figure is typed into them.
    let open = session.screen.operation == operation && session.document.is_some();
    let least = if open { 2.0 * Lettering::Small.line() } else { 0.0 };
    let size = vec2(width, 32.0 + state_galley.size().y.max(least) + 8.0);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    if response.hovered() {
        ui.painter().rect_filled(rect, 0.0, colours.tray);
    }
    let middle = rect.top() + 20.0;
    let painter = ui.painter();
    let number_at = pos2(rect.left() + theme::ROUTE_MARGIN, middle);
    let number = operation.number().to_string();
    painter.text(number_at, Align2::LEFT_CENTER, number, Lettering::Number.font(), colours.brass_text);
    let name_at = pos2(rect.left() + NAME_AT, middle);
    painter.text(name_at, Align2::LEFT_CENTER, operation.name(), Lettering::Name.font(), colours.ink);
    painter.galley(pos2(rect.left() + NAME_AT, rect.top() + 31.0), state_galley, colours.soft);
    let box_at = pos2(rect.right() - theme::ROUTE_MARGIN - 8.0, middle);
    icons::paint(painter, icons::square(box_at), sign.icon(), sign_colour(sign, colours));
    focus_ring(ui, &response, rect.shrink(4.0));
    finish(session, commands, operation, &response, (sign, &state));
}

fn finish(
    session: &Session,
    commands: &mut Vec<Command>,
    operation: Operation,
    response: &egui::Response,
    (sign, state): (SignOff, &str),
) {
    let open = session.screen.operation == operation;
    let label = format!("{} {}: {state}; {}", operation.number(), operation.name(), sign.words());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, open, &label));
    if response.clicked() {
        commands.push(Command::Do(Action::Operation(operation)));
    }
}

fn sign_colour(sign: SignOff, colours: &Colours) -> egui::Color32 {
    match sign {
        SignOff::ToSign => colours.line,
        SignOff::Signed => colours.agree,
        SignOff::Unsigned => colours.disagree,
    }
}

/// Numbers and boxes alone.
fn folded_card(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let colours = theme::colours(ui);
    ui.spacing_mut().item_spacing.y = 0.0;
    for operation in Operation::ALL {
        let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), FOLDED_ROW), Sense::click());
        let (sign, state) = sign_off(session, operation);
        let open = session.screen.operation == operation;
        let fill = match (open, response.hovered()) {
            (true, _) => colours.sheet,
            (false, true) => colours.tray,
            (false, false) => colours.paper,
        };
        let painter = ui.painter();
        painter.rect_filled(rect, 0.0, fill);
        if open {
            let bar = Rect::from_min_size(rect.min, vec2(BRASS_BAR, rect.height()));
            painter.rect_filled(bar, 0.0, colours.brass);
        }
        let at = pos2(rect.center().x, rect.top() + 18.0);
        let number = operation.number().to_string();
        painter.text(at, Align2::CENTER_CENTER, number, Lettering::Number.font(), colours.brass_text);
        let box_at = pos2(rect.center().x, rect.top() + 42.0);
        icons::paint(painter, icons::square(box_at), sign.icon(), sign_colour(sign, colours));
        icons::dashed_level(painter, rect.left(), rect.right(), rect.bottom() - 0.5, colours.line);
        focus_ring(ui, &response, rect.shrink(4.0));
        finish(session, commands, operation, &response, (sign, &state));
        response.on_hover_text(format!("{}: {state}", operation.name()));
    }
}

/// The open card over the photo.
fn slid_out(ui: &Ui, session: &mut Session, commands: &mut Vec<Command>, card: Rect) {
    let colours = theme::colours(ui);
    let operation = session.screen.operation;
    let (_, state) = sign_off(session, operation);
    let area = Area::new(Id::unique("open-card")).order(Order::Middle).fixed_pos(card.right_top()).constrain(false);
    let area = area.accessible_name(format!("Settings of {}", operation.name()));
    area.show(ui.ctx(), |ui| {
        let frame =
            Frame::NONE.fill(colours.sheet).stroke(Stroke::new(theme::FRAME_LINE, colours.ink)).inner_margin(14.0);
        frame.show(ui, |ui| {
            ui.set_width(theme::ROUTE_CARD_WIDTH - 2.0 * theme::ROUTE_MARGIN);
            // An area offers no more height than it took last; another operation may need more.
            ui.set_max_height(card.height() - 32.0);
            say(ui, Lettering::Name, operation.name());
            say_in(ui, Lettering::Small, colours.soft, &state);
            ScrollArea::vertical().max_height(card.height() - 80.0).show(ui, |ui| {
                if session.document.is_some() {
                    settings(ui, session, commands, operation);
                }
            });
        });
    });
}

fn settings(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>, operation: Operation) {
    ui.spacing_mut().item_spacing = vec2(theme::BUTTON_GAP, 4.0);
    match operation {
        Operation::Photo => photo::settings(ui, session, commands),
        Operation::Holes => holes::settings(ui, session, commands),
        Operation::Measures => measures::settings(ui, session, commands),
        Operation::Outline => {
            outline::settings(ui, session, commands);
            design::settings(ui, session, commands);
        }
        Operation::Proof => proof::settings(ui, session),
        Operation::Cut => cut::settings(ui, session, commands),
    }
}

/// A label before what it names, in the card's narrow column.
fn labelled<R>(ui: &mut Ui, label: &str, add: impl FnOnce(&mut Ui, f32) -> R) -> R {
    let colours = theme::colours(ui);
    ui.horizontal(|ui| {
        let whole = ui.available_width();
        let (rect, response) = ui.allocate_exact_size(vec2(LABEL_WIDTH, theme::CONTROL_HEIGHT), Sense::hover());
        if let Some(meaning) = terms::meaning(label) {
            response.on_hover_text(meaning);
        }
        let at = rect.left_center();
        ui.painter().text(at, Align2::LEFT_CENTER, label, Lettering::Body.font(), colours.soft);
        let rest = whole - LABEL_WIDTH - ui.spacing().item_spacing.x;
        add(ui, rest)
    })
    .inner
}

/// Room for a label.
const LABEL_WIDTH: f32 = 56.0;
