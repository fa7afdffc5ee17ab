//! What an adjustment of many holes costs, and what it costs with ten times as many.

use criterion::{Criterion, criterion_group, criterion_main};
use platewright_core::adjust::{adjust, next_lengths};
use platewright_tests::crowded;
use std::hint::black_box;
use std::time::Duration;

fn re_solve(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("re-solve with covariance and reliability");
    group.measurement_time(Duration::from_secs(4)).sample_size(20);
    for (holes, points, lengths) in [(60, 100, 100), (600, 100, 1000), (1000, 3, 100)] {
        let problem = crowded(holes, points, lengths);
        let name = format!("{holes} holes, {points} points each, {lengths} lengths");
        group.bench_function(name, |bencher| {
            bencher.iter(|| adjust(black_box(&problem)).map(|adjusted| adjusted.reliability()));
        });
    }
    group.finish();
}

fn measure_next(criterion: &mut Criterion) {
    let problem = crowded(60, 100, 100);
    let adjusted = adjust(&problem).expect("the camera sees every pick");
    criterion.bench_function("measure next, 60 holes", |bencher| {
        bencher.iter(|| next_lengths(black_box(&adjusted), 5));
    });
}

criterion_group!(benches, re_solve, measure_next);
criterion_main!(benches);
