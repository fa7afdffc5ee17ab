//! The share of drawn errors with which the plate goes on.

use super::cone::Vec3;
use super::interior::{Bracket, Ring, least_squares, worst};
use super::minimax::{is_exact, middle_and_reach};
use super::random::Random;
use super::scatter::Scatter;
use super::worst_few::WorstFew;
use crate::space::PlatePoint;
use crate::tolerance::{K95_FIGURE, LARGEST_FIGURE};

/// A plate that is to go over its fasteners.
#[derive(Debug, Clone, Copy)]
pub struct Pattern<'a> {
    /// Where the holes are, mm.
    pub places: &'a [PlatePoint],
    /// For each hole `(hole diameter - fastener diameter) / 2`, mm; `None` for a hole without a fastener.
    pub plays: &'a [Option<f64>],
    /// Joint covariance of the places, mm²: rows one after the other, in the order x and y of the first hole, x and y of
    /// the second and so on. It may be semi-definite, as it is after the best rigid move.
    pub covariance: &'a [f64],
    /// How well the cutter holds a place along either axis, ± 95 %, mm; zero for a perfect one.
    pub cutting_mm: f64,
}

/// How likely a plate goes on.
#[derive(Debug, Clone, PartialEq)]
pub struct Odds {
    /// The share of draws that go on, 0 to 1.
    pub share: f64,
    /// Standard error of the share, by Agresti and Coull (The American Statistician 52, 1998): with two draws more of either
    /// kind, so that none of 2,000 failing does not pass for certainty (twice it is 0.0014, the rule of three 0.0015).
    /// Zero where a hole is no larger than its fastener: nothing was drawn.
    pub standard_error: f64,
    /// The hole that most often stands in the way; where nothing does, the one with the least room on average.
    pub worst: usize,
    /// For each hole the share of failing draws in which it stands in the way: in which it is one of those that keep the
    /// plate from going on after the best move. All zero where no draw fails.
    pub in_the_way: Vec<f64>,
}

/// Why no odds can be given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum OddsError {
    /// The lists do not belong together.
    #[error("places, plays and their scatter are not of the same holes")]
    Mismatch,
    /// No hole has a fastener, or nothing is to be drawn.
    #[error("no hole has a fastener, so nothing can stand in the way")]
    NothingToJudge,
    /// A hole's place, play or scatter is not a figure, or is larger than anything on a bench.
    #[error("the place or the play of a hole is not known")]
    NotKnown {
        /// The hole's number.
        hole: usize,
    },
    /// The cutter's figure is negative or none.
    #[error("how well the cutter holds a place has to be a figure of zero or more")]
    Cutting,
    /// The scatter contradicts itself.
    #[error("the scatter of the holes contradicts itself")]
    Scatter,
}

/// For failing draws the search ends where the excess is known to this share of itself: then it is plain which holes stand
/// in the way.
const BLAME_SHARE: f64 = 1e-4;

/// Draws the errors of the holes `draws` times and counts how often the plate goes on. The same digits for the same
/// `seed`, on every machine.
///
/// # Errors
/// Where the figures do not make a pattern, or a place is not known at all.
pub fn bolt_up_odds(pattern: &Pattern<'_>, seed: u64, draws: u32) -> Result<Odds, OddsError> {
    let holes = fastened(pattern)?;
    if holes.is_empty() || draws == 0 {
        return Err(OddsError::NothingToJudge);
    }
    let scatter = scatter(pattern, &holes)?;
    if let Some(tightest) = holes.iter().min_by(|a, b| a.play.total_cmp(&b.play)).filter(|hole| hole.play <= 0.0) {
        let mut in_the_way = vec![0.0; pattern.places.len()];
        for hole in holes.iter().filter(|hole| hole.play <= 0.0) {
            in_the_way[hole.at] = 1.0;
        }
        return Ok(Odds { share: 0.0, standard_error: 0.0, worst: tightest.at, in_the_way });
    }
    let mut trial = Trial::new(pattern, &holes);
    trial.run(scatter, seed, draws);
    Ok(trial.odds(pattern.places.len(), &holes, draws))
}

/// A hole with a fastener.
struct Hole {
    /// Its number among all holes.
    at: usize,
    play: f64,
}

/// The holes that have fasteners, once the figures are those of a pattern.
fn fastened(pattern: &Pattern<'_>) -> Result<Vec<Hole>, OddsError> {
    let Pattern { places, plays, covariance, cutting_mm } = *pattern;
    let size = 2 * places.len();
    if plays.len() != places.len() || covariance.len() != size * size {
        return Err(OddsError::Mismatch);
    }
    if !(0.0..=LARGEST_FIGURE).contains(&cutting_mm) {
        return Err(OddsError::Cutting);
    }
    let is_figure = |x: f64| x.abs() <= LARGEST_FIGURE;
    let is_known = |hole: &Hole| {
        let PlatePoint { x, y } = places[hole.at];
        let rows = &covariance[2 * hole.at * size..2 * (hole.at + 1) * size];
        is_figure(x)
            && is_figure(y)
            && is_figure(hole.play)
            && rows.iter().all(|entry| entry.abs() <= LARGEST_FIGURE * LARGEST_FIGURE)
    };
    let holes = plays.iter().enumerate().filter_map(|(at, play)| play.map(|play| Hole { at, play }));
    holes.map(|hole| if is_known(&hole) { Ok(hole) } else { Err(OddsError::NotKnown { hole: hole.at }) }).collect()
}

