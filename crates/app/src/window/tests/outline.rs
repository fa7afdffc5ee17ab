//! Commands that propose, close and change outlines.

use super::parts::{FACE, SIZE, length, plate};
use super::{
    Flow, Window, check_waits, click, job, press_key_of, run, screen, send, session, settled, undo_name, until, window,
};
use crate::command::{Action, Command};
use crate::session::{Chosen, Operation, Session};
use crate::sheets::samples;
use egui_kittest::kittest::Queryable as _;
use platewright_core::job::{Edit, NodeKind, Role};

pub(super) const FLOWS: &[Flow] = &[
    (Action::Propose, propose),
    (Action::Join, join),
    (Action::CornerSmooth, corner_smooth),
    (Action::Pin, pin),
    (Action::AsDrawn, as_drawn),
    (Action::Whiskers, whiskers),
];

#[test]
fn outlines_are_made_and_changed_by_key_and_by_control() {
    run(FLOWS);
}

/// The second node of the sample outline, chosen; the outline follows the edge where `follows`.
fn at_node(follows: bool) -> Window {
    let mut plate = samples::plate_with_outline(true);
    plate.contours[0].follow_edge = follows;
    let mut session = samples::session(plate);
    session.screen.operation = Operation::Outline;
    session.screen.chosen = Some(Chosen::Node { contour: "c1".into(), index: 1 });
    let mut window = window(session);
    settled(&mut window);
    window
}

fn propose() {
    for by_key in [true, false] {
        let mut window = window(plate(4, Operation::Outline));
        settled(&mut window);
        if by_key {
            press_key_of(&mut window, Action::Propose);
        } else {
            click(&mut window, "Propose the outline");
        }
        assert!(screen(&window).proposing, "the next click proposes");
        click_on_face(&mut window);
        until(&mut window, "it is proposed", |session| session.screen.proposal.is_some());
        press_key_of(&mut window, Action::Done);
        let contour = &job(&window).contours[0];
        assert!(contour.closed && contour.role == Role::Outer && contour.follow_edge, "Enter takes it: {contour:?}");
        assert_eq!(undo_name(&window), Some("take the proposed outline"));
    }
    check_waits(&mut self::window(Session::default()), Action::Propose, "waits for the first hole");
}

/// The middle of the whole photo is on the face.
fn click_on_face(window: &mut Window) {
    let size = SIZE.map(|side| f64::from(side) / 2.0);
    assert!((FACE.x - size[0]).abs() < 1.0 && (FACE.y - size[1]).abs() < 1.0, "the face is in the middle");
    let at = window.get_by_label("Photo").rect().center();
    window.hover_at(at);
    window.step();
    window.drag_at(at);
    window.step();
    window.drop_at(at);
    window.run_steps(3);
}

fn join() {
    let open = |operation| {
        let mut session = samples::session(samples::plate_with_outline(false));
        session.screen.operation = operation;
        window(session)
    };
    let mut window = open(Operation::Outline);
    press_key_of(&mut window, Action::Join);
    assert!(job(&window).contours[0].closed && undo_name(&window) == Some("join the outline"), "by its key");
    let mut window = open(Operation::Outline);
    window.get_by_label("join the gap").click_accesskit();
    window.run_steps(3);
    assert!(job(&window).contours[0].closed, "by its box on the photo");
    let mut window = open(Operation::Outline);
    click(&mut window, "Closed");
    assert!(job(&window).contours[0].closed, "by its box on the card");
    check_waits(&mut window, Action::Join, "no outline is open");
    check_waits(&mut self::window(Session::default()), Action::Join, "no outline is open");
}

fn corner_smooth() {
    let kind = |window: &Window| job(window).contours[0].nodes[1].kind;
    let mut window = at_node(false);
    press_key_of(&mut window, Action::CornerSmooth);
    assert_eq!((kind(&window), undo_name(&window)), (NodeKind::Smooth, Some("make the node smooth")), "by its key");
    press_key_of(&mut window, Action::CornerSmooth);
    assert_eq!(kind(&window), NodeKind::Corner, "and back");
    click(&mut window, "Node: smooth");
    assert_eq!(kind(&window), NodeKind::Smooth, "by its switch");
    window.state_mut().session.screen.chosen = None;
    check_waits(&mut window, Action::CornerSmooth, "waits for a chosen node");
}

fn pin() {
    let pinned = |window: &Window| job(window).contours[0].nodes[1].pinned;
    let mut window = at_node(true);
    press_key_of(&mut window, Action::Pin);
    assert!(pinned(&window) && undo_name(&window) == Some("hold the node"), "by its key");
    click(&mut window, "Held in place (K)");
    assert!(!pinned(&window) && undo_name(&window) == Some("let go of the node"), "by its box");
    window.state_mut().session.screen.chosen = None;
    check_waits(&mut window, Action::Pin, "waits for a chosen node");
}

fn as_drawn() {
    let drawn = |window: &Window| job(window).contours[0].nodes[1].as_drawn;
    let mut window = at_node(true);
    press_key_of(&mut window, Action::AsDrawn);
    assert!(drawn(&window) && undo_name(&window) == Some("cut the piece as drawn"), "by its key");
    click(&mut window, "Next piece as drawn (D)");
    assert!(!drawn(&window) && undo_name(&window) == Some("follow the edge again"), "by its box");
    check_waits(&mut at_node(false), Action::AsDrawn, "waits for a node on a followed edge");
}

fn whiskers() {
    let mut window = window(plate(4, Operation::Outline));
    settled(&mut window);
    check_waits(&mut window, Action::Whiskers, "waits for an outline that follows the edge");
    send(&mut window, Command::Edit("measure".to_owned(), vec![Edit::AddMeasure(length())]));
    press_key_of(&mut window, Action::Propose);
    click_on_face(&mut window);
    until(&mut window, "it is proposed", |session| session.screen.proposal.is_some());
    press_key_of(&mut window, Action::Done);
    settled(&mut window);
    assert!(session(&window).results.solution.contours.iter().any(|fit| fit.measured.is_some()), "it is followed");
    press_key_of(&mut window, Action::Whiskers);
    assert!(screen(&window).whiskers, "by its key");
    press_key_of(&mut window, Action::Whiskers);
    assert!(!screen(&window).whiskers, "and away");
}
