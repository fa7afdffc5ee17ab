//! The panels in a whole window, driven by what a screen reader and a keyboard see.

use super::samples;
use crate::command::Command;
use crate::session::{Asking, Chosen, MeasureDraft, Operation, Session};
use crate::theme::Theme;
use crate::window::Workbench;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use egui_kittest::{Harness, HarnessBuilder};
use platewright_core::job::{Edit, Id, Job, MeasureKind};
use platewright_core::solution::MeasureVerdict;

type Window = Harness<'static, Workbench>;

fn window_of_size(session: Session, size: [f32; 2]) -> Window {
    let builder = HarnessBuilder::default().with_size(size).with_pixels_per_point(1.0).with_max_steps(64);
    let mut window = builder.build_eframe(|cc| Workbench::new(&cc.egui_ctx, session, None));
    window.run_steps(3);
    window
}

fn window_on(job: Job, operation: Operation) -> Window {
    let mut session = samples::session(job);
    session.screen.operation = operation;
    window_of_size(session, [1440.0, 900.0])
}

fn job(window: &Window) -> &Job {
    window.state().session.document.as_ref().unwrap().job()
}

fn click(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    window.run_steps(3);
}

/// Every accessible name in the window that holds `part`.
fn names_with(window: &Window, part: &str) -> Vec<String> {
    let nodes = window.query_all_by_label_contains(part);
    nodes.filter_map(|node| node.accesskit_node().label()).collect()
}

fn begin_measure(window: &mut Window, from: &str, to: &str) {
    let between = vec![Id::from(from), Id::from(to)];
    let draft = MeasureDraft { between, focus: true, ..MeasureDraft::new(MeasureKind::FarRims) };
    window.state_mut().session.screen.draft = Some(draft);
    window.run_steps(3);
}

#[test]
fn a_measure_is_typed_in_inches_and_their_fractions_and_taken_with_enter() {
    let mut window = window_on(samples::holes_only(), Operation::Measures);
    begin_measure(&mut window, "h1", "h2");
    window.get_by_label("Value of H1 to H2, far rims").type_text("2 3/4 in");
    window.run_steps(2);
    window.key_press(egui::Key::Enter);
    window.run_steps(4);
    let measures = &job(&window).measures;
    assert_eq!(measures.len(), 1, "one measure");
    // 2.75 in times 25.4 mm exactly (international inch, 1959).
    assert!((measures[0].mm - 69.85).abs() < 1e-9, "{} mm", measures[0].mm);
    assert!((measures[0].sigma_mm - 0.05).abs() < 1e-12, "the caliper's own ±");
    assert!(window.state().session.screen.draft.is_none(), "the field is gone");
}

#[test]
fn the_enter_that_ends_typing_does_not_press_the_main_button() {
    let mut window = window_on(samples::plate_with_outline(true), Operation::Cut);
    let checks = &window.state().session.results.checks;
    assert!(platewright_core::check::may_cut(checks), "the main button is ready: {checks:?}");
    window.get_by_label("Thickness of the sheet").focus();
    window.run_steps(2);
    window.get_by_label("Thickness of the sheet").type_text("5");
    window.run_steps(2);
    window.key_press(egui::Key::Enter);
    window.run_steps(4);
    let thickness = job(&window).stock.and_then(|stock| stock.thickness_mm);
    assert_eq!(thickness, Some(5.0), "the sheet's thickness is taken");
    assert_eq!(window.state().session.screen.asking, None, "and nothing is asked");
}

#[test]
fn what_is_taken_back_needs_no_saving() {
    use crate::command::{Action, Command};
    let mut window = window_on(samples::plate(), Operation::Measures);
    let edit = Command::Edit("name it".to_owned(), vec![Edit::Title("Lid".to_owned())]);
    window.state_mut().send(edit);
    window.run_steps(3);
    assert!(window.state().session.document.as_ref().unwrap().would_lose_work(), "a change is to be saved");
    window.state_mut().send(Command::Do(Action::Undo));
    window.run_steps(3);
    assert!(!window.state().session.document.as_ref().unwrap().would_lose_work(), "taken back, it is not");
}

