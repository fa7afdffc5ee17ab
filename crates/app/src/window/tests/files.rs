//! Commands that open, save and write, and the steps of the job.

use super::{
    Flow, Window, check_waits, click, job, press, press_key_of, run, screen, send, session, settled, type_and_enter,
    undo_name, until, window,
};
use crate::command::{Action, Command};
use crate::exports::Export;
use crate::session::{Asking, Operation, Session};
use crate::sheets::samples;
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use platewright_core::export::CutFormat;
use platewright_core::job::{Edit, Job, read};
use std::fs;
use std::path::Path;

pub(super) const FLOWS: &[Flow] = &[
    (Action::Open, open),
    (Action::Demo, demo),
    (Action::Guide, guide),
    (Action::Save, save),
    (Action::SaveAs, save_as),
    (Action::Write, write),
    (Action::Undo, undo),
    (Action::Redo, redo),
];

#[test]
fn files_are_opened_saved_and_written_by_key_and_by_control() {
    run(FLOWS);
}

const CUT: Export = Export::Cut(CutFormat::Dxf);

/// A window on the sample plate, its job and its photo in `folder`, named anew since it was saved.
fn changed_in(folder: &Path) -> Window {
    let mut session = samples::session(samples::plate());
    let document = session.document.as_mut().unwrap();
    document.path = Some(folder.join("plate.plate.json"));
    let photo = std::sync::Arc::get_mut(&mut document.photo).unwrap();
    photo.path = folder.join("plate.png");
    photo.image.save(&photo.path).unwrap();
    let mut window = window(session);
    rename(&mut window, "Vat lid");
    window
}

fn rename(window: &mut Window, title: &str) {
    send(window, Command::Edit("name the part".to_owned(), vec![Edit::Title(title.to_owned())]));
}

fn saved(path: &Path) -> Job {
    read(&fs::read_to_string(path).unwrap()).unwrap()
}

/// The question has given its field the keyboard, and what stands there is selected.
fn answer(window: &mut Window, path: &Path) {
    window.run_steps(2);
    type_and_enter(window, &path.display().to_string());
}

fn open() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("plate.png");
    image::RgbImage::from_pixel(64, 48, image::Rgb([90; 3])).save(&path).unwrap();
    let mut window = window(Session::default());
    press_key_of(&mut window, Action::Open);
    assert_eq!(screen(&window).asking, Some(Asking::WhatToOpen), "it is asked what");
    answer(&mut window, &path);
    until(&mut window, "the photo is open", |session| session.document.is_some());
    assert_eq!((job(&window).photo.size, screen(&window).operation), ([64, 48], Operation::Holes), "a job on it");
    click(&mut window, Action::Open.row().name);
    assert_eq!(screen(&window).asking, Some(Asking::WhatToOpen), "by its button");
    let mut window = self::window(Session::default());
    click(&mut window, "Open a photo");
    assert_eq!(screen(&window).asking, Some(Asking::WhatToOpen), "by the button of an empty window");
    press(&mut window, Modifiers::NONE, Key::Escape);
    press(&mut window, Modifiers::NONE, Key::Enter);
    assert_eq!(screen(&window).asking, Some(Asking::WhatToOpen), "which Enter does");
    assert_eq!(Action::Open.waits_for(&Session::default()), None, "it never waits");
}

fn guide() {
    for by_key in [true, false] {
        let mut window = window(Session::default());
        if by_key {
            press_key_of(&mut window, Action::Guide);
        } else {
            click(&mut window, "Begin the guide");
        }
        until(&mut window, "the demo's photo", |session| session.document.is_some());
        window.run_steps(2);
        let head = "Guide, step 1 of 6: Take one hole";
        assert!(window.query_by_label(head).is_some(), "it begins with a hole");
        if by_key {
            press_key_of(&mut window, Action::Guide);
        } else {
            click(&mut window, "Leave the guide");
        }
        assert!(window.query_by_label(head).is_none(), "it is left the same way");
        assert!(session(&window).document.is_some(), "and its job goes on");
    }
}

fn demo() {
    let title = |session: &Session| session.document.as_ref().map(|document| document.job().title.clone());
    for by_key in [true, false] {
        let mut window = window(Session::default());
        if by_key {
            press_key_of(&mut window, Action::Demo);
        } else {
            click(&mut window, "Try the demo job");
        }
        until(&mut window, "the demo is open", |session| title(session).is_some());
        assert_eq!(title(session(&window)).as_deref(), Some("Milk valve flange"));
        assert_eq!(screen(&window).operation, Operation::Measures, "where there is most to see");
        // What is measured of it needs no waiting for here.
        window.state_mut().measuring.forget();
    }
    assert_eq!(Action::Demo.waits_for(&Session::default()), None, "it never waits");
}

