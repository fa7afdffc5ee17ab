//! Levenberg-Marquardt: from a start to the nearest minimum of the square sum.

use super::Termination;
use super::factor::Factor;
use super::normal::Normal;
use super::structure::Structure;
use std::sync::Arc;

/// Anything whose square sum of misfits is to be made smallest.
pub(super) trait Model {
    /// What is kept from one evaluation to the next to make it faster; no result depends on it.
    type Guess: Clone;

    /// Which unknowns meet.
    fn structure(&self) -> &Arc<Structure>;

    /// A guess before the first evaluation.
    fn guess(&self) -> Self::Guess;

    /// Fills `normal` at the given unknowns and returns the square sum; `None` where it has no value there.
    fn evaluate(&self, values: &[f64], guess: &mut Self::Guess, normal: &mut Normal) -> Option<f64>;
}

/// A minimum, or the best that was found on the way to one.
#[derive(Debug, Clone)]
pub(super) struct Minimum<G> {
    pub(super) values: Vec<f64>,
    pub(super) square_sum: f64,
    pub(super) normal: Normal,
    pub(super) guess: G,
    pub(super) termination: Termination,
}

impl<G> Minimum<G> {
    /// How far other unknowns are from these, in units of the unknowns' standard deviations.
    fn sigmas_from(&self, values: &[f64]) -> f64 {
        let apart: Vec<f64> = self.values.iter().zip(values).map(|(a, b)| a - b).collect();
        self.normal.quadratic_form(&apart).max(0.0).sqrt()
    }
}

/// Rounds before giving up. Ten are usual.
const MAX_ROUNDS: usize = 1000;

/// How near to the minimum a search goes, in units of the unknowns' own standard deviations.
#[derive(Debug, Clone, Copy)]
pub(super) struct Goal {
    /// It ends with a step that leaves less than this to go.
    left: f64,
    /// A step below this changes neither the square sum nor the normal matrix by anything that matters, so that nothing
    /// need be evaluated after it.
    last: f64,
}

/// Near enough for every digit that is shown: what a millionth of a standard deviation would change no one could
/// measure, and each further evaluation of many picks costs as much as the first. What is left is the estimate before
/// [`Progress::share_of_all`] foresees it, so that the true rest is smaller by far.
pub(super) const FINE: Goal = Goal { left: 1e-6, last: 1e-5 };

/// Near enough to go on from.
pub(super) const ROUGH: Goal = Goal { left: 1e-2, last: 0.1 };

/// A step below this many standard deviations changes the square sum by no more than its rounding, and must not be
/// refused for that.
const FLAT_SIGMAS: f64 = 1e-4;

/// Share by which rounding may let the square sum (plus one) rise in such a step.
const ROUNDING: f64 = 1e-9;

/// Steps that shrink by less than to this share of the one before are not taken for a series that can be summed.
const MOST_FORESEEN: f64 = 0.5;

/// Undamped steps below this many standard deviations, each less than half as long as the one before, are on their way
/// to the minimum and are not refused. Where an error that points share is eliminated, the step leaves out how the
/// elimination itself changes, so that the square sum may rise by a trifle there.
const HOMING_SIGMAS: f64 = 0.3;

/// Damping: the first after a refused step, the smallest that is worth while, and where to give up.
const DAMPING: (f64, f64, f64) = (1e-3, 1e-10, 1e12);

/// A step that lowers the square sum by less than this share of what was predicted led too far, and is refused even if
/// the sum did fall: leaps into flat country do that.
const LEAST_GAIN: f64 = 0.1;

/// A step that keeps more than this share of what it promised needs no damping after it. To wait until the damping fades
/// would take most of the rounds; only where undamped steps are refused again and again does it stay.
const FULL_GAIN: f64 = 0.9;

/// How much of the diagonal is added, by how well the last step kept what it promised (Nielsen, Damping parameter in
/// Marquardt's method, 1999). Undamped steps are tried first: beliefs keep the matrix positive definite.
struct Damping {
    share: f64,
    growth: f64,
    /// How many undamped steps were refused.
    refused: usize,
}

impl Damping {
    const NONE: Self = Self { share: 0.0, growth: 2.0, refused: 0 };

    fn after(&mut self, gain: f64) {
        if gain >= LEAST_GAIN {
            self.growth = 2.0;
            self.share *= (1.0 - (2.0 * gain - 1.0).powi(3)).max(1.0 / 9.0);
            if self.share < DAMPING.1 || (gain > FULL_GAIN && self.refused < 2) {
                self.share = 0.0;
            }
        } else if self.share == 0.0 {
            (self.share, self.growth) = (DAMPING.0, 2.0);
            self.refused += 1;
        } else {
            self.share *= self.growth;
            self.growth *= 2.0;
        }
    }
}

/// How the steps of a search become shorter.
struct Progress {
    goal: Goal,
    /// The undamped step before, with its length.
    before: Option<(Vec<f64>, f64)>,
    shortest: f64,
    idle: usize,
}

impl Progress {
    const fn new(goal: Goal) -> Self {
        Self { goal, before: None, shortest: f64::INFINITY, idle: 0 }
    }

    /// An undamped step of so many sigmas is the last: what would come next is as much shorter again as this one is than
    /// the one before.
    fn ends_with(&self, sigmas: f64) -> bool {
        let next = self.before.as_ref().map_or(sigmas, |(_, before)| sigmas * (sigmas / before));
        sigmas < self.goal.left || (sigmas < self.goal.last && next < self.goal.left)
    }

