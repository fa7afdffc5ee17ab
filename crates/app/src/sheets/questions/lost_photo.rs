//! Where the photo of a job is.

use super::{forget, path_field};
use crate::command::Command;
use crate::controls::{Button, Field, say, say_in};
use crate::files::opening::{Held, LostPhoto, PhotoTrouble};
use crate::files::short_name;
use crate::session::{Asking, Session};
use crate::sheets::start_sheet::typed_path;
use crate::theme::{self, Lettering};
use egui::{Key, Ui};
use std::path::PathBuf;

/// What was asked for.
enum Answer {
    Show(PathBuf),
    EvenSo,
    Stay,
}

pub(super) fn show(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(Held::Photo(lost)) = session.screen.held.take() else {
        session.screen.asking = None;
        return;
    };
    let colours = theme::colours(ui);
    say(ui, Lettering::Sentence, &lost.sentence());
    say(ui, Lettering::Body, lost.way_out());
    if lost.trouble == PhotoTrouble::Missing {
        say_in(ui, Lettering::Small, colours.soft, &format!("Looked for at {}", lost.looked_at.display()));
    }
    let [width, height] = lost.size;
    let about = format!("It was {} with {width} × {height} px.", lost.name);
    say_in(ui, Lettering::Small, colours.soft, &about);
    if let Some(beside) = &lost.beside {
        let name = short_name(beside);
        say(
            ui,
            Lettering::Body,
            &format!("{name} lies beside the job and has as many px: it may be the same, renamed."),
        );
    }
    let entered = path(ui, &mut session.screen.path_text);
    say_in(ui, Lettering::Small, colours.soft, "The system’s own file window opens too, where there is one.");
    ui.add_space(6.0);
    match buttons(ui, &lost, &session.screen.path_text, entered) {
        Some(Answer::Show(path)) => go_on(ui, session, commands, lost.with(path)),
        Some(Answer::EvenSo) => go_on(ui, session, commands, lost.even_so()),
        Some(Answer::Stay) => {
            forget(ui, path_field());
            super::stop_asking(session, commands);
        }
        None => session.screen.held = Some(Held::Photo(lost)),
    }
}

fn go_on(ui: &Ui, session: &mut Session, commands: &mut Vec<Command>, opening: crate::files::opening::Opening) {
    forget(ui, path_field());
    session.screen.asking = None;
    commands.push(Command::OpenAs(Box::new(opening)));
}

/// The field for the path, which has the keyboard from the start; whether Enter was pressed in it.
fn path(ui: &mut Ui, text: &mut String) -> bool {
    let label = "Path of the photo";
    say_in(ui, Lettering::Body, theme::colours(ui).soft, label);
    let id = path_field();
    let field = Field { name: label, unit: "", hint: "/home/…", width: ui.available_width() };
    let response = field.show(ui, id, text);
    if ui.data(|data| data.get_temp::<Asking>(id)) != Some(Asking::WhereIsPhoto) {
        response.request_focus();
        ui.data_mut(|data| data.insert_temp(id, Asking::WhereIsPhoto));
    }
    response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter))
}

fn buttons(ui: &mut Ui, lost: &LostPhoto, text: &str, entered: bool) -> Option<Answer> {
    let typed = typed_path(text);
    let waits = typed.is_none().then_some("waits for a path");
    ui.horizontal(|ui| {
        let take = Button::main("Take this photo").key(Some("Enter".to_owned())).waits(waits).show(ui).clicked();
        let is_other = lost.trouble == PhotoTrouble::Other;
        let even_so = is_other && Button::rest("Take it even so").show(ui).clicked();
        let stay = Button::quiet("Stay here").key(Some("Esc".to_owned())).show(ui).clicked();
        match typed {
            Some(path) if take || entered => Some(Answer::Show(path)),
            _ if even_so => Some(Answer::EvenSo),
            _ => stay.then_some(Answer::Stay),
        }
    })
    .inner
}
