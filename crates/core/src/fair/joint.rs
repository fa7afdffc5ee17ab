//! All lines and arcs of a chain at once: smallest squared distances, with neighbours that touch, places that are passed
//! through, and whatever else is held.
//!
//! Gauss-Newton steps on (aside, turn, bend) of every curve. What is held goes in as equations of great weight, with
//! multipliers that take the rest away (method of multipliers, Hestenes 1969, Powell 1969), so that it holds to rounding.
//! Points that are far off lose their say (Beaton and Tukey 1974).

use super::banded::Banded;
use super::clean::Chain;
use super::curve::{Curve, Row, SIDE_BY_SIDE};
use super::split::Run;
use crate::space::{PlatePoint, PlateVec};
use nalgebra::{Matrix3, Vector3};

/// How a run is joined to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Tie {
    /// They meet where they cross.
    Free,
    /// They touch.
    Tangent,
    /// Both pass through this place.
    Through(PlatePoint),
}

/// What one curve is held to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Hold {
    /// A bend, 1/mm.
    Bend(f64),
    /// A direction, either way.
    Direction(PlateVec),
    /// A centre.
    Centre(PlatePoint),
    /// A place that it passes at this distance, mm, positive where the place is to the right.
    Distance(PlatePoint, f64),
}

/// What is fitted together.
#[derive(Debug, Clone)]
pub(super) struct Pieces {
    pub(super) runs: Vec<Run>,
    pub(super) curves: Vec<Curve>,
    /// One a run: how it is joined to the next; the last of an open chain is not.
    pub(super) ties: Vec<Tie>,
    pub(super) holds: Vec<(usize, Hold)>,
}

/// Tukey's constant, for 95 % of the efficiency of least squares (Holland and Welsch 1977), in standard deviations.
const TUKEY: f64 = 4.685;

/// The spread that far-off points are told by is no smaller than this share of the tolerance.
const SPREAD_SHARE: f64 = 0.3;

const ROUNDS: usize = 60;
/// A step that moves nothing by more than this is the last, mm.
const STILL_MM: f64 = 1e-9;
/// Near enough to choose by, mm.
pub(super) const NEARLY_STILL_MM: f64 = 1e-4;
/// No step turns a piece by more, or changes its bend by more over its half length, rad.
const TURN_MAX: f64 = 0.3;
/// What is held counts as much as this many times all points of the chain.
const HELD_WEIGHT: f64 = 1e4;
/// Keeps what the points do not tell (the bend of a short arc) where it was; a share of the points' weight.
const KEPT_SHARE: f64 = 1e-9;

/// Half the length of a run, mm: the scale on which turn and bend move points.
pub(super) fn half_length_mm(chain: &Chain, run: &Run) -> f64 {
    let middle = usize::midpoint(run.first, run.last);
    let reach = chain.at(run.first).distance(chain.at(middle)).max(chain.at(run.last).distance(chain.at(middle)));
    reach.max(1e-3)
}

/// Spread by which far-off points are told, mm.
pub(super) fn spread_mm(chain: &Chain, tolerance_mm: f64) -> f64 {
    chain.noise_mm.max(SPREAD_SHARE * tolerance_mm)
}

struct Equation {
    parts: Vec<(usize, Row)>,
    off: f64,
}

impl Pieces {
    /// Moves all curves to the best fit, to rounding; `None` where that comes to no end.
    pub(super) fn fit(&mut self, chain: &Chain, tolerance_mm: f64) -> Option<()> {
        self.fit_until(chain, tolerance_mm, STILL_MM)
    }

