//! Outlines on the edge that the photo shows: proposed, followed, held in place, and what may have been meant.

use super::measured::{settled, until};
use super::*;

/// A light plate of 640 by 440 px with four round holes and a square window on a dark ground.
fn part() -> image::RgbImage {
    image::RgbImage::from_fn(SIZE[0], SIZE[1], |x, y| {
        let (x, y) = (f64::from(x), f64::from(y));
        let inside_box = |from: (f64, f64), to: (f64, f64)| (x - from.0).min(to.0 - x).min(y - from.1).min(to.1 - y);
        let holes = [(160.0, 140.0), (640.0, 140.0), (640.0, 460.0), (160.0, 460.0)];
        let beside_holes =
            holes.map(|(cx, cy)| (x - cx).hypot(y - cy) - 30.0).into_iter().fold(f64::INFINITY, f64::min);
        let depth =
            inside_box((80.0, 80.0), (720.0, 520.0)).min(beside_holes).min(-inside_box((340.0, 240.0), (460.0, 360.0)));
        // Light, then its code value: a power of 2.2 is near enough to the curve. The edge is spread over three pixels.
        let light = 0.03 + 0.55 * (0.5 + 0.5 * (depth / 1.5).clamp(-1.0, 1.0));
        image::Rgb([(255.0 * light.powf(1.0 / 2.2)).round() as u8; 3])
    })
}

/// The part with its holes picked and a measure between two of them, at the outline.
fn bench_at_outline() -> Harness<'static, Workbench> {
    let mut harness = bench_over(part(), Operation::Holes);
    for (x, y) in [(160.0, 140.0), (640.0, 140.0), (640.0, 460.0), (160.0, 460.0)] {
        for (dx, dy) in [(30.0, 0.0), (-15.0, 26.0), (-15.0, -26.0)] {
            click(&mut harness, x + dx, y + dy);
        }
    }
    let measure = platewright_core::job::Measure {
        id: "m1".into(),
        kind: MeasureKind::Centres,
        between: vec!["h1".into(), "h2".into()],
        mm: 120.0,
        sigma_mm: 0.05,
        in_use: true,
    };
    harness.state_mut().send(Command::Edit("measure".to_owned(), vec![Edit::AddMeasure(measure)]));
    harness.state_mut().send(Command::Do(Action::Operation(Operation::Outline)));
    harness.run_steps(3);
    settled(&mut harness);
    harness
}

fn propose(harness: &mut Harness<'_, Workbench>) {
    harness.key_press(Key::P);
    harness.run_steps(3);
    click(harness, 250.0, 300.0);
    until(harness, "an outline is proposed", |session| session.screen.proposal.is_some());
}

/// The part with the proposed outline and opening taken.
fn bench_traced() -> Harness<'static, Workbench> {
    let mut harness = bench_at_outline();
    propose(&mut harness);
    harness.key_press(Key::Enter);
    harness.run_steps(3);
    settled(&mut harness);
    harness
}

#[test]
fn an_outline_is_proposed_ticked_and_taken() {
    let mut harness = bench_at_outline();
    assert!(harness.query_by_label_contains("Propose the outline with P").is_some(), "the status line says so");
    propose(&mut harness);
    let roles = |harness: &Harness<'_, Workbench>| {
        let proposal = harness.state().session.screen.proposal.clone();
        proposal.map_or_else(Vec::new, |p| p.contours.iter().map(|c| (c.role, c.is_ticked)).collect())
    };
    assert_eq!(roles(&harness), [(Role::Outer, true), (Role::Opening, true)], "and not the known holes");
    harness.get_by_label_contains("2. Opening 1").click();
    harness.run_steps(3);
    assert_eq!(roles(&harness), [(Role::Outer, true), (Role::Opening, false)], "a row takes its tick away");
    click(&mut harness, 250.0, 300.0);
    assert!(job(&harness).contours.is_empty(), "a click on the face traces nothing");
    assert_eq!(roles(&harness), [(Role::Outer, true), (Role::Opening, false)], "nor does it tick anything");
    click(&mut harness, 400.0, 300.0);
    assert_eq!(roles(&harness), [(Role::Outer, true), (Role::Opening, true)], "one inside an opening ticks it");
    harness.get_by_label("Take it").click();
    harness.run_steps(3);
    assert_eq!(undo_name(&harness).as_deref(), Some("take the proposed outline"), "one step");
    settled(&mut harness);
    let contours = job(&harness).contours;
    assert_eq!(contours.len(), 2, "the outline and the opening");
    let fits = &harness.state().session.results.solution.contours;
    for (fit, side_mm) in fits.iter().zip([2.0 * (640.0 + 440.0) / 4.0, 4.0 * 120.0 / 4.0]) {
        let measured = fit.measured.as_ref().expect("it follows the edge");
        assert!(measured.places.len() > 20 && measured.unseen.is_empty(), "{:?}", measured.unseen);
        assert!(fit.cut.is_closed_exactly() && fit.cut.segments.len() == 4, "four sides: {:?}", fit.cut);
        assert!((fit.length_mm - side_mm).abs() < 0.5, "{} and not {side_mm}", fit.length_mm);
    }
    assert!(harness.query_by_label_contains("of its measured edge.").is_some(), "the sheet states it");
}

