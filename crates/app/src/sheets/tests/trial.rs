//! After the trial: what is entered hole by hole, and what explains it.

use super::*;
use platewright_core::job::{Group, Measure, Outcome, TriedOn};

/// Four holes with M6 through all but one, six measures that check each other.
fn tried_on() -> Job {
    let mut job = samples::plate();
    let more = [("h2", "h4", 78.71), ("h3", "h4", 65.01), ("h1", "h4", 48.83), ("h2", "h3", 48.83)];
    for (number, (from, to, mm)) in more.into_iter().enumerate() {
        let between = vec![Id::from(from), Id::from(to)];
        job.measures.push(Measure { id: Id(format!("m{}", number + 3)), between, mm, ..job.measures[0].clone() });
    }
    let group = Group { fastener: Some("M6".to_owned()), finished_mm: Some(6.6), ..Group::new(Id::from("studs")) };
    for hole in &mut job.holes {
        (hole.sigma_px, hole.group) = (Some(0.2), Some(group.id.clone()));
    }
    job.groups.push(group);
    job
}

fn window() -> Window {
    window_on(tried_on(), Operation::Proof)
}

/// What is said at a hole, and how many trials there are.
fn said(window: &Window, hole: &str) -> (Outcome, Option<f64>, Option<f64>) {
    let trial = job(window).trials.iter().find(|trial| trial.hole == Id::from(hole)).unwrap();
    (trial.outcome, trial.towards_deg, trial.mm)
}

fn type_into(window: &mut Window, label: &str, text: &str) {
    window.get_by_label(label).focus();
    window.run_steps(2);
    window.get_by_label(label).type_text(text);
    window.run_steps(2);
    window.key_press(egui::Key::Enter);
    window.run_steps(4);
}

#[test]
fn a_trial_is_entered_and_what_explains_it_is_said() {
    let mut window = window();
    for hole in ["H1", "H2", "H4"] {
        click(&mut window, &format!("{hole}: went on"));
    }
    assert!(window.query_by_label_contains("It went on wherever it was tried.").is_some(), "nothing is off so far");
    click(&mut window, "H3: touched");
    assert!(window.query_by_label_contains("Say which side touches at H3").is_some(), "asked for");
    click(&mut window, "Side that touches at H3");
    click(&mut window, "left side");
    type_into(&mut window, "How far the plate has to go at H3", "1.5");
    assert_eq!(said(&window, "h3"), (Outcome::Touched, Some(180.0), Some(1.5)), "as it was said");
    assert_eq!(said(&window, "h1"), (Outcome::WentOn, None, None), "and the others");
    assert!(job(&window).trials.iter().all(|trial| trial.at_mm.is_some()), "it is remembered where the plate had them");
    assert!(window.query_by_label_contains("Stud of H3: touches at the left side of the hole").is_some(), "the dial");
    let told = window.query_by_label_contains("H3 sits 1.50 mm too far right. Look at the rim of H3");
    assert!(told.is_some(), "it sits the other way: {:?}", window.state().session.results.solution.trial);
    click(&mut window, "Show H3");
    assert_eq!(window.state().session.screen.chosen, Some(Chosen::Hole(Id::from("h3"))), "shown");
}

#[test]
fn the_places_of_the_plate_that_was_tried_are_those_of_the_first_word() {
    let mut window = window();
    click(&mut window, "H1: went on");
    assert_eq!(job(&window).trials.len(), 4, "all holes are remembered with the first word");
    let had: Vec<_> = job(&window).trials.iter().map(|trial| (trial.hole.clone(), trial.at_mm)).collect();
    click(&mut window, "H2: went on");
    click(&mut window, "H3: touched");
    type_into(&mut window, "Angle of the side that touches at H3, from x towards y", "270");
    type_into(&mut window, "How far the plate has to go at H3", "2");
    assert_eq!(said(&window, "h3"), (Outcome::Touched, Some(-90.0), Some(2.0)), "by its angle");
    assert!(window.query_by_label_contains("touches at the lower side of the hole").is_some(), "the dial");
    let has: Vec<_> = job(&window).trials.iter().map(|trial| (trial.hole.clone(), trial.at_mm)).collect();
    assert_eq!(has, had, "the trial itself does not shift them");
    click(&mut window, "H3: went on");
    assert_eq!(said(&window, "h3"), (Outcome::WentOn, None, None), "a side means nothing there");
}

#[test]
fn a_trial_is_taken_out_as_one_step_that_undo_brings_back() {
    let mut window = window();
    click(&mut window, "Tried on: printed plate");
    click(&mut window, "H1: will not go");
    let before = job(&window).clone();
    assert_eq!(before.tried.map(|tried| tried.on), Some(TriedOn::PrintedPlate), "what was tried on");
    click(&mut window, "Take the trial out");
    assert!(job(&window).trials.is_empty() && job(&window).tried.is_none(), "all of it");
    click(&mut window, "Undo");
    assert_eq!(*job(&window), before, "brought back");
}

#[test]
fn what_the_trial_waits_for_is_said() {
    let window = window_on(samples::plate(), Operation::Proof);
    assert!(window.query_by_label("Say at the holes which fasteners go through: those are tried on.").is_some());
    let mut job = tried_on();
    job.measures.clear();
    let window = window_on(job, Operation::Proof);
    let words = "Once the size is known, print the proof, try it on, and say here what happened.";
    assert!(window.query_by_label(words).is_some(), "no measure, no proof");
    let mut job = tried_on();
    job.holes[3].group = None;
    let window = window_on(job, Operation::Proof);
    assert!(window.query_by_label("H4 has no stud.").is_some(), "one without a fastener");
}

#[test]
fn a_trial_is_entered_in_a_narrow_window_as_well() {
    let mut session = samples::session(tried_on());
    session.screen.operation = Operation::Proof;
    let mut window = window_of_size(session, [1024.0, 1400.0]);
    click(&mut window, "H2: will not go");
    assert_eq!(said(&window, "h2"), (Outcome::WouldNotGo, None, None), "said");
    let sheet = window.get_by_label("H2: not tried").rect();
    assert!(sheet.right() < 1024.0 && sheet.left() > 700.0, "within the sheet: {sheet:?}");
}
