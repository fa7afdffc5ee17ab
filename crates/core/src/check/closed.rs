//! Every contour closes to the last bit.

use super::{Check, Verdict, contour_name, count, found_or};
use crate::job::Job;
use crate::solution::{ContourFit, Solution};

const NAME: &str = "Closed";

pub(super) fn check(job: &Job, solution: &Solution) -> Vec<Check> {
    if solution.contours.is_empty() {
        let text = if job.contours.is_empty() {
            "No contour is drawn yet."
        } else {
            "The contours have no place on the plate yet. Pick the rims of some holes first."
        };
        return vec![Check::of(NAME, Verdict::CannotTell, text)];
    }
    found_or(solution.contours.iter().filter_map(open).collect(), || {
        let n = solution.contours.len();
        Check::of(NAME, Verdict::Pass, format!("{}, closed exactly.", count(n, "contour")))
    })
}

fn open(fit: &ContourFit) -> Option<Check> {
    if fit.cut.closed && fit.cut.is_closed_exactly() {
        return None;
    }
    let name = contour_name(fit);
    let text = match fit.gaps.as_slice() {
        [] => format!("{name} has too few nodes. Go on round the edge, or take it away."),
        [gap] => format!("{name} has a gap of {:.2} mm. Join it.", gap.width_mm()),
        gaps => {
            let widest = gaps.iter().map(crate::geom::Gap::width_mm).fold(0.0, f64::max);
            format!("{name} has {} gaps, the widest {widest:.2} mm. Join them.", gaps.len())
        }
    };
    Some(Check::of(NAME, Verdict::Fail, text).about(&fit.id))
}
