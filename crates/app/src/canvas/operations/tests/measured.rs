//! What the photo shows: rims that are measured while they are picked, and the others that are found from one.

use super::*;
use crate::session::Standing;
use std::time::{Duration, Instant};

/// Middle and radius of the holes, px: four alike and a smaller one.
const HOLES: [(f64, f64, f64); 5] =
    [(200.0, 160.0, 40.0), (600.0, 165.0, 40.0), (590.0, 440.0, 40.0), (205.0, 445.0, 40.0), (400.0, 300.0, 25.0)];

/// A light plate with dark holes, their edges spread over three pixels as a lens does.
fn plate() -> image::RgbImage {
    image::RgbImage::from_fn(SIZE[0], SIZE[1], |x, y| {
        let out = |(cx, cy, r): (f64, f64, f64)| (f64::from(x) - cx).hypot(f64::from(y) - cy) - r;
        let nearest = HOLES.map(out).into_iter().fold(f64::INFINITY, f64::min);
        // Light, then its code value: a power of 2.2 is near enough to the curve.
        let light = 0.03 + 0.55 * (0.5 + 0.5 * (nearest / 1.5).clamp(-1.0, 1.0));
        image::Rgb([(255.0 * light.powf(1.0 / 2.2)).round() as u8; 3])
    })
}

/// Steps until `holds`; what never comes is a failure.
pub(super) fn until(harness: &mut Harness<'_, Workbench>, what: &str, holds: impl Fn(&Session) -> bool) {
    let started = Instant::now();
    while !holds(&harness.state().session) {
        assert!(started.elapsed() < Duration::from_mins(2), "waited in vain until {what}");
        std::thread::sleep(Duration::from_millis(5));
        harness.step();
    }
    harness.run_steps(2);
}

pub(super) fn settled(harness: &mut Harness<'_, Workbench>) {
    until(harness, "the rims are measured", |session| session.results.standing == Standing::Settled);
}

#[test]
fn a_picked_rim_is_measured_and_a_dragged_one_within_the_frame() {
    let mut harness = bench_over(plate(), Operation::Holes);
    pick_hole(&mut harness, 203.0, 158.0);
    settled(&mut harness);
    let session = &harness.state().session;
    let hole = &session.results.solution.holes[0];
    assert!(hole.is_measured && hole.rim_points > 30, "measured at {} places", hole.rim_points);
    let map = session.results.solution.map.unwrap();
    let centre = map.photo_from_plate(hole.centre).unwrap();
    assert!(centre.distance(PhotoPoint::new(200.0, 160.0)) < 0.1, "picked 3 px off, measured at {centre:?}");
    // Three places: the job's own pick is dragged a little, and the frame after shows what was measured for it.
    let from = seen(&harness, 243.0, 158.0);
    harness.hover_at(from);
    harness.step();
    harness.drag_at(from);
    harness.step();
    for share in 1..=4 {
        harness.hover_at(from + vec2(-2.0, 3.0) * share as f32);
        // The first frame takes the drag, the second shows what came of it.
        harness.run_steps(2);
        let session = &harness.state().session;
        let job = session.document.as_ref().unwrap().job();
        let seen = session.results.seen.rim(&job.holes[0]);
        assert!(seen.is_some_and(|rim| rim.serves().is_some()), "step {share}: measured for where the picks are now");
        // A drag begins a few points from where the button went down.
        if share > 1 {
            assert_eq!(
                session.results.standing,
                Standing::Following,
                "step {share}: all else waits until it is let go"
            );
            assert_eq!(session.screen.measuring_part, 0, "step {share}: and nobody measures it");
        }
    }
    harness.drop_at(from + vec2(-8.0, 12.0));
    harness.run_steps(3);
    settled(&mut harness);
    assert_eq!(undo_name(&harness).as_deref(), Some("move H1’s first pick"), "one step");
}

