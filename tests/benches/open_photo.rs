//! How long it takes to open a photo of 48 megapixels, digest included.

use criterion::{Criterion, criterion_group, criterion_main};
use image::codecs::jpeg::JpegEncoder;
use image::{Rgb, RgbImage};
use platewright::files::load_photo;
use std::fs;
use std::hint::black_box;

/// A picture with slopes, steps and a little noise, as a photo has.
fn picture(width: u32, height: u32) -> RgbImage {
    let mut noise = 1_u32;
    RgbImage::from_fn(width, height, |x, y| {
        // A linear congruential generator (Knuth, The Art of Computer Programming 2, 3.3.4).
        noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let square = (x / 900 + y / 700) % 2 * 50;
        let grain = noise >> 28;
        Rgb([x / 64, y / 64, (x + y) / 128].map(|slope| (40 + slope + square + grain).min(255) as u8))
    })
}

fn open(criterion: &mut Criterion) {
    let folder = tempfile::tempdir().expect("there is room for a photo");
    let path = folder.path().join("photo.jpg");
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 93).encode_image(&picture(8064, 6048)).expect("it is encoded");
    fs::write(&path, &bytes).expect("it is written");
    let mut group = criterion.benchmark_group("open");
    group.sample_size(10);
    group.bench_function("JPEG of 48 megapixels", |bencher| bencher.iter(|| load_photo(black_box(&path))));
    group.finish();
}

criterion_group!(benches, open);
criterion_main!(benches);
