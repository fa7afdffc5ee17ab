//! Holes and openings do not run into each other. That one lies on another is told by a rule of its own.

use super::doubled::{is_rim_of, is_same_hole, share_a_line};
use super::{Case, Check, Verdict, found_or, openings};
use crate::export::{CutContour, CutHole};
use crate::geom::{Contour, crossings_between};
use crate::job::capital;

const NAME: &str = "Holes apart";

pub(super) fn check(Case { cut, .. }: Case<'_>) -> Vec<Check> {
    let holes = &cut.holes;
    let openings: Vec<&CutContour> = openings(cut).collect();
    let mut found = Vec::new();
    for (k, hole) in holes.iter().enumerate() {
        found.extend(holes[..k].iter().filter_map(|other| holes_meet(other, hole)));
        found.extend(openings.iter().filter_map(|opening| hole_meets_opening(hole, opening)));
    }
    for (k, opening) in openings.iter().enumerate() {
        found.extend(openings[..k].iter().filter_map(|other| openings_meet(other, opening)));
    }
    let alone = holes.len() + openings.len() < 2;
    found_or(found, || {
        let text = if alone { "There are no two that could meet." } else { "No hole or opening runs into another." };
        Check::of(NAME, Verdict::Pass, text)
    })
}

fn holes_meet(one: &CutHole, other: &CutHole) -> Option<Check> {
    let wall = one.centre.distance(other.centre) - f64::midpoint(one.diameter_mm, other.diameter_mm);
    // Every pair is looked at: a sentence is made for those alone that meet.
    (wall <= 0.0 && !is_same_hole(one, other)).then(|| {
        let text =
            format!("{} and {} run {:.2} mm into each other. Move one, or leave it out.", one.name, other.name, -wall);
        Check::of(NAME, Verdict::Fail, text).about(&other.id).at([one.centre.lerp(other.centre, 0.5)])
    })
}

fn hole_meets_opening(hole: &CutHole, opening: &CutContour) -> Option<Check> {
    let line = &opening.contour;
    let meets = line.contains(hole.centre) || line.distance_mm(hole.centre) <= hole.diameter_mm / 2.0;
    (meets && !is_rim_of(hole, opening)).then(|| {
        let text = format!("{} runs into {}. Move one, or leave it out.", hole.name, opening.name);
        Check::of(NAME, Verdict::Fail, text).about(&hole.id).at([hole.centre])
    })
}

fn openings_meet(one: &CutContour, other: &CutContour) -> Option<Check> {
    let holds = |a: &Contour, b: &Contour| b.segments.first().is_some_and(|s| a.contains(s.from));
    let crossings = crossings_between(&one.contour, &other.contour);
    let meets = !crossings.is_empty() || holds(&one.contour, &other.contour) || holds(&other.contour, &one.contour);
    (meets && !share_a_line(one, other)).then(|| {
        let text = format!("{} runs into {}. Move one, or take it away.", capital(&other.name), one.name);
        Check::of(NAME, Verdict::Fail, text).about(&other.id).at(crossings.iter().map(|crossing| crossing.at))
    })
}
