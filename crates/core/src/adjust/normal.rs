//! The normal equations: a symmetric matrix kept by rows from their first entry that is not empty, and its factor.

/// Lower triangle by rows, each from its first column that is not empty to the diagonal ("skyline"). A Cholesky
/// factor has the same outline (George and Liu, Computer solution of large sparse positive definite systems, 1981).
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Normal {
    first: Vec<usize>,
    /// Where each row's diagonal stands in `entries`.
    diagonal: Vec<usize>,
    entries: Vec<f64>,
    /// Half the derivative of the square sum by each unknown.
    pub(super) gradient: Vec<f64>,
}

/// A row of derivatives with few entries that are not empty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Row {
    len: usize,
    at: [usize; Row::MOST],
    by: [f64; Row::MOST],
}

impl Row {
    /// Two holes with their broken edges: the most that a length touches.
    pub(super) const MOST: usize = 8;

    pub(super) const fn new() -> Self {
        Self { len: 0, at: [0; Self::MOST], by: [0.0; Self::MOST] }
    }

    /// Adds to the derivative by the unknown `at`.
    pub(super) fn add(&mut self, at: usize, by: f64) {
        for i in 0..self.len {
            if self.at[i] == at {
                self.by[i] += by;
                return;
            }
        }
        self.at[self.len] = at;
        self.by[self.len] = by;
        self.len += 1;
    }

    /// The unknowns with their derivatives.
    pub(super) fn entries(&self) -> impl Iterator<Item = (usize, f64)> + Clone + '_ {
        self.at[..self.len].iter().copied().zip(self.by[..self.len].iter().copied())
    }
}

impl Normal {
    pub(super) fn new(first: Vec<usize>) -> Self {
        let mut diagonal = Vec::with_capacity(first.len());
        let mut total = 0;
        for (row, first) in first.iter().enumerate() {
            total += row - first + 1;
            diagonal.push(total - 1);
        }
        Self { gradient: vec![0.0; first.len()], first, diagonal, entries: vec![0.0; total] }
    }

    pub(super) fn clear(&mut self) {
        self.entries.fill(0.0);
        self.gradient.fill(0.0);
    }

    /// Adds to the entry in row `i` and column `j`, `i >= j`, inside the outline.
    pub(super) fn add(&mut self, i: usize, j: usize, value: f64) {
        debug_assert!(j <= i && j >= self.first[i], "entry ({i}, {j}) lies outside the outline");
        self.entries[self.diagonal[i] + j - i] += value;
    }

    /// Adds one observation: its misfit and derivatives, both already divided by its standard deviation.
    pub(super) fn add_row(&mut self, row: &Row, misfit: f64) {
        for (i, by_i) in row.entries() {
            self.gradient[i] += by_i * misfit;
            for (j, by_j) in row.entries() {
                if j <= i {
                    self.add(i, j, by_i * by_j);
                }
            }
        }
    }

    pub(super) fn size(&self) -> usize {
        self.first.len()
    }

    fn row(&self, i: usize) -> &[f64] {
        &self.entries[self.diagonal[i] + self.first[i] - i..=self.diagonal[i]]
    }

    /// x' N x.
    pub(super) fn quadratic_form(&self, x: &[f64]) -> f64 {
        let row = |i: usize| {
            let row = self.row(i);
            let n = row.len() - 1;
            x[i] * (2.0 * dot(&row[..n], &x[self.first[i]..i]) + row[n] * x[i])
        };
        (0..self.size()).map(row).sum()
    }

    /// The factor of this matrix with each diagonal entry enlarged by the share `damping` of itself; `None` where
    /// that is not positive definite.
    pub(super) fn factor(&self, damping: f64) -> Option<Factor> {
        let mut lower = self.clone();
        for i in 0..self.size() {
            let (first_i, base_i) = (self.first[i], self.diagonal[i] + self.first[i] - i);
            let (done, rest) = lower.entries.split_at_mut(base_i);
            let row_i = &mut rest[..=i - first_i];
            let mut square = row_i[i - first_i] * (1.0 + damping);
            let enough = square * f64::EPSILON;
            for j in first_i..i {
                let (first_j, base_j) = (self.first[j], self.diagonal[j] + self.first[j] - j);
                let from = first_i.max(first_j);
                let row_j = &done[base_j..=base_j + j - first_j];
                let sum = dot(&row_i[from - first_i..j - first_i], &row_j[from - first_j..j - first_j]);
                let entry = (row_i[j - first_i] - sum) / row_j[j - first_j];
                row_i[j - first_i] = entry;
                square -= entry * entry;
            }
            // NaN fails this as well.
            if square.partial_cmp(&enough) != Some(std::cmp::Ordering::Greater) || square.is_infinite() {
                return None;
            }
            row_i[i - first_i] = square.sqrt();
        }
        Some(Factor { lower })
    }
}

