//! A problem solved by a general-purpose library: the same residuals and derivatives in dense matrices.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt, MinimizationReport};
use nalgebra_of_levenberg_marquardt::{DMatrix, DVector, Dyn, storage::Owned};
use platewright_core::adjust::{Linearized, Problem};
use std::cell::RefCell;

/// A problem as the library wants it. Foot points are kept between evaluations here as well, behind the shared
/// references that it gives.
struct Shared<'a> {
    linearized: RefCell<Linearized<'a>>,
    unknowns: DVector<f64>,
}

impl LeastSquaresProblem<f64, Dyn, Dyn> for Shared<'_> {
    type ParameterStorage = Owned<f64, Dyn>;
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;

    fn set_params(&mut self, unknowns: &DVector<f64>) {
        self.unknowns.copy_from(unknowns);
    }

    fn params(&self) -> DVector<f64> {
        self.unknowns.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        self.linearized.borrow_mut().residuals(self.unknowns.as_slice()).map(DVector::from_vec)
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let rows = self.linearized.borrow_mut().jacobian(self.unknowns.as_slice())?;
        let columns = self.unknowns.len();
        Some(DMatrix::from_row_slice(rows.len() / columns, columns, &rows))
    }
}

/// The unknowns in plain order that the crate `levenberg-marquardt` finds from the first start, and its report; `None`
/// where that start does not see all picks.
pub fn general_solver(problem: &Problem) -> Option<(Vec<f64>, MinimizationReport<f64>)> {
    let linearized = Linearized::of(problem);
    let unknowns = DVector::from_vec(linearized.start()?);
    let shared = Shared { linearized: RefCell::new(linearized), unknowns };
    let (found, report) = LevenbergMarquardt::new().minimize(shared);
    Some((found.unknowns.as_slice().to_vec(), report))
}
