//! Nothing is cut twice: no line lies on another, no hole on a hole, no opening on a hole's rim.

use super::{Case, Check, Verdict, found_or, openings};
use crate::export::{CutContour, CutDrawing, CutHole};
use crate::geom::{doubled_between, doubled_in};
use crate::job::capital;
use crate::space::PlatePoint;

const NAME: &str = "Nothing twice";

/// Two rims that are nowhere farther apart than this share of the smaller diameter are one hole, picked or drawn twice: two
/// holes that run into each other are hardly so much alike.
const ALIKE_SHARE: f64 = 0.1;

/// An opening that lies on a hole's rim was drawn by hand: so many places along it are looked at.
const DRAWN_CHORD_MM: f64 = 0.05;

pub(super) fn check(Case { cut, .. }: Case<'_>) -> Vec<Check> {
    if cut.outer.is_empty() && cut.openings.is_empty() && cut.holes.is_empty() {
        return vec![Check::of(NAME, Verdict::CannotTell, "Nothing is to be cut yet.")];
    }
    let contours: Vec<&CutContour> = cut.outer.iter().chain(&cut.openings).collect();
    let mut found: Vec<Check> = contours.iter().filter_map(|cut| twice_along(cut)).collect();
    for (k, one) in contours.iter().enumerate() {
        found.extend(contours[..k].iter().filter_map(|other| on_each_other(other, one)));
    }
    found.extend(holes_twice(cut));
    found_or(found, || Check::of(NAME, Verdict::Pass, "No line, hole or opening lies on another."))
}

fn twice_along(cut: &CutContour) -> Option<Check> {
    let places: Vec<PlatePoint> = doubled_in(&cut.contour).iter().map(|doubled| doubled.at).collect();
    let first = places.first()?;
    let (name, place) = (capital(&cut.name), shown(*first));
    let text = format!("{name} goes along the same line twice {place}. Take the node at the turn away.");
    Some(Check::of(NAME, Verdict::Fail, text).about(&cut.id).at(places))
}

fn on_each_other(one: &CutContour, other: &CutContour) -> Option<Check> {
    let places = doubled_between(&one.contour, &other.contour);
    let first = places.first()?;
    let (name, place) = (capital(&other.name), shown(*first));
    let text = format!("{name} lies on {} {place}: it would be cut twice. Move one, or take it away.", one.name);
    Some(Check::of(NAME, Verdict::Fail, text).about(&other.id).at(places))
}

fn shown(place: PlatePoint) -> String {
    format!("at x {:.2}, y {:.2} mm", place.x, place.y)
}

fn holes_twice(cut: &CutDrawing) -> Vec<Check> {
    let mut found = Vec::new();
    for (k, hole) in cut.holes.iter().enumerate() {
        let twice = |other: &str| {
            let text = format!("{} lies on {other}: it would be cut twice. Take one of them away.", hole.name);
            Check::of(NAME, Verdict::Fail, text).about(&hole.id).at([hole.centre])
        };
        found.extend(cut.holes[..k].iter().filter(|other| is_same_hole(hole, other)).map(|other| twice(&other.name)));
        found.extend(openings(cut).filter(|opening| is_rim_of(hole, opening)).map(|opening| twice(&opening.name)));
    }
    found
}

/// Two holes are one, picked twice.
pub(super) fn is_same_hole(one: &CutHole, other: &CutHole) -> bool {
    let apart_mm = one.centre.distance(other.centre) + (one.diameter_mm - other.diameter_mm).abs() / 2.0;
    apart_mm <= ALIKE_SHARE * one.diameter_mm.min(other.diameter_mm)
}

/// The opening was drawn along the hole's rim.
pub(super) fn is_rim_of(hole: &CutHole, opening: &CutContour) -> bool {
    let (radius_mm, allowed_mm) = (hole.diameter_mm / 2.0, ALIKE_SHARE * hole.diameter_mm);
    let on_rim = |place: &PlatePoint| (place.distance(hole.centre) - radius_mm).abs() <= allowed_mm;
    let is_round = opening.contour.segments.iter().all(|piece| on_rim(&piece.from) && on_rim(&piece.point_at(0.5)));
    is_round && opening.contour.contains(hole.centre) && opening.contour.sampled(DRAWN_CHORD_MM).iter().all(on_rim)
}

/// Two contours share a stretch.
pub(super) fn share_a_line(one: &CutContour, other: &CutContour) -> bool {
    !doubled_between(&one.contour, &other.contour).is_empty()
}
