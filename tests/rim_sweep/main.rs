//! Prints bias and scatter of measured rims over radius, tilt, blur, contrast and noise, against the least scatter that
//! is possible: `cargo run --release -p platewright-tests --bin rim_sweep`.

use platewright_core::edge::Verdict;
use platewright_tests::rims::Scene;

/// The scene from which one thing at a time is changed.
const USUAL: Scene = Scene { radius_px: 40.0, tilt_deg: 5.0, blur_px: 0.8, contrast: 0.4, noise: 0.01 };

/// Photos of each scene; large ones take longer to make and scatter less.
const fn photos(scene: &Scene) -> u64 {
    if scene.radius_px > 100.0 { 8 } else { 30 }
}

#[expect(clippy::print_stdout, reason = "the table is what this command is for")]
fn main() {
    println!("Errors of measured rims, px; bound is the Cramér-Rao bound of one coordinate of the centre");
    println!();
    println!(
        "| changed | radius | tilt, ° | blur | contrast | noise | found | trusted | radius bias | centre scatter | bound \
         | stated |"
    );
    println!("| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |");
    for radius_px in [4.0, 6.0, 8.0, 12.0, 20.0, 40.0, 80.0, 150.0, 300.0] {
        row("radius", &Scene { radius_px, ..USUAL });
    }
    for tilt_deg in [0.0, 5.0, 10.0, 15.0] {
        row("tilt", &Scene { tilt_deg, ..USUAL });
    }
    for blur_px in [0.5, 1.0, 1.5, 2.0] {
        row("blur", &Scene { blur_px, ..USUAL });
    }
    for contrast in [0.05, 0.1, 0.2, 0.4, 0.8] {
        row("contrast", &Scene { contrast, ..USUAL });
    }
    for noise in [0.002, 0.005, 0.01, 0.02, 0.04] {
        row("noise", &Scene { noise, ..USUAL });
    }
}

#[expect(clippy::print_stdout, reason = "the table is what this command is for")]
fn row(changed: &str, scene: &Scene) {
    let photos = photos(scene);
    let measured: Vec<_> = (1..=photos).filter_map(|seed| scene.measure(seed).ok()).collect();
    let n = measured.len() as f64;
    let trusted = measured.iter().filter(|(rim, _)| rim.verdict == Verdict::Trusted).count();
    let bias = measured.iter().map(|(_, error)| error.radius).sum::<f64>() / n;
    let square =
        measured.iter().map(|(_, error)| 0.5 * (error.centre[0].powi(2) + error.centre[1].powi(2))).sum::<f64>();
    let stated = measured.iter().map(|(rim, _)| stated_px(rim)).sum::<f64>() / n;
    println!(
        "| {changed} | {} | {} | {} | {} | {} | {} of {photos} | {trusted} | {bias:.4} | {:.4} | {:.4} | {stated:.4} |",
        scene.radius_px,
        scene.tilt_deg,
        scene.blur_px,
        scene.contrast,
        scene.noise,
        measured.len(),
        (square / n).sqrt(),
        scene.bound_px()
    );
}

/// The standard deviation of one coordinate of the centre that the points' own give, px.
fn stated_px(rim: &platewright_core::edge::RimMeasurement) -> f64 {
    let weights: f64 = rim.points.iter().map(|point| point.sigma_px.powi(-2)).sum();
    (2.0 / weights).sqrt()
}
