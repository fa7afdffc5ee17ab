//! How long it takes to find every rim of a photo of 12 Mpx from one accepted hole.

use criterion::{Criterion, criterion_group, criterion_main};
use platewright_core::edge::{Picture, RimStart, find_rims};
use platewright_core::space::PlatePoint;
use platewright_synth::{Camera, Look, Plate, RoundHole, render};
use platewright_tests::map_of;
use std::hint::black_box;

fn others(criterion: &mut Criterion) {
    let size = [4000, 3000];
    let camera = Camera::looking_down(size, 3000.0, 300.0, [0.1, 0.5, 0.0]);
    let diameters = [6.6, 9.0, 11.0, 20.0];
    let hole = |number: u32| RoundHole {
        centre: [f64::from(number % 4).mul_add(50.0, -75.0), f64::from(number / 4).mul_add(45.0, -45.0)],
        diameter: diameters[number as usize % 4],
    };
    let holes: Vec<RoundHole> = (0..12).map(hole).collect();
    let outline = vec![[-110.0, -75.0], [110.0, -75.0], [110.0, 75.0], [-110.0, 75.0]];
    let plate = Plate { outline, holes, thickness: 6.0 };
    let bytes = render(&plate, &camera, size, &Look::default(), 1);
    let picture = Picture::from_srgb(size, &bytes).expect("the renderer makes whole pictures");
    let map = map_of(&camera);
    let RoundHole { centre, diameter } = hole(0);
    let accepted = RimStart { centre: PlatePoint::from(centre), radius_mm: 0.5 * diameter, reach_px: 8.0 };
    let offers = find_rims(&picture, &map, &accepted, &[], &mut |_| true).expect("nobody stops it");
    assert_eq!(offers.len(), 11, "every other hole is offered");
    criterion.bench_function("the others of twelve holes, 12 Mpx", |bencher| {
        bencher.iter(|| find_rims(black_box(&picture), &map, &accepted, &[], &mut |_| true));
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = others
}
criterion_main!(benches);
