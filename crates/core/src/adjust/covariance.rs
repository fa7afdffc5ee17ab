//! How well places are known relative to each other.
//!
//! A part may be shifted and turned as a whole. What matters is what is left after the best rigid move over the
//! places that count: with G the derivatives of all places by shift and turn, `C' = P C P'` and
//! `P = I - G (G'G)^-1 G'` (Baarda's S-transformation, 1973). Places that do not count are moved along.

use super::factor::{Factor, dot};
use super::layout::Layout;
use super::normal::Row;
use super::problem::{Feature, Problem};
use super::state::State;
use crate::space::{PlatePoint, PlateVec};

/// Covariance of a place, mm², in the solve frame.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PlaceCovariance {
    /// Variance along x.
    pub xx: f64,
    /// Covariance of x and y.
    pub xy: f64,
    /// Variance along y.
    pub yy: f64,
}

impl PlaceCovariance {
    /// Larger and smaller semi-axis of the 1-sigma ellipse, mm, and the direction of the larger, radians.
    pub fn axes(&self) -> (f64, f64, f64) {
        let (middle, half) = (0.5 * (self.xx + self.yy), 0.5 * (self.xx - self.yy));
        let spread = half.hypot(self.xy);
        ((middle + spread).max(0.0).sqrt(), (middle - spread).max(0.0).sqrt(), 0.5 * self.xy.atan2(half))
    }

    /// Larger semi-axis of the 1-sigma ellipse, mm.
    pub fn major_mm(&self) -> f64 {
        self.axes().0
    }

    /// What is left of it once a quantity of variance `variance` is known, with which it has the covariance `with`.
    #[must_use]
    pub(super) fn less(&self, with: [f64; 2], variance: f64) -> Self {
        let share = 1.0 / variance;
        Self {
            xx: self.xx - with[0] * with[0] * share,
            xy: self.xy - with[0] * with[1] * share,
            yy: self.yy - with[1] * with[1] * share,
        }
    }
}

/// Covariance of all unknowns, rows one after the other.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Covariance {
    pub(super) size: usize,
    pub(super) entries: Vec<f64>,
}

impl Covariance {
    pub(super) fn row(&self, i: usize) -> &[f64] {
        &self.entries[i * self.size..(i + 1) * self.size]
    }

    pub(super) fn between(&self, a: &Row, b: &Row) -> f64 {
        a.entries()
            .map(|(i, by_i)| {
                let row = self.row(i);
                by_i * b.entries().map(|(j, by_j)| row[j] * by_j).sum::<f64>()
            })
            .sum()
    }
}

/// Covariances of all places after the best rigid move.
#[derive(Debug, Clone, PartialEq)]
pub struct Relative {
    places: Vec<PlaceCovariance>,
    rims: usize,
}

/// A place with its derivatives by the rigid move.
#[derive(Debug)]
struct Place {
    at: usize,
    /// From the middle of the places that count, mm.
    from_middle: PlateVec,
    counts: bool,
}

impl Place {
    /// How the rigid move (shift x, shift y, turn) moves this place.
    fn moved(&self, [x, y, turn]: [f64; 3]) -> [f64; 2] {
        [x - self.from_middle.y * turn, y + self.from_middle.x * turn]
    }
}

/// All places, and the best rigid move of those that count.
#[derive(Debug)]
struct Moves {
    places: Vec<Place>,
    middle: PlatePoint,
    share: f64,
    turn_share: f64,
}

impl Moves {
    fn of(problem: &Problem, state: &State<'_>) -> Self {
        let (places, middle) = places(problem, state);
        let counting = || places.iter().filter(|place| place.counts);
        let share = 1.0 / counting().count().max(1) as f64;
        let spread: f64 = counting().map(|place| place.from_middle.dot(place.from_middle)).sum();
        let turn_share = if spread > 0.0 { 1.0 / spread } else { 0.0 };
        Self { places, middle, share, turn_share }
    }

    fn counting(&self) -> impl Iterator<Item = &Place> {
        self.places.iter().filter(|place| place.counts)
    }

    /// The rigid move that a movement of one counting place brings about.
    fn by(&self, place: &Place, [x, y]: [f64; 2]) -> [f64; 3] {
        let PlateVec { x: px, y: py } = place.from_middle;
        [x * self.share, y * self.share, (px * y - py * x) * self.turn_share]
    }

    /// The half rows (see [`Halves`]) of the rigid move itself.
    fn halves(&self, factor: &Factor, size: usize) -> [Vec<f64>; 3] {
        let mut by_unknowns = [(); 3].map(|()| vec![0.0; size]);
        for place in self.counting() {
            let (by_x, by_y) = (self.by(place, [1.0, 0.0]), self.by(place, [0.0, 1.0]));
            for (k, by_unknowns) in by_unknowns.iter_mut().enumerate() {
                by_unknowns[place.at] = by_x[k];
                by_unknowns[place.at + 1] = by_y[k];
            }
        }
        by_unknowns.map(|by| factor.half_of(by))
    }
}

/// Half rows `L⁻¹ a` of quantities `a . x`, with L the factor of the normal matrix: the covariance of two quantities is the
/// product of their half rows, and rounding cannot make a variance negative.
#[derive(Debug)]
pub(super) struct Halves {
    moves: Moves,
    of_move: [Vec<f64>; 3],
}

