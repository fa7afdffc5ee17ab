//! Settings of operation 20: those of the chosen hole, and where plate coordinates start.

use super::{group, labelled, measured};
use crate::command::{Action, Command};
use crate::controls::{Button, DropDown, Field, check_box, say_in, typed_value};
use crate::session::{Chosen, Session};
use crate::sheets::figure_field::{Figure, shortest, taken};
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::{Datum, Edit, Hole, Id, Job};
use platewright_core::solution::Solution;
use platewright_core::tolerance::CLICK_SIGMA_PX;

pub(super) fn settings(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let job = document.job();
    let chosen = match &session.screen.chosen {
        Some(Chosen::Hole(id) | Chosen::RimPick { hole: id, .. }) => job.hole(id),
        _ => None,
    };
    let words = Action::FindOthers.row().name;
    if !session.results.solution.holes.is_empty()
        && Button::quiet(words).key(Action::FindOthers.key_text()).width(ui.available_width()).show(ui).clicked()
    {
        commands.push(Command::Do(Action::FindOthers));
    }
    let Some(hole) = chosen else {
        let words = "The settings of a hole stand here once it is chosen.";
        say_in(ui, Lettering::Small, theme::colours(ui).soft, words);
        return;
    };
    let picking = session.screen.picking.as_ref() == Some(&hole.id);
    of_hole(ui, session, hole, picking, commands);
    let id = hole.id.clone();
    let words = if picking { "Stop clicking its rim" } else { "Click its rim again" };
    if Button::quiet(words).width(ui.available_width()).show(ui).clicked() {
        session.screen.picking = (!picking).then_some(id);
    }
    if Button::quiet("Remove the hole").width(ui.available_width()).show(ui).clicked() {
        commands.push(Command::Do(Action::Remove));
    }
}

fn of_hole(ui: &mut Ui, session: &Session, hole: &Hole, picking: bool, commands: &mut Vec<Command>) {
    let edit = |commands: &mut Vec<Command>, name: &str, edit: Edit| {
        commands.push(Command::Edit(format!("{name} {}", hole.name), vec![edit]));
    };
    let id = || hole.id.clone();
    let name = labelled(ui, "Hole", |ui, width| {
        let field = Field { name: "Name of the hole", unit: "", hint: "", width };
        typed_value(ui, ui.make_persistent_id(("hole-name", &hole.id.0)), &field, &hole.name)
    });
    if let Some(name) = name.filter(|name| !name.is_empty()) {
        edit(commands, "rename", Edit::Rename { feature: id(), name });
    }
    if check_box(ui, hole.measure_rim, "Measured in the photo").clicked() {
        let verb = measured::verb(!hole.measure_rim);
        edit(commands, verb, Edit::MeasureRim { hole: id(), measure: !hole.measure_rim });
    }
    if let Some(words) = session.results.seen.rim(hole).map(measured::of_rim) {
        say_in(ui, Lettering::Small, theme::colours(ui).soft, &words);
    }
    if check_box(ui, hole.edge_break, "Edge is broken").clicked() {
        edit(commands, "say how the edge is of", Edit::EdgeBroken { hole: id(), broken: !hole.edge_break });
    }
    if check_box(ui, hole.keep, "In the finished part").clicked() {
        edit(commands, "keep or drop", Edit::KeepHole { hole: id(), keep: !hole.keep });
    }
    group::settings(ui, session, hole, commands);
    let usual = shortest(CLICK_SIGMA_PX, 2);
    let reading = labelled(ui, "Clicks ±", |ui, width| {
        let figure = Figure::number("Picks are good to", hole.sigma_px, 2, "± px").of(&hole.id.0);
        figure.hint(&usual).above_zero().width(width).show(ui)
    });
    if let Some(typed) = taken(ui, reading) {
        edit(commands, "say how well the picks lie of", Edit::PickSigma { feature: id(), sigma_px: typed.number() });
    }
    if picking {
        say_in(ui, Lettering::Small, theme::colours(ui).soft, "Clicks on the photo now go to its rim.");
    }
}

/// Where plate coordinates start and which way x runs.
pub(super) fn datum(ui: &mut Ui, job: &Job, solution: &Solution, commands: &mut Vec<Command>) {
    let features: Vec<&Id> = job.holes.iter().map(|hole| &hole.id).chain(job.points.iter().map(|p| &p.id)).collect();
    if features.len() < 2 {
        return;
    }
    let (origin, along) = match solution.datum_in_use(job) {
        Some(Datum { origin, along }) => (origin, along),
        None => (features[0].clone(), features[1].clone()),
    };
    let picked_origin = feature_box(ui, job, ("Zero at", "Plate coordinates start at"), &features, &origin);
    let picked_along = feature_box(ui, job, ("X along", "X runs towards"), &features, &along);
    let (origin, along) = match (picked_origin, picked_along) {
        (None, None) => return,
        // Two ends are needed: where the one now falls on the other, the other takes its old place.
        (Some(new), _) if new == along => (new, origin),
        (Some(new), _) => (new, along),
        (None, Some(new)) if new == origin => (along, new),
        (None, Some(new)) => (origin, new),
    };
    let edit = Edit::DatumAt(Some(Datum { origin, along }));
    commands.push(Command::Edit("set where coordinates start".to_owned(), vec![edit]));
}

fn feature_box(ui: &mut Ui, job: &Job, (label, name): (&str, &str), features: &[&Id], now: &Id) -> Option<Id> {
    labelled(ui, label, |ui, width| {
        let shown = job.feature_name(now);
        // What holds only until it is said can be said.
        let said = job.datum.is_some().then_some(now);
        let choices = features.iter().map(|id| ((*id).clone(), job.feature_name(id).to_owned()));
        DropDown { name, shown, width }.show(ui, said, choices).1
    })
}
