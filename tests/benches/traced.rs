//! How long a frame takes while a node of a followed outline is dragged: its two pieces followed anew, and all that follows
//! from it; and what may have been meant, which is asked for when it is let go.

use criterion::{Criterion, criterion_group, criterion_main};
use platewright_core::edge::Picture;
use platewright_core::instrument::Instrument;
use platewright_core::seen::look_again;
use platewright_core::solution::{Inputs, solve, solve_in_hand, solve_photo};
use platewright_core::space::PhotoVec;
use platewright_tests::{Case, shared_dir, skip, traced};
use std::hint::black_box;

/// The cases with the longest edges, in px.
const LONGEST: [&str; 2] = ["01_milk_pump_cover", "09_seeder_gearbox_cover"];

fn dragging(criterion: &mut Criterion) {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in LONGEST {
        let case = Case::read(&shared, name);
        let image = case.pixels();
        let picture = Picture::from_srgb([image.width(), image.height()], image.as_raw()).expect("a whole picture");
        let job = traced(&case);
        let inputs = Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None };
        let (seen, solution) = solve_photo(&inputs, &picture, &|| true).expect("nobody stops it");
        let map = solution.map.expect("the clicks and measures give a camera");
        let places = solution.contours[0].measured.as_ref().map_or(0, |measured| measured.places.len());
        let mut moved = job.clone();
        moved.contours[0].nodes[3].at = job.contours[0].nodes[3].at + PhotoVec::new(1.0, -1.0);
        criterion.bench_function(&format!("{name}, {places} places: follow beside a node"), |bencher| {
            bencher.iter(|| look_again(black_box(&moved), &picture, &map, &seen));
        });
        let inputs = Inputs { seen: Some(&seen), ..inputs };
        criterion.bench_function(&format!("{name}, {places} places: solve in hand"), |bencher| {
            bencher.iter(|| solve_in_hand(black_box(&inputs)));
        });
        criterion.bench_function(&format!("{name}, {places} places: solve with suggestions"), |bencher| {
            bencher.iter(|| solve(black_box(&inputs)));
        });
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = dragging
}
criterion_main!(benches);