#[test]
fn the_others_are_found_ticked_and_added_in_one_step() {
    let mut harness = bench_over(plate(), Operation::Holes);
    pick_hole(&mut harness, 200.0, 160.0);
    settled(&mut harness);
    harness.key_press(Key::F);
    until(&mut harness, "rims are offered", |session| session.screen.offers.is_some());
    let offers = harness.state().session.screen.offers.clone().unwrap();
    let ticks: Vec<(bool, bool)> = offers.rims.iter().map(|rim| (rim.is_like, rim.is_ticked)).collect();
    assert_eq!(ticks, [(true, true), (true, true), (true, true), (false, false)], "those alike are ticked");
    // A click inside a rim ticks it, and takes the tick away.
    click(&mut harness, 400.0, 300.0);
    click(&mut harness, 600.0, 165.0);
    assert_eq!(harness.state().session.screen.offers.as_ref().unwrap().ticked(), 3, "one more and one less");
    harness.get_by_label_contains("1. ").click();
    harness.run_steps(2);
    assert_eq!(harness.state().session.screen.offers.as_ref().unwrap().ticked(), 4, "a row ticks as well");
    harness.key_press(Key::A);
    harness.run_steps(3);
    let job = job(&harness);
    let names: Vec<&str> = job.holes.iter().map(|hole| hole.name.as_str()).collect();
    assert_eq!(names, ["H1", "H2", "H3", "H4", "H5"], "named in the order of the list");
    assert_eq!(undo_name(&harness).as_deref(), Some("add 4 holes"), "one step");
    assert!(harness.state().session.screen.offers.is_none(), "nothing is offered any more");
    settled(&mut harness);
    let holes = &harness.state().session.results.solution.holes;
    assert!(holes.iter().all(|hole| hole.is_measured), "they are measured like any");
}

#[test]
fn an_offer_is_dropped_by_escape_and_a_search_is_stopped_by_it() {
    let mut harness = bench_over(plate(), Operation::Holes);
    pick_hole(&mut harness, 200.0, 160.0);
    settled(&mut harness);
    harness.key_press(Key::F);
    harness.step();
    harness.key_press(Key::Escape);
    harness.run_steps(2);
    let screen = &harness.state().session.screen;
    assert!(screen.working.is_none(), "nothing is looked for any more");
    harness.key_press(Key::F);
    until(&mut harness, "rims are offered", |session| session.screen.offers.is_some());
    harness.key_press(Key::Escape);
    harness.run_steps(2);
    assert!(harness.state().session.screen.offers.is_none(), "dropped");
    assert_eq!(job(&harness).holes.len(), 1, "and nothing was added");
}

#[test]
fn offers_go_with_the_hole_from_which_they_were_found() {
    let mut harness = bench_over(plate(), Operation::Holes);
    pick_hole(&mut harness, 200.0, 160.0);
    settled(&mut harness);
    harness.key_press(Key::F);
    until(&mut harness, "rims are offered", |session| session.screen.offers.is_some());
    let from = job(&harness).holes[0].id.clone();
    harness.state_mut().send(Command::Edit("remove the hole".to_owned(), vec![Edit::Remove(from)]));
    harness.run_steps(2);
    assert!(harness.state().session.screen.offers.is_none(), "like what they were is not known any more");
}

#[test]
fn a_search_goes_on_while_something_else_is_put_away() {
    let mut harness = bench_over(plate(), Operation::Holes);
    pick_hole(&mut harness, 200.0, 160.0);
    settled(&mut harness);
    harness.key_press(Key::F);
    harness.step();
    harness.state_mut().session.screen.error = Some("Something else went wrong.".to_owned());
    harness.key_press(Key::Escape);
    harness.step();
    assert!(harness.state().session.screen.error.is_none(), "put away");
    until(&mut harness, "rims are offered", |session| session.screen.offers.is_some());
    assert!(harness.state().session.screen.working.is_none(), "nothing is under way any more");
}

#[test]
fn where_there_is_no_other_rim_that_is_said() {
    let alone = image::RgbImage::from_fn(SIZE[0], SIZE[1], |x, y| {
        let out = (f64::from(x) - 300.0).hypot(f64::from(y) - 300.0) - 40.0;
        image::Rgb([(60.0 + 70.0 * (out / 1.5).clamp(-1.0, 1.0)) as u8 + 40; 3])
    });
    let mut harness = bench_over(alone, Operation::Holes);
    pick_hole(&mut harness, 300.0, 300.0);
    settled(&mut harness);
    harness.key_press(Key::F);
    until(&mut harness, "an answer", |session| session.screen.said.is_some() || session.screen.offers.is_some());
    let said = harness.state().session.screen.said.clone();
    let offers = &harness.state().session.screen.offers;
    assert!(said.as_ref().is_some_and(|said| said.starts_with("No other rim")), "it is said: {said:?} {offers:?}");
}

#[test]
fn a_rim_that_is_to_stand_on_its_picks_is_not_measured() {
    let mut harness = bench_over(plate(), Operation::Holes);
    pick_hole(&mut harness, 200.0, 160.0);
    settled(&mut harness);
    harness.get_by_label("Measured in the photo").click();
    harness.run_steps(3);
    settled(&mut harness);
    let session = &harness.state().session;
    assert!(!session.document.as_ref().unwrap().job().holes[0].measure_rim, "the job says so");
    assert!(!session.results.solution.holes[0].is_measured, "three picks and nothing else");
}
