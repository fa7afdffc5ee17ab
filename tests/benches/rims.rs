//! How long it takes to measure one rim of 300 px across, and all rims of the demo's photo of 12 Mpx.
//!
//! No general-purpose library that we know does the same work: a circle on a tilted plane from edges below the pixel,
//! with what it is good to. What stands beside it, on the same pixels in the same run, is the first step that such a
//! library offers, edges in whole pixels by Canny's method, from which the circle would still have to be found.

use criterion::{Criterion, criterion_group, criterion_main};
use image::{RgbImage, imageops};
use imageproc::edges::canny;
use platewright::files::load_photo;
use platewright_core::camera::PlateMap;
use platewright_core::edge::{Picture, RimStart, measure_rim, measure_rims};
use platewright_core::instrument::Instrument;
use platewright_core::job;
use platewright_core::solution::{Inputs, solve};
use platewright_core::space::{PlatePoint, PlateVec};
use platewright_synth::{Camera, Look, Plate, RoundHole, render};
use platewright_tests::{map_of, project_dir};
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
    measure_rim(&picture, &map, &start).expect("the rim is found");
    criterion.bench_function("one rim of 300 px across", |bencher| {
        bencher.iter(|| measure_rim(black_box(&picture), &map, &start));
    });
    let image = RgbImage::from_raw(size[0], size[1], bytes.clone()).expect("the renderer makes whole pictures");
    let grey = imageops::grayscale(&image);
    criterion.bench_function("edges in whole pixels of the same 400 x 400 px by imageproc", |bencher| {
        bencher.iter(|| canny(black_box(&grey), 50.0, 100.0));
    });
}

/// The demo's photo with its camera and starts from its picks.
fn demo() -> (std::path::PathBuf, PlateMap, Vec<RimStart>) {
    let folder = project_dir().join("demo");
    let text =
        std::fs::read_to_string(folder.join("milk-valve-flange.plate.json")).expect("the demo job is in the project");
    let job = job::read(&text).expect("the demo job is a job");
    let photo = folder.join(&job.photo.file);
    let loaded = load_photo(&photo).expect("the demo's photo is in the project");
    let inputs = Inputs { job: &job, exif_focal_px: loaded.exif_focal_px, instrument: Instrument::CALIPER, seen: None };
    let map = solve(&inputs).map.expect("the demo has a camera");
    let starts = job.holes.iter().filter(|hole| hole.rim.len() > 2);
    let starts = starts.map(|hole| {
        RimStart::from_picks(&map, &hole.rim, hole.sigma_px.unwrap_or(1.5)).expect("the picks make a circle")
    });
    (photo, map, starts.collect())
}

fn all_rims_of_a_photo(criterion: &mut Criterion) {
    let (photo, map, starts) = demo();
    let measure = |image: &RgbImage| {
        let picture = Picture::from_srgb([image.width(), image.height()], image.as_raw()).expect("a whole picture");
        measure_rims(&picture, &map, &starts)
    };
    let loaded = load_photo(&photo).expect("the demo's photo is in the project");
    assert!(measure(&loaded.image).iter().all(Result::is_ok), "every rim of the demo is found");
    let name = format!("all {} rims of a photo of 12 Mpx", starts.len());
    criterion.bench_function(&name, |bencher| bencher.iter(|| measure(black_box(&loaded.image))));
    let mut group = criterion.benchmark_group("from the file");
    group.sample_size(10);
    group.bench_function(&name, |bencher| {
        bencher.iter(|| load_photo(black_box(&photo)).map(|loaded| measure(&loaded.image)));
    });
    group.finish();
}

criterion_group!(benches, one_rim, all_rims_of_a_photo);
criterion_main!(benches);
