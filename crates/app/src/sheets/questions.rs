//! What is asked over the window, the list of keys, and the last error with its way out.

mod held;
mod lost_photo;

use super::standing;
use super::start_sheet::typed_path;
use crate::command::{Action, Command, TABLE};
use crate::controls::{Button, Field, Icon, icons, key_cap, say, say_in};
use crate::files;
use crate::session::{Asking, Session};
use crate::theme::{self, Lettering};
use egui::{Align, Align2, Area, Frame, Grid, Id, Key, Layout, Margin, Modal, Order, ScrollArea, Stroke, Ui, vec2};
use std::path::PathBuf;

/// What is asked over the window.
pub fn questions(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    error_bar(ui, session, commands);
    go_on_once_saved(ui, session, commands);
    let Some(asking) = session.screen.asking else {
        ui.data_mut(|data| data.remove::<Asking>(path_field()));
        return;
    };
    let colours = theme::colours(ui);
    let frame = Frame::NONE
        .fill(colours.paper)
        .stroke(Stroke::new(theme::FRAME_LINE, colours.ink))
        .corner_radius(3)
        .inner_margin(20.0);
    let modal = Modal::new(Id::unique("question")).frame(frame).backdrop_color(theme::VEIL);
    let response = modal.show(ui.ctx(), |ui| {
        let window = ui.ctx().content_rect().size();
        ui.set_width(theme::QUESTION_WIDTH.min(window.x - 80.0));
        ui.spacing_mut().item_spacing = vec2(theme::BUTTON_GAP, 6.0);
        match asking {
            Asking::WhatToOpen | Asking::WhereToSave | Asking::WhereToWrite { .. } => {
                path(ui, session, commands, asking);
            }
            Asking::SaveBeforeClosing | Asking::SaveBeforeOpening => before_leaving(ui, session, commands, asking),
            Asking::FileChanged => held::file_changed(ui, session, commands),
            Asking::Held => held::show(ui, session, commands),
            Asking::WhereIsPhoto => lost_photo::show(ui, session, commands),
            Asking::Keys => keys(ui, session, window.y),
        }
    });
    if response.should_close() && session.screen.asking == Some(asking) {
        stop_asking(session, commands);
    }
}

/// Stays where one is; the system's file window is no longer waited for.
fn stop_asking(session: &mut Session, commands: &mut Vec<Command>) {
    match session.screen.asking {
        Some(Asking::WhatToOpen | Asking::WhereToSave | Asking::WhereToWrite { .. } | Asking::WhereIsPhoto) => {
            commands.push(Command::Do(Action::StepOut));
        }
        _ => session.screen.asking = None,
    }
}

/// The words of a question about a path.
struct PathQuestion {
    title: String,
    label: String,
    button: &'static str,
}

fn question(asking: Asking) -> PathQuestion {
    match asking {
        Asking::WhereToSave => PathQuestion {
            title: "Where is the job to be saved?".to_owned(),
            label: "Path of the job".to_owned(),
            button: "Save",
        },
        Asking::WhereToWrite { export, even_so } => {
            let called = export.called();
            let what = if even_so { called.replace("the ", "the failing ") } else { called.to_owned() };
            PathQuestion {
                title: format!("Where is {what} to be written?"),
                label: format!("Path of {called}"),
                button: if even_so { "Write it even so" } else { "Write it" },
            }
        }
        _ => PathQuestion {
            title: "Which photo or job is to be opened?".to_owned(),
            label: "Path of the photo or job".to_owned(),
            button: "Open",
        },
    }
}

fn answer(asking: Asking, path: PathBuf) -> Command {
    match asking {
        Asking::WhereToSave => Command::SaveTo(path),
        Asking::WhereToWrite { export, even_so } => Command::WriteTo { export, path, even_so },
        _ => Command::Open(path),
    }
}

/// What is said below the path: what would be lost, or what else there is.
fn said_of_path(session: &Session, asking: Asking) -> Vec<(String, Said)> {
    let typed = typed_path(&session.screen.path_text);
    let stock = session.document.as_ref().and_then(|document| document.job().stock).unwrap_or_default();
    let as_typed = typed.as_ref().and_then(|path| path.file_stem()).map(ToOwned::to_owned);
    let replaces = match asking {
        Asking::WhereToSave => typed.map(files::with_job_extension),
        Asking::WhereToWrite { export, .. } => typed.map(|path| export.named(path, &stock)),
        _ => None,
    };
    let own = session.document.as_ref().and_then(|document| document.path.as_ref());
    let mut said = Vec::new();
    if matches!(asking, Asking::WhereToWrite { even_so: true, .. }) {
        said.push(("A check fails. The file says so inside; let its name say so too.".to_owned(), Said::Fails));
    }
    if let Some(named) = replaces.as_ref().filter(|path| path.file_stem() != as_typed.as_deref())
        && matches!(asking, Asking::WhereToWrite { export, .. } if export.is_cut())
    {
        said.push((format!("It is written as {}: its name has to say so.", files::short_name(named)), Said::Caution));
    }
    if replaces.is_some_and(|path| Some(&path) != own && files::is_there(&path)) {
        said.push(("A file of this name is there already: it is replaced.".to_owned(), Said::Caution));
    }
    if said.is_empty() {
        said.push(("The system's own file window opens too, where there is one.".to_owned(), Said::Aside));
    }
    said
}

