//! The fit sheet in a whole window: what it says of results made by hand, and what its links begin.

use crate::command::{Action, Command};
use crate::session::{Chosen, MeasureDraft, Operation, Session};
use crate::sheets::samples;
use crate::sheets::tests::{Window, click, job, names_with, window_of_size, window_on};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use platewright_core::job::{Id, MeasureKind};
use platewright_core::solution::{
    Ambiguity, Effect, Finding, FindingKind, MeasureVerdict, NextMeasure, Solution, Suspects, Weight,
};

/// As high as the whole sheet, so that nothing is scrolled out of reach.
const SIZE: [f32; 2] = [1440.0, 1500.0];

fn next(from: &str, to: &str) -> NextMeasure {
    NextMeasure {
        kind: MeasureKind::FarRims,
        between: vec![Id::from(from), Id::from(to)],
        expected_mm: 78.7,
        worst_sigma_before_mm: 0.1,
        worst_sigma_after_mm: 0.05,
    }
}

/// A window on the plate, its first hole with a fastener, that shows `solution`.
fn window_with(solution: Solution) -> Window {
    let mut session = samples::session(samples::with_fastener(samples::plate(), "M6"));
    session.screen.operation = Operation::Measures;
    session.results.instrument = session.screen.instrument.facts();
    samples::give_results(&mut session, solution);
    window_of_size(session, SIZE)
}

/// Whether the sheet says `part` somewhere.
#[track_caller]
fn check_says(window: &Window, part: &str) {
    assert!(window.query_all_by_label_contains(part).next().is_some(), "the sheet does not say: {part}");
}

fn draft(session: &Session) -> Option<&MeasureDraft> {
    session.screen.draft.as_ref()
}

#[test]
fn readings_that_cannot_be_told_apart_stand_together_with_the_measure_that_tells() {
    let suspects = Suspects { ids: vec![Id::from("m2"), Id::from("m1")], tell_apart: Some(next("h2", "h4")) };
    let mut window = window_with(Solution { suspects: vec![suspects], ..samples::disagreeing() });
    assert!(window.query_by_label("M1 and M2 explain the misfit equally well.").is_some(), "one sentence for both");
    assert!(window.query_by_label("Leave M2 out").is_some(), "each can still be left out from its row");
    click(&mut window, "Measure H2 to H4 to tell which");
    let session = &window.state().session;
    let draft = draft(session).unwrap();
    assert_eq!((draft.kind, &draft.between), (MeasureKind::FarRims, &next("h2", "h4").between), "its typing begins");
    assert!(
        window.query_by_label("Value of H2 to H4, far rims").is_some_and(|field| field.is_focused()),
        "in its field"
    );
}

#[test]
fn a_row_says_what_would_pass_unnoticed_and_off_is_by_what_the_others_say() {
    let mut solution = samples::disagreeing();
    let fit = &mut solution.measures[0];
    // The fit bends half of the way towards the reading.
    fit.by_others_mm = Some(fit.measured_mm - 0.04);
    fit.noticed_mm = Some(0.31);
    fit.noticed_effect = Some(Effect { hole: Id::from("h4"), mm: 0.12 });
    let window = window_with(solution);
    let row = window.get_by_label_contains("M1: H1 to H2");
    assert!(row.accesskit_node().label().is_some_and(|name| name.contains("off +0.04")), "all of it, not the half");
    let said = row.accesskit_node().data().description().map(str::to_owned).unwrap_or_default();
    assert!(
        said.contains("A misreading under 0.31 mm would pass unnoticed here; it could move H4 by 0.12 mm."),
        "{said}"
    );
}

#[test]
fn the_tilt_that_is_not_settled_offers_the_measure_that_settles_it() {
    let mut solution = samples::agreeing();
    let settle = Some(next("h1", "h4"));
    solution.fit.ambiguous = Some(Ambiguity { hole: Id::from("h3"), moves_mm: 0.4, settle });
    let mut window = window_with(solution);
    assert!(
        window.query_by_label("By the other one H3 lies 0.40 mm elsewhere. Measure H1 to H4 and it will be.").is_some()
    );
    click(&mut window, "Measure H1 to H4");
    assert_eq!(draft(&window.state().session).unwrap().between, next("h1", "h4").between, "its typing begins");
}

#[test]
fn the_key_types_the_measure_that_is_asked_for_in_the_sentence() {
    let suspects = Suspects { ids: vec![Id::from("m2"), Id::from("m1")], tell_apart: Some(next("h2", "h4")) };
    let measure_next = vec![next("h1", "h4")];
    let mut window = window_with(Solution { suspects: vec![suspects], measure_next, ..samples::disagreeing() });
    window.key_press(egui::Key::T);
    window.run_steps(4);
    assert_eq!(
        draft(&window.state().session).unwrap().between,
        next("h2", "h4").between,
        "what tells them apart first"
    );
}

