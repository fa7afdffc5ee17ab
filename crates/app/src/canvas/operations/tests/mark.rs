//! The mark: everything that is placed and chosen on the photo without a pointer.

use super::*;
use platewright_core::job::{Added, AddedKind, Measure, Offset, Placed};
use platewright_core::space::{PhotoVec, PlateVec};

fn name_of_mark(harness: &Harness<'_, Workbench>) -> String {
    use egui_kittest::kittest::NodeT as _;
    harness.get_by_label_contains("The mark").accesskit_node().label().unwrap_or_default()
}

fn has_keyboard(harness: &Harness<'_, Workbench>) -> bool {
    harness.get_by_label_contains("The mark").is_focused()
}

fn press(harness: &mut Harness<'_, Workbench>, modifiers: Modifiers, key: Key, times: usize) {
    for _ in 0..times {
        harness.key_press_modifiers(modifiers, key);
        harness.run_steps(2);
    }
}

/// Where the mark lies, while it is out.
fn mark(harness: &Harness<'_, Workbench>) -> PhotoPoint {
    assert!(has_keyboard(harness), "the mark is out");
    harness.state().session.screen.pointer.expect("the mark is on the photo")
}

/// Moves the mark to a place by arrows: in large steps, then by px, then by tenths.
fn move_mark(harness: &mut Harness<'_, Workbench>, x: f64, y: f64) {
    press(harness, Modifiers::NONE, Key::M, usize::from(!has_keyboard(harness)));
    for (axis, [less, more]) in [(0, [Key::ArrowLeft, Key::ArrowRight]), (1, [Key::ArrowUp, Key::ArrowDown])] {
        let to = [x, y][axis];
        for modifiers in [Modifiers::COMMAND, Modifiers::NONE, Modifiers::SHIFT] {
            let step = match modifiers {
                Modifiers::COMMAND => 40.0 / harness.state().session.screen.look.zoom,
                Modifiers::SHIFT => 0.1,
                _ => 1.0,
            };
            let at = mark(harness);
            let left = to - [at.x, at.y][axis];
            let times = (left.abs() / step + 1e-6).floor() as usize;
            press(harness, modifiers, if left < 0.0 { less } else { more }, times);
        }
    }
    assert!(mark(harness).distance(PhotoPoint::new(x, y)) < 0.15, "{x}, {y}: {:?}", mark(harness));
}

fn click_by_key(harness: &mut Harness<'_, Workbench>, x: f64, y: f64) {
    move_mark(harness, x, y);
    press(harness, Modifiers::NONE, Key::Space, 1);
    harness.run_steps(2);
}

#[test]
fn an_arrow_brings_the_mark_to_the_middle_of_the_view_and_moves_it_from_there() {
    let mut harness = bench(Operation::Holes);
    let middle = harness.state().session.screen.look.centre;
    press(&mut harness, Modifiers::NONE, Key::ArrowRight, 1);
    assert!(mark(&harness).distance(middle) < 0.02, "it appears in the middle: {:?}", mark(&harness));
    assert_eq!(name_of_mark(&harness), "The mark, u 399.5, v 299.5 px", "and says where it is");
    press(&mut harness, Modifiers::NONE, Key::ArrowRight, 3);
    press(&mut harness, Modifiers::SHIFT, Key::ArrowUp, 2);
    let by = mark(&harness) - middle;
    assert!((by - PhotoVec::new(3.0, -0.2)).length() < 0.03, "three px, two tenths: {by:?}");
    press(&mut harness, Modifiers::COMMAND, Key::ArrowDown, 1);
    let zoom = harness.state().session.screen.look.zoom;
    let large = mark(&harness) - middle - by;
    assert!((large.y - 40.0 / zoom).abs() < 0.03 && large.x.abs() < 0.03, "40 points: {large:?}");
}

