//! Explanations of a trial compared: how much of what was seen each one explains.
//!
//! What was seen are offsets d of n holes (2 n figures) from where the adjustment without the trial has them, with covariance
//! Q: that of the places, and how well each offset was judged. The plate lay with a free shift and turn G, so that only
//! `W = P - P G (G'P G)^-1 G'P` with `P = Q^-1` tells anything. An explanation says that d has the mean `B x` with its design B
//! and sizes x unknown. It explains `d'W B (B'W B)^-1 B'W d`, which for an explanation that is not so has the chi-square
//! distribution with as many degrees of freedom as `B'W B` has rank (generalised likelihood ratio; for one size it is the
//! square of the w of data snooping: Baarda, A testing procedure for use in geodetic networks, 1968; from memory).
//!
//! A hole that would not go, nobody knows which way, is an offset of at least its play in a direction that each
//! explanation may choose as suits it best: what is left unexplained is the least over all such offsets.

use crate::space::PlateVec;
use nalgebra::{DMatrix, DVector, SymmetricEigen};

/// What was seen at a hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Seen {
    /// It should lie this far from where the adjustment has it, mm.
    Off(PlateVec),
    /// The same and at least `play_mm` more, the way that is given or any way.
    Beyond { from: PlateVec, play_mm: f64, towards: Option<PlateVec> },
}

/// Directions that are tried for a hole that would not go.
const DIRECTIONS: usize = 36;
/// Common directions from which all holes that would not go begin, besides outward and inward.
const STARTS: usize = 12;
/// How often each of them is turned to where it suits best.
const SWEEPS: usize = 4;
/// A design that shift and turn imitate but for this share of its square tells nothing.
const IMITATED: f64 = 1e-7;

/// A trial as figures.
#[derive(Debug)]
pub(super) struct Figures {
    pub(super) seen: Vec<Seen>,
    /// From the middle of the holes, mm.
    places: Vec<PlateVec>,
    /// P and W.
    inverse: DMatrix<f64>,
    weight: DMatrix<f64>,
    /// Figures less shift and turn.
    pub(super) dof: usize,
    /// Square sum of all that is to be explained.
    pub(super) to_explain: f64,
}

/// `d'M d - 2 q'd - c`: what is left unexplained.
#[derive(Debug)]
struct Left {
    matrix: DMatrix<f64>,
    linear: DVector<f64>,
    constant: f64,
}

/// What the adjustment itself has to say of the size of an explanation with one size: the derivative of half its square sum,
/// and the information.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Own {
    pub(super) score: f64,
    pub(super) information: f64,
}

/// How far an explanation goes.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Explained {
    /// Square sum of what was seen that it explains, by the trial alone.
    pub(super) by_trial: f64,
    /// The same where the adjustment's own word on its size counts as well.
    pub(super) with_own: f64,
    /// What it leaves, by the trial alone.
    pub(super) left: f64,
    /// How many of its sizes the trial tells apart from shift, turn and each other.
    pub(super) rank: usize,
    /// Its sizes.
    pub(super) sizes: Vec<f64>,
}

impl Figures {
    /// `covariance` is Q. `None` where it has no inverse.
    pub(super) fn new(seen: Vec<Seen>, places: Vec<PlateVec>, covariance: DMatrix<f64>) -> Option<Self> {
        let count = places.len();
        let inverse = covariance.cholesky()?.inverse();
        let reach = places.iter().map(|place| place.length()).fold(0.0, f64::max);
        let mut moves = DMatrix::zeros(2 * count, if reach > 0.0 { 3 } else { 2 });
        for (i, place) in places.iter().enumerate() {
            moves[(2 * i, 0)] = 1.0;
            moves[(2 * i + 1, 1)] = 1.0;
            if reach > 0.0 {
                moves[(2 * i, 2)] = -place.y / reach;
                moves[(2 * i + 1, 2)] = place.x / reach;
            }
        }
        let with_moves = &inverse * &moves;
        let by_moves = (moves.transpose() * &with_moves).cholesky()?.inverse();
        let weight = &inverse - &with_moves * by_moves * with_moves.transpose();
        let figures: usize = seen.iter().map(|seen| if matches!(seen, Seen::Off(_)) { 2 } else { 1 }).sum();
        let dof = figures.saturating_sub(moves.ncols());
        let mut figures = Self { seen, places, inverse, weight, dof, to_explain: 0.0 };
        figures.to_explain = figures.least(&figures.unexplained()).0;
        Some(figures)
    }

