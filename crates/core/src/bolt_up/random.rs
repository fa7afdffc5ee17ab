//! Numbers that look random, the same for one seed on every machine.
//!
//! Even numbers come from a counter that is mixed (`SplitMix64`: Steele, Lea and Flood, OOPSLA 2014), normal ones from
//! the polar method (Marsaglia and Bray, SIAM Review 6, 1964). That needs a logarithm and a square root only: the root
//! is exact to the last bit by IEEE 754, and the logarithm is ours, since those of the systems' libraries differ there.

/// The golden ratio's share of 2^64, odd: the step of the counter.
const STEP: u64 = 0x9E37_79B9_7F4A_7C15;

/// A sequence of such numbers.
#[derive(Debug, Clone)]
pub(super) struct Random {
    counter: u64,
    /// The polar method makes two at a time.
    spare: Option<f64>,
}

impl Random {
    pub(super) fn new(seed: u64) -> Self {
        Self { counter: seed, spare: None }
    }

    fn bits(&mut self) -> u64 {
        self.counter = self.counter.wrapping_add(STEP);
        let mut z = self.counter;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Evenly from -1 to 1, a multiple of 2^-52.
    fn even(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
    }

    /// Normally about zero with standard deviation one.
    pub(super) fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        loop {
            let (u, v) = (self.even(), self.even());
            let square = u * u + v * v;
            if square > 0.0 && square < 1.0 {
                let factor = (-2.0 * ln(square) / square).sqrt();
                self.spare = Some(v * factor);
                return u * factor;
            }
        }
    }
}

/// Terms of the logarithm's series: the next is under 2^-56 of the sum.
const LN_TERMS: u32 = 11;

/// Natural logarithm of a normal number greater than zero, by sums, products and quotients alone: with `x = m 2^k` and
/// m between the roots of 1/2 and 2, `ln x = k ln 2 + 2 artanh((m - 1) / (m + 1))` (Abramowitz and Stegun 4.1.27).
fn ln(x: f64) -> f64 {
    let (mut m, mut k) = (x, 0.0);
    // The squares of the polar method are 2^-104 at least.
    while m < std::f64::consts::FRAC_1_SQRT_2 {
        m *= 2.0;
        k -= 1.0;
    }
    while m > std::f64::consts::SQRT_2 {
        m *= 0.5;
        k += 1.0;
    }
    let t = (m - 1.0) / (m + 1.0);
    let square = t * t;
    let series = (0..LN_TERMS).rev().fold(0.0, |sum, i| sum * square + 1.0 / f64::from(2 * i + 1));
    k * std::f64::consts::LN_2 + 2.0 * t * series
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_sequence() {
        // Outputs for the seed 1234567, widely printed with ports of the generator (from memory).
        let mut random = Random::new(1_234_567);
        let found: [u64; 3] = std::array::from_fn(|_| random.bits());
        assert_eq!(
            found,
            [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423],
            "SplitMix64"
        );
    }

    #[test]
    fn the_logarithm_is_that_of_the_library() {
        for i in 1..20_000_i32 {
            let x = f64::from(i) * 5e-5;
            for x in [x, x * x * x * 1e-9] {
                let off = (ln(x) - x.ln()).abs();
                assert!(off <= 4.0 * f64::EPSILON * x.ln().abs().max(0.1), "ln {x} is off by {off:.1e}");
            }
        }
        assert_eq!(ln(1.0).to_bits(), 0.0_f64.to_bits(), "ln 1");
    }

    #[test]
    fn normal_numbers_have_the_moments_of_the_normal_distribution() {
        let mut random = Random::new(7);
        let n = 200_000;
        let draws: Vec<f64> = (0..n).map(|_| random.normal()).collect();
        // Moments 1 to 4 are 0, 1, 0, 3; the standard errors are those of the sample moments.
        for (power, moment, variance) in [(1, 0.0, 1.0), (2, 1.0, 2.0), (3, 0.0, 15.0), (4, 3.0, 96.0)] {
            let mean = draws.iter().map(|x| x.powi(power)).sum::<f64>() / f64::from(n);
            let error = f64::sqrt(variance / f64::from(n));
            assert!((mean - moment).abs() < 4.0 * error, "moment {power} is {mean}, not {moment} ± {error}");
        }
        // Neighbours, which come from one pair of even numbers, do not hang together.
        let product = draws.chunks(2).map(|pair| pair[0] * pair[1]).sum::<f64>() / f64::from(n / 2);
        assert!(product.abs() < 4.0 / f64::from(n / 2).sqrt(), "neighbours: {product}");
    }
}
