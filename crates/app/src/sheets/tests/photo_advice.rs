//! The advice on the photo in operation 10, and the plan of a photo on the empty window.

use super::{Window, click, names_with, window_of_size};
use crate::session::{Judged, Operation, Session};
use crate::sheets::samples;
use crate::theme::Theme;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use platewright_core::advice::{Advice, Place, State};
use platewright_core::job::Id;
use platewright_core::space::PhotoPoint;
use std::sync::Arc;

fn advice(name: &'static str, state: State, cost_mm: Option<f64>) -> Advice {
    let is_costly = state.is_costly();
    Advice {
        name,
        state,
        text: format!("What {name} is like."),
        way_out: if is_costly { format!("What to do about {name}.") } else { String::new() },
        cost_mm,
        hole: Some(Id::from("h3")),
        places: vec![Place { at: PhotoPoint::new(310.0, 230.0), across_px: 40.0 }],
    }
}

fn session_with(all: Vec<Advice>, is_fresh: bool) -> Session {
    let mut session = samples::session(samples::plate());
    session.screen.operation = Operation::Photo;
    session.results.instrument = session.screen.instrument.facts();
    samples::give_results(&mut session, samples::agreeing());
    session.results.judged = Judged { advice: all.into(), is_fresh };
    session
}

fn costly() -> Vec<Advice> {
    vec![
        advice("Tilt", State::Stop, Some(0.31)),
        advice("Stand-off", State::Costs, Some(0.14)),
        advice("Glare", State::NotKnown, None),
        advice("Sharpness", State::Good, Some(0.002)),
    ]
}

#[track_caller]
fn check_says(window: &Window, part: &str) {
    assert!(window.query_all_by_label_contains(part).next().is_some(), "not said: {part}");
}

#[test]
fn what_costs_is_listed_with_its_cost_and_its_way_out_and_shown_on_the_photo() {
    for (size, theme) in [([1440.0, 900.0], Theme::Paper), ([1024.0, 700.0], Theme::NightShift)] {
        let mut session = session_with(costly(), true);
        session.settings.theme = theme;
        let mut window = window_of_size(session, size);
        let rows = names_with(&window, "What ");
        for row in [
            "Tilt: costs more than there is play, 0.31 mm. What Tilt is like.",
            "Stand-off: costs, 0.14 mm. What Stand-off is like.",
            "Glare: not known, —. What Glare is like.",
            "Sharpness: good, nothing. What Sharpness is like.",
        ] {
            assert!(rows.iter().any(|name| name == row), "{row}: {rows:?}");
        }
        check_says(&window, "What to do about Stand-off.");
        assert!(window.query_by_label("No other photo is needed.").is_none(), "it is not calm");
        window.get_by_label("Show where: tilt").focus();
        window.run_steps(2);
        let pointed = window.state().session.screen.photo_advice.pointed;
        assert_eq!(pointed, Some("Tilt"), "its places are drawn while the keyboard is on it");
        click(&mut window, "Show where: tilt");
        window.run_steps(40);
        let centre = window.state().session.screen.look.centre;
        assert!(centre.distance(PhotoPoint::new(310.0, 230.0)) < 1.0, "brought into sight: {centre:?}");
    }
}

#[test]
fn where_all_is_good_one_sentence_says_so() {
    let all = vec![advice("Stand-off", State::Good, Some(0.06)), advice("Tilt", State::Good, Some(0.01))];
    let mut window = window_of_size(session_with(all, true), [1440.0, 900.0]);
    check_says(&window, "No other photo is needed. The most is lost by stand-off: 0.06 mm.");
    assert!(names_with(&window, "Tilt: good").is_empty(), "and no more");
    click(&mut window, "Show each thing that the photo costs");
    assert!(!names_with(&window, "Tilt: good, 0.01 mm.").is_empty(), "unless it is asked for");
    click(&mut window, "Fold away what the photo costs");
    assert!(names_with(&window, "Tilt: good").is_empty(), "folded away");
}

#[test]
fn what_is_out_of_date_says_so_and_nothing_stands_before_the_size_is_known() {
    let window = window_of_size(session_with(costly(), false), [1440.0, 900.0]);
    check_says(&window, "The photo out of date, working out");
    let mut session = samples::session(samples::holes_only());
    session.screen.operation = Operation::Photo;
    let window = window_of_size(session, [1440.0, 900.0]);
    assert!(window.state().session.results.judged.advice.is_empty(), "no size, no cost");
    assert!(names_with(&window, "The photo costs").is_empty(), "no head without rows");
}

