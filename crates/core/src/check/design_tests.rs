//! Each rule on what is designed on top: what is left out, added, given land or turned round.

use super::tests::{check, job, redrawn, solved};
use super::*;
use crate::space::PlatePoint;

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
    check("No crossing", redrawn(left_out), Verdict::Pass, "4 lines and arcs, none crosses another.", None);
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
    let both = "3.00 mm is left outside the outline and 1.00 mm is taken off inside the openings.";
    check("Land", land(3.0, -1.0), Verdict::Pass, both, None);
    check("Land", land(-1.0, 0.0), Verdict::Pass, "1.00 mm is taken off outside the outline.", None);
    check("Land", land(0.0, 0.5), Verdict::Pass, "0.50 mm is left inside the openings.", None);
    let much =
        "The land, 30.00 mm, is more than a quarter of the part, which is 40.00 mm wide without it. Is that meant?";
    check("Land", land(30.0, 0.0), Verdict::Warn, much, Some("c1"));
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
