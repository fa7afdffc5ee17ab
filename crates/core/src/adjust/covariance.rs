//! How well places are known relative to each other.
//!
//! A part may be shifted and turned as a whole. What matters is what is left after the best rigid move over the
//! places that count: with G the derivatives of all places by shift and turn, `C' = P C P'` and
//! `P = I - G (G'G)^-1 G'` (Baarda's S-transformation, 1973). Places that do not count are moved along.

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

    pub(super) fn sigma(&self, row: &Row) -> f64 {
        self.between(row, row).max(0.0).sqrt()
    }
}

/// Covariances of all places after the best rigid move.
#[derive(Debug, Clone, PartialEq)]
pub struct Relative {
    places: Vec<Relation>,
    size: usize,
    rims: usize,
}

/// One place: its own covariance, and its covariance with every unknown and with the rigid move (a row each for x and y).
#[derive(Debug, Clone, PartialEq)]
struct Relation {
    place: Place,
    covariance: PlaceCovariance,
    with_unknowns: Vec<f64>,
    with_move: [[f64; 3]; 2],
}

impl Relation {
    /// Covariance with another place, both after the move.
    fn with_place(&self, other: &Place) -> [[f64; 2]; 2] {
        let size = self.with_unknowns.len() / 2;
        std::array::from_fn(|axis| {
            let with = &self.with_unknowns[axis * size..(axis + 1) * size];
            let [x, y] = other.moved(self.with_move[axis]);
            [with[other.at] - x, with[other.at + 1] - y]
        })
    }
}

/// A place with its derivatives by the rigid move.
#[derive(Debug, Clone, Copy, PartialEq)]
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

/// All places, and the rigid move that movements of those that count bring about.
pub(super) struct Counting {
    places: Vec<Place>,
    middle: PlatePoint,
    share: f64,
    turn_share: f64,
}

impl Counting {
    pub(super) fn of(problem: &Problem, state: &State<'_>) -> Self {
        let (places, middle) = places(problem, state);
        let counting = places.iter().filter(|place| place.counts);
        let spread: f64 = counting.clone().map(|place| place.from_middle.dot(place.from_middle)).sum();
        let share = 1.0 / counting.count().max(1) as f64;
        let turn_share = if spread > 0.0 { 1.0 / spread } else { 0.0 };
        Self { places, middle, share, turn_share }
    }

    /// The middle of the places that count.
    pub(super) fn middle(&self) -> PlatePoint {
        self.middle
    }

    /// The rigid move (shift x, shift y, turn) that the movements of all counting places bring about; `moved` says by how
    /// much an unknown has moved.
    pub(super) fn move_by_all(&self, moved: impl Fn(usize) -> f64) -> [f64; 3] {
        let mut sum = [0.0; 3];
        for place in self.places.iter().filter(|place| place.counts) {
            let (x, y) = (moved(place.at), moved(place.at + 1));
            let PlateVec { x: px, y: py } = place.from_middle;
            sum[0] += x * self.share;
            sum[1] += y * self.share;
            sum[2] += (px * y - py * x) * self.turn_share;
        }
        sum
    }

    /// Covariance of the rigid move with every unknown.
    pub(super) fn move_with_unknowns(&self, covariance: &Covariance) -> Vec<[f64; 3]> {
        let mut with_unknowns = vec![[0.0; 3]; covariance.size];
        for place in self.places.iter().filter(|place| place.counts) {
            let (row_x, row_y) = (covariance.row(place.at), covariance.row(place.at + 1));
            let PlateVec { x: px, y: py } = place.from_middle;
            for (sum, (x, y)) in with_unknowns.iter_mut().zip(row_x.iter().zip(row_y)) {
                sum[0] += x * self.share;
                sum[1] += y * self.share;
                sum[2] += (px * y - py * x) * self.turn_share;
            }
        }
        with_unknowns
    }
}

impl Relative {
    pub(super) fn of(problem: &Problem, state: &State<'_>, covariance: &Covariance) -> Self {
        let counting = Counting::of(problem, state);
        let n = covariance.size;
        let move_with_unknowns = counting.move_with_unknowns(covariance);
        let relation = |place: &Place| {
            let mut with_unknowns = vec![0.0; 2 * n];
            let (with_x, with_y) = with_unknowns.split_at_mut(n);
            let (row_x, row_y) = (covariance.row(place.at), covariance.row(place.at + 1));
            for i in 0..n {
                let [x, y] = place.moved(move_with_unknowns[i]);
                with_x[i] = row_x[i] - x;
                with_y[i] = row_y[i] - y;
            }
            let with_move = [&*with_x, &*with_y].map(|with| counting.move_by_all(|unknown| with[unknown]));
            let mut relation =
                Relation { place: *place, covariance: PlaceCovariance::default(), with_unknowns, with_move };
            let [[xx, xy], [_, yy]] = relation.with_place(place);
            relation.covariance = PlaceCovariance { xx: xx.max(0.0), xy, yy: yy.max(0.0) };
            relation
        };
        Self { places: counting.places.iter().map(relation).collect(), size: n, rims: problem.rims.len() }
    }

    fn relation(&self, feature: Feature) -> &Relation {
        match feature {
            Feature::Rim(i) => &self.places[i],
            Feature::Spot(i) => &self.places[self.rims + i],
        }
    }

    /// How well a place is known after the best rigid move.
    pub fn covariance(&self, feature: Feature) -> PlaceCovariance {
        self.relation(feature).covariance
    }

    /// Covariance of two places after the best rigid move, mm²: rows x, y of the first by columns x, y of the second.
    pub fn between(&self, a: Feature, b: Feature) -> [[f64; 2]; 2] {
        self.relation(a).with_place(&self.relation(b).place)
    }

    /// Covariance of a place after the best rigid move with the quantity whose derivatives are `row`.
    pub(super) fn with(&self, feature: Feature, row: &Row) -> [f64; 2] {
        let with = &self.relation(feature).with_unknowns;
        row.entries().fold([0.0; 2], |[x, y], (i, by)| [x + with[i] * by, y + with[self.size + i] * by])
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