#[test]
fn save_as_is_not_taken_for_save_and_its_field_has_the_keyboard_each_time() {
    let mut window = window_on(samples::plate(), Operation::Measures);
    // Saving there fails, so that a Save would be seen, and leaves nothing behind.
    let nowhere = std::path::PathBuf::from("/no-such-folder/plate.plate.json");
    window.state_mut().session.document.as_mut().unwrap().path = Some(nowhere);
    for _ in 0..2 {
        window.key_press_modifiers(egui::Modifiers::COMMAND | egui::Modifiers::SHIFT, egui::Key::S);
        window.run_steps(4);
        assert_eq!(window.state().session.screen.asking, Some(Asking::WhereToSave), "it asks where to");
        assert!(
            window.get_by_role_and_label(egui::accesskit::Role::TextInput, "Path of the job").is_focused(),
            "the field takes the keyboard"
        );
        window.key_press(egui::Key::Escape);
        window.run_steps(4);
        assert_eq!(window.state().session.screen.asking, None, "Esc stays here");
    }
}

#[test]
fn what_is_no_length_is_said_and_nothing_is_taken() {
    let mut window = window_on(samples::holes_only(), Operation::Measures);
    begin_measure(&mut window, "h1", "h2");
    window.get_by_label("Value of H1 to H2, far rims").type_text("seventy");
    window.run_steps(2);
    window.key_press(egui::Key::Enter);
    window.run_steps(4);
    assert!(job(&window).measures.is_empty(), "nothing taken");
    let draft = window.state().session.screen.draft.as_ref().unwrap();
    let problem = draft.problem.clone().unwrap();
    assert!(window.query_by_label(&problem).is_some(), "said on the sheet: {problem}");
    window.key_press(egui::Key::Escape);
    window.run_steps(4);
    assert!(window.state().session.screen.draft.is_none(), "Esc leaves it");
}

#[test]
fn a_measure_is_left_out_from_its_row_and_undo_brings_it_back() {
    let mut window = window_on(samples::plate(), Operation::Measures);
    window.state_mut().session.screen.chosen = Some(Chosen::Measure(Id::from("m2")));
    window.run_steps(3);
    click(&mut window, "Leave out M2");
    assert!(!job(&window).measures[1].in_use, "left out");
    assert_eq!(job(&window).measures.len(), 2, "and kept");
    assert!(window.query_by_label("Count M2 again").is_some(), "with its way back");
    click(&mut window, "Undo");
    assert!(job(&window).measures[1].in_use, "taken back");
    click(&mut window, "Redo");
    click(&mut window, "Count M2 again");
    assert!(job(&window).measures[1].in_use, "counted again");
}

#[test]
fn a_measure_is_typed_anew_in_its_row() {
    let mut window = window_on(samples::plate(), Operation::Measures);
    window.state_mut().session.screen.chosen = Some(Chosen::Measure(Id::from("m1")));
    window.run_steps(3);
    window.get_by_label("Value of M1").focus();
    window.run_steps(2);
    window.key_combination_modifiers(egui::Modifiers::COMMAND, &[egui::Key::A]);
    window.get_by_label("Value of M1").type_text("70.2");
    window.run_steps(2);
    window.key_press(egui::Key::Enter);
    window.run_steps(4);
    assert!((job(&window).measures[0].mm - 70.2).abs() < 1e-9, "{} mm", job(&window).measures[0].mm);
}

