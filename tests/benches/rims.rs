//! How long it takes to measure one rim of 300 px across.

use criterion::{Criterion, criterion_group, criterion_main};
use platewright_core::edge::{Picture, RimStart, measure_rim};
use platewright_core::space::{PlatePoint, PlateVec};
use platewright_synth::{Camera, Look, Plate, RoundHole, render};
use platewright_tests::map_of;
use std::hint::black_box;

fn one_rim(criterion: &mut Criterion) {
    let size = [400, 400];
    let camera = Camera::looking_down(size, 3000.0, 300.0, [0.1, 0.5, 0.0]);
    let hole = RoundHole { centre: [0.3, -0.2], diameter: 30.0 };
    let outline = vec![[-90.0, -90.0], [90.0, -90.0], [90.0, 90.0], [-90.0, 90.0]];
    // Thick enough for the wall to show beside half of the rim.
    let plate = Plate { outline, holes: vec![hole], thickness: 6.0 };
    let bytes = render(&plate, &camera, size, &Look::default(), 1);
    let picture = Picture::from_srgb(size, &bytes).expect("the renderer makes whole pictures");
    let map = map_of(&camera);
    let centre = PlatePoint::from(hole.centre) + PlateVec::new(0.2, 0.1);
    let start = RimStart { centre, radius_mm: 15.1, reach_px: 9.0 };
    criterion.bench_function("one rim of 300 px across", |bencher| {
        bencher.iter(|| measure_rim(black_box(&picture), &map, &start));
    });
}

criterion_group!(benches, one_rim);
criterion_main!(benches);
