//! The rims that were found besides those of the job's holes, each with a tick.

use super::table_head;
use crate::command::{Action, Command};
use crate::controls::{Button, check_box};
use crate::offers::OfferedRim;
use crate::session::Session;
use crate::sheets::figures::Lengths;
use crate::sheets::standing::in_words;
use egui::Ui;
use platewright_core::units::format_figure;

/// The list with its buttons; nothing while nothing is offered.
pub(super) fn show(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(offers) = session.screen.offers.clone() else { return };
    let Some(document) = &session.document else { return };
    let from = document.job().feature_name(&offers.from).to_owned();
    let solution = &session.results.solution;
    let fit = solution.holes.iter().find(|fit| fit.id == offers.from).filter(|_| solution.fit.scale_known());
    let lengths = Lengths::of(session);
    let like_mm = fit.map(|fit| fit.rim_diameter_mm);
    table_head(ui, "Other rims in the photo", "tick the holes");
    let mut pointed = None;
    for (index, rim) in offers.rims.iter().enumerate() {
        let words = format!("{}. {}", index + 1, size_words(rim, &from, like_mm, lengths));
        let row = check_box(ui, rim.is_ticked, &words);
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
        let ticked = offers.ticked();
        // The button keeps its place, so that no click meant for another falls on it.
        let holes = if ticked == 1 { "hole" } else { "holes" };
        let words = format!("Add {} {holes}", in_words(ticked));
        let waits = Action::AddOffered.waits_for(session);
        if Button::rest(&words).key(Action::AddOffered.key_text()).waits(waits).show(ui).clicked() {
            commands.push(Command::Do(Action::AddOffered));
        }
        if ticked < offers.rims.len() && Button::quiet("Tick all").show(ui).clicked() {
            session.screen.tick_all_offers();
        }
        if Button::quiet("Drop the list").key(Action::StepOut.key_text()).show(ui).clicked() {
            commands.push(Command::Do(Action::StepOut));
        }
    });
    ui.add_space(4.0);
}

/// `Ø 6.60 mm, like H1`; while no length is known `0.73 times H1`.
fn size_words(rim: &OfferedRim, from: &str, like_mm: Option<f64>, lengths: Lengths) -> String {
    match (like_mm, rim.is_like) {
        (Some(mm), true) => format!("Ø {}, like {from}", lengths.with_unit(mm * rim.size)),
        (Some(mm), false) => format!("Ø {}", lengths.with_unit(mm * rim.size)),
        (None, true) => format!("Like {from}"),
        (None, false) => format!("{} times {from}", format_figure(rim.size, 2)),
    }
}
