//! The panels in a whole window, driven by what a screen reader and a keyboard see.

mod beliefs;
mod design;
mod exports;
mod guide;
mod keeping;
mod photo_advice;
mod trial;

use super::samples;
use crate::command::Command;
use crate::files::opening::Opening;
use crate::session::{Asking, Chosen, MeasureDraft, Operation, Session};
use crate::theme::Theme;
use crate::window::Workbench;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use egui_kittest::{Harness, HarnessBuilder};
use platewright_core::job::{Edit, Id, Job, MeasureKind};
use platewright_core::solution::MeasureVerdict;

pub(super) type Window = Harness<'static, Workbench>;

pub(super) fn window_of_size(session: Session, size: [f32; 2]) -> Window {
    let builder = HarnessBuilder::default().with_size(size).with_pixels_per_point(1.0).with_max_steps(64);
    let mut window = builder.build_eframe(|cc| Workbench::new(&cc.egui_ctx, session, None));
    window.run_steps(3);
    window
}

pub(super) fn window_on(job: Job, operation: Operation) -> Window {
    let mut session = samples::session(job);
    session.screen.operation = operation;
    // What is clicked has to be in sight, and the sheets of the last operations are long.
    let height = if matches!(operation, Operation::Proof | Operation::Cut) { 1700.0 } else { 900.0 };
    window_of_size(session, [1440.0, height])
}

pub(super) fn job(window: &Window) -> &Job {
    window.state().session.document.as_ref().unwrap().job()
}

pub(super) fn click(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    window.run_steps(3);
}

/// Every accessible name in the window that holds `part`.
pub(super) fn names_with(window: &Window, part: &str) -> Vec<String> {
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
    let mut window = window_on(samples::checked(samples::plate_with_outline(true)), Operation::Cut);
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
fn type_grows_by_its_keys_and_everything_keeps_its_place_in_the_window() {
    let mut window = window_on(samples::plate(), Operation::Measures);
    let before = window.get_by_label("Open").rect().width();
    for _ in 0..6 {
        window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Plus);
        window.run_steps(3);
    }
    assert_eq!(window.state().session.settings.type_size.percent(), 150, "no larger");
    let button = window.get_by_label("Open").rect();
    assert!((button.width() / before - 1.0).abs() < 0.02, "a control has as many points as before");
    let room = window.ctx.content_rect();
    assert!((room.width() - 960.0).abs() < 1.0, "and the window fewer: {room:?}");
    assert!(room.contains_rect(button), "in sight: {button:?}");
    window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Minus);
    window.run_steps(3);
    assert_eq!(window.state().session.settings.type_size.percent(), 135, "a step back");
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
fn a_path_that_comes_to_nothing_is_asked_for_again_with_the_reason() {
    let mut window = window_on(samples::plate(), Operation::Measures);
    window.key_press_modifiers(egui::Modifiers::COMMAND | egui::Modifiers::SHIFT, egui::Key::S);
    window.run_steps(4);
    let field = window.get_by_role_and_label(egui::accesskit::Role::TextInput, "Path of the job");
    field.type_text("/no-such-folder/lid");
    window.run_steps(2);
    window.key_press(egui::Key::Enter);
    window.run_steps(4);
    assert_eq!(window.state().session.screen.asking, Some(Asking::WhereToSave), "the question is there again");
    assert_eq!(window.state().session.screen.path_text, "/no-such-folder/lid", "with what was typed");
    assert!(window.query_by_label_contains("there is no such folder").is_some(), "and why");
    let field = window.get_by_role_and_label(egui::accesskit::Role::TextInput, "Path of the job");
    assert!(field.is_focused(), "what is typed next is a path");
    window.key_press(egui::Key::Escape);
    window.run_steps(4);
    let screen = &window.state().session.screen;
    assert_eq!((screen.asking, screen.error.as_deref()), (None, None), "Esc leaves it, and the reason with it");
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
    // The list finds its height and its place in a few frames.
    window.run_steps(12);
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
                session.screen.on_paper = false;
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
    assert_eq!(
        (screen.asking, &screen.to_open),
        (Some(Asking::SaveBeforeOpening), &Some(Opening::file(other))),
        "it is asked"
    );
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
    assert_eq!(screen.said.as_deref(), Some("Write the file: waits until no check fails."), "and it is said why");
}
