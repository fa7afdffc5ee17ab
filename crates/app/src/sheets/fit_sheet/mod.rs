//! The fit sheet: a sentence, what helps next, then the tables. In a small window it is a drawer over the photo.

mod bolt_up;
mod camera;
mod checks;
mod design;
mod edge;
mod explain;
mod exports;
mod findings;
mod holes;
mod measures;
mod next;
mod offered;
mod offs;
mod outline;
mod photo;
mod printer;
mod proposed;
mod rows;
mod statements;
mod suspects;
#[cfg(test)]
mod tests;
mod trial;
mod typing;

use super::verdict::{Offer, Verdict, verdict};
use super::{start_sheet, terms};
use crate::command::{Action, Command};
use crate::controls::{Button, Head, Icon, icons, say, say_in};
use crate::exports::Export;
use crate::session::{Chosen, Operation, Session, Standing};
use crate::theme::{self, Lettering};
use egui::{Align, Area, Frame, Id, Layout, Margin, Order, Panel, Rect, ScrollArea, Stroke, Ui, UiBuilder, vec2};

/// How strong figures are that will be others once the rims are measured.
const OUT_OF_DATE: f32 = 0.4;
/// Height of the sheet from which its sentence and 'measure next' stay while the rest scrolls.
const STAYS_FROM: f32 = 520.0;

/// The place of the fit sheet.
#[derive(Debug, Clone, Copy)]
pub enum SheetPlace {
    /// Beside the photo, with the place of what is on it.
    Beside { whole: Rect, inside: Rect },
    /// A drawer over the photo, which has this place.
    Over(Rect),
}

/// Keeps the place of the fit sheet, and lays its paper.
///
/// Its controls come later ([`fit_sheet`]): Tab goes to them in the order in which they are drawn, and the photo comes first.
pub fn fit_sheet_place(ui: &mut Ui, session: &Session) -> SheetPlace {
    let colours = theme::colours(ui);
    let window = ui.ctx().content_rect().width();
    // With nothing open there is nothing to lie over: the start sheet keeps its own place.
    if window < theme::DRAWER_BELOW && session.document.is_some() {
        return SheetPlace::Over(ui.available_rect_before_wrap());
    }
    let width = match window {
        w if w >= theme::WIDE_FROM => theme::SHEET_WIDE,
        w if w < theme::FOLD_BELOW => theme::SHEET_NARROW_WIDTH,
        _ => theme::SHEET_WIDTH,
    };
    let panel = Panel::right("sheet").exact_size(width).resizable(false).show_separator_line(false).frame(paper(ui));
    let shown = panel.show(ui, |ui| ui.max_rect());
    let whole = shown.response.rect;
    let line = whole.left() + theme::FRAME_LINE / 2.0;
    ui.painter().vline(line, whole.y_range(), Stroke::new(theme::FRAME_LINE, colours.ink));
    SheetPlace::Beside { whole, inside: shown.inner }
}

fn paper(ui: &Ui) -> Frame {
    Frame::NONE.fill(theme::colours(ui).paper).inner_margin(Margin { left: 18, right: 0, top: 12, bottom: 8 })
}

/// The fit sheet in its place; a drawer where it is open.
pub fn fit_sheet(ui: &mut Ui, place: SheetPlace, session: &mut Session, commands: &mut Vec<Command>) {
    let (whole, inside) = match place {
        SheetPlace::Beside { whole, inside } => (whole, inside),
        SheetPlace::Over(photo) => {
            if session.screen.drawer_open {
                drawer(ui, photo, session, commands);
            }
            return;
        }
    };
    let builder = UiBuilder::new().max_rect(inside).layout(Layout::top_down(Align::Min)).id_salt("fit-sheet");
    let mut ui = ui.new_child(builder);
    ui.shrink_clip_rect(whole);
    contents(&mut ui, session, commands);
}

fn drawer(ui: &Ui, place: Rect, session: &mut Session, commands: &mut Vec<Command>) {
    let width = theme::SHEET_NARROW_WIDTH.min(place.width());
    let at = egui::pos2(place.right() - width, place.top());
    let edge = Stroke::new(theme::FRAME_LINE, theme::colours(ui).ink);
    let area = Area::new(Id::unique("sheet-drawer")).order(Order::Middle).fixed_pos(at).constrain(false);
    area.accessible_name("Fit sheet").show(ui.ctx(), |ui| {
        paper(ui).stroke(edge).show(ui, |ui| {
            ui.set_width(width - 18.0 - 2.0 * theme::FRAME_LINE);
            ui.set_height(place.height() - 20.0 - 2.0 * theme::FRAME_LINE);
            contents(ui, session, commands);
        });
    });
}

fn contents(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    ui.spacing_mut().item_spacing = vec2(theme::BUTTON_GAP, 4.0);
    if session.document.is_none() {
        scrolled(ui, None, |ui| start_sheet::show(ui, session, commands));
        return;
    }
    if session.results.standing == Standing::Waiting {
        ui.multiply_opacity(OUT_OF_DATE);
    }
    if ui.available_height() >= STAYS_FROM {
        with_margin(ui, |ui| {
            head(ui, session, commands);
            next_block(ui, session, commands);
        });
        scrolled(ui, Some(session.screen.operation), |ui| tables(ui, session, commands));
    } else {
        scrolled(ui, Some(session.screen.operation), |ui| {
            head(ui, session, commands);
            next_block(ui, session, commands);
            tables(ui, session, commands);
        });
    }
}

