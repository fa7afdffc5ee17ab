//! How long it takes to follow an outline of about 4,000 px from rough nodes, and to propose one in a photo of 12 Mpx.

use criterion::{Criterion, criterion_group, criterion_main};
use platewright_core::edge::{FaceSide, Picture, follow_edge, propose_outline};
use platewright_core::space::{PhotoPoint, PlatePoint};
use platewright_synth::{Camera, Look, Plate, Random, RoundHole, render};
use platewright_tests::map_of;
use std::hint::black_box;

const SIZE: [u32; 2] = [4000, 3000];

/// Sides of 40 mm and 26 to 30 mm at 10 px per mm, ten of them: about 4,000 px.
const CORNERS: [[f64; 2]; 10] = [
    [-60.0, -45.0],
    [-20.0, -50.0],
    [20.0, -50.0],
    [60.0, -45.0],
    [75.0, -10.0],
    [70.0, 30.0],
    [35.0, 50.0],
    [-5.0, 52.0],
    [-45.0, 48.0],
    [-70.0, 15.0],
];

fn outline(criterion: &mut Criterion) {
    let camera = Camera::looking_down(SIZE, 3000.0, 300.0, [0.1, 0.5, 0.0]);
    let holes = [[-30.0, -20.0], [30.0, -20.0], [0.0, 25.0]].map(|centre| RoundHole { centre, diameter: 9.0 }).to_vec();
    let plate = Plate { outline: CORNERS.to_vec(), holes, thickness: 6.0 };
    let bytes = render(&plate, &camera, SIZE, &Look::default(), 1);
    let picture = Picture::from_srgb(SIZE, &bytes).expect("the renderer makes whole pictures");
    let map = map_of(&camera);
    let mut random = Random::new(3);
    let seen = |[x, y]: [f64; 2]| camera.photo_from_plate([x, y, 0.0]);
    let nodes = CORNERS.map(|corner| {
        let [u, v] = seen(corner);
        PhotoPoint::new(u + random.between(-3.0, 3.0), v + random.between(-3.0, 3.0))
    });
    let followed = follow_edge(&picture, &map, &nodes, true, FaceSide::Left, 10.0, None);
    let points: usize = followed.pieces.iter().map(|piece| piece.points.len()).sum();
    assert!(points > 400, "{points} points every eight px");
    criterion.bench_function("follow 4,000 px of outline", |bencher| {
        bencher.iter(|| follow_edge(black_box(&picture), &map, &nodes, true, FaceSide::Left, 10.0, None));
    });
    let known: Vec<(PlatePoint, f64)> =
        plate.holes.iter().map(|hole| (PlatePoint::from(hole.centre), 0.5 * hole.diameter)).collect();
    let click = PhotoPoint::from(seen([0.0, 0.0]));
    let proposal = propose_outline(&picture, &map, click, &known, None, &mut |_| true).expect("the plate is there");
    assert!(proposal.openings.is_empty(), "all holes are known");
    criterion.bench_function("propose an outline, 12 Mpx", |bencher| {
        bencher.iter(|| propose_outline(black_box(&picture), &map, click, &known, None, &mut |_| true));
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = outline
}
criterion_main!(benches);