    fn unexplained(&self) -> Left {
        let size = self.weight.nrows();
        Left { matrix: self.weight.clone(), linear: DVector::zeros(size), constant: 0.0 }
    }

    /// How far an explanation with this design goes: a row for each figure, a column for each size.
    pub(super) fn explain(&self, design: &DMatrix<f64>, own: Own) -> Explained {
        // In units in which every column weighs one, so that what is imitated by shift and turn shows.
        let weighs = |column| (design.column(column).transpose() * &self.inverse * design.column(column))[(0, 0)];
        let units: Vec<f64> = (0..design.ncols()).map(|column| weighs(column).sqrt()).collect();
        let mut scaled = design.clone();
        for (column, unit) in units.iter().enumerate().filter(|(_, unit)| **unit > 0.0) {
            scaled.column_mut(column).scale_mut(1.0 / unit);
        }
        let seen_by = &self.weight * &scaled;
        let axes = SymmetricEigen::new(scaled.transpose() * &seen_by);
        let told: Vec<usize> = (0..axes.eigenvalues.len()).filter(|i| axes.eigenvalues[*i] > IMITATED).collect();
        let mut inverse = DMatrix::zeros(design.ncols(), design.ncols());
        for i in &told {
            let axis = axes.eigenvectors.column(*i);
            inverse += axis * axis.transpose() / axes.eigenvalues[*i];
        }
        let mut left = self.unexplained();
        left.matrix -= &seen_by * &inverse * seen_by.transpose();
        let (remains, offsets) = self.least(&left);
        let by_trial = self.to_explain - remains;
        let mut explained =
            Explained { by_trial, with_own: by_trial, left: remains, rank: told.len(), sizes: Vec::new() };
        let sizes = if own.information > 0.0 && told.len() == 1 && design.ncols() == 1 {
            let (score, information) = (own.score / units[0], own.information / (units[0] * units[0]));
            let share = 1.0 / (axes.eigenvalues[0] + information);
            let mut left = self.unexplained();
            left.matrix -= &seen_by * seen_by.transpose() * share;
            left.linear = seen_by.column(0) * (score * share);
            // Without what the adjustment alone would have it.
            left.constant = score * score * (share - 1.0 / information);
            let (remains, offsets) = self.least(&left);
            explained.with_own = self.to_explain - remains;
            (seen_by.transpose() * offsets).add_scalar(score) * share
        } else {
            inverse * seen_by.transpose() * offsets
        };
        explained.sizes =
            sizes.iter().zip(&units).map(|(size, unit)| if *unit > 0.0 { size / unit } else { 0.0 }).collect();
        explained
    }

    /// The least that is left over all offsets that may have been seen, and those offsets.
    fn least(&self, left: &Left) -> (f64, DVector<f64>) {
        let open: Vec<usize> = (0..self.seen.len()).filter(|i| matches!(self.seen[*i], Seen::Beyond { .. })).collect();
        if open.is_empty() {
            let offsets = self.offsets(|_| PlateVec::default());
            return (left.at(&offsets), offsets);
        }
        let outward = |i: usize| self.places[i].unit().unwrap_or(PlateVec::new(1.0, 0.0));
        let common = (0..STARTS).map(|k| PlateVec::from_angle(std::f64::consts::TAU * k as f64 / STARTS as f64));
        let mut starts: Vec<DVector<f64>> = common.map(|way| self.offsets(|_| way)).collect();
        starts.push(self.offsets(outward));
        starts.push(self.offsets(|i| -outward(i)));
        let settled = starts.into_iter().map(|mut offsets| {
            for _ in 0..SWEEPS {
                for i in &open {
                    self.turn(left, *i, &mut offsets);
                }
            }
            (left.at(&offsets), offsets)
        });
        settled.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or_else(|| (0.0, self.offsets(|_| PlateVec::default())))
    }

