//! A problem as residuals and their derivatives, for other solvers.

use super::evaluate::{Closed, FootPoints, Joint, NOTHING_SHARED, OWN_UNKNOWNS, Rows};
use super::layout::Layout;
use super::normal::Row;
use super::plain::order;
use super::problem::Problem;
use super::start::starts;
use crate::camera::CAMERA_UNKNOWNS;
use nalgebra::{DMatrix, SymmetricEigen};

/// The residuals of a problem, each divided by its standard deviation, and their derivatives by the unknowns in the
/// order of [`super::Plain`]: the very numbers that [`super::adjust`] works with.
#[derive(Debug, Clone)]
pub struct Linearized<'a> {
    problem: &'a Problem,
    layout: Layout,
    /// For each unknown as it stands in the layout its plain number.
    number: Vec<usize>,
    feet: FootPoints,
}

impl<'a> Linearized<'a> {
    /// Of a problem.
    pub fn of(problem: &'a Problem) -> Self {
        let layout = Layout::of(problem);
        let mut number = vec![0; layout.size];
        for (plain, at) in order(&layout).into_iter().enumerate() {
            number[at] = plain;
        }
        Self { problem, layout, number, feet: FootPoints::new(problem) }
    }

    /// How many unknowns there are.
    pub fn unknowns(&self) -> usize {
        self.number.len()
    }

    /// The first start of the search: the camera as believed. `None` where it does not see all picks.
    pub fn start(&self) -> Option<Vec<f64>> {
        let values = starts(self.problem, &self.layout).next()?;
        let mut plain = vec![0.0; values.len()];
        for (value, number) in values.iter().zip(&self.number) {
            plain[*number] = *value;
        }
        Some(plain)
    }

    /// The residuals at some unknowns; `None` where something is not seen.
    pub fn residuals(&mut self, unknowns: &[f64]) -> Option<Vec<f64>> {
        let mut dense = Dense::new(self, None);
        self.observe(unknowns, &mut dense)?;
        Some(dense.residuals)
    }

    /// Their derivatives, a row of as many as there are unknowns for each residual, one after the other; `None` where
    /// something is not seen.
    pub fn jacobian(&mut self, unknowns: &[f64]) -> Option<Vec<f64>> {
        let rows = Vec::with_capacity(self.problem.observations() * self.unknowns());
        let mut dense = Dense::new(self, Some(rows));
        self.observe(unknowns, &mut dense)?;
        dense.jacobian
    }

    fn observe(&mut self, unknowns: &[f64], dense: &mut Dense) -> Option<f64> {
        let values: Vec<f64> = self.number.iter().map(|number| unknowns[*number]).collect();
        Joint { problem: self.problem, layout: &self.layout }.observe(&values, &mut self.feet, dense)
    }
}

/// Observations written out as they come.
struct Dense {
    number: Vec<usize>,
    camera_at: usize,
    own_at: usize,
    /// Derivatives of the opened feature's residuals by its own unknowns.
    own: Vec<[f64; OWN_UNKNOWNS]>,
    residuals: Vec<f64>,
    jacobian: Option<Vec<f64>>,
}

impl Dense {
    fn new(of: &Linearized<'_>, jacobian: Option<Vec<f64>>) -> Self {
        let residuals = Vec::with_capacity(of.problem.observations());
        Self { number: of.number.clone(), camera_at: of.layout.camera, own_at: 0, own: Vec::new(), residuals, jacobian }
    }

    fn push(&mut self, misfit: f64, derivatives: impl Iterator<Item = (usize, f64)>) {
        self.residuals.push(misfit);
        if let Some(rows) = &mut self.jacobian {
            let begin = rows.len();
            rows.resize(begin + self.number.len(), 0.0);
            for (at, by) in derivatives {
                rows[begin + self.number[at]] += by;
            }
        }
    }
}

impl Rows for Dense {
    fn open(&mut self, at: usize) {
        self.own_at = at;
    }

    fn add(&mut self, misfit: f64, own: &[f64; OWN_UNKNOWNS], camera: &[f64; CAMERA_UNKNOWNS]) {
        self.own.push(*own);
        // A feature with fewer unknowns has zeros behind them, which fall on the next and change nothing.
        let own = (self.own_at..).zip(own.iter().copied());
        let camera = (self.camera_at..).zip(camera.iter().copied());
        self.push(misfit, own.chain(camera));
    }

    /// Turns the opened feature's residuals v, which share an error, into as many that share none: with the columns a of
    /// the shared error in its principal directions, `(1 + sum a a')^(-1/2) v`.
    fn close(&mut self, _count: usize, shared: [f64; OWN_UNKNOWNS]) -> Closed {
        let rows = self.own.len();
        let first = self.residuals.len() - rows;
        let own = DMatrix::from_fn(rows, OWN_UNKNOWNS, |i, j| self.own[i][j] * shared[j]);
        self.own.clear();
        if shared == NOTHING_SHARED {
            return Closed::default();
        }
        let axes = SymmetricEigen::new(own.transpose() * &own);
        let columns = own * &axes.eigenvectors;
        let before: f64 = self.residuals[first..].iter().map(|v| v * v).sum();
        let width = self.number.len();
        for (column, square) in columns.column_iter().zip(&axes.eigenvalues) {
            if *square <= 0.0 {
                continue;
            }
            let share = ((1.0 + square).sqrt().recip() - 1.0) / square;
            let straighten = |values: &mut [f64], step: usize| {
                let along: f64 = column.iter().zip(values.iter().step_by(step)).map(|(a, v)| a * v).sum();
                for (a, value) in column.iter().zip(values.iter_mut().step_by(step)) {
                    *value += share * along * a;
                }
            };
            straighten(&mut self.residuals[first..], 1);
            if let Some(jacobian) = &mut self.jacobian {
                for unknown in 0..width {
                    straighten(&mut jacobian[first * width + unknown..], width);
                }
            }
        }
        let lowered = before - self.residuals[first..].iter().map(|v| v * v).sum::<f64>();
        // Other solvers ask for no test of the whole.
        Closed { lowered, pulled: 0.0 }
    }

    fn row(&mut self, row: &Row, misfit: f64) {
        self.push(misfit, row.entries());
    }
}