    /// An undamped step of so many sigmas is on its way to the minimum.
    fn homes_in_with(&self, sigmas: f64) -> bool {
        let halves = self.before.as_ref().is_some_and(|(_, before)| sigmas < 0.5 * before);
        halves && sigmas < HOMING_SIGMAS
    }

    /// How much longer the last step must be to stand for all that would follow. Gauss-Newton steps come to shrink by a
    /// constant share, that of the direction that the misfits bend most, and may change sign each time; the sum of that
    /// series is known from two of them (Aitken 1926; from memory).
    fn share_of_all(&self, gradient: &[f64]) -> f64 {
        let Some((step, sigmas)) = &self.before else { return 1.0 };
        // The gradient is N times the present step.
        let along: f64 = step.iter().zip(gradient).map(|(step, by)| step * by).sum();
        let ratio = along / (sigmas * sigmas);
        if ratio.abs() < MOST_FORESEEN { 1.0 / (1.0 - ratio) } else { 1.0 }
    }

    /// Takes note of an undamped step. Where rounding no longer lets the steps shrink, this is as near as it gets.
    fn rests_after(&mut self, step: &[f64], sigmas: f64) -> bool {
        self.idle = if sigmas < 0.9 * self.shortest { 0 } else { self.idle + 1 };
        self.shortest = self.shortest.min(sigmas);
        self.before = Some((step.to_vec(), sigmas));
        self.idle >= 3 && self.shortest < FLAT_SIGMAS
    }
}

/// From `values` to the nearest minimum (Levenberg 1944, Marquardt 1963; damping in proportion to the diagonal).
/// `None` where the start itself cannot be evaluated.
///
/// The length of a step is measured by the normal matrix: root of step' N step. No unknown moves by more of its own
/// standard deviations than that. A search whose next step leads within one of a minimum already `known` is given up: what
/// it would find, if not the same, moves nothing by more than its uncertainty.
pub(super) fn descend<M: Model>(
    model: &M,
    mut values: Vec<f64>,
    goal: Goal,
    known: &[Minimum<M::Guess>],
) -> Option<Minimum<M::Guess>> {
    let mut normal = Normal::new(Arc::clone(model.structure()));
    let mut guess = model.guess();
    let mut square_sum = model.evaluate(&values, &mut guess, &mut normal)?;
    let mut factor = Factor::new(&normal.structure);
    let mut ahead = (values.clone(), guess.clone(), normal.clone());
    let mut step = vec![0.0; values.len()];
    let mut progress = Progress::new(goal);
    let mut damping = Damping::NONE;
    let mut termination = Termination::IterationLimit;
    for _ in 0..MAX_ROUNDS {
        let mut gain = f64::NEG_INFINITY;
        if factor.refill(&normal, damping.share) {
            step.copy_from_slice(&normal.gradient);
            factor.solve(&mut step);
            let (sigmas, predicted) = lengths(&normal, &step, damping.share);
            for (next, (value, step)) in ahead.0.iter_mut().zip(values.iter().zip(&step)) {
                *next = value - step;
            }
            if known.iter().any(|minimum| minimum.sigmas_from(&ahead.0) < 1.0) {
                return None;
            }
            if damping.share == 0.0 && progress.ends_with(sigmas) {
                let share = progress.share_of_all(&normal.gradient);
                for (next, (value, step)) in ahead.0.iter_mut().zip(values.iter().zip(&step)) {
                    *next = value - share * step;
                }
                std::mem::swap(&mut values, &mut ahead.0);
                square_sum = (square_sum - predicted).max(0.0);
                termination = Termination::Converged;
                break;
            }
            ahead.1.clone_from(&guess);
            let ahead_sum = model.evaluate(&ahead.0, &mut ahead.1, &mut ahead.2).unwrap_or(f64::INFINITY);
            let flat = sigmas < FLAT_SIGMAS && ahead_sum <= square_sum + ROUNDING * (1.0 + square_sum);
            let homes_in = damping.share == 0.0 && ahead_sum.is_finite() && progress.homes_in_with(sigmas);
            gain = if flat || homes_in { 1.0 } else { (square_sum - ahead_sum) / predicted };
            if gain >= LEAST_GAIN {
                std::mem::swap(&mut values, &mut ahead.0);
                std::mem::swap(&mut guess, &mut ahead.1);
                std::mem::swap(&mut normal, &mut ahead.2);
                square_sum = ahead_sum;
                if damping.share == 0.0 && progress.rests_after(&step, sigmas) {
                    termination = Termination::Converged;
                    break;
                }
            }
        }
        damping.after(gain);
        if damping.share > DAMPING.2 {
            termination = Termination::NoBetterStep;
            break;
        }
    }
    Some(Minimum { values, square_sum, normal, guess, termination })
}

/// Length of a step in standard deviations, and by how much the square sum should fall with it.
fn lengths(normal: &Normal, step: &[f64], damping: f64) -> (f64, f64) {
    // (N + damping D) step = gradient, so that step' N step = step' gradient where it is undamped.
    let along: f64 = step.iter().zip(&normal.gradient).map(|(s, g)| s * g).sum();
    let held = if damping == 0.0 { 0.0 } else { damping * normal.diagonal_form(step) };
    (along.max(0.0).sqrt(), along + held)
}
