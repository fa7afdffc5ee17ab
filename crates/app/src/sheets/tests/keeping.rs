//! Nothing is lost: what is offered at the start, and what is asked before work could go.

use super::*;
use crate::command::Action;
use crate::files::opening::{Held, Opening};
use crate::files::recovery::leftovers;
use crate::files::{Places, load_photo, read_job, save_job};
use crate::session::Document;
use egui::accesskit::Role;
use platewright_core::job::Photo;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// A shop with a saved job on a photo, and the places of somebody's account.
struct Shop {
    folder: tempfile::TempDir,
}

impl Shop {
    fn new() -> Self {
        let shop = Self { folder: tempfile::tempdir().unwrap() };
        shop.put_photo("flange.png", 120, [400, 300]);
        let photo = load_photo(&shop.at("flange.png")).unwrap();
        let plate = samples::plate();
        let photo = Photo { file: "flange.png".to_owned(), sha256: photo.sha256, ..plate.photo.clone() };
        save_job(&Job { photo, ..plate }, &shop.at("flange.png"), &shop.job()).unwrap();
        shop
    }

    fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn job(&self) -> PathBuf {
        self.at("flange.plate.json")
    }

    fn put_photo(&self, name: &str, grey: u8, [width, height]: [u32; 2]) {
        image::RgbImage::from_pixel(width, height, image::Rgb([grey; 3])).save(self.at(name)).unwrap();
    }

    fn places(&self) -> Places {
        Places::below(&self.at("account"))
    }

    fn recovery(&self) -> PathBuf {
        self.places().recovery.unwrap()
    }

    /// A window of this account, opened as from the command line.
    fn window(&self, path: Option<PathBuf>) -> Window {
        let session = Session::start(self.places());
        let builder =
            HarnessBuilder::default().with_size([1440.0, 900.0]).with_pixels_per_point(1.0).with_max_steps(64);
        let mut window = builder.build_eframe(|cc| Workbench::new(&cc.egui_ctx, session, path));
        window.run_steps(3);
        window
    }

    fn window_on_job(&self) -> Window {
        let mut window = self.window(Some(self.job()));
        until(&mut window, "the job is open", is_open);
        window
    }

    /// Leaves unsaved work of that title behind, as a process that was killed does.
    fn leave(&self, title: &str) {
        let mut window = self.window_on_job();
        rename(&mut window, title);
        drop(window);
        assert!(leftovers(&self.recovery()).iter().any(|left| left.title == title), "{title} is left");
    }
}

/// Frames until `holds`; what never comes is a failure.
#[track_caller]
fn until(window: &mut Window, what: &str, holds: impl Fn(&Window) -> bool) {
    let started = Instant::now();
    while !holds(window) {
        let screen = &window.state().session.screen;
        assert!(
            started.elapsed() < Duration::from_mins(2),
            "waited in vain until {what}: {:?}, {:?}",
            screen.error,
            screen.asking
        );
        std::thread::sleep(Duration::from_millis(2));
        window.run_steps(1);
    }
    window.run_steps(3);
}

fn is_open(window: &Window) -> bool {
    window.state().session.document.is_some()
}

fn document(window: &Window) -> &Document {
    window.state().session.document.as_ref().unwrap()
}

fn rename(window: &mut Window, title: &str) {
    window.state_mut().send(Command::Edit("name the part".to_owned(), vec![Edit::Title(title.to_owned())]));
    window.run_steps(3);
}

fn send(window: &mut Window, command: Command) {
    window.state_mut().send(command);
    window.run_steps(3);
}

/// Words with `part` in them stand in the window.
fn shows(window: &Window, part: &str) -> bool {
    window.query_all_by_label_contains(part).next().is_some()
}

fn asks(asking: Asking) -> impl Fn(&Window) -> bool {
    move |window| window.state().session.screen.asking == Some(asking)
}

/// Types into the path field in place of what stands there, and presses Enter.
fn type_path(window: &mut Window, label: &str, path: &Path) {
    window.key_combination_modifiers(egui::Modifiers::COMMAND, &[egui::Key::A]);
    window.get_by_role_and_label(Role::TextInput, label).type_text(path.to_str().unwrap());
    window.run_steps(2);
    window.key_press(egui::Key::Enter);
    window.run_steps(3);
}

