//! What the face looks like where it is followed: a tone, and how it scatters.
//!
//! Brushed and hammered metal scatter in brightness and hardly in colour: what is off by little in colour may be another
//! surface, what is off by as much in brightness the same.

use super::super::others::Tone;
use super::super::search::median;
use nalgebra::{Matrix3, Vector3};

/// Tones are never taken to be more even than this: what rounding to 8 bits leaves.
const MOST_EVEN: f64 = 0.008;

/// Variance of the half of normal values that is nearest the middle, as a share of that of all: between 0.14 for one channel
/// and 0.4 for three alike.
const CALM_HALF: f64 = 0.25;

/// Fewer tones tell nothing.
const FEWEST: usize = 8;

/// A face's tone and scatter.
#[derive(Debug, Clone)]
pub(super) struct Face {
    tone: Tone,
    /// From a difference of tones to independent deviations.
    whitening: [[f32; 3]; 3],
}

impl Face {
    /// From tones of which at least half are the face's; `None` of too few.
    pub(super) fn of(tones: &[Tone]) -> Option<Self> {
        if tones.len() < FEWEST {
            return None;
        }
        let middle = |i: usize| median(&mut tones.iter().map(|tone| f64::from(tone[i])).collect::<Vec<_>>());
        let tone = Vector3::new(middle(0)?, middle(1)?, middle(2)?);
        let off = |other: &Tone| Vector3::from(other.map(f64::from)) - tone;
        let mut offs: Vec<Vector3<f64>> = tones.iter().map(off).collect();
        offs.sort_by(|a, b| a.norm_squared().total_cmp(&b.norm_squared()));
        offs.truncate(offs.len().div_ceil(2));
        let sum = offs.iter().fold(Matrix3::zeros(), |sum, off| sum + off * off.transpose());
        let floor = Matrix3::from_diagonal_element(MOST_EVEN * MOST_EVEN);
        let covariance: Matrix3<f64> = sum / (offs.len() as f64 * CALM_HALF) + floor;
        let inverse = covariance.cholesky()?.l().try_inverse()?;
        Some(Self {
            tone: [tone[0], tone[1], tone[2]].map(|value| value as f32),
            whitening: std::array::from_fn(|i| std::array::from_fn(|j| inverse[(i, j)] as f32)),
        })
    }

    /// How far a tone is from the face's, in independent deviations.
    pub(super) fn deviations(&self, tone: Tone) -> Tone {
        let off = [0, 1, 2].map(|i: usize| tone[i] - self.tone[i]);
        self.whitening.map(|row| row[0] * off[0] + row[1] * off[1] + row[2] * off[2])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_colour_is_farther_off_than_another_brightness() {
        // Grey of uneven brightness.
        let tones: Vec<Tone> = (0..41_u8).map(|i| [0.5 + 0.005 * (f32::from(i) - 20.0); 3]).collect();
        let face = Face::of(&tones).unwrap();
        let off = |tone: Tone| face.deviations(tone).iter().map(|value| value * value).sum::<f32>().sqrt();
        assert!(off([0.55; 3]) < 2.0, "brighter: {}", off([0.55; 3]));
        assert!(off([0.55, 0.5, 0.45]) > 4.0, "redder: {}", off([0.55, 0.5, 0.45]));
        assert!(Face::of(&tones[..5]).is_none(), "five tones tell nothing");
    }
}
