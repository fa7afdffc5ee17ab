//! What a person does on the photo, driven through the real window without a display.

mod edges;
mod escape;
mod mark;
mod measured;
mod traced;

use crate::command::{Action, Command};
use crate::files::LoadedPhoto;
use crate::session::{Chosen, Document, Operation, Session, View};
use crate::window::Workbench;
use egui::{Key, Modifiers, Pos2, vec2};
use egui_kittest::kittest::Queryable;
use egui_kittest::{Harness, HarnessBuilder};
use platewright_core::advice::PhotoFile;
use platewright_core::job::{Edit, Held, Id, Job, LensBeliefs, MeasureKind, NodeKind, Photo, Piece, Role};
use platewright_core::space::PhotoPoint;
use std::path::PathBuf;
use std::sync::Arc;

const SIZE: [u32; 2] = [800, 600];

/// The workbench with a grey photo at `operation`.
fn bench(operation: Operation) -> Harness<'static, Workbench> {
    bench_over(image::RgbImage::from_pixel(SIZE[0], SIZE[1], image::Rgb([120, 120, 120])), operation)
}

/// The workbench with a photo of that size at `operation`.
fn bench_over(image: image::RgbImage, operation: Operation) -> Harness<'static, Workbench> {
    let photo = Photo {
        file: "plate.png".to_owned(),
        sha256: "0".repeat(64),
        size: SIZE,
        held: Held::ByEye,
        focal_px: None,
        lens: LensBeliefs::default(),
    };
    let loaded = LoadedPhoto {
        path: PathBuf::from("plate.png"),
        image: Arc::new(image),
        exif_focal_px: None,
        sha256: "0".repeat(64),
        file: PhotoFile::default(),
    };
    let document = Document::new(Job::new(photo), None, Arc::new(loaded));
    let mut session = Session { document: Some(document), ..Session::default() };
    session.screen.operation = operation;
    let mut harness = HarnessBuilder::default()
        .with_size([1440.0, 900.0])
        .with_pixels_per_point(1.0)
        .with_step_dt(1.0 / 60.0)
        .build_eframe(|cc| Workbench::new(&cc.egui_ctx, session, None));
    harness.run_steps(4);
    harness
}

fn job(harness: &Harness<'_, Workbench>) -> Job {
    harness.state().session.document.as_ref().unwrap().job().clone()
}

/// Where a photo point is on the screen, as shot.
fn seen(harness: &Harness<'_, Workbench>, x: f64, y: f64) -> Pos2 {
    let look = harness.state().session.screen.look;
    let step = (PhotoPoint::new(x, y) - look.centre) * look.zoom;
    harness.get_by_label("Photo").rect().center() + vec2(step.x as f32, step.y as f32)
}

fn click(harness: &mut Harness<'_, Workbench>, x: f64, y: f64) {
    let at = seen(harness, x, y);
    harness.hover_at(at);
    harness.step();
    harness.drag_at(at);
    harness.step();
    harness.drop_at(at);
    // The command is carried out in the frame after. A pause keeps two clicks from being a double click.
    harness.run_steps(30);
}

fn drag(harness: &mut Harness<'_, Workbench>, from: Pos2, by: egui::Vec2, modifiers: Modifiers) {
    harness.event(egui::Event::ModifiersChanged(modifiers));
    harness.hover_at(from);
    harness.step();
    harness.drag_at(from);
    harness.step();
    for share in 1..=5 {
        harness.hover_at(from + by * (share as f32 / 5.0));
        harness.step();
    }
    harness.drop_at(from + by);
    harness.run_steps(3);
    harness.event(egui::Event::ModifiersChanged(Modifiers::NONE));
}

fn undo_name(harness: &Harness<'_, Workbench>) -> Option<String> {
    harness.state().session.document.as_ref().unwrap().history.undo_name().map(str::to_owned)
}

fn near(a: PhotoPoint, x: f64, y: f64) -> bool {
    a.distance(PhotoPoint::new(x, y)) < 0.02
}

