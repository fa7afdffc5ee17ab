//! What the person says in fields: beliefs, groups, statements, instruments.

use super::*;
use crate::session::Instrument;

/// Types `text` into the field called `name` in place of what stands there, and leaves it with Enter.
pub(super) fn type_into(window: &mut Window, name: &str, text: &str) {
    use egui::accesskit::Role;
    window.get_by_role_and_label(Role::TextInput, name).focus();
    window.run_steps(2);
    window.key_combination_modifiers(egui::Modifiers::COMMAND, &[egui::Key::A]);
    window.key_press(egui::Key::Backspace);
    window.get_by_role_and_label(Role::TextInput, name).type_text(text);
    window.run_steps(2);
    window.key_press(egui::Key::Enter);
    window.run_steps(4);
}

/// Somewhere in the window it says `part`.
pub(super) fn says(window: &Window, part: &str) -> bool {
    window.query_all_by_label_contains(part).next().is_some()
}

/// What stands in the field called `name`.
fn stands_in(window: &Window, name: &str) -> String {
    let field = window.get_by_role_and_label(egui::accesskit::Role::TextInput, name);
    field.accesskit_node().value().unwrap_or_default()
}

#[test]
fn a_belief_about_the_lens_is_changed_and_put_back() {
    let mut window = window_on(samples::plate(), Operation::Photo);
    click(&mut window, "Lens, as usual: show it");
    assert!(says(&window, "found \u{2212}") || says(&window, "found 0."), "beside what the fit made of it");
    type_into(&mut window, "k1, bend", "-0.08");
    let said = job(&window).photo.lens.k1.expect("it is the person's now");
    assert!((said.value + 0.08).abs() < 1e-12 && (said.sigma - 0.05).abs() < 1e-12, "with the usual ±: {said:?}");
    type_into(&mut window, "k1, give or take", "±0.01");
    let said = job(&window).photo.lens.k1.unwrap();
    assert!((said.value + 0.08).abs() < 1e-12 && (said.sigma - 0.01).abs() < 1e-12, "its ± too: {said:?}");
    let found = window.state().session.results.solution.camera.unwrap().k1;
    assert!(found.1 <= 0.01 + 1e-9, "the fit holds to it: {found:?}");
    click(&mut window, "k1 as usual");
    assert_eq!(job(&window).photo.lens.k1, None, "put back");
    click(&mut window, "Undo");
    assert!(job(&window).photo.lens.k1.is_some(), "and that can be taken back");
    type_into(&mut window, "k1, bend", "");
    assert_eq!(job(&window).photo.lens.k1, None, "an emptied field goes back to the usual too");
}

#[test]
fn what_is_no_figure_is_said_beside_its_field_and_stays_in_it() {
    let mut window = window_on(samples::plate(), Operation::Photo);
    click(&mut window, "Lens, as usual: show it");
    type_into(&mut window, "k2, bend at the edge", "a bit");
    assert_eq!(job(&window).photo.lens.k2, None, "nothing is taken");
    assert!(says(&window, "‘a bit’ is no figure."), "said");
    assert_eq!(stands_in(&window, "k2, bend at the edge"), "a bit", "and still there to be put right");
    let field = window.get_by_role_and_label(egui::accesskit::Role::TextInput, "k2, bend at the edge");
    assert!(field.is_focused(), "where the keyboard stays: a digit typed now is no command");
    type_into(&mut window, "k2, give or take", "0");
    assert!(window.query_by_label("It has to be more than 0.").is_some(), "a ± of nothing is none");
    type_into(&mut window, "k2, bend at the edge", "0.01");
    assert!(!says(&window, "is no figure"), "put right, it is no longer said");
    assert!(job(&window).photo.lens.k2.is_some(), "and taken");
    window.get_by_role_and_label(egui::accesskit::Role::TextInput, "k2, give or take").focus();
    window.run_steps(2);
    window.key_press(egui::Key::Escape);
    window.run_steps(4);
    assert_eq!(stands_in(&window, "k2, give or take"), "0.02", "Esc leaves what was there");
    assert!(window.query_by_label("It has to be more than 0.").is_none(), "and the sentence goes");
}