#[test]
fn while_the_scale_is_not_known_no_place_is_shown_as_a_figure() {
    let mut window = window_on(samples::holes_only(), Operation::Measures);
    assert!(!window.state().session.results.solution.fit.scale_known(), "no measure, no scale");
    assert!(window.query_by_label("The size is not known yet.").is_some(), "said plainly");
    assert_eq!(names_with(&window, "not known yet").iter().filter(|name| name.starts_with('H')).count(), 4, "holes");
    assert!(names_with(&window, "X ").iter().all(|name| !name.starts_with('H')), "no coordinate");
    let mut session = samples::session(samples::plate());
    session.screen.operation = Operation::Measures;
    window = window_of_size(session, [1440.0, 900.0]);
    assert!(window.state().session.results.solution.fit.scale_known(), "two measures");
    assert!(!names_with(&window, "H2: X 60.0").is_empty(), "{:?}", names_with(&window, "H2: "));
}

#[test]
fn a_misread_measure_is_named_with_its_ways_out() {
    let mut plate = samples::plate();
    for (number, (from, to, mm)) in
        [("h2", "h4", 78.71), ("h3", "h4", 65.01), ("h1", "h4", 48.83), ("h2", "h3", 48.83)].iter().enumerate()
    {
        let id = Id(format!("m{}", number + 3));
        let between = vec![Id::from(*from), Id::from(*to)];
        plate.measures.push(platewright_core::job::Measure { id, between, mm: *mm, ..plate.measures[0].clone() });
    }
    plate.measures[2].mm += 1.0;
    let mut window = window_on(plate, Operation::Measures);
    let worst = window.state().session.results.solution.measures[2].verdict;
    assert_eq!(worst, MeasureVerdict::Disagrees, "a millimetre too much");
    assert!(window.query_by_label("M3 does not agree with the rest.").is_some(), "named");
    click(&mut window, "Leave M3 out");
    assert!(!job(&window).measures[2].in_use, "left out");
    assert!(window.query_by_label("M3 does not agree with the rest.").is_none(), "and no longer said");
}

#[test]
fn the_theme_changes_with_its_button() {
    let mut window = window_on(samples::plate(), Operation::Photo);
    assert_eq!(window.state().session.settings.theme, Theme::Paper, "paper first");
    window.state_mut().session.settings.theme = Theme::NightShift;
    window.run_steps(3);
    assert!(window.ctx.global_style().visuals.dark_mode, "night shift is dark");
}

#[test]
fn the_part_is_named_on_the_card() {
    let mut window = window_on(samples::plate(), Operation::Photo);
    window.get_by_label("Name of the part").focus();
    window.run_steps(2);
    window.key_combination_modifiers(egui::Modifiers::COMMAND, &[egui::Key::A]);
    window.get_by_label("Name of the part").type_text("Vat lid");
    window.run_steps(2);
    window.key_press(egui::Key::Enter);
    window.run_steps(4);
    assert_eq!(job(&window).title, "Vat lid", "named");
    assert!(window.query_by_label("Part: Vat lid *").is_some(), "in the title block, marked as changed");
}

#[test]
fn every_operation_opens_from_the_card_in_every_size_of_window() {
    for size in [[1440.0, 900.0], [1024.0, 700.0], [720.0, 450.0], [2560.0, 1440.0]] {
        let mut window = window_of_size(samples::session(samples::plate_with_outline(false)), size);
        for operation in Operation::ALL {
            let label = format!("{} {}:", operation.number(), operation.name());
            window.query_all_by_label_contains(&label).next().unwrap().click();
            window.run_steps(3);
            assert_eq!(window.state().session.screen.operation, operation, "{label} at {size:?}");
        }
    }
}

