//! Commands that take measures and say what is known of the shape.

use super::{
    Flow, Window, check_waits, click, job, press_key_of, run, screen, send, type_and_enter, undo_name, window,
};
use crate::command::{Action, Command};
use crate::session::{Chosen, Operation, Session, Sort};
use crate::sheets::samples;
use egui::accesskit::Role;
use egui_kittest::kittest::Queryable as _;
use platewright_core::job::{Edit, MeasureKind, StatementKind, StraightEdge};
use platewright_core::space::PhotoPoint;

pub(super) const FLOWS: &[Flow] = &[
    (Action::Edge, edge),
    (Action::Done, done),
    (Action::State(StatementKind::Square), || state(StatementKind::Square)),
    (Action::State(StatementKind::Straight), || state(StatementKind::Straight)),
    (Action::TypeNext, type_next),
];

#[test]
fn measures_are_taken_by_key_and_by_control() {
    run(FLOWS);
}

fn plate_at(operation: Operation) -> Window {
    let mut session = samples::session(samples::plate());
    session.screen.operation = operation;
    window(session)
}

fn edge() {
    let mut window = plate_at(Operation::Holes);
    press_key_of(&mut window, Action::Edge);
    let draft = screen(&window).draft.clone().expect("a measure is begun");
    assert_eq!((screen(&window).operation, draft.kind), (Operation::Measures, MeasureKind::Edges), "of edges");
    assert_eq!(window.state().session.places(), Some(Sort::Edge), "the next click picks one");
    let mut window = plate_at(Operation::Measures);
    click(&mut window, "Take a measure: edges");
    assert_eq!(window.state().session.places(), Some(Sort::Edge), "by the button of its measure");
    check_waits(&mut self::window(Session::default()), Action::Edge, "waits for a photo");
}

/// Puts an edge with two picks into the job, as if it were being picked.
fn pick_edge(window: &mut Window) {
    press_key_of(window, Action::Edge);
    let along = vec![PhotoPoint::new(60.0, 40.0), PhotoPoint::new(340.0, 42.0)];
    let edge = StraightEdge { id: "e1".into(), name: "E1".to_owned(), along, sigma_px: Some(0.7), measure_edge: false };
    send(window, Command::Edit("pick an edge".to_owned(), vec![Edit::AddEdge(edge)]));
    let screen = &mut window.state_mut().session.screen;
    screen.picking_edge = Some("e1".into());
    screen.chosen = Some(Chosen::EdgePick { edge: "e1".into(), index: 1 });
    window.run_steps(2);
}

fn done() {
    for by_key in [true, false] {
        let mut window = plate_at(Operation::Measures);
        pick_edge(&mut window);
        if by_key {
            press_key_of(&mut window, Action::Done);
        } else {
            click(&mut window, "End the edge");
        }
        assert_eq!(screen(&window).picking_edge, None, "it is ended");
        let taken = screen(&window).draft.as_ref().map(|draft| draft.between.clone());
        assert_eq!(taken, Some(vec!["e1".into()]), "and taken into the measure");
    }
    let waits = "waits for an edge that is picked, or a ticked outline";
    assert_eq!(Action::Done.waits_for(&Session::default()), Some(waits), "else Enter is the main button’s");
}

fn state(kind: StatementKind) {
    let action = Action::State(kind);
    let mut window = plate_at(Operation::Holes);
    press_key_of(&mut window, action);
    let stating = screen(&window).stating.clone().expect("it is begun");
    assert_eq!((screen(&window).operation, stating.kind), (Operation::Measures, kind), "by its key");
    let mut window = plate_at(Operation::Measures);
    click(&mut window, &format!("Say: {}", kind.words()));
    assert_eq!(screen(&window).stating.as_ref().map(|stating| stating.kind), Some(kind), "by its button");
    check_waits(&mut self::window(Session::default()), action, "waits for a photo");
}

fn type_next() {
    let mut window = plate_at(Operation::Holes);
    let next = window.state().session.asked_next().cloned().expect("one is asked for");
    press_key_of(&mut window, Action::TypeNext);
    let draft = screen(&window).draft.clone().expect("it is begun");
    assert_eq!((draft.kind, &draft.between), (next.kind, &next.between), "the one that is asked for");
    let field = window.query_all_by_role(Role::TextInput).find(egui_kittest::Node::is_focused);
    assert!(field.is_some(), "its field has the keyboard");
    type_and_enter(&mut window, "65.01");
    assert_eq!((job(&window).measures.len(), screen(&window).draft.is_none()), (3, true), "typed and taken");
    assert!(undo_name(&window).is_some_and(|name| name.starts_with("measure ")), "as a step of its own");
    let mut session = samples::session(samples::job_with_picks(2));
    session.screen.operation = Operation::Measures;
    check_waits(&mut self::window(session), Action::TypeNext, "waits for two holes");
}
