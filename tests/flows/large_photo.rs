//! A photo of 48 Mpx in a real window: it opens, is looked at near by and flat, and a node is dragged on it. Prints how long
//! the frames took, and by which graphics.
#![expect(clippy::unwrap_used, reason = "what fails here is a failed check")]

use image::imageops::{FilterType, resize};
use platewright_core::job::{self, Job};
use platewright_core::space::{PhotoPoint, PhotoVec};
use platewright_tests::screen::Screen;
use platewright_tests::{project_dir, skip};
use std::fs;
use std::path::{Path, PathBuf};

/// How many times as many pixels each way as the demo's photo has.
const TIMES: u32 = 2;

/// Where a place of the demo's photo is on the larger one: pixels are counted from the middle of the first.
fn larger(at: PhotoPoint) -> PhotoPoint {
    let scaled = |value: f64| (value + 0.5) * f64::from(TIMES) - 0.5;
    PhotoPoint::new(scaled(at.x), scaled(at.y))
}

/// The demo job on a photo with four times as many pixels.
fn large_job(folder: &Path) -> PathBuf {
    let demo = project_dir().join("demo");
    let photo = image::open(demo.join("milk-valve-flange.jpg")).unwrap().to_rgb8();
    let size = [photo.width() * TIMES, photo.height() * TIMES];
    let path = folder.join("large.jpg");
    let file = std::io::BufWriter::new(fs::File::create(&path).unwrap());
    let large = resize(&photo, size[0], size[1], FilterType::Triangle);
    image::codecs::jpeg::JpegEncoder::new_with_quality(file, 90).encode_image(&large).unwrap();
    let text = fs::read_to_string(demo.join("milk-valve-flange.plate.json")).unwrap();
    let mut job: Job = job::read(&text).unwrap();
    "large.jpg".clone_into(&mut job.photo.file);
    job.photo.sha256.clone_from(&platewright::files::load_photo(&path).unwrap().sha256);
    job.photo.size = size;
    job.holes.iter_mut().flat_map(|hole| &mut hole.rim).for_each(|pick| *pick = larger(*pick));
    job.contours.iter_mut().flat_map(|contour| &mut contour.nodes).for_each(|node| node.at = larger(node.at));
    let path = folder.join("large.plate.json");
    fs::write(&path, job::write(&job)).unwrap();
    path
}

fn saved(path: &Path) -> Job {
    job::read(&fs::read_to_string(path).unwrap()).unwrap()
}

#[test]
fn a_photo_of_48_megapixels_is_worked_on() {
    let folder = tempfile::tempdir().unwrap();
    let path = large_job(folder.path());
    let Some(mut screen) = Screen::open(folder.path(), Some(&path)) else {
        return skip("there is no Xvfb, xdotool, ImageMagick or tesseract here; tests/run.sh installs them");
    };
    screen.photo_is(saved(&path).photo.size);
    screen.wait_for_text("All eleven measures agree");
    let node = |job: &Job| job.contours[0].nodes[0].at;
    let before = node(&saved(&path));
    screen.key("4");
    screen.look_at(before);
    screen.drag(before, before + PhotoVec::new(16.0, 9.0));
    screen.save_until(|| node(&saved(&path)) != before);
    let moved = node(&saved(&path)) - before;
    assert!((moved - PhotoVec::new(16.0, 9.0)).length() < 1.5, "dragged by 16, 9 px, moved by {moved:?}");
    screen.key("ctrl+z");
    screen.save_until(|| node(&saved(&path)) == before);
    screen.key("v");
    for key in ["0", "plus", "plus", "plus", "plus", "minus", "0"] {
        screen.key(key);
    }
    screen.close();
}
