//! The chain of cells that adds up to most, column by column.
//!
//! Dynamic programming (Bellman 1957): the best way to a cell is the best of the ways to its neighbours in the column
//! before, and a step.

/// Scores of cells in columns of one height.
#[derive(Debug, Clone)]
pub(super) struct Scores {
    pub(super) rows: usize,
    /// Column after column.
    pub(super) cells: Vec<f32>,
}

/// What each row that a chain moves from column to column takes away.
const STEP_COSTS: f32 = 0.04;

impl Scores {
    /// The chain from the first column to the last that adds up to most and moves by at most `most_step` rows a column, as
    /// places between rows; empty of no cells.
    pub(super) fn best_chain(&self, most_step: usize) -> Vec<f64> {
        let rows = self.rows;
        let columns = self.cells.len().checked_div(rows).unwrap_or(0);
        if columns == 0 {
            return Vec::new();
        }
        let mut sums = self.cells[..rows].to_vec();
        let mut next = sums.clone();
        // From how many rows on each cell is reached.
        let mut steps = vec![0_i32; columns * rows];
        let most_step = most_step.min(rows - 1);
        for (cells, steps) in self.cells.chunks_exact(rows).zip(steps.chunks_exact_mut(rows)).skip(1) {
            // The straight way first: of equals it stays.
            next.copy_from_slice(&sums);
            let reach = |sums: &[f32], next: &mut [f32], steps: &mut [i32], step: i32| {
                let costs = STEP_COSTS * step.unsigned_abs() as f32;
                for ((sum, next), own) in sums.iter().zip(next).zip(steps) {
                    let sum = sum - costs;
                    (*next, *own) = if sum > *next { (sum, step) } else { (*next, *own) };
                }
            };
            for back in (1..=most_step).rev() {
                reach(&sums, &mut next[back..], &mut steps[back..], -(back as u32).cast_signed());
            }
            for on in 1..=most_step {
                reach(&sums[on..], &mut next, steps, (on as u32).cast_signed());
            }
            next.iter_mut().zip(cells).for_each(|(sum, cell)| *sum += cell);
            std::mem::swap(&mut sums, &mut next);
        }
        // Of equals the one nearest the middle.
        let from_middle = |row: usize| row.abs_diff(rows / 2);
        let last = (0..rows).max_by(|a, b| sums[*a].total_cmp(&sums[*b]).then(from_middle(*b).cmp(&from_middle(*a))));
        let mut row = last.unwrap_or(rows / 2);
        let mut chain = vec![0.0; columns];
        for column in (0..columns).rev() {
            chain[column] = self.peak(column, row);
            row = row.saturating_add_signed(steps[column * rows + row] as isize);
        }
        chain
    }

    /// The place of a peak between rows, by a parabola.
    fn peak(&self, column: usize, row: usize) -> f64 {
        let cells = &self.cells[column * self.rows..(column + 1) * self.rows];
        if row == 0 || row + 1 >= self.rows {
            return row as f64;
        }
        let [before, here, after] = [row - 1, row, row + 1].map(|row| f64::from(cells[row]));
        let bow = before - 2.0 * here + after;
        let is_peak = here >= before && here >= after && bow < 0.0;
        let shift = if is_peak { 0.5 * (before - after) / bow } else { 0.0 };
        if shift.is_finite() { row as f64 + shift } else { row as f64 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chain_bridges_a_gap() {
        // A ridge that climbs a row a column, with two columns of nothing.
        let cells = (0..9).flat_map(|column| {
            (0..12).map(move |row| if column != 4 && column != 5 && row == column + 1 { 1.0 } else { 0.0 })
        });
        let scores = Scores { rows: 12, cells: cells.collect() };
        let chain = scores.best_chain(2);
        assert_eq!(chain[..4], [1.0, 2.0, 3.0, 4.0], "before the gap");
        assert_eq!(chain[6..], [7.0, 8.0, 9.0], "after it");
    }

    #[test]
    fn where_nothing_is_the_chain_runs_along_the_middle() {
        let scores = Scores { rows: 7, cells: vec![0.0; 35] };
        assert_eq!(scores.best_chain(3), [3.0; 5]);
        assert!(Scores { rows: 0, cells: Vec::new() }.best_chain(1).is_empty(), "no cells, no chain");
    }
}