/// How loud something is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Said {
    Aside,
    Caution,
    Fails,
}

/// The path field of the questions, and what it remembers of having been given the keyboard.
fn path_field() -> Id {
    Id::unique("question-path")
}

fn path(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>, asking: Asking) {
    let colours = theme::colours(ui);
    let question = question(asking);
    say(ui, Lettering::Sentence, &question.title);
    say_in(ui, Lettering::Body, colours.soft, &question.label);
    let id = path_field();
    let width = ui.available_width();
    let field = Field { name: &question.label, unit: "", hint: "/home/…", width };
    let response = field.show(ui, id, &mut session.screen.path_text);
    let entered = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
    // The field has the keyboard from the start, but a person may go on to the buttons with Tab.
    let asked_before = ui.data(|data| data.get_temp::<Asking>(id));
    if asked_before != Some(asking) {
        response.request_focus();
        ui.data_mut(|data| data.insert_temp(id, asking));
    }
    if let Some(error) = &session.screen.error {
        say_in(ui, Lettering::Body, colours.disagree_text, error);
    }
    for (words, loud) in said_of_path(session, asking) {
        let (lettering, colour) = match loud {
            Said::Aside => (Lettering::Small, colours.soft),
            Said::Caution => (Lettering::Body, colours.caution),
            Said::Fails => (Lettering::Body, colours.disagree_text),
        };
        say_in(ui, lettering, colour, &words);
    }
    ui.add_space(6.0);
    let typed = typed_path(&session.screen.path_text);
    let waits = typed.is_none().then_some("waits for a path");
    let (sent, stay) = ui
        .horizontal(|ui| {
            let main = Button::main(question.button).key(Some("Enter".to_owned())).waits(waits);
            let sent = main.show(ui).clicked() || entered;
            (sent, Button::quiet("Stay here").key(Some("Esc".to_owned())).show(ui).clicked())
        })
        .inner;
    match (sent, typed) {
        (true, Some(path)) => {
            forget(ui, id);
            session.screen.asking = None;
            session.screen.answered = Some(asking);
            commands.push(answer(asking, path));
        }
        _ if stay => {
            forget(ui, id);
            stop_asking(session, commands);
        }
        _ => {}
    }
}

fn forget(ui: &Ui, id: Id) {
    ui.data_mut(|data| data.remove::<Asking>(id));
}

/// Asks whether the job is saved before it is closed or another one takes its place.
fn before_leaving(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>, asking: Asking) {
    let (question, save, leave, anyway) = match asking {
        Asking::SaveBeforeOpening => {
            ("Save before opening another?", "Save and open", "Open without saving", Command::OpenAnyway)
        }
        _ => ("Save before closing?", "Save and close", "Close without saving", Command::CloseAnyway),
    };
    let title = standing::job(session).map(|job| job.title.trim()).filter(|title| !title.is_empty());
    let called = title.unwrap_or("The job");
    let was_saved = session.document.as_ref().is_some_and(|document| document.saved.is_some());
    let words = if was_saved {
        format!("{called} has changed since it was saved.")
    } else {
        format!("{called} was never saved.")
    };
    say(ui, Lettering::Sentence, question);
    say(ui, Lettering::Body, &words);
    ui.add_space(6.0);
    let enter = enter(ui);
    ui.horizontal(|ui| {
        if Button::main(save).key(Some("Enter".to_owned())).show(ui).clicked() || enter {
            session.screen.asking = None;
            ui.data_mut(|data| data.insert_temp(leaving(), asking));
            commands.push(Command::Do(Action::Save));
        }
        if Button::rest(leave).show(ui).clicked() {
            session.screen.asking = None;
            commands.push(anyway);
        }
        if Button::quiet("Stay").key(Some("Esc".to_owned())).show(ui).clicked() {
            session.screen.asking = None;
        }
    });
}

