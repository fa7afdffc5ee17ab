//! No contour crosses or touches itself. That it goes along a line twice is told by a rule of its own.

use super::{Case, Check, Verdict, contour_name, found_or};
use crate::geom::{Crossing, doubled_in};
use crate::solution::ContourFit;
use crate::space::PlatePoint;
use crate::tolerance::SAME_PLACE_MM;

const NAME: &str = "No crossing";

pub(super) fn check(Case { job, solution, .. }: Case<'_>) -> Vec<Check> {
    let is_kept = |fit: &&ContourFit| job.contour(&fit.id).is_none_or(|contour| contour.keep);
    let kept = || solution.contours.iter().filter(is_kept);
    let pieces: usize = kept().map(|fit| fit.cut.segments.len()).sum();
    if pieces == 0 {
        return vec![Check::of(NAME, Verdict::CannotTell, "There is no line to look at yet.")];
    }
    found_or(kept().filter_map(crossing).collect(), || {
        Check::of(NAME, Verdict::Pass, format!("{pieces} lines and arcs, none crosses another."))
    })
}

fn crossing(fit: &ContourFit) -> Option<Check> {
    // The ends of a stretch that is gone along twice are places where the contour meets itself, and that rule tells of it.
    let doubled = doubled_in(&fit.cut);
    let is_on = |piece: usize, at: PlatePoint| fit.cut.segments[piece].distance_mm(at) <= SAME_PLACE_MM;
    let is_doubled = |at: &PlatePoint| {
        doubled.iter().any(|Crossing { pieces: (one, other), .. }| is_on(*one, *at) && is_on(*other, *at))
    };
    let places: Vec<PlatePoint> =
        fit.crossings.iter().map(|crossing| crossing.at).filter(|at| !is_doubled(at)).collect();
    let first = places.first()?;
    let name = contour_name(fit);
    let place = format!("at x {:.2}, y {:.2} mm", first.x, first.y);
    let text = match places.len() {
        1 => format!("{name} meets itself {place}. Move a node there."),
        n => format!("{name} meets itself at {n} places, first {place}. Move the nodes there."),
    };
    Some(Check::of(NAME, Verdict::Fail, text).about(&fit.id).at(places))
}
