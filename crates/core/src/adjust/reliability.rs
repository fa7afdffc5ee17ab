//! Which readings are checked by the others, and which disagree (Baarda, A testing procedure for use in geodetic
//! networks, 1968).

use super::factor::{Factor, Half, dot};
use super::normal::Row;
use crate::tolerance::{NOTICED_FACTOR, REDUNDANCY_NO_TEST, W_DISAGREES};

/// What the others say of one length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tested {
    /// Redundancy number 0..1: the share of a misreading that shows as misfit.
    pub redundancy: f64,
    /// Standardised misfit, positive where the reading is too long; `None` where nothing checks the length.
    pub w: Option<f64>,
    /// The smallest misreading that would be noticed, mm; `None` where none would.
    pub noticed_mm: Option<f64>,
}

/// A reading that would explain the misfit if it were wrong. Readings go by their number: the lengths, then x and y of
/// each known place of one overlay after the other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Suspect {
    /// The one that explains it best.
    pub reading: usize,
    /// Others that explain it equally well.
    pub equally: Vec<usize>,
}

/// All lengths tested, and the fewest readings that would explain all misfit if they were wrong.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Reliability {
    /// One per length.
    pub tested: Vec<Tested>,
    /// Most suspect first.
    pub suspects: Vec<Suspect>,
}

/// Two lengths whose square sums explained differ by less than this explain the misfit equally well: the same bound
/// as for two camera positions.
const EQUALLY: f64 = 4.0;

/// A length, or one coordinate of a known place: derivatives, how much the reading is too large, and its standard
/// deviation, mm.
pub(super) struct Reading {
    pub(super) row: Row,
    pub(super) off_mm: f64,
    pub(super) sigma_mm: f64,
}

impl Reliability {
    /// From the readings, of which the first `lengths` are lengths.
    pub(super) fn of(readings: &[Reading], lengths: usize, factor: &Factor) -> Self {
        let mut misfits = Misfits::of(readings, factor);
        let tested = readings[..lengths]
            .iter()
            .enumerate()
            .map(|(i, reading)| {
                let redundancy = (misfits.variance(i) / (reading.sigma_mm * reading.sigma_mm)).clamp(0.0, 1.0);
                let noticed = NOTICED_FACTOR * reading.sigma_mm / redundancy.sqrt();
                let tested = redundancy >= REDUNDANCY_NO_TEST;
                Tested { redundancy, w: misfits.w(i), noticed_mm: tested.then_some(noticed) }
            })
            .collect();
        Self { tested, suspects: misfits.suspects() }
    }
}

/// Misfits of the readings with their covariance `Qvv = Q - A C A'`.
struct Misfits {
    count: usize,
    off: Vec<f64>,
    cofactor: Vec<f64>,
    /// Variance below which a misfit is rounding noise.
    least: Vec<f64>,
}

impl Misfits {
    fn of(readings: &[Reading], factor: &Factor) -> Self {
        let count = readings.len();
        let mut cofactor = vec![0.0; count * count];
        let halves: Vec<Half> = readings.iter().map(|reading| factor.sparse_half(&reading.row)).collect();
        let mut spread = vec![0.0; factor.dense_from()];
        for (i, reading) in readings.iter().enumerate() {
            for (at, by) in &halves[i].early {
                spread[*at] = *by;
            }
            for (j, half) in halves[..=i].iter().enumerate() {
                let early: f64 = half.early.iter().map(|(at, by)| spread[*at] * by).sum();
                let own = if i == j { reading.sigma_mm * reading.sigma_mm } else { 0.0 };
                let value = own - dot(&halves[i].dense, &half.dense) - early;
                cofactor[i * count + j] = value;
                cofactor[j * count + i] = value;
            }
            for (at, _) in &halves[i].early {
                spread[*at] = 0.0;
            }
        }
        let least = readings.iter().map(|r| REDUNDANCY_NO_TEST * r.sigma_mm * r.sigma_mm).collect();
        Self { count, off: readings.iter().map(|r| r.off_mm).collect(), cofactor, least }
    }

    fn variance(&self, i: usize) -> f64 {
        self.cofactor[i * self.count + i]
    }

    fn w(&self, i: usize) -> Option<f64> {
        (self.variance(i) >= self.least[i]).then(|| self.off[i] / self.variance(i).sqrt())
    }

    /// Takes a reading out: what is left are the misfits and covariances without it.
    fn take_out(&mut self, i: usize) {
        let n = self.count;
        let (pivot, off) = (self.variance(i), self.off[i]);
        let column: Vec<f64> = (0..n).map(|j| self.cofactor[j * n + i]).collect();
        for (j, by_j) in column.iter().enumerate() {
            self.off[j] -= by_j / pivot * off;
            for (k, by_k) in column.iter().enumerate() {
                self.cofactor[j * n + k] -= by_j * by_k / pivot;
            }
        }
        // Nothing tests it any more, not even rounding.
        self.least[i] = f64::INFINITY;
    }

    /// Data snooping: names the worst reading, takes it out, and looks again.
    fn suspects(&mut self) -> Vec<Suspect> {
        let mut suspects = Vec::new();
        while let Some((worst, w)) = (0..self.count)
            .filter_map(|i| Some((i, self.w(i)?.abs())))
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .filter(|(_, w)| *w > W_DISAGREES)
        {
            let equally = (0..self.count)
                .filter(|i| *i != worst && self.w(*i).is_some_and(|other| w * w - other * other < EQUALLY))
                .filter(|i| self.explains(*i, worst))
                .collect();
            suspects.push(Suspect { reading: worst, equally });
            self.take_out(worst);
        }
        suspects
    }

    /// Without reading `i`, reading `other` no longer stands out.
    fn explains(&self, i: usize, other: usize) -> bool {
        let n = self.count;
        let share = self.cofactor[other * n + i] / self.variance(i);
        let variance = self.variance(other) - share * self.cofactor[other * n + i];
        let off = self.off[other] - share * self.off[i];
        variance < self.least[other] || off.abs() <= W_DISAGREES * variance.sqrt()
    }
}
