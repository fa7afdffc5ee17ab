//! Draws of many figures that hang together.

use super::random::Random;

/// What is left of a variance below this share of the largest is rounding: a covariance of a hundred figures that were
/// computed with 15 digits is good to about so much.
const ROUNDING: f64 = 1e-10;

/// A factor F with `F F' = C`, rows in the order in which they were eliminated.
#[derive(Debug, Clone)]
pub(super) struct Scatter {
    order: Vec<usize>,
    /// Row by row, `size` entries each; those right of the diagonal or of the rank are not looked at.
    factor: Vec<f64>,
    /// One for each independent cause.
    normals: Vec<f64>,
}

impl Scatter {
    /// Factors the symmetric `covariance` (rows one after the other) by Cholesky's method with the largest remaining
    /// variance first (Higham, Accuracy and Stability of Numerical Algorithms, 2002, section 10.3). It ends where nothing
    /// but rounding is left, so that directions that do not vary, like the rigid moves, do no harm. `None` where what is
    /// left is clearly negative: that is no covariance.
    pub(super) fn of(covariance: &[f64], size: usize) -> Option<Self> {
        let mut left = covariance.to_vec();
        let mut order: Vec<usize> = (0..size).collect();
        let mut factor = vec![0.0; size * size];
        let largest = (0..size).map(|i| left[i * size + i].abs()).fold(0.0, f64::max);
        let mut rank = 0;
        while rank < size {
            let variance = |at: &usize| left[order[*at] * size + order[*at]];
            let Some(next) = (rank..size).max_by(|a, b| variance(a).total_cmp(&variance(b))) else { break };
            if variance(&next) <= ROUNDING * largest {
                break;
            }
            let pivot = variance(&next).sqrt();
            order.swap(rank, next);
            for column in 0..rank {
                factor.swap(rank * size + column, next * size + column);
            }
            let at = order[rank];
            factor[rank * size + rank] = pivot;
            for row in rank + 1..size {
                factor[row * size + rank] = left[order[row] * size + at] / pivot;
            }
            for row in rank + 1..size {
                let by = factor[row * size + rank];
                for other in rank + 1..size {
                    left[order[row] * size + order[other]] -= by * factor[other * size + rank];
                }
            }
            rank += 1;
        }
        let is_rest_rounding = (rank..size).all(|row| {
            (rank..size).all(|other| left[order[row] * size + order[other]].abs() <= size as f64 * ROUNDING * largest)
        });
        is_rest_rounding.then(|| Self { order, factor, normals: vec![0.0; rank] })
    }

    /// Draws into `figures`.
    pub(super) fn draw(&mut self, random: &mut Random, figures: &mut [f64]) {
        for normal in &mut self.normals {
            *normal = random.normal();
        }
        let size = self.order.len();
        for (row, at) in self.order.iter().enumerate() {
            let entries = self.factor[row * size..].iter().zip(&self.normals).take(row + 1);
            figures[*at] = entries.map(|(by, normal)| by * normal).sum();
        }
    }

    /// How many independent causes there are.
    #[cfg(test)]
    pub(super) fn rank(&self) -> usize {
        self.normals.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// F F' of a 5 x 3 matrix: rank 3 with figures in no particular order.
    fn of_rank_three() -> Vec<f64> {
        let f = [[0.3, 0.0, 0.1], [-0.2, 0.5, 0.0], [0.1, 0.1, 0.1], [0.0, -0.4, 0.7], [0.6, 0.2, -0.3]];
        let entry = |i: usize, j: usize| (0..3).map(|k| f[i][k] * f[j][k]).sum();
        (0..25).map(|at| entry(at / 5, at % 5)).collect()
    }

    #[test]
    fn draws_scatter_as_the_covariance_says() {
        let covariance = of_rank_three();
        let mut scatter = Scatter::of(&covariance, 5).unwrap();
        assert_eq!(scatter.rank(), 3, "two figures follow from the others");
        let mut random = Random::new(3);
        let (mut sums, n) = (vec![0.0; 25], 40_000);
        let mut figures = [0.0; 5];
        for _ in 0..n {
            scatter.draw(&mut random, &mut figures);
            for (at, sum) in sums.iter_mut().enumerate() {
                *sum += figures[at / 5] * figures[at % 5] / f64::from(n);
            }
        }
        for (at, (found, stated)) in sums.iter().zip(&covariance).enumerate() {
            let (i, j) = (at / 5, at % 5);
            // Isserlis 1918: the variance of a product of two normal figures.
            let error = ((covariance[6 * i] * covariance[6 * j] + stated * stated) / f64::from(n)).sqrt();
            assert!((found - stated).abs() < 4.0 * error, "{i}, {j}: {found}, not {stated} ± {error}");
        }
    }

    #[test]
    fn what_cannot_be_a_covariance_is_refused() {
        assert!(Scatter::of(&[1.0, 2.0, 2.0, 1.0], 2).is_none(), "a correlation of two");
        assert!(Scatter::of(&[1.0, 0.0, 0.0, -0.5], 2).is_none(), "a negative variance");
        assert!(Scatter::of(&[-1.0], 1).is_none(), "nothing but a negative variance");
        assert!(Scatter::of(&[0.0, 0.3, 0.3, 0.0], 2).is_none(), "no variance, yet together");
        assert_eq!(Scatter::of(&[0.0; 16], 4).map(|scatter| scatter.rank()), Some(0), "nothing varies");
    }
}
