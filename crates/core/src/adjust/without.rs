//! The adjustment repeated without one of its lengths. A large misreading bends the fit too far for the linear estimate,
//! misfit over redundancy.

use super::adjusted::Adjusted;
use super::evaluate::Joint;
use super::factor::Factor;
use super::length::length;
use super::levenberg::{FINE, ROUGH, descend};
use super::problem::Problem;
use super::start::starts;
use super::state::State;
use super::thinned::thinned;

/// What all the others say of a length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Without {
    /// The length that was left out, by its number.
    pub length: usize,
    /// Weighted square sum of all misfits without it.
    pub square_sum: f64,
    /// What it comes to by all the others, mm.
    pub fitted_mm: f64,
    /// The standard deviation of that, mm.
    pub sigma_mm: f64,
}

impl Adjusted<'_> {
    /// What a length comes to by all the others, mm.
    pub fn length_by_others(&self, number: usize) -> Option<f64> {
        let mut others = self.problem().clone();
        let span = others.lengths.remove(number).span;
        let model = Joint { problem: &others, layout: self.layout() };
        let minimum = descend(&model, self.values().to_vec(), FINE, &[])?;
        let state = State { layout: self.layout(), values: &minimum.values };
        Some(length(&others, &state, &minimum.guess.middles, span).0)
    }

    /// Each of some lengths left out in turn, to compare them: near enough for that, with fewer picks where there are
    /// very many. What cannot be adjusted is not listed.
    pub fn without_each(&self, numbers: &[usize]) -> Vec<Without> {
        let mut problem = thinned(self.problem()).unwrap_or_else(|| self.problem().clone());
        let mut tried = Vec::with_capacity(numbers.len());
        for number in numbers {
            let left_out = problem.lengths.remove(*number);
            tried.extend(self.try_without(&problem, *number));
            problem.lengths.insert(*number, left_out);
        }
        tried
    }

    /// From where the whole is, and from the camera as believed: what bends the whole may keep it from coming back.
    fn try_without(&self, problem: &Problem, number: usize) -> Option<Without> {
        let model = Joint { problem, layout: self.layout() };
        let here = std::iter::once(self.values().to_vec());
        let minima = here.chain(starts(problem, self.layout()).take(1));
        let minima = minima.filter_map(|start| descend(&model, start, ROUGH, &[]));
        let best = minima.min_by(|a, b| a.square_sum.total_cmp(&b.square_sum))?;
        let state = State { layout: self.layout(), values: &best.values };
        let span = self.problem().lengths[number].span;
        let (fitted_mm, row) = length(problem, &state, &best.guess.middles, span);
        let sigma_mm = Factor::of(&best.normal)?.variance(&row).sqrt();
        Some(Without { length: number, square_sum: best.square_sum, fitted_mm, sigma_mm })
    }
}
