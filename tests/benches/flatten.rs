//! How long it takes to flatten a photo of 12 Mpx, and what OpenCV takes for its warps of the same photo on as many threads.
//!
//! `here` works out where each pixel lies, lens and slant, and its colour. OpenCV's `remap` is handed all places, worked out
//! beforehand; its `warpPerspective` works them out without a lens; `maps and remap` works them out with one. The two take
//! turns, so that whatever else the machine does meets both. Writing the PNG is timed by itself.

use criterion::{Criterion, criterion_group, criterion_main};
use platewright::files::LoadedPhoto;
use platewright::flatten::{Flat, fill};
use platewright_core::camera::{FlatFrame, Lens, Pixels, PlateMap, Pose};
use platewright_core::space::PhotoPoint;
use platewright_tests::{project_dir, skip};
use rayon::ThreadPoolBuilder;
use std::fs;
use std::hint::black_box;
use std::io::{BufRead as _, BufReader, Write as _};
use std::process::{Command, Stdio};
use std::time::Instant;

const SIZE: [u32; 2] = [4000, 3000];
const THREADS: usize = 2;
const TURNS: usize = 40;

/// The demo's photo, by a camera whose lens bends, held at a slant; the picture has as many pixels as the photo.
fn case() -> (LoadedPhoto, PlateMap, FlatFrame) {
    let photo = platewright::files::load_photo(&project_dir().join("demo/milk-valve-flange.jpg"));
    let lens =
        Lens { k1: -0.1, k2: 0.02, p1: 5e-4, p2: -4e-4, ..Lens::pinhole(3000.0, PhotoPoint::new(2000.0, 1500.0)) };
    let map = PlateMap::new(lens, Pose { distance_mm: 300.0, tilt_a_rad: 0.1, tilt_b_rad: -0.08 });
    let frame = FlatFrame { px_per_mm: 10.5, size: SIZE, origin_px: [2000, 1500] };
    (photo.expect("the demo's photo is in the project"), map, frame)
}

fn flattening(criterion: &mut Criterion) {
    let (photo, map, frame) = case();
    assert_eq!(photo.size(), SIZE, "12 Mpx");
    let pixels = Pixels::new(SIZE, photo.image.as_raw()).expect("a whole photo");
    let mut srgb = vec![0; 3 * frame.pixels() as usize];
    ThreadPoolBuilder::new().num_threads(THREADS).build_global().expect("threads start once");
    criterion.bench_function("flatten 12 Mpx", |bencher| {
        bencher.iter(|| fill(black_box(&pixels), &map, &frame, &mut srgb));
    });
    in_turns(&pixels, &map, &frame, &mut srgb, photo.image.as_raw());
    let flat = Flat { frame, srgb };
    criterion.bench_function("write its PNG to memory", |bencher| bencher.iter(|| black_box(&flat).png("")));
}

/// Ours and OpenCV's in turns: prints the least and the middle of each, and ours as a share of OpenCV's.
#[expect(clippy::print_stdout, reason = "figures that are compared are printed")]
fn in_turns(pixels: &Pixels<'_>, map: &PlateMap, frame: &FlatFrame, srgb: &mut [u8], raw: &[u8]) {
    let Some(python) = std::env::var_os("PLATEWRIGHT_PYTHON") else {
        return skip("PLATEWRIGHT_PYTHON names no Python with OpenCV; tests/run.sh sets one up");
    };
    let folder = tempfile::tempdir().expect("there is room");
    let [photo_file, maps_file] = ["photo.rgb", "maps.f32"].map(|name| folder.path().join(name));
    fs::write(&photo_file, raw).expect("it is written");
    fs::write(&maps_file, maps(map, frame)).expect("they are written");
    let [width, height] = SIZE.map(|side| side.to_string());
    let mut opencv = Command::new(python)
        .arg(project_dir().join("tests/judges/flatten_bench.py"))
        .args([photo_file.as_os_str(), width.as_ref(), height.as_ref(), maps_file.as_os_str()])
        .args([&width, &height, &THREADS.to_string()])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("Python starts");
    let mut ask = opencv.stdin.take().expect("it is asked");
    let mut answers = BufReader::new(opencv.stdout.take().expect("it answers"));
    let mut times: [Vec<f64>; 4] = Default::default();
    for _ in 0..TURNS {
        let started = Instant::now();
        fill(black_box(pixels), map, frame, srgb);
        times[0].push(started.elapsed().as_secs_f64());
        ask.write_all(b"\n").expect("it listens");
        let mut line = String::new();
        answers.read_line(&mut line).expect("it answers");
        let theirs = line.split_whitespace().map(|word| word.parse::<f64>().expect("seconds"));
        times[1..].iter_mut().zip(theirs).for_each(|(list, time)| list.push(time));
    }
    drop(ask);
    opencv.wait().expect("it ends");
    for list in &mut times {
        list.sort_by(f64::total_cmp);
    }
    let ours = times[0].clone();
    let names = ["here, places and colours", "remap, places given", "warpPerspective, no lens", "maps and remap"];
    for (name, list) in names.iter().zip(&times) {
        let (least, middle) = (list[0], list[TURNS / 2]);
        println!(
            "{name:26} least {:6.1} ms, middle {:6.1} ms; here takes {:.2} and {:.2} of that",
            1e3 * least,
            1e3 * middle,
            ours[0] / least,
            ours[TURNS / 2] / middle
        );
    }
}

/// Where each pixel lies in the photo, all x, then all y, as OpenCV wants to be handed it.
fn maps(map: &PlateMap, frame: &FlatFrame) -> Vec<u8> {
    let place = |x: u32, y: u32| map.photo_from_plate(frame.plate_from_flat([f64::from(x), f64::from(y)]));
    let all = (0..SIZE[1]).flat_map(|y| (0..SIZE[0]).map(move |x| place(x, y)));
    let places: Vec<PhotoPoint> = all.map(|place| place.unwrap_or(PhotoPoint::new(-9.0, -9.0))).collect();
    let x = places.iter().flat_map(|place| (place.x as f32).to_le_bytes());
    x.chain(places.iter().flat_map(|place| (place.y as f32).to_le_bytes())).collect()
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20);
    targets = flattening
}
criterion_main!(benches);
