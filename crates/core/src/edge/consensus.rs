//! The curve that agrees with most of what was found across it.
//!
//! Random samples with a robust score (Fischler and Bolles 1981; Torr and Zisserman 2000), from a fixed seed, then a
//! robust fit to what lies near the best. Every place along the curve counts once, and a change of light outside the
//! curve counts against it: the rim lies on the face, so there is only face beyond it.

use super::curve::Curve;
use super::search::{Candidate, Crossing};
use crate::space::PlatePoint;
use nalgebra::{Matrix3, Vector3};

/// A candidate farther from the curve than this does not support it, px.
pub(super) const NEAR_PX: f64 = 1.2;

/// How much a change of light outside the curve counts against one on it.
const OUTSIDE_COUNTS: f64 = 0.8;

/// How many samples are drawn, and how many of the best are refined.
const SAMPLES: usize = 400;
const REFINED: usize = 6;

/// A linear congruential generator (Knuth, The Art of Computer Programming 2, 3.3.4), always from the same seed: the
/// same photo gives the same rim.
struct Draws(u64);

impl Draws {
    fn below(&mut self, limit: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize).checked_rem(limit).unwrap_or(0)
    }
}

/// A curve and how well it is supported.
#[derive(Debug, Clone, Copy)]
pub(super) struct Supported<C> {
    pub(super) curve: C,
    pub(super) score: f64,
}

fn off_px<C: Curve>(curve: &C, crossing: &Crossing, candidate: &Candidate) -> f64 {
    curve.off_mm(candidate.plate) * crossing.station.px_per_mm
}

/// Support of a curve: each crossing gives the weight of its nearest candidate, less the more it is off, less a share
/// of the strongest candidate outside.
fn score<C: Curve>(curve: &C, crossings: &[Crossing]) -> f64 {
    let of_one = |crossing: &Crossing| {
        let (mut on, mut outside) = (0.0_f64, 0.0_f64);
        for candidate in &crossing.candidates {
            let off = off_px(curve, crossing, candidate) / NEAR_PX;
            if off.abs() < 1.0 {
                on = on.max(candidate.face_edge * (1.0 - off * off));
            } else if off > 1.0 {
                outside = outside.max(candidate.change);
            }
        }
        on - OUTSIDE_COUNTS * outside
    };
    crossings.iter().map(of_one).sum()
}

/// One sample: candidates of crossings that lie well apart, in the order in which the curve runs.
fn draw<C: Curve>(draws: &mut Draws, crossings: &[Crossing]) -> Option<C> {
    let count = crossings.len();
    let start = draws.below(count);
    let gap = |draws: &mut Draws| count / 6 + draws.below(count / 3 + 1);
    let (second, third) = (gap(draws), gap(draws));
    let numbers = if C::POINTS == 2 {
        let (a, b) = (start, (start + second) % count);
        [a.min(b), a.max(b), a]
    } else {
        [start, (start + second) % count, (start + second + third) % count]
    };
    let mut points = [PlatePoint::default(); 3];
    for (point, number) in points.iter_mut().zip(numbers) {
        let candidates = &crossings[number].candidates;
        *point = candidates.get(draws.below(candidates.len()))?.plate;
    }
    C::through(&points)
}

/// Robust fit to the candidates near the curve.
fn refine<C: Curve>(start: C, crossings: &[Crossing]) -> C {
    let mut curve = start;
    for _ in 0..4 {
        let near = crossings.iter().filter_map(|crossing| {
            let off = |candidate: &Candidate| off_px(&curve, crossing, candidate);
            let nearest = crossing.candidates.iter().min_by(|a, b| off(a).abs().total_cmp(&off(b).abs()))?;
            let share = off(nearest) / NEAR_PX;
            // Tukey's biweight.
            (share.abs() < 1.0).then(|| Pull {
                plate: nearest.plate,
                px_per_mm: crossing.station.px_per_mm,
                weight: nearest.face_edge * (1.0 - share * share).powi(2),
            })
        });
        match pulled(&curve, near) {
            Some(next) => curve = next,
            None => return start,
        }
    }
    curve
}

/// A point that pulls at a curve.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pull {
    pub(super) plate: PlatePoint,
    pub(super) px_per_mm: f64,
    /// Of its distance in px, squared.
    pub(super) weight: f64,
}

/// The curve after one Gauss-Newton step towards the least weighted square sum of the points' distances in px. `None`
/// where the points do not settle it.
pub(super) fn pulled<C: Curve>(curve: &C, points: impl Iterator<Item = Pull>) -> Option<C> {
    let (mut matrix, mut gradient) = (Matrix3::<f64>::zeros(), Vector3::zeros());
    for Pull { plate, px_per_mm, weight } in points {
        let row = Vector3::from(curve.off_by_unknowns(plate)) * px_per_mm;
        matrix += row * row.transpose() * weight;
        gradient -= row * (curve.off_mm(plate) * px_per_mm * weight);
    }
    let largest = (0..C::POINTS).map(|i| matrix[(i, i)]).fold(0.0, f64::max);
    for i in 0..3 {
        // What a curve does not have as an unknown stays put; what the points leave open must not run away.
        matrix[(i, i)] += if i < C::POINTS { 1e-9 * largest } else { largest.max(f64::MIN_POSITIVE) };
    }
    let step = matrix.cholesky()?.solve(&gradient);
    curve.moved([step[0], step[1], step[2]])
}

/// Whether the curve stays within reach of the one across which the crossings lie.
fn is_near<C: Curve>(curve: &C, crossings: &[Crossing], reach_px: f64) -> bool {
    let mut some = crossings.iter().step_by(crossings.len() / 8 + 1);
    some.all(|crossing| (curve.off_mm(crossing.station.plate) * crossing.station.px_per_mm).abs() <= reach_px)
}

/// The curve that the crossings support best, among those that lie within the crossings' reach. `None` where no sample
/// makes a curve.
pub(super) fn best<C: Curve>(start: &C, crossings: &[Crossing], reach_px: f64) -> Option<Supported<C>> {
    if crossings.len() < 2 * C::POINTS {
        return None;
    }
    let mut draws = Draws(0x5EED);
    let mut leaders: Vec<Supported<C>> = vec![Supported { curve: *start, score: score(start, crossings) }];
    for _ in 0..SAMPLES {
        let Some(curve) = draw::<C>(&mut draws, crossings) else { continue };
        if !is_near(&curve, crossings, reach_px) {
            continue;
        }
        let score = score(&curve, crossings);
        if leaders.len() < REFINED || leaders.last().is_some_and(|last| score > last.score) {
            let at = leaders.partition_point(|leader| leader.score >= score);
            leaders.insert(at, Supported { curve, score });
            leaders.truncate(REFINED);
        }
    }
    let refined = leaders.into_iter().map(|leader| {
        let curve = refine(leader.curve, crossings);
        Supported { curve, score: score(&curve, crossings) }
    });
    refined
        .filter(|supported| is_near(&supported.curve, crossings, reach_px))
        .max_by(|a, b| a.score.total_cmp(&b.score))
}
