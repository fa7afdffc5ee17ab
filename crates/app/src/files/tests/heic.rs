//! HEIC pictures; `fixtures/make_heic.py` says how they were made.

use super::put;
use super::samples::fixture;
use crate::files::decode::decode;
use crate::files::load_photo;
use image::RgbImage;
use std::process::Command;

/// The picture that was encoded: a light disc with a soft rim on a ramp, by the formula of the script.
fn scene(x: u32, y: u32) -> [f64; 3] {
    let (x, y) = (f64::from(x), f64::from(y));
    let cover = (0.5 - ((x - 40.5).hypot(y - 34.5) - 20.0) / 4.0).clamp(0.0, 1.0);
    [60.0 + x / 2.0, 80.0 + y / 2.0, 100.0].map(|ramp| ramp * (1.0 - cover) + 220.0 * cover)
}

/// The mean and the largest difference of a picture from what `expected` gives for a place, codes.
fn difference(image: &RgbImage, expected: impl Fn(u32, u32) -> [f64; 3]) -> (f64, f64) {
    let places = image.enumerate_pixels().flat_map(|(x, y, pixel)| {
        let expected = expected(x, y);
        [0, 1, 2].map(|channel: usize| (f64::from(pixel.0[channel]) - expected[channel]).abs())
    });
    let (sum, worst) = places.fold((0.0, 0.0_f64), |(sum, worst), off| (sum + off, worst.max(off)));
    (sum / f64::from(image.width() * image.height() * 3), worst)
}

#[track_caller]
fn check_near(image: &RgbImage, expected: impl Fn(u32, u32) -> [f64; 3]) {
    let (mean, worst) = difference(image, expected);
    assert!(mean < 1.0 && worst < 16.0, "off by {mean} in the mean and {worst} at worst");
}

#[test]
fn a_grid_is_put_together_and_turned_once() {
    let folder = tempfile::tempdir().unwrap();
    let photo = load_photo(&put(folder.path(), "a.heic", &fixture("grid_turned.heic"))).unwrap();
    // 120 x 100 px in the file, turned a quarter clockwise; EXIF's orientation, which says so too, is passed over.
    assert_eq!(photo.size(), [100, 120], "width and height changed places");
    check_near(&photo.image, |x, y| scene(y, 99 - x));
    let focal_px = photo.exif_focal_px.unwrap();
    assert!((focal_px - 26.0 * 100.0_f64.hypot(120.0) / 43.266_615).abs() < 1e-3, "{focal_px}");
}

#[test]
fn ten_bits_and_see_through_pictures_open() {
    let (image, _) = decode(&fixture("ten_bits.heic")).unwrap();
    assert_eq!(image.dimensions(), (96, 80), "its size");
    check_near(&image, scene);
    let (image, _) = decode(&fixture("see_through.heic")).unwrap();
    // The right half covers 128 of 255 on white: light mixes by IEC 61966-2-1.
    let light = |code: f64| ((code / 255.0 + 0.055) / 1.055).powf(2.4);
    let cover = 128.0 / 255.0;
    let on_white = |code: f64| (1.055 * (light(code) * cover + 1.0 - cover).powf(1.0 / 2.4) - 0.055) * 255.0;
    // The cover has losses of its own at its step.
    let image_of = |left: u32, right: u32| image::imageops::crop_imm(&image, left, 0, right - left, 80).to_image();
    check_near(&image_of(0, 40), scene);
    check_near(&image_of(56, 96), |x, y| scene(x + 56, y).map(on_white));
}

#[test]
fn the_pixels_are_those_of_another_decoder() {
    if Command::new("heif-convert").output().is_err() {
        println!("skipped: heif-convert, which decodes HEIC for comparison, is not installed");
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    for name in ["grid_turned.heic", "ten_bits.heic"] {
        let path = put(folder.path(), name, &fixture(name));
        let judged = path.with_extension("png");
        let ran = Command::new("heif-convert").arg(&path).arg(&judged).output().unwrap();
        assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
        // Its copy of the orientation is passed over: the pixels are turned already.
        let judge = image::open(&judged).unwrap().into_rgb8();
        let own = load_photo(&path).unwrap().image;
        assert_eq!(own.dimensions(), judge.dimensions(), "{name}");
        let (mean, worst) = difference(&own, |x, y| judge.get_pixel(x, y).0.map(f64::from));
        println!("{name}: off by {mean:.3} codes in the mean, {worst} at worst");
        // The other decoder repeats each colour sample over four pixels; here it is interpolated.
        assert!(mean < 1.0 && worst <= 24.0, "{name}: off by {mean} in the mean and {worst} at worst");
    }
}

#[test]
fn colours_that_are_mixed_with_what_shows_through_are_refused() {
    let said = decode(&fixture("mixed.heic")).unwrap_err().to_string();
    let sentence =
        "this HEIC picture could not be read (its colours are mixed with what shows through). Export it as JPEG.";
    assert_eq!(said, sentence, "all that is said");
}

#[test]
fn what_cannot_be_decoded_is_to_be_exported() {
    let mut bytes = fixture("grid_turned.heic");
    let kind = bytes.windows(4).position(|name| name == b"hvcC").unwrap();
    bytes[kind..kind + 4].copy_from_slice(b"av1C");
    let said = decode(&bytes).unwrap_err().to_string();
    assert!(said.starts_with("this HEIC picture could not be read ("), "{said}");
    assert!(said.ends_with("). Export it as JPEG."), "{said}");
}

#[test]
fn a_grid_that_promises_gigabytes_is_refused() {
    let mut bytes = fixture("grid_turned.heic");
    // The grid's own description ends with its width and height (ISO/IEC 23008-12, 6.6.2.3).
    let description = [0, 0, 1, 1, 0, 120, 0, 100];
    let at = bytes.windows(8).position(|window| window == description).unwrap();
    bytes[at + 4..at + 8].copy_from_slice(&[0x40, 0, 0x38, 0]);
    let said = decode(&bytes).unwrap_err().to_string();
    assert!(said.starts_with("its header promises 14336 × 16384 px"), "{said}");
    bytes[at + 4..at + 8].fill(0xFF);
    let said = decode(&bytes).unwrap_err().to_string();
    assert!(said.starts_with("decoding it would take more memory"), "{said}");
}