/// Enter is the main button's, unless a control has the keyboard: then it is that one's.
fn enter(ui: &Ui) -> bool {
    ui.memory(|memory| memory.focused().is_none()) && ui.input(|input| input.key_pressed(Key::Enter))
}

/// Where it is kept what is done as soon as the job is saved.
pub(super) fn leaving() -> Id {
    Id::unique("leave-once-saved")
}

/// Closes, or opens the other, once the job is saved: not where saving failed or where the question for a path was left.
fn go_on_once_saved(ui: &Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some(asked) = ui.data(|data| data.get_temp::<Asking>(leaving())) else { return };
    if matches!(session.screen.asking, Some(Asking::WhereToSave | Asking::FileChanged)) {
        return;
    }
    ui.data_mut(|data| data.remove::<Asking>(leaving()));
    let saved = session.document.as_ref().is_none_or(|document| !document.is_modified());
    if saved && session.screen.error.is_none() {
        commands.push(match asked {
            Asking::SaveBeforeOpening => Command::OpenAnyway,
            _ => Command::CloseAnyway,
        });
    }
}

fn keys(ui: &mut Ui, session: &mut Session, window_height: f32) {
    // A question is given less than the window has; the list takes what it needs.
    ui.set_max_height(window_height - 120.0);
    say(ui, Lettering::Sentence, "Keys");
    let soft = theme::colours(ui).soft;
    say_in(ui, Lettering::Small, soft, "Letters and digits act only while no field is being typed in.");
    ui.add_space(4.0);
    let with_keys: Vec<_> = TABLE.iter().filter_map(|row| Some((row, row.action.key_text()?))).collect();
    let mut hint = "Rest the pointer on a row to read what it does.";
    ScrollArea::vertical().max_height(window_height - 240.0).show(ui, |ui| {
        Grid::new("keys").num_columns(4).spacing(vec2(18.0, 4.0)).show(ui, |ui| {
            let half = with_keys.len().div_ceil(2);
            for index in 0..half {
                for (row, key) in [index, index + half].into_iter().filter_map(|index| with_keys.get(index)) {
                    key_cap(ui, key);
                    // A box beside the pointer would lie over the other rows.
                    let said = say(ui, Lettering::Body, row.name);
                    ui.ctx().accesskit_node_builder(said.id, |node| node.set_description(row.hint));
                    if said.hovered() {
                        hint = row.hint;
                    }
                }
                ui.end_row();
            }
        });
        ui.add_space(6.0);
        let arrows = "Arrow keys move what is chosen, or the mark: by 1 px, with Shift 0.1 px, with Ctrl 40 points.";
        say_in(ui, Lettering::Body, soft, arrows);
        let mark =
            "At the mark Space clicks, Shift Space takes hold and lets go, Ctrl Space pulls a lever out of a node.";
        say_in(ui, Lettering::Body, soft, mark);
        say_in(ui, Lettering::Body, soft, "Wheel zooms, middle button or space and drag pans, double click fits.");
    });
    ui.add_space(6.0);
    say(ui, Lettering::Body, hint);
    let enter = ui.input(|input| input.key_pressed(Key::Enter));
    let button = Button::main("Put away").key(Some("Esc".to_owned())).name("Put the keys away");
    if button.show(ui).clicked() || enter {
        session.screen.asking = None;
    }
}

/// The last error above the status line, until it is put away.
fn error_bar(ui: &Ui, session: &Session, commands: &mut Vec<Command>) {
    // A question that is asked again says itself why.
    let is_said = session.screen.asking.is_some_and(Asking::is_of_path);
    let Some(error) = session.screen.error.as_ref().filter(|_| !is_said) else { return };
    let colours = theme::colours(ui);
    let window = ui.ctx().content_rect();
    let offset = vec2(0.0, -(theme::STATUS_HEIGHT + 12.0));
    let area = Area::new(Id::unique("error")).order(Order::Foreground).anchor(Align2::CENTER_BOTTOM, offset);
    area.accessible_name("Error").show(ui.ctx(), |ui| {
        let edge = Stroke::new(theme::FRAME_LINE, colours.disagree);
        let frame = Frame::NONE.fill(colours.sheet).stroke(edge).corner_radius(3);
        frame.inner_margin(Margin::symmetric(14, 10)).show(ui, |ui| {
            ui.set_width((window.width() - 80.0).min(760.0));
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                let button = Button::rest("Put away").name("Put the error away");
                if button.show(ui).clicked() {
                    commands.push(Command::PutErrorAway);
                }
                ui.add_space(8.0);
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    icons::show(ui, Icon::Fails, colours.disagree_text, "Error");
                    ui.add_space(4.0);
                    ui.vertical(|ui| say(ui, Lettering::Body, error));
                });
            });
        });
    });
}