impl Halves {
    pub(super) fn of(problem: &Problem, state: &State<'_>, factor: &Factor) -> Self {
        let moves = Moves::of(problem, state);
        let of_move = moves.halves(factor, state.values.len());
        Self { moves, of_move }
    }

    /// The middle of the places that count.
    pub(super) fn middle(&self) -> PlatePoint {
        self.moves.middle
    }

    /// Of the rigid move: shift x, shift y, turn about the middle.
    pub(super) fn of_move(&self) -> &[Vec<f64>; 3] {
        &self.of_move
    }

    /// Of a place's x and y after the best rigid move.
    pub(super) fn of_place(&self, problem: &Problem, factor: &Factor, feature: Feature) -> [Vec<f64>; 2] {
        let number = match feature {
            Feature::Rim(rim) => rim,
            Feature::Spot(spot) => problem.rims.len() + spot,
        };
        self.of_numbered(factor, &self.moves.places[number])
    }

    fn of_numbered(&self, factor: &Factor, place: &Place) -> [Vec<f64>; 2] {
        let unmoved = [0, 1].map(|axis| {
            let mut row = Row::new();
            row.add(place.at + axis, 1.0);
            factor.half(&row)
        });
        let [mut x, mut y] = unmoved;
        for (i, (x, y)) in x.iter_mut().zip(&mut y).enumerate() {
            let [by_x, by_y] = place.moved([self.of_move[0][i], self.of_move[1][i], self.of_move[2][i]]);
            *x -= by_x;
            *y -= by_y;
        }
        [x, y]
    }
}

impl Relative {
    pub(super) fn of(problem: &Problem, state: &State<'_>, factor: &Factor) -> Self {
        let halves = Halves::of(problem, state, factor);
        let covariance = |place: &Place| {
            let [x, y] = halves.of_numbered(factor, place);
            PlaceCovariance { xx: dot(&x, &x), xy: dot(&x, &y), yy: dot(&y, &y) }
        };
        Self { places: halves.moves.places.iter().map(covariance).collect(), rims: problem.rims.len() }
    }

    /// How well a place is known after the best rigid move.
    pub fn covariance(&self, feature: Feature) -> PlaceCovariance {
        match feature {
            Feature::Rim(i) => self.places[i],
            Feature::Spot(i) => self.places[self.rims + i],
        }
    }
}

/// Covariances of holes after the best rigid move with every unknown, two rows for each hole.
#[derive(Debug)]
pub(super) struct Relations {
    rows: Vec<f64>,
    size: usize,
}

impl Relations {
    pub(super) fn of(problem: &Problem, state: &State<'_>, covariance: &Covariance, rims: &[usize]) -> Self {
        let (moves, size) = (Moves::of(problem, state), covariance.size);
        let mut move_with_unknowns = vec![[0.0; 3]; size];
        for place in moves.counting() {
            let (row_x, row_y) = (covariance.row(place.at), covariance.row(place.at + 1));
            for (sum, (x, y)) in move_with_unknowns.iter_mut().zip(row_x.iter().zip(row_y)) {
                let part = moves.by(place, [*x, *y]);
                for k in 0..3 {
                    sum[k] += part[k];
                }
            }
        }
        let mut rows = Vec::with_capacity(2 * size * rims.len());
        for place in rims.iter().map(|rim| &moves.places[*rim]) {
            for axis in 0..2 {
                let own = covariance.row(place.at + axis).iter().zip(&move_with_unknowns);
                rows.extend(own.map(|(own, with_move)| own - place.moved(*with_move)[axis]));
            }
        }
        Self { rows, size }
    }

    /// Covariance of the hole at number `at` of the list with the quantity whose derivatives are `row`.
    pub(super) fn with(&self, at: usize, row: &Row) -> [f64; 2] {
        let (with_x, with_y) = self.rows[2 * at * self.size..][..2 * self.size].split_at(self.size);
        row.entries().fold([0.0; 2], |[x, y], (i, by)| [x + with_x[i] * by, y + with_y[i] * by])
    }
}

/// All holes, then all points, and the middle of those that count. Kept holes and points count; where nothing is kept everything does.
fn places(problem: &Problem, state: &State<'_>) -> (Vec<Place>, PlatePoint) {
    let Layout { rims, spots, .. } = state.layout;
    let any_kept = problem.rims.iter().any(|rim| rim.keep) || !problem.spots.is_empty();
    let all: Vec<(usize, PlatePoint, bool)> = rims
        .iter()
        .enumerate()
        .map(|(i, at)| (*at, state.centre(i), problem.rims[i].keep || !any_kept))
        .chain(spots.iter().enumerate().map(|(i, at)| (*at, state.spot(i), true)))
        .collect();
    let counting = all.iter().filter(|(.., counts)| *counts);
    let share = 1.0 / counting.clone().count().max(1) as f64;
    let middle = counting.fold(PlatePoint::default(), |sum, (_, p, _)| sum + PlateVec::new(p.x, p.y) * share);
    let place = |(at, p, counts)| Place { at, from_middle: p - middle, counts };
    (all.into_iter().map(place).collect(), middle)
}