#[test]
fn work_that_was_left_is_offered_at_the_start_and_gone_on_with() {
    let shop = Shop::new();
    shop.leave("Vat lid");
    let mut window = shop.window(None);
    assert!(shows(&window, "Vat lid, unsaved work of "), "offered");
    assert!(names_with(&window, "Go on with Vat lid")[0].ends_with(" today"), "with its time");
    assert!(shows(&window, "Go on with the unsaved work, or throw it away."), "in the status line too");
    let button = names_with(&window, "Go on with Vat lid")[0].clone();
    click(&mut window, &button);
    until(&mut window, "the work is back", is_open);
    assert_eq!(job(&window).title, "Vat lid", "as it stood");
    assert_eq!(document(&window).path.as_deref(), Some(shop.job().as_path()), "with its file");
    assert!(document(&window).is_modified() && document(&window).would_lose_work(), "not yet saved");
    assert!(window.query_by_label("Part: Vat lid *").is_some(), "and marked so");
    assert!(window.state().session.left.is_empty(), "it is offered no more");
    assert_eq!(leftovers(&shop.recovery()), [], "nor to another window");
    window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::S);
    window.run_steps(3);
    assert_eq!(read_job(&shop.job()).unwrap().title, "Vat lid", "saved to its file");
    assert!(!document(&window).is_modified(), "and as it stands there");
    drop(window);
    assert_eq!(leftovers(&shop.recovery()), [], "nothing is left of it");
}

#[test]
fn work_that_is_gone_on_with_is_left_again_when_that_window_is_killed_too() {
    let shop = Shop::new();
    shop.leave("Vat lid");
    let mut window = shop.window(None);
    let button = names_with(&window, "Go on with Vat lid")[0].clone();
    click(&mut window, &button);
    until(&mut window, "the work is back", is_open);
    drop(window);
    let titles: Vec<String> = leftovers(&shop.recovery()).into_iter().map(|left| left.title).collect();
    assert_eq!(titles, ["Vat lid"], "once, as before");
}

#[test]
fn work_that_was_left_is_thrown_away_when_the_person_says_so() {
    let shop = Shop::new();
    shop.leave("Vat lid");
    let mut window = shop.window(None);
    let button = names_with(&window, "Throw away Vat lid")[0].clone();
    click(&mut window, &button);
    assert!(window.query_by_label("The unsaved work on Vat lid is thrown away.").is_none(), "not by one press");
    let button = "Throw away Vat lid for good".to_owned();
    click(&mut window, &button);
    assert!(!shows(&window, "unsaved work of"), "offered no more");
    assert!(window.query_by_label("The unsaved work on Vat lid is thrown away.").is_some(), "and said");
    assert_eq!(fs::read_dir(shop.recovery()).unwrap().count(), 0, "nothing is kept of it");
    assert_eq!(read_job(&shop.job()).unwrap().title, "Milk valve flange", "the file is as it was");
}

#[test]
fn work_on_a_photo_that_was_never_saved_is_offered_too_and_is_not_closed_unasked() {
    let shop = Shop::new();
    let mut window = shop.window(Some(shop.at("flange.png")));
    until(&mut window, "the photo is open", is_open);
    rename(&mut window, "Vat lid");
    drop(window);
    let mut window = shop.window(Some(shop.at("flange.png")));
    until(&mut window, "it is asked about", asks(Asking::Held));
    assert!(shows(&window, "Vat lid has unsaved work of "), "said");
    window.key_press(egui::Key::Enter);
    window.run_steps(3);
    until(&mut window, "the work is back", is_open);
    assert_eq!((job(&window).title.as_str(), &document(&window).path), ("Vat lid", &None), "without a file");
    assert!(document(&window).would_lose_work(), "closing it asks first, although nothing can be taken back");
}

