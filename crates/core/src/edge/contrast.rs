//! In which colours an edge stands out from the unevenness of the surfaces beside it.
//!
//! A grey wall under a painted face may be just as bright as the paint, so brightness alone does not show every rim. The
//! light is mixed into brightness and two channels of colour, and each is measured in units of its own unevenness near
//! the edge: brushed metal is uneven in brightness and hardly in colour. A camera keeps colour at half the resolution, so
//! the two have blurs of their own, and where the colours tell little they are left out.

use super::picture::Light;
use super::search::median;
use nalgebra::{Matrix3, Vector3};

/// Rounds in which the calm half of the samples is chosen by the mixture of the round before.
const ROUNDS: usize = 3;

/// Variance of the calmer half of normal samples, as a share of that of all: between 0.14 for one channel and 0.31 for
/// two. Only the ratio of brightness to colour depends on it.
const CALM_HALF: f64 = 0.2;

/// No slope is calmer than this, light per px: what rounding to 8 bits leaves.
const CALMEST: f64 = 1e-3;

/// The mixture into brightness and two independent colours in which slopes of light are even, where at least half of
/// the slopes given belong to surfaces and not to edges.
pub(super) fn evening(slopes: &[Light]) -> [[f64; 3]; 3] {
    let [brightness, ..] = whitening(&slopes.iter().map(|[y, ..]| [*y, 0.0, 0.0]).collect::<Vec<_>>());
    let [_, red, blue] = whitening(&slopes.iter().map(|[_, red, blue]| [0.0, *red, *blue]).collect::<Vec<_>>());
    [brightness, red, blue]
}

/// The mixture that whitens slopes of which the calmer half is noise.
fn whitening(slopes: &[Light]) -> [[f64; 3]; 3] {
    let mut rows = Matrix3::identity();
    for _ in 0..ROUNDS {
        let sizes: Vec<f64> = slopes.iter().map(|slope| (rows * Vector3::from(*slope)).norm_squared()).collect();
        let Some(middle) = median(&mut sizes.clone()) else { break };
        let calm =
            slopes.iter().zip(&sizes).filter(|(_, size)| **size <= middle).map(|(slope, _)| Vector3::from(*slope));
        let (sum, count) = calm.fold((Matrix3::zeros(), 0.0), |(sum, count), s| (sum + s * s.transpose(), count + 1.0));
        let mut covariance: Matrix3<f64> = sum / (count * CALM_HALF);
        for i in 0..3 {
            covariance[(i, i)] += CALMEST * CALMEST;
        }
        let Some(inverse) = covariance.cholesky().and_then(|lower| lower.l().try_inverse()) else { break };
        rows = inverse;
    }
    std::array::from_fn(|i| std::array::from_fn(|j| rows[(i, j)]))
}

/// A colour in the mixture's channels.
pub(super) fn mixed(rows: &[[f64; 3]; 3], light: Light) -> Light {
    rows.map(|row| row[0] * light[0] + row[1] * light[1] + row[2] * light[2])
}

/// How far two colours are apart, squared.
pub(super) fn apart_squared(a: Light, b: Light) -> f64 {
    (0..3).map(|i| (a[i] - b[i]) * (a[i] - b[i])).sum()
}
