//! Normal equations of one feature after the other, gathered in small arrays before they are added to the whole.

use super::evaluate::{OWN_UNKNOWNS, Rows};
use super::normal::{Normal, Row};
use crate::camera::CAMERA_UNKNOWNS;

/// An observation as one vector: its feature's own unknowns, its misfit, the camera's unknowns.
const WIDTH: usize = OWN_UNKNOWNS + 1 + CAMERA_UNKNOWNS;
const MISFIT: usize = OWN_UNKNOWNS;
const CAMERA: usize = MISFIT + 1;

/// Rows above this one are summed up to it only, as the matrix is symmetric; the loops keep fixed lengths.
const SHORT: usize = 6;

/// Observations that are summed together, so that each sum is loaded and stored once for all of them.
const TOGETHER: usize = 4;

/// Sums of the products of all pairs of numbers of the observations.
pub(super) struct Gram<'a> {
    normal: &'a mut Normal,
    camera_at: usize,
    own_at: usize,
    waiting: usize,
    queue: [[f64; WIDTH]; TOGETHER],
    /// Of the opened feature; above the diagonal only as far as the loops go.
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

    fn sum_up(&mut self) {
        let [a, b, c, d] = &self.queue;
        for (i, sums) in self.sums.iter_mut().enumerate() {
            let by = [a[i], b[i], c[i], d[i]];
            let width = if i < SHORT { SHORT } else { WIDTH };
            for j in 0..width {
                sums[j] += (by[0] * a[j] + by[1] * b[j]) + (by[2] * c[j] + by[3] * d[j]);
            }
        }
        self.waiting = 0;
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

    fn close(&mut self, count: usize) {
        if self.waiting > 0 {
            self.queue[self.waiting..].fill([0.0; WIDTH]);
            self.sum_up();
        }
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
    }

    fn row(&mut self, row: &Row, misfit: f64) {
        self.normal.add_row(row, misfit);
    }
}
