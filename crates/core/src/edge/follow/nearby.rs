//! The smooth curve through what was measured near a place.

use super::super::search::median;
use nalgebra::{Matrix3, Vector3};

/// A measured place as one of its neighbours sees it.
#[derive(Debug, Clone, Copy)]
#[expect(clippy::struct_field_names, reason = "units stand at the end of names")]
pub(super) struct Near {
    /// Along the edge and towards the face, px.
    pub(super) along_px: f64,
    pub(super) off_px: f64,
    pub(super) sigma_px: f64,
}

/// A parabola: its height, slope and half of its second derivative at the place itself.
#[derive(Debug, Clone, Copy)]
pub(super) struct Parabola {
    pub(super) off_px: f64,
    pub(super) slope: f64,
    pub(super) half_bend: f64,
}

/// Fewer places make no curve, and fewer make none but a straight one.
const FEWEST: usize = 4;
const FEWEST_BENT: usize = 6;

/// Rounds of the robust fit.
const ROUNDS: usize = 5;

/// A length that scales the unknowns to one size, px.
const SCALE_PX: f64 = 20.0;

/// Robust fit of a parabola; `None` of too few places.
pub(super) fn parabola(all: &[Near]) -> Option<Parabola> {
    if all.len() < FEWEST {
        return None;
    }
    let mut room: Vec<f64> = all.iter().map(|near| near.off_px).collect();
    let middle = median(&mut room)?;
    let mut shares = vec![0.0; all.len()];
    let mut curve = Parabola { off_px: middle, slope: 0.0, half_bend: 0.0 };
    for round in 0..ROUNDS {
        for (near, (share, room)) in all.iter().zip(shares.iter_mut().zip(&mut room)) {
            *share = (near.off_px - curve.at(near.along_px)) / near.sigma_px;
            *room = share.abs();
        }
        let scatter = median(&mut room)? / 0.6745;
        // At first every place may be as far off as the middle ones.
        let scatter = scatter.max(if round == 0 { 4.0 } else { 1.0 });
        let (mut matrix, mut right) = (Matrix3::<f64>::zeros(), Vector3::<f64>::zeros());
        for (near, share) in all.iter().zip(&shares) {
            // Geman and McClure's weight, as for rims.
            let off = (share / scatter).powi(2) / 15.0;
            let weight = (near.sigma_px * (1.0 + off)).powi(-2);
            let x = near.along_px / SCALE_PX;
            let row = Vector3::new(1.0, x, x * x);
            matrix += row * row.transpose() * weight;
            right += row * (weight * near.off_px);
        }
        if all.len() < FEWEST_BENT {
            matrix[(2, 2)] += 1e6 * matrix[(0, 0)];
        }
        let solved = matrix.cholesky()?.solve(&right);
        let next =
            Parabola { off_px: solved[0], slope: solved[1] / SCALE_PX, half_bend: solved[2] / (SCALE_PX * SCALE_PX) };
        if !(next.off_px.is_finite() && next.slope.is_finite() && next.half_bend.is_finite()) {
            return None;
        }
        curve = next;
    }
    Some(curve)
}

impl Parabola {
    /// Its height so far along.
    pub(super) fn at(&self, along_px: f64) -> f64 {
        self.off_px + along_px * (self.slope + along_px * self.half_bend)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_place_far_off_bends_nothing() {
        let near = |i: i32| {
            let x = f64::from(i) * 4.0;
            let off_px = 0.3 + 0.02 * x - 0.004 * x * x + if i == 2 { 1.7 } else { 0.0 };
            Near { along_px: x, off_px, sigma_px: 0.05 }
        };
        let all: Vec<Near> = (-5..=5).map(near).collect();
        let curve = parabola(&all).unwrap();
        assert!((curve.off_px - 0.3).abs() < 0.02, "{curve:?}");
        assert!((curve.half_bend + 0.004).abs() < 2e-4, "{curve:?}");
        assert!(parabola(&all[..3]).is_none(), "three places are too few");
    }
}