#[test]
fn opening_a_job_with_work_left_asks_which() {
    let shop = Shop::new();
    shop.leave("Vat lid");
    let mut window = shop.window(Some(shop.job()));
    until(&mut window, "it is asked about", asks(Asking::Held));
    window.key_press(egui::Key::Escape);
    window.run_steps(4);
    assert!(window.state().session.screen.asking.is_none() && !is_open(&window), "Esc opens nothing");
    assert_eq!(leftovers(&shop.recovery()).len(), 1, "and loses nothing");
    send(&mut window, Command::Open(shop.job()));
    until(&mut window, "it is asked again", asks(Asking::Held));
    click(&mut window, "Throw it away");
    until(&mut window, "the file is open", is_open);
    assert_eq!(job(&window).title, "Milk valve flange", "as it was saved");
    assert_eq!(leftovers(&shop.recovery()), [], "and the work is gone");
}

#[test]
fn work_left_on_another_job_is_named_where_the_start_sheet_is_not_seen() {
    let shop = Shop::new();
    shop.leave("Vat lid");
    fs::copy(shop.job(), shop.at("second.plate.json")).unwrap();
    let mut window = shop.window(Some(shop.at("second.plate.json")));
    until(&mut window, "the other job is open", is_open);
    let said = window.state().session.screen.said.clone().unwrap_or_default();
    assert!(said.starts_with("Unsaved work on Vat lid is kept"), "{said}");
}

#[test]
fn a_job_that_another_window_has_open_is_asked_about_with_ways_out() {
    let shop = Shop::new();
    let first = shop.window_on_job();
    let mut second = shop.window(Some(shop.job()));
    until(&mut second, "it is asked about", asks(Asking::Held));
    assert!(second.query_by_label("Another window has this job open.").is_some(), "said in a sentence");
    second.key_press(egui::Key::Escape);
    second.run_steps(4);
    assert!(!is_open(&second) && second.state().session.screen.asking.is_none(), "Esc stays");
    send(&mut second, Command::Open(shop.job()));
    until(&mut second, "it is asked again", asks(Asking::Held));
    second.key_press(egui::Key::Enter);
    second.run_steps(3);
    until(&mut second, "a copy is open", is_open);
    assert_eq!(document(&second).path, None, "a copy has no file");
    rename(&mut second, "Vat lid");
    send(&mut second, Command::Do(Action::Save));
    assert_eq!(second.state().session.screen.asking, Some(Asking::WhereToSave), "it asks where to");
    assert!(second.state().session.screen.path_text.ends_with("flange-2.plate.json"), "under a name of its own");
    drop((first, second));
    shop.window_on_job();
}

#[test]
fn a_file_that_another_window_has_saved_is_not_saved_over_unasked() {
    let shop = Shop::new();
    let mut first = shop.window_on_job();
    let mut second = shop.window(Some(shop.job()));
    until(&mut second, "it is asked about", asks(Asking::Held));
    click(&mut second, "Open even so");
    until(&mut second, "the job is open twice", is_open);
    rename(&mut first, "First");
    send(&mut first, Command::Do(Action::Save));
    assert_eq!(read_job(&shop.job()).unwrap().title, "First", "nobody had written it");
    rename(&mut second, "Second");
    send(&mut second, Command::Do(Action::Save));
    assert_eq!(second.state().session.screen.asking, Some(Asking::FileChanged), "now it is asked");
    assert!(document(&second).is_modified(), "and not saved");
    second.key_press(egui::Key::Escape);
    second.run_steps(4);
    assert_eq!(read_job(&shop.job()).unwrap().title, "First", "Esc leaves the file");
    send(&mut second, Command::Do(Action::Save));
    second.key_press(egui::Key::Enter);
    second.run_steps(4);
    assert_eq!(second.state().session.screen.asking, Some(Asking::WhereToSave), "Enter asks for another name");
    let path = shop.at("second.plate.json");
    type_path(&mut second, "Path of the job", &path);
    let titles = |path: &Path| read_job(path).unwrap().title;
    assert_eq!((titles(&shop.job()), titles(&path)), ("First".to_owned(), "Second".to_owned()), "both are there");
    rename(&mut first, "Once more");
    send(&mut first, Command::Do(Action::Save));
    assert_eq!(titles(&shop.job()), "Once more", "who saved it last may again");
    fs::write(shop.job(), "{}").unwrap();
    rename(&mut first, "Over it");
    send(&mut first, Command::Do(Action::Save));
    click(&mut first, "Save over it");
    assert_eq!(titles(&shop.job()), "Over it", "over it, as the person said");
}

