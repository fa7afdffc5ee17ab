//! The guide, from the empty window to the cut file.

use super::*;
use crate::command::Action;
use crate::exports::Export;
use crate::guide::Step;
use crate::session::Standing;
use platewright_core::export::CutFormat;
use std::time::{Duration, Instant};

/// Runs frames until it holds.
fn until(window: &mut Window, what: &str, holds: impl Fn(&Window) -> bool) {
    let started = Instant::now();
    while !holds(window) {
        assert!(started.elapsed() < Duration::from_mins(2), "{what} did not come");
        window.run_steps(1);
        std::thread::yield_now();
    }
}

fn is_settled(window: &Window) -> bool {
    let results = &window.state().session.results;
    let revision = window.state().session.document.as_ref().map(|document| document.history.revision());
    results.standing == Standing::Settled && results.revision == revision
}

fn is_at(window: &Window, step: Step) -> bool {
    let head = format!("Guide, step {} of 6: {}", step.number(), step.name());
    window.query_by_label(&head).is_some()
}

fn edit(window: &mut Window, edits: Vec<Edit>) {
    window.state_mut().send(Command::Edit("do it".to_owned(), edits));
    window.run_steps(3);
    until(window, "the measured rims", is_settled);
}

/// The figure that the practice caliper reads.
fn reading(window: &Window) -> String {
    let words = window.get_by_label_contains("Here it reads ").accesskit_node().value().unwrap();
    words.split("Here it reads ").nth(1).and_then(|rest| rest.split(' ').next()).unwrap().to_owned()
}

#[test]
fn each_step_ends_by_being_done() {
    let demo = crate::files::read_job(&crate::files::demo_job().unwrap()).unwrap();
    let mut window = window_of_size(Session::default(), [1440.0, 900.0]);
    click(&mut window, "Begin the guide");
    until(&mut window, "the demo's photo", |window| is_at(window, Step::Hole));
    assert!(job(&window).holes.is_empty(), "a job of one's own, with nothing in it");

    let mut holes = demo.holes.clone();
    for hole in &mut holes {
        hole.group = None;
    }
    let others = holes.split_off(1);
    edit(&mut window, holes.into_iter().map(Edit::AddHole).collect());
    assert!(is_at(&window, Step::Others), "one hole is there");
    edit(&mut window, others.into_iter().map(Edit::AddHole).collect());
    assert!(is_at(&window, Step::Measures), "all holes are there");

    let mut taken = 0;
    while is_at(&window, Step::Measures) {
        assert!(taken < 8, "the measures do not come to an end");
        let figure = reading(&window);
        window.key_press(egui::Key::T);
        window.run_steps(3);
        let field = window.get_by_label_contains("Value of ");
        field.type_text(&figure);
        window.run_steps(2);
        window.key_press(egui::Key::Enter);
        taken += 1;
        until(&mut window, "the measure", |window| job(window).measures.len() == taken && is_settled(window));
        window.run_steps(2);
    }
    assert!(!names_with_value(&window, "is not what the caliper reads"), "every one was typed as it reads");
    assert!(taken >= 2, "one measure alone is checked by nothing");
    assert!(is_at(&window, Step::Fasteners), "every measure is checked");
    let solution = &window.state().session.results.solution;
    assert!(
        solution.measures.iter().all(|m| m.verdict == MeasureVerdict::Agrees),
        "the caliper reads the plate's own lengths"
    );

    let groups = demo.groups.iter().cloned().map(Edit::PutGroup);
    let joined = demo.holes.iter().filter_map(|hole| Some((hole.id.clone(), hole.group.clone()?)));
    let joined = joined.map(|(hole, group)| Edit::HoleGroup { hole, group: Some(group) });
    edit(&mut window, groups.chain(joined).collect());
    assert!(is_at(&window, Step::Outline), "four holes have a fastener");
    edit(&mut window, demo.contours.iter().cloned().map(Edit::AddContour).collect());
    assert!(is_at(&window, Step::Cut), "the outline is closed");

    let folder = tempfile::tempdir().unwrap();
    window.state_mut().session.places.documents = Some(folder.path().to_path_buf());
    window.state_mut().session.screen.operation = Operation::Cut;
    window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::E);
    window.run_steps(4);
    let asked = window.state().session.screen.path_text.clone();
    assert_eq!(asked, folder.path().join("milk-valve-flange.dxf").display().to_string(), "not beside the demo");
    window.key_press(egui::Key::Escape);
    window.run_steps(3);
    let path = folder.path().join("flange.dxf");
    let export = Export::Cut(CutFormat::Dxf);
    let nowhere = folder.path().join("no-such-folder/flange.dxf");
    window.state_mut().send(Command::WriteTo { export, path: nowhere, even_so: false });
    until(&mut window, "why not", |window| window.state().session.screen.error.is_some());
    assert!(is_at(&window, Step::Cut), "what was not written is not done");
    window.state_mut().send(Command::WriteTo { export, path: path.clone(), even_so: false });
    until(&mut window, "the cut file", |window| window.query_by_label("That was a whole job.").is_some());
    assert!(path.is_file(), "and it is there");
    click(&mut window, "Put the guide away");
    assert!(window.query_by_label("That was a whole job.").is_none(), "gone");
}

