//! Each rule on a job that passes it and on what must fail.

use super::*;
use crate::geom::Contour as CutContour;
use crate::job::Datum;
use crate::outline::contour_fit_by;
use crate::solution::added_among;
use crate::solution::{
    AddedFit, Ambiguity, EdgePlace, Ellipse, Finding, HoleFit, MeasureFit, MeasureVerdict, MeasuredContour, Suspects,
    Unseen, Weight,
};
use crate::space::PlatePoint;

/// A plate of 60 x 40 mm with an opening of 10 x 8 and two holes of 6.6, at 10 px to the mm.
const JOB: &str = r#"{
  "format": "platewright-job", "version": 1, "title": "Lid",
  "photo": { "file": "lid.jpg", "sha256": "0", "size": [1000, 800] },
  "holes": [
    { "id": "h1", "name": "H1", "rim": [[100, 100], [110, 110], [90, 110]], "group": "studs" },
    { "id": "h2", "name": "H2", "rim": [[500, 100], [510, 110], [490, 110]] },
    { "id": "h3", "name": "H3", "rim": [], "keep": false }
  ],
  "groups": [ { "id": "studs", "finished_mm": 6.6 } ],
  "contours": [
    { "id": "c1", "role": "outer", "closed": true, "nodes": [
      { "at": [0, 0], "kind": "corner", "next": "line" }, { "at": [600, 0], "kind": "corner", "next": "line" },
      { "at": [600, 400], "kind": "corner", "next": "line" }, { "at": [0, 400], "kind": "corner", "next": "line" } ] },
    { "id": "c2", "role": "opening", "closed": true, "nodes": [
      { "at": [250, 200], "kind": "corner", "next": "line" }, { "at": [350, 200], "kind": "corner", "next": "line" },
      { "at": [350, 280], "kind": "corner", "next": "line" }, { "at": [250, 280], "kind": "corner", "next": "line" } ] }
  ],
  "added": [ { "id": "a1", "kind": "hole", "at_mm": [10.0, 30.0], "diameter_mm": 4.2 } ]
}"#;

fn job() -> Job {
    serde_json::from_str(JOB).unwrap()
}

fn hole_fit(id: &str, x: f64, y: f64) -> HoleFit {
    let ellipse = Ellipse { major_mm: 0.03, minor_mm: 0.02, major_angle_rad: 0.0 };
    HoleFit {
        id: id.into(),
        centre: PlatePoint::new(x, y),
        rim_diameter_mm: 6.6,
        bore_diameter_mm: 6.4,
        diameter_sigma_mm: 0.02,
        ellipse,
        rim_points: 3,
        is_measured: false,
        rim_rms_px: 0.1,
        picks_off_px: Vec::new(),
    }
}

fn measure_fit(id: &str, verdict: MeasureVerdict) -> MeasureFit {
    MeasureFit {
        id: id.into(),
        measured_mm: 40.98,
        fitted_mm: 40.0,
        sigma_mm: 0.05,
        redundancy: 0.5,
        w: Some(0.2),
        noticed_mm: Some(0.3),
        noticed_effect: None,
        by_others_mm: Some(40.0),
        slip: None,
        verdict,
    }
}

fn added_of(job: &Job, solution: &Solution) -> Vec<AddedFit> {
    added_among(job, |id| Some(solution.holes.iter().find(|fit| fit.id == *id)?.centre))
}

fn solved(job: &Job) -> Solution {
    let plain = |p: crate::space::PhotoPoint| Some(PlatePoint::new(p.x / 10.0, p.y / 10.0));
    let mut solution = Solution {
        holes: vec![hole_fit("h1", 10.0, 10.0), hole_fit("h2", 50.0, 10.0)],
        measures: vec![measure_fit("m1", MeasureVerdict::Agrees), measure_fit("m2", MeasureVerdict::Agrees)],
        contours: job.contours.iter().map(|contour| contour_fit_by(contour, plain, 0.05)).collect(),
        ..Solution::default()
    };
    solution.fit.scale_sigma = Some(5e-4);
    solution.added = added_of(job, &solution);
    solution
}

/// Checks what the rule `name` says of a job after `change`: verdict, first text and what it is about.
fn check(name: &str, change: impl FnOnce(&mut Job, &mut Solution), verdict: Verdict, text: &str, about: Option<&str>) {
    let mut job = job();
    let mut solution = solved(&job);
    change(&mut job, &mut solution);
    solution.added = added_of(&job, &solution);
    let found: Vec<Check> = all(&job, &solution).into_iter().filter(|check| check.name == name).collect();
    let first = found.first().unwrap();
    assert_eq!(
        (first.verdict, first.text.as_str(), first.about.as_ref().map(|id| id.0.as_str())),
        (verdict, text, about)
    );
}