#[test]
fn a_click_in_a_known_hole_proposes_no_outline() {
    let mut harness = bench_at_outline();
    harness.key_press(Key::P);
    harness.run_steps(3);
    click(&mut harness, 160.0, 140.0);
    assert!(harness.query_by_label_contains("That is hole H1.").is_some(), "it says which");
    assert_eq!(harness.state().session.screen.working, None, "nothing is looked for");
}

#[test]
fn a_proposal_is_left_with_escape_and_its_search_is_stopped_by_it() {
    let mut harness = bench_at_outline();
    propose(&mut harness);
    harness.key_press(Key::Escape);
    harness.run_steps(3);
    assert!(harness.state().session.screen.proposal.is_none(), "left");
    assert!(job(&harness).contours.is_empty(), "nothing came of it");
    harness.key_press(Key::P);
    harness.run_steps(3);
    assert!(harness.state().session.screen.proposing, "the next click proposes");
    harness.key_press(Key::Escape);
    harness.run_steps(3);
    assert!(!harness.state().session.screen.proposing, "or does not");
    harness.key_press(Key::P);
    harness.run_steps(3);
    click(&mut harness, 40.0, 40.0);
    until(&mut harness, "the search ends", |session| session.screen.working.is_none());
    let said = harness.state().session.screen.said.clone().unwrap_or_default();
    assert!(said.starts_with("No face that ends within the photo"), "the ground is no part: {said}");
}

#[test]
fn a_dragged_node_is_followed_within_the_frame_and_a_held_one_stays() {
    let mut harness = bench_traced();
    let node = job(&harness).contours[0].nodes[0].at;
    let from = seen(&harness, node.x, node.y);
    harness.hover_at(from);
    harness.step();
    harness.drag_at(from);
    harness.step();
    for share in 1..=4 {
        harness.hover_at(from + vec2(3.0, 2.0) * share as f32);
        harness.run_steps(2);
        let session = &harness.state().session;
        let job = session.document.as_ref().unwrap().job();
        assert!(
            session.results.seen.contour(&job.contours[0], job).is_some(),
            "step {share}: followed where it is now"
        );
    }
    harness.drop_at(from + vec2(12.0, 8.0));
    harness.run_steps(3);
    settled(&mut harness);
    let cut = harness.state().session.results.solution.contours[0].cut.clone();
    assert_eq!(cut.segments.len(), 4, "the edge decides, not the node: {cut:?}");
    harness.key_press(Key::K);
    harness.run_steps(3);
    settled(&mut harness);
    assert!(job(&harness).contours[0].nodes[0].pinned, "held");
    let session = &harness.state().session;
    let place = session.results.solution.contours[0].nodes[0];
    let cut = &session.results.solution.contours[0].cut;
    assert!(cut.segments.iter().any(|segment| segment.from == place), "the cut passes through it: {cut:?}");
    assert!(harness.query_by_label_contains("Held in place").is_some(), "the card shows it");
    harness.key_press(Key::D);
    harness.run_steps(3);
    assert!(job(&harness).contours[0].nodes[0].as_drawn, "its piece is as drawn");
    assert_eq!(undo_name(&harness).as_deref(), Some("cut the piece as drawn"));
}

#[test]
fn whiskers_are_shown_and_hidden() {
    let mut harness = bench_traced();
    harness.key_press(Key::W);
    harness.run_steps(3);
    assert!(harness.state().session.screen.whiskers, "shown");
    harness.key_press(Key::W);
    harness.run_steps(3);
    assert!(!harness.state().session.screen.whiskers, "hidden");
}

#[test]
fn a_suggestion_is_taken_taken_back_and_left() {
    let mut harness = bench_traced();
    let suggested = |harness: &Harness<'_, Workbench>| {
        let fits = &harness.state().session.results.solution.contours;
        fits[0].measured.as_ref().map_or(0, |measured| measured.suggestions.len())
    };
    let before = suggested(&harness);
    assert!(before > 0, "four sides square to each other");
    let first = |harness: &Harness<'_, Workbench>, verb: &str| {
        let part = format!("{verb} 1: ");
        let mut all = harness.query_all_by_label_contains(&part);
        all.find_map(|node| egui_kittest::kittest::NodeT::accesskit_node(&node).label())
    };
    let take = first(&harness, "Take").expect("a row to take");
    harness.get_all_by_label(&take).next().expect("it is there").click();
    harness.run_steps(4);
    settled(&mut harness);
    assert_eq!(job(&harness).contours[0].agreed.len(), 1, "agreed: {take}");
    let measured = harness.state().session.results.solution.contours[0].measured.clone().expect("measured");
    assert!(measured.agreed[0].is_held, "and the cut is held to it");
    assert!(suggested(&harness) < before, "it is not suggested any more");
    let back = first(&harness, "Take back").expect("a row to take back");
    harness.get_by_label(&back).click();
    harness.run_steps(4);
    settled(&mut harness);
    assert!(job(&harness).contours[0].agreed.is_empty(), "taken back");
    let leave = first(&harness, "Leave").expect("a row to leave");
    harness.get_all_by_label(&leave).next().expect("it is there").click();
    harness.run_steps(4);
    settled(&mut harness);
    assert_eq!(job(&harness).contours[0].refused.len(), 1, "left");
    assert_eq!(suggested(&harness), before - 1, "one less");
}
