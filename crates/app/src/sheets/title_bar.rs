//! The title block: part, photo, saved; the few commands for the whole job; the verdict's stamp.

use super::stamp::{Stamp, stamp};
use super::terms;
use crate::command::{Action, Command};
use crate::controls::{Button, icons};
use crate::files::short_name;
use crate::session::{Document, Session};
use crate::theme::{self, Lettering};
use egui::{Align, Align2, Frame, Layout, Panel, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};

/// Window width below which the cell 'saved' goes.
const SAVED_FROM: f32 = 1100.0;
/// Window width below which undo, redo, theme and keys are left to their keys.
const ALL_BUTTONS_FROM: f32 = 1200.0;
/// Widest cell.
const WIDEST_CELL: f32 = 230.0;

/// The title block.
pub fn title_bar(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let colours = theme::colours(ui);
    let frame = Frame::NONE.fill(colours.paper);
    Panel::top("title").exact_size(theme::TITLE_HEIGHT).resizable(false).show_separator_line(false).frame(frame).show(
        ui,
        |ui| {
            let whole = ui.max_rect();
            let line = whole.bottom() - theme::FRAME_LINE / 2.0;
            ui.painter().hline(whole.x_range(), line, Stroke::new(theme::FRAME_LINE, colours.ink));
            ui.horizontal_centered(|ui| {
                ui.spacing_mut().item_spacing.x = 0.0;
                cells(ui, session, whole.width());
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    ui.spacing_mut().item_spacing.x = theme::BUTTON_GAP;
                    ui.add_space(theme::ROUTE_MARGIN);
                    // The buttons stay where they are, however long the stamp is.
                    buttons(ui, session, commands, whole.width());
                    if let Some(stamp) = stamp(session) {
                        ui.add_space(8.0);
                        draw_stamp(ui, &stamp);
                    }
                });
            });
        },
    );
}

fn cells(ui: &mut Ui, session: &Session, window: f32) {
    let Some(document) = &session.document else {
        cell(ui, "Part", "No job open", Lettering::Name);
        return;
    };
    let title = if document.job().title.trim().is_empty() { "No name yet" } else { document.job().title.trim() };
    let mark = if document.is_modified() { " *" } else { "" };
    cell(ui, "Part", &format!("{title}{mark}"), Lettering::Name);
    if window >= theme::DRAWER_BELOW {
        cell(ui, "Photo", &short_name(&document.photo.path), Lettering::Cell);
    }
    if window >= SAVED_FROM {
        cell(ui, "Saved", saved_words(document), Lettering::Cell);
    }
}

/// Where the job stands against its file.
fn saved_words(document: &Document) -> &'static str {
    match (&document.saved, document.is_modified()) {
        (None, _) => "not yet",
        (Some(_), true) => "changed since",
        (Some(_), false) => "as it stands",
    }
}

fn cell(ui: &mut Ui, label: &str, value: &str, lettering: Lettering) {
    let colours = theme::colours(ui);
    let mut job = egui::text::LayoutJob::simple_singleline(value.to_owned(), lettering.font(), colours.ink);
    job.wrap = egui::text::TextWrapping::truncate_at_width(WIDEST_CELL);
    let value_galley = ui.painter().layout_job(job);
    let label_galley = ui.painter().layout_no_wrap(label.to_owned(), Lettering::Small.font(), colours.soft);
    let width = value_galley.size().x.max(label_galley.size().x) + 2.0 * 16.0;
    let (rect, response) = ui.allocate_exact_size(vec2(width, theme::TITLE_HEIGHT - theme::FRAME_LINE), Sense::hover());
    ui.painter().galley(pos2(rect.left() + 16.0, rect.top() + 4.0), label_galley, colours.soft);
    ui.painter().galley(pos2(rect.left() + 16.0, rect.top() + 20.0), value_galley, colours.ink);
    ui.painter().vline(rect.right(), rect.y_range(), Stroke::new(1.0, colours.rule));
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, format!("{label}: {value}")));
}

/// A button of the title block.
struct Deed {
    action: Action,
    words: &'static str,
    hint: String,
}

/// Those that a window of this width has room for, from left to right, which is the order of Tab.
fn deeds(session: &Session, window: f32) -> Vec<Deed> {
    let deed =
        |action: Action, words: &'static str, step: Option<&str>| Deed { action, words, hint: hint(action, step) };
    let mut deeds = Vec::new();
    if let Some(document) = &session.document {
        deeds.push(deed(Action::Open, "Open", None));
        deeds.push(deed(Action::Save, "Save", None));
        if window >= theme::DRAWER_BELOW {
            deeds.push(deed(Action::Undo, "Undo", document.history.undo_name()));
            deeds.push(deed(Action::Redo, "Redo", document.history.redo_name()));
        }
    }
    if window >= ALL_BUTTONS_FROM {
        let other = match session.settings.theme {
            theme::Theme::Paper => "Dark",
            theme::Theme::NightShift => "Light",
        };
        deeds.push(deed(Action::OtherTheme, other, None));
        deeds.push(deed(Action::Keys, "Keys", None));
    }
    deeds
}

/// The buttons, at the right end of the title block.
fn buttons(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>, window: f32) {
    let deeds = deeds(session, window);
    let widths: f32 = deeds.iter().map(|deed| Button::quiet(deed.words).natural_width(ui)).sum();
    let whole = widths + theme::BUTTON_GAP * deeds.len().saturating_sub(1) as f32;
    let room = vec2(whole.min(ui.available_width()), ui.available_height());
    ui.allocate_ui_with_layout(room, Layout::left_to_right(Align::Center), |ui| {
        for deed in &deeds {
            let button = Button::quiet(deed.words).name(deed.action.row().name).waits(deed.action.waits_for(session));
            if button.show(ui).on_hover_text(&deed.hint).clicked() {
                commands.push(Command::Do(deed.action));
            }
        }
    });
}

/// What a button does, with the step it is about and its key.
fn hint(action: Action, step: Option<&str>) -> String {
    let what = match step {
        Some(step) => format!("{}: {step}.", action.row().name),
        None => action.row().hint.to_owned(),
    };
    match action.key_text() {
        Some(key) => format!("{what} ({key})"),
        None => what,
    }
}

fn draw_stamp(ui: &mut Ui, stamp: &Stamp) {
    let colours = theme::colours(ui);
    let colour = stamp.tone.text(colours);
    let galley = ui.painter().layout_no_wrap(stamp.words.clone(), Lettering::Strong.font(), colour);
    let size = vec2(galley.size().x + theme::ICON + 8.0 + 2.0 * 12.0, theme::STAMP_HEIGHT);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    ui.painter().rect_stroke(rect, 3.0, Stroke::new(theme::EDGE, colour), StrokeKind::Inside);
    let middle = rect.center().y;
    icons::paint(ui.painter(), icons::square(pos2(rect.left() + 20.0, middle)), stamp.icon, colour);
    let at = Align2::LEFT_CENTER.anchor_size(pos2(rect.left() + 36.0, middle), galley.size()).min;
    ui.painter().galley(at, galley, colour);
    response.widget_info(|| WidgetInfo::labeled(Role::Status, true, format!("Verdict: {}", stamp.words)));
    let words = [("worst hole", "good to"), ("odds", "odds")];
    let meant =
        words.iter().filter(|(part, _)| stamp.words.contains(part)).filter_map(|(_, word)| terms::meaning(word));
    let meant: Vec<&str> = meant.collect();
    if !meant.is_empty() {
        response.on_hover_text(meant.join("\n"));
    }
}
