//! Settings of operation 40 besides its lines: what is left out, what is added, land, and the side that is cut.

use super::added::figures;
use super::labelled;
use crate::adding::{Addition, edits_to_put};
use crate::command::{Action, Command};
use crate::controls::{Button, Field, check_box, say_in, typed_value};
use crate::session::{Chosen, Session};
use crate::sheets::figure_field::{Figure, taken};
use crate::sheets::figures::Lengths;
use crate::theme::{self, Lettering};
use egui::{Key, Modifiers, Ui};
use platewright_core::job::{Added, Design, Edit, History, Id, Job, Role};
use platewright_core::solution::Solution;

pub(super) fn settings(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let (job, solution) = (document.job(), &*session.results.solution);
    let lengths = Lengths::of(session);
    in_the_part(ui, session, job, commands);
    ui.add_space(4.0);
    let chosen = match &session.screen.chosen {
        Some(Chosen::Added(id)) => job.added(id),
        _ => None,
    };
    if let Some(adding) = &session.screen.adding {
        match being_added(ui, (job, solution), adding, lengths, commands) {
            Adding::GoesOn(after) => session.screen.adding = Some(*after),
            Adding::Left => session.screen.adding = None,
            Adding::Done(id) => {
                session.screen.adding = None;
                session.screen.chosen = Some(Chosen::Added(id));
            }
        }
        return;
    }
    let again = chosen.filter(|added| of_added(ui, (job, solution), added, lengths, commands)).cloned();
    let width = ui.available_width();
    let clicked = Addition::ALL.map(|one| (one, Button::quiet(one.words()).width(width).show(ui).clicked()));
    if chosen.is_none() {
        whole_part(ui, job, lengths, commands);
    }
    if let Some((addition, _)) = clicked.into_iter().find(|(_, clicked)| *clicked) {
        session.begin_adding(addition);
    } else if again.is_some() {
        session.screen.adding = again;
    }
}

/// What became of what is being added.
enum Adding {
    GoesOn(Box<Added>),
    Left,
    Done(Id),
}

/// Whether the finished part has the chosen hole, or the chosen node's opening.
fn in_the_part(ui: &mut Ui, session: &Session, job: &Job, commands: &mut Vec<Command>) {
    const WORDS: &str = "In the finished part";
    let (name, keep, edit) = match &session.screen.chosen {
        Some(Chosen::Hole(id)) => {
            let Some(hole) = job.hole(id) else { return };
            say_in(ui, Lettering::Strong, theme::colours(ui).ink, &hole.name);
            (hole.name.clone(), hole.keep, Edit::KeepHole { hole: id.clone(), keep: !hole.keep })
        }
        Some(Chosen::Node { contour: id, .. }) => {
            let Some(opening) = job.contour(id).filter(|contour| contour.role == Role::Opening) else { return };
            let edit = Edit::KeepContour { contour: id.clone(), keep: !opening.keep };
            (format!("opening {id}"), opening.keep, edit)
        }
        _ => return,
    };
    if check_box(ui, keep, WORDS).clicked() {
        let verb = if keep { "leave out" } else { "keep" };
        commands.push(Command::Edit(format!("{verb} {name}"), vec![edit]));
    }
}