/// Three picks round (`x`, `y`) at a radius of 40 px.
fn pick_hole(harness: &mut Harness<'_, Workbench>, x: f64, y: f64) {
    for (dx, dy) in [(40.0, 0.0), (-20.0, 34.64), (-20.0, -34.64)] {
        click(harness, x + dx, y + dy);
    }
}

#[test]
fn three_clicks_make_a_hole() {
    let mut harness = bench(Operation::Holes);
    click(&mut harness, 240.0, 200.0);
    assert_eq!(harness.state().session.screen.picking, Some(Id::from("h1")), "the next click goes on with it");
    assert_eq!(undo_name(&harness).as_deref(), Some("place H1’s first pick"));
    click(&mut harness, 180.0, 234.64);
    click(&mut harness, 180.0, 165.36);
    let job = job(&harness);
    assert_eq!((job.holes.len(), job.holes[0].rim.len()), (1, 3), "one hole, three picks");
    assert!(near(job.holes[0].rim[0], 240.0, 200.0), "where it was clicked: {:?}", job.holes[0].rim);
    let screen = &harness.state().session.screen;
    assert_eq!((screen.picking.clone(), screen.chosen.clone()), (None, Some(Chosen::Hole("h1".into()))));
    assert!(harness.query_by_label("H1").is_some(), "the hole has its name");
    click(&mut harness, 500.0, 300.0);
    assert_eq!(self::job(&harness).holes[1].name, "H2", "the next click begins another hole");
}

#[test]
fn dragging_a_pick_is_one_step_and_keeps_the_grip() {
    let mut harness = bench(Operation::Holes);
    pick_hole(&mut harness, 300.0, 300.0);
    let zoom = harness.state().session.screen.look.zoom;
    let grip = seen(&harness, 340.0, 300.0) + vec2(4.0, -3.0);
    drag(&mut harness, grip, vec2(30.0, 12.0), Modifiers::NONE);
    let at = job(&harness).holes[0].rim[0];
    assert!(near(at, 340.0 + 30.0 / zoom, 300.0 + 12.0 / zoom), "moved by what was dragged: {at:?}");
    assert_eq!(undo_name(&harness).as_deref(), Some("move H1’s first pick"));
    harness.key_combination_modifiers(Modifiers::COMMAND, &[Key::Z]);
    harness.run_steps(3);
    assert!(near(job(&harness).holes[0].rim[0], 340.0, 300.0), "one undo takes all of it back");
}

#[test]
fn pressing_and_dragging_beside_everything_places_a_pick_where_it_is_let_go() {
    let mut harness = bench(Operation::Holes);
    let from = seen(&harness, 200.0, 200.0);
    let zoom = harness.state().session.screen.look.zoom as f32;
    drag(&mut harness, from, vec2(50.0, 0.0) * zoom, Modifiers::NONE);
    assert!(near(job(&harness).holes[0].rim[0], 250.0, 200.0), "{:?}", job(&harness).holes);
}

#[test]
fn nothing_is_placed_beside_the_photo() {
    let mut harness = bench(Operation::Holes);
    click(&mut harness, -6.0, 200.0);
    assert!(job(&harness).holes.is_empty(), "six pixels to the left of it");
    assert_eq!(harness.state().session.screen.pointer, None, "nor is there a place to show");
    click(&mut harness, 6.0, 200.0);
    assert_eq!(job(&harness).holes.len(), 1, "six pixels inside");
}

#[test]
fn arrow_keys_nudge_by_a_pixel_and_with_shift_by_a_tenth() {
    let mut harness = bench(Operation::Holes);
    click(&mut harness, 300.0, 300.0);
    let before = job(&harness).holes[0].rim[0];
    harness.key_press(Key::ArrowRight);
    harness.run_steps(2);
    harness.key_press_modifiers(Modifiers::SHIFT, Key::ArrowUp);
    harness.run_steps(2);
    let after = job(&harness).holes[0].rim[0];
    assert!((after.x - before.x - 1.0).abs() < 1e-9 && (after.y - before.y + 0.1).abs() < 1e-9, "{before:?} {after:?}");
    harness.key_combination_modifiers(Modifiers::COMMAND, &[Key::Z]);
    harness.run_steps(2);
    assert!(near(job(&harness).holes[0].rim[0], before.x, before.y), "both nudges are one step");
}

