//! The proof plate as an outside program reads it: closed, the right way out, and the part that was asked for.
//!
//! The judge is `tests/judges/plate_judge.py` (trimesh), run by the Python that `PLATEWRIGHT_PYTHON` names.

#![expect(clippy::unwrap_used, reason = "a check that cannot get at what it judges has failed")]

use platewright_core::export::{CutContour, CutDrawing, CutHole, PlateOptions, ProofPlate, proof_plate, stl, threemf};
use platewright_core::geom::Contour;
use platewright_core::space::PlatePoint;
use platewright_tests::judge;
use serde_json::{Value, json};
use std::f64::consts::PI;

fn at(x: f64, y: f64) -> PlatePoint {
    PlatePoint::new(x, y)
}

/// What the judge says of a plate; `None` where no judge is named.
fn judged(plate: &ProofPlate, rims: &Value) -> Option<Value> {
    let folder = tempfile::tempdir().unwrap();
    let [threemf_file, stl_file] = ["plate.3mf", "plate.stl"].map(|name| folder.path().join(name));
    std::fs::write(&threemf_file, threemf(plate).unwrap()).unwrap();
    std::fs::write(&stl_file, stl(plate).unwrap()).unwrap();
    let args = [threemf_file.to_str().unwrap(), stl_file.to_str().unwrap()];
    judge("plate_judge.py", &args, &json!({ "rims": rims }).to_string())
}

/// An outline with a bulge and a bay, a slot, and holes of many sizes.
fn drawing() -> CutDrawing {
    let mut outline =
        Contour::polygon(&[at(-12.0, -8.0), at(150.0, -8.0), at(160.0, 60.0), at(80.0, 84.0), at(-12.0, 76.0)]);
    outline.segments[1].bulge = 0.35;
    outline.segments[3].bulge = -0.12;
    let holes = (0..14).map(|k| {
        let (column, row) = (f64::from(k % 7), f64::from(k / 7));
        let name = format!("H{}", k + 1);
        CutHole {
            id: name.as_str().into(),
            name,
            centre: at(20.0 * column, 52.0 * row),
            diameter_mm: 3.2 + f64::from(k),
        }
    });
    let slot = Contour::slot(at(60.0, 26.0), 30.0, 0.2, 8.0).oriented(false);
    let cut = |name: &str, contour| CutContour { id: name.into(), name: name.to_owned(), contour };
    CutDrawing {
        title: "Milchventil – Flansch <Größe 2>".to_owned(),
        outer: vec![cut("the outline", outline)],
        openings: vec![cut("A1", slot)],
        holes: holes.filter(|hole| hole.diameter_mm < 13.0).collect(),
        ..CutDrawing::default()
    }
}

#[test]
fn a_plate_is_read_as_it_was_asked_for_in_both_formats() {
    let drawing = drawing();
    let options = PlateOptions { thickness_mm: 2.4, shrink_percent: 0.6, hole_allowance_mm: 0.25, chord_mm: 0.01 };
    let plate = proof_plate(&drawing, &options).unwrap();
    let drawn = drawing.outer[0].contour.bounds().unwrap();
    let printed = |p: PlatePoint| [p.x - drawn.min.x, p.y - drawn.min.y].map(|mm| mm * options.scale());
    let radius = |hole: &CutHole| f64::midpoint(hole.diameter_mm, 0.25) * options.scale();
    let rims: Vec<Value> = drawing
        .holes
        .iter()
        .map(|hole| {
            let [x, y] = printed(hole.centre);
            json!([x, y, radius(hole) + 0.5])
        })
        .collect();
    let Some(found) = judged(&plate, &json!(rims)) else { return };
    let square = |mm: f64| mm * mm;
    let slot = 30.0 * 8.25 + PI * square(8.25 / 2.0);
    let holes: f64 = drawing.holes.iter().map(|hole| PI * square(f64::midpoint(hole.diameter_mm, 0.25))).sum();
    let area = (drawing.outer[0].contour.signed_area_mm2() - slot - holes) * square(options.scale());
    let size = drawn.size() * options.scale();
    assert_eq!(found["same"], true, "both hold the same triangles");
    for format in ["3mf", "stl"] {
        let read = &found[format];
        assert_eq!((&read["watertight"], &read["winding"]), (&true.into(), &true.into()), "{format}");
        for (key, wanted) in [("area", area), ("volume", area * 2.4)] {
            let is = read[key].as_f64().unwrap();
            assert!((is - wanted).abs() < 1e-3 * wanted, "{format}: {key} {is} is not {wanted}");
        }
        for (k, wanted) in [size.x, size.y, 2.4].into_iter().enumerate() {
            let [least, most] = [0, 1].map(|end| read["bounds"][end][k].as_f64().unwrap());
            assert!(least.abs() < 1e-6 && (most - wanted).abs() < 0.011, "{format}: {least} to {most}, not {wanted}");
        }
        for (rim, hole) in read["rims"].as_array().unwrap().iter().zip(&drawing.holes) {
            let off = ["least", "most"].map(|key| (rim[key].as_f64().unwrap() - radius(hole)).abs());
            let enough = rim["n"].as_u64().is_some_and(|n| n >= 20);
            assert!(enough && off.iter().all(|off| *off < 1e-3), "{format}: {} is {rim}", hole.name);
        }
    }
    let model = &found["3mf"];
    assert_eq!(
        (&model["unit"], &model["well_formed"], &model["read_whole"]),
        (&"millimeter".into(), &true.into(), &true.into())
    );
    assert_eq!(model["metadata"]["Title"], "Milchventil – Flansch <Größe 2>");
    let said = model["metadata"]["Description"].as_str().unwrap();
    assert!(said.contains("2.4 mm thick") && said.contains("0.60 %") && said.contains("0.25 mm larger"), "{said}");
    assert_eq!(found["stl"]["head"], "mm; 2.4 thick; +0.6 % shrink; holes +0.25; Milchventil - Flansch <Groesse 2>");
    assert_eq!(threemf(&plate), threemf(&proof_plate(&drawing, &options).unwrap()), "the same bytes twice");
}

/// The judge itself sees what is wrong: a test that it could not fail would be none.
#[test]
fn the_judge_finds_a_gap_and_a_triangle_turned_over() {
    let mut plate = proof_plate(&drawing(), &PlateOptions::usual(None)).unwrap();
    plate.mesh.triangles[5].swap(0, 1);
    let Some(turned) = judged(&plate, &json!([])) else { return };
    assert_eq!(
        (&turned["3mf"]["winding"], &turned["3mf"]["well_formed"]),
        (&false.into(), &false.into()),
        "turned over"
    );
    plate.mesh.triangles.remove(5);
    let gap = judged(&plate, &json!([])).unwrap();
    assert_eq!((&gap["stl"]["watertight"], &gap["3mf"]["well_formed"]), (&false.into(), &false.into()), "a gap");
}
