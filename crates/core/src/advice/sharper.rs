//! What the ± of every hole would be if the photo were better in one respect.
//!
//! The job is adjusted once more, without the measures that the solution is without, with the standard deviations of what the
//! photo gives changed, or with a belief about the camera that the photo could have given. The places are those of the same
//! best move over all kept features, so that the two ± compare. What a photo costs is the difference: its part of the ±, not
//! an error that comes on top.

use crate::adjust::{Feature, Precision, Problem, adjust_once};
use crate::solution::{Inputs, problem_solved};
use crate::tolerance::K95_PLACE;

/// A rim that is measured well has its centre to this, px, one coordinate (1 sigma): rendered photos scatter by less
/// (`rim_sweep`), with what their points share.
pub(super) const MEASURED_CENTRE_PX: f64 = 0.05;

/// The problem that the job's solution stands on, with the ± of its rims, to be asked what would change them.
#[derive(Debug)]
pub(super) struct Sharper {
    problem: Problem,
    now_mm: Vec<f64>,
}

/// What would be gained at the hole where it is most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Gain {
    /// The hole, by its number in the solution.
    pub(super) hole: usize,
    /// How much smaller its ± would be, mm (95 %).
    pub(super) mm: f64,
    /// What it would be, mm (95 %).
    pub(super) then_mm: f64,
}

impl Sharper {
    /// `None` where the job cannot be adjusted.
    pub(super) fn of(inputs: &Inputs<'_>) -> Option<Self> {
        let problem = problem_solved(inputs);
        let now_mm = plus_minus(&problem)?;
        Some(Self { problem, now_mm })
    }

    /// What would be gained at the kept hole where it is most, if what the job rests on were changed; nothing where that
    /// cannot be adjusted.
    pub(super) fn gain(&self, change: impl FnOnce(&mut Problem)) -> Gain {
        let mut other = self.problem.clone();
        change(&mut other);
        let then = plus_minus(&other).unwrap_or_else(|| self.now_mm.clone());
        let gains = self.now_mm.iter().zip(&then).enumerate();
        let kept = gains.filter(|(hole, _)| self.problem.rims[*hole].keep);
        let gain = |(hole, (now, then)): (usize, (&f64, &f64))| Gain { hole, mm: now - then, then_mm: *then };
        let none = Gain { hole: 0, mm: 0.0, then_mm: 0.0 };
        let best = kept.map(gain).max_by(|a, b| a.mm.total_cmp(&b.mm)).unwrap_or(none);
        // Rounding may make it a hair less than nothing.
        Gain { mm: best.mm.max(0.0), ..best }
    }

    /// How well the centre of a hole is known by its own rim alone, px, one coordinate (1 sigma).
    pub(super) fn centre_px(&self, hole: usize) -> f64 {
        let rim = self.problem.rims.get(hole);
        rim.map_or(0.0, |rim| rim.precision.centre_variance_px2(rim.picks.len()).sqrt())
    }
}

/// ± of every rim, mm (95 %).
fn plus_minus(problem: &Problem) -> Option<Vec<f64>> {
    let adjusted = adjust_once(problem)?;
    let of = |rim| adjusted.relative().covariance(Feature::Rim(rim)).major_mm() * K95_PLACE;
    Some((0..problem.rims.len()).map(of).collect())
}

/// Multiplies what every pick and measured point is known to.
pub(super) fn scale_all(problem: &mut Problem, by: f64) {
    for precision in problem.rims.iter_mut().map(|rim| &mut rim.precision) {
        *precision = precision.scaled(by);
    }
    for precision in problem.sides.iter_mut().map(|side| &mut side.precision) {
        *precision = precision.scaled(by);
    }
    for spot in &mut problem.spots {
        spot.sigma_px *= by;
    }
}

/// Lets a rim that is known worse be known as well as if it were measured well.
pub(super) fn as_if_measured(problem: &mut Problem, hole: usize) {
    let rim = &mut problem.rims[hole];
    let picks = rim.picks.len();
    if rim.precision.centre_variance_px2(picks) > MEASURED_CENTRE_PX * MEASURED_CENTRE_PX {
        // A centre has twice the variance of its picks over their number.
        rim.precision = Precision::ByHand(MEASURED_CENTRE_PX * (0.5 * picks as f64).sqrt());
    }
}