    /// Moves all curves to the best fit, until a step moves nothing by more than `still_mm`.
    pub(super) fn fit_until(&mut self, chain: &Chain, tolerance_mm: f64, still_mm: f64) -> Option<()> {
        let scales: Vec<f64> = self.runs.iter().map(|run| half_length_mm(chain, run)).collect();
        let weight = HELD_WEIGHT * chain.len() as f64;
        let mut pulls = vec![0.0; self.equations(chain).len()];
        for round in 0..ROUNDS {
            let mut banded = Banded::new(self.runs.len());
            self.add_points(&mut banded, chain, &scales, tolerance_mm);
            let equations = self.equations(chain);
            pulls.resize(equations.len(), 0.0);
            for (equation, pull) in equations.iter().zip(&mut pulls) {
                if round > 0 {
                    *pull += equation.off;
                }
                let parts: Vec<_> = equation.parts.iter().map(|&(k, row)| (k, scaled(row, scales[k]))).collect();
                banded.add(&parts, -equation.off - *pull, weight);
            }
            let steps = banded.solved()?;
            let turn = steps.iter().zip(&scales).map(|(step, scale)| step[1].abs().max(step[2].abs()) / scale);
            let shorten = (TURN_MAX / turn.fold(TURN_MAX, f64::max)).min(1.0);
            let mut moved: f64 = 0.0;
            for ((curve, step), &scale) in self.curves.iter_mut().zip(steps).zip(&scales) {
                let [aside, turn, bend] = step.map(|s| s * shorten);
                // A line has no bend to be moved.
                let bend = if curve.bend == 0.0 { 0.0 } else { bend };
                moved = moved.max(aside.abs()).max(turn.abs()).max(bend.abs());
                *curve = curve.changed([aside, turn / scale, bend / (scale * scale)]);
            }
            if !moved.is_finite() {
                return None;
            }
            if moved < still_mm {
                break;
            }
        }
        self.curves.iter().all(|curve| curve.at.is_finite() && curve.bend.is_finite()).then_some(())
    }

    fn add_points(&self, banded: &mut Banded, chain: &Chain, scales: &[f64], tolerance_mm: f64) {
        let reach = TUKEY * spread_mm(chain, tolerance_mm);
        for (k, (run, curve)) in self.runs.iter().zip(&self.curves).enumerate() {
            let (normal, gradient, total) = normal_equations(chain, run, curve, reach);
            banded.add_block(k, &normal, &gradient, scales[k]);
            let kept = KEPT_SHARE * total.max(1.0);
            (0..3).for_each(|i| banded.hold(k, i, kept));
            if curve.bend == 0.0 {
                banded.hold(k, 2, total.max(1.0));
            }
        }
    }

    /// What is held, as far as it is off now.
    fn equations(&self, chain: &Chain) -> Vec<Equation> {
        let mut equations = Vec::new();
        let n = self.runs.len();
        for (k, tie) in self.ties.iter().enumerate() {
            let next = (k + 1) % n;
            match *tie {
                Tie::Free => {}
                Tie::Tangent => {
                    let origin = chain.at(self.runs[k].last);
                    if let Some((off, own, other)) = self.curves[k].gap(&self.curves[next], origin) {
                        equations.push(Equation { parts: vec![(k, own), (next, other)], off });
                    }
                }
                Tie::Through(place) => {
                    equations.push(distance_equation(k, &self.curves[k], place, 0.0));
                    equations.push(distance_equation(next, &self.curves[next], place, 0.0));
                }
            }
        }
        for &(k, hold) in &self.holds {
            let curve = &self.curves[k];
            let scale = half_length_mm(chain, &self.runs[k]);
            match hold {
                // Off by as much as it moves points at the ends of the piece, mm.
                Hold::Bend(bend) => {
                    let mm = scale * scale / 2.0;
                    equations.push(Equation { parts: vec![(k, [0.0, 0.0, mm])], off: (curve.bend - bend) * mm });
                }
                Hold::Direction(direction) => {
                    let direction = if direction.dot(curve.along) < 0.0 { -direction } else { direction };
                    let off = direction.cross(curve.along).atan2(direction.dot(curve.along)) * scale;
                    equations.push(Equation { parts: vec![(k, [0.0, scale, 0.0])], off });
                }
                Hold::Centre(centre) => equations.extend(centre_equations(k, curve, centre)),
                Hold::Distance(place, mm) => equations.push(distance_equation(k, curve, place, mm)),
            }
        }
        equations
    }
}

