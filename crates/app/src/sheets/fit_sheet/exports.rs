//! What can be written from the open operation, and the button that writes it. What is chosen is what the paper shows.

use super::table_head;
use crate::command::{Action, Command};
use crate::controls::{Button, Icon, link, radio_row, say_in};
use crate::exports::Export;
use crate::session::{Asking, Operation, Session, View};
use crate::sheets::standing;
use crate::theme::{self, Lettering};
use egui::{Key, Modifiers, Ui};
use platewright_core::check::Check;

/// Why what is chosen cannot be written now; `None` where it can.
pub(super) fn waits(session: &Session) -> Option<String> {
    if !session.results.solution.fit.scale_known() {
        return Some("waits for the scale".to_owned());
    }
    if !session.screen.export().is_cut() {
        return None;
    }
    if standing::outline(session).is_none_or(|(contour, _)| !contour.closed) {
        return Some("waits for a closed outline".to_owned());
    }
    let failing: Vec<&Check> = standing::failing(session).collect();
    match failing.as_slice() {
        [] => None,
        [one] => Some(format!("waits for ‘{}’", one.name)),
        several => Some(format!("waits for {} checks", standing::in_words(several.len()))),
    }
}

/// The list and the button.
pub(super) fn show(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let operation = session.screen.operation;
    table_head(ui, "To be written", "shown on the paper");
    let now = session.screen.export();
    for export in Export::ALL.into_iter().filter(|export| export.operation() == operation) {
        let chosen = export == now;
        let hint = if chosen { export.hint() } else { "" };
        if radio_row(ui, "To be written", chosen, export.words(), hint).clicked() {
            session.screen.exports[usize::from(operation != Operation::Proof)] = export;
            session.screen.on_paper = true;
            if !export.has_pages() {
                session.screen.view = View::Flat;
            }
            session.screen.fit_pending = true;
        }
    }
    ui.add_space(4.0);
    write_button(ui, session, commands);
    enter_writes(ui, session, commands);
}

fn write_button(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let reason = waits(session);
    let soft = theme::colours(ui).soft;
    let export = session.screen.export();
    ui.horizontal_wrapped(|ui| {
        let words = format!("Write {}", export.called());
        let button = Button::main(&words).icon(Icon::WriteFile).waits(reason.as_deref());
        let key = reason.is_none().then(|| Action::Write.key_text()).flatten();
        if button.key(key).show(ui).clicked() {
            commands.push(Command::Do(Action::Write));
        }
        if let Some(reason) = &reason {
            say_in(ui, Lettering::Body, soft, reason);
        }
    });
    let is_held = export.is_cut() && standing::failing(session).next().is_some();
    if !is_held || !session.results.solution.fit.scale_known() {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        if link(ui, "Write it even so", None).clicked() {
            // Asked for in our own question only: what is chosen in the system's window is never written although a
            // check fails.
            session.screen.path_text = suggested_path(session, export);
            session.screen.asking = Some(Asking::WhereToWrite { export, even_so: true });
        }
        say_in(ui, Lettering::Body, soft, "marked as failing, inside and by name");
    });
}

/// Beside the job, under a name that says that it fails.
fn suggested_path(session: &Session, export: Export) -> String {
    let Some(document) = &session.document else { return String::new() };
    let beside = document.path.as_ref().unwrap_or(&document.photo.path);
    let stock = document.job().stock.unwrap_or_default();
    export.beside(beside, &stock, true).display().to_string()
}

/// Enter does the main button, while nothing is being typed.
fn enter_writes(ui: &Ui, session: &Session, commands: &mut Vec<Command>) {
    let free = crate::canvas::enter_is_free(ui.ctx()) && session.screen.asking.is_none();
    let can = waits(session).is_none();
    if free && can && ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Enter)) {
        commands.push(Command::Do(Action::Write));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;
    use platewright_core::check::Verdict;

    #[test]
    fn nothing_is_cut_before_scale_and_outline_are_there() {
        let mut session = samples::session(samples::plate());
        session.screen.operation = Operation::Cut;
        assert_eq!(waits(&session).as_deref(), Some("waits for the scale"), "no scale");
        samples::give_results(&mut session, samples::agreeing());
        assert_eq!(waits(&session).as_deref(), Some("waits for a closed outline"), "no outline");
        session.screen.operation = Operation::Proof;
        assert_eq!(waits(&session), None, "a proof of holes alone may be tried");
        let mut session = samples::session(samples::plate_with_outline(true));
        session.screen.operation = Operation::Cut;
        samples::give_results(&mut session, samples::agreeing());
        assert_eq!(waits(&session), None, "all there");
        session.results.checks = vec![samples::check(Verdict::Fail)];
        assert_eq!(waits(&session).as_deref(), Some("waits for ‘Walls’"), "a check fails");
        session.screen.operation = Operation::Proof;
        assert_eq!(waits(&session), None, "what fails may be tried on paper");
    }
}
