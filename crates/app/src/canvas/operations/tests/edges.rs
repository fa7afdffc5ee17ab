//! Straight edges and what is said of them on the photo.

use super::*;
use crate::canvas::scene::Scene;
use crate::canvas::transform::Transform;
use platewright_core::job::StatementKind;

/// Two holes and the measures, with the kind of measure chosen by its button.
fn bench_measuring(kind: &str) -> Harness<'static, Workbench> {
    let mut harness = bench(Operation::Holes);
    pick_hole(&mut harness, 250.0, 300.0);
    pick_hole(&mut harness, 550.0, 300.0);
    harness.state_mut().send(Command::Do(Action::Operation(Operation::Measures)));
    harness.run_steps(3);
    harness.get_by_label(&format!("Take a measure: {kind}")).click();
    harness.run_steps(3);
    harness
}

fn enter(harness: &mut Harness<'_, Workbench>) {
    harness.key_press(Key::Enter);
    harness.run_steps(3);
}

fn draft(harness: &Harness<'_, Workbench>) -> Option<(MeasureKind, Vec<Id>)> {
    harness.state().session.screen.draft.clone().map(|draft| (draft.kind, draft.between))
}

#[test]
fn clicks_along_a_side_make_an_edge_that_enter_ends_and_takes() {
    let mut harness = bench_measuring("edges");
    for (x, y) in [(150.0, 150.0), (650.0, 150.0), (400.0, 150.0)] {
        click(&mut harness, x, y);
    }
    let edge = job(&harness).edges[0].clone();
    assert_eq!((edge.name.as_str(), edge.along.len()), ("E1", 3), "the third pick lies on its own line: {edge:?}");
    assert_eq!(undo_name(&harness).as_deref(), Some("place E1’s third pick"));
    assert_eq!(draft(&harness), Some((MeasureKind::Edges, vec![])), "it is not ended yet");
    enter(&mut harness);
    assert_eq!(draft(&harness), Some((MeasureKind::Edges, vec!["e1".into()])), "ended and taken");
    assert_eq!(harness.state().session.screen.picking_edge, None, "and no longer picked");
    click(&mut harness, 150.0, 450.0);
    click(&mut harness, 650.0, 450.0);
    click(&mut harness, 150.0, 450.0);
    assert_eq!(draft(&harness), Some((MeasureKind::Edges, vec!["e1".into(), "e2".into()])), "by its first pick");
    let field = harness.get_by_role_and_label(egui::accesskit::Role::TextInput, "Value of E1 to E2, edges");
    assert!(field.is_focused(), "its value is typed next");
    field.type_text("60");
    harness.run_steps(2);
    enter(&mut harness);
    let measure = job(&harness).measures[0].clone();
    assert_eq!((measure.kind, measure.between), (MeasureKind::Edges, vec!["e1".into(), "e2".into()]));
}

#[test]
fn an_edge_is_ended_by_the_next_feature_and_both_make_a_measure() {
    let mut harness = bench_measuring("rim to edge");
    click(&mut harness, 150.0, 150.0);
    click(&mut harness, 650.0, 150.0);
    click(&mut harness, 250.0, 300.0);
    let taken = (MeasureKind::RimToEdge, vec![Id::from("h1"), Id::from("e1")]);
    assert_eq!(draft(&harness), Some(taken), "the hole is named first");
    click(&mut harness, 550.0, 300.0);
    assert_eq!(draft(&harness).map(|(_, between)| between), Some(vec!["h2".into()]), "a third click begins another");
    click(&mut harness, 400.0, 150.0);
    assert_eq!(job(&harness).edges.len(), 1, "a click on its line takes the edge that is there");
    assert_eq!(draft(&harness).map(|(_, between)| between), Some(vec!["h2".into(), "e1".into()]));
}

#[test]
fn the_key_of_an_edge_says_what_to_click() {
    let mut harness = bench(Operation::Holes);
    harness.key_press(Key::E);
    harness.run_steps(3);
    assert_eq!(harness.state().session.screen.operation, Operation::Measures, "edges belong to the measures");
    let said = "Click two places or more along the first edge, or click an edge that is there.";
    assert!(harness.query_by_label(said).is_some(), "in the status line");
    click(&mut harness, 150.0, 150.0);
    let said = "Click a second place along E1, well away from the first.";
    assert!(harness.query_by_label(said).is_some(), "and then");
    harness.key_press(Key::Escape);
    harness.run_steps(3);
    click(&mut harness, 150.0, 150.0);
    click(&mut harness, 650.0, 150.0);
    let edges = &job(&harness).edges;
    assert_eq!(
        (edges.len(), edges[0].along.len()),
        (1, 2),
        "a click on an edge of one pick goes on with it: {edges:?}"
    );
}