#[test]
fn an_empty_window_offers_the_demo_and_a_path() {
    let mut window = window_of_size(Session::default(), [1440.0, 900.0]);
    assert!(window.query_by_label("Try the demo job").is_some(), "the demo");
    assert!(window.query_by_label("Open a photo").is_some(), "the main button");
    window.get_by_label("Where a photo or a job is").focus();
    window.run_steps(2);
    window.get_by_label("Where a photo or a job is").type_text("/nowhere/at/all.jpg");
    window.run_steps(2);
    click(&mut window, "Open what is typed");
    let opened = |window: &Window| window.state().session.screen.error.is_some();
    for _ in 0..200 {
        if opened(&window) {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
        window.run_steps(1);
    }
    assert!(opened(&window), "a file that is not there is an error");
    window.run_steps(2);
    click(&mut window, "Put the error away");
    assert!(!opened(&window), "put away");
}

#[test]
fn the_keys_are_listed_and_put_away() {
    let mut window = window_on(samples::plate(), Operation::Photo);
    window.key_press(egui::Key::F1);
    window.run_steps(4);
    assert!(window.query_by_label("Type the next measure").is_some(), "listed");
    click(&mut window, "Put the keys away");
    assert!(window.state().session.screen.asking.is_none(), "put away");
}

/// What can be clicked or typed in on the panels: everything but what lies on the photo.
fn controls(window: &Window) -> Vec<(String, egui::Rect)> {
    use egui::accesskit::Role;
    let roles = [Role::Button, Role::Link, Role::CheckBox, Role::RadioButton, Role::TextInput, Role::ComboBox];
    let nodes = window.root().children_recursive();
    let photo = window.get_by_role_and_label(Role::Image, "Photo").rect();
    let on_photo = |node: &egui_kittest::Node<'_>| photo.contains(node.rect().center());
    let found = nodes.filter(|node| roles.contains(&node.accesskit_node().role()) && !on_photo(node));
    found.map(|node| (node.accesskit_node().label().unwrap_or_default(), node.rect())).collect()
}

#[test]
fn every_control_has_a_name_and_is_large_enough_and_inside_the_window() {
    for size in [[1440.0, 900.0], [1024.0, 700.0], [720.0, 450.0]] {
        for operation in Operation::ALL {
            for inches in [false, true] {
                let mut session = samples::session(samples::plate_with_outline(false));
                session.screen.operation = operation;
                session.screen.route_open = true;
                session.screen.inches = inches;
                session.screen.lens_open = true;
                session.screen.instrument = crate::session::Instrument::Own { sigma_mm: 0.1, reach_mm: 150.0 };
                session.screen.chosen = Some(match operation {
                    Operation::Holes => Chosen::Hole(Id::from("h3")),
                    Operation::Outline => Chosen::Node { contour: Id::from("c1"), index: 1 },
                    _ => Chosen::Measure(Id::from("m1")),
                });
                let window = window_of_size(session, size);
                let found = controls(&window);
                assert!(found.len() >= 8, "{operation:?}: {} controls", found.len());
                for (name, rect) in found {
                    let place = format!("‘{name}’ of {operation:?} at {size:?}: {rect:?}");
                    assert!(!name.is_empty(), "no name: {place}");
                    assert!(rect.width() >= 23.9 && rect.height() >= 23.9, "too small: {place}");
                    assert!(rect.left() >= 0.0 && rect.right() <= size[0], "out of the window: {place}");
                }
            }
        }
    }
}

#[test]
fn the_open_card_of_a_small_window_does_not_reach_under_the_sheet() {
    let mut session = samples::session(samples::plate());
    session.screen.operation = Operation::Measures;
    session.screen.route_open = true;
    let window = window_of_size(session, [1024.0, 700.0]);
    let sheet = window.get_by_label_contains("Measures mm").rect().left();
    for name in ["Measured with", "Take a measure: near rims", "X runs towards"] {
        let right = window.get_by_label(name).rect().right();
        assert!(right < sheet, "{name} ends at {right}, the sheet starts at {sheet}");
    }
}

#[test]
fn the_key_that_opens_a_field_is_not_typed_into_it() {
    let mut window = window_on(samples::plate(), Operation::Measures);
    window.event(egui::Event::Text("t".to_owned()));
    window.key_press(egui::Key::T);
    window.run_steps(4);
    let draft = window.state().session.screen.draft.as_ref().unwrap();
    assert_eq!(draft.text, "", "empty");
    window.event(egui::Event::Text("63.3".to_owned()));
    window.run_steps(2);
    let draft = window.state().session.screen.draft.as_ref().unwrap();
    assert_eq!(draft.text, "63.3", "and ready for the value");
}

/// Whether the window asks to be closed within a few frames.
fn closes(window: &mut Window) -> bool {
    (0..6).any(|_| {
        window.step();
        let outputs = window.output().viewport_output.values();
        outputs.flat_map(|output| &output.commands).any(|command| *command == egui::ViewportCommand::Close)
    })
}

#[test]
fn save_and_close_stays_where_the_job_could_not_be_saved() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("no/such/folder/plate.plate.json");
    let mut session = samples::session(samples::plate());
    if let Some(document) = &mut session.document {
        document.path = Some(path);
        document.saved = None;
        document.history.apply("name it", Edit::Title("Lid".to_owned())).unwrap();
    }
    session.screen.asking = Some(Asking::SaveBeforeClosing);
    let mut window = window_of_size(session, [1440.0, 900.0]);
    window.get_by_label("Save and close").click();
    assert!(!closes(&mut window), "it stays open");
    assert!(window.state().session.screen.error.is_some(), "and says why");
}

