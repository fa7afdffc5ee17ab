//! A problem with fewer picks, to find the way by.

use super::problem::Problem;
use crate::space::PhotoPoint;

/// Picks of one rim that are enough to find the minima by; all of them count in the end.
const ENOUGH_PICKS: usize = 8;

/// The problem with fewer picks on each rim; `None` where there are few to begin with.
pub(super) fn thinned(problem: &Problem) -> Option<Problem> {
    let many = |picks: &[PhotoPoint]| picks.len() > 2 * ENOUGH_PICKS;
    if !problem.rims.iter().any(|rim| many(&rim.picks)) {
        return None;
    }
    let mut few = problem.clone();
    for rim in few.rims.iter_mut().filter(|rim| many(&rim.picks)) {
        let count = rim.picks.len();
        let chosen = || (0..ENOUGH_PICKS).map(|i| i * count / ENOUGH_PICKS);
        rim.picks = chosen().map(|pick| rim.picks[pick]).collect();
        rim.precision = rim.precision.of_picks(chosen());
    }
    Some(few)
}