fn save() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("plate.plate.json");
    let mut window = changed_in(folder.path());
    press_key_of(&mut window, Action::Save);
    until(&mut window, "it is saved", |session| !session.document.as_ref().unwrap().is_modified());
    assert_eq!(saved(&path).title, "Vat lid", "by its key, where it was opened from");
    rename(&mut window, "Vat lid, left");
    click(&mut window, Action::Save.row().name);
    until(&mut window, "it is saved", |session| !session.document.as_ref().unwrap().is_modified());
    assert_eq!(saved(&path).title, "Vat lid, left", "by its button");
    check_waits(&mut self::window(Session::default()), Action::Save, "waits for a photo");
}

fn save_as() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("other.plate.json");
    let mut window = changed_in(folder.path());
    press_key_of(&mut window, Action::SaveAs);
    assert_eq!(screen(&window).asking, Some(Asking::WhereToSave), "it is asked where to");
    answer(&mut window, &path);
    until(&mut window, "it is saved", |session| !session.document.as_ref().unwrap().is_modified());
    assert_eq!(saved(&path).title, "Vat lid");
    let now = session(&window).document.as_ref().unwrap().path.clone();
    assert_eq!(now, Some(path), "and is there from now on");
    check_waits(&mut self::window(Session::default()), Action::SaveAs, "waits for a photo");
}

fn write() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = samples::session(samples::checked(samples::plate_with_outline(true)));
    session.screen.operation = Operation::Cut;
    let mut window = window(session);
    let asked = Some(Asking::WhereToWrite { export: CUT, even_so: false });
    let path = folder.path().join("plate.dxf");
    press_key_of(&mut window, Action::Write);
    assert_eq!(screen(&window).asking, asked, "by its key it is asked where to");
    answer(&mut window, &path);
    until(&mut window, "it is written", |session| session.screen.working.is_none() && session.screen.said.is_some());
    let written = fs::read_to_string(&path).unwrap();
    assert!(written.contains("SECTION") && written.trim_end().ends_with("EOF"), "a whole drawing");
    click(&mut window, "Write the cut file");
    assert_eq!(screen(&window).asking, asked, "by its button");
    press(&mut window, Modifiers::NONE, Key::Escape);
    press(&mut window, Modifiers::NONE, Key::Enter);
    assert_eq!(screen(&window).asking, asked, "which Enter does");
    let mut failing = samples::session(samples::plate());
    failing.screen.operation = Operation::Cut;
    check_waits(&mut self::window(failing), Action::Write, "waits until no check fails");
    let mut unmeasured = samples::session(samples::holes_only());
    unmeasured.screen.operation = Operation::Proof;
    check_waits(&mut self::window(unmeasured), Action::Write, "waits for the scale");
    check_waits(&mut self::window(Session::default()), Action::Write, "waits for a photo");
}

/// A window on the sample plate that was named anew, which is one step.
fn renamed() -> Window {
    let mut window = window(samples::session(samples::plate()));
    rename(&mut window, "Vat lid");
    window
}

fn undo() {
    let mut window = renamed();
    press_key_of(&mut window, Action::Undo);
    assert_eq!((job(&window).title.as_str(), undo_name(&window)), ("Milk valve flange", None), "by its key");
    assert_eq!(screen(&window).said.as_deref(), Some("Taken back: name the part."));
    let mut window = renamed();
    click(&mut window, "Undo");
    assert_eq!(job(&window).title, "Milk valve flange", "by its button");
    check_waits(&mut window, Action::Undo, "nothing to take back");
    check_waits(&mut self::window(Session::default()), Action::Undo, "nothing to take back");
}

fn redo() {
    let mut window = renamed();
    let brings_back: [(&str, fn(&mut Window)); 3] = [
        ("by its key", |window| press_key_of(window, Action::Redo)),
        ("by its other key", |window| press(window, Modifiers::COMMAND, Key::Y)),
        ("by its button", |window| click(window, "Redo")),
    ];
    for (how, bring_back) in brings_back {
        press_key_of(&mut window, Action::Undo);
        assert_eq!(job(&window).title, "Milk valve flange", "taken back");
        bring_back(&mut window);
        assert_eq!((job(&window).title.as_str(), undo_name(&window)), ("Vat lid", Some("name the part")), "{how}");
    }
    settled(&mut window);
    check_waits(&mut window, Action::Redo, "nothing to bring back");
    assert!(window.query_by_label("Redo, nothing to bring back").is_some(), "its button says so too");
}
