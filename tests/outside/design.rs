//! What is designed on top of the photo, as outside programs find it in the cut file, and land as GEOS buffers it.

#![expect(clippy::unwrap_used, reason = "a check that cannot get at what it judges has failed")]

use platewright_core::check::{all, may_cut};
use platewright_core::export::{CutDrawing, CutFormat};
use platewright_core::geom::{Contour, Segment, contours_beside};
use platewright_core::instrument::Instrument;
use platewright_core::job::{self, Design, FileUnit, Job};
use platewright_core::solution::{Inputs, Solution, solve};
use platewright_core::space::{PlatePoint, PlateVec};
use platewright_tests::judge;
use serde_json::{Value, json};
use std::f64::consts::{PI, TAU};

/// A ring of lines and arcs with bays: `n` spokes whose lengths and bulges swing.
fn bayed(n: usize, swing: f64) -> Contour {
    let end = |k: usize| {
        let length = 40.0 * (1.0 + swing * (2.7 * k as f64).sin());
        PlatePoint::new(3.0, -2.0) + PlateVec::from_angle(TAU * k as f64 / n as f64) * length
    };
    let bulge = |k: usize| if k.is_multiple_of(3) { 0.0 } else { 0.08 * (1.3 * k as f64).cos() };
    let segments = (0..n).map(|k| Segment::arc(end(k), end((k + 1) % n), bulge(k))).collect();
    Contour { segments, closed: true }
}

/// Two discs of 25 mm joined by a neck 8 mm wide.
fn dumbbell() -> Contour {
    let at = PlatePoint::new;
    let bulge = ((2.0 * PI - 2.0 * (4.0_f64 / 25.0).asin()) / 4.0).tan();
    let x = 40.0 - (25.0_f64 * 25.0 - 16.0).sqrt();
    let [a, b, c, d] = [at(-x, -4.0), at(x, -4.0), at(x, 4.0), at(-x, 4.0)];
    let pieces = [Segment::line(a, b), Segment::arc(b, c, bulge), Segment::line(c, d), Segment::arc(d, a, bulge)];
    Contour { segments: pieces.iter().flat_map(|piece| piece.in_half_turns()).collect(), closed: true }
}

#[test]
fn land_is_the_buffer_of_the_outline() {
    let points = |contour: &Contour| -> Vec<[f64; 2]> { contour.sampled(1e-4).into_iter().map(Into::into).collect() };
    let mut parted = 0;
    let rings = [("9 spokes", bayed(9, 0.1)), ("17", bayed(17, 0.4)), ("24", bayed(24, 0.5)), ("neck", dumbbell())];
    for (name, ring) in &rings {
        for by in [6.0, 2.0, 0.3, -0.3, -2.0, -6.0] {
            let beside = contours_beside(ring, by).unwrap();
            assert!(beside.iter().all(Contour::is_closed_exactly), "{name}, {by} mm: closed");
            let arcs = beside.iter().flat_map(|one| &one.segments).map(|s| s.bulge.abs());
            assert!(arcs.fold(0.0, f64::max) <= 1.0, "{name}, {by} mm: arcs of half a turn at most");
            let beside: Vec<_> = beside.iter().map(points).collect();
            let input = json!({ "ring": points(ring), "by": by, "beside": beside }).to_string();
            let Some(found) = judge("beside.py", &[], &input) else { return };
            let figure = |key: &str| found[key].as_f64().unwrap();
            assert_eq!(found["valid"], true, "{name}, {by} mm: {found}");
            assert_eq!(found["pieces"], found["expected_pieces"], "{name}, {by} mm");
            assert!(figure("between") < 1e-3 * ring.length_mm(), "{name}, {by} mm: {found}");
            parted += u32::from(found["pieces"] != 1);
        }
    }
    assert!(parted > 0, "some of them fall apart, and both say into how many");
}

