//! Holes and openings lie inside the outline. That one lies on the outline is told by a rule of its own.

use super::doubled::share_a_line;
use super::{Case, Check, Verdict, found_or, openings};
use crate::export::{CutContour, CutHole};
use crate::geom::{Contour, crossings_between};
use crate::job::capital;

const NAME: &str = "Holes inside";

pub(super) fn check(Case { cut, .. }: Case<'_>) -> Vec<Check> {
    let Some(outline) = cut.outline() else {
        return vec![Check::of(NAME, Verdict::CannotTell, "It waits for one closed outline.")];
    };
    let outside = cut.holes.iter().filter_map(|hole| hole_outside(hole, &outline.contour));
    let crossing = openings(cut).filter_map(|opening| opening_outside(opening, outline));
    let found: Vec<Check> = outside.chain(crossing).collect();
    found_or(found, || Check::of(NAME, Verdict::Pass, "All holes and openings lie inside the outline."))
}

fn hole_outside(hole: &CutHole, outline: &Contour) -> Option<Check> {
    let name = &hole.name;
    let text = if !outline.contains(hole.centre) {
        format!("{name} lies outside the outline. Move it or the outline.")
    } else if outline.distance_mm(hole.centre) <= hole.diameter_mm / 2.0 {
        let over = hole.diameter_mm / 2.0 - outline.distance_mm(hole.centre);
        format!("{name} runs {over:.2} mm over the outline. Move it or the outline.")
    } else {
        return None;
    };
    Some(Check::of(NAME, Verdict::Fail, text).about(&hole.id).at([hole.centre]))
}

fn opening_outside(opening: &CutContour, outline: &CutContour) -> Option<Check> {
    if share_a_line(outline, opening) {
        return None;
    }
    let outline = &outline.contour;
    let name = capital(&opening.name);
    let crossing = crossings_between(outline, &opening.contour);
    let text = if let Some(first) = crossing.first() {
        format!("{name} meets the outline at x {:.2}, y {:.2} mm. Move one of them.", first.at.x, first.at.y)
    } else if opening.contour.segments.first().is_some_and(|s| !outline.contains(s.from)) {
        format!("{name} lies outside the outline. Move it or the outline.")
    } else {
        return None;
    };
    Some(Check::of(NAME, Verdict::Fail, text).about(&opening.id).at(crossing.iter().map(|crossing| crossing.at)))
}
