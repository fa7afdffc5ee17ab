//! Numbers that look random and follow from a seed.

/// A generator of the `SplitMix64` kind (Steele, Lea, Flood 2014), good enough for test noise.
#[derive(Debug, Clone)]
pub struct Random {
    state: u64,
}

impl Random {
    /// The sequence of `seed`.
    pub fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Evenly in [0, 1).
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Evenly in [`from`, `to`).
    pub fn between(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.unit()
    }

    /// Normally distributed with mean 0 and standard deviation `sigma` (Box and Muller 1958).
    pub fn normal(&mut self, sigma: f64) -> f64 {
        let radius = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        sigma * radius * (std::f64::consts::TAU * self.unit()).cos()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn normal_numbers_have_their_mean_and_spread() {
        let mut random = Random::new(7);
        let n = 20_000;
        let values: Vec<f64> = (0..n).map(|_| random.normal(2.0)).collect();
        let mean = values.iter().sum::<f64>() / f64::from(n);
        let variance = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / f64::from(n - 1);
        // Four standard errors of each.
        assert!(mean.abs() < 4.0 * 2.0 / f64::from(n).sqrt(), "mean {mean}");
        assert!((variance / 4.0 - 1.0).abs() < 4.0 * (2.0 / f64::from(n)).sqrt(), "variance {variance}");
    }
}
