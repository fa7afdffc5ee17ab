//! What an adjustment of many holes costs: against ten times as many, and against a general-purpose solver.

use criterion::{Criterion, criterion_group, criterion_main};
use platewright_core::adjust::{Problem, adjust, next_lengths};
use platewright_core::instrument::Instrument;
use platewright_tests::{crowded, general_solver};
use std::hint::black_box;
use std::time::Duration;

/// Holes, measured points on each rim, lengths.
///
/// With ten times the holes, picks and lengths an evaluation costs ten times as much, yet the whole costs some forty
/// times: what the lengths tie together in rings is one dense panel of the factor, whose cost grows by its cube, and the
/// covariances of all pairs of lengths grow by the square of their number.
const SIZES: [(usize, usize, usize); 3] = [(60, 100, 100), (600, 100, 1000), (1000, 3, 100)];

fn solve(problem: &Problem) -> bool {
    adjust(problem).is_some_and(|adjusted| !adjusted.reliability().tested.is_empty())
}

fn re_solve(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("re-solve with covariance and reliability");
    group.measurement_time(Duration::from_secs(4)).sample_size(10);
    for (holes, points, lengths) in SIZES {
        let problem = crowded(holes, points, lengths);
        let name = format!("{holes} holes, {points} points each, {lengths} lengths");
        group.bench_function(name, |bencher| bencher.iter(|| solve(black_box(&problem))));
    }
    group.finish();
}

/// The library finds one minimum from one start, without covariances; what is held against it does more: five starts,
/// covariances, reliability.
fn against_a_general_solver(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("20 holes, 30 points each, 40 lengths");
    group.measurement_time(Duration::from_secs(4)).sample_size(10);
    let problem = crowded(20, 30, 40);
    group.bench_function("this adjustment", |bencher| bencher.iter(|| solve(black_box(&problem))));
    group.bench_function("levenberg-marquardt, dense", |bencher| {
        bencher.iter(|| general_solver(black_box(&problem)));
    });
    group.finish();
}

fn measure_next(criterion: &mut Criterion) {
    let problem = crowded(60, 100, 100);
    let adjusted = adjust(&problem).expect("the camera sees every pick");
    criterion.bench_function("measure next, 60 holes", |bencher| {
        bencher.iter(|| next_lengths(black_box(&adjusted), &Instrument::CALIPER, 5));
    });
}

criterion_group!(benches, re_solve, against_a_general_solver, measure_next);
criterion_main!(benches);
