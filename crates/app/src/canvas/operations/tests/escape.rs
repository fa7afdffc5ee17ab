//! Esc takes back what is under way: a drag as if it had not been, a half-done hole or edge in one step.

use super::*;

/// Presses at `from`, pulls by `by`, presses Esc, pulls on and lets go.
fn drag_and_cancel(harness: &mut Harness<'_, Workbench>, from: Pos2, by: egui::Vec2) -> Job {
    harness.hover_at(from);
    harness.step();
    harness.drag_at(from);
    harness.step();
    for share in 1..=4 {
        harness.hover_at(from + by * (share as f32 / 5.0));
        harness.run_steps(2);
    }
    let dragged = job(harness);
    harness.key_press(Key::Escape);
    harness.run_steps(2);
    harness.hover_at(from + by);
    harness.run_steps(2);
    harness.drop_at(from + by);
    harness.run_steps(4);
    dragged
}

/// What is dragged from `from` moves, and is where it was after Esc, with nothing to undo but what was done before.
#[track_caller]
fn check_cancelled(harness: &mut Harness<'_, Workbench>, from: Pos2, what: &str) {
    let (before, step) = (job(harness), undo_name(harness));
    let dragged = drag_and_cancel(harness, from, vec2(50.0, 30.0));
    assert_ne!(dragged, before, "{what} moves while it is dragged");
    assert_eq!(job(harness), before, "{what} is where it was");
    assert_eq!(undo_name(harness), step, "{what}: no step is left");
}

#[test]
fn a_drag_of_anything_is_taken_back() {
    let mut harness = bench(Operation::Holes);
    pick_hole(&mut harness, 200.0, 300.0);
    let pick = job(&harness).holes[0].rim[1];
    let from = seen(&harness, pick.x, pick.y);
    check_cancelled(&mut harness, from, "a pick");
    let mut harness = bench(Operation::Outline);
    for (x, y) in [(150.0, 150.0), (650.0, 150.0), (650.0, 450.0)] {
        click(&mut harness, x, y);
    }
    let from = seen(&harness, 150.0, 150.0);
    check_cancelled(&mut harness, from, "a node");
    let (node, by) = (seen(&harness, 650.0, 150.0), vec2(60.0, 20.0));
    drag(&mut harness, node, by, Modifiers::ALT);
    check_cancelled(&mut harness, node + by, "a lever");
    let mut harness = bench(Operation::Measures);
    harness.state_mut().send(Command::Do(Action::Edge));
    harness.run_steps(3);
    click(&mut harness, 150.0, 150.0);
    click(&mut harness, 650.0, 160.0);
    let from = seen(&harness, 650.0, 160.0);
    check_cancelled(&mut harness, from, "a pick of an edge");
}

#[test]
fn a_pick_that_is_being_placed_is_not_placed() {
    let mut harness = bench(Operation::Holes);
    let from = seen(&harness, 300.0, 300.0);
    drag_and_cancel(&mut harness, from, vec2(50.0, 30.0));
    assert!(job(&harness).holes.is_empty(), "nothing is placed where it is let go");
    click(&mut harness, 300.0, 300.0);
    assert_eq!(job(&harness).holes.len(), 1, "the next click is a click again");
}

#[test]
fn a_half_done_hole_or_edge_is_taken_back_in_one_step_and_a_done_one_stays() {
    let mut harness = bench(Operation::Holes);
    click(&mut harness, 300.0, 300.0);
    click(&mut harness, 340.0, 300.0);
    harness.key_press(Key::Escape);
    harness.run_steps(3);
    assert!(job(&harness).holes.is_empty(), "no half hole is left");
    let said = harness.state().session.screen.said.clone().unwrap_or_default();
    assert!(said.starts_with("H1 is taken back"), "it is said: {said}");
    harness.state_mut().send(Command::Do(Action::Undo));
    harness.run_steps(3);
    assert_eq!(job(&harness).holes[0].rim.len(), 2, "one step back brings both clicks back");
    pick_hole(&mut harness, 600.0, 300.0);
    let before = job(&harness);
    harness.key_press(Key::Escape);
    harness.run_steps(3);
    assert_eq!(job(&harness), before, "what is done stays, and so does a half that is not in hand");
    let mut harness = bench(Operation::Measures);
    harness.state_mut().send(Command::Do(Action::Edge));
    harness.run_steps(3);
    click(&mut harness, 150.0, 150.0);
    assert_eq!(job(&harness).edges.len(), 1, "begun");
    harness.key_press(Key::Escape);
    harness.run_steps(3);
    assert!(job(&harness).edges.is_empty(), "no half edge is left");
}

#[test]
fn what_was_said_goes_with_the_next_click() {
    let mut harness = bench(Operation::Holes);
    harness.state_mut().send(Command::Say("The cut file is written.".to_owned()));
    harness.run_steps(3);
    assert!(harness.state().session.screen.said.is_some(), "it is said");
    click(&mut harness, 300.0, 300.0);
    assert_eq!(harness.state().session.screen.said, None, "the next act is what counts then");
}