/// The same after a change of the job's contours, which are fitted anew.
fn redrawn(change: impl FnOnce(&mut Job)) -> impl FnOnce(&mut Job, &mut Solution) {
    |job, solution| {
        change(job);
        solution.contours = solved(job).contours;
    }
}

#[test]
fn a_sound_job_may_be_cut() {
    let job = job();
    let checks = all(&job, &solved(&job));
    let (told, untold): (Vec<_>, Vec<_>) = checks.iter().partition(|check| check.verdict != Verdict::CannotTell);
    assert!(told.iter().all(|check| check.verdict == Verdict::Pass), "{told:#?}");
    let untold: Vec<_> = untold.iter().map(|check| check.name).collect();
    assert_eq!(untold, ["On the edge", "Tilt settled"], "there is no photo and no camera here");
    assert!(may_cut(&checks), "nothing fails");
}

#[test]
fn an_empty_job_passes_nothing_that_was_not_looked_at() {
    let mut empty = job();
    (empty.holes, empty.contours, empty.added) = (vec![], vec![], vec![]);
    let checks = all(&empty, &Solution::default());
    let passed: Vec<_> = checks.iter().filter(|check| check.verdict == Verdict::Pass).map(|c| c.name).collect();
    assert_eq!(passed, ["Land", "Holes found", "Holes apart", "Kerf"], "{checks:#?}");
    assert!(!may_cut(&checks), "there is nothing to cut");
}

#[test]
fn outlines_must_be_one_and_closed() {
    check(
        "One outline",
        |job, _| job.contours.clear(),
        Verdict::Fail,
        "Nothing says how far the part reaches. Draw its outline.",
        None,
    );
    check(
        "One outline",
        |job, _| job.contours[1].role = Role::Outer,
        Verdict::Fail,
        "c2 is a further outline. Make it an opening, or take it away.",
        Some("c2"),
    );
    check(
        "Closed",
        redrawn(|job| job.contours[0].closed = false),
        Verdict::Fail,
        "The outline has a gap of 40.00 mm. Join it.",
        Some("c1"),
    );
    check(
        "Closed",
        redrawn(|job| job.contours[1].nodes.truncate(1)),
        Verdict::Fail,
        "Opening c2 has too few nodes. Go on round the edge, or take it away.",
        Some("c2"),
    );
    check(
        "Closed",
        |_, solution| solution.contours.clear(),
        Verdict::CannotTell,
        "The contours have no place on the plate yet. Pick the rims of some holes first.",
        None,
    );
    // Ends that meet by less than the last bit are not closed exactly, whatever the flag says.
    let nudged = |_: &mut Job, solution: &mut Solution| solution.contours[0].cut.segments[0].from.x += 1e-13;
    check(
        "Closed",
        nudged,
        Verdict::Fail,
        "The outline has too few nodes. Go on round the edge, or take it away.",
        Some("c1"),
    );
}

#[test]
fn a_contour_must_not_meet_itself() {
    check(
        "No crossing",
        redrawn(|job| job.contours[0].nodes.swap(1, 2)),
        Verdict::Fail,
        "The outline meets itself at x 30.00, y 20.00 mm. Move a node there.",
        Some("c1"),
    );
}

#[test]
fn every_kept_hole_is_cut() {
    check(
        "Holes found",
        |job, solution| {
            job.holes[1].rim.truncate(2);
            solution.holes.truncate(1);
        },
        Verdict::Fail,
        "H2 has too few picks to be a hole. Click its rim three times, or take it away.",
        Some("h2"),
    );
    check(
        "Holes found",
        |_, solution| solution.holes.truncate(1),
        Verdict::Fail,
        "The picks of H2 make no circle. Spread them along its rim, or take it away.",
        Some("h2"),
    );
    check(
        "Holes found",
        |job, _| job.added[0].diameter_mm = Some(0.0),
        Verdict::Fail,
        "A1 has the diameter 0.00 mm. Give it one that can be cut.",
        Some("a1"),
    );
    check("Holes found", |_, _| {}, Verdict::Pass, "3 holes to cut.", None);
}

