//! Commands that find, add and remove holes and what else is chosen.

use super::parts::{HOLES, plate};
use super::{
    Flow, check_waits, click, go_to, job, press_key_of, run, screen, session, settled, undo_name, until, window,
};
use crate::command::Action;
use crate::session::{Chosen, Operation, Session};
use crate::sheets::samples;
use egui_kittest::kittest::Queryable as _;
use platewright_core::space::PhotoPoint;

pub(super) const FLOWS: &[Flow] =
    &[(Action::FindOthers, find_others), (Action::AddOffered, add_offered), (Action::Remove, remove)];

#[test]
fn holes_are_found_added_and_removed_by_key_and_by_control() {
    run(FLOWS);
}

fn find_others() {
    for by_key in [true, false] {
        let mut window = window(plate(1, Operation::Holes));
        settled(&mut window);
        if by_key {
            press_key_of(&mut window, Action::FindOthers);
        } else {
            click(&mut window, Action::FindOthers.row().name);
        }
        until(&mut window, "rims are offered", |session| session.screen.offers.is_some());
        let offers = screen(&window).offers.clone().unwrap();
        assert_eq!((offers.rims.len(), offers.ticked()), (3, 3), "the other three, ticked");
        assert!(window.query_by_label_contains("add them with A").is_some(), "and it is said what to do with them");
    }
    let mut window = window(samples::session(samples::job_with_picks(0)));
    check_waits(&mut window, Action::FindOthers, "waits for the first hole");
}

fn add_offered() {
    for by_key in [true, false] {
        let mut window = window(plate(1, Operation::Holes));
        settled(&mut window);
        press_key_of(&mut window, Action::FindOthers);
        until(&mut window, "rims are offered", |session| session.screen.offers.is_some());
        window.state_mut().session.screen.tick_offer(0);
        window.run_steps(2);
        if by_key {
            press_key_of(&mut window, Action::AddOffered);
        } else {
            click(&mut window, "Add two holes");
        }
        assert_eq!((job(&window).holes.len(), undo_name(&window)), (3, Some("add 2 holes")), "the ticked ones");
        assert!(screen(&window).offers.is_none(), "the list is gone");
        settled(&mut window);
        let solution = &session(&window).results.solution;
        let near = |x: f64, y: f64| {
            let seen = |at| solution.map.and_then(|map| map.photo_from_plate(at));
            let places = solution.holes.iter().filter_map(|hole| seen(hole.centre));
            places.into_iter().any(|at| at.distance(PhotoPoint::new(x, y)) < 0.3)
        };
        assert_eq!(HOLES.iter().filter(|(x, y)| near(*x, *y)).count(), 3, "each where a hole is");
    }
    let mut window = window(samples::session(samples::plate()));
    check_waits(&mut window, Action::AddOffered, "waits for a ticked rim");
}

fn remove() {
    let sample = || samples::session(samples::plate_with_outline(true));
    let mut window = window(sample());
    go_to(&mut window, Operation::Holes);
    window.state_mut().session.screen.chosen = Some(Chosen::RimPick { hole: "h1".into(), index: 3 });
    press_key_of(&mut window, Action::Remove);
    assert_eq!((job(&window).holes[0].rim.len(), undo_name(&window)), (3, Some("remove the pick")), "by its key");
    assert_eq!(screen(&window).chosen, None, "and nothing is chosen");
    window.state_mut().session.screen.chosen = Some(Chosen::Measure("m2".into()));
    press_key_of(&mut window, Action::Remove);
    assert_eq!((job(&window).measures.len(), undo_name(&window)), (1, Some("remove the measure")), "a measure");
    window.state_mut().session.screen.chosen = Some(Chosen::Hole("h4".into()));
    window.run_steps(2);
    click(&mut window, "Remove the hole");
    assert_eq!((job(&window).holes.len(), undo_name(&window)), (3, Some("remove the hole")), "by its button");
    go_to(&mut window, Operation::Outline);
    window.state_mut().session.screen.chosen = Some(Chosen::Node { contour: "c1".into(), index: 1 });
    window.run_steps(2);
    click(&mut window, "Remove the node");
    assert_eq!(job(&window).contours[0].nodes.len(), 3, "a node by its button");
    check_waits(&mut window, Action::Remove, "waits for something chosen");
    check_waits(&mut self::window(Session::default()), Action::Remove, "waits for something chosen");
}