/// The scatter of the holes that have fasteners, by place and cutting together.
fn scatter(pattern: &Pattern<'_>, holes: &[Hole]) -> Result<Scatter, OddsError> {
    let (all, size) = (2 * pattern.places.len(), 2 * holes.len());
    let cutting = pattern.cutting_mm / K95_FIGURE;
    let from = |i: usize| 2 * holes[i / 2].at + i % 2;
    let mut covariance = vec![0.0; size * size];
    for i in 0..size {
        for j in 0..size {
            let (above, below) =
                (pattern.covariance[from(i) * all + from(j)], pattern.covariance[from(j) * all + from(i)]);
            // Halves of rounding that differ are brought together; more than that shows in the factor.
            covariance[i * size + j] = 0.5 * (above + below) + if i == j { cutting * cutting } else { 0.0 };
        }
    }
    Scatter::of(&covariance, size).ok_or(OddsError::Scatter)
}

/// A draw is decided, and where it fails it is plain why.
fn is_enough(found: &Bracket) -> bool {
    let is_plain = found.lower > 0.0 && found.upper - found.lower <= BLAME_SHARE * found.upper;
    found.upper <= 0.0 || is_plain || is_exact(found)
}

/// The draws, and what was seen in them.
struct Trial {
    rings: Vec<Ring>,
    search: WorstFew,
    goes_on: u32,
    /// For each ring, in how many failing draws it stood in the way.
    blamed: Vec<u32>,
    /// For each ring, the sum of the room that was left in draws that went on, mm.
    room: Vec<f64>,
}

impl Trial {
    fn new(pattern: &Pattern<'_>, holes: &[Hole]) -> Self {
        let places: Vec<PlatePoint> = holes.iter().map(|hole| pattern.places[hole.at]).collect();
        let (middle, reach) = middle_and_reach(&places);
        let per_turn = if reach > 0.0 { 1.0 / reach } else { 0.0 };
        let ring = |(place, hole): (&PlatePoint, &Hole)| {
            let arm = (*place - middle).perp() * per_turn;
            Ring { off: [0.0; 2], arm: arm.into(), play: hole.play }
        };
        let n = holes.len();
        Self {
            rings: places.iter().zip(holes).map(ring).collect(),
            search: WorstFew::default(),
            goes_on: 0,
            blamed: vec![0; n],
            room: vec![0.0; n],
        }
    }

    fn run(&mut self, mut scatter: Scatter, seed: u64, draws: u32) {
        let mut random = Random::new(seed);
        let mut errors = vec![0.0; 2 * self.rings.len()];
        for _ in 0..draws {
            scatter.draw(&mut random, &mut errors);
            for (ring, error) in self.rings.iter_mut().zip(errors.chunks_exact(2)) {
                ring.off = [error[0], error[1]];
            }
            self.judge();
        }
    }

    /// Decides the draw that is in the rings.
    fn judge(&mut self) {
        let by = least_squares(&self.rings);
        // Most plates that go on do so by least squares.
        if worst(&self.rings, by) <= 0.0 {
            return self.note_room(by);
        }
        let found = self.search.run(&self.rings, by, 0.0, is_enough);
        if found.upper <= 0.0 {
            return self.note_room(found.by);
        }
        for ring in self.search.active() {
            self.blamed[ring] += 1;
        }
    }

    fn note_room(&mut self, by: Vec3) {
        self.goes_on += 1;
        for (room, ring) in self.room.iter_mut().zip(&self.rings) {
            *room -= ring.excess(by);
        }
    }

    fn odds(&self, count: usize, holes: &[Hole], draws: u32) -> Odds {
        let (on, all) = (f64::from(self.goes_on), f64::from(draws));
        let failing = all - on;
        let (adjusted, of) = ((on + 2.0) / (all + 4.0), all + 4.0);
        let mut in_the_way = vec![0.0; count];
        for (hole, blamed) in holes.iter().zip(&self.blamed) {
            in_the_way[hole.at] = if failing > 0.0 { f64::from(*blamed) / failing } else { 0.0 };
        }
        // Of two that stand in the way as often, as both of two holes do, the one with less room.
        let room = |ring: usize| if on > 0.0 { self.room[ring] / on } else { holes[ring].play };
        let worst = (0..holes.len())
            .min_by(|a, b| self.blamed[*b].cmp(&self.blamed[*a]).then(room(*a).total_cmp(&room(*b))))
            .map_or(0, |ring| holes[ring].at);
        Odds { share: on / all, standard_error: (adjusted * (1.0 - adjusted) / of).sqrt(), worst, in_the_way }
    }
}
