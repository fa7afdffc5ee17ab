//! The group of the chosen hole: which holes get one finished size, for which fastener, and whether they are alike.

use super::{clearance, finished, labelled};
use crate::command::Command;
use crate::controls::{Button, DropDown, Field, check_box, typed_value};
use crate::session::Session;
use crate::sheets::figure_field::{Figure, taken};
use crate::sheets::figures::{Lengths, count};
use egui::Ui;
use platewright_core::job::{Edit, Group, Hole, Id, Job, SAME_SIZE_SIGMA_MM};
use platewright_core::solution::HoleFit;

/// Holes whose diameters differ by less than this share are offered as alike: the next drill in a set is further off.
const ALIKE_SHARE: f64 = 0.04;

/// The settings of the hole's group.
pub(super) fn settings(ui: &mut Ui, session: &Session, hole: &Hole, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let job = document.job();
    let lengths = Lengths::of(session);
    let group = group_of(job, hole);
    membership(ui, job, hole, commands);
    let finished = labelled(ui, "Cut to", |ui, width| {
        let figure = Figure::length("Finished diameter", group.and_then(|group| group.finished_mm), lengths);
        figure.of(&hole.id.0).hint("as found").width(width).show(ui)
    });
    if let Some(typed) = taken(ui, finished) {
        let change = |group: Group| Group { finished_mm: typed.number(), ..group };
        commands.push(Command::Edit(format!("give {} its finished size", hole.name), with_group(job, hole, change)));
    }
    let fastener = labelled(ui, "Fastener", |ui, width| {
        let field = Field { name: "Fastener", unit: "", hint: "M6", width };
        let now = group.and_then(|group| group.fastener.clone()).unwrap_or_default();
        typed_value(ui, ui.make_persistent_id(("fastener", &hole.id.0)), &field, &now)
    });
    if let Some(fastener) = fastener {
        let change = |group: Group| Group { fastener: (!fastener.is_empty()).then_some(fastener), ..group };
        commands.push(Command::Edit(format!("say what goes through {}", hole.name), with_group(job, hole, change)));
    }
    finished::offer_fastener(ui, session, job, hole, commands, |change| with_group(job, hole, change));
    tapped(ui, job, hole, commands);
    clearance::settings(ui, job, hole, lengths, commands);
    finished::beside_measured(ui, session, job, hole);
    one_size(ui, session, job, hole, commands);
}

/// Whether the holes of the group are tapped for their fastener, once one is said.
fn tapped(ui: &mut Ui, job: &Job, hole: &Hole, commands: &mut Vec<Command>) {
    let Some(group) = group_of(job, hole).filter(|group| group.fastener.is_some()) else { return };
    if check_box(ui, group.tapped, "Tapped for it").clicked() {
        let edit = Edit::PutGroup(Group { tapped: !group.tapped, ..group.clone() });
        commands.push(Command::Edit(format!("say whether {} is tapped", hole.name), vec![edit]));
    }
}

/// In which group the hole is, or that it stands alone.
fn membership(ui: &mut Ui, job: &Job, hole: &Hole, commands: &mut Vec<Command>) {
    let now = hole.group.as_ref();
    let words = |group: Option<&Id>| group.map_or_else(|| "none".to_owned(), |id| group_words(job, id));
    let (_, chosen) = labelled(ui, "Group", |ui, width| {
        let choices = std::iter::once(None).chain(job.groups.iter().map(|group| Some(&group.id)));
        let choices = choices.map(|choice| (choice, words(choice)));
        DropDown { name: "Group of the hole", shown: &words(now), width }.show(ui, Some(&now), choices)
    });
    if let Some(group) = chosen {
        let edit = Edit::HoleGroup { hole: hole.id.clone(), group: group.cloned() };
        commands.push(Command::Edit(format!("put {} into another group", hole.name), vec![edit]));
    }
}

/// A group by its fastener and its holes, `M6: H1, H2`.
fn group_words(job: &Job, group: &Id) -> String {
    let holes = job.holes.iter().filter(|hole| hole.group.as_ref() == Some(group));
    let names: Vec<&str> = holes.map(|hole| hole.name.as_str()).collect();
    let names = if names.is_empty() { "no hole".to_owned() } else { names.join(", ") };
    match job.group(group).and_then(|group| group.fastener.as_ref()) {
        Some(fastener) => format!("{fastener}: {names}"),
        None => names,
    }
}

