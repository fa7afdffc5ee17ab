//! The search over the few rings that matter.
//!
//! Four rings at most hold a plate, and no ring that is left out can help: what bars a few bars all. So the search runs
//! over the rings that are worst after least squares, and again with those that its move leaves worse off.

use super::cone::Vec3;
use super::interior::{Bracket, Ring, Search, least_squares};

/// How many rings are searched over to begin with: those that hold a plate are nearly always among them.
const FIRST_CHOSEN: usize = 6;

/// A ring that carries less than this share of the forces does not stand in the way: where a search ends the others carry
/// some ten-thousandths at most.
const CARRIES: f64 = 1e-3;

/// The search, with what it needs to keep.
#[derive(Debug, Default)]
pub(super) struct WorstFew {
    search: Search,
    /// All rings by excess, the worst first.
    ranked: Vec<(f64, usize)>,
    /// The numbers of the rings that are searched over, and the rings.
    chosen: Vec<usize>,
    few: Vec<Ring>,
}

impl WorstFew {
    /// Searches until `is_enough` of what has been found; `by` is the least-squares move of all rings. Excesses up to
    /// `harmless` count for nothing: the bracket is that of all rings where its upper end is past it, else no ring is.
    pub(super) fn run(
        &mut self,
        rings: &[Ring],
        by: Vec3,
        harmless: f64,
        is_enough: impl Fn(&Bracket) -> bool,
    ) -> Bracket {
        self.choose(rings, by);
        loop {
            let found = self.search.run(&self.few, least_squares(&self.few), &is_enough);
            if !self.add_those_past(found.upper.max(harmless), rings, found.by) {
                return found;
            }
        }
    }

    /// The rings that hold the plate at the end of the last search, by number.
    pub(super) fn active(&self) -> impl Iterator<Item = usize> {
        self.chosen.iter().zip(self.search.forces()).filter(|(_, share)| *share >= CARRIES).map(|(at, _)| *at)
    }

    fn choose(&mut self, rings: &[Ring], by: Vec3) {
        self.ranked.clear();
        self.ranked.extend(rings.iter().enumerate().map(|(at, ring)| (ring.excess(by), at)));
        self.ranked.sort_unstable_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        self.chosen.clear();
        self.chosen.extend(self.ranked.iter().take(FIRST_CHOSEN).map(|(_, at)| *at));
        self.few.clear();
        self.few.extend(self.chosen.iter().map(|at| rings[*at]));
    }

    /// Adds the rings whose excess after the move `by` is more than `limit`; false where there are none.
    fn add_those_past(&mut self, limit: f64, rings: &[Ring], by: Vec3) -> bool {
        let before = self.chosen.len();
        for (at, ring) in rings.iter().enumerate() {
            if ring.excess(by) > limit && !self.chosen[..before].contains(&at) {
                self.chosen.push(at);
                self.few.push(*ring);
            }
        }
        self.chosen.len() > before
    }
}
