//! How long a re-solve of the demo job takes: adjustment from five starts, covariance, reliability, measure next, outline.

use criterion::{Criterion, criterion_group, criterion_main};
use platewright_core::instrument::Instrument;
use platewright_core::job;
use platewright_core::solution::{Inputs, solve};
use platewright_tests::project_dir;
use std::hint::black_box;

fn re_solve(criterion: &mut Criterion) {
    let path = project_dir().join("demo/milk-valve-flange.plate.json");
    let text = std::fs::read_to_string(path).expect("the demo job is in the project");
    let job = job::read(&text).expect("the demo job is a job");
    // 26 mm equivalent of a 4:3 photo of 4000 x 3000 px by the diagonal rule, as the demo photo says of itself.
    let inputs =
        Inputs { job: &job, exif_focal_px: Some(26.0 * 5000.0 / 43.2666), instrument: Instrument::CALIPER, seen: None };
    criterion.bench_function("re-solve of the demo job", |bencher| bencher.iter(|| solve(black_box(&inputs))));
}

criterion_group!(benches, re_solve);
criterion_main!(benches);
