//! Normal equations of one feature after the other, gathered in small arrays before they are added to the whole.
//!
//! An error that all points of a feature share is one in the feature's own unknowns: the seen circle is the true one and
//! the error e, with covariance S. To eliminate e, with C the points' normal matrix of the own unknowns and B that of all
//! unknowns with the own ones, takes `B (S^-1 + C)^-1 B'` off the normal matrix, and the same of the right-hand side
//! (generalised least squares, by the matrix inversion lemma).
#![expect(clippy::inline_always, reason = "one loop per length, each unrolled")]

use super::evaluate::{Closed, NOTHING_SHARED, OWN_UNKNOWNS, Rows};
use super::normal::{Normal, Row};
use crate::camera::CAMERA_UNKNOWNS;
use nalgebra::{Matrix3, Vector3};

/// An observation as one vector: its feature's own unknowns, its misfit, the camera's unknowns.
const WIDTH: usize = OWN_UNKNOWNS + 1 + CAMERA_UNKNOWNS;
const MISFIT: usize = OWN_UNKNOWNS;
const CAMERA: usize = MISFIT + 1;

/// Observations that are summed together, so that each sum is loaded and stored once for all of them.
const TOGETHER: usize = 4;

/// Sums of the products of all pairs of numbers of the observations.
pub(super) struct Gram<'a> {
    normal: &'a mut Normal,
    camera_at: usize,
    own_at: usize,
    waiting: usize,
    queue: [[f64; WIDTH]; TOGETHER],
    /// Of the opened feature; lower triangle, and one entry beside it in every other row.
    sums: [[f64; WIDTH]; WIDTH],
    /// Of the camera's unknowns over all features that are done with; lower triangle.
    camera: [[f64; CAMERA_UNKNOWNS]; CAMERA_UNKNOWNS],
}

impl<'a> Gram<'a> {
    /// Empties `normal`, to fill it.
    pub(super) fn new(normal: &'a mut Normal, camera_at: usize) -> Self {
        normal.clear();
        Self {
            normal,
            camera_at,
            own_at: 0,
            waiting: 0,
            queue: [[0.0; WIDTH]; TOGETHER],
            sums: [[0.0; WIDTH]; WIDTH],
            camera: [[0.0; CAMERA_UNKNOWNS]; CAMERA_UNKNOWNS],
        }
    }

    /// Adds what was kept back for all features together.
    pub(super) fn finish(self) {
        for j in 0..CAMERA_UNKNOWNS {
            let column: [f64; CAMERA_UNKNOWNS] = std::array::from_fn(|i| self.camera[i][j]);
            self.normal.add_column(self.camera_at + j, self.camera_at + j, &column[j..]);
        }
    }

    /// Two rows of the sums at a time, so that what the observations hold is loaded once for both, as far as the
    /// diagonal reaches.
    fn sum_up(&mut self) {
        self.sum_up_rows::<2>();
        self.sum_up_rows::<4>();
        self.sum_up_rows::<6>();
        self.sum_up_rows::<8>();
        self.sum_up_rows::<10>();
        self.sum_up_rows::<12>();
        self.sum_up_rows::<WIDTH>();
        self.waiting = 0;
    }

    /// The last two rows before `END`.
    #[inline(always)]
    fn sum_up_rows<const END: usize>(&mut self) {
        let [a, b, c, d] = &self.queue;
        let (rows, _) = self.sums[END - 2..].as_chunks_mut::<2>();
        let [first, second] = &mut rows[0];
        let by = [a[END - 2], b[END - 2], c[END - 2], d[END - 2]];
        let by_next = [a[END - 1], b[END - 1], c[END - 1], d[END - 1]];
        for j in 0..END {
            first[j] += (by[0] * a[j] + by[1] * b[j]) + (by[2] * c[j] + by[3] * d[j]);
            second[j] += (by_next[0] * a[j] + by_next[1] * b[j]) + (by_next[2] * c[j] + by_next[3] * d[j]);
        }
    }
}

impl Gram<'_> {
    /// Takes the shared error out of the opened feature's sums.
    fn eliminate(&mut self, count: usize, shared: [f64; OWN_UNKNOWNS]) -> Closed {
        // (S^-1 + C)^-1 = s (1 + s C s)^-1 s with the standard deviations s, which may be zero.
        let sums = &self.sums;
        let own = |i: usize, j: usize| sums[i.max(j)][i.min(j)];
        let one = |i: usize, j: usize| f64::from(u8::from(i == j));
        let inner = Matrix3::from_fn(|i, j| one(i, j) + shared[i] * own(i, j) * shared[j]);
        // Where a feature has fewer unknowns than there is room for, the rest stands by itself.
        let of_points = Matrix3::from_fn(|i, j| if i.max(j) < count { own(i, j) } else { one(i, j) });
        let inverse = |matrix: Matrix3<f64>| Some(matrix.cholesky()?.inverse());
        let Some((inner, of_points)) = inverse(inner).zip(inverse(of_points)) else { return Closed::default() };
        let taken = Matrix3::from_fn(|i, j| shared[i] * inner[(i, j)] * shared[j]);
        let by_own: [Vector3<f64>; WIDTH] = std::array::from_fn(|i| Vector3::from_fn(|k, _| own(i, k)));
        let form = |matrix: &Matrix3<f64>| by_own[MISFIT].dot(&(matrix * by_own[MISFIT]));
        let closed = Closed { lowered: form(&taken), pulled: form(&of_points) };
        for (i, row) in self.sums.iter_mut().enumerate() {
            let left = taken * by_own[i];
            for (entry, right) in row[..=i].iter_mut().zip(&by_own) {
                *entry -= left.dot(right);
            }
        }
        closed
    }
}

impl Rows for Gram<'_> {
    fn open(&mut self, at: usize) {
        self.own_at = at;
    }

    fn add(&mut self, misfit: f64, own: &[f64; OWN_UNKNOWNS], camera: &[f64; CAMERA_UNKNOWNS]) {
        let place = &mut self.queue[self.waiting];
        place[..MISFIT].copy_from_slice(own);
        place[MISFIT] = misfit;
        place[CAMERA..].copy_from_slice(camera);
        self.waiting += 1;
        if self.waiting == TOGETHER {
            self.sum_up();
        }
    }

    fn close(&mut self, count: usize, shared: [f64; OWN_UNKNOWNS]) -> Closed {
        if self.waiting > 0 {
            self.queue[self.waiting..].fill([0.0; WIDTH]);
            self.sum_up();
        }
        let closed = if shared == NOTHING_SHARED { Closed::default() } else { self.eliminate(count, shared) };
        for j in 0..count {
            let own: [f64; OWN_UNKNOWNS] = std::array::from_fn(|i| self.sums[i][j]);
            self.normal.add_column(self.own_at + j, self.own_at + j, &own[j..count]);
            let cross: [f64; CAMERA_UNKNOWNS] = std::array::from_fn(|i| self.sums[CAMERA + i][j]);
            self.normal.add_column(self.camera_at, self.own_at + j, &cross);
            self.normal.gradient[self.own_at + j] += self.sums[MISFIT][j];
        }
        for i in 0..CAMERA_UNKNOWNS {
            self.normal.gradient[self.camera_at + i] += self.sums[CAMERA + i][MISFIT];
            for j in 0..=i {
                self.camera[i][j] += self.sums[CAMERA + i][CAMERA + j];
            }
        }
        self.sums = [[0.0; WIDTH]; WIDTH];
        closed
    }

    fn row(&mut self, row: &Row, misfit: f64) {
        self.normal.add_row(row, misfit);
    }
}