#[test]
fn a_job_on_its_picks_is_judged_at_once_and_anew_with_each_edit() {
    let mut session = samples::session(samples::checked(samples::plate()));
    session.refresh();
    let first = Arc::clone(&session.results.judged.advice);
    assert!(session.results.judged.is_fresh && !first.is_empty(), "nothing is to be measured");
    let scale = |all: &[Advice]| all.iter().find(|advice| advice.name == "Size in the picture").unwrap().clone();
    assert!(scale(&first).state.is_costly(), "clicks at 4 px to the mm: {:?}", scale(&first));
    let document = session.document.as_mut().unwrap();
    for hole in document.job().holes.clone() {
        let edit = platewright_core::job::Edit::MeasureRim { hole: hole.id, measure: true };
        document.history.apply("measure its rim", edit).unwrap();
    }
    session.refresh();
    assert!(!session.results.judged.is_fresh, "its rims are to be measured first");
    assert_eq!(session.results.judged.advice, first, "what was said stands, out of date");
    let measured = session.to_measure().unwrap().measure(&|| true).unwrap();
    session.take_measured(measured);
    assert!(session.results.judged.is_fresh, "measured and judged");
    assert!(session.to_judge().is_none(), "nothing is waited for");
}

#[test]
fn an_outline_that_follows_no_edge_lets_the_photo_be_judged_beside_the_window() {
    let mut job = samples::checked(samples::plate_with_outline(true));
    job.holes.iter_mut().for_each(|hole| hole.measure_rim = true);
    job.contours[0].follow_edge = false;
    let mut session = samples::session(job);
    session.refresh();
    let measured = session.to_measure().unwrap().measure(&|| true).unwrap();
    session.take_measured(measured);
    let document = session.document.as_mut().unwrap();
    let to = PhotoPoint::new(35.0, 33.0);
    let moved = platewright_core::job::Edit::MoveNode { contour: Id::from("c1"), index: 0, to };
    document.history.apply("move a node", moved).unwrap();
    session.refresh();
    assert!(session.to_measure().is_none(), "nothing is measured by this outline");
    assert!(!session.results.judged.is_fresh, "but what is face is judged anew");
    let judged = session.to_judge().unwrap().measure(&|| true).unwrap();
    session.take_measured(judged);
    assert!(session.results.judged.is_fresh, "judged");
    session.document.as_mut().unwrap().history.undo();
    session.refresh();
    assert!(!session.results.judged.is_fresh, "the outline as it was is another face again");
}

fn empty_window(size: [f32; 2]) -> Window {
    window_of_size(Session::default(), size)
}

fn retype(window: &mut Window, field: &str, text: &str) {
    window.get_by_role_and_label(egui::accesskit::Role::TextInput, field).focus();
    window.run_steps(2);
    window.key_combination_modifiers(egui::Modifiers::COMMAND, &[egui::Key::A]);
    window.get_by_role_and_label(egui::accesskit::Role::TextInput, field).type_text(text);
    window.run_steps(3);
}

const LONGEST: &str = "Longest side of the part";
const OFF: &str = "Height off the face";

#[test]
fn the_empty_window_says_how_far_off_to_stand_while_it_is_typed() {
    for size in [[1440.0, 900.0], [1024.0, 700.0]] {
        let mut window = empty_window(size);
        check_says(&window, "Hold the phone 790 mm above the part and zoom in 3.2 times");
        retype(&mut window, LONGEST, "100");
        check_says(&window, "Hold the phone 560 mm above the part");
        retype(&mut window, OFF, "0");
        check_says(&window, "Hold the phone 150 mm above the part");
        retype(&mut window, LONGEST, "a hand");
        check_says(&window, "Longest side: ");
        assert!(names_with(&window, "Hold the phone 150").is_empty(), "nothing stale stands beside it");
        retype(&mut window, LONGEST, "-3");
        check_says(&window, "Longest side: it has to be from 1.00 mm to 2000.00 mm.");
    }
}

#[test]
fn both_fields_of_the_plan_are_reached_by_tab() {
    let mut window = empty_window([1440.0, 900.0]);
    let mut reached = Vec::new();
    for _ in 0..40 {
        window.key_press(egui::Key::Tab);
        window.run_steps(2);
        for field in [LONGEST, OFF] {
            let node = window.get_by_role_and_label(egui::accesskit::Role::TextInput, field);
            if node.is_focused() && !reached.contains(&field) {
                reached.push(field);
            }
            assert!(node.accesskit_node().label().is_some(), "it has a name");
        }
    }
    assert_eq!(reached, [LONGEST, OFF], "in their order");
}