fn scaled(row: Row, scale: f64) -> Row {
    [row[0], row[1] / scale, row[2] / (scale * scale)]
}

fn distance_equation(k: usize, curve: &Curve, place: PlatePoint, mm: f64) -> Equation {
    let (off, row) = curve.off_with_row(place);
    Equation { parts: vec![(k, row)], off: off - mm }
}

/// The centre is `at + n / k`: it moves along `n` with the curve and its radius, along the curve with its turn.
fn centre_equations(k: usize, curve: &Curve, centre: PlatePoint) -> Vec<Equation> {
    let Some(now) = curve.centre() else { return Vec::new() };
    let (off, normal) = (now - centre, curve.along.perp());
    let bend = curve.bend;
    vec![
        Equation { parts: vec![(k, [1.0, 0.0, -1.0 / (bend * bend)])], off: off.dot(normal) },
        Equation { parts: vec![(k, [0.0, -1.0 / bend, 0.0])], off: off.dot(curve.along) },
    ]
}

/// Normal matrix and gradient of a run's points, those far off counted less, and the sum of the weights.
pub(super) fn normal_equations(
    chain: &Chain,
    run: &Run,
    curve: &Curve,
    reach_mm: f64,
) -> (Matrix3<f64>, Vector3<f64>, f64) {
    // Above the diagonal: row by row.
    let (mut squares, mut gradient, mut total) = ([0.0; 6], [0.0; 3], 0.0);
    for points in chain.stretches(run.first, run.last).flat_map(|points| points.chunks(SIDE_BY_SIDE)) {
        let places = std::array::from_fn(|i| points[i.min(points.len() - 1)].at);
        let (offs, [a, b, c]) = curve.offs_with_rows(&places);
        for (i, point) in points.iter().enumerate() {
            let share = offs[i] / reach_mm;
            if share.abs() < 1.0 {
                let weight = point.weight * (1.0 - share * share).powi(2);
                let (a, b, c) = (a[i], b[i], c[i]);
                let pull = offs[i] * weight;
                for (sum, product) in squares.iter_mut().zip([a * a, a * b, a * c, b * b, b * c, c * c]) {
                    *sum += product * weight;
                }
                for (sum, value) in gradient.iter_mut().zip([a, b, c]) {
                    *sum += value * pull;
                }
                total += weight;
            }
        }
    }
    let [aa, ab, ac, bb, bc, cc] = squares;
    (Matrix3::new(aa, ab, ac, ab, bb, bc, ac, bc, cc), Vector3::from(gradient), total)
}

/// Covariance of (aside, turn, bend) of a piece by itself, where its curve is held (mm, rad, 1/mm).
pub(super) fn covariance(chain: &Chain, run: &Run, curve: &Curve, tolerance_mm: f64) -> Option<Matrix3<f64>> {
    let reach = TUKEY * spread_mm(chain, tolerance_mm);
    let (mut normal, _, total) = normal_equations(chain, run, curve, reach);
    let scale = half_length_mm(chain, run);
    let by = Vector3::new(1.0, 1.0 / scale, 1.0 / (scale * scale));
    normal.component_mul_assign(&(by * by.transpose()));
    if curve.bend == 0.0 {
        (0..2).for_each(|i| {
            normal[(i, 2)] = 0.0;
            normal[(2, i)] = 0.0;
        });
        normal[(2, 2)] = total / KEPT_SHARE;
    }
    let square_sum: f64 = (run.first..=run.last).map(|k| curve.off_mm(chain.at(k)).abs().min(reach).powi(2)).sum();
    let spare = (run.last + 1 - run.first).saturating_sub(3).max(1) as f64;
    let variance = (chain.noise_mm * chain.noise_mm).max(square_sum / spare);
    let mut inverse = normal.try_inverse()? * variance;
    inverse.component_mul_assign(&(by * by.transpose()));
    if curve.bend == 0.0 {
        inverse[(2, 2)] = 0.0;
    }
    (0..3).all(|i| inverse[(i, i)].is_finite() && inverse[(i, i)] >= 0.0).then_some(inverse)
}