/// A cover seen square on at 10 px to the mm, 110 x 80 mm, four holes at its corners, an opening in the middle, and a
/// second opening that is left out; on it a circle of tapped holes about the opening, a slot, and holes placed by others.
const COVER: &str = r#"{
  "format": "platewright-job", "version": 1, "title": "Churn cover",
  "photo": { "file": "cover.png", "sha256": "0000000000000000000000000000000000000000000000000000000000000000",
    "size": [1400, 1100], "held": "levelled" },
  "holes": [
    { "id": "h1", "name": "H1", "rim": [[330, 800], [300, 830], [270, 800], [300, 770]], "measure_rim": false },
    { "id": "h2", "name": "H2", "rim": [[1130, 800], [1100, 830], [1070, 800], [1100, 770]], "measure_rim": false },
    { "id": "h3", "name": "H3", "rim": [[1130, 300], [1100, 330], [1070, 300], [1100, 270]], "measure_rim": false },
    { "id": "h4", "name": "H4", "rim": [[330, 300], [300, 330], [270, 300], [300, 270]], "measure_rim": false, "keep": false }
  ],
  "measures": [
    { "id": "m1", "kind": "centres", "between": ["h1", "h2"], "mm": 80.0, "sigma_mm": 0.02 },
    { "id": "m2", "kind": "centres", "between": ["h2", "h3"], "mm": 50.0, "sigma_mm": 0.02 },
    { "id": "m3", "kind": "centres", "between": ["h3", "h4"], "mm": 80.0, "sigma_mm": 0.02 },
    { "id": "m4", "kind": "centres", "between": ["h1", "h3"], "mm": 94.33981132056604, "sigma_mm": 0.02 },
    { "id": "m5", "kind": "centres", "between": ["h2", "h4"], "mm": 94.33981132056604, "sigma_mm": 0.02 }
  ],
  "contours": [
    { "id": "c1", "role": "outer", "closed": true, "nodes": [
      { "at": [150, 150], "kind": "corner", "next": "line" }, { "at": [1250, 150], "kind": "corner", "next": "line" },
      { "at": [1250, 950], "kind": "corner", "next": "line" }, { "at": [150, 950], "kind": "corner", "next": "line" } ] },
    { "id": "c2", "role": "opening", "closed": true, "nodes": [
      { "at": [650, 500], "kind": "corner", "next": "line" }, { "at": [750, 500], "kind": "corner", "next": "line" },
      { "at": [750, 600], "kind": "corner", "next": "line" }, { "at": [650, 600], "kind": "corner", "next": "line" } ] },
    { "id": "c3", "role": "opening", "closed": true, "keep": false, "nodes": [
      { "at": [200, 500], "kind": "corner", "next": "line" }, { "at": [260, 500], "kind": "corner", "next": "line" },
      { "at": [260, 600], "kind": "corner", "next": "line" } ] }
  ],
  "added": [
    { "id": "a1", "kind": "hole", "placed": { "circle": { "about_mm": [40, 25], "n": 6, "radius_mm": 20, "first_deg": 90 } },
      "tapped": "M6" },
    { "id": "a2", "kind": "hole", "placed": { "between": { "a": "h1", "b": "h2" } }, "diameter_mm": 4.2 },
    { "id": "a3", "kind": "hole", "placed": { "offset": { "from": "h4", "by_mm": [0, -10] } }, "diameter_mm": 3 },
    { "id": "a4", "kind": "slot", "placed": { "offset": { "from": "h2", "by_mm": [-4, 25] } }, "diameter_mm": 5,
      "length_mm": 12, "angle_deg": 90 }
  ],
  "datum": { "origin": "h1", "along": "h2" }
}"#;

fn cover(design: Design) -> (Job, Solution) {
    let mut job = job::read(COVER).unwrap();
    job.design = design;
    let solution = solve(&Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None });
    (job, solution)
}

/// What the judge reads in the cut file of a job; `None` where no judge is named.
fn read_cut(job: &Job, solution: &Solution) -> Option<Value> {
    let checks = all(job, solution);
    assert!(may_cut(&checks), "{checks:#?}");
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("cover.dxf");
    std::fs::write(&file, CutFormat::Dxf.bytes(&CutDrawing::from_solution(job, solution), FileUnit::Mm).unwrap())
        .unwrap();
    let found = judge("dxf_judge.py", &[file.to_str().unwrap()], "")?;
    assert_eq!((&found["valid"], &found["audit_errors"]), (&true.into(), &json!([])), "{found:#}");
    Some(found)
}