/// A Cholesky factor.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Factor {
    lower: Normal,
}

impl Factor {
    /// Replaces the right-hand side by the solution. Entries before `from` must be zero.
    pub(super) fn solve_from(&self, from: usize, x: &mut [f64]) {
        let size = self.lower.size();
        for i in from..size {
            let row = self.lower.row(i);
            let (start, n) = (self.lower.first[i].max(from), i - self.lower.first[i]);
            let skip = start - self.lower.first[i];
            x[i] = (x[i] - dot(&row[skip.min(n)..n], &x[start.min(i)..i])) / row[n];
        }
        for i in (0..size).rev() {
            let row = self.lower.row(i);
            let (first, n) = (self.lower.first[i], i - self.lower.first[i]);
            x[i] /= row[n];
            let value = x[i];
            for (entry, below) in row[..n].iter().zip(&mut x[first..i]) {
                *below -= entry * value;
            }
        }
    }

    /// The inverse, all rows one after the other.
    pub(super) fn inverse(&self) -> Vec<f64> {
        let size = self.lower.size();
        let mut inverse = vec![0.0; size * size];
        for (i, row) in inverse.chunks_exact_mut(size).enumerate() {
            row[i] = 1.0;
            self.solve_from(i, row);
        }
        inverse
    }
}

/// Scalar product in eight running sums, which the compiler can keep in vector registers.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut sums = [0.0; 8];
    let (a_chunks, b_chunks) = (a.chunks_exact(8), b.chunks_exact(8));
    let rest: f64 = a_chunks.remainder().iter().zip(b_chunks.remainder()).map(|(a, b)| a * b).sum();
    for (a, b) in a_chunks.zip(b_chunks) {
        for k in 0..8 {
            sums[k] += a[k] * b[k];
        }
    }
    sums.iter().sum::<f64>() + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A matrix with an outline that jumps, as tied and untied features make it.
    fn sample() -> Normal {
        let mut normal = Normal::new(vec![0, 0, 2, 2, 1, 0, 0]);
        for i in 0..normal.size() {
            for j in normal.first[i]..=i {
                normal.add(i, j, if i == j { 9.0 + i as f64 } else { 1.0 / (1.0 + (i * 3 + j) as f64) });
            }
        }
        normal
    }

    fn entry(normal: &Normal, i: usize, j: usize) -> f64 {
        let (i, j) = (i.max(j), i.min(j));
        if j < normal.first[i] { 0.0 } else { normal.entries[normal.diagonal[i] + j - i] }
    }

    #[test]
    fn the_inverse_times_the_matrix_is_one() {
        let normal = sample();
        let (n, inverse) = (normal.size(), normal.factor(0.0).unwrap().inverse());
        for i in 0..n {
            for j in 0..n {
                let sum: f64 = (0..n).map(|k| inverse[i * n + k] * entry(&normal, k, j)).sum();
                let one = f64::from(u8::from(i == j));
                assert!((sum - one).abs() < 1e-14, "entry ({i}, {j}) is {sum}");
            }
        }
    }

    #[test]
    fn the_quadratic_form_takes_every_entry_twice_but_the_diagonal() {
        let (normal, x) = (sample(), [1.0, -2.0, 0.5, 3.0, 0.25, -1.0, 2.0]);
        let n = normal.size();
        let sum: f64 =
            (0..n).flat_map(|i| (0..n).map(move |j| (i, j))).map(|(i, j)| x[i] * x[j] * entry(&normal, i, j)).sum();
        assert!((normal.quadratic_form(&x) - sum).abs() < 1e-12, "{sum}");
    }

    #[test]
    fn a_matrix_that_is_not_positive_definite_has_no_factor() {
        let mut normal = Normal::new(vec![0, 0]);
        let mut row = Row::new();
        row.add(0, 1.0);
        row.add(1, 2.0);
        normal.add_row(&row, 0.5);
        assert_eq!(normal.gradient, vec![0.5, 1.0], "gradient of one observation");
        assert!(normal.factor(0.0).is_none(), "one observation cannot fix two unknowns");
        assert!(normal.factor(0.1).is_some(), "damping makes it solvable");
    }

    #[test]
    fn a_long_product_is_summed_whole() {
        let numbers: Vec<f64> = (1..=19).map(f64::from).collect();
        assert!((dot(&numbers, &numbers) - 2470.0).abs() < 1e-12, "squares of 1 to 19");
    }
}