#[test]
fn everything_is_reached_by_tab_and_chosen_by_enter() {
    let mut harness = bench(Operation::Holes);
    pick_hole(&mut harness, 300.0, 300.0);
    harness.get_by_label("H1 second pick").focus();
    harness.run_steps(2);
    harness.key_press(Key::Enter);
    harness.run_steps(2);
    let pick = Chosen::RimPick { hole: "h1".into(), index: 1 };
    assert_eq!(harness.state().session.screen.chosen, Some(pick));
    let before = job(&harness).holes[0].rim[1];
    harness.key_press(Key::ArrowLeft);
    harness.run_steps(2);
    let after = job(&harness).holes[0].rim[1];
    assert!((after.x - before.x + 1.0).abs() < 1e-9, "the arrow nudges; it does not move the focus");
    harness.get_by_label("H1").click_accesskit();
    harness.run_steps(2);
    assert_eq!(harness.state().session.screen.chosen, Some(Chosen::Hole("h1".into())), "by a screen reader");
}

/// Picks on a hole that is a few points wide on the screen lie within each other's reach, and still are three picks.
#[test]
fn picks_of_a_small_hole_are_not_taken_for_each_other() {
    let mut harness = bench(Operation::Holes);
    let zoom = harness.state().session.screen.look.zoom;
    let radius = 7.0 / zoom;
    for (dx, dy) in [(radius, 0.0), (-0.5 * radius, 0.866 * radius), (-0.5 * radius, -0.866 * radius)] {
        click(&mut harness, 300.0 + dx, 300.0 + dy);
    }
    let holes = &job(&harness).holes;
    assert_eq!((holes.len(), holes[0].rim.len()), (1, 3), "one hole, three picks: {holes:?}");
}

#[test]
fn the_next_measure_is_of_the_kind_that_was_chosen() {
    let mut harness = bench(Operation::Holes);
    pick_hole(&mut harness, 200.0, 300.0);
    pick_hole(&mut harness, 600.0, 300.0);
    harness.state_mut().send(Command::Do(Action::Operation(Operation::Measures)));
    harness.run_steps(3);
    click(&mut harness, 200.0, 300.0);
    click(&mut harness, 600.0, 300.0);
    harness.get_by_label("Take a measure: near rims").click();
    harness.run_steps(3);
    let draft = harness.state().session.screen.draft.clone().expect("a draft");
    assert_eq!((draft.kind, draft.between.len()), (MeasureKind::NearRims, 2), "the holes that were clicked stay");
    harness.state_mut().send(Command::Do(Action::StepOut));
    harness.run_steps(3);
    click(&mut harness, 600.0, 300.0);
    let draft = harness.state().session.screen.draft.clone().expect("a draft");
    assert_eq!(draft.kind, MeasureKind::NearRims, "and so does the kind");
}

#[test]
fn two_holes_make_the_draft_of_a_measure() {
    let mut harness = bench(Operation::Holes);
    pick_hole(&mut harness, 200.0, 300.0);
    pick_hole(&mut harness, 600.0, 300.0);
    harness.state_mut().send(Command::Do(Action::Operation(Operation::Measures)));
    harness.run_steps(3);
    click(&mut harness, 200.0, 300.0);
    click(&mut harness, 600.0, 300.0);
    let draft = harness.state().session.screen.draft.clone().expect("a draft");
    assert_eq!((draft.kind, draft.between), (MeasureKind::FarRims, vec!["h1".into(), "h2".into()]));
}