    /// The offsets where those that are open go just beyond their play, each its way.
    fn offsets(&self, way: impl Fn(usize) -> PlateVec) -> DVector<f64> {
        let mut offsets = DVector::zeros(2 * self.seen.len());
        for (i, seen) in self.seen.iter().enumerate() {
            let off = match *seen {
                Seen::Off(off) => off,
                Seen::Beyond { from, play_mm, towards } => from + towards.unwrap_or_else(|| way(i)) * play_mm,
            };
            (offsets[2 * i], offsets[2 * i + 1]) = (off.x, off.y);
        }
        offsets
    }

    /// Turns the offset of a hole that would not go to where least is left, the others held.
    fn turn(&self, left: &Left, i: usize, offsets: &mut DVector<f64>) {
        let Seen::Beyond { from, play_mm, towards } = self.seen[i] else { return };
        (offsets[2 * i], offsets[2 * i + 1]) = (from.x, from.y);
        let slope = left.matrix.rows(2 * i, 2) * &*offsets - left.linear.rows(2 * i, 2);
        let own = left.matrix.view((2 * i, 2 * i), (2, 2));
        let ways = (0..DIRECTIONS).map(|k| PlateVec::from_angle(std::f64::consts::TAU * k as f64 / DIRECTIONS as f64));
        let ways: Vec<PlateVec> = towards.map_or_else(|| ways.collect(), |way| vec![way]);
        let best = ways.into_iter().map(|way| {
            // Along this way what is left is a parabola of how far it goes.
            let bend = own[(0, 0)] * way.x * way.x + 2.0 * own[(0, 1)] * way.x * way.y + own[(1, 1)] * way.y * way.y;
            let fall = -(slope[0] * way.x + slope[1] * way.y);
            let far = if bend > 0.0 { (fall / bend).max(play_mm) } else { play_mm };
            (far * (far * bend - 2.0 * fall), way * far)
        });
        if let Some((_, off)) = best.min_by(|a, b| a.0.total_cmp(&b.0)) {
            offsets[2 * i] += off.x;
            offsets[2 * i + 1] += off.y;
        }
    }
}