#[test]
fn tab_reaches_the_mark_and_goes_on_to_the_features() {
    let mut harness = bench(Operation::Holes);
    pick_hole(&mut harness, 300.0, 300.0);
    harness.state_mut().send(Command::Do(Action::StepOut));
    harness.event(egui::Event::PointerGone);
    harness.run_steps(3);
    let reached = (0..120).any(|_| {
        press(&mut harness, Modifiers::NONE, Key::Tab, 1);
        has_keyboard(&harness)
    });
    assert!(reached, "by Tab");
    press(&mut harness, Modifiers::NONE, Key::Tab, 1);
    assert!(harness.get_by_label("H1").is_focused(), "then the features");
}

#[test]
fn the_pointer_puts_the_mark_away() {
    let mut harness = bench(Operation::Holes);
    press(&mut harness, Modifiers::NONE, Key::M, 1);
    assert!(has_keyboard(&harness), "called by its key");
    let at = seen(&harness, 100.0, 100.0);
    harness.hover_at(at);
    harness.run_steps(2);
    assert!(!has_keyboard(&harness), "the pointer moved on the photo");
    let pointer = harness.state().session.screen.pointer.unwrap();
    assert!(near(pointer, 100.0, 100.0), "and is what places now: {pointer:?}");
}

#[test]
fn space_places_a_rim_pick_by_pick_as_clicks_do() {
    let mut harness = bench(Operation::Holes);
    for (x, y) in [(340.0, 300.0), (280.0, 334.6), (280.0, 265.4)] {
        click_by_key(&mut harness, x, y);
    }
    let job = job(&harness);
    assert_eq!((job.holes.len(), job.holes[0].rim.len()), (1, 3), "one hole, three picks");
    assert!(job.holes[0].rim[1].distance(PhotoPoint::new(280.0, 334.6)) < 0.15, "{:?}", job.holes[0].rim);
    assert_eq!(undo_name(&harness).as_deref(), Some("place H1’s third pick"));
    assert!(has_keyboard(&harness), "and the mark stays out for the next hole");
    click_by_key(&mut harness, 300.0, 300.0);
    assert_eq!(harness.state().session.screen.chosen, Some(Chosen::Hole("h1".into())), "in a hole it chooses it");
    assert_eq!(self::job(&harness).holes.len(), 1, "and places nothing");
}

#[test]
fn the_view_follows_the_mark_and_zooming_keeps_its_place() {
    let mut harness = bench(Operation::Holes);
    press(&mut harness, Modifiers::NONE, Key::M, 1);
    press(&mut harness, Modifiers::NONE, Key::Plus, 8);
    let zoomed = harness.state().session.screen.look;
    move_mark(&mut harness, 520.0, 340.0);
    let look = harness.state().session.screen.look;
    assert!(look.centre.x > zoomed.centre.x + 20.0, "the view goes with it: {zoomed:?} to {look:?}");
    let (at, before) = (mark(&harness), harness.get_by_label_contains("The mark").rect().center());
    press(&mut harness, Modifiers::NONE, Key::Plus, 2);
    let after = harness.get_by_label_contains("The mark").rect().center();
    assert!(harness.state().session.screen.look.zoom > look.zoom * 1.5, "larger");
    assert!(before.distance(after) < 0.5, "about the mark: {before:?} {after:?}");
    assert!(mark(&harness).distance(at) < 1e-9, "which stays where it is on the photo");
}

#[test]
fn the_mark_stays_on_the_photo() {
    let mut harness = bench(Operation::Holes);
    press(&mut harness, Modifiers::NONE, Key::M, 1);
    press(&mut harness, Modifiers::COMMAND, Key::ArrowLeft, 30);
    press(&mut harness, Modifiers::COMMAND, Key::ArrowUp, 30);
    assert!(near(mark(&harness), -0.5, -0.5), "at its corner: {:?}", mark(&harness));
    press(&mut harness, Modifiers::NONE, Key::Space, 1);
    assert!(near(job(&harness).holes[0].rim[0], -0.5, -0.5), "where it may place still");
}