#[test]
fn esc_leaves_the_field_and_steps_out_of_nothing_else() {
    let mut window = window_on(samples::plate(), Operation::Holes);
    window.state_mut().session.screen.chosen = Some(Chosen::Hole(Id::from("h2")));
    window.run_steps(3);
    let field = |window: &Window| {
        window.get_by_role_and_label(egui::accesskit::Role::TextInput, "Name of the hole").rect().center()
    };
    window.get_by_role_and_label(egui::accesskit::Role::TextInput, "Name of the hole").focus();
    window.run_steps(2);
    window.get_by_role_and_label(egui::accesskit::Role::TextInput, "Name of the hole").type_text("x");
    window.run_steps(2);
    let before = field(&window);
    window.key_press(egui::Key::Escape);
    window.run_steps(4);
    assert_eq!(job(&window).holes[1].name, "H2", "the name is as it was");
    assert_eq!(window.state().session.screen.chosen, Some(Chosen::Hole(Id::from("h2"))), "the hole stays chosen");
    assert_eq!(field(&window), before, "and its field is there");
    window.key_press(egui::Key::Escape);
    window.run_steps(4);
    assert_eq!(window.state().session.screen.chosen, None, "the next one steps out");
}

#[test]
fn the_focal_length_says_where_it_comes_from_and_goes_back() {
    let mut window = window_on(samples::plate(), Operation::Photo);
    assert!(window.query_by_label("from the photo, ±4 %").is_some(), "what the photo says");
    type_into(&mut window, "Focal length, give or take, in px", "5");
    let said = job(&window).photo.focal_px.expect("it is the person's now");
    assert!((said.value - 420.0).abs() < 1e-9 && (said.sigma - 5.0).abs() < 1e-9, "the photo's value: {said:?}");
    assert!(window.query_by_label("yours").is_some(), "and said so");
    click(&mut window, "As the photo says, focal length");
    assert_eq!(job(&window).photo.focal_px, None, "back to the photo");
    type_into(&mut window, "Focal length in px", "-12");
    assert!(window.query_by_label("It has to be more than 0.").is_some(), "no such lens");
    assert_eq!(job(&window).photo.focal_px, None, "and not taken");
}

#[test]
fn holes_of_a_group_are_said_to_be_of_one_size() {
    let mut window = window_on(samples::plate(), Operation::Holes);
    window.state_mut().session.screen.chosen = Some(Chosen::Hole(Id::from("h1")));
    window.run_steps(3);
    assert!(window.query_by_label("All of one size").is_none(), "one hole alone has no company");
    click(&mut window, "Group with 3 holes like it: H2, H3, H4");
    assert!(job(&window).holes.iter().all(|hole| hole.group.is_some()), "all four");
    click(&mut window, "All of one size");
    let sigma = |window: &Window| job(window).groups[0].same_size_sigma_mm;
    assert_eq!(sigma(&window), Some(platewright_core::job::SAME_SIZE_SIGMA_MM), "the usual ±");
    type_into(&mut window, "Diameters of the group differ by", "0.1");
    assert_eq!(sigma(&window), Some(0.1), "as typed");
    let sizes: Vec<f64> = window.state().session.results.solution.holes.iter().map(|h| h.bore_diameter_mm).collect();
    let spread = sizes.iter().copied().fold(0.0, f64::max) - sizes.iter().copied().fold(f64::MAX, f64::min);
    assert!(spread < 0.4, "the fit holds to it: {sizes:?}");
    click(&mut window, "All of one size");
    assert_eq!(sigma(&window), None, "nothing is said of it any more");
}

#[test]
fn what_is_said_of_the_shape_has_a_row_with_its_figure_and_its_ways_out() {
    use platewright_core::job::{Statement, StatementKind, StraightEdge};
    let edge = |name: &str, along: [(f64, f64); 2]| StraightEdge {
        id: Id(name.to_lowercase()),
        name: name.to_owned(),
        along: along.map(|(x, y)| platewright_core::space::PhotoPoint::new(x, y)).to_vec(),
        sigma_px: None,
        measure_edge: true,
    };
    let between = vec![Id::from("e1"), Id::from("e2")];
    let said = Statement { id: Id::from("s1"), kind: StatementKind::Square, between, sigma_mm: 0.1, in_use: true };
    let edges = vec![edge("E1", [(30.0, 30.0), (370.0, 30.0)]), edge("E2", [(370.0, 40.0), (370.0, 270.0)])];
    let mut window = window_on(Job { edges, statements: vec![said], ..samples::plate() }, Operation::Measures);
    let row = names_with(&window, "S1: square corner, E1, E2, ±0.10 mm");
    assert_eq!(row.len(), 1, "{:?}", names_with(&window, "S1"));
    click(&mut window, &row[0]);
    type_into(&mut window, "S1 may be off by", "0.3");
    assert!((job(&window).statements[0].sigma_mm - 0.3).abs() < 1e-12, "changed");
    type_into(&mut window, "S1 may be off by", "wide");
    assert!(says(&window, "neither a figure nor a unit"), "said beside it");
    click(&mut window, "Leave out S1");
    assert!(!job(&window).statements[0].in_use, "left out and kept");
    click(&mut window, "Count S1 again");
    assert!(job(&window).statements[0].in_use, "counted again");
    click(&mut window, "Remove S1");
    assert!(job(&window).statements.is_empty(), "removed");
}

