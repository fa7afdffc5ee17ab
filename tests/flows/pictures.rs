//! A dozen pictures of the real window, drawn by the software renderer of Mesa: every operation by day, most by night.
//!
//! They are the pictures of the docs. `PLATEWRIGHT_PICTURES=write cargo test -p platewright-tests --test pictures` makes
//! them anew, and the pages of proof, drawing and report with them; without it they are made and held against those that
//! are kept, so that no picture shows a window that is no more.
#![expect(clippy::unwrap_used, reason = "what fails here is a failed check")]

mod program;

use image::RgbImage;
use image::imageops::{FilterType, resize};
use platewright_tests::screen::Screen;
use platewright_tests::{judge, project_dir, skip};
use program::platewright;

use std::fs;
use std::path::{Path, PathBuf};

/// The operations by their keys.
const OPERATIONS: [(&str, &str); 6] =
    [("1", "photo"), ("2", "holes"), ("3", "measures"), ("4", "outline"), ("5", "proof"), ("6", "cut")];
/// The one that is left out by night: its sheet is that of the measures in short.
const BY_DAY_ONLY: &str = "holes";
/// Pictures are compared by the means of squares of so many px: what one driver smooths otherwise than another is lost in
/// them, a word is not.
const SQUARE: u32 = 6;
/// Coded brightness by which a square may differ: above what JPEG does to it.
const SAME: u8 = 14;
/// A picture that differs is looked at so often again.
const LOOKS: usize = 20;
/// So many squares may differ by more: fewer than a flag with its name has.
const MOST_OTHER: usize = 12;

fn kept(name: &str) -> PathBuf {
    project_dir().join("assets/screens").join(format!("{name}.jpg"))
}

fn is_written() -> bool {
    std::env::var_os("PLATEWRIGHT_PICTURES").is_some_and(|value| value == "write")
}

/// How many squares of two pictures differ.
fn others(one: &RgbImage, other: &RgbImage) -> usize {
    let small =
        |picture: &RgbImage| resize(picture, picture.width() / SQUARE, picture.height() / SQUARE, FilterType::Triangle);
    let (one, other) = (small(one), small(other));
    let differ = |(a, b): (&image::Rgb<u8>, &image::Rgb<u8>)| a.0.iter().zip(b.0).any(|(a, b)| a.abs_diff(b) > SAME);
    one.pixels().zip(other.pixels()).filter(|pair| differ(*pair)).count()
}

/// Keeps the picture that is on the screen, or says how it differs from the one that is kept.
fn hold(screen: &Screen, name: &str) -> Option<String> {
    let mut now = screen.picture();
    let path = kept(name);
    if is_written() {
        let file = fs::File::create(&path).unwrap();
        let mut encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(std::io::BufWriter::new(file), 90);
        encoder.encode_image(&now).unwrap();
        return None;
    }
    let before = image::open(&path).unwrap().to_rgb8();
    if before.dimensions() != now.dimensions() {
        return Some(format!("{name} was {:?} and is {:?}", before.dimensions(), now.dimensions()));
    }
    let mut number = others(&before, &now);
    // A machine that has much to do draws the next frame late.
    for _ in 0..LOOKS {
        if number <= MOST_OTHER {
            break;
        }
        now = screen.picture();
        number = others(&before, &now);
    }
    (number > MOST_OTHER).then(|| {
        let seen = std::env::temp_dir().join(format!("platewright-{name}.png"));
        now.save(&seen).unwrap();
        format!("{name} differs in {number} squares; it is now as in {}", seen.display())
    })
}

fn demo_in(folder: &Path) -> PathBuf {
    for name in ["milk-valve-flange.jpg", "milk-valve-flange.plate.json"] {
        fs::copy(project_dir().join("demo").join(name), folder.join(name)).unwrap();
    }
    folder.join("milk-valve-flange.plate.json")
}

#[test]
fn every_operation_looks_as_its_picture_in_the_docs() {
    let folder = tempfile::tempdir().unwrap();
    let job = demo_in(folder.path());
    let Some(screen) = Screen::open(folder.path(), None) else {
        return skip("there is no Xvfb, xdotool, ImageMagick or tesseract here; tests/run.sh installs them");
    };
    screen.leave_with_pointer();
    screen.wait_for_text("A photo that can be trusted");
    let mut wrong: Vec<String> = hold(&screen, "empty").into_iter().collect();
    drop(screen);
    let screen = Screen::open(folder.path(), Some(&job)).unwrap();
    screen.leave_with_pointer();
    screen.wait_for_text("All eleven measures agree");
    for night in [false, true] {
        for (key, name) in OPERATIONS {
            screen.change_by(key);
            match (night, name) {
                (false, name) => wrong.extend(hold(&screen, name)),
                (true, BY_DAY_ONLY) => {}
                (true, name) => wrong.extend(hold(&screen, &format!("{name}-night"))),
            }
        }
        screen.change_by("l");
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    if is_written() {
        write_pages(folder.path(), &job);
    }
}

/// The pages that the docs show, as PNG.
fn write_pages(folder: &Path, job: &Path) {
    let to = |name: &str| folder.join(name).display().to_string();
    let job = job.display().to_string();
    for (command, name) in [("proof", "proof-page"), ("report", "report-page"), ("cut", "cut-drawing")] {
        let pdf = to(&format!("{name}.pdf"));
        let ran = platewright([command, &job, "-o", &pdf]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let png = project_dir().join("assets/screens").join(format!("{name}.png")).display().to_string();
        assert!(judge("page_picture.py", &[&pdf, "0", "110", &png], "").is_some(), "the page is drawn");
    }
}

#[test]
fn a_moved_flag_is_seen_and_another_drivers_smoothing_is_not() {
    let ground = RgbImage::from_fn(1440, 900, |x, y| image::Rgb([(x / 8 % 200) as u8, (y / 6 % 200) as u8, 120]));
    let mut moved = ground.clone();
    for (x, y) in (500..540).flat_map(|x| (300..322).map(move |y| (x, y))) {
        moved.put_pixel(x, y, image::Rgb([245, 241, 232]));
    }
    assert!(others(&ground, &moved) > MOST_OTHER, "a flag of 40 by 22 px");
    let noisy = RgbImage::from_fn(1440, 900, |x, y| {
        let sign = if (x + y) % 2 == 0 { 9 } else { -9 };
        image::Rgb(ground.get_pixel(x, y).0.map(|value| value.saturating_add_signed(sign)))
    });
    assert_eq!(others(&ground, &noisy), 0, "pixels that differ by turns");
}