#[test]
fn the_odds_are_said_with_what_stands_in_the_way_and_a_click_shows_it() {
    let bolt_up = Some(samples::odds(0.41));
    let mut window = window_with(Solution { bolt_up, measure_next: vec![next("h2", "h4")], ..samples::agreeing() });
    check_says(&window, "It bolts up 41 times in 100. Give or take 2 in 100.");
    assert!(
        window.query_by_label("Both measures agree. It bolts up 41 times in 100.").is_some(),
        "in the sentence too"
    );
    check_says(&window, "One more measure helps, and so does M6 coarse, 7.00 mm, at H1.");
    let row = names_with(&window, "play 0.30, in the way 100 %, most often in the way");
    assert_eq!(row.len(), 1, "{row:?}");
    click(&mut window, &row[0]);
    assert_eq!(window.state().session.screen.chosen, Some(crate::session::Chosen::Hole(Id::from("h1"))), "shown");
}

#[test]
fn without_fasteners_the_sheet_says_what_to_say() {
    let mut session = samples::session(samples::plate());
    session.screen.operation = Operation::Measures;
    let mut window = window_of_size(session, SIZE);
    check_says(&window, "Say which fasteners go through, and the odds follow.");
    click(&mut window, "Go to the holes");
    assert_eq!(window.state().session.screen.operation, Operation::Holes, "there");
}

#[test]
fn a_fastener_that_no_standard_has_is_said_at_its_hole() {
    let mut session = samples::session(samples::with_fastener(samples::plate(), "M9"));
    session.screen.operation = Operation::Measures;
    let mut window = window_of_size(session, SIZE);
    check_says(&window, "‘M9’ at H1 is no fastener that the standards hold.");
    click(&mut window, "Put it right at H1");
    let screen = &window.state().session.screen;
    assert_eq!(screen.operation, Operation::Holes, "where it is typed");
    assert!(window.query_by_label("Fastener").is_some(), "its field is there");
}

#[test]
fn the_class_of_a_hole_is_chosen_from_its_fasteners_standard() {
    let mut session = samples::session(samples::with_fastener(samples::plate(), "M6"));
    session.screen.operation = Operation::Holes;
    session.screen.chosen = Some(crate::session::Chosen::Hole(Id::from("h1")));
    let mut window = window_of_size(session, SIZE);
    window.get_by_label("Clearance class").click();
    window.run_steps(4);
    click(&mut window, "medium, 6.60 mm");
    assert_eq!(job(&window).groups[0].clearance.as_deref(), Some("medium"), "chosen");
    assert!(window.query_by_label("M6 medium is 6.60 mm by ISO 273.").is_some(), "with its source");
}

#[test]
fn the_heat_map_goes_on_with_its_key_once_the_scale_is_known() {
    let mut window = window_on(samples::plate(), Operation::Measures);
    window.key_press(egui::Key::H);
    window.run_steps(3);
    assert!(window.state().session.screen.heat_map, "on");
    click(&mut window, "Show how well every place is known");
    assert!(!window.state().session.screen.heat_map, "off by its box");
    let mut window = window_on(samples::holes_only(), Operation::Measures);
    window.key_press(egui::Key::H);
    window.run_steps(3);
    let screen = &window.state().session.screen;
    assert!(!screen.heat_map, "nothing is known in mm yet");
    assert_eq!(screen.said.as_deref(), Some("Heat map: waits for the scale."), "and it is said");
}

#[test]
fn the_plot_of_how_far_off_each_one_is_names_its_dots() {
    let mut window = window_with(samples::disagreeing());
    assert!(names_with(&window, "times what it may be off").is_empty(), "folded");
    click(&mut window, "Show how far off each one is");
    // w of 21 over 1.96.
    assert!(window.query_by_label("M2: 10.7 times what it may be off, long").is_some(), "named with its figure");
    click(&mut window, "M2: 10.7 times what it may be off, long");
    let chosen = window.state().session.screen.chosen.clone();
    assert_eq!(chosen, Some(crate::session::Chosen::Measure(Id::from("m2"))), "a click chooses it");
    click(&mut window, "Hide how far off each one is");
    assert!(!window.state().session.screen.offs_open, "folded again");
}

