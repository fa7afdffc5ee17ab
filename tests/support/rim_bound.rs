//! How well a rim can be measured at all.

use crate::rims::{DARK, Scene};
use nalgebra_of_levenberg_marquardt::Matrix4;
use std::f64::consts::{PI, TAU};

/// The smallest standard deviations that an unbiased measurement of a rim can have, px (Cramér-Rao bound).
#[derive(Debug, Clone, Copy)]
pub struct Bound {
    /// Of one coordinate of the centre.
    pub centre_px: f64,
    /// Of the radius.
    pub radius_px: f64,
}

/// Steps of the integral across the rim, px, and how far beyond the rim the picture goes.
const STEP_PX: f64 = 0.01;
const BEYOND_PX: f64 = 20.0;

impl Scene {
    /// The bound for this scene.
    ///
    /// The light at distance r from the centre is dark + A Φ(u), u = (r - ρ) / s, with ρ = R - s²/2R: where a blurred
    /// curved edge is seen (exact to 2 % for R over five s). Of a pixel's noise σ² each unknown's information is the
    /// sum over all pixels of (∂light/∂unknown)² / σ² (Rao 1945; Kay, Fundamentals of Statistical Signal Processing I,
    /// 1993, chapter 3; from memory), here as an integral, since a rim meets the pixel grid in every phase. The blur s is the
    /// lens's and the pixel's own square, 1/12 px². σ² is the noise and the rounding to 8 bits, a twelfth of the
    /// code's step in light there; that holds where the noise exceeds half a step.
    ///
    /// Dark, A and s are unknown, but the same all round. Centre and the others have no information in common, since
    /// cos and sin vanish over the round; the radius is the first of the inverse of four. For one scan line and known
    /// levels it is the textbook's σ/A sqrt(2 sqrt(π) s). A measurement that grants each place on the rim levels of its
    /// own, as uneven surfaces need, must stay above it.
    ///
    /// JPEG's rounding is worked out from the picture and adds no information to it, so that this bound holds behind
    /// it too, though no longer the largest that does.
    pub fn bound(&self) -> Bound {
        let s = self.blur_px.hypot((1.0_f64 / 12.0).sqrt());
        let (a, big_r) = (self.contrast, self.radius_px);
        let rho = big_r - 0.5 * s * s / big_r;
        let (mut centre, mut others, mut risen) = (0.0, Matrix4::<f64>::zeros(), 0.0);
        let first = (big_r - BEYOND_PX).max(0.0);
        for number in 0..((big_r + BEYOND_PX - first) / STEP_PX) as usize {
            let r = first + (number as f64 + 0.5) * STEP_PX;
            let u = (r - rho) / s;
            let bell = (-0.5 * u * u).exp() / TAU.sqrt() / s;
            risen += bell * STEP_PX;
            let information = r * STEP_PX / self.variance(DARK + a * risen);
            centre += PI * a * a * bell * bell * information;
            let by = [-a * bell * (1.0 + 0.5 * (s / big_r).powi(2)), 1.0, risen, a * bell * (s / big_r - u)];
            others += Matrix4::from_fn(|i, j| TAU * by[i] * by[j] * information);
        }
        let radius = others.try_inverse().map_or(f64::NAN, |inverse| inverse[(0, 0)]);
        let [centre_share, radius_share] = seen_share(self.tilt_deg.to_radians());
        Bound { centre_px: (1.0 / (centre * centre_share)).sqrt(), radius_px: (radius / radius_share).sqrt() }
    }

    /// Of a pixel in this light.
    fn variance(&self, light: f64) -> f64 {
        // IEC 61966-2-1, above the short straight piece: light = ((code + 0.055) / 1.055)^2.4, its slope by code in light.
        let step = 2.4 / 1.055 * light.powf(1.4 / 2.4) / 255.0;
        self.noise * self.noise + step * step / 12.0
    }
}

/// How much of the information on centre and radius is left of a rim that is seen at a slant.
///
/// At the angle φ the rim of radius R, foreshortened by c = cos(tilt), moves across itself by c/q of a shift along φ on
/// the plate, and a piece of it is R q dφ long, with q² = cos²φ + c² sin²φ: each angle counts c²/q.
fn seen_share(tilt_rad: f64) -> [f64; 2] {
    const ANGLES: u32 = 360;
    let c = tilt_rad.cos();
    let (mut along, mut across) = (0.0, 0.0);
    for number in 0..ANGLES {
        let (sin, cos) = (f64::from(number) * TAU / f64::from(ANGLES)).sin_cos();
        let counts = c * c / (cos * cos + c * c * sin * sin).sqrt() / f64::from(ANGLES);
        along += counts * cos * cos;
        across += counts * sin * sin;
    }
    [1.0 / (0.25 / along + 0.25 / across), along + across]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The textbook's scan lines round a full circle: sigma² 2/n of a coordinate of the centre, sigma²/n of the radius
    /// (by hand: the normal equations of a circle through n points all round are diagonal with n/2, n/2 and n).
    #[test]
    fn without_rounding_it_is_the_textbooks() {
        let scene = Scene { radius_px: 200.0, tilt_deg: 0.0, blur_px: 1.0, contrast: 0.4, noise: 0.05 };
        let s = (1.0_f64 + 1.0 / 12.0).sqrt();
        let line = scene.noise / scene.contrast * (2.0 * PI.sqrt() * s).sqrt();
        let n = TAU * scene.radius_px;
        let bound = scene.bound();
        assert!((bound.centre_px / (line * (2.0 / n).sqrt()) - 1.0).abs() < 0.005, "centre: {bound:?}");
        // Two levels settled over 20 px to each side cost the radius: 1 / (1 - 2 sqrt(pi) s / 40) of its variance.
        let levels = (1.0 - 2.0 * PI.sqrt() * s / (2.0 * BEYOND_PX)).sqrt();
        assert!((bound.radius_px / (line / n.sqrt() / levels) - 1.0).abs() < 0.01, "radius: {bound:?}");
    }

    #[test]
    fn a_slant_leaves_less_of_it() {
        assert!((seen_share(0.0)[0] - 1.0).abs() + (seen_share(0.0)[1] - 1.0).abs() < 1e-12, "square on");
        // To the second order of the tilt each angle counts 1 - tilt² (1 - sin²φ / 2).
        let tilt = 0.1;
        let [_, radius] = seen_share(tilt);
        assert!((radius - (1.0 - 0.75 * tilt * tilt)).abs() < 1e-4, "{radius}");
    }
}
