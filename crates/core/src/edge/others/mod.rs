//! From one accepted hole to every rim of the photo that is like it.
//!
//! 1. The photo is halved again and again; at each size edges vote for circles of a few px ([`votes`]).
//! 2. Circles with the accepted hole's face round them are followed from the size at which they were seen down to half
//!    the photo's, each as the oval that it is seen as ([`face`], [`follow`], [`super::oval`]): no camera is needed for that,
//!    and at the time of the first hole there is hardly any.
//! 3. What is left is measured in the photo itself as any rim is, by a far camera that sees a circle as that oval
//!    ([`offer`]).

mod face;
mod follow;
mod offer;
mod pyramid;
mod slant;
mod votes;

#[cfg(test)]
mod tests;

pub use offer::{Offer, SizeClass};

pub(super) use pyramid::{Level, Tone, levels, tone_of_codes};

use super::oval::{Oval, seen_as};
use super::{Picture, RimStart};
use crate::camera::PlateMap;
use face::{Surface, inside, outside};
use follow::{Followed, follow};
use offer::{Measured, measured, offers};
use slant::SlantField;
use votes::{Voted, circles};

/// Share of the work that is done when all sizes have voted.
const VOTES_SHARE: f64 = 0.7;

/// An edge must rise by this share of the accepted hole's; a step rises by half of itself from px to px.
const LEAST_RISE: f64 = 0.5 * 0.25;

/// What is offered rises by this share of the accepted hole's edge.
const LEAST_RISE_LIKE: f64 = 0.3;

/// The accepted hole is looked at where its radius is more than this, px of the level.
const ACCEPTED_RADIUS_PX: f64 = 12.0;

/// It may lie this share of its radius off what was handed in.
const ACCEPTED_OFF: f64 = 0.1;

/// A circle of votes may be off by this share of its radius.
const VOTED_OFF: f64 = 0.35;

/// What is followed at one level is off by less than this at the next, px of the level.
const FOLLOWED_OFF_PX: f64 = 2.5;

/// A rim is seen in this share of the directions while it is followed, and at last.
const SEEN_FIRST: f64 = 0.5;
const SEEN_LAST: f64 = 0.7;

/// A rim is followed to where its radius is more than this, px of the level.
const FINE_RADIUS_PX: f64 = 60.0;

/// Holes of one face are flattened alike but for this: what the slant changes over a photo, and what small rims leave
/// open, px.
const FLATTENING_DIFFERS: f64 = 0.05;
const FLATTENING_PX: f64 = 1.5;

/// Rims with centres nearer than this share of the larger radius are of one hole: its rim, its wall, its broken edge.
const SAME_HOLE: f64 = 0.8;

/// A small rim is followed once more in the photo's own pixels; this much of the photo is needed for it, radii.
const ROOM_SHARE: f64 = 1.6;

