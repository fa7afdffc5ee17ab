//! The rigid move that makes the worst hole best.

use super::cone::length;
use super::interior::{Bracket, Ring, least_squares, worst};
use super::worst_few::WorstFew;
use crate::space::{PlatePoint, PlateVec};

/// The search ends where no move can be better by more than this, mm; a millionth of what matters.
const EXACT_MM: f64 = 1e-10;

/// The same as a share of the largest excess, for errors so large that their rounding is above [`EXACT_MM`].
const EXACT_SHARE: f64 = 1e-12;

/// A turn that moves no hole by more than this, mm, is a small one for certain: it differs from the true circle by a
/// thousandth of it at most.
const SMALL_TURN_MM: f64 = 1e-7;

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
    let reach = places.iter().map(|p| length(p.x - middle.x, p.y - middle.y)).fold(0.0, f64::max);
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
    let mut search = WorstFew::default();
    let mut best: Option<Minimax> = None;
    let mut turn_rad = 0.0;
    for _ in 0..MAX_TURNS {
        let turned = rings(turn_rad);
        let found = search.run(&turned, least_squares(&turned), f64::NEG_INFINITY, is_exact);
        let [x, y, further] = found.by;
        turn_rad += further * per_turn;
        // Looked at anew with its true turn, which moves the holes a little otherwise than the small one.
        let worst_mm = worst(&rings(turn_rad), [x, y, 0.0]);
        if best.as_ref().is_some_and(|best| worst_mm > best.worst_mm + EXACT_MM) {
            break;
        }
        let mut active: Vec<usize> = search.active().collect();
        active.sort_unstable();
        let gap_mm = (worst_mm - found.lower).max(0.0);
        best = Some(Minimax { shift: PlateVec::new(x, y), turn_rad, worst_mm, gap_mm, active });
        if further.abs() <= SMALL_TURN_MM {
            break;
        }
    }
    best
}

/// Nothing is left to gain.
pub(super) fn is_exact(found: &Bracket) -> bool {
    found.upper - found.lower <= EXACT_MM.max(EXACT_SHARE * found.upper.abs())
}
