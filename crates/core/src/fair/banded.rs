//! Normal equations of pieces that are tied to their neighbours only, round a ring.
//!
//! Folded flat (0, last, 1, last but one, ...), every piece stands at most two places from those that it is tied to, so
//! that the matrix is a narrow band and Cholesky's method takes a time that grows with the number of pieces alone.

use super::curve::Row;
use nalgebra::{Matrix3, Vector3};

/// Unknowns of one piece.
const EACH: usize = 3;
/// Entries beside the diagonal: two places off, and the rest of the own block.
const BAND: usize = 3 * EACH - 1;

/// A symmetric positive matrix of ring neighbours, and its right-hand side.
pub(super) struct Banded {
    place: Vec<usize>,
    /// Row by row the entries up to the diagonal, which comes last.
    rows: Vec<[f64; BAND + 1]>,
    right: Vec<f64>,
}

impl Banded {
    pub(super) fn new(pieces: usize) -> Self {
        let place = (0..pieces).map(|k| if 2 * k < pieces { 2 * k } else { 2 * (pieces - 1 - k) + 1 }).collect();
        Self { place, rows: vec![[0.0; BAND + 1]; pieces * EACH], right: vec![0.0; pieces * EACH] }
    }

    /// Adds the equation `sum of row · unknowns = value` of the pieces `parts` with a weight.
    pub(super) fn add(&mut self, parts: &[(usize, Row)], value: f64, weight: f64) {
        for &(piece, row) in parts {
            for (i, a) in row.into_iter().enumerate() {
                let down = self.place[piece] * EACH + i;
                self.right[down] += weight * a * value;
                for &(other, other_row) in parts {
                    for (j, b) in other_row.into_iter().enumerate() {
                        let across = self.place[other] * EACH + j;
                        if across <= down {
                            self.rows[down][BAND + across - down] += weight * a * b;
                        }
                    }
                }
            }
        }
    }

    /// Adds the normal equations of one piece: the step against `gradient`, unknowns of turn and bend by `scale` and its
    /// square.
    pub(super) fn add_block(&mut self, piece: usize, normal: &Matrix3<f64>, gradient: &Vector3<f64>, scale: f64) {
        let by = [1.0, 1.0 / scale, 1.0 / (scale * scale)];
        let base = self.place[piece] * EACH;
        for i in 0..EACH {
            self.right[base + i] -= gradient[i] * by[i];
            for j in 0..=i {
                self.rows[base + i][BAND + j - i] += normal[(i, j)] * by[i] * by[j];
            }
        }
    }

    /// Adds to the diagonal of one unknown.
    pub(super) fn hold(&mut self, piece: usize, unknown: usize, weight: f64) {
        self.rows[self.place[piece] * EACH + unknown][BAND] += weight;
    }

    /// The unknowns of each piece; `None` where the equations do not tell them.
    pub(super) fn solved(mut self) -> Option<Vec<Row>> {
        let n = self.rows.len();
        for i in 0..n {
            let start = i.saturating_sub(BAND);
            for j in start..=i {
                let from = start.max(j.saturating_sub(BAND));
                let sum: f64 = (from..j).map(|k| self.rows[i][BAND + k - i] * self.rows[j][BAND + k - j]).sum();
                let rest = self.rows[i][BAND + j - i] - sum;
                self.rows[i][BAND + j - i] = if i == j { rest.sqrt() } else { rest / self.rows[j][BAND] };
            }
            if !(self.rows[i][BAND] > 0.0 && self.rows[i][BAND].is_finite()) {
                return None;
            }
            let sum: f64 = (start..i).map(|k| self.rows[i][BAND + k - i] * self.right[k]).sum();
            self.right[i] = (self.right[i] - sum) / self.rows[i][BAND];
        }
        for i in (0..n).rev() {
            let sum: f64 = (i + 1..n.min(i + BAND + 1)).map(|k| self.rows[k][BAND + i - k] * self.right[k]).sum();
            self.right[i] = (self.right[i] - sum) / self.rows[i][BAND];
        }
        Some(self.place.iter().map(|&p| std::array::from_fn(|i| self.right[p * EACH + i])).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ring_of_ties_gives_what_it_was_made_of() {
        for pieces in [1, 2, 3, 4, 7, 10] {
            let truth: Vec<Row> = (0..pieces).map(|k| [k as f64 + 0.5, 2.0 - k as f64, 0.25 * k as f64]).collect();
            let mut banded = Banded::new(pieces);
            let mut tie = |parts: &[(usize, Row)]| {
                let value = parts.iter().map(|(k, row)| (0..3).map(|i| row[i] * truth[*k][i]).sum::<f64>()).sum();
                banded.add(parts, value, 3.0);
            };
            for k in 0..pieces {
                (0..3).for_each(|i| tie(&[(k, std::array::from_fn(|j| f64::from(u8::from(i == j))))]));
                if pieces > 1 {
                    tie(&[(k, [1.0, -2.0, 0.5]), ((k + 1) % pieces, [0.3, 4.0, -1.0])]);
                }
            }
            let found = banded.solved().unwrap();
            let off = (0..pieces).flat_map(|k| (0..3).map(move |i| (k, i)));
            let off = off.map(|(k, i)| (found[k][i] - truth[k][i]).abs()).fold(0.0, f64::max);
            assert!(off < 1e-10, "{pieces} pieces: {found:?} for {truth:?}");
        }
    }
}