/// Whether the holes of the group are of one size, and how far they may differ; where the hole has no company, the
/// others of about its size are offered.
fn one_size(ui: &mut Ui, session: &Session, job: &Job, hole: &Hole, commands: &mut Vec<Command>) {
    let group = group_of(job, hole);
    let others = alike(job, &session.results.solution.holes, hole);
    if !others.is_empty() {
        let words = format!("Group with {} like it", count(others.len(), "hole", "holes"));
        let name = format!("{words}: {}", others.iter().map(|other| &*other.name).collect::<Vec<_>>().join(", "));
        if Button::quiet(&words).name(&*name).width(ui.available_width()).show(ui).on_hover_text(&name).clicked() {
            commands.push(Command::Edit(format!("group the holes like {}", hole.name), gather(job, hole, &others)));
        }
    }
    let company = job.holes.iter().filter(|other| hole.group.is_some() && other.group == hole.group).count();
    let Some(group) = group.filter(|group| company > 1 || group.same_size_sigma_mm.is_some()) else { return };
    let said = group.same_size_sigma_mm;
    let put = |sigma: Option<f64>| vec![Edit::PutGroup(Group { same_size_sigma_mm: sigma, ..group.clone() })];
    if check_box(ui, said.is_some(), "All of one size").clicked() {
        let sigma = said.is_none().then_some(SAME_SIZE_SIGMA_MM);
        let name =
            if said.is_none() { "say that they are of one size" } else { "no longer say that they are of one size" };
        commands.push(Command::Edit(name.to_owned(), put(sigma)));
    }
    if said.is_none() {
        return;
    }
    let reading = labelled(ui, "But for", |ui, width| {
        let figure = Figure::allowance("Diameters of the group differ by", said, Lengths::of(session));
        figure.of(&group.id.0).width(width).show(ui)
    });
    if let Some(typed) = taken(ui, reading) {
        let sigma = typed.number().unwrap_or(SAME_SIZE_SIGMA_MM);
        commands.push(Command::Edit("say how far they differ".to_owned(), put(Some(sigma))));
    }
}

fn group_of<'a>(job: &'a Job, hole: &Hole) -> Option<&'a Group> {
    job.group(hole.group.as_ref()?)
}

/// The other holes of about the same size that are not in the hole's group yet, nor in another.
fn alike<'a>(job: &'a Job, fits: &[HoleFit], hole: &Hole) -> Vec<&'a Hole> {
    let diameter = |id: &Id| fits.iter().find(|fit| fit.id == *id).map(|fit| fit.rim_diameter_mm);
    let Some(own) = diameter(&hole.id) else { return Vec::new() };
    let is_alike = |other: &&Hole| {
        let near = diameter(&other.id).is_some_and(|diameter| (diameter - own).abs() <= ALIKE_SHARE * own);
        other.id != hole.id && other.group.is_none() && near
    };
    job.holes.iter().filter(is_alike).collect()
}

/// The edits that put `others` into the hole's group, which is made where there is none.
fn gather(job: &Job, hole: &Hole, others: &[&Hole]) -> Vec<Edit> {
    let mut edits = if hole.group.is_some() { Vec::new() } else { with_group(job, hole, |group| group) };
    let id = hole.group.clone().unwrap_or_else(|| empty_group(job).id);
    edits.extend(others.iter().map(|other| Edit::HoleGroup { hole: other.id.clone(), group: Some(id.clone()) }));
    edits
}

/// The edits that change the hole's group, or give it one of its own.
fn with_group(job: &Job, hole: &Hole, change: impl FnOnce(Group) -> Group) -> Vec<Edit> {
    if let Some(group) = group_of(job, hole) {
        return vec![Edit::PutGroup(change(group.clone()))];
    }
    let group = change(empty_group(job));
    let id = group.id.clone();
    vec![Edit::PutGroup(group), Edit::HoleGroup { hole: hole.id.clone(), group: Some(id) }]
}

fn empty_group(job: &Job) -> Group {
    Group::new(job.free_id("g"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;

    #[test]
    fn a_finished_size_makes_a_group_once_and_changes_it_after() {
        let mut job = samples::plate();
        let hole = job.holes[0].clone();
        for edit in with_group(&job, &hole, |group| Group { finished_mm: Some(6.6), ..group }) {
            job.apply(edit).unwrap();
        }
        assert_eq!(job.groups.len(), 1, "a group of its own");
        let hole = job.holes[0].clone();
        for edit in with_group(&job, &hole, |group| Group { fastener: Some("M6".to_owned()), ..group }) {
            job.apply(edit).unwrap();
        }
        assert_eq!(job.groups.len(), 1, "the same group");
        assert_eq!((job.groups[0].finished_mm, job.groups[0].fastener.as_deref()), (Some(6.6), Some("M6")), "both");
        assert_eq!(group_words(&job, &job.groups[0].id), "M6: H1", "by its fastener and its holes");
    }

    #[test]
    fn only_free_holes_of_the_same_size_are_alike() {
        let mut session = samples::session(samples::plate());
        session.refresh();
        let mut fits = session.results.solution.holes.clone();
        fits[2].rim_diameter_mm *= 1.1;
        let mut job = samples::plate();
        let names =
            |job: &Job| alike(job, &fits, &job.holes[0]).iter().map(|hole| hole.name.clone()).collect::<Vec<_>>();
        assert_eq!(names(&job), ["H2", "H4"], "H3 is a tenth larger");
        for edit in gather(&job, &job.holes[0], &alike(&job, &fits, &job.holes[0])) {
            job.apply(edit).unwrap();
        }
        assert_eq!(job.groups.len(), 1, "one group");
        assert_eq!(group_words(&job, &job.groups[0].id), "H1, H2, H4", "of all three");
        assert!(names(&job).is_empty(), "nobody is left to join");
    }
}
