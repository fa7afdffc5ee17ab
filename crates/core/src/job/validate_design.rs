//! Whether what is designed on top holds together.

use super::error::shown;
use super::limits::Most;
use super::validate::{Ids, Thing, optional, pair, usable};
use super::{
    Added, AddedKind, Between, Design, Id, Job, JobError, MOST_ADDED, MOST_ON_A_CIRCLE, OnCircle, Placed, PlacingOrder,
};
use crate::standards::{Fastener, HoleClass, clearance_hole_mm};

/// What may be placed from.
const PLACES: [Thing; 3] = [Thing::Hole, Thing::Point, Thing::Added];

/// Checks what is added, one by one and for circles of references, and what is done to the whole part.
pub(super) fn design(job: &Job, ids: &Ids<'_>) -> Result<(), JobError> {
    for (i, one) in job.added.iter().enumerate() {
        let key = format!("added[{i}]");
        place(&key, one, ids)?;
        size(&key, one, ids)?;
        slot(&key, one, ids)?;
    }
    let count: usize = job.added.iter().map(Added::count).sum();
    if count > MOST_ADDED {
        let problem = format!("is {count} holes and slots, those on circles counted, and {MOST_ADDED} are the most");
        return Err(JobError::at("added", problem));
    }
    if let Some(i) = PlacingOrder::of(&job.added.iter().collect::<Vec<_>>()).in_circle {
        let id = shown(&job.added[i].id.0);
        let problem = format!("“{id}” is placed by itself in the end, and so it has no place");
        return Err(JobError::at(format!("added[{i}]"), problem));
    }
    let Design { mirrored: _, land_mm, opening_land_mm } = job.design;
    Most::LAND.check("design.land_mm", land_mm)?;
    Most::LAND.check("design.opening_land_mm", opening_land_mm)
}

fn place(key: &str, added: &Added, ids: &Ids<'_>) -> Result<(), JobError> {
    one_at_most(key, [("at_mm", added.at_mm.is_some()), ("placed", added.placed.is_some()), ("", false)])?;
    if let Some(at) = added.at_mm {
        return pair(format_args!("{key}.at_mm"), at.into());
    }
    let refers = |key: String, id: &Id| ids.refers(key, id, &PLACES);
    match &added.placed {
        None => Err(JobError::at(key, "has neither “at_mm” nor “placed”, and one of them says where it is")),
        Some(Placed::Offset(offset)) => {
            refers(format!("{key}.placed.offset.from"), &offset.from)?;
            pair(format_args!("{key}.placed.offset.by_mm"), offset.by_mm.into())
        }
        Some(Placed::Between(Between { a, b, share, distance_mm })) => {
            let key = format!("{key}.placed.between");
            refers(format!("{key}.a"), a)?;
            refers(format!("{key}.b"), b)?;
            if a == b {
                return Err(JobError::at(key, format!("goes from “{}” to itself", shown(&a.0))));
            }
            one_at_most(&key, [("share", share.is_some()), ("distance_mm", distance_mm.is_some()), ("", false)])?;
            optional(format_args!("{key}.share"), *share, usable)?;
            optional(format_args!("{key}.distance_mm"), *distance_mm, usable)
        }
        Some(Placed::Circle(circle)) => on_circle(&format!("{key}.placed.circle"), circle, ids),
    }
}

fn on_circle(key: &str, circle: &OnCircle, ids: &Ids<'_>) -> Result<(), JobError> {
    let OnCircle { about, about_mm, n, radius_mm, first_deg } = circle;
    match (about, about_mm) {
        (Some(about), None) => ids.refers(format_args!("{key}.about"), about, &PLACES)?,
        (None, Some(about_mm)) => pair(format_args!("{key}.about_mm"), (*about_mm).into())?,
        _ => return Err(JobError::at(key, "needs either “about” or “about_mm”")),
    }
    if !(1..=MOST_ON_A_CIRCLE).contains(n) {
        let problem = format!("is {n}, and a circle holds from 1 to {MOST_ON_A_CIRCLE}");
        return Err(JobError::at(format!("{key}.n"), problem));
    }
    Most::LENGTH.check_positive(format_args!("{key}.radius_mm"), *radius_mm)?;
    usable(format_args!("{key}.first_deg"), *first_deg)
}

fn size(key: &str, added: &Added, ids: &Ids<'_>) -> Result<(), JobError> {
    one_at_most(
        key,
        [
            ("diameter_mm", added.diameter_mm.is_some()),
            ("tapped", added.tapped.is_some()),
            ("group", added.group.is_some()),
        ],
    )?;
    optional(format_args!("{key}.diameter_mm"), added.diameter_mm, |key, mm| Most::DIAMETER.check_positive(key, mm))?;
    if let Some(group) = &added.group {
        ids.refers(format_args!("{key}.group"), group, &[Thing::Group])?;
    }
    let Some(thread) = added.tapped.as_deref() else { return Ok(()) };
    let key = format!("{key}.tapped");
    if added.kind == AddedKind::Slot {
        return Err(JobError::at(key, "a slot cannot be tapped"));
    }
    let drill = Fastener::parse(thread).and_then(|fastener| clearance_hole_mm(fastener, HoleClass::Tapping));
    if drill.is_none() {
        let has_drill = |fastener: &Fastener| clearance_hole_mm(*fastener, HoleClass::Tapping).is_some();
        let known: Vec<&str> = Fastener::all().filter(has_drill).map(Fastener::name).collect();
        let (thread, known) = (shown(thread), known.join(", "));
        return Err(JobError::at(key, format!("no drill for “{thread}” is known here; known are {known}")));
    }
    Ok(())
}

fn slot(key: &str, added: &Added, ids: &Ids<'_>) -> Result<(), JobError> {
    let keys = [
        ("length_mm", added.length_mm.is_some()),
        ("angle_deg", added.angle_deg.is_some()),
        ("towards", added.towards.is_some()),
    ];
    if added.kind == AddedKind::Hole {
        return match keys.iter().find(|(_, is_said)| *is_said) {
            Some((name, _)) => Err(JobError::at(format!("{key}.{name}"), "belongs to a slot, and this is a hole")),
            None => Ok(()),
        };
    }
    let Some(length_mm) = added.length_mm else {
        return Err(JobError::at(key, "the key “length_mm” is missing: a slot has a length"));
    };
    Most::LENGTH.check_positive(format_args!("{key}.length_mm"), length_mm)?;
    one_at_most(key, [keys[1], keys[2], ("", false)])?;
    optional(format_args!("{key}.angle_deg"), added.angle_deg, usable)?;
    added.towards.as_ref().map_or(Ok(()), |id| ids.refers(format_args!("{key}.towards"), id, &PLACES))
}

/// Refuses two ways of saying the same thing.
fn one_at_most(key: &str, said: [(&str, bool); 3]) -> Result<(), JobError> {
    let said: Vec<&str> = said.iter().filter(|(_, is_said)| *is_said).map(|(name, _)| *name).collect();
    match said.as_slice() {
        [first, second, ..] => Err(JobError::at(key, format!("has both “{first}” and “{second}”, and one is enough"))),
        _ => Ok(()),
    }
}