#[test]
fn the_measure_under_the_pointer_is_the_one_shown_on_the_photo() {
    let measure_next = vec![next("h1", "h2"), next("h2", "h4")];
    let mut window = window_with(Solution { measure_next, ..samples::agreeing() });
    let row = window.get_by_label_contains("Measure next: H2 to H4").rect().center();
    window.hover_at(row);
    window.run_steps(3);
    assert_eq!(window.state().session.screen.pointed_at, Some(next("h2", "h4")), "the second");
    window.hover_at(egui::pos2(600.0, 450.0));
    window.run_steps(3);
    assert_eq!(window.state().session.screen.pointed_at, None, "the first again");
}

#[test]
fn every_head_of_a_column_says_what_it_means() {
    let window = window_with(Solution { bolt_up: Some(samples::odds(0.97)), ..samples::agreeing() });
    for word in ["off", "checked", "allowance", "±", "play", "in the way"] {
        let heads: Vec<_> = window.get_all_by_role_and_label(egui::accesskit::Role::ColumnHeader, word).collect();
        assert!(!heads.is_empty(), "{word} is there");
        assert!(
            heads.iter().all(|head| head.accesskit_node().data().description().is_some_and(|said| said.len() > 20)),
            "{word} is explained"
        );
    }
}

#[test]
fn the_words_of_the_mathematics_never_appear() {
    let mut solution = samples::disagreeing();
    solution.measures[0].verdict = MeasureVerdict::Unchecked;
    let mut window = window_with(Solution { bolt_up: Some(samples::odds(0.4)), ..solution });
    window.state_mut().session.screen.offs_open = true;
    window.run_steps(3);
    let nodes = window.root().children_recursive();
    let words: Vec<String> = nodes
        .flat_map(|node| {
            let data = node.accesskit_node();
            [data.label(), data.data().description().map(str::to_owned)]
        })
        .flatten()
        .collect();
    assert!(words.len() > 40, "{} names and descriptions", words.len());
    for banned in ["residual", "sigma", "covariance", "redundancy", "standard deviation", "standard error"] {
        assert!(words.iter().all(|said| !said.to_lowercase().contains(banned)), "‘{banned}’ is on the sheet");
    }
}

#[test]
fn edges_that_look_broken_are_said_to_be_so_in_one_step() {
    let mut solution = samples::agreeing();
    solution.unsaid_breaks = ["h2", "h3"].map(Id::from).to_vec();
    let text = "The edges of H2 and H3 look broken: a bore is seen within each rim. Jaws touch the bores.";
    solution.findings =
        vec![Finding::new(Weight::Caution, Some(Id::from("h2")), text.to_owned()).of_kind(FindingKind::BrokenEdges)];
    let mut window = window_with(solution);
    check_says(&window, text);
    click(&mut window, "say that it is so");
    let broken: Vec<bool> = job(&window).holes.iter().map(|hole| hole.edge_break).collect();
    assert_eq!(broken, [false, true, true, false], "both, and no other");
    let undo = window.state().session.document.as_ref().unwrap().history.undo_name().map(str::to_owned);
    assert_eq!(undo.as_deref(), Some("say that edges are broken"), "one step");
}

#[test]
fn a_click_on_measure_again_puts_the_keyboard_into_its_field() {
    let mut window = window_with(samples::disagreeing());
    let at = window.get_by_label("Measure M2 again").rect().center();
    // By the pointer: a field gives the keyboard up to a click beside it, which a click by name is not.
    window.hover_at(at);
    window.step();
    window.drag_at(at);
    window.step();
    window.drop_at(at);
    window.run_steps(4);
    let field = window.query_by_label("Value of M2");
    assert!(field.is_some_and(|field| field.is_focused()), "what is typed goes to its field");
}

#[test]
fn next_trouble_goes_to_each_hole_that_one_finding_is_about() {
    let mut solution = samples::disagreeing();
    let text = "H1, H2, H3 and 1 more stand on their picks alone.".to_owned();
    let finding = Finding::new(Weight::Caution, Some(Id::from("h1")), text);
    solution.findings = vec![Finding { others: ["h2", "h3", "h4"].map(Id::from).to_vec(), ..finding }];
    let mut window = window_with(solution);
    let mut gone_to = Vec::new();
    for _ in 0..6 {
        window.state_mut().send(Command::Do(Action::NextTrouble));
        window.run_steps(2);
        let chosen = window.state().session.screen.chosen.clone();
        gone_to.extend(chosen.as_ref().and_then(Chosen::whole).map(ToString::to_string));
    }
    assert_eq!(gone_to, ["m2", "h1", "h2", "h3", "h4", "m2"], "the measure first, then every hole, then again");
}
