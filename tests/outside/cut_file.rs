//! The cut file as outside programs read it: no error, nothing to fix, and the part that was asked for.
//!
//! The judges are `tests/judges/dxf_judge.py` (ezdxf and shapely) and `svg_judge.py` (an SVG renderer and OpenCV), run by
//! the Python that `PLATEWRIGHT_PYTHON` names.

#![expect(clippy::unwrap_used, reason = "a check that cannot get at what it judges has failed")]

use platewright_core::export::{CutContour, CutDrawing, CutFormat, CutHole};
use platewright_core::geom::{Contour, Cubic, Segment, arcs_from_cubic};
use platewright_core::job::{FileUnit, Stock};
use platewright_core::space::{PlatePoint, PlateVec};
use platewright_core::tolerance::CUT_CHORD_MM;
use platewright_tests::judge;
use serde_json::Value;
use std::f64::consts::PI;

/// What the judge says of a drawing; `None` where no judge is named.
fn judged(drawing: &CutDrawing, format: CutFormat, unit: FileUnit) -> Option<Value> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("cut").with_extension(format.extension());
    std::fs::write(&file, format.bytes(drawing, unit).unwrap()).unwrap();
    let script = if format == CutFormat::Svg { "svg_judge.py" } else { "dxf_judge.py" };
    judge(script, &[file.to_str().unwrap()], "")
}

fn at(x: f64, y: f64) -> PlatePoint {
    PlatePoint::new(x, y)
}

/// A closed wavy contour of curves through places on an ellipse, as lines and arcs.
fn wavy(centre: PlatePoint, (a, b): (f64, f64), n: usize) -> Contour {
    let place = |k: usize| {
        let angle = 2.0 * PI * (k % n) as f64 / n as f64;
        let wave = 1.0 + 0.06 * (3.0 * angle).sin();
        centre + PlateVec::new(a * wave * angle.cos(), b * wave * angle.sin())
    };
    let lever = |k: usize| (place(k + 1) - place(k + n - 1)) * (1.0 / 6.0);
    let curves = (0..n).map(|k| Cubic::new(place(k), lever(k), -lever(k + 1), place(k + 1)));
    let segments = curves.flat_map(|curve| arcs_from_cubic(&curve, CUT_CHORD_MM).segments).collect();
    Contour { segments, closed: true }
}

fn hole(name: &str, x: f64, y: f64, diameter_mm: f64) -> CutHole {
    CutHole { id: name.into(), name: name.to_owned(), centre: at(x, y), diameter_mm }
}

fn cut(contour: Contour) -> CutContour {
    CutContour { id: "c1".into(), name: "opening c1".to_owned(), contour }
}

/// Area of what is left, mm².
fn area_mm2(drawing: &CutDrawing) -> f64 {
    let contours = drawing.outer.iter().chain(&drawing.openings).map(|cut| cut.contour.signed_area_mm2()).sum::<f64>();
    contours - drawing.holes.iter().map(|h| PI * h.diameter_mm * h.diameter_mm / 4.0).sum::<f64>()
}

/// Both releases, in both units.
fn check(drawing: &CutDrawing) {
    for format in [CutFormat::Dxf, CutFormat::DxfR12] {
        for unit in [FileUnit::Mm, FileUnit::Inch] {
            check_dxf(drawing, format, unit);
        }
    }
}

fn check_dxf(drawing: &CutDrawing, format: CutFormat, unit: FileUnit) {
    let Some(found) = judged(drawing, format, unit) else { return };
    let what = format!("{} in {}, {unit:?}", drawing.title, format.words());
    for key in ["audit_errors", "audit_fixes", "recover_errors", "recover_fixes"] {
        assert_eq!(found[key], serde_json::json!([]), "{key} of {what}");
    }
    match (format, unit) {
        (CutFormat::Dxf, FileUnit::Mm) => {
            assert_eq!((&found["version"], &found["insunits"]), (&"AC1015".into(), &4.into()));
        }
        (CutFormat::Dxf, FileUnit::Inch) => {
            assert_eq!((&found["version"], &found["insunits"]), (&"AC1015".into(), &1.into()));
        }
        _ => assert_eq!(found["version"], "AC1009", "the plainest release, which cannot say its unit"),
    }
    assert_eq!(found["valid"], true, "{what}: {found:#}");
    assert_eq!(found["closed_polylines"], drawing.outer.len() + drawing.openings.len(), "{what}");
    // The inch is 25.4 mm exactly, by the international agreement of 1959 (from memory).
    let per_mm = if unit == FileUnit::Inch { 1.0 / 25.4 } else { 1.0 };
    let (found_mm2, wanted_mm2) = (found["area_mm2"].as_f64().unwrap() / (per_mm * per_mm), area_mm2(drawing));
    let near_mm2 = 2e-5 * wanted_mm2;
    assert!((found_mm2 - wanted_mm2).abs() < near_mm2, "{what}: {found_mm2} is not {wanted_mm2}");
    for (circle, hole) in found["circles"].as_array().unwrap().iter().zip(&drawing.holes) {
        let read = [&circle["x"], &circle["y"], &circle["diameter"]].map(|v| v.as_f64().unwrap() / per_mm);
        let written = [hole.centre.x, hole.centre.y, hole.diameter_mm];
        let near = read.iter().zip(written).all(|(a, b)| (a - b).abs() < 1e-9);
        assert!(near && circle["layer"] == "CUT_INNER", "{what}: {circle} is not {hole:?}");
    }
    assert_eq!(found["circles"].as_array().unwrap().len(), drawing.holes.len(), "{what}");
    assert_eq!(found["layers"], serde_json::json!(["CUT_INNER", "CUT_OUTER", "MARK"]), "{what}");
}

