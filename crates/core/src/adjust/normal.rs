//! The normal equations: a symmetric matrix kept by panels of columns, with its right-hand side.

use super::structure::Structure;
use std::sync::Arc;

/// Lower triangle of the normal matrix inside the outline of its [`Structure`].
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Normal {
    pub(super) structure: Arc<Structure>,
    pub(super) entries: Vec<f64>,
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

    /// The same with every derivative times `factor`.
    #[must_use]
    pub(super) fn times(mut self, factor: f64) -> Self {
        for by in &mut self.by {
            *by *= factor;
        }
        self
    }
}

impl Normal {
    pub(super) fn new(structure: Arc<Structure>) -> Self {
        Self { gradient: vec![0.0; structure.size()], entries: vec![0.0; structure.entries()], structure }
    }

    pub(super) fn clear(&mut self) {
        self.entries.fill(0.0);
        self.gradient.fill(0.0);
    }

    /// Adds to the entries of column `j` in the rows from `i` on, `i >= j`.
    pub(super) fn add_column(&mut self, i: usize, j: usize, values: &[f64]) {
        let at = self.structure.entry(i, j);
        for (entry, value) in self.entries[at..at + values.len()].iter_mut().zip(values) {
            *entry += value;
        }
    }

    /// Adds one observation: its misfit and derivatives, both already divided by its standard deviation.
    pub(super) fn add_row(&mut self, row: &Row, misfit: f64) {
        for (j, by_j) in row.entries() {
            self.gradient[j] += by_j * misfit;
            // Unknowns that follow each other stand next to each other.
            let (mut next, mut at) = (usize::MAX, 0);
            for (i, by_i) in row.entries().filter(|(i, _)| *i >= j) {
                at = if i == next { at + 1 } else { self.structure.entry(i, j) };
                next = i + 1;
                self.entries[at] += by_i * by_j;
            }
        }
    }

    /// x' D x with the diagonal D of N.
    pub(super) fn diagonal_form(&self, x: &[f64]) -> f64 {
        let columns = self.structure.panels().iter().flat_map(|panel| {
            let height = panel.rows.len();
            (0..panel.columns).map(move |t| (panel.first + t, panel.entries + t * (height + 1)))
        });
        columns.map(|(i, at)| self.entries[at] * x[i] * x[i]).sum()
    }

    /// x' N x.
    pub(super) fn quadratic_form(&self, x: &[f64]) -> f64 {
        let mut sum = 0.0;
        for panel in self.structure.panels() {
            let height = panel.rows.len();
            for t in 0..panel.columns {
                let column = &self.entries[panel.entries + t * height..][..height];
                let below: f64 = panel.rows[t + 1..].iter().zip(&column[t + 1..]).map(|(row, by)| by * x[*row]).sum();
                let own = x[panel.first + t];
                sum += own * (column[t] * own + 2.0 * below);
            }
        }
        sum
    }
}