#[test]
fn ones_own_instrument_says_how_well_it_reads_and_what_it_reaches() {
    let mut window = window_on(samples::holes_only(), Operation::Measures);
    window.state_mut().session.screen.instrument = Instrument::Own { sigma_mm: 0.1, reach_mm: 150.0 };
    window.run_steps(3);
    type_into(&mut window, "The instrument is good to", "0.02");
    type_into(&mut window, "The instrument reaches", "8 in");
    let facts = window.state().session.results.instrument;
    assert!((facts.sigma_mm - 0.02).abs() < 1e-12 && (facts.reach_mm - 203.2).abs() < 1e-9, "{facts:?}");
    type_into(&mut window, "The instrument is good to", "0");
    assert!(window.query_by_label("It has to be more than 0.").is_some(), "no instrument reads that well");
    let facts = window.state().session.results.instrument;
    assert!((facts.sigma_mm - 0.02).abs() < 1e-12, "and nothing changed: {facts:?}");
}

#[test]
fn a_reading_off_a_tape_in_inches_is_shown_as_its_fraction() {
    let mut window = window_on(samples::holes_only(), Operation::Measures);
    window.state_mut().session.screen.inches = true;
    window.state_mut().session.screen.instrument = Instrument::Tape;
    begin_measure(&mut window, "h1", "h2");
    window.get_by_label("Value of H1 to H2, far rims").type_text("2 3/4");
    window.run_steps(2);
    window.key_press(egui::Key::Enter);
    window.run_steps(4);
    assert!(window.query_by_label("M1, 2 3/4").is_some(), "on the photo: {:?}", names_with(&window, "M1"));
}

#[test]
fn what_the_part_is_to_hold_back_changes_what_is_to_be_borne_in_mind() {
    use platewright_core::job::Duty;
    let mut window = window_on(samples::plate_with_outline(true), Operation::Cut);
    assert!(says(&window, "If it holds pressure, vacuum, fuel or heat"), "nothing is said yet");
    click(&mut window, "Stands heat");
    click(&mut window, "Holds pressure");
    assert_eq!(job(&window).duties, [Duty::Pressure, Duty::Heat], "in the order of the card");
    assert!(says(&window, "It holds pressure: a cover that gives way is thrown."), "what that asks for");
    click(&mut window, "Holds pressure");
    assert_eq!(job(&window).duties, [Duty::Heat], "taken back");
    assert!(!says(&window, "It holds pressure:"), "and no longer said");
}

#[test]
fn a_hole_is_tapped_and_what_was_measured_stands_beside_the_drill() {
    let mut window = window_on(samples::with_fastener(samples::plate(), "M6"), Operation::Holes);
    window.state_mut().session.screen.chosen = Some(Chosen::Hole(Id::from("h1")));
    window.run_steps(3);
    // The holes of the plate are 40 px wide at 4 px to the mm.
    assert!(says(&window, "Measured 10.0") || says(&window, "Measured 9.9"), "what was measured");
    assert!(!says(&window, "It is cut to"), "it is cut as measured");
    click(&mut window, "Tapped for it");
    assert!(job(&window).groups[0].tapped, "said of the group");
    assert!(says(&window, "Drill 5.00 mm for M6 by ISO 2306."), "the drill");
    assert!(says(&window, "It is cut to 5.00 mm, "), "and how far that is from what was measured");
    click(&mut window, "Tapped for it");
    assert!(!job(&window).groups[0].tapped, "taken back");
}
