//! The outline and the openings that are proposed, each with a tick.

use super::table_head;
use crate::command::{Action, Command};
use crate::controls::{Button, check_box};
use crate::proposal::ProposedContour;
use crate::session::Session;
use crate::sheets::figures::Lengths;
use egui::Ui;
use platewright_core::geom::Bounds;
use platewright_core::job::Role;

/// The list with its buttons; nothing while nothing is proposed.
pub(super) fn show(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(proposal) = session.screen.proposal.clone() else { return };
    table_head(ui, "Proposed from the photo", "tick what is right");
    let mut pointed = None;
    for (index, contour) in proposal.contours.iter().enumerate() {
        let words = format!("{}. {}", index + 1, words(session, index, contour));
        let row = check_box(ui, contour.is_ticked, &words);
        if row.hovered() || row.has_focus() {
            pointed = Some(index);
        }
        if row.clicked() {
            session.screen.tick_offer(index);
        }
    }
    session.screen.pointed_offer = pointed;
    ui.add_space(2.0);
    ui.horizontal_wrapped(|ui| {
        let waits = Action::Done.waits_for(session);
        let take = Button::main("Take it").key(Action::Done.key_text()).waits(waits);
        if take.show(ui).clicked() {
            commands.push(Command::Do(Action::Done));
        }
        if Button::quiet("Leave it").key(Action::StepOut.key_text()).show(ui).clicked() {
            commands.push(Command::Do(Action::StepOut));
        }
    });
    ui.add_space(4.0);
}

/// `Outline, 212.4 × 98.0 mm`; without the size while no length is known.
fn words(session: &Session, index: usize, contour: &ProposedContour) -> String {
    let name = if contour.role == Role::Outer { "Outline".to_owned() } else { format!("Opening {index}") };
    let solution = &session.results.solution;
    let Some(map) = solution.map.filter(|_| solution.fit.scale_known()) else { return name };
    let places = contour.line.iter().filter_map(|at| map.plate_from_photo(*at));
    let lengths = Lengths::of(session);
    let size = Bounds::around(places).map(|bounds| bounds.size());
    size.map_or(name.clone(), |size| format!("{name}, {} × {}", lengths.figure(size.x), lengths.with_unit(size.y)))
}