/// Finds the rims of the photo with the same face round them as the accepted hole: those of its size first, then others,
/// each from the top of the photo down.
///
/// The camera may be poor: it turns places into plate coordinates and says which sizes are alike, and rims are measured
/// at whatever slant fits them. `known` are holes that are not to be offered again. `go_on` is told how much is done, 0
/// to 1, and says whether to go on. `None` where it does not; no offers where the accepted hole is not to be seen.
pub fn find_rims(
    picture: &Picture,
    map: &PlateMap,
    accepted: &RimStart,
    known: &[RimStart],
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Option<Vec<Offer>> {
    if !go_on(0.0) {
        return None;
    }
    let levels = levels(picture);
    let Some(hole) = Accepted::new(&levels, map, accepted) else { return Some(Vec::new()) };
    let known: Vec<Oval> = known.iter().filter_map(|rim| seen_as(map, rim)).chain([hole.oval]).collect();
    let mut seen: Vec<Followed> = Vec::new();
    for (number, level) in levels.iter().enumerate() {
        for circle in circles(level, number, (hole.rise * LEAST_RISE) as f32) {
            let rim = rim_of(&levels, &hole, &circle);
            seen.extend(rim.filter(|rim| !known.iter().any(|other| is_same_hole(other, &rim.oval))));
        }
        if !go_on(VOTES_SHARE * (number + 1) as f64 / levels.len() as f64) {
            return None;
        }
    }
    let seen: Vec<Oval> = each_once(seen).into_iter().map(|oval| sharpened(picture, oval)).collect();
    let slants = SlantField::new(map, &[&[hole.oval], seen.as_slice()].concat());
    let mut found: Vec<Measured> = Vec::new();
    for (number, oval) in seen.iter().enumerate() {
        found.extend(measured(picture, map, oval, &slants));
        if !go_on(VOTES_SHARE + (1.0 - VOTES_SHARE) * (number + 1) as f64 / seen.len() as f64) {
            return None;
        }
    }
    let like = measured(picture, map, &sharpened(picture, hole.oval), &slants);
    Some(offers(map, accepted, like, found, &slants))
}

/// What is known of the accepted hole.
struct Accepted {
    oval: Oval,
    face: Surface,
    rise: f64,
}

impl Accepted {
    fn new(levels: &[Level], map: &PlateMap, start: &RimStart) -> Option<Self> {
        let seen = seen_as(map, start)?;
        let is_large = |level: &&Level| seen.radius_px > ACCEPTED_RADIUS_PX * level.pixel_px;
        let level = levels.iter().rev().find(is_large).or(levels.first())?;
        let Followed { oval, rise, .. } = follow(level, &seen, ACCEPTED_OFF * seen.radius_px + level.pixel_px)?;
        Some(Self { oval, face: outside(level, &oval)?, rise })
    }
}

/// The rim that a circle of votes is, as seen at half the photo's size or where it is large enough to be followed well.
fn rim_of(levels: &[Level], accepted: &Accepted, circle: &Voted) -> Option<Followed> {
    let mut oval = Oval::circle(circle.centre, circle.radius_px);
    if !outside(levels.get(circle.level)?, &oval)?.is_like(&accepted.face) {
        return None;
    }
    let mut reach_px = VOTED_OFF * circle.radius_px;
    for (number, level) in levels[..=circle.level].iter().enumerate().rev() {
        let rim = follow(level, &oval, reach_px).filter(|rim| rim.seen >= SEEN_FIRST)?;
        oval = rim.oval;
        reach_px = FOLLOWED_OFF_PX * level.pixel_px;
        if number == 0 || oval.radius_px > FINE_RADIUS_PX * level.pixel_px {
            return is_like(level, accepted, &rim).then_some(rim);
        }
    }
    None
}

/// Whether a rim may be that of a hole in the accepted one's face.
fn is_like(level: &Level, accepted: &Accepted, rim: &Followed) -> bool {
    let (Some(face), Some(through)) = (outside(level, &rim.oval), inside(level, &rim.oval)) else { return false };
    let differs = (rim.oval.flattening() - accepted.oval.flattening()).length();
    rim.seen > SEEN_LAST
        && rim.rise > LEAST_RISE_LIKE * accepted.rise
        && differs < FLATTENING_DIFFERS + FLATTENING_PX / rim.oval.radius_px.min(accepted.oval.radius_px)
        && face.is_like(&accepted.face)
        && face.stands_out(&through)
}

fn is_same_hole(one: &Oval, other: &Oval) -> bool {
    one.centre.distance(other.centre) < SAME_HOLE * one.radius_px.max(other.radius_px)
}

/// Each hole once, by its outermost rim.
fn each_once(mut rims: Vec<Followed>) -> Vec<Oval> {
    rims.sort_by(|a, b| b.oval.radius_px.total_cmp(&a.oval.radius_px));
    let mut kept: Vec<Oval> = Vec::new();
    for Followed { oval, .. } in rims {
        if !kept.iter().any(|other| is_same_hole(other, &oval)) {
            kept.push(oval);
        }
    }
    kept
}

/// An oval followed in the photo's own pixels where half of them are few for it.
fn sharpened(picture: &Picture, oval: Oval) -> Oval {
    if oval.radius_px > FINE_RADIUS_PX {
        return oval;
    }
    let reach_px = ROOM_SHARE * oval.radius_px + 2.0 * FOLLOWED_OFF_PX;
    let level = Level::whole_pixels(picture, oval.centre, reach_px);
    let sharp = follow(&level, &oval, 2.0 * FOLLOWED_OFF_PX);
    sharp.filter(|rim| rim.seen > SEEN_LAST).map_or(oval, |rim| rim.oval)
}
