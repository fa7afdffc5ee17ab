//! The Cholesky factor of the normal matrix, and what is solved by it.

use super::normal::{Normal, Row};
use super::structure::{Panel, Structure};
use std::sync::Arc;

/// A Cholesky factor L, in the outline of the matrix. Fill is part of that outline.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Factor {
    structure: Arc<Structure>,
    entries: Vec<f64>,
    /// A column of products, before they are taken from where they belong.
    products: Vec<f64>,
}

/// L⁻¹ times a row of derivatives: few entries before the dense panel, and all in it.
#[derive(Debug)]
pub(super) struct Half {
    pub(super) early: Vec<(usize, f64)>,
    pub(super) dense: Vec<f64>,
}

impl Factor {
    pub(super) fn new(structure: &Arc<Structure>) -> Self {
        let tallest = structure.panels().iter().map(|panel| panel.rows.len()).max().unwrap_or(0);
        let entries = vec![0.0; structure.entries()];
        Self { structure: Arc::clone(structure), entries, products: vec![0.0; tallest] }
    }

    /// The factor of the matrix itself. Where picks leave something open to rounding, that of the smallest damping that
    /// makes it positive definite: its uncertainty then comes out very large instead of not at all.
    pub(super) fn of(normal: &Normal) -> Option<Self> {
        let mut factor = Self::new(&normal.structure);
        let dampings = std::iter::once(0.0).chain((0..16).map(|power| 1e-15 * 10_f64.powi(power)));
        for damping in dampings {
            if factor.refill(normal, damping) {
                return Some(factor);
            }
        }
        None
    }

    /// Becomes the factor of `normal` with each diagonal entry enlarged by the share `damping` of itself; false where
    /// that is not positive definite, and then it is of no use until refilled.
    pub(super) fn refill(&mut self, normal: &Normal, damping: f64) -> bool {
        self.entries.copy_from_slice(&normal.entries);
        let structure = Arc::clone(&self.structure);
        for panel in structure.panels() {
            let height = panel.rows.len();
            let (own, later) = self.entries[panel.entries..].split_at_mut(height * panel.columns);
            for t in 0..panel.columns {
                let (done, rest) = own.split_at_mut(t * height);
                let column = &mut rest[t..height];
                // Damping and the bound on rounding go by the matrix's own diagonal.
                let diagonal = normal.entries[panel.entries + t * height + t];
                column[0] += damping * diagonal;
                take_products(column, done, height, t);
                let (square, enough) = (column[0], diagonal * (1.0 + damping) * f64::EPSILON);
                // NaN fails this as well.
                if square.partial_cmp(&enough) != Some(std::cmp::Ordering::Greater) || square.is_infinite() {
                    return false;
                }
                let root = square.sqrt();
                column[0] = root;
                let share = 1.0 / root;
                for entry in &mut column[1..] {
                    *entry *= share;
                }
            }
            update(&structure, panel, own, later, &mut self.products);
        }
        true
    }

    /// Replaces right-hand sides, side by side, by L⁻¹ times them. Entries before `from` must be zero.
    fn forward<const N: usize>(&self, from: usize, x: &mut [[f64; N]]) {
        if self.structure.size() == 0 {
            return;
        }
        for panel in self.structure.panels_from(from) {
            let height = panel.rows.len();
            for t in 0..panel.columns {
                let column = &self.entries[panel.entries + t * height..][..height];
                let mut value = x[panel.first + t];
                if value.iter().all(|each| *each == 0.0) {
                    continue;
                }
                for each in &mut value {
                    *each /= column[t];
                }
                x[panel.first + t] = value;
                for (row, by) in panel.rows[t + 1..].iter().zip(&column[t + 1..]) {
                    for (below, value) in x[*row].iter_mut().zip(&value) {
                        *below -= by * value;
                    }
                }
            }
        }
    }

    /// Replaces right-hand sides, side by side, by L'⁻¹ times them.
    fn backward<const N: usize>(&self, x: &mut [[f64; N]]) {
        for panel in self.structure.panels().iter().rev() {
            let height = panel.rows.len();
            for t in (0..panel.columns).rev() {
                let column = &self.entries[panel.entries + t * height..][..height];
                let mut value = x[panel.first + t];
                for (row, by) in panel.rows[t + 1..].iter().zip(&column[t + 1..]) {
                    for (value, below) in value.iter_mut().zip(&x[*row]) {
                        *value -= by * below;
                    }
                }
                for each in &mut value {
                    *each /= column[t];
                }
                x[panel.first + t] = value;
            }
        }
    }