/// What is being added, until it is in the job.
fn being_added(
    ui: &mut Ui,
    (job, solution): (&Job, &Solution),
    adding: &Added,
    lengths: Lengths,
    commands: &mut Vec<Command>,
) -> Adding {
    let name = adding.shown_name();
    say_in(ui, Lettering::Strong, theme::colours(ui).ink, &name);
    let after = figures(ui, job, adding, lengths).unwrap_or_else(|| adding.clone());
    let has_size = after.diameter_mm.is_some() || after.tapped.is_some() || after.group.is_some();
    let waits = (!has_size).then_some("waits for its size");
    let width = ui.available_width();
    let words = if job.added(&after.id).is_some() { "Place it so" } else { "Add it" };
    let button = Button::main(words).key(Some("Enter".to_owned())).waits(waits).width(width);
    let free = crate::canvas::enter_is_free(ui.ctx());
    let entered = free && has_size && ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Enter));
    if button.show(ui).clicked() || entered {
        let verb = if job.added(&after.id).is_some() { "place" } else { "add" };
        let edits = edits_to_put(job, solution, &after);
        let is_taken = History::new(job.clone()).apply_all("", edits.clone()).is_ok();
        commands.push(Command::Edit(format!("{verb} {name}"), edits));
        // What is refused stays in hand, to be put right.
        return if is_taken { Adding::Done(after.id) } else { Adding::GoesOn(Box::new(after)) };
    }
    if let Some(reason) = waits {
        say_in(ui, Lettering::Small, theme::colours(ui).soft, reason);
    }
    let left = Button::quiet("Leave it").key(Some("Esc".to_owned())).width(width).show(ui).clicked();
    if left { Adding::Left } else { Adding::GoesOn(Box::new(after)) }
}

/// The settings of something that is in the job; whether it is to be placed from other features.
fn of_added(
    ui: &mut Ui,
    (job, solution): (&Job, &Solution),
    added: &Added,
    lengths: Lengths,
    commands: &mut Vec<Command>,
) -> bool {
    let shown = added.shown_name();
    let name = labelled(ui, "Added", |ui, width| {
        let field = Field { name: "Name of what is added", unit: "", hint: "", width };
        typed_value(ui, ui.make_persistent_id(("added-name", &added.id.0)), &field, &shown)
    });
    if let Some(name) = name.filter(|name| !name.is_empty()) {
        let edit = Edit::Rename { feature: added.id.clone(), name };
        commands.push(Command::Edit(format!("rename {shown}"), vec![edit]));
    }
    if let Some(after) = figures(ui, job, added, lengths) {
        commands.push(Command::Edit(format!("change {shown}"), edits_to_put(job, solution, &after)));
    }
    let width = ui.available_width();
    let again = Button::quiet("Place it from others").width(width).show(ui).clicked();
    if Button::quiet(&format!("Remove {shown}")).width(width).show(ui).clicked() {
        commands.push(Command::Do(Action::Remove));
    }
    again
}

/// Land, and the side that is cut.
fn whole_part(ui: &mut Ui, job: &Job, lengths: Lengths, commands: &mut Vec<Command>) {
    ui.add_space(4.0);
    say_in(ui, Lettering::Small, theme::colours(ui).soft, "Land left beside the edge");
    let mut after = job.design;
    let Design { mirrored, land_mm, opening_land_mm } = job.design;
    let rows = [
        ("Round", "Land round the part", land_mm, &mut after.land_mm),
        ("Inside", "Land inside the openings", opening_land_mm, &mut after.opening_land_mm),
    ];
    for (label, name, now, value) in rows {
        let figure = Figure::length(name, Some(now).filter(|mm| *mm != 0.0), lengths).any_sign();
        let reading = labelled(ui, label, |ui, width| figure.hint("none").width(width).show(ui));
        if let Some(typed) = taken(ui, reading) {
            *value = typed.number().unwrap_or(0.0);
        }
    }
    if (after.land_mm, after.opening_land_mm) != (land_mm, opening_land_mm) {
        commands.push(Command::Edit("say how much land is left".to_owned(), vec![Edit::DesignAs(after)]));
    }
    if check_box(ui, mirrored, "Cut from the other side").clicked() {
        let name = if mirrored { "cut it as seen" } else { "cut it from the other side" };
        let edit = Edit::DesignAs(Design { mirrored: !mirrored, ..job.design });
        commands.push(Command::Edit(name.to_owned(), vec![edit]));
    }
    if mirrored {
        let words = "The cut file is mirrored: Y is turned round. The photo stays as it is.";
        say_in(ui, Lettering::Small, theme::colours(ui).soft, words);
    }
}