#[test]
fn holes_and_openings_lie_inside() {
    check(
        "Holes inside",
        |job, _| job.added[0].at_mm = Some(PlatePoint::new(10.0, 38.0)),
        Verdict::Fail,
        "A1 runs 0.10 mm over the outline. Move it or the outline.",
        Some("a1"),
    );
    check(
        "Holes inside",
        |job, _| job.added[0].at_mm = Some(PlatePoint::new(10.0, 48.0)),
        Verdict::Fail,
        "A1 lies outside the outline. Move it or the outline.",
        Some("a1"),
    );
    let moved = |mm: f64| move |job: &mut Job| job.contours[1].nodes.iter_mut().for_each(|node| node.at.x += mm * 10.0);
    check(
        "Holes inside",
        redrawn(moved(28.0)),
        Verdict::Fail,
        "Opening c2 meets the outline at x 60.00, y 28.00 mm. Move one of them.",
        Some("c2"),
    );
    check(
        "Holes inside",
        redrawn(moved(60.0)),
        Verdict::Fail,
        "Opening c2 lies outside the outline. Move it or the outline.",
        Some("c2"),
    );
    check(
        "Holes inside",
        redrawn(|job| job.contours[0].closed = false),
        Verdict::CannotTell,
        "It waits for one closed outline.",
        None,
    );
}

#[test]
fn holes_and_openings_stay_apart() {
    check(
        "Holes apart",
        |job, _| job.added[0].at_mm = Some(PlatePoint::new(13.0, 14.0)),
        Verdict::Fail,
        "H1 and A1 run 0.40 mm into each other. Move one, or leave it out.",
        Some("a1"),
    );
    check(
        "Holes apart",
        |job, _| job.added[0].at_mm = Some(PlatePoint::new(30.0, 24.0)),
        Verdict::Fail,
        "A1 runs into opening c2. Move one, or leave it out.",
        Some("a1"),
    );
    check(
        "Holes apart",
        |job, _| job.added[0].at_mm = Some(PlatePoint::new(23.0, 24.0)),
        Verdict::Fail,
        "A1 runs into opening c2. Move one, or leave it out.",
        Some("a1"),
    );
    let doubled = |_: &mut Job, solution: &mut Solution| {
        let mut inner = solution.contours[1].clone();
        inner.id = "c3".into();
        inner.cut = CutContour::circle(PlatePoint::new(30.0, 24.0), 1.0);
        solution.contours.push(inner);
    };
    check(
        "Holes apart",
        doubled,
        Verdict::Fail,
        "Opening c3 runs into opening c2. Move one, or take it away.",
        Some("c3"),
    );
}

#[test]
fn the_size_is_known_and_nothing_disagrees() {
    check("Size known", |_, _| {}, Verdict::Pass, "The size of the part is good to ±0.10 %.", None);
    check(
        "Size known",
        |_, s| s.fit.scale_sigma = Some(0.1),
        Verdict::Fail,
        "The size of the part is good to ±20 % only. Measure between two holes.",
        None,
    );
    check(
        "Size known",
        |_, s| s.fit.scale_sigma = Some(3.0),
        Verdict::Fail,
        "Nothing says how large the part is. Measure between two holes.",
        None,
    );
    check(
        "Measures agree",
        |_, s| s.measures[1].verdict = MeasureVerdict::Disagrees,
        Verdict::Fail,
        "M2 does not agree with the others: it is 0.98 mm long. Measure again, or leave it out.",
        Some("m2"),
    );
    check(
        "Measures agree",
        |_, s| s.measures[1].verdict = MeasureVerdict::Unchecked,
        Verdict::Pass,
        "1 measure checked, and all agree. Nothing checks 1 other.",
        None,
    );
    check(
        "Measures agree",
        |_, s| s.measures.iter_mut().for_each(|m| m.verdict = MeasureVerdict::Unchecked),
        Verdict::CannotTell,
        "Nothing checks the measures: a misreading would not be noticed.",
        None,
    );
    let text = "E1 and E2 are not square: 3.10 mm off in 100.";
    let not_square = |s: &mut Solution| {
        let finding = Finding::new(Weight::Disagrees, Some("s1".into()), text.to_owned());
        s.findings.push(finding);
    };
    check("Measures agree", |_, s| not_square(s), Verdict::Warn, text, Some("s1"));
    let stated = |_: &mut Job, s: &mut Solution| {
        not_square(s);
        s.suspects.push(Suspects { ids: vec!["s1".into()], tell_apart: None });
    };
    check("Measures agree", stated, Verdict::Fail, text, Some("s1"));
    let two = |_: &mut Job, s: &mut Solution| {
        s.fit.ambiguous = Some(Ambiguity { hole: "h2".into(), moves_mm: 0.8, settle: None });
    };
    check(
        "Tilt settled",
        two,
        Verdict::Fail,
        "Two positions of the camera fit, and H2 differs by 0.80 mm between them. Take the measure asked for next.",
        Some("h2"),
    );
}

