//! The figures of one thing that is added: its place, its size and, of a slot, how it lies.

use super::labelled;
use crate::adding::bases;
use crate::controls::{DropDown, Field, Reading, read_value, say_in};
use crate::sheets::figure_field::{Figure, Typed, shortest, taken};
use crate::sheets::figures::Lengths;
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::{
    Added, AddedKind, Between, Id, Job, MOST_ON_A_CIRCLE, Offset, OnCircle, Placed, capital, listed,
};
use platewright_core::standards::{Fastener, tapping_drill_mm};
use platewright_core::units::parse_length_mm;

/// Place, size and, of a slot, how it lies; what they make of it, where something was typed.
pub(super) fn figures(ui: &mut Ui, job: &Job, added: &Added, lengths: Lengths) -> Option<Added> {
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
        let figure = Figure::number("How many on the circle", Some(circle.n as f64), 0, "").of(id);
        figure.whole().between(1.0, MOST_ON_A_CIRCLE as f64).width(width).show(ui)
    });
    if let Some(n) = taken(ui, reading).and_then(Typed::number) {
        circle.n = n as usize;
    }
    let reading = labelled(ui, "Radius", |ui, width| {
        Figure::length("Radius of the circle", Some(circle.radius_mm), lengths).of(id).width(width).show(ui)
    });
    if let Some(radius) = taken(ui, reading).and_then(Typed::number) {
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
    let (_, picked) = labelled(ui, "Size", |ui, width| {
        let choices = std::iter::once(None).chain(job.groups.iter().map(|group| Some(group.id.clone())));
        let choices = choices.map(|choice| (choice.clone(), words(choice.as_ref())));
        let shown = words(added.group.as_ref());
        DropDown { name: "Whose size it gets", shown: &shown, width }.show(ui, Some(&added.group), choices)
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
    let reading = labelled(ui, "Centres", |ui, width| {
        let figure = Figure::length("Between the centres of the slot’s ends", added.length_mm, lengths);
        figure.of(&id).width(width).show(ui)
    });
    if let Some(mm) = taken(ui, reading).and_then(Typed::number) {
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
    let (_, picked) = labelled(ui, "Points to", |ui, width| {
        let choices = std::iter::once(None).chain(features.into_iter().map(|id| Some(id.clone())));
        let choices = choices.map(|choice| (choice.clone(), words(choice.as_ref())));
        let shown = words(added.towards.as_ref());
        DropDown { name: "The slot points to", shown: &shown, width }.show(ui, Some(&added.towards), choices)
    });
    if let Some(towards) = picked {
        added.angle_deg = added.angle_deg.filter(|_| towards.is_none());
        added.towards = towards;
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
