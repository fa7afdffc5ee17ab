//! How long it takes to make an outline fair: edges of the public cases with 0.1 and 0.3 px of noise and 2 % strays, as
//! far as they are beside the project, and a plain outline of 10,000 points.

use criterion::{Criterion, criterion_group, criterion_main};
use platewright_core::fair::{EdgePoint, Wanted, fair};
use platewright_core::space::PlatePoint;
use platewright_synth::Random;
use platewright_tests::edges::{EdgeNoise, edge_points};
use platewright_tests::{CASES, Case, shared_dir, skip};
use std::f64::consts::TAU;
use std::hint::black_box;

fn public_cases(criterion: &mut Criterion) {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in CASES {
        let sigma_px = if name.starts_with("09") || name.starts_with("11") { 0.3 } else { 0.1 };
        let noise = EdgeNoise { step_px: 4.0, sigma_px, strays: 0.02, seed: 1 };
        let points = edge_points(&Case::read(&shared, name), &noise);
        criterion.bench_function(&format!("{name}, {} points", points.len()), |bencher| {
            bencher.iter(|| fair(black_box(&points), &Wanted::closed_outer()));
        });
    }
}

/// An oval with a flat side, and points that are nothing but noise: the longest runs, and the shortest.
fn many_points(criterion: &mut Criterion) {
    let mut random = Random::new(3);
    let point = |x: f64, y: f64| EdgePoint { at: PlatePoint::new(x, y), sigma_mm: 0.01, pinned: false };
    let oval = |k: u32| {
        let t = f64::from(k) / 1e4 * TAU;
        point((90.0 * t.cos()).min(70.0), 60.0 * t.sin())
    };
    let oval: Vec<EdgePoint> = (0..10_000).map(oval).collect();
    let cloud: Vec<EdgePoint> =
        (0..10_000).map(|_| point(random.between(-50.0, 50.0), random.between(-50.0, 50.0))).collect();
    for (name, points) in [("an oval", oval), ("a cloud", cloud)] {
        criterion.bench_function(&format!("{name} of 10,000 points"), |bencher| {
            bencher.iter(|| fair(black_box(&points), &Wanted::closed_outer()));
        });
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20);
    targets = public_cases, many_points
}
criterion_main!(benches);
