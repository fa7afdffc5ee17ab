//! Tests of the adjustment as a whole, and what they share.

mod answers;
mod derivatives;
mod measured;
mod networks;
mod nist;
mod odd;
mod simulation;
mod statements;
mod trilateration;

use super::{Prior, Priors};

/// A camera that is known: 400 mm over the face, 10 px per mm.
fn held_camera() -> Priors {
    let values = [400_f64.ln(), 0.0, 0.0, 4000_f64.ln(), 2000.0, 1500.0, 0.0, 0.0, 0.0, 0.0];
    Priors(values.map(|value| Prior { value, sigma: 1e-9 }))
}

/// Numbers that look random, the same in every run (splitmix64, Steele, Lea and Flood 2014).
struct Draws(u64);

impl Draws {
    /// Evenly from 0 to 1.
    fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Normally about zero with standard deviation one (Box and Muller 1958).
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.even()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.even()).cos()
    }
}