/// A plate of 170 x 110 mm with two holes that are met on their way through it.
fn flange() -> CutDrawing {
    let holes = vec![hole("H1", 0.0, 0.0, 6.6), hole("H2", 73.217, 4.05, 6.6), hole("A1", -20.0, 21.5, 0.5)];
    CutDrawing {
        title: "Milchventil – Flansch Größe 2".to_owned(),
        outer: vec![cut(wavy(at(30.0, 10.0), (70.0, 45.0), 14))],
        openings: vec![cut(wavy(at(36.0, 14.0), (14.0, 11.0), 7).oriented(false))],
        holes,
        notes: vec!["mm, 1:1".to_owned(), "CHECKS FAILED: Holes apart".to_owned()],
        ..CutDrawing::default()
    }
}

#[test]
fn a_plate_with_holes_and_an_opening_is_read_as_it_was_asked_for() {
    check(&flange());
}

/// The kerf is taken off beside everything, and copies stand apart: the judge measures what would be left of the sheet.
#[test]
fn a_file_that_allows_for_the_kerf_leaves_the_finished_size_of_every_copy() {
    let stock = Stock {
        kerf_mm: Some(0.3),
        kerf_in_file: true,
        copies: Some(5),
        sheet_mm: Some([500.0, 300.0]),
        ..Stock::default()
    };
    let path = flange().for_cutter(&stock).unwrap();
    check(&path);
    // Half a kerf off every length that is cut (Steiner's formula; the round ends cancel but for a few 0.01 mm²).
    let length_mm = |d: &CutDrawing| {
        let contours = d.outer.iter().chain(&d.openings).map(|cut| cut.contour.length_mm()).sum::<f64>();
        contours + d.holes.iter().map(|hole| PI * hole.diameter_mm).sum::<f64>()
    };
    let wanted = 5.0 * (area_mm2(&flange()) + 0.15 * length_mm(&flange()));
    assert!((area_mm2(&path) - wanted).abs() < 2.0, "{} is not {wanted}", area_mm2(&path));
}

/// Rendered by an outside program and measured in its pixels.
#[test]
fn an_svg_is_drawn_in_true_size() {
    for unit in [FileUnit::Mm, FileUnit::Inch] {
        let drawing = flange();
        let Some(found) = judged(&drawing, CutFormat::Svg, unit) else { return };
        let (found_mm2, wanted_mm2) = (found["area_mm2"].as_f64().unwrap(), area_mm2(&drawing));
        assert!((found_mm2 - wanted_mm2).abs() < 1e-3 * wanted_mm2, "{unit:?}: {found_mm2} is not {wanted_mm2}");
        let circles: Vec<[f64; 3]> = serde_json::from_value(found["circles"].clone()).unwrap();
        for hole in drawing.holes.iter().filter(|hole| hole.diameter_mm > 1.0) {
            // Places are measured from H1: where the page starts is of no matter.
            let [x0, y0, _] = circles[0];
            let near = |[x, y, d]: &[f64; 3]| {
                let off = (x - x0 - hole.centre.x).hypot(y0 - y - hole.centre.y);
                off < 0.02 && (d - hole.diameter_mm).abs() < 0.02
            };
            assert!(circles.iter().any(near), "{unit:?}: {hole:?} is not among {circles:?}");
        }
    }
}

#[test]
fn plates_of_many_sizes_and_places_are_read_as_they_were_asked_for() {
    for (k, size) in [0.05, 0.7, 3.0, 12.0].into_iter().enumerate() {
        let far = 1000.0 * k as f64;
        let corners = [(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0)];
        let mut plate = Contour::polygon(&corners.map(|(x, y)| at(far + x * size, y * size - far)));
        plate.segments[1].bulge = 0.4;
        plate.segments[3].bulge = -0.2;
        let slot_at = |x: f64, y: f64| at(far + x * size, y * size - far);
        let slot = Contour {
            segments: vec![
                Segment::line(slot_at(40.0, 26.0), slot_at(60.0, 26.0)),
                Segment::arc(slot_at(60.0, 26.0), slot_at(60.0, 34.0), 1.0),
                Segment::line(slot_at(60.0, 34.0), slot_at(40.0, 34.0)),
                Segment::arc(slot_at(40.0, 34.0), slot_at(40.0, 26.0), 1.0),
            ],
            closed: true,
        };
        check(&CutDrawing {
            title: format!("Plate {k} ^J %%d \\U+0041"),
            outer: vec![cut(plate)],
            openings: vec![cut(slot.oriented(false))],
            holes: vec![hole("H1", far + 20.0 * size, 30.0 * size - far, 9.0 * size)],
            ..CutDrawing::default()
        });
    }
}

/// The judge itself sees what is wrong: a test that it could not fail would be none.
#[test]
fn the_judge_finds_an_open_outline_and_holes_that_meet() {
    let mut drawing = CutDrawing { outer: vec![cut(wavy(at(0.0, 0.0), (40.0, 30.0), 9))], ..CutDrawing::default() };
    drawing.holes = vec![hole("H1", 0.0, 0.0, 6.0), hole("H2", 5.9, 0.0, 6.0)];
    let Some(meeting) = judged(&drawing, CutFormat::Dxf, FileUnit::Mm) else { return };
    assert_eq!(meeting["valid"], false, "two holes run into each other");
    drawing.holes.clear();
    drawing.outer[0].contour.closed = false;
    drawing.outer[0].contour.segments.pop();
    let open = judged(&drawing, CutFormat::DxfR12, FileUnit::Mm).unwrap();
    assert_eq!((&open["valid"], &open["open_polylines"]), (&false.into(), &1.into()), "a piece is missing");
}
