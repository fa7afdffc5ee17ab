//! Straight sides of real photographs: the edges between neighbouring corners of a chessboard (set `opencv_left` of the
//! shared photos; Apache-2.0/BSD, in Debian's `opencv-doc`), against the lines between the corners that OpenCV's
//! `cornerSubPix` found.
//!
//! A corner is a saddle and does not move with the scale of light, an edge does. The camera of this set codes light nearly
//! evenly and cuts white off, from photo to photo more or less; read as sRGB, as the program reads photos, all edges of a
//! photo lie off by one length, up to 0.6 px, towards the white squares. That length is printed; what is checked is how
//! the sides scatter about it. The corners' own scatter, 0.13 px of a coordinate, leaves 0.09 px of a side's middle.

use image::{ImageReader, RgbImage};
use platewright_core::edge::{Picture, SideVerdict, measure_side};
use platewright_core::space::{PhotoPoint, PhotoVec, PlatePoint};
use platewright_tests::boards::Sheet;
use platewright_tests::{map_of, shared_dir, skip};
use std::path::Path;

/// Picks stay off the corners by this share of an edge, where the colours change sides.
const OFF_CORNERS: f64 = 0.2;

/// Brightness on both sides of a place, `off` px away along `across`.
fn sides(image: &RgbImage, at: PhotoPoint, across: PhotoVec, off: f64) -> [u8; 2] {
    [1.0, -1.0].map(|sign| {
        let place = at + across * (sign * off);
        image.get_pixel(place.x.round() as u32, place.y.round() as u32)[1]
    })
}

/// How far the middles of trusted sides lie off the corners' lines, px towards the white square, and how many sides
/// there are.
fn measured(path: &Path) -> (Vec<f64>, usize) {
    let sheet = Sheet::read(path);
    let image = ImageReader::open(path).expect("the photo is there").decode().expect("it decodes").to_rgb8();
    let picture = Picture::from_srgb([image.width(), image.height()], image.as_raw()).expect("a whole picture");
    let map = map_of(&sheet.camera());
    let (mut off, mut count) = (Vec::new(), 0);
    for (from, to) in sheet.neighbours() {
        count += 1;
        let seen = [from, to].map(PhotoPoint::from);
        let ends = seen.map(|end| map.plate_from_photo(end).expect("the camera sees the board"));
        let picks = [OFF_CORNERS, 1.0 - OFF_CORNERS]
            .map(|share| map.photo_from_plate(ends[0].lerp(ends[1], share)).expect("the camera sees the board"));
        let Ok(side) = measure_side(&picture, &map, picks, 4.0) else { continue };
        // A printed edge has no wall. Where one could be seen the program cannot know that, and says so.
        if matches!(side.verdict, SideVerdict::Patchy | SideVerdict::Scattered) {
            continue;
        }
        // Both are straight on the board and bent in the photo: they are compared on the board.
        let middle = ends[0].lerp(ends[1], 0.5);
        let normal = (side.to - side.from).unit().expect("a side has a length").perp();
        let off_mm = normal.dot(side.from - middle);
        let on = |place: PlatePoint| map.photo_from_plate(place).expect("the camera sees the board");
        let across = (on(middle + normal) - on(middle)).unit().expect("a millimetre is seen");
        let [ahead, behind] = sides(&image, on(middle), across, 5.0);
        let sign = if ahead > behind { 1.0 } else { -1.0 };
        off.push(sign * off_mm * map.px_per_mm(middle));
    }
    (off, count)
}

#[test]
#[expect(clippy::print_stdout, reason = "the figures are the point of this check")]
fn edges_of_a_chessboard_run_along_the_lines_of_its_corners() {
    let Some(shared) = shared_dir() else { return skip("the real photos are not beside the project") };
    let folder = shared.join("photos/real/opencv_left");
    let (mut scatters, mut believed, mut count) = (Vec::new(), 0, 0);
    for number in (1..=14).filter(|number| *number != 10) {
        let (off, of) = measured(&folder.join(format!("left{number:02}.jpg")));
        let n = off.len() as f64;
        let mean = off.iter().sum::<f64>() / n;
        let scatter = (off.iter().map(|off| (off - mean).powi(2)).sum::<f64>() / n).sqrt();
        println!("left{number:02}: {n} of {of} sides believed, {mean:.3} px towards white, scatter {scatter:.3} px");
        assert!(scatter < 0.25, "left{number:02}: sides scatter by {scatter:.3} px about the corners' lines");
        scatters.push(scatter);
        believed += off.len();
        count += of;
    }
    scatters.sort_by(f64::total_cmp);
    let median = scatters[scatters.len() / 2];
    println!("{believed} of {count} believed, median scatter {median:.3} px");
    assert!(median < 0.15, "median scatter {median:.3} px about the corners' lines");
    assert!(believed * 10 >= count * 6, "{believed} of {count} sides are believed");
}
