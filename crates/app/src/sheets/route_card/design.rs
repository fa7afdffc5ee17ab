//! Settings of operation 40 besides its lines: what is left out, what is added, land, and the side that is cut.

use super::labelled;
use crate::adding::{Addition, bases};
use crate::command::{Action, Command};
use crate::controls::{Button, Field, Reading, check_box, read_value, say_in, typed_value};
use crate::session::{Chosen, Session};
use crate::sheets::figure_field::{Figure, shortest, taken};
use crate::sheets::figures::Lengths;
use crate::theme::{self, Lettering};
use egui::{ComboBox, Key, Modifiers, Ui};
use platewright_core::job::{
    Added, AddedKind, Between, Design, Edit, Id, Job, MOST_ON_A_CIRCLE, Offset, OnCircle, Placed, Role, capital, listed,
};
use platewright_core::standards::{Fastener, tapping_drill_mm};
use platewright_core::units::parse_length_mm;

pub(super) fn settings(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let job = document.job();
    let lengths = Lengths::of(session);
    in_the_part(ui, session, job, commands);
    ui.add_space(4.0);
    let chosen = match &session.screen.chosen {
        Some(Chosen::Added(id)) => job.added(id),
        _ => None,
    };
    if let Some(adding) = &session.screen.adding {
        match being_added(ui, job, adding, lengths, commands) {
            Adding::GoesOn(after) => session.screen.adding = Some(*after),
            Adding::Left => session.screen.adding = None,
            Adding::Done(id) => {
                session.screen.adding = None;
                session.screen.chosen = Some(Chosen::Added(id));
            }
        }
        return;
    }
    let again = chosen.filter(|added| of_added(ui, job, added, lengths, commands)).cloned();
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
fn being_added(ui: &mut Ui, job: &Job, adding: &Added, lengths: Lengths, commands: &mut Vec<Command>) -> Adding {
    let name = adding.shown_name();
    say_in(ui, Lettering::Strong, theme::colours(ui).ink, &name);
    let after = figures(ui, job, adding, lengths).unwrap_or_else(|| adding.clone());
    let has_size = after.diameter_mm.is_some() || after.tapped.is_some() || after.group.is_some();
    let waits = (!has_size).then_some("waits for its size");
    let width = ui.available_width();
    let words = if job.added(&after.id).is_some() { "Place it so" } else { "Add it" };
    let button = Button::main(words).key(Some("Enter".to_owned())).waits(waits).width(width);
    let free = ui.memory(|memory| memory.focused().is_none());
    let entered = free && has_size && ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Enter));
    if button.show(ui).clicked() || entered {
        let verb = if job.added(&after.id).is_some() { "place" } else { "add" };
        let edit = Edit::PutAdded(Box::new(after.clone()));
        commands.push(Command::Edit(format!("{verb} {name}"), vec![edit.clone()]));
        // What is refused stays in hand, to be put right.
        return if job.clone().apply(edit).is_ok() { Adding::Done(after.id) } else { Adding::GoesOn(Box::new(after)) };
    }
    if let Some(reason) = waits {
        say_in(ui, Lettering::Small, theme::colours(ui).soft, reason);
    }
    let left = Button::quiet("Leave it").key(Some("Esc".to_owned())).width(width).show(ui).clicked();
    if left { Adding::Left } else { Adding::GoesOn(Box::new(after)) }
}

/// The settings of something that is in the job; whether it is to be placed from other features.
fn of_added(ui: &mut Ui, job: &Job, added: &Added, lengths: Lengths, commands: &mut Vec<Command>) -> bool {
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
        commands.push(Command::Edit(format!("change {shown}"), vec![Edit::PutAdded(Box::new(after))]));
    }
    let width = ui.available_width();
    let again = Button::quiet("Place it from others").width(width).show(ui).clicked();
    if Button::quiet(&format!("Remove {shown}")).width(width).show(ui).clicked() {
        commands.push(Command::Do(Action::Remove));
    }
    again
}

/// Place, size and, of a slot, how it lies; what they make of it, where something was typed.
fn figures(ui: &mut Ui, job: &Job, added: &Added, lengths: Lengths) -> Option<Added> {
    let mut after = added.clone();
    say_in(ui, Lettering::Small, theme::colours(ui).soft, &place_words(job, added));
    place(ui, &mut after, lengths);
    size(ui, &mut after, lengths);
    group(ui, job, &mut after);
    if added.kind == AddedKind::Slot {
        slot(ui, job, &mut after, lengths);
    }
    (after != *added).then_some(after)
}

/// What it is placed from, in words.
fn place_words(job: &Job, added: &Added) -> String {
    let names: Vec<String> = bases(added).into_iter().map(|id| job.placed_name(id)).collect();
    match &added.placed {
        None => "From where coordinates start.".to_owned(),
        Some(Placed::Offset(_)) => format!("From the middle of {}.", listed(&names)),
        Some(Placed::Between(_)) => format!("On the line from {}.", names.join(" to ")),
        Some(Placed::Circle(circle)) if circle.about.is_some() => format!("On a circle round {}.", listed(&names)),
        Some(Placed::Circle(_)) => "On a circle round this place.".to_owned(),
    }
}