#[test]
fn saving_before_closing_waits_for_the_question_about_the_file() {
    let shop = Shop::new();
    let mut window = shop.window_on_job();
    rename(&mut window, "Vat lid");
    fs::write(shop.job(), "{}").unwrap();
    window.state_mut().session.screen.asking = Some(Asking::SaveBeforeClosing);
    window.run_steps(3);
    click(&mut window, "Save and close");
    assert_eq!(window.state().session.screen.asking, Some(Asking::FileChanged), "it is asked");
    assert!(
        !window.output().viewport_output.values().any(|v| v.commands.contains(&egui::ViewportCommand::Close)),
        "not closed"
    );
    window.key_press(egui::Key::Escape);
    window.run_steps(4);
    assert!(document(&window).is_modified(), "whoever stays has not saved, and is not gone");
}

#[test]
fn enter_on_another_button_is_not_the_main_ones() {
    let shop = Shop::new();
    let mut window = shop.window_on_job();
    rename(&mut window, "Vat lid");
    window.state_mut().session.screen.asking = Some(Asking::SaveBeforeOpening);
    window.run_steps(3);
    window.get_by_label("Stay").focus();
    window.run_steps(2);
    window.key_press(egui::Key::Enter);
    window.run_steps(4);
    assert_eq!(window.state().session.screen.asking, None, "it stays");
    assert_eq!(read_job(&shop.job()).unwrap().title, "Milk valve flange", "and does not save");
}

#[test]
fn a_lost_photo_is_shown_and_its_place_remembered() {
    let shop = Shop::new();
    fs::create_dir(shop.at("camera")).unwrap();
    fs::rename(shop.at("flange.png"), shop.at("camera/roll.png")).unwrap();
    shop.put_photo("large.png", 120, [500, 300]);
    fs::write(shop.at("list.txt"), b"no picture").unwrap();
    let mut window = shop.window(Some(shop.job()));
    until(&mut window, "the photo is asked for", asks(Asking::WhereIsPhoto));
    assert!(window.query_by_label("The photo flange.png is not where this job has it.").is_some(), "said");
    assert!(window.get_by_role_and_label(Role::TextInput, "Path of the photo").is_focused(), "ready to be typed in");
    for (name, said) in [
        ("large.png", "it has 500 × 300 px, and that one had 400 × 300 px."),
        ("list.txt", "this is no picture that is read here"),
        ("camera", "this is a folder. Name a file."),
        ("nothing.png", "There is no file "),
    ] {
        type_path(&mut window, "Path of the photo", &shop.at(name));
        until(&mut window, name, asks(Asking::WhereIsPhoto));
        assert!(shows(&window, said), "{name}: {:?}", window.state().session.screen.held);
        assert!(window.query_by_label("Take it even so").is_none(), "{name} cannot be taken");
        assert!(!is_open(&window), "nothing is opened on {name}");
    }
    type_path(&mut window, "Path of the photo", &shop.at("camera/roll.png"));
    until(&mut window, "the job is open", is_open);
    assert_eq!(job(&window).photo.file, "camera/roll.png", "where it lies");
    assert!(document(&window).would_lose_work(), "which the file does not say yet");
    send(&mut window, Command::Do(Action::Save));
    assert_eq!(read_job(&shop.job()).unwrap().photo.file, "camera/roll.png", "now it does");
}

