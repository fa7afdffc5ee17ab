//! Levenberg-Marquardt: from a start to the nearest minimum of the square sum.

use super::Termination;
use super::evaluate::{FootPoints, evaluate};
use super::layout::Layout;
use super::normal::Normal;
use super::problem::Problem;

/// A minimum, or the best that was found on the way to one.
#[derive(Debug, Clone)]
pub(super) struct Minimum {
    pub(super) values: Vec<f64>,
    pub(super) square_sum: f64,
    pub(super) normal: Normal,
    pub(super) feet: FootPoints,
    pub(super) termination: Termination,
}

impl Minimum {
    /// How far other unknowns are from these, in units of the unknowns' standard deviations.
    fn sigmas_from(&self, values: &[f64]) -> f64 {
        let apart: Vec<f64> = self.values.iter().zip(values).map(|(a, b)| a - b).collect();
        self.normal.quadratic_form(&apart).max(0.0).sqrt()
    }
}

/// Rounds before giving up. Ten are usual.
const MAX_ROUNDS: usize = 200;

/// The search ends with a step below this length in units of the unknowns' own standard deviations.
const SAME_SIGMAS: f64 = 1e-9;

/// A step below this many standard deviations changes the square sum by no more than its rounding, and must not be
/// refused for that.
const FLAT_SIGMAS: f64 = 1e-4;

/// Share by which rounding may let the square sum (plus one) rise in such a step.
const ROUNDING: f64 = 1e-9;

/// Damping: the first after a refused step, the factor from one refused step to the next, and where to give up.
const DAMPING: (f64, f64, f64) = (1e-8, 30.0, 1e12);

/// From `values` to the nearest minimum (Levenberg 1944, Marquardt 1963; damping in proportion to the diagonal).
/// Undamped steps are tried first: beliefs keep the matrix positive definite. `None` where the start itself cannot be
/// evaluated.
///
/// The length of a step is measured by the normal matrix: root of step' N step. No unknown moves by more of its own
/// standard deviations than that. A search that comes within one of a minimum already `known` is given up: what it would
/// find, if not the same, moves nothing by more than its uncertainty.
pub(super) fn descend(problem: &Problem, layout: &Layout, mut values: Vec<f64>, known: &[Minimum]) -> Option<Minimum> {
    let mut normal = Normal::new(layout.first.clone());
    let mut next_normal = normal.clone();
    let mut feet = FootPoints::new(problem);
    let mut square_sum = evaluate(problem, layout, &values, &mut feet, &mut normal)?;
    let (mut next_feet, mut next_values) = (feet.clone(), values.clone());
    let mut step = vec![0.0; layout.size];
    let mut damping = 0.0;
    let mut termination = Termination::IterationLimit;
    let (mut shortest, mut idle) = (f64::INFINITY, 0);
    for _ in 0..MAX_ROUNDS {
        let mut accepted = false;
        if let Some(factor) = normal.factor(damping) {
            step.copy_from_slice(&normal.gradient);
            factor.solve_from(0, &mut step);
            // The step goes against the gradient: step' N step = gradient' step where it is undamped.
            let sigmas = step.iter().zip(&normal.gradient).map(|(s, g)| s * g).sum::<f64>().max(0.0).sqrt();
            for (next, (value, step)) in next_values.iter_mut().zip(values.iter().zip(&step)) {
                *next = value - step;
            }
            next_feet.clone_from(&feet);
            let rise = if sigmas < FLAT_SIGMAS { ROUNDING * (1.0 + square_sum) } else { 0.0 };
            if let Some(sum) = evaluate(problem, layout, &next_values, &mut next_feet, &mut next_normal)
                && sum <= square_sum + rise
            {
                std::mem::swap(&mut values, &mut next_values);
                std::mem::swap(&mut feet, &mut next_feet);
                std::mem::swap(&mut normal, &mut next_normal);
                square_sum = sum;
                accepted = true;
                if known.iter().any(|minimum| minimum.sigmas_from(&values) < 1.0) {
                    return None;
                }
                if damping == 0.0 {
                    // Where rounding no longer lets the steps shrink, this is as near as it gets.
                    idle = if sigmas < 0.9 * shortest { 0 } else { idle + 1 };
                    shortest = shortest.min(sigmas);
                    if sigmas < SAME_SIGMAS || (idle >= 3 && shortest < FLAT_SIGMAS) {
                        termination = Termination::Converged;
                        break;
                    }
                }
            }
        }
        damping = next_damping(damping, accepted);
        if damping > DAMPING.2 {
            termination = Termination::NoBetterStep;
            break;
        }
    }
    Some(Minimum { values, square_sum, normal, feet, termination })
}

fn next_damping(damping: f64, accepted: bool) -> f64 {
    match (accepted, damping == 0.0) {
        (true, true) => 0.0,
        (true, false) if damping <= DAMPING.0 => 0.0,
        (true, false) => damping / DAMPING.1,
        (false, true) => DAMPING.0,
        (false, false) => damping * DAMPING.1,
    }
}
