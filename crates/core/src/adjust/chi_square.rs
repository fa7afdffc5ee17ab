//! The chi-square distribution's upper tail.

/// Lanczos' coefficients for g = 7 (Godfrey 2001), good to 15 digits.
const LANCZOS: [f64; 9] = [
    0.999_999_999_999_809_9,
    676.520_368_121_885_1,
    -1_259.139_216_722_402_8,
    771.323_428_777_653_1,
    -176.615_029_162_140_6,
    12.507_343_278_686_905,
    -0.138_571_095_265_720_12,
    9.984_369_578_019_572e-6,
    1.505_632_735_149_311_6e-7,
];

/// ln gamma(x) for x >= 0.5.
fn ln_gamma(x: f64) -> f64 {
    let x = x - 1.0;
    let series = LANCZOS[1..].iter().zip(1..).fold(LANCZOS[0], |sum, (c, i)| sum + c / (x + f64::from(i)));
    let t = x + 7.5;
    0.5 * (2.0 * std::f64::consts::PI).ln() + (x + 0.5) * t.ln() - t + series.ln()
}

/// Terms of the series or fraction: enough for a million degrees of freedom.
const MAX_TERMS: usize = 20_000;

/// Chance that a chi-square of `dof` degrees of freedom is larger than `square_sum`: the regularised upper incomplete
/// gamma function Q(dof/2, `square_sum`/2), by its series below the hump and by Legendre's continued fraction (in Lentz's
/// form) above it (Abramowitz and Stegun 6.5.29, 6.5.31). 1 for no degrees of freedom.
pub fn survival(square_sum: f64, dof: usize) -> f64 {
    let (a, x) = (0.5 * dof as f64, 0.5 * square_sum);
    if dof == 0 || x <= 0.0 {
        return 1.0;
    }
    let front = (a * x.ln() - x - ln_gamma(a)).exp();
    if x < a + 1.0 {
        let (mut term, mut sum) = (1.0 / a, 1.0 / a);
        for n in 1..MAX_TERMS {
            term *= x / (a + n as f64);
            sum += term;
            if term < sum * f64::EPSILON {
                break;
            }
        }
        return (1.0 - front * sum).clamp(0.0, 1.0);
    }
    let mut b = x + 1.0 - a;
    let (mut c, mut d) = (1.0 / f64::MIN_POSITIVE, 1.0 / b);
    let mut fraction = d;
    for n in 1..MAX_TERMS {
        let n = n as f64;
        let an = -n * (n - a);
        b += 2.0;
        d = 1.0 / (an * d + b);
        c = b + an / c;
        let factor = c * d;
        fraction *= factor;
        if (factor - 1.0).abs() < f64::EPSILON {
            break;
        }
    }
    (front * fraction).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::survival;

    #[test]
    fn quantiles_of_the_scaled_root() {
        // 95 % limits of root(chi-square / f), printed by GNU Gama 2.33 and equal to SciPy's to the digits shown.
        for (dof, low, high) in [
            (1, 0.0313, 2.2414),
            (3, 0.2682, 1.7653),
            (5, 0.4077, 1.6020),
            (10, 0.5698, 1.4312),
            (14, 0.6341, 1.3659),
            (15, 0.6461, 1.3537),
            (30, 0.7481, 1.2514),
        ] {
            for (limit, tail) in [(low, 0.975), (high, 0.025)] {
                let at = |root: f64| survival(root * root * f64::from(dof), dof as usize);
                let (more, less) = (at(limit - 5e-5), at(limit + 5e-5));
                assert!(less < tail && tail < more, "f = {dof}: {less} < {tail} < {more}");
            }
        }
    }

    #[test]
    fn two_degrees_of_freedom_are_an_exponential() {
        for x in [0.1, 1.0, 2.9, 3.1, 10.0, 60.0] {
            let exact = f64::exp(-0.5 * x);
            assert!((survival(x, 2) - exact).abs() < 1e-14, "at {x}");
        }
    }

    #[test]
    fn the_normal_quantile_of_baarda_squared() {
        // 3.290527 is the two-sided quantile at 0.001, so its square is that of chi-square with one degree.
        assert!((survival(3.290_526_731_491_9_f64.powi(2), 1) - 0.001).abs() < 1e-14, "one in a thousand");
    }

    #[test]
    fn the_ends() {
        assert!((survival(0.0, 7) - 1.0).abs() < 1e-15, "everything is larger than nothing");
        assert!(survival(1e6, 7) < 1e-300, "nothing is that large");
        assert!((survival(100_000.0, 100_000) - 0.499).abs() < 1e-3, "many degrees: about half");
    }
}