#[test]
fn a_photo_beside_its_job_is_offered_and_the_place_where_it_is_not_is_not() {
    let shop = Shop::new();
    fs::create_dir(shop.at("camera")).unwrap();
    fs::rename(shop.at("flange.png"), shop.at("camera/roll.png")).unwrap();
    let mut window = shop.window(None);
    window.get_by_role_and_label(Role::TextInput, "Where a photo or a job is").focus();
    window.run_steps(2);
    type_path(&mut window, "Where a photo or a job is", &shop.job());
    until(&mut window, "the photo is asked for", asks(Asking::WhereIsPhoto));
    let value = |window: &Window, name: &str| {
        let field = window.get_by_role_and_label(Role::TextInput, name);
        field.accesskit_node().value().unwrap_or_default()
    };
    assert_eq!(value(&window, "Path of the photo"), "", "not where it is missing");
    window.key_press(egui::Key::Escape);
    window.run_steps(4);
    assert_eq!(window.state().session.screen.start_path, shop.job().display().to_string(), "what was typed behind it");
    fs::rename(shop.at("camera/roll.png"), shop.at("renamed.png")).unwrap();
    send(&mut window, Command::Open(shop.job()));
    until(&mut window, "the photo is asked for again", asks(Asking::WhereIsPhoto));
    assert!(shows(&window, "renamed.png lies beside the job"), "it is offered");
    assert_eq!(value(&window, "Path of the photo"), shop.at("renamed.png").display().to_string(), "Enter takes it");
    window.key_press(egui::Key::Enter);
    until(&mut window, "the job is open", is_open);
    assert_eq!(job(&window).photo.file, "renamed.png", "where it lies");
}

#[test]
fn another_photo_is_taken_even_so_or_not() {
    let shop = Shop::new();
    shop.put_photo("flange.png", 90, [400, 300]);
    let mut window = shop.window(Some(shop.job()));
    until(&mut window, "the photo is asked for", asks(Asking::WhereIsPhoto));
    assert!(window.query_by_label("The photo flange.png is not the one this job was made with.").is_some(), "said");
    window.key_press(egui::Key::Escape);
    window.run_steps(4);
    assert!(window.state().session.screen.asking.is_none() && !is_open(&window), "Esc opens nothing");
    send(&mut window, Command::Open(shop.job()));
    until(&mut window, "the photo is asked for again", asks(Asking::WhereIsPhoto));
    click(&mut window, "Take it even so");
    until(&mut window, "the job is open", is_open);
    assert_ne!(job(&window).photo.sha256, read_job(&shop.job()).unwrap().photo.sha256, "on the other photo");
    let said = window.state().session.screen.said.clone().unwrap_or_default();
    assert!(said.contains("check every rim"), "{said}");
}

#[test]
fn a_photo_that_is_deleted_while_it_is_open_harms_nothing() {
    let shop = Shop::new();
    let photo = fs::read(shop.at("flange.png")).unwrap();
    let mut window = shop.window_on_job();
    fs::remove_file(shop.at("flange.png")).unwrap();
    rename(&mut window, "Vat lid");
    send(&mut window, Command::Do(Action::Save));
    assert_eq!(window.state().session.screen.error, None, "it is saved");
    let saved = read_job(&shop.job()).unwrap();
    assert_eq!((saved.title.as_str(), saved.photo.file.as_str()), ("Vat lid", "flange.png"), "as it stands");
    rename(&mut window, "Milk lid");
    drop(window);
    let mut window = shop.window(None);
    let button = names_with(&window, "Go on with Milk lid")[0].clone();
    click(&mut window, &button);
    until(&mut window, "the photo is asked for", asks(Asking::WhereIsPhoto));
    assert_eq!(leftovers(&shop.recovery()).len(), 1, "the work is still there meanwhile");
    fs::write(shop.at("found.png"), photo).unwrap();
    type_path(&mut window, "Path of the photo", &shop.at("found.png"));
    until(&mut window, "the work is back", is_open);
    assert_eq!((job(&window).title.as_str(), job(&window).photo.file.as_str()), ("Milk lid", "found.png"), "all of it");
}

#[test]
fn a_recent_job_that_is_gone_is_said_and_taken_off_the_list() {
    let shop = Shop::new();
    drop(shop.window_on_job());
    fs::remove_file(shop.job()).unwrap();
    let mut window = shop.window(None);
    click(&mut window, "Open the recent job flange");
    until(&mut window, "it fails", |window| window.state().session.screen.error.is_some());
    let said = window.state().session.screen.error.clone().unwrap();
    assert!(
        said.contains("there is no such file") && said.ends_with("It is no longer among the recent jobs."),
        "{said}"
    );
    assert!(window.query_by_label("Open the recent job flange").is_none(), "and is offered no more");
    assert!(shop.window(None).query_by_label("Open the recent job flange").is_none(), "nor the next time");
}