#[test]
fn what_does_not_belong_to_a_measure_is_said_and_nothing_is_lost() {
    let mut harness = bench_measuring("edges");
    click(&mut harness, 250.0, 300.0);
    let said = harness.state().session.screen.said.clone().unwrap_or_default();
    assert!(said.starts_with("This measure lies between edges."), "{said}");
    click(&mut harness, 150.0, 150.0);
    enter(&mut harness);
    let said = harness.state().session.screen.said.clone().unwrap_or_default();
    assert_eq!(said, "Two places make an edge. Click a second one along E1.");
    assert_eq!(harness.state().session.screen.picking_edge, Some("e1".into()), "it is picked on");
}

#[test]
fn a_pick_of_an_edge_is_dragged_nudged_and_removed_and_undo_brings_it_back() {
    let mut harness = bench_measuring("edges");
    for (x, y) in [(150.0, 150.0), (650.0, 150.0), (400.0, 150.0)] {
        click(&mut harness, x, y);
    }
    enter(&mut harness);
    let zoom = harness.state().session.screen.look.zoom;
    let grip = seen(&harness, 650.0, 150.0);
    drag(&mut harness, grip, vec2(0.0, 24.0), Modifiers::NONE);
    assert!(near(job(&harness).edges[0].along[1], 650.0, 150.0 + 24.0 / zoom), "{:?}", job(&harness).edges);
    assert_eq!(undo_name(&harness).as_deref(), Some("move E1’s second pick"), "one step");
    harness.key_press(Key::ArrowUp);
    harness.run_steps(2);
    assert!(near(job(&harness).edges[0].along[1], 650.0, 149.0 + 24.0 / zoom), "nudged by a pixel");
    harness.get_by_label("E1 third pick").focus();
    harness.run_steps(2);
    enter(&mut harness);
    harness.key_press(Key::Delete);
    harness.run_steps(3);
    assert_eq!(job(&harness).edges[0].along.len(), 2, "the pick is gone");
    harness.key_combination_modifiers(Modifiers::COMMAND, &[Key::Z]);
    harness.run_steps(3);
    assert_eq!(job(&harness).edges[0].along.len(), 3, "and back");
    harness.state_mut().session.screen.chosen = Some(Chosen::Edge("e1".into()));
    harness.state_mut().send(Command::Do(Action::Remove));
    harness.run_steps(3);
    assert!(job(&harness).edges.is_empty(), "the whole edge");
    assert_eq!(draft(&harness), Some((MeasureKind::Edges, vec![])), "what was taken of it is let go");
}

#[test]
fn the_last_pick_takes_its_edge_with_it() {
    let mut harness = bench_measuring("edges");
    click(&mut harness, 150.0, 150.0);
    harness.state_mut().send(Command::Do(Action::Remove));
    harness.run_steps(3);
    assert!(job(&harness).edges.is_empty(), "an edge without picks is nowhere");
    assert_eq!(harness.state().session.screen.picking_edge, None, "and is no longer picked");
}

#[test]
fn an_edge_is_renamed_on_the_card() {
    let mut harness = bench_measuring("edges");
    click(&mut harness, 150.0, 150.0);
    click(&mut harness, 650.0, 150.0);
    enter(&mut harness);
    harness.get_by_label("Name of the edge").focus();
    harness.run_steps(2);
    harness.key_combination_modifiers(Modifiers::COMMAND, &[Key::A]);
    harness.get_by_label("Name of the edge").type_text("foot");
    harness.run_steps(2);
    enter(&mut harness);
    assert_eq!(job(&harness).edges[0].name, "foot");
}

