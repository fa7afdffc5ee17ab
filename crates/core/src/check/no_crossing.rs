//! No contour crosses or touches itself, or goes along a line twice.

use super::{Case, Check, Verdict, contour_name, found_or};
use crate::solution::ContourFit;

const NAME: &str = "No crossing";

pub(super) fn check(Case { job, solution, .. }: Case<'_>) -> Vec<Check> {
    let is_kept = |fit: &&ContourFit| job.contour(&fit.id).is_none_or(|contour| contour.keep);
    let kept = || solution.contours.iter().filter(is_kept);
    let pieces: usize = kept().map(|fit| fit.cut.segments.len()).sum();
    if pieces == 0 {
        return vec![Check::of(NAME, Verdict::CannotTell, "There is no line to look at yet.")];
    }
    found_or(kept().filter_map(crossing).collect(), || {
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