#[test]
fn a_kerf_that_the_file_should_allow_for_is_not_passed_over() {
    let stock = |in_file: bool| {
        move |job: &mut Job, _: &mut Solution| {
            job.stock = serde_json::from_str(&format!(r#"{{"kerf_mm": 0.15, "kerf_in_file": {in_file}}}"#)).unwrap();
        }
    };
    check(
        "Kerf",
        stock(true),
        Verdict::Fail,
        "The file is drawn at finished size and does not allow for the kerf of 0.15 mm. Let the shop allow for it.",
        None,
    );
    check("Kerf", stock(false), Verdict::Pass, "Drawn at finished size: the shop allows for the kerf.", None);
}

#[test]
fn the_drawing_holds_what_the_job_asks_for() {
    let job = job();
    let drawing = crate::export::CutDrawing::from_solution(&job, &solved(&job));
    let holes: Vec<_> = drawing.holes.iter().map(|hole| (hole.name.as_str(), hole.diameter_mm)).collect();
    assert_eq!(holes, [("H1", 6.6), ("H2", 6.4), ("A1", 4.2)], "by its group, as measured, as added; H3 is not kept");
    assert_eq!((drawing.outer.len(), drawing.openings.len(), drawing.title.as_str()), (1, 1, "Lid"));
    assert!(
        drawing.outer[0].contour.is_counter_clockwise() && !drawing.openings[0].contour.is_counter_clockwise(),
        "material on the left"
    );
    assert_eq!(drawing.bounds().unwrap().size(), crate::space::PlateVec::new(60.0, 40.0));
}

#[test]
fn a_datum_that_is_not_found_is_said() {
    let datum = |along: &str| Datum { origin: "h1".into(), along: along.into() };
    check("Holes found", |job, _| job.datum = Some(datum("h2")), Verdict::Pass, "3 holes to cut.", None);
    check(
        "Holes found",
        |job, _| job.datum = Some(datum("h3")),
        Verdict::Fail,
        "H3 says where coordinates start, and it is not found. Pick its rim, or choose another.",
        Some("h3"),
    );
}

#[test]
fn a_contour_without_a_node_is_none_yet() {
    check("Closed", redrawn(|job| job.contours[1].nodes.clear()), Verdict::Pass, "1 contour, closed exactly.", None);
    let begun = |job: &mut Job| (job.contours[1].role, job.contours[1].nodes) = (Role::Outer, Vec::new());
    check("One outline", redrawn(begun), Verdict::Pass, "The part has one outline.", None);
}

#[test]
fn a_measure_is_named_by_its_place_whatever_its_id() {
    let renamed = |_: &mut Job, s: &mut Solution| {
        s.measures[1] = measure_fit("m7", MeasureVerdict::Disagrees);
    };
    check(
        "Measures agree",
        renamed,
        Verdict::Fail,
        "M2 does not agree with the others: it is 0.98 mm long. Measure again, or leave it out.",
        Some("m7"),
    );
}

/// The contour `number` with so much that was measured along it: how far off at most, and where no edge was seen.
fn measured(
    number: usize,
    worst_mm: f64,
    unseen: &[(f64, Option<crate::edge::Rejection>)],
) -> impl FnOnce(&mut Job, &mut Solution) {
    let unseen = unseen.iter().map(|(length_mm, reason)| Unseen {
        node: 0,
        from: PlatePoint::new(0.0, 0.0),
        to: PlatePoint::new(*length_mm, 0.0),
        reason: *reason,
        as_drawn: false,
    });
    let place = EdgePlace {
        at: PlatePoint::new(3.0, 0.02),
        on_cut: PlatePoint::new(3.0, 0.0),
        off_mm: 0.02,
        node: 0,
        took_part: true,
    };
    let measured = MeasuredContour {
        places: vec![place; 3],
        tolerance_mm: 0.05,
        noise_mm: 0.01,
        worst_mm,
        pieces: Vec::new(),
        unseen: unseen.collect(),
        agreed: Vec::new(),
        suggestions: Vec::new(),
    };
    move |_, solution| solution.contours[number].measured = Some(measured)
}

#[test]
fn the_cut_lies_on_the_measured_edge() {
    let name = "On the edge";
    let drawn = "No contour follows the edge in the photo: the cut is as it was drawn.";
    check(name, |_, _| (), Verdict::CannotTell, drawn, None);
    // Allowed are 0.05 mm and 2.576 times 0.01 mm.
    let text = "The cut lies within 0.07 mm of 3 measured places of the edge.";
    check(name, measured(0, 0.07, &[(2.0, None)]), Verdict::Pass, text, None);
    let off = |mm: &str| {
        format!(
            "The outline is cut up to {mm} mm off the measured edge, where 0.08 mm is allowed. Look there, and let go of \
             what is pinned or agreed."
        )
    };
    check(name, measured(0, 0.1, &[]), Verdict::Warn, &off("0.10"), Some("c1"));
    check(name, measured(0, 0.2, &[]), Verdict::Fail, &off("0.20"), Some("c1"));
    let glare = Some(crate::edge::Rejection::Glare);
    let hidden = "Opening c2 has 7.0 mm where no edge is seen: glare hides it. Look whether the cut is right there.";
    check(name, measured(1, 0.05, &[(7.0, glare), (1.0, None)]), Verdict::Warn, hidden, Some("c2"));
    let twice = "Opening c2 has 2 stretches where no edge is seen, the longest 9.0 mm: nothing there looks like an edge. \
                 Look whether the cut is right there.";
    check(name, measured(1, 0.05, &[(7.0, glare), (9.0, None)]), Verdict::Warn, twice, Some("c2"));
}

/// One more entry of `added`, as in a job file.
fn add(job: &mut Job, entry: &str) {
    job.added.push(serde_json::from_str(entry).unwrap());
}

#[test]
fn an_opening_that_is_left_out_is_not_judged_and_not_cut() {
    let left_out = |job: &mut Job| {
        job.contours[1].keep = false;
        job.contours[1].nodes.swap(0, 1);
    };
    check("Closed", redrawn(left_out), Verdict::Pass, "1 contour, closed exactly.", None);
    check("No crossing", redrawn(left_out), Verdict::Pass, "4 lines and arcs, none crosses or doubles another.", None);
    let onto_it = |job: &mut Job, _: &mut Solution| {
        job.contours[1].keep = false;
        job.added[0].at_mm = Some(PlatePoint::new(30.0, 24.0));
    };
    check("Holes apart", onto_it, Verdict::Pass, "No hole or opening runs into another.", None);
}

#[test]
fn what_is_added_is_judged_as_it_is_cut() {
    let slot = |x: f64| {
        move |job: &mut Job, _: &mut Solution| {
            add(
                job,
                &format!(
                    r#"{{"id": "s1", "name": "Vent", "kind": "slot", "at_mm": [{x}, 30], "diameter_mm": 5, "length_mm": 10}}"#
                ),
            );
        }
    };
    check("Holes found", slot(45.0), Verdict::Pass, "3 holes and 1 slot to cut.", None);
    check("Holes inside", slot(45.0), Verdict::Pass, "All holes and openings lie inside the outline.", None);
    check(
        "Holes inside",
        slot(53.0),
        Verdict::Fail,
        "Vent meets the outline at x 60.00, y 28.50 mm. Move one of them.",
        Some("s1"),
    );
    check(
        "Holes apart",
        slot(20.0),
        Verdict::Fail,
        "Vent runs into opening c2. Move one, or take it away.",
        Some("s1"),
    );
    let circle = |job: &mut Job, _: &mut Solution| {
        add(
            job,
            r#"{"id": "a2", "kind": "hole", "placed": {"circle": {"about": "h2", "n": 4, "radius_mm": 7}}, "tapped": "M6"}"#,
        );
    };
    check("Holes found", circle, Verdict::Pass, "7 holes to cut.", None);
    let on_it = |job: &mut Job, _: &mut Solution| {
        add(
            job,
            r#"{"id": "a2", "kind": "hole", "placed": {"circle": {"about": "h2", "n": 4, "radius_mm": 5}}, "tapped": "M6"}"#,
        );
    };
    check(
        "Holes apart",
        on_it,
        Verdict::Fail,
        "H2 and A2.1 run 0.70 mm into each other. Move one, or leave it out.",
        Some("a2"),
    );
}

#[test]
fn what_is_added_and_not_cut_is_said() {
    let added = |entry: &'static str| move |job: &mut Job, _: &mut Solution| add(job, entry);
    check(
        "Holes found",
        added(r#"{"id": "a2", "kind": "hole", "at_mm": [50, 30]}"#),
        Verdict::Fail,
        "A2 has no size. Type its diameter, or say which thread or fastener it is for.",
        Some("a2"),
    );
    check(
        "Holes found",
        added(r#"{"id": "a2", "kind": "hole", "placed": {"between": {"a": "h1", "b": "h3"}}, "diameter_mm": 3}"#),
        Verdict::Fail,
        "A2 has no place: it is placed by H1 and H3. Find that first.",
        Some("a2"),
    );
}

#[test]
fn land_that_changes_the_part_is_said() {
    let land = |outer: f64, opening: f64| {
        move |job: &mut Job, _: &mut Solution| (job.design.land_mm, job.design.opening_land_mm) = (outer, opening)
    };
    check("Land", land(0.0, 0.0), Verdict::Pass, "Cut along the edge, without land.", None);
    check("Land", land(3.0, 1.0), Verdict::Pass, "Land is left all round.", None);
    check("Land", land(0.0, 4.0), Verdict::Fail, "Opening c2 is gone with a land of 4.00 mm. Leave less.", Some("c2"));
    check(
        "Land",
        land(-20.0, 0.0),
        Verdict::Fail,
        "The outline is gone with 20.00 mm taken off. Take off less.",
        Some("c1"),
    );
    let open = redrawn(|job| {
        job.contours[0].closed = false;
        job.design.land_mm = 2.0;
    });
    check(
        "Land",
        open,
        Verdict::CannotTell,
        "The outline waits for its land until it is closed and meets itself nowhere.",
        Some("c1"),
    );
    // A waist of 2 mm in an opening of 8 closes under 1.5 mm of land on either side.
    let waisted = redrawn(|job| {
        let waist = [
            (250, 200),
            (290, 200),
            (300, 230),
            (310, 200),
            (350, 200),
            (350, 280),
            (310, 280),
            (300, 250),
            (290, 280),
            (250, 280),
        ];
        let corner = job.contours[1].nodes[0].clone();
        let at = |(x, y): &(i32, i32)| crate::space::PhotoPoint::new(f64::from(*x), f64::from(*y));
        job.contours[1].nodes = waist.iter().map(|p| crate::job::Node { at: at(p), ..corner.clone() }).collect();
        job.design.opening_land_mm = 1.5;
    });
    check("Land", waisted, Verdict::Warn, "Opening c2 becomes 2 openings with a land of 1.50 mm.", Some("c2"));
    // What lay over the edge lies inside with its land.
    let near_the_edge = |job: &mut Job, _: &mut Solution| {
        job.added[0].at_mm = Some(PlatePoint::new(10.0, 39.0));
        job.design.land_mm = 3.0;
    };
    check("Holes inside", near_the_edge, Verdict::Pass, "All holes and openings lie inside the outline.", None);
}

#[test]
fn the_other_side_is_cut_with_y_turned_round() {
    let mut job = job();
    job.design.mirrored = true;
    add(
        &mut job,
        r#"{"id": "s1", "kind": "slot", "at_mm": [45, 30], "diameter_mm": 5, "length_mm": 10, "angle_deg": 30}"#,
    );
    let solution = solved(&job);
    let (seen, cut) = (CutDrawing::as_seen(&job, &solution), CutDrawing::from_solution(&job, &solution));
    assert_eq!((cut.outer.len(), cut.openings.len(), cut.holes.len()), (1, 2, 3), "nothing is lost");
    for (seen, cut) in seen.holes.iter().zip(&cut.holes) {
        assert_eq!((cut.centre.x, cut.centre.y), (seen.centre.x, -seen.centre.y), "{}", cut.name);
        assert!((cut.diameter_mm - seen.diameter_mm).abs() < 1e-12, "{}", cut.name);
    }
    let both = seen.outer.iter().chain(&seen.openings).zip(cut.outer.iter().chain(&cut.openings));
    for (seen, cut) in both {
        let areas = (seen.contour.signed_area_mm2(), cut.contour.signed_area_mm2());
        assert!((areas.0 - areas.1).abs() < 1e-9, "{}: gone round the same way, {areas:?}", cut.name);
        assert!(cut.contour.is_closed_exactly(), "{} is closed", cut.name);
    }
    assert!(cut.notes.contains(&"seen from the other side of the photo".to_owned()), "and the file says so");
    assert_eq!(
        all(&job, &solution),
        all(&Job { design: crate::job::Design::default(), ..job.clone() }, &solution),
        "checked alike"
    );
}
