//! Every hole that the part keeps is in the cut, none is cut at a size that is none, and coordinates start where the job
//! says: else what was added by its coordinates would be cut in another place.

use super::{Check, Verdict, count, found_or};
use crate::export::CutDrawing;
use crate::job::{Hole, Id, Job};
use crate::solution::Solution;

const NAME: &str = "Holes found";

pub(super) fn check(job: &Job, solution: &Solution) -> Vec<Check> {
    let cut = CutDrawing::from_solution(job, solution).holes;
    let kept = job.holes.iter().filter(|hole| hole.keep);
    let lost = kept.filter(|kept| cut.iter().all(|hole| hole.id != kept.id)).map(|Hole { id, name, rim, .. }| {
        let text = if rim.len() < 3 {
            format!("{name} has too few picks to be a hole. Click its rim three times, or take it away.")
        } else {
            format!("The picks of {name} make no circle. Spread them along its rim, or take it away.")
        };
        Check::of(NAME, Verdict::Fail, text).about(id)
    });
    let without_size = cut.iter().filter(|hole| !(hole.diameter_mm.is_finite() && hole.diameter_mm > 0.0));
    let without_size = without_size.map(|hole| {
        let text = format!("{} has the diameter {:.2} mm. Give it one that can be cut.", hole.name, hole.diameter_mm);
        Check::of(NAME, Verdict::Fail, text).about(&hole.id)
    });
    let is_found =
        |id: &Id| solution.holes.iter().any(|fit| fit.id == *id) || solution.points.iter().any(|fit| fit.id == *id);
    let datum = job.datum.iter().flat_map(|datum| [&datum.origin, &datum.along]);
    let without_datum = datum.filter(|id| !is_found(id)).map(|id| {
        let name = job.feature_name(id);
        let text =
            format!("{name} says where coordinates start, and it is not found. Pick its rim, or choose another.");
        Check::of(NAME, Verdict::Fail, text).about(id)
    });
    let found: Vec<Check> = lost.chain(without_size).chain(without_datum).collect();
    found_or(found, || Check::of(NAME, Verdict::Pass, format!("{} to cut.", count(cut.len(), "hole"))))
}