/// The figures of its place.
fn place(ui: &mut Ui, added: &mut Added, lengths: Lengths) {
    let id = added.id.0.clone();
    let length = |ui: &mut Ui, (label, name): (&str, &str), value: &mut f64| {
        let figure = Figure::length(name, Some(*value), lengths).any_sign().of(&id);
        let reading = labelled(ui, label, |ui, width| figure.hint("0").width(width).show(ui));
        if let Some(typed) = taken(ui, reading) {
            *value = typed.number().unwrap_or(0.0);
        }
    };
    if let Some(at) = &mut added.at_mm {
        length(ui, ("X", "X of what is added"), &mut at.x);
        length(ui, ("Y", "Y of what is added"), &mut at.y);
    }
    match &mut added.placed {
        None => {}
        Some(Placed::Offset(Offset { by_mm, .. })) => {
            length(ui, ("X on", "Along X from there"), &mut by_mm.x);
            length(ui, ("Y on", "Along Y from there"), &mut by_mm.y);
        }
        Some(Placed::Between(Between { share, distance_mm, .. })) => {
            let hint = share.map_or_else(|| "halfway".to_owned(), |share| format!("{} %", shortest(share * 100.0, 1)));
            let figure = Figure::length("Distance along the line", *distance_mm, lengths).any_sign().of(&id);
            let reading = labelled(ui, "At", |ui, width| figure.hint(&hint).width(width).show(ui));
            if let Some(typed) = taken(ui, reading) {
                (*share, *distance_mm) = (None, typed.number());
            }
        }
        Some(Placed::Circle(circle)) => on_circle(ui, circle, &id, lengths),
    }
}

fn on_circle(ui: &mut Ui, circle: &mut OnCircle, id: &str, lengths: Lengths) {
    if let Some(about) = &mut circle.about_mm {
        for (label, name, value) in [("X", "X of the circle", &mut about.x), ("Y", "Y of the circle", &mut about.y)] {
            let figure = Figure::length(name, Some(*value), lengths).any_sign().of(id);
            let reading = labelled(ui, label, |ui, width| figure.hint("0").width(width).show(ui));
            if let Some(typed) = taken(ui, reading) {
                *value = typed.number().unwrap_or(0.0);
            }
        }
    }
    let reading = labelled(ui, "Holes", |ui, width| {
        Figure::number("How many on the circle", Some(circle.n as f64), 0, "").of(id).above_zero().width(width).show(ui)
    });
    if let Some(n) = taken(ui, reading).and_then(crate::sheets::figure_field::Typed::number) {
        circle.n = n.round().clamp(1.0, MOST_ON_A_CIRCLE as f64) as usize;
    }
    let reading = labelled(ui, "Radius", |ui, width| {
        Figure::length("Radius of the circle", Some(circle.radius_mm), lengths).of(id).width(width).show(ui)
    });
    if let Some(radius) = taken(ui, reading).and_then(crate::sheets::figure_field::Typed::number) {
        circle.radius_mm = radius;
    }
    let reading = labelled(ui, "First at", |ui, width| {
        Figure::number("Direction of the first, from X towards Y", Some(circle.first_deg), 3, "°")
            .of(id)
            .hint("0")
            .width(width)
            .show(ui)
    });
    if let Some(typed) = taken(ui, reading) {
        circle.first_deg = typed.number().unwrap_or(0.0);
    }
}

/// A diameter, or a thread that is to be tapped.
fn size(ui: &mut Ui, added: &mut Added, lengths: Lengths) {
    let is_hole = added.kind == AddedKind::Hole;
    let (label, hint) = if is_hole { ("Dia.", "4.2 or M6") } else { ("Width", "5.5") };
    let name = if is_hole { "Diameter, or the thread to tap" } else { "Width of the slot" };
    let hint = if added.group.is_some() { "by its group" } else { hint };
    let value = match (&added.tapped, added.diameter_mm) {
        (Some(thread), _) => thread.clone(),
        (None, Some(mm)) => lengths.typed_figure(mm),
        (None, None) => String::new(),
    };
    let unit = if added.tapped.is_some() { "tapped" } else { lengths.unit() };
    let reading: Reading<Size> = labelled(ui, label, |ui, width| {
        let field = Field { name, unit, hint, width };
        let id = egui::Id::unique(("size-of-added", &added.id.0));
        read_value(ui, id, &field, &value, |typed| Size::read(typed, is_hole, lengths))
    });
    if let Some(size) = taken(ui, reading) {
        added.group = None;
        (added.diameter_mm, added.tapped) = match size {
            Size::Unsaid => (None, None),
            Size::Diameter(mm) => (Some(mm), None),
            Size::Tapped(thread) => (None, Some(thread.to_owned())),
        };
    }
    let thread = added.tapped.as_deref().and_then(Fastener::parse);
    if let Some((thread, drill)) = thread.and_then(|thread| Some((thread, tapping_drill_mm(thread)?))) {
        let words = format!("Drill {} for {thread} by ISO 2306.", lengths.with_unit(drill));
        say_in(ui, Lettering::Small, theme::colours(ui).soft, &words);
    }
}

