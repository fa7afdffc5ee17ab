//! Settings of operation 20: those of the chosen hole, and where plate coordinates start.

use super::{Figure, labelled};
use crate::command::{Action, Command};
use crate::controls::{Button, Field, check_box, say_in, typed_value};
use crate::session::{Chosen, Session};
use crate::theme::{self, Lettering};
use egui::{ComboBox, Ui};
use platewright_core::job::{Datum, Edit, Group, Hole, Id, Job};

pub(super) fn settings(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let job = document.job();
    let chosen = match &session.screen.chosen {
        Some(Chosen::Hole(id) | Chosen::RimPick { hole: id, .. }) => job.hole(id),
        _ => None,
    };
    let Some(hole) = chosen else {
        let words = "The settings of a hole stand here once it is chosen.";
        say_in(ui, Lettering::Small, theme::colours(ui).soft, words);
        return;
    };
    let picking = session.screen.picking.as_ref() == Some(&hole.id);
    of_hole(ui, job, hole, picking, commands);
    let id = hole.id.clone();
    let words = if picking { "Stop clicking its rim" } else { "Click its rim again" };
    if Button::quiet(words).width(ui.available_width()).show(ui).clicked() {
        session.screen.picking = (!picking).then_some(id);
    }
    if Button::quiet("Remove the hole").width(ui.available_width()).show(ui).clicked() {
        commands.push(Command::Do(Action::Remove));
    }
}

fn of_hole(ui: &mut Ui, job: &Job, hole: &Hole, picking: bool, commands: &mut Vec<Command>) {
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
    if check_box(ui, hole.edge_break, "Edge is broken").clicked() {
        edit(commands, "say how the edge is of", Edit::EdgeBroken { hole: id(), broken: !hole.edge_break });
    }
    if check_box(ui, hole.keep, "In the finished part").clicked() {
        edit(commands, "keep or drop", Edit::KeepHole { hole: id(), keep: !hole.keep });
    }
    let finished = labelled(ui, "Cut to", |ui, width| {
        let figure = Figure {
            name: "Finished diameter",
            value: group_of(job, hole).and_then(|group| group.finished_mm),
            decimals: 3,
            unit: "mm",
            hint: "as found",
            width,
        };
        figure.show(ui, commands)
    });
    if let Some(typed) = finished {
        let name = format!("give {} its finished size", hole.name);
        commands.push(Command::Edit(name, with_finished_size(job, hole, typed.number())));
    }
    let fastener = labelled(ui, "Fastener", |ui, width| {
        let field = Field { name: "Fastener", unit: "", hint: "M6", width };
        let now = group_of(job, hole).and_then(|group| group.fastener.clone()).unwrap_or_default();
        typed_value(ui, ui.make_persistent_id(("fastener", &hole.id.0)), &field, &now)
    });
    if let Some(fastener) = fastener {
        let name = format!("say what goes through {}", hole.name);
        commands.push(Command::Edit(name, with_fastener(job, hole, fastener)));
    }
    let sigma = labelled(ui, "Picks to", |ui, width| {
        let figure =
            Figure { name: "Picks are good to", value: hole.sigma_px, decimals: 2, unit: "± px", hint: "1.5", width };
        figure.show(ui, commands)
    });
    if let Some(typed) = sigma {
        edit(commands, "say how well the picks lie of", Edit::PickSigma { feature: id(), sigma_px: typed.number() });
    }
    if picking {
        say_in(ui, Lettering::Small, theme::colours(ui).soft, "Clicks on the photo now go to its rim.");
    }
}

fn group_of<'a>(job: &'a Job, hole: &Hole) -> Option<&'a Group> {
    let group = hole.group.as_ref()?;
    job.groups.iter().find(|other| other.id == *group)
}

/// The edits that give `hole` a finished size: a change to its group, or a group of its own.
fn with_finished_size(job: &Job, hole: &Hole, finished_mm: Option<f64>) -> Vec<Edit> {
    match group_of(job, hole) {
        Some(group) => vec![Edit::PutGroup(Group { finished_mm, ..group.clone() })],
        None => in_new_group(hole, Group { finished_mm, ..empty_group(job) }),
    }
}

fn with_fastener(job: &Job, hole: &Hole, text: String) -> Vec<Edit> {
    let fastener = (!text.is_empty()).then_some(text);
    match group_of(job, hole) {
        Some(group) => vec![Edit::PutGroup(Group { fastener, ..group.clone() })],
        None => in_new_group(hole, Group { fastener, ..empty_group(job) }),
    }
}

fn empty_group(job: &Job) -> Group {
    Group::new(job.free_id("g"))
}

fn in_new_group(hole: &Hole, group: Group) -> Vec<Edit> {
    let id = group.id.clone();
    vec![Edit::PutGroup(group), Edit::HoleGroup { hole: hole.id.clone(), group: Some(id) }]
}

/// Where plate coordinates start and which way x runs.
pub(super) fn datum(ui: &mut Ui, job: &Job, commands: &mut Vec<Command>) {
    let features: Vec<&Id> = job.holes.iter().map(|hole| &hole.id).chain(job.points.iter().map(|p| &p.id)).collect();
    if features.len() < 2 {
        return;
    }
    let (origin, along) = match &job.datum {
        Some(datum) => (datum.origin.clone(), datum.along.clone()),
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
    let mut picked = None;
    labelled(ui, label, |ui, width| {
        let combo = ComboBox::from_id_salt(name).width(width).selected_text(job.feature_name(now).to_owned());
        let shown = combo.show_ui(ui, |ui| {
            for id in features {
                if ui.selectable_label(*id == now, job.feature_name(id).to_owned()).clicked() && *id != now {
                    picked = Some((*id).clone());
                }
            }
        });
        shown.response.accessible_name(name)
    });
    picked
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;

    #[test]
    fn a_finished_size_makes_a_group_once_and_changes_it_after() {
        let mut job = samples::plate();
        let hole = job.holes[0].clone();
        for edit in with_finished_size(&job, &hole, Some(6.6)) {
            job.apply(edit).unwrap();
        }
        assert_eq!(job.groups.len(), 1, "a group of its own");
        let hole = job.holes[0].clone();
        for edit in with_fastener(&job, &hole, "M6".to_owned()) {
            job.apply(edit).unwrap();
        }
        assert_eq!(job.groups.len(), 1, "the same group");
        assert_eq!((job.groups[0].finished_mm, job.groups[0].fastener.as_deref()), (Some(6.6), Some("M6")), "both");
    }
}
