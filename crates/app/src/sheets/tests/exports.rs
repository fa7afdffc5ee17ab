//! What is written, as it is chosen and shown.

use super::*;

fn type_into(window: &mut Window, label: &str, text: &str) {
    window.get_by_label(label).focus();
    window.run_steps(2);
    // Whatever stands there is typed over.
    window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    window.run_steps(1);
    window.get_by_label(label).type_text(text);
    window.run_steps(2);
    window.key_press(egui::Key::Enter);
    window.run_steps(4);
}

fn job_to_write() -> Job {
    samples::checked(samples::plate_with_outline(true))
}

#[test]
fn every_file_is_chosen_from_the_list_and_shown_as_it_will_be() {
    let mut window = window_on(job_to_write(), Operation::Proof);
    assert!(window.query_by_label_contains("Preview of the proof, 1 page").is_some(), "the proof is shown at first");
    click(&mut window, "To be written: Printed plate, 3MF");
    assert!(window.query_by_label_contains("Preview of the proof plate, 1 page").is_some(), "as a solid");
    assert!(window.query_by_label("Grid 10 mm").is_none(), "with no paper");
    assert!(window.query_by_label_contains("Bar across").is_none(), "nor a paper printer");
    type_into(&mut window, "Thickness of the plate", "900");
    assert!(window.query_by_label_contains("It has to be from 0.4 to 20.").is_some(), "no such plate");
    assert_eq!(window.state().session.settings.proof.plate_mm, None, "nor is it taken");
    type_into(&mut window, "Thickness of the plate", "4");
    assert_eq!(window.state().session.settings.proof.plate_mm, Some(4.0), "taken");
    window.state_mut().session.screen.operation = Operation::Cut;
    window.run_steps(3);
    assert!(window.query_by_label_contains("Preview of the cut file, 1 page").is_some(), "the cut drawing");
    for (words, shown) in [
        ("Cut file, DXF R12", "Preview of the cut file"),
        ("Cut file, SVG", "Preview of the cut file"),
        ("Drawing, PDF", "Preview of the drawing"),
        ("Inspection report, PDF", "Preview of the report"),
    ] {
        click(&mut window, &format!("To be written: {words}"));
        assert!(window.query_by_label_contains(shown).is_some(), "{words} is shown");
    }
    click(&mut window, "To be written: Flat photo, PNG");
    assert!(window.query_by_label("Photo").is_some(), "the photo itself shows it");
    assert!(window.query_by_label("Write the flat photo").is_some(), "and the button says what it writes");
    click(&mut window, "To be written: Cut file, DXF");
    click(&mut window, "As shot");
    assert!(window.query_by_label("Photo").is_some(), "the photo instead of the paper");
    click(&mut window, "Paper");
    assert!(window.query_by_label_contains("Preview of the cut file").is_some(), "and back");
}

#[test]
fn copies_are_laid_out_and_what_does_not_go_on_is_said() {
    let mut window = window_on(job_to_write(), Operation::Cut);
    type_into(&mut window, "How many are cut", "3");
    assert_eq!(job(&window).stock.and_then(|stock| stock.copies), Some(3), "taken");
    assert!(window.query_by_label_contains("Preview of the cut file, 2 pages").is_some(), "with the page of the sheet");
    for (nonsense, said) in [("2.5", "a whole number"), ("501", "from 1 to 500")] {
        type_into(&mut window, "How many are cut", nonsense);
        assert!(window.query_by_label_contains(said).is_some(), "{nonsense}");
        assert_eq!(job(&window).stock.and_then(|stock| stock.copies), Some(3), "{nonsense} is not taken");
    }
    click(&mut window, "The file is in: inch");
    assert_eq!(job(&window).stock.map(|stock| stock.unit), Some(platewright_core::job::FileUnit::Inch), "taken");
}

#[test]
fn bars_that_are_typed_back_put_the_printer_right() {
    let mut window = window_on(job_to_write(), Operation::Proof);
    type_into(&mut window, "Bar across reads", "99.4");
    assert!(window.query_by_label_contains("The last print came out 0.60 mm short over 100.").is_some(), "said");
    let printer = window.state().session.settings.proof.printer;
    let next = printer.next(printer.lay).unwrap();
    assert!((next.across - 100.0 / 99.4).abs() < 1e-12 && (next.up - 1.0).abs() < 1e-12, "{next:?}");
    type_into(&mut window, "Bar up reads", "5");
    assert!(window.query_all_by_label_contains("no printer is that far off").count() > 0, "refused in a sentence");
    assert!(
        window.query_by_label_contains("Preview of the proof").is_none(),
        "and nothing is shown as if it were right"
    );
}

#[test]
fn a_file_that_is_there_is_said_to_be_replaced() {
    let folder = tempfile::tempdir().unwrap();
    let there = folder.path().join("there.dxf");
    std::fs::write(&there, "old").unwrap();
    let mut window = window_on(job_to_write(), Operation::Cut);
    window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::E);
    window.run_steps(3);
    for (path, replaced) in [(folder.path().join("new.dxf"), false), (folder.path().join("there"), true)] {
        window.state_mut().session.screen.path_text = path.display().to_string();
        window.run_steps(2);
        let said = window.query_by_label_contains("A file of this name is there already").is_some();
        assert_eq!(said, replaced, "{}", path.display());
    }
}

/// The question was asked while all was well: what fails since then is not written by it.
#[test]
fn a_question_asked_while_all_passes_never_writes_what_fails_since() {
    let folder = tempfile::tempdir().unwrap();
    let mut window = window_on(job_to_write(), Operation::Cut);
    window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::E);
    window.run_steps(3);
    let path = folder.path().join("flange.dxf");
    window.state_mut().session.screen.path_text = path.display().to_string();
    let edit = Edit::CloseContour { contour: Id::from("c1"), closed: false };
    window.state_mut().session.document.as_mut().unwrap().history.apply("open it", edit).unwrap();
    window.run_steps(2);
    click(&mut window, "Write it");
    let mut waited = 0;
    while window.state().session.screen.error.is_none() {
        waited += 1;
        assert!(waited < 12_000, "waited in vain");
        std::thread::sleep(std::time::Duration::from_millis(10));
        window.run_steps(1);
    }
    assert!(!path.exists(), "nothing that fails is written unasked");
}
