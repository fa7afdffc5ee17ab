//! Settings of the chosen point or edge: its name, how well it was picked, and what else is done with it.

use super::{labelled, measured};
use crate::command::{Action, Command};
use crate::controls::{Button, Field, check_box, say_in, typed_value};
use crate::session::{Chosen, Session, Sort};
use crate::sheets::figure_field::{Figure, shortest, taken};
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::{Edit, Id, Job};
use platewright_core::tolerance::CLICK_SIGMA_PX;

/// The settings; nothing where neither a point nor an edge is chosen.
pub(super) fn settings(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let id = match &session.screen.chosen {
        Some(Chosen::Point(id) | Chosen::Edge(id) | Chosen::EdgePick { edge: id, .. }) => id.clone(),
        _ => return,
    };
    let job = document.job();
    let Some((sort, name)) = Sort::of(job, &id).map(|sort| (sort, job.feature_name(&id).to_owned())) else { return };
    ui.add_space(6.0);
    let is_edge = sort == Sort::Edge;
    let (label, whose) = if is_edge { ("Edge", "Name of the edge") } else { ("Point", "Name of the point") };
    let typed = labelled(ui, label, |ui, width| {
        let field = Field { name: whose, unit: "", hint: "", width };
        typed_value(ui, ui.make_persistent_id(("mark-name", &id.0)), &field, &name)
    });
    if let Some(new) = typed.filter(|new| !new.is_empty()) {
        let edit = Edit::Rename { feature: id.clone(), name: new };
        commands.push(Command::Edit(format!("rename {name}"), vec![edit]));
    }
    let usual = shortest(CLICK_SIGMA_PX, 2);
    let reading = labelled(ui, "Clicks ±", |ui, width| {
        let figure = Figure::number("Picks are good to", sigma_px(job, &id), 2, "± px").of(&id.0);
        figure.hint(&usual).above_zero().width(width).show(ui)
    });
    if let Some(typed) = taken(ui, reading) {
        let edit = Edit::PickSigma { feature: id.clone(), sigma_px: typed.number() };
        commands.push(Command::Edit(format!("say how well the picks lie of {name}"), vec![edit]));
    }
    let width = ui.available_width();
    let point = job.points.iter().find(|point| point.id == id);
    if let Some(corner) = point.and_then(|point| session.results.seen.corner(point, job)) {
        let [one, other] = corner.edges.each_ref().map(|edge| job.feature_name(edge));
        let words = format!("Taken from where {one} and {other} cross.");
        say_in(ui, Lettering::Small, theme::colours(ui).soft, &words);
    }
    if let Some(edge) = job.edges.iter().find(|edge| edge.id == id) {
        if check_box(ui, edge.measure_edge, "Measured in the photo").clicked() {
            let edit = Edit::MeasureEdge { edge: id.clone(), measure: !edge.measure_edge };
            let verb = measured::verb(!edge.measure_edge);
            commands.push(Command::Edit(format!("{verb} {name}"), vec![edit]));
        }
        if let Some(words) = session.results.seen.side(edge).map(measured::of_side) {
            say_in(ui, Lettering::Small, theme::colours(ui).soft, &words);
        }
    }
    if is_edge {
        let picking = session.screen.picking_edge.as_ref() == Some(&id);
        let button = if picking {
            Button::quiet("End the edge").key(Action::Done.key_text())
        } else {
            Button::quiet("Click along it again")
        };
        if button.width(width).show(ui).clicked() {
            if picking {
                commands.push(Command::Do(Action::Done));
            } else {
                session.screen.picking_edge = Some(id.clone());
            }
        }
    }
    let words = if is_edge { "Remove the edge" } else { "Remove the point" };
    if Button::quiet(words).width(width).show(ui).clicked() {
        commands.push(Command::Edit(format!("remove {name}"), vec![Edit::Remove(id)]));
        session.screen.chosen = None;
    }
}

fn sigma_px(job: &Job, id: &Id) -> Option<f64> {
    let edges = job.edges.iter().map(|edge| (&edge.id, edge.sigma_px));
    let mut all = edges.chain(job.points.iter().map(|point| (&point.id, point.sigma_px)));
    all.find(|(own, _)| *own == id).and_then(|(_, sigma)| sigma)
}