fn with_margin(ui: &mut Ui, add: impl FnOnce(&mut Ui)) {
    Frame::NONE.inner_margin(Margin { right: theme::SHEET_MARGIN as i8, ..Margin::ZERO }).show(ui, add);
}

/// Each operation keeps a scroll place of its own.
fn scrolled(ui: &mut Ui, of: Option<Operation>, add: impl FnOnce(&mut Ui)) {
    ScrollArea::vertical()
        .id_salt(("sheet", of.map(Operation::number)))
        .auto_shrink(false)
        .show(ui, |ui| with_margin(ui, add));
}

fn head(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    say_in(ui, Lettering::Strong, theme::colours(ui).ink, "Fit sheet");
    if let Some(verdict) = verdict(session) {
        sentence(ui, &verdict);
        offers(ui, session, commands, &verdict.offers);
    }
}

fn sentence(ui: &mut Ui, verdict: &Verdict) {
    let colours = theme::colours(ui);
    let colour = verdict.tone.text(colours);
    ui.add_space(4.0);
    ui.horizontal_top(|ui| {
        ui.add_space(1.0);
        let (rect, _) = ui.allocate_exact_size(vec2(theme::ICON, 24.0), egui::Sense::hover());
        icons::paint(ui.painter(), icons::square(rect.center()), verdict.icon, colour);
        ui.with_layout(Layout::top_down(egui::Align::Min), |ui| {
            let said = say_in(ui, Lettering::Sentence, colour, &verdict.sentence);
            if let Some(meaning) = terms::in_sentence(&verdict.sentence) {
                rows::describe(said, &meaning);
            }
        });
    });
    if !verdict.explanation.is_empty() {
        let said = say(ui, Lettering::Body, &verdict.explanation);
        if let Some(meaning) = terms::in_sentence(&verdict.explanation) {
            rows::describe(said, &meaning);
        }
    }
}

/// What can be done about how things stand.
fn offers(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>, offers: &[Offer]) {
    if offers.is_empty() {
        return;
    }
    ui.add_space(2.0);
    ui.horizontal_wrapped(|ui| {
        for (index, offer) in offers.iter().enumerate() {
            let words = offer.words();
            let button = if index == 0 { Button::rest(&words) } else { Button::quiet(&words) };
            let button = match offer {
                Offer::Take(..) => button.icon(Icon::NotKnown).key(Action::TypeNext.key_text()),
                Offer::TypeNext => button.key(Action::TypeNext.key_text()).name("Type the measure that helps most"),
                Offer::Join => button.key(Action::Join.key_text()).icon(Icon::Join),
                Offer::Show(_) | Offer::ShowRim(..) => button.icon(Icon::Show),
                _ => button,
            };
            if button.show(ui).clicked() {
                take_up(session, commands, offer);
            }
        }
    });
}

fn take_up(session: &mut Session, commands: &mut Vec<Command>, offer: &Offer) {
    match offer {
        Offer::MeasureAgain(id, _) => {
            session.screen.operation = Operation::Measures;
            session.screen.chosen = Some(Chosen::Measure(id.clone()));
            session.screen.retyping = Some(id.clone());
        }
        Offer::LeaveOut(id, name) => commands.push(measures::leave_out(id, name)),
        Offer::Take(next, _) => session.begin_measure(next.clone()),
        Offer::SayBroken => commands.push(findings::say_broken(session)),
        Offer::TypeNext => commands.push(Command::Do(Action::TypeNext)),
        Offer::Join => commands.push(Command::Do(Action::Join)),
        Offer::Show(id) | Offer::ShowRim(id, _) => super::places::show(session, id),
        Offer::Go(operation) => commands.push(Command::Do(Action::Operation(*operation))),
    }
}

/// The measure in hand and those that would help, which stay in sight.
fn next_block(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let operation = session.screen.operation;
    let taking = session.screen.draft.is_some() || session.screen.stating.is_some();
    if taking || operation == Operation::Measures {
        statements::draft(ui, session, commands);
        typing::show(ui, session, commands);
        next::show(ui, session);
    }
}

fn tables(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    match session.screen.operation {
        Operation::Holes => {
            offered::show(ui, session, commands);
            holes::rims(ui, session);
            holes::table(ui, session);
            bolt_up::show(ui, session, commands);
        }
        Operation::Outline => {
            proposed::show(ui, session, commands);
            outline::show(ui, session, commands);
            design::show(ui, session);
        }
        Operation::Cut => {
            checks::show(ui, session, commands);
        }
        Operation::Photo => {
            photo::show(ui, session);
            if session.screen.draft.is_none() && session.screen.stating.is_none() {
                next::show(ui, session);
            }
            camera::show(ui, session);
        }
        Operation::Proof => {
            exports::show(ui, session, commands);
            if session.screen.export() == Export::Proof {
                printer::show(ui, session, commands);
            }
            trial::show(ui, session, commands);
            holes::table(ui, session);
            bolt_up::show(ui, session, commands);
        }
        Operation::Measures => {
            suspects::show(ui, session);
            measures::table(ui, session, commands);
            statements::table(ui, session, commands);
            offs::show(ui, session);
            holes::table(ui, session);
            bolt_up::show(ui, session, commands);
            camera::show(ui, session);
        }
    }
    findings::show(ui, session, commands);
    ui.add_space(theme::HEAD_GAP);
}

/// A line in soft words under a table.
fn note(ui: &mut Ui, words: &str) {
    say_in(ui, Lettering::Small, theme::colours(ui).soft, words);
}

/// The head of a table with what its figures are in.
fn table_head(ui: &mut Ui, name: &str, note: &str) {
    Head::new(name).note(note).show(ui);
}
