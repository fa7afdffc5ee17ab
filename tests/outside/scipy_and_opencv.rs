//! The adjustment against SciPy's `least_squares` on the same residuals (tests/judges/adjustment.py: a camera, a rim
//! distance and numeric derivatives of its own), and the camera against OpenCV's `projectPoints`.

use platewright_core::adjust::{Problem, Span, adjust};
use platewright_core::camera::{Lens, Pose, View};
use platewright_core::instrument::Instrument;
use platewright_core::job::MeasureKind;
use platewright_core::solution::{Inputs, problem};
use platewright_core::space::{PhotoPoint, PlatePoint};
use platewright_tests::{CASES, Case, judge, shared_dir, skip};
use serde_json::{Value, json};

#[test]
fn unknowns_covariance_and_reliability_are_those_of_scipy() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in CASES {
        let mut job = Case::read(&shared, name).job();
        // The judge knows holes and points.
        job.edges.clear();
        job.measures.retain(|measure| measure.kind != MeasureKind::Edges);
        let problem = problem(&Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None });
        let adjusted = adjust(&problem).expect("the case is solved");
        let found = adjusted.plain();
        let sigma: Vec<f64> = (0..found.unknowns.len()).map(|i| found.covariance[i][i].sqrt()).collect();
        // SciPy starts a twentieth of a sigma away in every unknown, to and fro: that is far off, since the unknowns
        // hang together, yet near enough that it does not find another minimum.
        let start: Vec<f64> = found
            .unknowns
            .iter()
            .zip(&sigma)
            .enumerate()
            .map(|(i, (value, sigma))| if i % 2 == 0 { value + 0.05 * sigma } else { value - 0.05 * sigma })
            .collect();
        let Some(answer) = judge("adjustment.py", &[], &as_json(&problem, &start).to_string()) else { return };
        let numbers = |value: &Value| -> Vec<f64> {
            value.as_array().expect("an array").iter().map(|n| n.as_f64().expect("a number")).collect()
        };
        for (i, theirs) in numbers(&answer["x"]).into_iter().enumerate() {
            let ours = found.unknowns[i];
            let off = (ours - theirs).abs() / sigma[i];
            assert!(off < 1e-6, "{name}: unknown {i} is {ours} here, {theirs} by SciPy, {off:.1e} of its sigma");
        }
        let rows = answer["covariance"].as_array().expect("rows");
        for (i, row) in rows.iter().enumerate() {
            for (j, theirs) in numbers(row).into_iter().enumerate() {
                let off = (found.covariance[i][j] - theirs).abs() / (sigma[i] * sigma[j]);
                assert!(off < 1e-5, "{name}: covariance {i}, {j} differs by {off:.1e} of its sigmas");
            }
        }
        let theirs = numbers(&answer["redundancy"]).into_iter().zip(numbers(&answer["w"]));
        for (i, (tested, (redundancy, w))) in adjusted.reliability().tested.iter().zip(theirs).enumerate() {
            let ours = tested.redundancy;
            assert!(
                (ours - redundancy).abs() < 1e-6,
                "{name}: measure {i} is checked by {ours}, by numpy {redundancy}"
            );
            let ours = tested.w.expect("every measure of the cases is checked by something");
            assert!((ours - w).abs() < 1e-5, "{name}: measure {i} has w {ours}, by numpy {w}");
        }
    }
}

fn as_json(problem: &Problem, start: &[f64]) -> Value {
    let rims = problem.rims.len();
    let lengths = problem.lengths.iter().map(|length| {
        let (kind, of) = match length.span {
            Span::Centres(a, b) => ("centres", vec![a, b]),
            Span::FarRims(a, b) => ("far-rims", vec![a, b]),
            Span::NearRims(a, b) => ("near-rims", vec![a, b]),
            Span::Diameter(a) => ("diameter", vec![a]),
            Span::Points(a, b) => ("points", vec![rims + a, rims + b]),
            _ => panic!("the compared cases have no straight edges and no statements"),
        };
        json!({"kind": kind, "of": of, "mm": length.mm, "sigma": length.sigma_mm})
    });
    json!({
        "priors": problem.priors.0.iter().map(|prior| [prior.value, prior.sigma]).collect::<Vec<_>>(),
        "breaks": problem.breaks.len(),
        "holes": problem.rims.iter().map(|rim| json!({
            "picks": rim.picks.iter().map(|p| [p.x, p.y]).collect::<Vec<_>>(),
            "sigma": rim.precision.sigma_px(0), "break": rim.edge_break,
        })).collect::<Vec<_>>(),
        "points": problem.spots.iter().map(|spot| json!({
            "at": [spot.pick.x, spot.pick.y], "sigma": spot.sigma_px,
        })).collect::<Vec<_>>(),
        "measures": lengths.collect::<Vec<_>>(),
        "start": start,
    })
}

#[test]
fn the_camera_is_that_of_opencv() {
    let points: Vec<[f64; 2]> =
        (-4..=4).flat_map(|i| (-3..=3).map(move |j| [f64::from(i) * 21.3, f64::from(j) * 24.7])).collect();
    for (a, b, k1) in [(0.0, 0.0, 0.0), (0.12, -0.2, -0.12), (-0.3, 0.25, 0.08), (0.05, 0.4, -0.28)] {
        let lens =
            Lens { focal_px: 3043.7, principal: PhotoPoint::new(1991.5, 1511.5), k1, k2: 0.03, p1: 4e-4, p2: -3e-4 };
        let pose = Pose { distance_mm: 310.0, tilt_a_rad: a, tilt_b_rad: b };
        let view = View::new(lens, pose);
        let (sa, ca) = f64::sin_cos(a);
        let (sb, cb) = f64::sin_cos(b);
        // Rx(a) Ry(b) diag(1, -1, -1), written out by hand.
        let rotation = [[cb, 0.0, -sb], [sa * sb, -ca, sa * cb], [-ca * sb, -sa, -ca * cb]];
        let input = json!({
            "f": lens.focal_px, "c": [lens.principal.x, lens.principal.y], "d": [lens.k1, lens.k2, lens.p1, lens.p2],
            "R": rotation, "t": [0.0, 0.0, pose.distance_mm],
            "points": points.iter().map(|p| [p[0], p[1], 0.0]).collect::<Vec<_>>(),
        });
        let Some(answer) = judge("projection.py", &[], &input.to_string()) else { return };
        let pixels = answer["pixels"].as_array().expect("pixels");
        for (point, pixel) in points.iter().zip(pixels) {
            let ours = view.project(PlatePoint::new(point[0], point[1])).expect("before the camera");
            let theirs = [0, 1].map(|i| pixel[i].as_f64().expect("a number"));
            let off = (ours.x - theirs[0]).hypot(ours.y - theirs[1]);
            assert!(off < 1e-6, "{point:?} is {off:.1e} px from OpenCV's at a {a} b {b} k1 {k1}");
        }
    }
}