/// What was typed as a size.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Size {
    Unsaid,
    Diameter(f64),
    Tapped(&'static str),
}

impl Size {
    fn read(typed: &str, may_tap: bool, lengths: Lengths) -> Result<Self, String> {
        let text = typed.trim();
        if text.is_empty() {
            return Ok(Self::Unsaid);
        }
        if !text.starts_with(['M', 'm']) {
            let mm = parse_length_mm(text, lengths.typed());
            return mm.map(Self::Diameter).map_err(|problem| format!("{}.", capital(&problem.to_string())));
        }
        if !may_tap {
            return Err("A slot cannot be tapped. Type its width.".to_owned());
        }
        let thread = Fastener::parse(text).filter(|thread| tapping_drill_mm(*thread).is_some());
        let thread = thread.ok_or_else(|| format!("No drill is known for ‘{text}’. Type M3 to M24, or a diameter."))?;
        Ok(Self::Tapped(thread.name()))
    }
}

/// The group whose finished size it gets, where there are groups.
fn group(ui: &mut Ui, job: &Job, added: &mut Added) {
    if job.groups.is_empty() {
        return;
    }
    let words = |group: Option<&Id>| match group {
        None => "own size".to_owned(),
        Some(id) => {
            let holes = job.holes.iter().filter(|hole| hole.group.as_ref() == Some(id));
            let names: Vec<String> = holes.map(|hole| hole.name.clone()).collect();
            if names.is_empty() { id.0.clone() } else { format!("as {}", listed(&names)) }
        }
    };
    let now = added.group.clone();
    let mut picked = None;
    labelled(ui, "Size", |ui, width| {
        let combo = ComboBox::from_id_salt("group-of-added").width(width).truncate();
        let shown = combo.selected_text(words(now.as_ref())).show_ui(ui, |ui| {
            for choice in std::iter::once(None).chain(job.groups.iter().map(|group| Some(&group.id))) {
                if ui.selectable_label(choice == now.as_ref(), words(choice)).clicked() && choice != now.as_ref() {
                    picked = Some(choice.cloned());
                }
            }
        });
        shown.response.accessible_name("Whose size it gets")
    });
    if let Some(group) = picked {
        if group.is_some() {
            (added.diameter_mm, added.tapped) = (None, None);
        }
        added.group = group;
    }
}

/// How a slot lies.
fn slot(ui: &mut Ui, job: &Job, added: &mut Added, lengths: Lengths) {
    let id = added.id.0.clone();
    let reading = labelled(ui, "Length", |ui, width| {
        let figure = Figure::length("Between the centres of the slot’s ends", added.length_mm, lengths);
        figure.of(&id).width(width).show(ui)
    });
    if let Some(mm) = taken(ui, reading).and_then(crate::sheets::figure_field::Typed::number) {
        added.length_mm = Some(mm);
    }
    points_to(ui, job, added);
    if added.towards.is_some() {
        return;
    }
    let reading = labelled(ui, "Lies at", |ui, width| {
        let figure = Figure::number("Direction of the slot, from X towards Y", added.angle_deg, 3, "°");
        figure.of(&id).hint("0").width(width).show(ui)
    });
    if let Some(typed) = taken(ui, reading) {
        added.angle_deg = typed.number();
    }
}

/// The feature that a slot points to.
fn points_to(ui: &mut Ui, job: &Job, added: &mut Added) {
    let holes = job.holes.iter().map(|hole| &hole.id).chain(job.points.iter().map(|point| &point.id));
    let others = job.added.iter().map(|other| &other.id).filter(|other| **other != added.id);
    let features: Vec<&Id> = holes.chain(others).collect();
    let words = |id: Option<&Id>| id.map_or_else(|| "an angle".to_owned(), |id| job.placed_name(id));
    let now = added.towards.clone();
    labelled(ui, "Points to", |ui, width| {
        let combo = ComboBox::from_id_salt("slot-towards").width(width).selected_text(words(now.as_ref()));
        let shown = combo.show_ui(ui, |ui| {
            for choice in std::iter::once(None).chain(features.into_iter().map(Some)) {
                if ui.selectable_label(choice == now.as_ref(), words(choice)).clicked() {
                    added.towards = choice.cloned();
                    added.angle_deg = added.angle_deg.filter(|_| choice.is_none());
                }
            }
        });
        shown.response.accessible_name("The slot points to")
    });
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;

    #[test]
    fn a_size_is_a_diameter_or_a_thread() {
        let lengths = Lengths::of(&samples::session(samples::plate()));
        let read = |typed: &str, may_tap| Size::read(typed, may_tap, lengths);
        assert_eq!(read("4,2", true), Ok(Size::Diameter(4.2)));
        assert_eq!(read(" m6 ", true), Ok(Size::Tapped("M6")));
        assert_eq!(read("", true), Ok(Size::Unsaid));
        for typed in ["M7", "M", "six", "0", "-3"] {
            let problem = read(typed, true).unwrap_err();
            assert!(problem.ends_with('.'), "{typed}: {problem}");
        }
        assert!(read("M6", false).is_err(), "a slot has no thread");
    }
}
