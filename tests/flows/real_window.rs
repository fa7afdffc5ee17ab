//! One real window under Xvfb, driven by pointer and keys only: open the demo, click three rim points, read the diameter
//! off the sheet, drag a node, undo it, write the cut file, close.
//!
//! Nothing here waits for a time: each step waits until what it did is seen on the screen or in a file.
#![expect(clippy::unwrap_used, reason = "what fails here is a failed check")]

mod program;

use platewright_core::job::{self, Job};
use platewright_core::space::PhotoPoint;
use platewright_tests::screen::Screen;
use platewright_tests::{judge, project_dir, skip};
use program::platewright;
use serde_json::Value;
use std::fs;
use std::path::Path;

/// The hole that is taken away and clicked anew: its centre, and three places on its rim, px.
const HOLE: PhotoPoint = PhotoPoint::new(2477.5, 1278.0);
const RIM: [PhotoPoint; 3] =
    [PhotoPoint::new(2444.5, 1278.0), PhotoPoint::new(2478.0, 1243.6), PhotoPoint::new(2510.3, 1279.0)];

fn saved(path: &Path) -> Job {
    job::read(&fs::read_to_string(path).unwrap()).unwrap()
}

/// The number at `place` of the row named `name`, as it stands on the screen; a mark of the chosen row may stand first.
fn figure(text: &str, name: &str, place: usize) -> Option<f64> {
    let rows = text.lines().filter_map(|line| Some(line.split_once(name)?.1));
    let figures = |row: &str| row.split_whitespace().filter_map(|word| word.parse().ok()).collect::<Vec<f64>>();
    rows.map(figures).find(|row| row.len() >= 3).and_then(|row| row.get(place).copied())
}

#[test]
fn the_demo_is_worked_on_in_a_real_window() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["milk-valve-flange.jpg", "milk-valve-flange.plate.json"] {
        fs::copy(project_dir().join("demo").join(name), folder.path().join(name)).unwrap();
    }
    let path = folder.path().join("milk-valve-flange.plate.json");
    let Some(mut screen) = Screen::open(folder.path(), Some(&path)) else {
        return skip("there is no Xvfb, xdotool, ImageMagick or tesseract here; tests/run.sh installs them");
    };
    screen.wait_for_text("All eleven measures agree");

    // Three clicks on a rim.
    screen.key("2");
    screen.look_at(HOLE);
    screen.click(HOLE);
    screen.wait_for_text("H6");
    screen.key("Delete");
    screen.save_until(|| saved(&path).holes.len() == 6);
    for pick in RIM {
        screen.click(pick);
    }
    screen.save_until(|| saved(&path).holes.len() == 7 && saved(&path).holes[6].rim.len() == 3);

    // The row of a chosen hole is set bold on another ground, which reads badly; stepping out makes it plain.
    screen.key("Escape");
    // The diameter on the sheet is the one that the same job gives without a window, and that of a 4.5 mm hole.
    let read = screen.read_until(|text| figure(text, "H6", 2));
    let ran = platewright(["solve", &path.display().to_string(), "--json"]);
    let report: Value = serde_json::from_str(&ran.out).unwrap();
    let solved = report["holes"][6]["diameter_mm"].as_f64().unwrap();
    assert!((read - solved).abs() < 0.0051, "the sheet says {read}, solve says {solved}");
    assert!((solved - 4.5).abs() < 0.03, "a hole of 4.5 mm, found as {solved}");

    // A node is dragged, and the drag taken back.
    let node = |job: &Job| job.contours[0].nodes[0].at;
    let before = node(&saved(&path));
    screen.key("4");
    screen.look_at(before);
    screen.drag(before, before + (PhotoPoint::new(16.0, 9.0) - PhotoPoint::default()));
    screen.save_until(|| node(&saved(&path)) != before);
    let moved = node(&saved(&path)) - before;
    assert!((moved.x - 16.0).abs() < 1.0 && (moved.y - 9.0).abs() < 1.0, "dragged by 16, 9 px, moved by {moved:?}");
    screen.key("ctrl+z");
    screen.save_until(|| node(&saved(&path)) == before);

    // The cut file.
    let cut = folder.path().join("flange.dxf");
    screen.key("6");
    screen.key("ctrl+e");
    screen.wait_for_text("Where is the cut file");
    screen.key("ctrl+a");
    screen.type_text(&cut.display().to_string());
    screen.key("Return");
    screen.until("the cut file is there", || cut.exists());
    if let Some(judged) = judge("dxf_judge.py", &[&cut.display().to_string()], "") {
        assert_eq!(judged["valid"], true, "shapely finds the part valid");
        assert_eq!(judged["circles"].as_array().map(Vec::len), Some(7), "seven holes");
        assert_eq!(judged["audit_errors"].as_array().map(Vec::len), Some(0), "ezdxf finds nothing wrong");
    }
    screen.close();
}
