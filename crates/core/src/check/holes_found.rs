//! Every hole that the part keeps is in the cut, none is cut at a size that is none, and coordinates start where the job
//! says: else what was added by its coordinates would be cut in another place.

use super::{Case, Check, Verdict, count, found_or};
use crate::job::{Added, Hole, Id, Job, listed};
use crate::solution::Solution;

const NAME: &str = "Holes found";

pub(super) fn check(Case { job, solution, cut }: Case<'_>) -> Vec<Check> {
    let slots = cut.openings.iter().filter(|opening| job.added(&opening.id).is_some()).count();
    let cut = &cut.holes;
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
    let lies = job.added.iter().find(|added| job.datum.is_none() && added.lies_by_coordinates());
    let unsaid_datum = lies.map(|added| {
        let name = added.shown_name();
        let text = format!("{name} lies by coordinates, and nothing says where they start. Choose where.");
        Check::of(NAME, Verdict::Fail, text).about(&added.id)
    });
    let not_placed = job.added.iter().filter_map(|added| not_placed(job, solution, added));
    let found: Vec<Check> =
        lost.chain(without_size).chain(not_placed).chain(without_datum).chain(unsaid_datum).collect();
    found_or(found, || {
        let and_slots = if slots > 0 { format!(" and {}", count(slots, "slot")) } else { String::new() };
        Check::of(NAME, Verdict::Pass, format!("{}{and_slots} to cut.", count(cut.len(), "hole")))
    })
}

/// What is added and is not in the cut.
fn not_placed(job: &Job, solution: &Solution, added: &Added) -> Option<Check> {
    let name = added.shown_name();
    let text = match solution.added.iter().find(|fit| fit.id == added.id) {
        Some(fit) if fit.diameter_mm.is_some() => return None,
        Some(_) => format!("{name} has no size. Type its diameter, or say which thread or fastener it is for."),
        None => {
            let base: Vec<String> = added.rests_on().map(|id| job.placed_name(id)).collect();
            match base.as_slice() {
                [] => format!("{name} has no place yet. Pick the rims of some holes first."),
                base => format!("{name} has no place: it is placed by {}. Find that first.", listed(base)),
            }
        }
    };
    Some(Check::of(NAME, Verdict::Fail, text).about(&added.id))
}