impl Left {
    fn at(&self, offsets: &DVector<f64>) -> f64 {
        (offsets.transpose() * &self.matrix * offsets)[(0, 0)] - 2.0 * self.linear.dot(offsets) - self.constant
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLACES: [(f64, f64); 4] = [(-60.0, -35.0), (58.0, -41.0), (62.0, 39.0), (-52.0, 44.0)];
    const OFFS: [f64; 8] = [0.12, -0.31, 0.44, 0.05, -0.22, 0.37, 0.18, -0.09];

    fn places() -> Vec<PlateVec> {
        // About their own middle.
        let middle = PLACES.iter().fold((0.0, 0.0), |(x, y), p| (x + p.0 / 4.0, y + p.1 / 4.0));
        PLACES.iter().map(|(x, y)| PlateVec::new(x - middle.0, y - middle.1)).collect()
    }

    /// Some positive definite matrix.
    fn covariance() -> DMatrix<f64> {
        let root = DMatrix::from_fn(8, 8, |i, j| if i == j { 0.2 } else { 0.03 * ((3 * i + 5 * j) as f64).sin() });
        &root * root.transpose()
    }

    fn seen() -> Vec<Seen> {
        OFFS.chunks_exact(2).map(|pair| Seen::Off(PlateVec::new(pair[0], pair[1]))).collect()
    }

    /// Square sum that is left of `off` by a straight least-squares fit of all columns at once.
    fn left_by(columns: &[Vec<f64>]) -> f64 {
        let weight = covariance().try_inverse().unwrap();
        let all = DMatrix::from_fn(8, columns.len(), |row, column| columns[column][row]);
        let off = DVector::from_row_slice(&OFFS);
        let sizes = (all.transpose() * &weight * &all).lu().solve(&(all.transpose() * &weight * &off)).unwrap();
        let rest = off - all * sizes;
        (rest.transpose() * weight * rest)[(0, 0)]
    }

    /// Shift and turn, and all in proportion.
    fn moves_and_scale() -> (Vec<Vec<f64>>, Vec<f64>) {
        let pairs = |f: &dyn Fn(PlateVec) -> PlateVec| -> Vec<f64> {
            places().into_iter().flat_map(|place| <[f64; 2]>::from(f(place))).collect()
        };
        let moves =
            vec![pairs(&|_| PlateVec::new(1.0, 0.0)), pairs(&|_| PlateVec::new(0.0, 1.0)), pairs(&PlateVec::perp)];
        (moves, pairs(&|place| place))
    }

    #[test]
    fn what_is_explained_is_what_a_fit_of_everything_at_once_takes_away() {
        let figures = Figures::new(seen(), places(), covariance()).unwrap();
        let (mut columns, scale) = moves_and_scale();
        let all = left_by(&columns);
        assert!((figures.to_explain / all - 1.0).abs() < 1e-9, "{} and {all}", figures.to_explain);
        assert_eq!(figures.dof, 5, "eight figures less shift and turn");
        let explained = figures.explain(&DMatrix::from_column_slice(8, 1, &scale), Own::default());
        columns.push(scale);
        let rest = left_by(&columns);
        assert!((explained.left / rest - 1.0).abs() < 1e-9, "{} and {rest}", explained.left);
        assert!((explained.by_trial - (all - rest)).abs() < 1e-9 * all, "{explained:?}");
        assert_eq!((explained.rank, explained.by_trial.to_bits()), (1, explained.with_own.to_bits()), "one size");
    }

    #[test]
    fn a_turn_explains_nothing() {
        let figures = Figures::new(seen(), places(), covariance()).unwrap();
        let (moves, _) = moves_and_scale();
        let explained = figures.explain(&DMatrix::from_column_slice(8, 1, &moves[2]), Own::default());
        assert_eq!((explained.rank, explained.sizes.as_slice()), (0, [0.0].as_slice()), "{explained:?}");
        assert!(explained.by_trial.abs() < 1e-9, "{explained:?}");
    }

    /// What the adjustment knows of a size beforehand counts like one more figure.
    #[test]
    fn a_size_that_is_known_holds_the_explanation_back() {
        let figures = Figures::new(seen(), places(), covariance()).unwrap();
        let design = DMatrix::from_column_slice(8, 1, &moves_and_scale().1);
        let free = figures.explain(&design, Own::default());
        let held =
            |size: f64, information: f64| figures.explain(&design, Own { score: size * information, information });
        let as_found = held(free.sizes[0], 1e12);
        assert!((as_found.with_own - free.by_trial).abs() < 1e-6 * free.by_trial, "known to be so: {as_found:?}");
        let nothing = held(0.0, 1e12);
        assert!(nothing.with_own.abs() < 1e-3 && nothing.sizes[0].abs() < 1e-6, "known to be nothing: {nothing:?}");
        let against = held(-3.0 * free.sizes[0], 1e12);
        assert!(against.with_own < -free.by_trial, "known to be otherwise: {against:?}");
        assert!((nothing.by_trial - free.by_trial).abs() < 1e-9, "the trial by itself says the same");
    }

    /// By hand: of three holes in a row, equally well known, the middle one would not go by 1 mm. Left alone, the shift takes up
    /// a third of it, so that 2/3 mm² is left over the variance; let go where it will, that hole explains all.
    #[test]
    fn what_would_not_go_goes_the_way_that_suits() {
        let places = vec![PlateVec::new(-50.0, 0.0), PlateVec::default(), PlateVec::new(50.0, 0.0)];
        let beyond = Seen::Beyond { from: PlateVec::default(), play_mm: 1.0, towards: None };
        let off = Seen::Off(PlateVec::default());
        let figures = Figures::new(vec![off, beyond, off], places, DMatrix::identity(6, 6) * 0.01).unwrap();
        assert!((figures.to_explain - 200.0 / 3.0).abs() < 1e-6, "{}", figures.to_explain);
        assert_eq!(figures.dof, 2, "two holes, one play, less shift and turn");
        let mut design = DMatrix::zeros(6, 2);
        (design[(2, 0)], design[(3, 1)]) = (1.0, 1.0);
        let alone = figures.explain(&design, Own::default());
        assert!(alone.left.abs() < 1e-6 && alone.sizes[0].hypot(alone.sizes[1]) > 0.999, "{alone:?}");
    }
}
