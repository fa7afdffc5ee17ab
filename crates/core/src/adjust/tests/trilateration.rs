//! A place by three distances: Ghilani, Adjustment Computations, example 14.2 (5th edition, 2010; adjusted values
//! recomputed from its distances), which has a second minimum far away.

use crate::adjust::Termination;
use crate::adjust::factor::Factor;
use crate::adjust::levenberg::{FINE, Minimum, Model, descend};
use crate::adjust::normal::{Normal, Row};
use crate::adjust::structure::Structure;
use std::sync::Arc;

/// Control stations A, B and C, ft, and the distance from each, ft.
const STATIONS: [([f64; 2], f64); 3] =
    [([865.40, 4527.15], 6049.00), ([2432.55, 2047.25], 4736.83), ([2865.22, 27.15], 5446.49)];

struct Trilateration(Arc<Structure>);

impl Model for Trilateration {
    type Guess = ();

    fn structure(&self) -> &Arc<Structure> {
        &self.0
    }

    fn guess(&self) {}

    fn evaluate(&self, values: &[f64], (): &mut (), normal: &mut Normal) -> Option<f64> {
        normal.clear();
        let mut square_sum = 0.0;
        for ([x, y], measured) in STATIONS {
            let (dx, dy) = (values[0] - x, values[1] - y);
            let distance = dx.hypot(dy);
            let mut row = Row::new();
            row.add(0, dx / distance);
            row.add(1, dy / distance);
            normal.add_row(&row, distance - measured);
            square_sum += (distance - measured).powi(2);
        }
        square_sum.is_finite().then_some(square_sum)
    }
}

fn from(start: [f64; 2]) -> Minimum<()> {
    descend(&Trilateration(Arc::new(Structure::dense(2))), start.to_vec(), FINE, &[]).unwrap()
}

#[test]
fn the_place_is_that_of_the_book() {
    let found = from([7000.0, 3500.0]);
    assert_eq!(found.termination, Termination::Converged, "it comes to rest");
    for (ours, printed) in found.values.iter().zip([6861.3168, 3727.8186]) {
        assert!((ours - printed).abs() < 1e-4, "{ours} against {printed}");
    }
    // One degree of freedom: the square sum is the variance factor.
    let s0 = found.square_sum.sqrt();
    assert!((s0 - 0.09766).abs() < 1e-5, "standard deviation of unit weight {s0}");
    let covariance = Factor::of(&found.normal).unwrap().inverse();
    for (variance, printed) in [covariance[0], covariance[3]].into_iter().zip([0.0775, 0.1542]) {
        let sd = s0 * variance.sqrt();
        assert!((sd - printed).abs() < 1e-4, "standard deviation {sd} against {printed}");
    }
}

#[test]
fn the_second_minimum_is_found_from_its_own_side() {
    let found = from([-2000.0, -500.0]);
    for (ours, printed) in found.values.iter().zip([-2237.9, -367.6]) {
        assert!((ours - printed).abs() < 0.1, "{ours} against {printed}");
    }
    assert!((found.square_sum / 4.4e5 - 1.0).abs() < 0.02, "and fits far worse: {}", found.square_sum);
}