#[test]
fn what_the_mark_holds_is_moved_by_the_arrows_in_one_step_and_put_back_by_esc() {
    let mut harness = bench(Operation::Outline);
    for (x, y) in [(150.0, 150.0), (650.0, 150.0), (650.0, 450.0)] {
        click(&mut harness, x, y);
    }
    move_mark(&mut harness, 650.0, 450.0);
    press(&mut harness, Modifiers::SHIFT, Key::Space, 1);
    press(&mut harness, Modifiers::NONE, Key::ArrowLeft, 5);
    press(&mut harness, Modifiers::SHIFT, Key::ArrowUp, 3);
    harness.run_steps(60);
    press(&mut harness, Modifiers::NONE, Key::ArrowLeft, 1);
    let node = |harness: &Harness<'_, Workbench>| job(harness).contours[0].nodes[2].at;
    assert!(near(node(&harness), 644.0, 449.7), "{:?}", node(&harness));
    assert!(mark(&harness).distance(node(&harness)) < 0.02, "the mark goes with it");
    press(&mut harness, Modifiers::NONE, Key::Escape, 1);
    assert!(near(node(&harness), 650.0, 450.0), "Esc puts it back: {:?}", node(&harness));
    assert!(has_keyboard(&harness), "and leaves the mark");
    press(&mut harness, Modifiers::SHIFT, Key::Space, 1);
    press(&mut harness, Modifiers::NONE, Key::ArrowLeft, 5);
    press(&mut harness, Modifiers::NONE, Key::Space, 1);
    press(&mut harness, Modifiers::NONE, Key::ArrowLeft, 5);
    assert!(near(node(&harness), 645.0, 450.0), "let go, it stays: {:?}", node(&harness));
    assert!((mark(&harness).x - 640.0).abs() < 0.2, "and the mark goes on alone: {:?}", mark(&harness));
    harness.key_combination_modifiers(Modifiers::COMMAND, &[Key::Z]);
    harness.run_steps(3);
    assert!(near(node(&harness), 650.0, 450.0), "one step takes it back");
}

#[test]
fn a_lever_is_pulled_out_and_moved_by_keys() {
    let mut harness = bench(Operation::Outline);
    for (x, y) in [(150.0, 150.0), (650.0, 150.0), (650.0, 450.0)] {
        click(&mut harness, x, y);
    }
    move_mark(&mut harness, 650.0, 150.0);
    press(&mut harness, Modifiers::COMMAND, Key::Space, 1);
    press(&mut harness, Modifiers::NONE, Key::ArrowRight, 6);
    let lever = |harness: &Harness<'_, Workbench>| job(harness).contours[0].nodes[1].lever_out;
    let pulled = lever(&harness).expect("the lever is set");
    press(&mut harness, Modifiers::NONE, Key::ArrowRight, 4);
    press(&mut harness, Modifiers::NONE, Key::ArrowDown, 3);
    let moved = lever(&harness).unwrap() - pulled;
    assert!((moved - PhotoVec::new(4.0, 3.0)).length() < 0.05, "by what was pressed: {moved:?}");
    press(&mut harness, Modifiers::NONE, Key::Space, 1);
    harness.get_by_label("lever after node 2 of the outline").focus();
    harness.run_steps(2);
    let before = lever(&harness).unwrap();
    press(&mut harness, Modifiers::NONE, Key::ArrowUp, 2);
    let moved = lever(&harness).unwrap() - before;
    assert!((moved - PhotoVec::new(0.0, -2.0)).length() < 0.05, "reached by Tab, the arrows move it too: {moved:?}");
    assert!(near(job(&harness).contours[0].nodes[1].at, 650.0, 150.0), "the node stays");
}

#[test]
fn an_edge_is_picked_and_ended_by_keys() {
    let mut harness = bench(Operation::Measures);
    press(&mut harness, Modifiers::NONE, Key::E, 1);
    click_by_key(&mut harness, 150.0, 150.0);
    click_by_key(&mut harness, 650.0, 160.0);
    let edge = job(&harness).edges[0].clone();
    assert_eq!(edge.along.len(), 2, "two places along it");
    assert!(edge.along[1].distance(PhotoPoint::new(650.0, 160.0)) < 0.15, "{edge:?}");
    press(&mut harness, Modifiers::NONE, Key::Enter, 1);
    assert_eq!(harness.state().session.screen.picking_edge, None, "Enter ends it although the mark has the keyboard");
}

