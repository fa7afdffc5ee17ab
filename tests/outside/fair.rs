//! Fairing against outlines that are known: the public cases, their edges measured with noise and strays.

use kurbo::simplify::{SimplifyOptions, simplify_bezpath};
use kurbo::{BezPath, ParamCurve, PathEl, Point};
use platewright_core::fair::{EdgePoint, Faired, JoinKind, Wanted, fair};
use platewright_core::geom::{Contour, contour_crossings};
use platewright_core::space::PlatePoint;
use platewright_tests::edges::{EdgeNoise, apart_mm, edge_points, true_contour};
use platewright_tests::{CASES, Case, judge, shared_dir, skip};
use serde_json::json;

/// Noise of the points, and how far the contour may lie from the truth. At 0.3 px on the gasket (0.04 mm) a corner
/// rounded by 0.14 mm over six points is not told from a sharp one every time.
fn terms(case: &str) -> (f64, f64) {
    match &case[..2] {
        "09" => (0.3, 0.10),
        "11" => (0.3, 0.20),
        _ => (0.1, 0.10),
    }
}

fn noise(case: &str, seed: u64) -> EdgeNoise {
    EdgeNoise { step_px: 4.0, sigma_px: terms(case).0, strays: 0.02, seed }
}

fn faired(case: &Case, seed: u64) -> (Vec<EdgePoint>, Faired) {
    let points = edge_points(case, &noise(&case.name, seed));
    let faired = fair(&points, &Wanted::closed_outer()).expect("an outline is made of its points");
    (points, faired)
}

#[test]
#[expect(clippy::print_stdout, reason = "the figures are the point of this check")]
fn outlines_of_the_public_cases_are_where_they_are() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in CASES {
        let case = Case::read(&shared, name);
        let pieces = case.true_outline();
        let truth = true_contour(&pieces);
        for seed in 1..=4 {
            let (points, faired) = faired(&case, seed);
            let contour = &faired.contour;
            let apart = apart_mm(contour, &truth, 0.1);
            let area = contour.signed_area_mm2() / truth.signed_area_mm2() - 1.0;
            let (segments, wanted) = (contour.segments.len(), pieces.len());
            let tangent = faired.joins.iter().filter(|join| join.kind == JoinKind::Tangent).count();
            println!(
                "{name}, seed {seed}: {} points, {segments} pieces for {wanted}, {tangent} of {} joins tangent, {apart:.3} mm \
                 from the truth, area {:+.4} %",
                points.len(),
                faired.joins.len(),
                area * 100.0
            );
            assert!(apart < terms(name).1, "{name}, seed {seed}: {apart:.3} mm");
            assert!(area.abs() < 0.001, "{name}, seed {seed}: area {area}");
            assert!(2 * segments <= 3 * wanted, "{name}, seed {seed}: {segments} pieces for {wanted}");
            assert!(contour.is_closed_exactly() && contour.is_counter_clockwise(), "{name}, seed {seed}: as asked");
            assert_eq!(contour_crossings(contour), [], "{name}, seed {seed}: it crosses itself nowhere");
        }
    }
}

/// The same points seen otherwise, and how to see the contour so.
fn changed(points: &[EdgePoint], place: impl Fn(PlatePoint) -> PlatePoint) -> Vec<EdgePoint> {
    points.iter().map(|p| EdgePoint { at: place(p.at), ..*p }).collect()
}

fn places(contour: &Contour, place: impl Fn(PlatePoint) -> PlatePoint) -> Vec<PlatePoint> {
    contour.segments.iter().flat_map(|s| [s.from, s.point_at(0.3), s.point_at(0.6)]).map(place).collect()
}

/// Checks that the points make the contour that has these places.
#[track_caller]
fn check_same(what: &str, points: &[EdgePoint], expected: &[PlatePoint]) {
    let again = fair(points, &Wanted::closed_outer()).expect("the same points").contour;
    let off = expected.iter().map(|&p| again.distance_mm(p)).fold(0.0, f64::max);
    assert!(off < 1e-6, "{what}: off by {off:e} mm");
}

#[test]
fn the_way_of_looking_does_not_matter() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in CASES {
        let case = Case::read(&shared, name);
        let (points, faired) = faired(&case, 5);
        let same = |p: PlatePoint| p;
        let turn = |p: PlatePoint| PlatePoint::new(0.6 * p.x - 0.8 * p.y + 70.0, 0.8 * p.x + 0.6 * p.y - 30.0);
        let mirror = |p: PlatePoint| PlatePoint::new(-p.x, p.y);
        let reversed: Vec<EdgePoint> = points.iter().rev().copied().collect();
        let mut later = points.clone();
        later.rotate_left(points.len() / 3);
        check_same(&format!("{name} turned"), &changed(&points, turn), &places(&faired.contour, turn));
        check_same(&format!("{name} mirrored"), &changed(&points, mirror), &places(&faired.contour, mirror));
        check_same(&format!("{name} reversed"), &reversed, &places(&faired.contour, same));
        check_same(&format!("{name} from another start"), &later, &places(&faired.contour, same));
    }
}

/// A general curve simplifier, given the same points without strays: where both are within their tolerances of the
/// points, they are near each other.
#[test]
fn a_general_simplifier_is_near() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in ["01_milk_pump_cover", "02_baler_inspection_plate"] {
        let case = Case::read(&shared, name);
        let points = edge_points(&case, &EdgeNoise { strays: 0.0, ..noise(name, 7) });
        let faired = fair(&points, &Wanted::closed_outer()).expect("an outline is made of its points");
        let mut path = BezPath::new();
        for (k, p) in points.iter().enumerate() {
            let at = Point::new(p.at.x, p.at.y);
            path.push(if k == 0 { PathEl::MoveTo(at) } else { PathEl::LineTo(at) });
        }
        let simple = simplify_bezpath(path, 0.05, &SimplifyOptions::default().angle_thresh(0.5));
        let sampled = simple.segments().flat_map(|segment| (0..16).map(move |k| segment.eval(f64::from(k) / 16.0)));
        let off = sampled.map(|p| faired.contour.distance_mm(PlatePoint::new(p.x, p.y))).fold(0.0, f64::max);
        assert!(off < 0.15, "{name}: {off:.3} mm apart");
        assert!(faired.contour.segments.len() < simple.segments().count(), "{name}: fewer pieces than without arcs");
    }
}

/// GEOS as judge: the same area from polygons, a valid ring, and how much lies between contour and truth.
#[test]
fn another_library_finds_the_same_areas() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in CASES {
        let case = Case::read(&shared, name);
        let (_, faired) = faired(&case, 6);
        let truth = true_contour(&case.true_outline());
        let ring = |c: &Contour| c.sampled(1e-4).into_iter().map(<[f64; 2]>::from).collect::<Vec<_>>();
        let input = json!({ "contour": ring(&faired.contour), "truth": ring(&truth) });
        let Some(found) = judge("polygons.py", &[], &input.to_string()) else { return };
        let figure = |key: &str| found[key].as_f64().expect("the judge gives a figure");
        assert_eq!(found["valid"], true, "{name}: the ring is a simple one");
        assert!((figure("area") - faired.contour.signed_area_mm2()).abs() < 0.05, "{name}: {found}");
        let share = figure("between") / figure("true_area");
        assert!(share < 0.003, "{name}: {share:.5} of the area lies between contour and truth");
    }
}
