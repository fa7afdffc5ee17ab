//! A part has one outline. A contour without a node is none yet.

use super::{Case, Check, Verdict, found_or};
use crate::job::Role;

const NAME: &str = "One outline";

pub(super) fn check(Case { job, .. }: Case<'_>) -> Vec<Check> {
    let drawn = job.contours.iter().filter(|contour| !contour.nodes.is_empty());
    let outlines: Vec<_> = drawn.filter(|contour| contour.role == Role::Outer).collect();
    let more = outlines.iter().skip(1).map(|contour| {
        let text = format!("{} is a further outline. Make it an opening, or take it away.", contour.id);
        Check::of(NAME, Verdict::Fail, text).about(&contour.id)
    });
    found_or(more.collect(), || {
        if outlines.is_empty() {
            Check::of(NAME, Verdict::Fail, "Nothing says how far the part reaches. Draw its outline.")
        } else {
            Check::of(NAME, Verdict::Pass, "The part has one outline.")
        }
    })
}
