//! The odds that a plate drops over its studs.
//!
//! Hole i is off its fastener by `e_i`: how badly its place is known, and how badly it is cut. The fastener lets it be off
//! by its play `c_i = (hole diameter - fastener diameter) / 2`. The plate may be shifted and turned, so it goes on where
//! some rigid move makes `|e_i + move_i| <= c_i` for all holes. The odds are the share of drawn errors for which one
//! exists (measurement model, section 5; compare F. Scholz, Hole Alignment Tolerance Stacking Issues, Boeing, 1999).
//!
//! ## Model
//! - The places are normal about what was found, with the joint covariance that the adjustment gives; whether or not the
//!   rigid moves are taken out of it makes no difference here.
//! - A cutter that holds ± t is read as everything with ± is here: 95 % of the figures along either axis lie within t. So
//!   its scatter is normal with `t / 1.96` along either axis, independent from hole to hole. (Evenly within ± t, the
//!   reading of the GUM, 4.3.7, for a bound of unknown make, scatters by `t / 1.73`, but never past t.)
//! - Diameters are taken as they stand: a cutter that makes holes small has to be in the play already.
//! - The turn is small: a turn moves a hole straight across its arm. The true circle differs by at most
//!   `turn² |p| / 2 + turn |e|`, where p reaches from the middle to the hole. A turn that helps is at most about E over the
//!   reach R of the pattern, E being the largest error that can still go on, about the play. So the limit is off by at
//!   most `1.5 E² / R`: 2 thousandths of a mm for 0.25 mm of play on 50 mm. That makes the question convex, and the answer
//!   of each draw is proved, not searched for.
//!
//! ## Invariants
//! - The same digits for the same seed on every machine: sums, products, quotients and square roots only.
//! - Odds are never overstated by rounding: a draw counts as going on only where a move is at hand that does it.
//! - A hole without a fastener limits nothing. A hole that is no larger than its fastener lets nothing on.

mod cone;
mod interior;
mod minimax;
mod odds;
mod random;
mod scatter;
#[cfg(test)]
mod tests;
mod worst_few;

pub use minimax::{Minimax, minimax_move};
pub use odds::{Odds, OddsError, Pattern, bolt_up_odds};
