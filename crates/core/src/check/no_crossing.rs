//! No contour crosses or touches itself, or goes along a line twice.

use super::{Check, Verdict, contour_name, found_or};
use crate::job::Job;
use crate::solution::{ContourFit, Solution};

const NAME: &str = "No crossing";

pub(super) fn check(_: &Job, solution: &Solution) -> Vec<Check> {
    let pieces: usize = solution.contours.iter().map(|fit| fit.cut.segments.len()).sum();
    if pieces == 0 {
        return vec![Check::of(NAME, Verdict::CannotTell, "There is no line to look at yet.")];
    }
    found_or(solution.contours.iter().filter_map(crossing).collect(), || {
        Check::of(NAME, Verdict::Pass, format!("{pieces} lines and arcs, none crosses or doubles another."))
    })
}

fn crossing(fit: &ContourFit) -> Option<Check> {
    let first = fit.crossings.first()?;
    let name = contour_name(fit);
    let place = format!("at x {:.2}, y {:.2} mm", first.at.x, first.at.y);
    let text = match fit.crossings.len() {
        1 => format!("{name} meets itself {place}. Move a node there."),
        n => format!("{name} meets itself at {n} places, first {place}. Move the nodes there."),
    };
    Some(Check::of(NAME, Verdict::Fail, text).about(&fit.id))
}
