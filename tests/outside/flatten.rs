//! The photo at true scale as OpenCV makes it by the same camera: colours and places are the same.
//!
//! The judge is `tests/judges/flatten_judge.py` (OpenCV), run by the Python that `PLATEWRIGHT_PYTHON` names.

#![expect(clippy::unwrap_used, reason = "a check that cannot get at what it judges has failed")]

use platewright::files::{LoadedPhoto, open_job};
use platewright::flatten::flatten;
use platewright::measuring::Request;
use platewright_core::camera::{FlatFrame, Lens, PlateMap, Pose, RigidMove};
use platewright_core::instrument::Instrument;
use platewright_core::space::{PhotoPoint, PlatePoint, PlateVec};
use platewright_tests::{judge, project_dir};
use serde_json::{Value, json};
use std::path::Path;
use std::sync::Arc;

fn camera(map: &PlateMap, size: [u32; 2]) -> Value {
    let (lens, pose, datum) = (map.lens(), map.pose(), map.datum_from_solve());
    let shift = datum.apply(PlatePoint::default());
    json!({
        "size": size,
        "lens": { "focal_px": lens.focal_px, "cx": lens.principal.x, "cy": lens.principal.y,
                  "k1": lens.k1, "k2": lens.k2, "p1": lens.p1, "p2": lens.p2 },
        "pose": { "distance_mm": pose.distance_mm, "tilt_a_rad": pose.tilt_a_rad, "tilt_b_rad": pose.tilt_b_rad },
        "datum": { "angle_rad": datum.angle_rad(), "shift": [shift.x, shift.y] },
    })
}

/// What the judge says of the picture at `png`; `None` where no judge is named.
fn judged(png: &Path, photo: &LoadedPhoto, map: &PlateMap) -> Option<Value> {
    let folder = tempfile::tempdir().unwrap();
    let raw = folder.path().join("photo.rgb");
    std::fs::write(&raw, photo.image.as_raw()).unwrap();
    let args = [png.to_str().unwrap(), raw.to_str().unwrap()];
    judge("flatten_judge.py", &args, &camera(map, photo.size()).to_string())
}

/// Colours differ by rounding, and corners that each picture shows by itself lie at the same places.
fn check_same(found: &Value, at: &str) {
    let figure = |list: &str, key: &str| found[list][key].as_f64().unwrap();
    assert!(figure("grey", "median") < 1.0 && figure("grey", "p999") <= 3.0, "{at}: {found}");
    assert!(figure("corners", "n") > 50.0, "{at}: there is something to compare: {found}");
    assert!(figure("corners", "median_mm") < 0.01 && figure("corners", "p95_mm") < 0.1, "{at}: {found}");
    assert_eq!(found["paper"], 1.0, "{at}: beyond the photo there is paper");
}

#[test]
fn the_demo_flattened_is_what_opencv_makes_of_it() {
    let path = project_dir().join("demo/milk-valve-flange.plate.json");
    let folder = tempfile::tempdir().unwrap();
    let png = folder.path().join("flat.png");
    let args = ["platewright".as_ref(), "flatten".as_ref(), path.as_os_str(), "-o".as_ref(), png.as_os_str()];
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let code = platewright::run(args.map(Into::into), &mut out, &mut err);
    assert_eq!((code, String::from_utf8_lossy(&err).as_ref()), (0, ""), "written");
    let opened = open_job(&path).unwrap();
    let photo = Arc::new(opened.photo);
    let request = Request { job: opened.job, revision: 0, photo: Arc::clone(&photo), instrument: Instrument::CALIPER };
    let solution = request.measure(&|| true).unwrap().solution;
    let map = solution.map.unwrap();
    let Some(found) = judged(&png, &photo, &map) else { return };
    check_same(&found, "demo");
    let px_per_mm = found["px_per_mm"].as_f64().unwrap();
    let own = map.px_per_mm(PlatePoint::default());
    assert!(px_per_mm >= own && px_per_mm < 1.5 * own, "{px_per_mm} px per mm for a photo of {own}");
    assert_eq!(found["per_metre"], json!([(px_per_mm * 1000.0) as u32, (px_per_mm * 1000.0) as u32, 1]));
    let said = String::from_utf8(out).unwrap();
    let (size, origin) = (&found["size"], &found["origin_px"]);
    assert!(said.contains(&format!("{} × {} px, {px_per_mm} px per mm", size[0], size[1])), "{said}");
    assert!(said.contains(&format!("x {}, y {} px", origin[0], origin[1])), "{said}");
}

#[test]
fn a_bent_photo_held_at_a_slant_is_what_opencv_makes_of_it() {
    let photo = platewright::files::load_photo(&project_dir().join("demo/milk-valve-flange.jpg")).unwrap();
    let lens =
        Lens { k1: -0.22, k2: 0.06, p1: 8e-4, p2: -5e-4, ..Lens::pinhole(2900.0, PhotoPoint::new(2013.0, 1489.0)) };
    let pose = Pose { distance_mm: 290.0, tilt_a_rad: 0.45, tilt_b_rad: -0.3 };
    let map = PlateMap::new(lens, pose).with_datum(&RigidMove::new(0.31, PlateVec::new(12.0, -31.0)));
    let frame = FlatFrame { px_per_mm: 9.5, size: [3300, 2700], origin_px: [1700, 1500] };
    let flat = flatten(&photo, &map, frame).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let png = folder.path().join("flat.png");
    std::fs::write(&png, flat.png("Käse").unwrap()).unwrap();
    let Some(found) = judged(&png, &photo, &map) else { return };
    check_same(&found, "slanted");
    // The judge itself sees what is wrong: a picture that says of itself that it lies 2 px, 0.2 mm, elsewhere.
    let beside = FlatFrame { origin_px: [1702, 1500], ..frame };
    let moved = platewright::flatten::Flat { frame: beside, ..flat };
    std::fs::write(&png, moved.png("").unwrap()).unwrap();
    let found = judged(&png, &photo, &map).unwrap();
    assert!(found["corners"]["median_mm"].as_f64().unwrap() > 0.15, "2 px beside: {found}");
}