/// Two holes 400 px apart with their distance, so that 4 px are a mm, and a hole beside the first.
fn with_added(harness: &mut Harness<'_, Workbench>) {
    pick_hole(harness, 200.0, 300.0);
    pick_hole(harness, 600.0, 300.0);
    let measure = Measure {
        id: "m1".into(),
        kind: MeasureKind::Centres,
        between: vec!["h1".into(), "h2".into()],
        mm: 100.0,
        sigma_mm: 0.05,
        in_use: true,
    };
    let offset = Offset { from: "h1".into(), by_mm: PlateVec::new(30.0, 20.0) };
    let added = Added { diameter_mm: Some(6.0), ..Added::new("a1".into(), AddedKind::Hole, Placed::Offset(offset)) };
    let edits = vec![Edit::AddMeasure(measure), Edit::PutAdded(Box::new(added))];
    harness.state_mut().send(Command::Edit("add".to_owned(), edits));
    harness.state_mut().send(Command::Do(Action::Operation(Operation::Outline)));
    harness.run_steps(4);
}

fn by_mm(harness: &Harness<'_, Workbench>) -> PlateVec {
    match &job(harness).added[0].placed {
        Some(Placed::Offset(offset)) => offset.by_mm,
        other => panic!("{other:?}"),
    }
}

#[test]
fn what_was_added_is_moved_by_keys_and_by_the_pointer() {
    let mut harness = bench(Operation::Holes);
    with_added(&mut harness);
    harness.state_mut().session.screen.chosen = Some(Chosen::Added("a1".into()));
    harness.run_steps(2);
    press(&mut harness, Modifiers::NONE, Key::ArrowRight, 3);
    assert!((by_mm(&harness).x - 30.3).abs() < 0.051, "three tenths along x: {:?}", by_mm(&harness));
    let before = by_mm(&harness);
    press(&mut harness, Modifiers::SHIFT, Key::ArrowUp, 2);
    let fine = by_mm(&harness) - before;
    assert!((fine.y - 0.02).abs() < 0.006 && fine.x.abs() < 1e-6, "two hundredths along y: {fine:?}");
    assert_eq!(undo_name(&harness).as_deref(), Some("move A1"));
    let at = harness.get_by_label("A1").rect().center();
    let zoom = harness.state().session.screen.look.zoom as f32;
    let before = by_mm(&harness);
    drag(&mut harness, at, vec2(40.0, 0.0) * zoom, Modifiers::NONE);
    let dragged = by_mm(&harness) - before;
    assert!((dragged.length() - 10.0).abs() < 0.3, "40 px are 10 mm: {dragged:?}");
}

#[test]
fn the_outline_is_asked_for_from_the_place_of_the_mark() {
    let mut harness = bench(Operation::Holes);
    pick_hole(&mut harness, 300.0, 300.0);
    press(&mut harness, Modifiers::NONE, Key::P, 1);
    assert!(harness.state().session.screen.proposing, "the next click proposes");
    click_by_key(&mut harness, 500.0, 200.0);
    let screen = &harness.state().session.screen;
    assert!(!screen.proposing && (screen.working.is_some() || screen.said.is_some()), "it is looked for");
}

#[test]
fn in_the_flat_view_the_mark_goes_along_the_screen() {
    let mut harness = bench(Operation::Holes);
    pick_hole(&mut harness, 200.0, 300.0);
    pick_hole(&mut harness, 600.0, 320.0);
    press(&mut harness, Modifiers::NONE, Key::V, 1);
    harness.run_steps(12);
    assert_eq!(harness.state().session.screen.view, View::Flat);
    press(&mut harness, Modifiers::NONE, Key::M, 1);
    let before = harness.get_by_label_contains("The mark").rect().center();
    press(&mut harness, Modifiers::COMMAND, Key::ArrowRight, 2);
    let moved = harness.get_by_label_contains("The mark").rect().center() - before;
    assert!((moved - vec2(80.0, 0.0)).length() < 1.0, "80 points to the right: {moved:?}");
}
