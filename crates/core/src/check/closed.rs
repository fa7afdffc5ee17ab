//! Every contour closes to the last bit. One without a node is none yet.

use super::{Case, Check, Verdict, contour_name, count, found_or};
use crate::solution::ContourFit;

const NAME: &str = "Closed";

pub(super) fn check(Case { job, solution, .. }: Case<'_>) -> Vec<Check> {
    let is_drawn = |fit: &&ContourFit| job.contour(&fit.id).is_some_and(|c| c.keep && !c.nodes.is_empty());
    let drawn: Vec<&ContourFit> = solution.contours.iter().filter(is_drawn).collect();
    if drawn.is_empty() {
        let text = if job.contours.iter().all(|contour| contour.nodes.is_empty()) {
            "No contour is drawn yet."
        } else {
            "The contours have no place on the plate yet. Pick the rims of some holes first."
        };
        return vec![Check::of(NAME, Verdict::CannotTell, text)];
    }
    found_or(drawn.iter().filter_map(|fit| open(fit)).collect(), || {
        Check::of(NAME, Verdict::Pass, format!("{}, closed exactly.", count(drawn.len(), "contour")))
    })
}

fn open(fit: &ContourFit) -> Option<Check> {
    if fit.cut.closed && fit.cut.is_closed_exactly() {
        return None;
    }
    let name = contour_name(fit);
    let text = match fit.gaps.as_slice() {
        [] if fit.cut.closed && !fit.cut.is_empty() => {
            format!(
                "{name} does not close exactly: a line or an arc starts beside the end of the one before. Move a node."
            )
        }
        [] => format!("{name} has too few nodes. Go on round the edge, or take it away."),
        [gap] => format!("{name} has a gap of {:.2} mm. Join it.", gap.width_mm()),
        gaps => {
            let widest = gaps.iter().map(crate::geom::Gap::width_mm).fold(0.0, f64::max);
            format!("{name} has {} gaps, the widest {widest:.2} mm. Join them.", gaps.len())
        }
    };
    let middles = fit.gaps.iter().map(|gap| gap.from.lerp(gap.to, 0.5));
    Some(Check::of(NAME, Verdict::Fail, text).about(&fit.id).at(middles))
}
