//! Holes and openings do not run into each other.

use super::{Check, Verdict, contour_name, found_or, openings};
use crate::export::{CutDrawing, CutHole};
use crate::geom::{Contour, crossings_between};
use crate::job::Job;
use crate::solution::{ContourFit, Solution};

const NAME: &str = "Holes apart";

pub(super) fn check(job: &Job, solution: &Solution) -> Vec<Check> {
    let holes = CutDrawing::from_solution(job, solution).holes;
    let openings: Vec<&ContourFit> = openings(solution).collect();
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
    let text =
        format!("{} and {} run {:.2} mm into each other. Move one, or leave it out.", one.name, other.name, -wall);
    (wall <= 0.0).then(|| Check::of(NAME, Verdict::Fail, text).about(&other.id))
}

fn hole_meets_opening(hole: &CutHole, opening: &ContourFit) -> Option<Check> {
    let meets = opening.cut.contains(hole.centre) || opening.cut.distance_mm(hole.centre) <= hole.diameter_mm / 2.0;
    let text = format!("{} runs into opening {}. Move one, or leave it out.", hole.name, opening.id);
    meets.then(|| Check::of(NAME, Verdict::Fail, text).about(&hole.id))
}

fn openings_meet(one: &ContourFit, other: &ContourFit) -> Option<Check> {
    let holds = |a: &Contour, b: &Contour| b.segments.first().is_some_and(|s| a.contains(s.from));
    let meets = !crossings_between(&one.cut, &other.cut).is_empty()
        || holds(&one.cut, &other.cut)
        || holds(&other.cut, &one.cut);
    let text = format!("{} runs into opening {}. Move one, or take it away.", contour_name(other), one.id);
    meets.then(|| Check::of(NAME, Verdict::Fail, text).about(&other.id))
}
