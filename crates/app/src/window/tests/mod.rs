//! Every command of the table, done by its key and by its control where it has one, and what it did to the session.
//!
//! [`FLOWS`] holds one flow for each row of the table; a row without one is a failed check.

mod fields;
mod files;
mod holes;
mod measures;
mod outline;
mod parts;
mod reached;
mod stands;
mod view;
mod whole_job;

use super::Workbench;
use crate::command::{Action, Command, TABLE};
use crate::session::{Operation, Screen, Session, Standing};
use egui::{Event, Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use egui_kittest::{Harness, HarnessBuilder};
use platewright_core::job::Job;
use std::time::{Duration, Instant};

type Window = Harness<'static, Workbench>;

/// A command and what shows that it does what it says.
type Flow = (Action, fn());

/// The flows by family.
const FLOWS: [&[Flow]; 5] = [view::FLOWS, files::FLOWS, holes::FLOWS, measures::FLOWS, outline::FLOWS];

/// The commands of the table that none of `flows` is about.
fn without_flow(flows: &[&[Flow]]) -> Vec<Action> {
    let has_flow = |action: Action| flows.iter().flat_map(|family| family.iter()).any(|(of, _)| *of == action);
    TABLE.iter().map(|row| row.action).filter(|action| !has_flow(*action)).collect()
}

#[test]
fn every_command_has_a_flow() {
    assert_eq!(without_flow(&FLOWS), [], "commands that nothing here does");
    let all = FLOWS.iter().map(|family| family.len()).sum::<usize>();
    assert_eq!(all, TABLE.len(), "and each has one");
}

/// The counter-check: a command that loses its flow is found.
#[test]
fn a_command_without_a_flow_is_found() {
    let shortened = [view::FLOWS, &files::FLOWS[1..], holes::FLOWS, measures::FLOWS, outline::FLOWS];
    assert_eq!(without_flow(&shortened), [files::FLOWS[0].0], "the one that was left out");
    assert_eq!(without_flow(&[]).len(), TABLE.len(), "all of them");
}

/// Does the flows of a family, one after the other.
fn run(flows: &[Flow]) {
    for (_, flow) in flows {
        flow();
    }
}

/// A window on `session`, as large as most screens.
fn window(session: Session) -> Window {
    window_of(session, [1440.0, 1000.0])
}

fn window_of(session: Session, size: [f32; 2]) -> Window {
    let builder = HarnessBuilder::default().with_size(size).with_pixels_per_point(1.0).with_step_dt(1.0 / 60.0);
    let mut window = builder.build_eframe(|cc| Workbench::new(&cc.egui_ctx, session, None));
    window.run_steps(3);
    window
}

fn session(window: &Window) -> &Session {
    &window.state().session
}

fn screen(window: &Window) -> &Screen {
    &window.state().session.screen
}

fn job(window: &Window) -> &Job {
    session(window).document.as_ref().unwrap().job()
}

fn undo_name(window: &Window) -> Option<&str> {
    session(window).document.as_ref().unwrap().history.undo_name()
}

fn send(window: &mut Window, command: Command) {
    window.state_mut().send(command);
    window.run_steps(3);
}

fn go_to(window: &mut Window, operation: Operation) {
    send(window, Command::Do(Action::Operation(operation)));
}

/// A frame with these events.
fn frame_with(window: &mut Window, events: impl IntoIterator<Item = Event>) {
    window.input_mut().events.extend(events);
    window.step();
}

/// A key as it goes down and up.
fn key_events(modifiers: Modifiers, key: Key) -> [Event; 2] {
    [true, false].map(|pressed| Event::Key { key, physical_key: None, pressed, repeat: false, modifiers })
}

/// Presses a chord and lets what it did be drawn.
fn press(window: &mut Window, modifiers: Modifiers, key: Key) {
    frame_with(window, key_events(modifiers, key));
    window.run_steps(3);
}

/// Presses the key that the table has for the command.
#[track_caller]
fn press_key_of(window: &mut Window, action: Action) {
    let (modifiers, key) = action.row().key.expect("every command has a key");
    press(window, modifiers, key);
}

/// Clicks on the control of this name with the pointer.
fn click(window: &mut Window, name: &str) {
    window.get_by_label(name).click();
    window.run_steps(3);
}

/// Types over what stands in the field that has the keyboard, and ends with Enter.
fn type_and_enter(window: &mut Window, text: &str) {
    frame_with(window, [Event::Text(text.to_owned())]);
    press(window, Modifiers::NONE, Key::Enter);
}

/// The key of a command that cannot be done yet does nothing but say what it waits for.
#[track_caller]
fn check_waits(window: &mut Window, action: Action, words: &str) {
    assert_eq!(action.waits_for(session(window)), Some(words), "{action:?}");
    let before = session(window).document.as_ref().map(|document| document.job().clone());
    press_key_of(window, action);
    let said = format!("{}: {words}.", action.row().name);
    assert_eq!(screen(window).said.as_deref(), Some(said.as_str()), "{action:?} says why not");
    assert!(window.query_by_label(&said).is_some(), "{action:?}: it stands in the status line");
    let after = session(window).document.as_ref().map(|document| document.job().clone());
    assert_eq!(before, after, "{action:?} does nothing else");
}

/// Frames until `holds`; what never comes is a failure.
#[track_caller]
fn until(window: &mut Window, what: &str, holds: impl Fn(&Session) -> bool) {
    let started = Instant::now();
    while !holds(session(window)) {
        assert!(started.elapsed() < Duration::from_mins(2), "waited in vain until {what}");
        std::thread::yield_now();
        window.step();
    }
    window.run_steps(2);
}

#[track_caller]
fn settled(window: &mut Window) {
    until(window, "everything is measured", |session| session.results.standing == Standing::Settled);
}