fn circles(found: &Value) -> Vec<[f64; 3]> {
    let circles = found["circles"].as_array().unwrap();
    circles
        .iter()
        .map(|circle| [&circle["x"], &circle["y"], &circle["diameter"]].map(|v| v.as_f64().unwrap()))
        .collect()
}

#[test]
fn a_cover_with_everything_added_is_read_as_it_was_asked_for() {
    let (job, solution) = cover(Design { land_mm: 3.0, opening_land_mm: 1.5, mirrored: false });
    let Some(found) = read_cut(&job, &solution) else { return };
    // Three kept holes of 6, six for M6 (ISO 2306: 5.0), one of 4.2 and one of 3.
    let half = 20.0 * 0.75_f64.sqrt();
    let wanted = [
        [0.0, 0.0, 6.0],
        [80.0, 0.0, 6.0],
        [80.0, 50.0, 6.0],
        [40.0, 45.0, 5.0],
        [40.0 - half, 35.0, 5.0],
        [40.0 - half, 15.0, 5.0],
        [40.0, 5.0, 5.0],
        [40.0 + half, 15.0, 5.0],
        [40.0 + half, 35.0, 5.0],
        [40.0, 0.0, 4.2],
        [0.0, 40.0, 3.0],
    ];
    let read = circles(&found);
    assert_eq!(read.len(), wanted.len(), "{read:?}");
    for (read, wanted) in read.iter().zip(wanted) {
        let off = (read[0] - wanted[0]).hypot(read[1] - wanted[1]);
        assert!(off < 0.05 && (read[2] - wanted[2]).abs() < 0.05, "{read:?} and not {wanted:?}");
    }
    assert_eq!(found["closed_polylines"], 3, "the outline, the opening that is kept, the slot");
    let texts = found["texts"].as_array().unwrap();
    assert!(texts.contains(&json!("A1: tap M6")), "who taps reads it: {texts:?}");
    // By Steiner's formula, the opening less 1.5 mm on every side.
    let outline = 110.0 * 80.0 + 2.0 * 190.0 * 3.0 + 9.0 * PI;
    let bores = [(3.0, 6.0), (6.0, 5.0), (1.0, 4.2), (1.0, 3.0)].map(|(n, d)| n * d * d * PI / 4.0);
    let wanted = outline - 7.0 * 7.0 - (60.0 + 6.25 * PI) - bores.iter().sum::<f64>();
    let area = found["area_mm2"].as_f64().unwrap();
    assert!((area / wanted - 1.0).abs() < 2e-3, "{area} and not {wanted}");
}

#[test]
fn the_other_side_has_the_same_area_and_every_place_turned_round() {
    let land = Design { land_mm: 3.0, opening_land_mm: 1.5, mirrored: false };
    let (job, solution) = cover(land);
    let Some(seen) = read_cut(&job, &solution) else { return };
    let (job, solution) = cover(Design { mirrored: true, ..land });
    let turned = read_cut(&job, &solution).unwrap();
    for (seen, turned) in circles(&seen).iter().zip(circles(&turned)) {
        let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
        assert!(
            near(seen[0], turned[0]) && near(seen[1], -turned[1]) && near(seen[2], turned[2]),
            "{seen:?}, {turned:?}"
        );
    }
    let [before, after] = [&seen, &turned].map(|found| found["area_mm2"].as_f64().unwrap());
    assert!((before - after).abs() < 1e-6, "{before} and {after} mm²");
    assert_eq!(seen["closed_polylines"], turned["closed_polylines"]);
    let texts = turned["texts"].as_array().unwrap();
    assert!(texts.contains(&json!("seen from the other side of the photo")), "who cuts reads it: {texts:?}");
}
