//! No rim is lost in glare.
//!
//! Model: where the light beside an edge is cut off at white, half of the way up to it is not known, and the place gives no
//! point (`edge`). A rim of which a share g is lost has as many fewer points, so that its standard deviations are larger by
//! the root of 1/(1 - g); one that lost so much that it is not trusted stands on its clicks. The cost is what the ± would lose
//! with those points (adjusted anew).

use super::sharper::as_if_measured;
use super::{Advice, Case, Place, around};
use crate::adjust::Problem;
use crate::edge::{Rejected, Rejection};
use crate::space::PhotoPoint;

pub(super) const NAME: &str = "Glare";

/// Less than this of a rim is not spoken of: a scratch that shines.
pub(super) const LEAST_SHARE: f64 = 0.02;

/// A hole and what its rim lost.
pub(super) struct Lost {
    /// The hole, by its number in the solution.
    pub(super) hole: usize,
    /// The share of its rim.
    pub(super) share: f64,
    places: Vec<PhotoPoint>,
}

pub(super) fn advise(case: &Case<'_>) -> Advice {
    if case.seen.rims.iter().all(|rim| rim.found.is_err()) {
        return Advice::not_known(NAME, "No rim is measured in the photo yet.");
    }
    let lost = lost(case, |rejected| rejected.reason == Rejection::Glare);
    let gain = case.sharper.gain(|problem| give_back(problem, case, &lost));
    let hole = &case.solution.holes[gain.hole];
    let text = match lost.iter().max_by(|a, b| a.share.total_cmp(&b.share)) {
        None => "No rim is lost in glare.".to_owned(),
        Some(worst) => format!(
            "Glare hides {:.0} % of the rim of {}{}.",
            100.0 * worst.share,
            case.name(&case.solution.holes[worst.hole]),
            match lost.len() - 1 {
                0 => String::new(),
                1 => ", and part of one more".to_owned(),
                more => format!(", and part of {more} more"),
            }
        ),
    };
    let way_out = "Shade the lamp, or turn the part until the shine is gone, and take it again.";
    case.advice(NAME, gain.mm, hole, text, way_out).at(places(&lost))
}

/// What of the rims of all holes was lost for one reason.
pub(super) fn lost(case: &Case<'_>, why: impl Fn(&Rejected) -> bool) -> Vec<Lost> {
    let of = |(number, hole): (usize, &crate::solution::HoleFit)| {
        let found = case.rim_seen(hole)?.found.as_ref().ok()?;
        let places: Vec<PhotoPoint> =
            case.rejected(hole).iter().filter(|rejected| why(rejected)).filter_map(|rejected| rejected.at).collect();
        let share = places.len() as f64 / ((found.points.len() + found.rejected.len()) as f64).max(1.0);
        (share >= LEAST_SHARE).then_some(Lost { hole: number, share, places })
    };
    case.solution.holes.iter().enumerate().filter_map(of).collect()
}

/// Lets every rim have what it lost.
pub(super) fn give_back(problem: &mut Problem, case: &Case<'_>, lost: &[Lost]) {
    for Lost { hole, share, .. } in lost {
        if case.solution.holes[*hole].is_measured {
            let rim = &mut problem.rims[*hole];
            rim.precision = rim.precision.scaled((1.0 - share).max(0.0).sqrt());
        } else {
            as_if_measured(problem, *hole);
        }
    }
}

/// Where on the photo it was lost, the largest share first.
pub(super) fn places(lost: &[Lost]) -> Vec<Place> {
    let mut sorted: Vec<&Lost> = lost.iter().collect();
    sorted.sort_by(|a, b| b.share.total_cmp(&a.share));
    sorted.iter().filter_map(|lost| around(&lost.places)).collect()
}