#[test]
fn damaged_settings_are_said_and_the_window_goes_on() {
    let shop = Shop::new();
    fs::create_dir(shop.at("account")).unwrap();
    fs::write(shop.places().settings.unwrap(), b"{\"theme\": \"pap").unwrap();
    let mut window = shop.window(None);
    assert!(shows(&window, "The usual settings are used."), "said in the status line");
    send(&mut window, Command::Open(shop.job()));
    until(&mut window, "a job opens all the same", is_open);
}

#[test]
fn where_the_account_cannot_be_written_it_is_said_once_and_work_goes_on() {
    let shop = Shop::new();
    // Nobody, not even root, makes a folder below a file.
    fs::write(shop.at("account"), b"no folder").unwrap();
    let mut window = shop.window_on_job();
    let settings = window.state().session.screen.said.clone().unwrap_or_default();
    assert!(settings.contains("settings.json"), "the recent job is not remembered: {settings}");
    rename(&mut window, "Vat lid");
    let is_said = |window: &Window| {
        window
            .state()
            .session
            .screen
            .said
            .as_ref()
            .is_some_and(|said| said.contains("no copy of unsaved work is kept here"))
    };
    until(&mut window, "it is said", is_said);
    assert!(shows(&window, "no copy of unsaved work is kept here"), "in the status line");
    rename(&mut window, "Milk lid");
    send(&mut window, Command::Do(Action::Save));
    assert_eq!(read_job(&shop.job()).unwrap().title, "Milk lid", "work goes on");
    assert!(!is_said(&window), "and it is not said again");
}

#[test]
fn a_job_that_cannot_be_saved_stays_and_is_kept() {
    let shop = Shop::new();
    let mut window = shop.window_on_job();
    rename(&mut window, "Vat lid");
    send(&mut window, Command::SaveTo(shop.at("flange.png/lid.plate.json")));
    let said = window.state().session.screen.error.clone().unwrap_or_default();
    assert!(said.contains("there is no such folder. Make it first, or choose another one."), "{said}");
    assert!(document(&window).is_modified(), "still to be saved");
    drop(window);
    assert_eq!(leftovers(&shop.recovery()).len(), 1, "and kept");
}

#[test]
fn closing_without_saving_keeps_nothing() {
    let shop = Shop::new();
    let mut window = shop.window_on_job();
    rename(&mut window, "Vat lid");
    send(&mut window, Command::CloseAnyway);
    let closing = egui::ViewportEvent::Close;
    window.input_mut().viewports.entry(egui::ViewportId::ROOT).or_default().events.push(closing);
    window.run_steps(2);
    drop(window);
    assert_eq!(fs::read_dir(shop.recovery()).unwrap().count(), 0, "closed on purpose");
}

#[test]
fn questions_about_work_are_inside_the_smallest_window_and_large_enough() {
    let shop = Shop::new();
    shop.leave("Vat lid");
    let left = leftovers(&shop.recovery()).remove(0);
    let held = [Held::Elsewhere(Opening::file(shop.job())), Held::Left(Opening::file(shop.job()), left)];
    for held in held {
        let mut session = Session::default();
        session.screen.asking = Some(Asking::Held);
        session.screen.held = Some(held);
        let mut window = window_of_size(session, [720.0, 450.0]);
        window.run_steps(4);
        let buttons = window.query_all_by_role(Role::Button).map(|node| (node.accesskit_node().label(), node.rect()));
        let wanted = ["Open a copy", "Open even so", "Go on with it", "Throw it away", "Stay here"];
        let rects: Vec<egui::Rect> = buttons
            .filter(|(name, _)| name.as_deref().is_some_and(|name| wanted.contains(&name)))
            .map(|(_, rect)| rect)
            .collect();
        assert_eq!(rects.len(), 3, "three ways out");
        let window = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(720.0, 450.0));
        for rect in rects {
            assert!(window.contains_rect(rect) && rect.height() >= 24.0, "{rect:?}");
        }
    }
}
