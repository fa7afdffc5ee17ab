//! Plain circle and line fits against what is published of them; the classic point sets (Gander, Golub and Strebel; the
//! SciPy cookbook) are beside the code in `crates/core/src/fit/circle.rs`.

use platewright_core::fit::{Circle, geometric, kasa, orthogonal_line, taubin};
use platewright_synth::Random;
use std::f64::consts::TAU;

/// The set "Norris" of the reference data for linear regression by NIST: calibration of ozone monitors.
const NORRIS: [(f64, f64); 36] = [
    (0.2, 0.1),
    (337.4, 338.8),
    (118.2, 118.1),
    (884.6, 888.0),
    (10.1, 9.2),
    (226.5, 228.1),
    (666.3, 668.5),
    (996.3, 998.5),
    (448.6, 449.1),
    (777.0, 778.9),
    (558.2, 559.2),
    (0.4, 0.3),
    (0.6, 0.1),
    (775.5, 778.1),
    (666.9, 668.8),
    (338.0, 339.3),
    (447.5, 448.9),
    (11.6, 10.8),
    (556.0, 557.7),
    (228.1, 228.3),
    (995.8, 998.0),
    (887.6, 888.8),
    (120.2, 119.6),
    (0.3, 0.3),
    (0.3, 0.6),
    (556.8, 557.6),
    (339.1, 339.3),
    (887.2, 888.0),
    (999.0, 998.5),
    (779.0, 778.9),
    (11.1, 10.2),
    (118.3, 117.6),
    (229.2, 228.9),
    (669.1, 668.4),
    (448.9, 449.2),
    (0.5, 0.2),
];

/// The certified slope and the sums of squares due to the regression and about it. They hold all second moments of the
/// points: the regression's slope is Sxy / Sxx, its two sums are slope² Sxx and Syy less that.
#[test]
fn norris_line_follows_from_the_certified_figures() {
    let (slope, due, about) = (1.002_116_818_020_45, 4_255_954.131_232_369, 26.617_398_529_422_4);
    let (intercept, n) = (-0.262_323_073_774_029, NORRIS.len() as f64);
    let sxx = due / (slope * slope);
    let (sxy, syy) = (slope * sxx, due + about);
    let points = NORRIS.map(|(x, y)| [x, y]);
    let line = orthogonal_line(&points).expect("the points are not one place");
    let [x, y] = line.through;
    assert!((intercept + slope * x - y).abs() < 1e-10, "both lines go through the middle of the points");
    // The larger axis of the scatter: tan of twice its angle is 2 Sxy / (Sxx - Syy); across it lies the smaller one.
    let angle = 0.5 * (2.0 * sxy).atan2(sxx - syy);
    let across = 0.5 * (sxx + syy) - (0.5 * (sxx - syy)).hypot(sxy);
    let [dx, dy] = line.direction;
    assert!((dy.atan2(dx) - angle).abs() < 1e-12, "direction {:.15}, not {angle}", dy.atan2(dx));
    assert!((line.rms - (across / n).sqrt()).abs() < 1e-8, "off by {} on the root mean square", line.rms);
}

/// Al-Sharadqah and Chernov, Error analysis for circle fitting algorithms, Electronic Journal of Statistics 3 (2009), 886 to
/// 911: the essential bias of the radius is 1, 2 and 2 times sigma² / 2R for the geometric fit, Taubin's and, on a full
/// circle, Kåsa's. Of this set-up a simulation apart from ours gave 1.00, 1.99 and 1.99, each to 0.04.
#[test]
fn radii_are_too_large_by_what_theory_says() {
    const RUNS: u32 = 800;
    const POINTS: u32 = 400;
    let (radius, sigma) = (10.0, 0.5);
    let unit = sigma * sigma / (2.0 * radius);
    let mut random = Random::new(2009);
    let mut sums = [0.0; 3];
    for _ in 0..RUNS {
        let points: Vec<[f64; 2]> = (0..POINTS)
            .map(|number| {
                let (sin, cos) = (TAU * f64::from(number) / f64::from(POINTS)).sin_cos();
                [radius * cos + random.normal(sigma), radius * sin + random.normal(sigma)]
            })
            .collect();
        let fits = [geometric(&points).map(|fit| fit.circle), taubin(&points), kasa(&points)];
        for (sum, fit) in sums.iter_mut().zip(fits) {
            let Circle { radius: found, .. } = fit.expect("the points make a circle");
            *sum += (found - radius) / unit / f64::from(RUNS);
        }
    }
    // A radius scatters by sigma / 20, twice the unit: the mean of 800 is good to 0.07 of it, four times which is 0.28.
    for (name, found, expected) in [("geometric", sums[0], 1.0), ("Taubin", sums[1], 2.0), ("Kåsa", sums[2], 2.0)] {
        assert!((found - expected).abs() < 0.28, "{name}: biased by {found:.3} times sigma²/2R, not {expected}");
    }
}

/// Of points at equal steps of an arc of half angle b the cofactors follow from s = sin b / b, c = (1 + sin 2b / 2b) / 2 and
/// d = 1 - c: n times them is 1 / (c - s²) along the bisector, 1 / d across it and c / (c - s²) of the radius, but for terms
/// of 1/n. By hand from the normal equations; a table of them is worked out for many points.
#[test]
fn cofactors_of_arcs_are_those_of_the_formula() {
    for (arc_deg, along, across, of_radius) in [
        (360.0_f64, 2.0, 2.0, 1.0),
        (180.0, 10.558, 2.0, 5.279),
        (120.0, 43.801, 3.410, 30.957),
        (90.0, 129.19, 5.504, 105.72),
        (60.0, 622.66, 11.560, 568.80),
    ] {
        const POINTS: u32 = 20_000;
        let points: Vec<[f64; 2]> = (0..POINTS)
            .map(|number| {
                let share = (f64::from(number) + 0.5) / f64::from(POINTS) - 0.5;
                let (sin, cos) = (arc_deg.to_radians() * share).sin_cos();
                [3.0 + 7.0 * cos, 7.0 * sin - 2.0]
            })
            .collect();
        let cofactor = geometric(&points).expect("the points lie on a circle").cofactor;
        for (i, expected) in [along, across, of_radius].into_iter().enumerate() {
            let found = f64::from(POINTS) * cofactor[i][i];
            assert!((found / expected - 1.0).abs() < 1e-4, "{arc_deg}°, unknown {i}: {found}, not {expected}");
        }
    }
}
