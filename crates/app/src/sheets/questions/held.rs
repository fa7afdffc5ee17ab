//! What is settled before a job is opened, or saved over what another has written.

use super::enter;
use crate::command::{Action, Command};
use crate::controls::{Button, say};
use crate::files::opening::{Beside, Held, Opening};
use crate::files::recovery::Leftover;
use crate::session::Session;
use crate::sheets::left_work::of_when;
use crate::theme::Lettering;
use egui::Ui;

/// What is asked before something is opened.
pub(super) fn show(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let answered = match &session.screen.held {
        Some(Held::Elsewhere(opening)) => elsewhere(ui, opening, commands),
        Some(Held::Left(opening, leftover)) => left(ui, opening, leftover, commands),
        Some(Held::Photo(_)) | None => true,
    };
    if answered {
        session.screen.asking = None;
        session.screen.held = None;
    }
}

/// Another window has the job open.
fn elsewhere(ui: &mut Ui, opening: &Opening, commands: &mut Vec<Command>) -> bool {
    say(ui, Lettering::Sentence, "Another window has this job open.");
    let words = format!(
        "{} is being worked on there. Whoever saves last replaces what the other saved; a copy has a file of its own.",
        opening.called()
    );
    say(ui, Lettering::Body, &words);
    let open = |beside| Command::OpenAs(Box::new(Opening { beside, ..opening.clone() }));
    three(ui, "Open a copy", ("Open even so", "Stay here"), |answer| {
        commands.extend(match answer {
            Answer::Main => Some(open(Beside::AsCopy)),
            Answer::Rest => Some(open(Beside::EvenSo)),
            Answer::Stay => None,
        });
    })
}

/// Work on the job was left unsaved.
fn left(ui: &mut Ui, opening: &Opening, leftover: &Leftover, commands: &mut Vec<Command>) -> bool {
    let title = &leftover.title;
    say(ui, Lettering::Sentence, &format!("{title} has unsaved work {}.", of_when(leftover.kept)));
    let saved = match leftover.path {
        Some(_) => "its file is as it was saved last",
        None => "it was never saved",
    };
    say(ui, Lettering::Body, &format!("The window that it was done in came to an end without saving; {saved}."));
    three(ui, "Go on with it", ("Throw it away", "Stay here"), |answer| match answer {
        Answer::Main => commands.push(Command::OpenAs(Box::new(Opening::left(leftover.clone())))),
        Answer::Rest => {
            commands.push(Command::ThrowAway(Box::new(leftover.clone())));
            commands.push(Command::OpenAs(Box::new(opening.clone())));
        }
        Answer::Stay => {}
    })
}

/// Another has written to the job's file since it was opened or saved.
pub(super) fn file_changed(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let path = session.document.as_ref().and_then(|document| document.path.as_ref());
    let file = path.map_or_else(|| "The job’s file".to_owned(), |path| crate::files::short_name(path));
    say(ui, Lettering::Sentence, "The file has changed since it was opened or saved here.");
    let words =
        format!("{file} was written by another window or program. Saving over it loses what was written there.");
    say(ui, Lettering::Body, &words);
    let answered = three(ui, "Save under another name", ("Save over it", "Stay here"), |answer| {
        commands.extend(match answer {
            Answer::Main => Some(Command::Do(Action::SaveAs)),
            Answer::Rest => Some(Command::SaveOver),
            Answer::Stay => None,
        });
    });
    if answered {
        session.screen.asking = None;
    }
}

enum Answer {
    Main,
    Rest,
    Stay,
}

/// Three buttons; whether one was pressed.
fn three(ui: &mut Ui, main: &str, (rest, stay): (&str, &str), mut answer: impl FnMut(Answer)) -> bool {
    ui.add_space(6.0);
    let enter = enter(ui);
    let pressed = ui.horizontal(|ui| {
        let main = Button::main(main).key(Some("Enter".to_owned())).show(ui).clicked() || enter;
        let rest = Button::rest(rest).show(ui).clicked();
        let stay = Button::quiet(stay).key(Some("Esc".to_owned())).show(ui).clicked();
        match (main, rest, stay) {
            (true, ..) => Some(Answer::Main),
            (_, true, _) => Some(Answer::Rest),
            (_, _, true) => Some(Answer::Stay),
            _ => None,
        }
    });
    let Some(pressed) = pressed.inner else { return false };
    answer(pressed);
    true
}
