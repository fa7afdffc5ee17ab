//! Real photographs of 336 printed discs with a strongly bent lens (set `boofcv_circle_hex` of the shared photos; CC BY
//! 4.0, Peter Abeles, BoofCV-Data): each disc measured as a rim, against what OpenCV finds in the same pixels, after one
//! fit of the grid for both (tests/judges/discs.py).
//!
//! The discs are 8 px in radius with 4 px of paper between them, in JPEG of 640 x 480 px from a camera that sharpens:
//! near the smallest that is measured at all.

use image::ImageReader;
use platewright_core::edge::{Picture, RimStart, Verdict, measure_rims};
use platewright_core::space::{PhotoPoint, PlateVec};
use platewright_synth::Random;
use platewright_tests::boards::Sheet;
use platewright_tests::{judge, map_of, shared_dir, skip};
use serde_json::{Value, json};
use std::path::Path;

/// Radius of the discs as the set's page measured it, mm, within 0.3 % over the photos.
const RADIUS_MM: f64 = 4.39;

/// How far the starts are off the discs, px each way.
const START_OFF_PX: f64 = 0.7;

const PHOTOS: u64 = 7;

/// Measures the discs of photo `number`: what the judge needs, and how many rims are trusted.
fn measure(folder: &Path, number: u64) -> (Value, usize) {
    let path = folder.join(format!("image0{number}.jpg"));
    let sheet = Sheet::read(&path);
    let image = ImageReader::open(&path).expect("the photo is there").decode().expect("it decodes").to_rgb8();
    let picture = Picture::from_srgb([image.width(), image.height()], image.as_raw()).expect("a whole picture");
    let camera = sheet.camera();
    let map = map_of(&camera);
    let mut random = Random::new(number);
    let starts: Vec<RimStart> = sheet
        .points
        .iter()
        .map(|disc| {
            let seen = map.plate_from_photo(PhotoPoint::from(disc.px)).expect("the camera sees the sheet");
            let off =
                PlateVec::new(random.normal(START_OFF_PX), random.normal(START_OFF_PX)) * map.px_per_mm(seen).recip();
            RimStart { centre: seen + off, radius_mm: RADIUS_MM, reach_px: 4.0 }
        })
        .collect();
    let ours: Vec<Option<[f64; 2]>> = measure_rims(&picture, &map, &starts)
        .into_iter()
        .map(|rim| {
            let rim = rim.ok().filter(|rim| rim.verdict == Verdict::Trusted)?;
            map.photo_from_plate(rim.centre).map(|seen| [seen.x, seen.y])
        })
        .collect();
    let trusted = ours.iter().flatten().count();
    let discs = sheet.points.iter().zip(ours);
    let discs = discs.map(|(disc, ours)| json!({"plane": disc.plane, "near": disc.px, "ours": ours}));
    let camera = json!({
        "f": camera.focal_px, "c": camera.principal_px, "d": camera.distortion, "R": sheet.rotation(), "t": sheet.tvec,
    });
    (json!({"path": path, "camera": camera, "discs": discs.collect::<Vec<_>>()}), trusted)
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

#[test]
#[expect(clippy::print_stdout, reason = "the figures are the point of this check")]
fn printed_discs_scatter_no_more_than_opencv_finds_them() {
    let Some(shared) = shared_dir() else { return skip("the real photos are not beside the project") };
    let folder = shared.join("photos/real/boofcv_circle_hex");
    let (photos, trusted): (Vec<Value>, Vec<usize>) = (1..=PHOTOS).map(|photo| measure(&folder, photo)).unzip();
    println!("trusted rims of 336 discs (323 in the sixth photo): {trusted:?}");
    for (photo, trusted) in photos.iter().zip(&trusted) {
        let discs = photo["discs"].as_array().map_or(0, Vec::len);
        assert!(trusted * 10 >= discs * 7, "{trusted} of {discs} rims are trusted in {}", photo["path"]);
    }
    let input = json!({"photos": photos, "radius": RADIUS_MM}).to_string();
    let Some(answer) = judge("discs.py", &[], &input) else { return };
    let ways = ["blobs", "contours", "fine", "moments"];
    for name in ways.iter().chain(&["ours"]) {
        let plain: Vec<f64> = answer["ways"][name]["plain"].as_array().expect("a list").iter().map(number).collect();
        let alike = number(&answer["ways"][name]["alike"]);
        println!("{name}: RMS after the fit {plain:.3?} px; without what the photos have in common {alike:.4} px");
    }
    for (photo, each) in answer["photos"].as_array().expect("a list").iter().enumerate() {
        let best =
            ways.map(|way| number(&answer["ways"][way]["plain"][photo])).into_iter().fold(f64::INFINITY, f64::min);
        let ours = number(&answer["ways"]["ours"]["plain"][photo]);
        println!("photo {}: ours / best {:.3}; apart {}", photo + 1, ours / best, each);
        assert!(ours <= 1.2 * best, "photo {}: {ours:.4} px RMS after the fit, OpenCV's best way {best:.4}", photo + 1);
        // A rim that is trusted is this disc's: its neighbours lie 4 px off.
        let farthest = number(&each["farthest"]);
        assert!(farthest < 0.25, "photo {}: a trusted rim is {farthest:.3} px from where OpenCV sees it", photo + 1);
    }
    let alike = |way: &str| number(&answer["ways"][way]["alike"]);
    let best = ways.map(alike).into_iter().fold(f64::INFINITY, f64::min);
    // Print and paper are most of what the fit leaves; without them what remains is the detectors' own. On so small a
    // disc ours is 1.3 times OpenCV's: twelve profiles with levels of their own against all pixels at one level.
    assert!(alike("ours") <= 1.4 * best, "{:.4} px of scatter, OpenCV's best way {best:.4}", alike("ours"));
}