    /// Replaces the right-hand side by the solution.
    pub(super) fn solve(&self, x: &mut [f64]) {
        let x = x.as_chunks_mut::<1>().0;
        self.forward(0, x);
        self.backward(x);
    }

    /// L⁻¹ times a row of derivatives: the scalar product of two such is the covariance of the two quantities.
    pub(super) fn half(&self, row: &Row) -> Vec<f64> {
        let mut x = vec![0.0; self.structure.size()];
        let mut from = self.structure.size();
        for (at, by) in row.entries() {
            x[at] += by;
            from = from.min(at);
        }
        if from < x.len() {
            self.forward(from, x.as_chunks_mut::<1>().0);
        }
        x
    }

    /// The same, of a row of derivatives with few entries, without its zeros.
    pub(super) fn sparse_half(&self, row: &Row) -> Half {
        let half = self.half(row);
        let (early, dense) = half.split_at(self.dense_from());
        let entries = early.iter().copied().enumerate().filter(|(_, by)| *by != 0.0);
        Half { early: entries.collect(), dense: dense.to_vec() }
    }

    /// Where the unknowns of the dense panel begin.
    pub(super) fn dense_from(&self) -> usize {
        self.structure.panels().last().map_or(0, |panel| panel.first)
    }

    /// L⁻¹ times any vector.
    pub(super) fn half_of(&self, mut x: Vec<f64>) -> Vec<f64> {
        self.forward(0, x.as_chunks_mut::<1>().0);
        x
    }

    /// Variance of the quantity with these derivatives.
    pub(super) fn variance(&self, row: &Row) -> f64 {
        let half = self.half(row);
        dot(&half, &half)
    }

    /// The inverse of the matrix, all rows one after the other.
    pub(super) fn inverse(&self) -> Vec<f64> {
        const LANES: usize = 8;
        let size = self.structure.size();
        let mut inverse = vec![0.0; size * size];
        let mut x = vec![[0.0; LANES]; size];
        for (block, rows) in inverse.chunks_mut(LANES * size.max(1)).enumerate() {
            x.fill([0.0; LANES]);
            let from = block * LANES;
            for lane in 0..rows.len() / size {
                x[from + lane][lane] = 1.0;
            }
            self.forward(from, &mut x);
            self.backward(&mut x);
            for (lane, row) in rows.chunks_exact_mut(size).enumerate() {
                for (entry, x) in row.iter_mut().zip(&x) {
                    *entry = x[lane];
                }
            }
        }
        inverse
    }
}

/// Takes from `column` its products with the `count` columns before it: rows from `count` on of columns of `height`.
/// Four at a time, so that each entry is loaded and stored once for all of them.
fn take_products(column: &mut [f64], before: &[f64], height: usize, count: usize) {
    let part = |k: usize| &before[k * height + count..(k + 1) * height];
    let fours = count / 4 * 4;
    for k in (0..fours).step_by(4) {
        let (a, b, c, d) = (part(k), part(k + 1), part(k + 2), part(k + 3));
        let by = [a[0], b[0], c[0], d[0]];
        for ((((entry, a), b), c), d) in column.iter_mut().zip(a).zip(b).zip(c).zip(d) {
            *entry -= (a * by[0] + b * by[1]) + (c * by[2] + d * by[3]);
        }
    }
    for k in fours..count {
        let a = part(k);
        let by = a[0];
        for (entry, a) in column.iter_mut().zip(a) {
            *entry -= a * by;
        }
    }
}

/// Takes the products of a finished panel's rows from the panels to come.
fn update(structure: &Structure, panel: &Panel, own: &[f64], later: &mut [f64], products: &mut [f64]) {
    let height = panel.rows.len();
    let begin = panel.entries + own.len();
    for step in &panel.updates {
        let target = &structure.panels()[step.target];
        for c in 0..step.count {
            let from = step.from + c;
            let products = &mut products[..height - from];
            products.fill(0.0);
            for column in own.chunks_exact(height) {
                let by = column[from];
                for (product, entry) in products.iter_mut().zip(&column[from..]) {
                    *product += by * entry;
                }
            }
            let at = target.entries - begin + (panel.rows[from] - target.first) * target.rows.len();
            let entries = &mut later[at..at + target.rows.len()];
            for (place, product) in step.places[c..].iter().zip(&*products) {
                entries[*place] -= product;
            }
        }
    }
}