#[test]
fn dimension_lines_of_edges_run_square_to_them_in_both_views() {
    let mut harness = bench_measuring("edges");
    for y in [150.0, 450.0] {
        click(&mut harness, 200.0, y);
        click(&mut harness, 600.0, y);
        enter(&mut harness);
    }
    harness.get_by_label("Value of E1 to E2, edges").type_text("75");
    harness.run_steps(2);
    enter(&mut harness);
    let state = harness.state();
    let rect = harness.get_by_label("Photo").rect();
    for view in [View::AsShot, View::Flat] {
        let transform = Transform::new(rect, state.session.screen.look, view, state.session.results.solution.map);
        let scene = Scene::new(&state.session, state.session.document.as_ref().unwrap(), &transform);
        assert_eq!(scene.edges.len(), 2, "both are seen");
        let line = &scene.dimensions.iter().find(|one| one.id == Some("m1".into())).expect("it is drawn").line;
        let along = (*line.last().unwrap() - line[0]).normalized();
        let edge = &scene.edges[0].line;
        let side = (*edge.last().unwrap() - edge[0]).normalized();
        assert!(along.dot(side).abs() < 0.03, "{view:?}: {along:?} is square to {side:?}");
    }
}

#[test]
fn jaws_do_not_lie_on_edges_that_are_not_parallel() {
    let mut harness = bench_measuring("edges");
    for (from, to) in [((150.0, 150.0), (650.0, 150.0)), ((700.0, 180.0), (700.0, 450.0))] {
        click(&mut harness, from.0, from.1);
        click(&mut harness, to.0, to.1);
        enter(&mut harness);
    }
    let said = harness.state().session.screen.said.clone().unwrap_or_default();
    assert!(said.starts_with("E1 and E2 are not parallel: "), "{said}");
    assert_eq!(draft(&harness), Some((MeasureKind::Edges, vec!["e1".into()])), "the first one stays");
    assert_eq!(job(&harness).edges.len(), 2, "and the other is there for what it is good for");
}

#[test]
fn a_square_corner_is_said_of_two_edges() {
    let mut harness = bench_measuring("edges");
    harness.key_press(Key::Q);
    harness.run_steps(3);
    for (from, to) in [((150.0, 150.0), (650.0, 150.0)), ((700.0, 180.0), (700.0, 450.0))] {
        click(&mut harness, from.0, from.1);
        click(&mut harness, to.0, to.1);
        enter(&mut harness);
    }
    let field = harness.get_by_role_and_label(egui::accesskit::Role::TextInput, "It may be off by");
    assert!(field.is_focused(), "how far it may be off is asked");
    enter(&mut harness);
    let said = job(&harness).statements[0].clone();
    assert_eq!((said.kind, said.between), (StatementKind::Square, vec!["e1".into(), "e2".into()]));
    assert!((said.sigma_mm - StatementKind::Square.usual_sigma_mm()).abs() < 1e-12, "the usual ±");
    assert_eq!(harness.state().session.screen.stating, None, "nothing more is being said");
    let state = harness.state();
    let (rect, look) = (harness.get_by_label("Photo").rect(), state.session.screen.look);
    let transform = Transform::new(rect, look, View::AsShot, state.session.results.solution.map);
    let scene = Scene::new(&state.session, state.session.document.as_ref().unwrap(), &transform);
    let corner = seen(&harness, 700.0, 150.0);
    assert!(
        scene.corners[0].iter().all(|place| place.distance(corner) < 40.0),
        "marked where they meet: {:?}",
        scene.corners
    );
}

#[test]
fn points_are_said_to_lie_on_an_edge() {
    let mut harness = bench_measuring("points");
    harness.get_by_label("Say: on one line").click();
    harness.run_steps(3);
    click(&mut harness, 250.0, 300.0);
    let said = harness.state().session.screen.said.clone().unwrap_or_default();
    assert!(said.contains("Click a point"), "a hole lies on no edge: {said}");
    click(&mut harness, 150.0, 150.0);
    click(&mut harness, 650.0, 150.0);
    enter(&mut harness);
    click(&mut harness, 700.0, 150.0);
    click(&mut harness, 90.0, 151.0);
    let between: Vec<Id> = vec!["e1".into(), "p1".into(), "p2".into()];
    assert_eq!(harness.state().session.screen.stating.clone().map(|stating| stating.between), Some(between.clone()));
    harness.get_by_label("It may be off by").type_text("0.2");
    harness.run_steps(2);
    harness.get_by_label("Say it").click();
    harness.run_steps(3);
    let said = job(&harness).statements[0].clone();
    assert_eq!((said.kind, said.between), (StatementKind::Straight, between));
    assert!((said.sigma_mm - 0.2).abs() < 1e-12, "as typed: {}", said.sigma_mm);
}