#[test]
fn an_outline_is_traced_closed_and_given_a_node() {
    let mut harness = bench(Operation::Outline);
    for (x, y) in [(150.0, 150.0), (650.0, 150.0), (650.0, 450.0), (150.0, 450.0)] {
        click(&mut harness, x, y);
    }
    let traced = job(&harness).contours[0].clone();
    assert_eq!((traced.role, traced.nodes.len(), traced.closed), (Role::Outer, 4, false));
    assert_eq!(undo_name(&harness).as_deref(), Some("place node 4 of the outline"));
    click(&mut harness, 150.0, 150.0);
    assert!(job(&harness).contours[0].closed, "a click on the first node closes it");
    assert_eq!(harness.state().session.screen.tracing, None, "and nothing is traced any more");
    click(&mut harness, 400.0, 150.0);
    let nodes = &job(&harness).contours[0].nodes;
    assert!(nodes.len() == 5 && near(nodes[1].at, 400.0, 150.0), "a click on a piece puts a node there: {nodes:?}");
    assert!(harness.query_by_label("node 2 of the outline").is_some(), "nodes have names");
    click(&mut harness, 400.0, 300.0);
    assert_eq!(job(&harness).contours.len(), 1, "a slip beside a closed outline starts nothing");
    harness.get_by_label("New opening").click();
    harness.run_steps(3);
    click(&mut harness, 400.0, 300.0);
    let opening = &job(&harness).contours[1];
    assert_eq!((opening.role, opening.nodes.len()), (Role::Opening, 1), "an opening is begun when it is asked for");
}

#[test]
fn a_lever_is_pulled_out_of_a_node_with_alt() {
    let mut harness = bench(Operation::Outline);
    for (x, y) in [(150.0, 150.0), (650.0, 150.0), (650.0, 450.0)] {
        click(&mut harness, x, y);
    }
    let zoom = harness.state().session.screen.look.zoom as f32;
    let node = seen(&harness, 650.0, 150.0);
    drag(&mut harness, node, vec2(60.0, 20.0) * zoom, Modifiers::ALT);
    let nodes = job(&harness).contours[0].nodes.clone();
    assert_eq!(nodes[1].next, Piece::Curve, "the piece becomes a curve");
    let lever = nodes[1].lever_out.expect("the lever is set");
    assert!((lever.x - 60.0).abs() < 0.1 && (lever.y - 20.0).abs() < 0.1, "{lever:?}");
    assert!(near(nodes[1].at, 650.0, 150.0), "the node stays");
}

#[test]
fn a_double_click_on_a_node_makes_it_smooth() {
    let mut harness = bench(Operation::Outline);
    for (x, y) in [(150.0, 150.0), (650.0, 150.0), (650.0, 450.0)] {
        click(&mut harness, x, y);
    }
    let at = seen(&harness, 650.0, 150.0);
    for _ in 0..2 {
        harness.drag_at(at);
        harness.step();
        harness.drop_at(at);
        harness.step();
    }
    harness.run_steps(3);
    assert_eq!(job(&harness).contours[0].nodes[1].kind, NodeKind::Smooth);
}

#[test]
fn the_wheel_zooms_about_the_pointer_and_the_view_switch_keeps_the_place() {
    let mut harness = bench(Operation::Holes);
    pick_hole(&mut harness, 200.0, 300.0);
    pick_hole(&mut harness, 600.0, 300.0);
    let at = seen(&harness, 200.0, 300.0);
    harness.hover_at(at);
    harness.event(egui::Event::MouseWheel {
        unit: egui::MouseWheelUnit::Point,
        source: egui::MouseWheelSource::Wheel,
        delta: vec2(0.0, 120.0),
        phase: egui::TouchPhase::Move,
        modifiers: Modifiers::NONE,
    });
    let before = harness.state().session.screen.look;
    harness.run_steps(20);
    let after = harness.state().session.screen.look;
    assert!(after.zoom > before.zoom * 1.2, "larger: {} to {}", before.zoom, after.zoom);
    assert!(seen(&harness, 200.0, 300.0).distance(at) < 0.5, "what was under the pointer is there still");
    harness.get_by_label("Flat").click();
    harness.run_steps(4);
    assert_eq!(harness.state().session.screen.view, View::Flat);
    assert!((harness.state().session.screen.look.zoom - after.zoom).abs() < 1e-12, "the same scale");
}