fn names_with_value(window: &Window, part: &str) -> bool {
    window.query_by_label_contains(part).is_some()
}

#[test]
fn a_slip_in_a_practice_measure_is_named_with_what_the_caliper_reads() {
    let demo = crate::files::read_job(&crate::files::demo_job().unwrap()).unwrap();
    let mut window = window_of_size(Session::default(), [1440.0, 900.0]);
    click(&mut window, "Begin the guide");
    until(&mut window, "the demo's photo", |window| is_at(window, Step::Hole));
    let alone = |hole| platewright_core::job::Hole { group: None, ..hole };
    edit(&mut window, demo.holes.into_iter().map(|hole| Edit::AddHole(alone(hole))).collect());
    let slipped = demo.measures.into_iter().take(2).map(|measure| {
        // The first with its digits swapped: 94.18 as 49.18.
        if measure.id == Id::from("m1") { platewright_core::job::Measure { mm: 49.18, ..measure } } else { measure }
    });
    edit(&mut window, slipped.map(Edit::AddMeasure).collect());
    assert!(is_at(&window, Step::Measures), "there is something to put right");
    // Drawn: centres (36, -28) and (-24, 34) of 9.0 and 6.6 mm, 86.279 + 7.8.
    assert!(names_with_value(&window, "M1 is not what the caliper reads there: that is 94.08 mm."), "by name");
}

#[test]
fn the_guide_takes_the_place_of_no_other_job() {
    let mut window = window_on(samples::plate(), Operation::Holes);
    let before = job(&window).clone();
    window.key_press(egui::Key::G);
    window.run_steps(3);
    assert_eq!(*job(&window), before, "the job stays");
    assert!(window.query_by_label_contains("The guide begins in an empty window").is_some(), "and that is said");
}

#[test]
fn what_is_taken_back_leads_back_and_the_guide_is_left_by_its_key() {
    let mut window = window_of_size(Session::default(), [1024.0, 700.0]);
    window.key_press(egui::Key::G);
    until(&mut window, "the demo's photo", |window| is_at(window, Step::Hole));
    let demo = crate::files::read_job(&crate::files::demo_job().unwrap()).unwrap();
    edit(
        &mut window,
        demo.holes
            .into_iter()
            .take(1)
            .map(|hole| Edit::AddHole(platewright_core::job::Hole { group: None, ..hole }))
            .collect(),
    );
    assert!(is_at(&window, Step::Others), "one hole");
    window.state_mut().send(Command::Do(Action::Undo));
    window.run_steps(3);
    assert!(is_at(&window, Step::Hole), "none again");
    window.key_press(egui::Key::G);
    window.run_steps(3);
    assert!(!is_at(&window, Step::Hole), "left");
    assert!(window.state().session.document.is_some(), "and the job goes on");
}