#[test]
fn save_and_close_closes_once_the_job_is_saved() {
    let mut session = samples::session(samples::plate());
    session.screen.asking = Some(Asking::WhereToSave);
    let mut window = window_of_size(session, [1440.0, 900.0]);
    window.ctx.data_mut(|data| data.insert_temp(super::questions::leaving(), Asking::SaveBeforeClosing));
    assert!(!closes(&mut window), "it waits for the path");
    // The job of the sample is saved as it stands; what is left is that nothing is asked any more.
    window.state_mut().session.screen.asking = None;
    assert!(closes(&mut window), "and closes");
}

#[test]
fn opening_another_job_over_unsaved_work_asks_first() {
    let mut window = window_on(samples::plate(), Operation::Photo);
    let other = std::path::PathBuf::from("other.plate.json");
    let rename = Command::Edit("name the part".to_owned(), vec![Edit::Title("Changed".to_owned())]);
    window.state_mut().send(rename);
    window.state_mut().send(Command::Open(other.clone()));
    window.run_steps(3);
    let screen = &window.state().session.screen;
    assert_eq!((screen.asking, &screen.to_open), (Some(Asking::SaveBeforeOpening), &Some(other)), "it is asked");
    assert_eq!(screen.working, None, "nothing is opened yet");
    click(&mut window, "Stay");
    assert_eq!(window.state().session.screen.asking, None, "not asked any more");
    assert_eq!(job(&window).title, "Changed", "and nothing is lost");
}

#[test]
fn letters_act_while_a_button_has_the_keyboard_and_not_while_a_field_has_it() {
    let mut window = window_on(samples::plate(), Operation::Photo);
    window.get_by_label("Save").focus();
    window.run_steps(2);
    window.key_press(egui::Key::Num3);
    window.run_steps(3);
    assert_eq!(window.state().session.screen.operation, Operation::Measures, "a button is no field");
    window.key_press(egui::Key::Num1);
    window.run_steps(3);
    window.get_by_label("Name of the part").focus();
    window.run_steps(2);
    window.key_press(egui::Key::Num3);
    window.run_steps(3);
    assert_eq!(window.state().session.screen.operation, Operation::Photo, "a field is");
}

#[test]
fn the_key_of_the_cut_file_does_nothing_while_a_check_fails() {
    let mut window = window_on(samples::plate(), Operation::Cut);
    window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::E);
    window.run_steps(3);
    let screen = &window.state().session.screen;
    assert_eq!(screen.asking, None, "no path is asked for");
    assert_eq!(screen.said.as_deref(), Some("Write the cut file: waits until no check fails."), "and it is said why");
}

/// Types `text` into the field called `name` in place of what stands there, and leaves it with Enter.
fn type_into(window: &mut Window, name: &str, text: &str) {
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
fn says(window: &Window, part: &str) -> bool {
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
    use crate::session::Instrument;
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
    use crate::session::Instrument;
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
