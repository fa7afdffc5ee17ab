//! Real photographs of a chessboard (set `opencv_left` of the shared photos; Apache-2.0/BSD, in Debian's `opencv-doc`):
//! detected corners as named points, seven of their distances as measures, nothing else.
//!
//! The photos' page gives, as medians over the photos of the RMS error over the grid: 0.79 mm for the best homography,
//! 0.17 with one radial term fitted to all 54 known corners, 0.12 with the lens calibrated from all photos together,
//! 11.4 scaled from one distance. Those methods see every true position; this program sees seven lengths.

use platewright_core::instrument::Instrument;
use platewright_core::job::{Belief, Held, Id, Job, LensBeliefs, Measure, MeasureKind, NamedPoint, Photo};
use platewright_core::solution::{Inputs, solve};
use platewright_core::space::{PhotoPoint, PlatePoint};
use platewright_tests::{errors_after_rigid_move, shared_dir, skip};
use serde::Deserialize;
use std::path::Path;

#[derive(Deserialize)]
struct Grid {
    width: u32,
    height: u32,
    points: Vec<Corner>,
}

#[derive(Deserialize)]
struct Corner {
    px: [f64; 2],
    plane: [f64; 2],
}

/// Sides, diagonals and the middle line of a 9 x 6 grid numbered by rows: the lengths that one would take.
const MEASURED: [(usize, usize); 7] = [(0, 8), (45, 53), (0, 45), (8, 53), (0, 53), (8, 45), (4, 49)];

#[test]
fn seven_lengths_flatten_a_strongly_bent_photo() {
    let Some(shared) = shared_dir() else { return skip("the real photos are not beside the project") };
    let folder = shared.join("photos/real/opencv_left");
    let mut names: Vec<_> = std::fs::read_dir(&folder)
        .expect("the set's folder is there")
        .map(|entry| entry.expect("an entry of the folder").path())
        .filter(|path| path.extension().is_some_and(|ext| ext == "json"))
        .collect();
    names.sort();
    assert_eq!(names.len(), 13, "the set has thirteen photos");
    let mut errors: Vec<f64> = names.iter().map(|name| rms_error_mm(name)).collect();
    errors.sort_by(f64::total_cmp);
    let median = errors[errors.len() / 2];
    println_errors(&errors);
    assert!(
        median < 0.40,
        "median RMS over the grid {median:.3} mm; one distance gives 11.4, the best homography 0.79"
    );
}

#[expect(clippy::print_stdout, reason = "the figures are the point of this check")]
fn println_errors(errors: &[f64]) {
    println!("RMS over the grid, mm, best to worst: {errors:.3?}");
}

fn rms_error_mm(name: &Path) -> f64 {
    let text = std::fs::read_to_string(name).expect("the photo's figures are readable");
    let grid: Grid = serde_json::from_str(&text).expect("the photo's figures are as their page says");
    let solution =
        solve(&Inputs { job: &job(&grid), exif_focal_px: None, instrument: Instrument::CALIPER, seen: None });
    // The plane's y runs down in these files.
    let truth: Vec<PlatePoint> = grid.points.iter().map(|c| PlatePoint::new(c.plane[0], -c.plane[1])).collect();
    let found: Vec<PlatePoint> = solution.points.iter().map(|point| point.at).collect();
    assert_eq!(found.len(), truth.len(), "every corner was found");
    let errors = errors_after_rigid_move(&found, &truth);
    (errors.iter().map(|e| e * e).sum::<f64>() / errors.len() as f64).sqrt()
}

fn job(grid: &Grid) -> Job {
    let mut job = Job::new(Photo {
        file: "left.jpg".into(),
        sha256: "0".repeat(64),
        size: [grid.width, grid.height],
        held: Held::Unknown,
        focal_px: None,
        // The photos' page: strong bend, give the job a belief that allows it.
        lens: LensBeliefs { k1: Some(Belief { value: 0.0, sigma: 0.3 }), ..LensBeliefs::default() },
    });
    job.points = grid
        .points
        .iter()
        .enumerate()
        .map(|(number, corner)| NamedPoint {
            id: Id(format!("p{number}")),
            name: format!("P{number}"),
            at: PhotoPoint::new(corner.px[0], corner.px[1]),
            sigma_px: Some(0.2),
        })
        .collect();
    job.measures = MEASURED
        .iter()
        .enumerate()
        .map(|(number, (a, b))| {
            let (from, to) = (grid.points[*a].plane, grid.points[*b].plane);
            Measure {
                id: Id(format!("m{number}")),
                kind: MeasureKind::Points,
                between: vec![Id(format!("p{a}")), Id(format!("p{b}"))],
                mm: (from[0] - to[0]).hypot(from[1] - to[1]),
                sigma_mm: 0.05,
                in_use: true,
            }
        })
        .collect();
    job
}
