//! The rigid move that makes the worst hole best.

use super::interior::{Bracket, Ring, Search, least_squares, worst};
use crate::space::{PlatePoint, PlateVec};

/// A ring that carries less than this share of the forces does not stand in the way: where a search ends the others carry
/// some ten-thousandths at most.
pub(super) const CARRIES: f64 = 1e-3;

/// The search ends where no move can be better by more than this, mm; a millionth of what matters.
pub(super) const EXACT_MM: f64 = 1e-10;

/// The same as a share of the largest excess, for errors so large that their rounding is above [`EXACT_MM`].
pub(super) const EXACT_SHARE: f64 = 1e-12;

/// Rounds of turning and searching again; each leaves about `error / reach` of the turn that was missing.
const MAX_TURNS: usize = 20;

/// The best rigid move of a plate onto its fasteners.
#[derive(Debug, Clone, PartialEq)]
pub struct Minimax {
    /// Shift of the plate, mm, after it was turned about the mean of the places.
    pub shift: PlateVec,
    /// Turn of the plate about the mean of the places, from x towards y, rad.
    pub turn_rad: f64,
    /// The largest of `|off| - play` over the holes after the move, mm; at most zero where the plate goes on.
    pub worst_mm: f64,
    /// No small further move makes that smaller by more than this, mm.
    pub gap_mm: f64,
    /// The holes that hold the plate where it is, by number: without one of them it would fit better. Four at most, but
    /// for ties.
    pub active: Vec<usize>,
}

/// The middle of `places`, and the largest distance from it, mm.
pub(super) fn middle_and_reach(places: &[PlatePoint]) -> (PlatePoint, f64) {
    let share = 1.0 / places.len() as f64;
    let middle = places.iter().fold(PlatePoint::default(), |sum, p| sum + PlateVec::new(p.x, p.y) * share);
    let reach = places.iter().map(|p| p.distance(middle)).fold(0.0, f64::max);
    (middle, reach)
}

/// The shift and turn that make the largest `|off| - play` as small as can be. `places` are those of the fasteners,
/// `offsets` what the holes are off them (hole less fastener, mm), `plays` how far each may be off, mm.
///
/// The turn is a true one, of any size: the search for a small turn is repeated from where the last one left the plate.
/// `None` where there is no hole, where the counts differ, or where a figure is not finite.
pub fn minimax_move(offsets: &[PlateVec], places: &[PlatePoint], plays: &[f64]) -> Option<Minimax> {
    let is_known = offsets.iter().all(|e| e.x.is_finite() && e.y.is_finite())
        && places.iter().all(|p| p.is_finite())
        && plays.iter().all(|c| c.is_finite());
    if places.is_empty() || offsets.len() != places.len() || plays.len() != places.len() || !is_known {
        return None;
    }
    let (middle, reach) = middle_and_reach(places);
    let per_turn = if reach > 0.0 { 1.0 / reach } else { 0.0 };
    // The rings of the plate turned by `turn`; their off is what the turn alone leaves.
    let rings = |turn: f64| -> Vec<Ring> {
        let (sin, cos) = turn.sin_cos();
        let ring = |((place, off), play): ((&PlatePoint, &PlateVec), &f64)| {
            let from_middle = *place - middle;
            let hole = from_middle + *off;
            let turned = PlateVec::new(cos * hole.x - sin * hole.y, sin * hole.x + cos * hole.y);
            let off = turned - from_middle;
            Ring { off: off.into(), arm: (turned.perp() * per_turn).into(), play: *play }
        };
        places.iter().zip(offsets).zip(plays).map(ring).collect()
    };
    let mut search = Search::default();
    let mut best: Option<Minimax> = None;
    let mut turn = 0.0;
    for _ in 0..MAX_TURNS {
        let rings = rings(turn);
        let found = search.run(&rings, least_squares(&rings), is_exact);
        // The shift is that of the small move; what its turn does is looked at in the next round.
        let worst_mm = worst(&rings, [found.by[0], found.by[1], 0.0]);
        let is_better = best.as_ref().is_none_or(|best| worst_mm < best.worst_mm);
        if is_better {
            let shift = PlateVec::new(found.by[0], found.by[1]);
            let gap_mm = (worst_mm - found.lower).max(0.0);
            best = Some(Minimax { shift, turn_rad: turn, worst_mm, gap_mm, active: active(&search) });
        }
        let further = found.by[2] * per_turn;
        if !is_better || further.abs() * reach <= EXACT_MM {
            break;
        }
        turn += further;
    }
    best
}

/// Nothing is left to gain.
pub(super) fn is_exact(found: &Bracket) -> bool {
    found.upper - found.lower <= EXACT_MM.max(EXACT_SHARE * found.upper.abs())
}

/// The rings that carry a force at the end of the last search.
pub(super) fn active(search: &Search) -> Vec<usize> {
    search.forces().enumerate().filter(|(_, share)| *share >= CARRIES).map(|(at, _)| at).collect()
}