/// Scalar product in eight running sums, which the compiler can keep in vector registers.
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut sums = [0.0; 8];
    let ((a, a_rest), (b, b_rest)) = (a.as_chunks::<8>(), b.as_chunks::<8>());
    let rest: f64 = a_rest.iter().zip(b_rest).map(|(a, b)| a * b).sum();
    for (a, b) in a.iter().zip(b) {
        for k in 0..8 {
            sums[k] += a[k] * b[k];
        }
    }
    sums.iter().sum::<f64>() + rest
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::adjust::structure::Groups;

    /// A matrix in which some groups meet, and fill arises.
    fn sample() -> Normal {
        let mut groups = Groups::new(vec![3, 2, 3, 3, 2, 3, 3], [1, 4]);
        let ties: [&[usize]; 7] = [&[0, 1], &[1, 2], &[2, 3], &[3, 4, 6], &[4, 5], &[5, 0, 7], &[2]];
        for tie in ties {
            groups.tie(tie);
        }
        let (starts, structure) = groups.order();
        let mut normal = Normal::new(Arc::new(structure));
        for (number, tie) in ties.iter().enumerate() {
            for turn in 0..12 {
                let mut row = Row::new();
                for (k, group) in tie.iter().chain(&[8]).enumerate() {
                    row.add(
                        starts[*group] + (turn + k) % [3, 2, 3, 3, 2, 3, 3, 1, 4][*group],
                        1.0 + (number + turn * k) as f64,
                    );
                }
                normal.add_row(&row, 0.5);
            }
        }
        for i in 0..normal.gradient.len() {
            let mut row = Row::new();
            row.add(i, 3.0);
            normal.add_row(&row, 0.0);
        }
        normal
    }

    /// The columns of the matrix, by its quadratic form.
    fn entry(normal: &Normal, i: usize, j: usize) -> f64 {
        let unit = |list: &[usize]| {
            let mut x = vec![0.0; normal.gradient.len()];
            for i in list {
                x[*i] = 1.0;
            }
            normal.quadratic_form(&x)
        };
        if i == j { unit(&[i]) } else { 0.5 * (unit(&[i, j]) - unit(&[i]) - unit(&[j])) }
    }

    #[test]
    fn the_inverse_times_the_matrix_is_one() {
        let normal = sample();
        assert!(normal.structure.panels().len() > 2, "the sample is sparse: {:?}", normal.structure);
        let (n, inverse) = (normal.gradient.len(), Factor::of(&normal).unwrap().inverse());
        for i in 0..n {
            for j in 0..n {
                let sum: f64 = (0..n).map(|k| inverse[i * n + k] * entry(&normal, k, j)).sum();
                let one = f64::from(u8::from(i == j));
                assert!((sum - one).abs() < 1e-11, "entry ({i}, {j}) is {sum}");
            }
        }
    }

    #[test]
    fn variances_are_those_of_the_inverse() {
        let normal = sample();
        let factor = Factor::of(&normal).unwrap();
        let (n, inverse) = (normal.gradient.len(), factor.inverse());
        for i in 0..n {
            let mut row = Row::new();
            row.add(i, 2.0);
            row.add((i + 5) % n, -1.0);
            let k = (i + 5) % n;
            let expected = 4.0 * inverse[i * n + i] - 4.0 * inverse[i * n + k] + inverse[k * n + k];
            assert!((factor.variance(&row) / expected - 1.0).abs() < 1e-11, "unknown {i} against {k}");
        }
    }

    #[test]
    fn a_matrix_that_is_not_positive_definite_has_no_factor() {
        let mut normal = Normal::new(Arc::new(Structure::dense(2)));
        let mut row = Row::new();
        row.add(0, 1.0);
        row.add(1, 2.0);
        normal.add_row(&row, 0.5);
        assert_eq!(normal.gradient, vec![0.5, 1.0], "gradient of one observation");
        let mut factor = Factor::new(&normal.structure);
        assert!(!factor.refill(&normal, 0.0), "one observation cannot fix two unknowns");
        assert!(factor.refill(&normal, 0.1), "damping makes it solvable");
    }

    #[test]
    fn a_long_product_is_summed_whole() {
        let numbers: Vec<f64> = (1..=19).map(f64::from).collect();
        assert!((dot(&numbers, &numbers) - 2470.0).abs() < 1e-12, "squares of 1 to 19");
    }
}
