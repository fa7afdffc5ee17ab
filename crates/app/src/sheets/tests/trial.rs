//! After the trial: what is entered hole by hole, and what explains it.

use super::*;
use crate::exports::PaperPrinter;
use platewright_core::job::{Group, Measure, Outcome, TriedOn};
use platewright_core::space::PlatePoint;

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
    assert!(
        window.query_by_label_contains("The plate would not go on at H2.").is_some(),
        "and the sheet begins with it"
    );
    let sheet = window.get_by_label("H2: not tried").rect();
    assert!(sheet.right() < 1024.0 && sheet.left() > 700.0, "within the sheet: {sheet:?}");
}

fn places(window: &Window, round: u32) -> Vec<Option<PlatePoint>> {
    job(window).trials.iter().filter(|trial| trial.round == round).map(|trial| trial.at_mm).collect()
}

/// The second plate was made of what the first showed: it has its holes elsewhere, and both trials stay.
#[test]
fn a_second_plate_is_a_trial_of_its_own_with_places_of_its_own() {
    let mut window = window();
    for hole in ["H1", "H2", "H4"] {
        click(&mut window, &format!("{hole}: went on"));
    }
    click(&mut window, "H3: touched");
    click(&mut window, "Side that touches at H3");
    click(&mut window, "left side");
    type_into(&mut window, "How far the plate has to go at H3", "1.5");
    let (first, before) = (places(&window, 1), job(&window).clone());
    let has = |window: &Window| -> Vec<Option<PlatePoint>> {
        window.state().session.results.solution.holes.iter().map(|fit| Some(fit.centre)).collect()
    };
    let drawn = has(&window);
    click(&mut window, "Try it on again");
    assert_eq!(places(&window, 2), drawn, "where the results with the first trial have them");
    let moved = |a: Option<PlatePoint>, b: Option<PlatePoint>| a.zip(b).map_or(0.0, |(a, b)| a.distance(b));
    let h3 =
        |round: u32| job(&window).trials.iter().find(|t| t.hole == Id::from("h3") && t.round == round).unwrap().at_mm;
    assert!(moved(h3(1), h3(2)) > 0.05, "the first trial moved H3: {:?} and {:?}", h3(1), h3(2));
    assert_eq!(places(&window, 1), first, "the first stays as it was");
    assert!(window.query_by_label("Stud of H3: not tried").is_some(), "nothing is said of the second yet");
    assert!(window.query_by_label("Try it on again").is_none(), "nor is there a third");
    click(&mut window, "H3: went on");
    assert_eq!(places(&window, 2), drawn, "its places are its own");
    assert_eq!(job(&window).trials.len(), 8, "both are there");
    click(&mut window, "Undo");
    click(&mut window, "Undo");
    assert_eq!(*job(&window), before, "begun in one step");
    click(&mut window, "Redo");
    click(&mut window, "Take the trial out");
    assert!(job(&window).trials.is_empty(), "both are taken out");
}

fn of_number(number: u32, reads_mm: [Option<f64>; 2]) -> PaperPrinter {
    PaperPrinter { number, reads_mm, bars_mm: [80.0, 100.0], ..PaperPrinter::default() }
}

fn bars(window: &Window) -> [Option<[f64; 2]>; 2] {
    job(window).tried.unwrap_or_default().bars()
}

/// Bars are usually read before anything is tried on.
#[test]
fn bars_that_were_read_before_the_trial_reach_it() {
    let mut window = window();
    window.state_mut().session.settings.proof.printer = of_number(4, [Some(79.6), None]);
    window.run_steps(3);
    click(&mut window, "H1: went on");
    assert_eq!(bars(&window), [Some([80.0, 79.6]), None], "with the first word");
    assert_eq!(job(&window).tried.and_then(|tried| tried.print), Some(4), "and which print it was");
    type_into(&mut window, "Bar up reads", "99.8");
    assert_eq!(bars(&window), [Some([80.0, 79.6]), Some([100.0, 99.8])], "and what is read of it later");
    let had = places(&window, 1);
    window.state_mut().session.settings.proof.printer = of_number(5, [None; 2]);
    window.run_steps(4);
    type_into(&mut window, "Bar up reads", "100.3");
    assert_eq!(bars(&window), [Some([80.0, 79.6]), Some([100.0, 99.8])], "the next print was not tried");
    assert!(window.query_by_label_contains("A proof was written since.").is_some(), "it is said");
    click(&mut window, "Try it on again");
    assert_eq!(bars(&window), [None, Some([100.0, 100.3])], "now it is");
    for (before, after) in had.into_iter().zip(places(&window, 1)) {
        let (before, after) = before.zip(after).unwrap();
        let large = PlatePoint::new(before.x * 79.6 / 80.0, before.y * 99.8 / 100.0);
        assert!(large.distance(after) < 1e-9, "the first is as large as its own bars say: {after:?}");
    }
}

#[test]
fn a_plate_that_is_no_paper_has_no_bars() {
    for on in ["printed plate", "cut plate"] {
        let mut window = window();
        window.state_mut().session.settings.proof.printer = of_number(1, [Some(79.6), Some(99.5)]);
        window.run_steps(3);
        click(&mut window, "H1: went on");
        assert_ne!(bars(&window), [None; 2], "paper has");
        click(&mut window, &format!("Tried on: {on}"));
        assert_eq!(bars(&window), [None; 2], "{on}");
        click(&mut window, "Tried on: paper");
        assert_eq!(bars(&window), [Some([80.0, 79.6]), Some([100.0, 99.5])], "as they are read");
    }
}

/// A mirrored proof is looked at from the other side: what touches there at the upper side of a hole is the lower one here.
#[test]
fn sides_are_those_of_a_mirrored_proof() {
    let mut mirrored = tried_on();
    mirrored.design.mirrored = true;
    let mut window = window_on(mirrored, Operation::Proof);
    for hole in ["H1", "H2", "H4"] {
        click(&mut window, &format!("{hole}: went on"));
    }
    click(&mut window, "H3: touched");
    click(&mut window, "Side that touches at H3");
    click(&mut window, "upper side");
    type_into(&mut window, "How far the plate has to go at H3", "1.5");
    assert_eq!(said(&window, "h3"), (Outcome::Touched, Some(-90.0), Some(1.5)), "kept as seen in the photo");
    assert!(window.query_by_label_contains("Stud of H3: touches at the upper side of the hole").is_some(), "the dial");
    assert!(window.query_by_label_contains("its stud touches on the proof, which is mirrored").is_some(), "said");
    let told = window.query_by_label_contains("too far down on the proof, which is mirrored. Look at the rim of H3");
    assert!(told.is_some(), "{:?}", window.state().session.results.solution.trial);
    type_into(&mut window, "Angle of the side that touches at H3, from x towards y", "30");
    assert_eq!(said(&window, "h3").1, Some(-30.0), "typed as seen as well");
}
