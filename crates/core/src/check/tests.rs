//! Each rule on a job that passes it and on what must fail.

use super::*;
use crate::geom::Contour as CutContour;
use crate::job::{Datum, Meant, MeantKind};
use crate::outline::contour_fit_by;
use crate::solution::added_among;
use crate::solution::{
    AddedFit, AgreedFit, Ambiguity, EdgePlace, Ellipse, FarNode, Finding, HoleFit, MeasureFit, MeasureVerdict,
    MeasuredContour, Suspects, Unseen, Weight,
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
  "added": [ { "id": "a1", "kind": "hole", "at_mm": [10.0, 30.0], "diameter_mm": 4.2 } ],
  "datum": { "origin": "h1", "along": "h2" }
}"#;

pub(super) fn job() -> Job {
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

pub(super) fn added_of(job: &Job, solution: &Solution) -> Vec<AddedFit> {
    let added: Vec<_> = job.added.iter().collect();
    added_among(job, &added, |id| Some(solution.holes.iter().find(|fit| fit.id == *id)?.centre))
}

pub(super) fn solved(job: &Job) -> Solution {
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
pub(super) fn check(
    name: &str,
    change: impl FnOnce(&mut Job, &mut Solution),
    verdict: Verdict,
    text: &str,
    about: Option<&str>,
) {
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

/// What is said of the sheet and the cutter, as in a job file.
pub(super) fn stock(json: &str) -> impl FnOnce(&mut Job, &mut Solution) {
    let stock = serde_json::from_str(json).unwrap();
    move |job, _| job.stock = Some(stock)
}

/// The same after a change of the job's contours, which are fitted anew.
pub(super) fn redrawn(change: impl FnOnce(&mut Job)) -> impl FnOnce(&mut Job, &mut Solution) {
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
    let (unsaid, no_photo) = (
        [
            "Edge distance",
            "Walls",
            "Gasket land",
            "Small holes",
            "Corners",
            "Fits the sheet",
            "Room for error",
            "Bolt-up",
            "Trial",
        ],
        ["On the edge", "Tilt settled", "Photo"],
    );
    let expected = |name: &&str| unsaid.contains(name) || no_photo.contains(name);
    assert!(untold.iter().all(expected), "no sheet and no fastener is said, and there is no photo here: {untold:?}");
    assert_eq!(untold.len(), unsaid.len() + no_photo.len(), "{untold:?}");
    assert!(may_cut(&checks), "nothing fails");
}

#[test]
fn an_empty_job_passes_nothing_that_was_not_looked_at() {
    let mut empty = job();
    (empty.holes, empty.contours, empty.added, empty.datum) = (vec![], vec![], vec![], None);
    let checks = all(&empty, &Solution::default());
    let passed: Vec<_> = checks.iter().filter(|check| check.verdict == Verdict::Pass).map(|c| c.name).collect();
    assert_eq!(
        passed,
        ["Land", "Holes found", "Holes apart", "Walls", "Small holes", "Kerf", "Copies apart"],
        "{checks:#?}"
    );
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
        "The outline does not close exactly: a line or an arc starts beside the end of the one before. Move a node.",
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
        Verdict::Warn,
        "The file allows for a kerf of 0.15 mm, and its name says so. Tell the shop, which must not allow for it again.",
        None,
    );
    check(
        "Kerf",
        |job, _| job.stock = serde_json::from_str(r#"{"kerf_mm": 20, "kerf_in_file": true}"#).unwrap(),
        Verdict::Fail,
        "Opening c2 is no wider than the kerf of 20.00 mm; make it wider, or leave it out.",
        Some("c2"),
    );
    check(
        "Kerf",
        |job, _| job.stock = serde_json::from_str(r#"{"kerf_in_file": true}"#).unwrap(),
        Verdict::Fail,
        "The file is to allow for the kerf, and how wide that is is not said, so nothing would be allowed for. Say it, or let \
         the shop allow for it.",
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
fn what_lies_by_coordinates_needs_to_know_where_they_start() {
    let sentence = "A1 lies by coordinates, and nothing says where they start. Choose where.";
    check("Holes found", |job, _| job.datum = None, Verdict::Fail, sentence, Some("a1"));
    let nothing_added = |job: &mut Job, _: &mut Solution| (job.datum, job.added) = (None, Vec::new());
    check("Holes found", nothing_added, Verdict::Pass, "2 holes to cut.", None);
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
        far_nodes: Vec::new(),
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
    let of_no_size = |job: &mut Job, solution: &mut Solution| {
        measured(0, 0.07, &[])(job, solution);
        solution.fit.scale_sigma = None;
    };
    let text = "How far the cut lies off the edge is known once the size of the part is.";
    check(name, of_no_size, Verdict::CannotTell, text, None);
    let off = |mm: &str| {
        format!(
            "The outline is cut up to {mm} mm off the measured edge, where 0.08 mm is allowed. Look there, and let go of \
             what is pinned or agreed, or pin a node where a corner is sharp."
        )
    };
    check(name, measured(0, 0.1, &[]), Verdict::Warn, &off("0.10"), Some("c1"));
    let hardly = off("0.079").replace("0.08 mm is", "0.076 mm is");
    check(name, measured(0, 0.079, &[]), Verdict::Warn, &hardly, Some("c1"));
    check(name, measured(0, 0.2, &[]), Verdict::Fail, &off("0.20"), Some("c1"));
    let glare = Some(crate::edge::Rejection::Glare);
    let hidden = "Opening c2 has 7.0 mm where no edge is seen: glare hides it. Look whether the cut is right there.";
    check(name, measured(1, 0.05, &[(7.0, glare), (1.0, None)]), Verdict::Warn, hidden, Some("c2"));
    let twice = "Opening c2 has 2 stretches where no edge is seen, the longest 9.0 mm: nothing there looks like an edge. \
                 Look whether the cut is right there.";
    check(name, measured(1, 0.05, &[(7.0, glare), (9.0, None)]), Verdict::Warn, twice, Some("c2"));
}

#[test]
fn an_edge_that_was_not_measured_is_not_passed() {
    let name = "On the edge";
    let text = "Opening c2 follows the edge, and it was not measured in the photo. Measure it there, or let its pieces be as \
                drawn.";
    let follow = |job: &mut Job| job.contours.iter_mut().for_each(|contour| contour.follow_edge = true);
    let one_of_two = |job: &mut Job, solution: &mut Solution| {
        follow(job);
        measured(0, 0.05, &[])(job, solution);
    };
    check(name, one_of_two, Verdict::Fail, text, Some("c2"));
    let change = |edit: fn(&mut MeasuredContour)| {
        move |job: &mut Job, solution: &mut Solution| {
            measured(0, 0.05, &[(1.0, None)])(job, solution);
            solution.contours[0].measured.iter_mut().for_each(edit);
        }
    };
    let text = "The outline follows the edge, and no place of it could be measured: it is cut as it was drawn.";
    check(name, change(|measured| measured.places.clear()), Verdict::CannotTell, text, Some("c1"));
    let text = "The outline has 1.0 mm where no edge is seen: nothing there looks like an edge. Look whether the cut is right \
                there.";
    check(name, change(|measured| measured.unseen[0].as_drawn = true), Verdict::Warn, text, Some("c1"));
    let text = "The outline is cut 3.0 mm off one of its nodes. Move the node on to the edge, pin it, or let the pieces beside \
                it be as drawn.";
    let far = change(|measured| measured.far_nodes.push(FarNode { node: 2, off_mm: 3.0 }));
    check(name, far, Verdict::Fail, text, Some("c1"));
}

#[test]
fn what_was_agreed_and_is_not_held_is_named() {
    let meant = |kind: MeantKind, hole: Option<&str>, mm: Option<f64>, words: &str| {
        let meant = Meant { kind, of: Vec::new(), hole: hole.map(Id::from), mm };
        let text =
            format!("The outline is not held to {words}, which was agreed: {{}}. Take it back, or agree to it anew.");
        for (pieces, why) in [(vec![], "its pieces are no longer there"), (vec![0], "another speaks against it")] {
            let meant = meant.clone();
            let change = |job: &mut Job, solution: &mut Solution| {
                measured(0, 0.05, &[])(job, solution);
                let agreed = AgreedFit { meant, pieces, is_held: false };
                solution.contours[0].measured.iter_mut().for_each(|measured| measured.agreed = vec![agreed.clone()]);
            };
            check("On the edge", change, Verdict::Warn, &text.replace("{}", why), Some("c1"));
        }
    };
    meant(MeantKind::RoundRadius, None, Some(6.5), "a radius of 6.5 mm");
    meant(MeantKind::Concentric, Some("h1"), None, "an arc about H1");
    meant(MeantKind::RoundDistance, None, Some(40.0), "two lines 40 mm apart");
}
