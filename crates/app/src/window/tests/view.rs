//! Commands that change what is shown, and nothing of the job.

use super::parts::plate;
use super::{
    Flow, Window, check_waits, click, frame_with, job, key_events, press, press_key_of, run, screen, send, session,
    window, window_of,
};
use crate::command::{Action, Command};
use crate::session::{Asking, Chosen, Operation, Session, View};
use crate::sheets::samples;
use crate::theme::Theme;
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;

pub(super) const FLOWS: &[Flow] = &[
    (Action::Operation(Operation::Photo), || operation(Operation::Photo)),
    (Action::Operation(Operation::Holes), || operation(Operation::Holes)),
    (Action::Operation(Operation::Measures), || operation(Operation::Measures)),
    (Action::Operation(Operation::Outline), || operation(Operation::Outline)),
    (Action::Operation(Operation::Proof), || operation(Operation::Proof)),
    (Action::Operation(Operation::Cut), || operation(Operation::Cut)),
    (Action::SwitchView, switch_view),
    (Action::FitView, fit_view),
    (Action::ZoomIn, zoom_in),
    (Action::ZoomOut, zoom_out),
    (Action::Mark, mark),
    (Action::NextTrouble, next_trouble),
    (Action::HeatMap, heat_map),
    (Action::Sheet, sheet),
    (Action::OtherTheme, other_theme),
    (Action::LargerType, larger_type),
    (Action::SmallerType, smaller_type),
    (Action::StepOut, step_out),
    (Action::Keys, keys),
];

#[test]
fn what_is_shown_changes_by_key_and_by_control() {
    run(FLOWS);
}

/// A window on the sample plate at an operation, with nothing chosen.
fn plate_at(operation: Operation) -> Window {
    let mut session = samples::session(samples::plate());
    session.screen.operation = operation;
    window(session)
}

fn larger_type() {
    let mut window = window(Session::default());
    let room = window.ctx.content_rect().width();
    while Action::LargerType.waits_for(session(&window)).is_none() {
        let before = session(&window).settings.type_size;
        press_key_of(&mut window, Action::LargerType);
        assert_eq!(Some(session(&window).settings.type_size), before.larger(), "a step");
    }
    let larger = room / window.ctx.content_rect().width();
    assert!((larger - 1.5).abs() < 0.01, "everything is drawn {larger} times as large");
    check_waits(&mut window, Action::LargerType, "it is as large as it gets");
}

fn smaller_type() {
    let mut window = window(Session::default());
    let before = session(&window).settings.type_size;
    press_key_of(&mut window, Action::SmallerType);
    assert_eq!(Some(session(&window).settings.type_size), before.smaller(), "a step");
    check_waits(&mut window, Action::SmallerType, "it is as small as it gets");
}

fn operation(operation: Operation) {
    let action = Action::Operation(operation);
    let from = if operation == Operation::Photo { Operation::Holes } else { Operation::Photo };
    let mut window = plate_at(from);
    window.state_mut().session.screen.chosen = Some(Chosen::Hole("h1".into()));
    press_key_of(&mut window, action);
    assert_eq!(screen(&window).operation, operation, "by its key");
    assert_eq!(screen(&window).chosen, None, "and nothing of the one before is chosen");
    press_key_of(&mut window, Action::Operation(from));
    let head = format!("{} {}:", operation.number(), operation.name());
    window.get_by_label_contains(&head).click();
    window.run_steps(3);
    assert_eq!(screen(&window).operation, operation, "by its head on the card");
    check_waits(&mut self::window(Session::default()), action, "waits for a photo");
}

fn switch_view() {
    let mut window = plate_at(Operation::Holes);
    press_key_of(&mut window, Action::SwitchView);
    assert_eq!(screen(&window).view, View::Flat, "by its key");
    press_key_of(&mut window, Action::SwitchView);
    assert_eq!(screen(&window).view, View::AsShot, "and back");
    click(&mut window, "Flat");
    assert_eq!(screen(&window).view, View::Flat, "by the switch");
    check_waits(&mut self::window(Session::default()), Action::SwitchView, "waits for the first hole");
}

fn fit_view() {
    let mut window = plate_at(Operation::Photo);
    let whole = screen(&window).look;
    window.state_mut().session.screen.look.zoom *= 5.0;
    window.state_mut().session.screen.look.centre.x += 60.0;
    window.run_steps(2);
    press_key_of(&mut window, Action::FitView);
    assert_eq!(screen(&window).look, whole, "by its key");
    window.state_mut().session.screen.look.zoom *= 3.0;
    window.run_steps(2);
    let at = window.get_by_label("Photo").rect().right_bottom() - egui::vec2(30.0, 30.0);
    for _ in 0..2 {
        window.hover_at(at);
        window.drag_at(at);
        window.drop_at(at);
    }
    window.run_steps(3);
    assert_eq!(screen(&window).look, whole, "by a double click beside everything");
    check_waits(&mut self::window(Session::default()), Action::FitView, "waits for a photo");
}

fn zooms(action: Action, factor: f64) {
    let mut window = plate_at(Operation::Photo);
    let before = screen(&window).look;
    press_key_of(&mut window, action);
    let after = screen(&window).look;
    assert!((after.zoom / before.zoom - factor).abs() < 1e-6, "{action:?}: {} to {}", before.zoom, after.zoom);
    assert_eq!(after.centre, before.centre, "about the middle of the view");
    let (modifiers, key) = action.row().key.unwrap();
    frame_with(&mut window, [key_events(modifiers, key), key_events(modifiers, key)].concat());
    window.run_steps(3);
    let twice = screen(&window).look.zoom / after.zoom;
    assert!((twice - factor * factor).abs() < 1e-6, "{action:?}: no press is lost: {twice}");
    check_waits(&mut self::window(Session::default()), action, "waits for a photo");
}

fn zoom_in() {
    zooms(Action::ZoomIn, 1.25);
}

fn zoom_out() {
    let mut window = plate_at(Operation::Photo);
    press_key_of(&mut window, Action::ZoomIn);
    let before = screen(&window).look.zoom;
    press_key_of(&mut window, Action::ZoomOut);
    assert!((screen(&window).look.zoom / before - 0.8).abs() < 1e-6, "the way back");
    zooms(Action::ZoomOut, 0.8);
}

fn mark() {
    let mut window = plate_at(Operation::Photo);
    press_key_of(&mut window, Action::Mark);
    assert!(window.get_by_label_contains("The mark").is_focused(), "it has the keyboard");
    let look = screen(&window).look;
    assert!(screen(&window).pointer.is_some_and(|at| at.distance(look.centre) < 0.01), "in the middle of the view");
    let mut session = samples::session(samples::checked(samples::plate_with_outline(true)));
    session.screen.operation = Operation::Cut;
    let mut window = self::window(session);
    assert!(screen(&window).shows_paper(), "where the paper is shown");
    press_key_of(&mut window, Action::Mark);
    assert!(!screen(&window).shows_paper(), "the photo is brought out");
    assert!(window.get_by_label_contains("The mark").is_focused(), "with the mark on it");
    check_waits(&mut self::window(Session::default()), Action::Mark, "waits for a photo");
}

fn next_trouble() {
    let mut window = plate_at(Operation::Photo);
    press_key_of(&mut window, Action::NextTrouble);
    assert_eq!(screen(&window).chosen, Some(Chosen::Measure("m1".into())), "the first that nothing checks");
    assert_eq!(screen(&window).operation, Operation::Measures, "where it can be mended");
    press_key_of(&mut window, Action::NextTrouble);
    assert_eq!(screen(&window).chosen, Some(Chosen::Measure("m2".into())), "then the next");
    let mut session = samples::session(samples::checked(samples::plate()));
    samples::give_results(&mut session, samples::agreeing());
    session.results.instrument = session.screen.instrument.facts();
    let mut window = self::window(session);
    press_key_of(&mut window, Action::NextTrouble);
    let said = screen(&window).said.clone().unwrap_or_default();
    assert_eq!(said, "Nothing disagrees, and every measure is checked.");
    check_waits(&mut self::window(Session::default()), Action::NextTrouble, "waits for a photo");
}

fn heat_map() {
    let mut window = plate_at(Operation::Measures);
    assert!(session(&window).results.solution.face.is_some(), "there is a face");
    press_key_of(&mut window, Action::HeatMap);
    assert!(screen(&window).heat_map, "by its key");
    click(&mut window, "Show how well every place is known");
    assert!(!screen(&window).heat_map, "by its box");
    let mut window = self::window(samples::session(samples::holes_only()));
    check_waits(&mut window, Action::HeatMap, "waits for the scale");
}

fn sheet() {
    let mut window = window_of(samples::session(samples::plate()), [720.0, 450.0]);
    let is_there = |window: &Window| window.query_all_by_label("Fit sheet").next().is_some();
    assert!(!screen(&window).drawer_open && !is_there(&window), "a drawer, and shut");
    press_key_of(&mut window, Action::Sheet);
    assert!(screen(&window).drawer_open && is_there(&window), "out");
    press_key_of(&mut window, Action::Sheet);
    assert!(!screen(&window).drawer_open && !is_there(&window), "and shut again");
    assert_eq!(Action::Sheet.waits_for(&Session::default()), None, "it never waits");
}

fn other_theme() {
    let mut window = plate_at(Operation::Photo);
    press_key_of(&mut window, Action::OtherTheme);
    assert_eq!(session(&window).settings.theme, Theme::NightShift, "by its key");
    assert!(window.ctx.global_style().visuals.dark_mode, "and it is drawn so");
    click(&mut window, Action::OtherTheme.row().name);
    assert_eq!(session(&window).settings.theme, Theme::Paper, "by its button");
    assert_eq!(Action::OtherTheme.waits_for(&Session::default()), None, "it never waits");
}

fn step_out() {
    let mut window = window(plate(4, Operation::Holes));
    for (what, prepare, is_left) in left_by_esc() {
        prepare(&mut window);
        assert!(!is_left(&window), "{what} is under way");
        press_key_of(&mut window, Action::StepOut);
        assert!(is_left(&window), "Esc leaves {what}");
    }
    assert_eq!(job(&window).edges.len(), 0, "and the job is as it was");
}

type Prepare = fn(&mut Window);
type IsLeft = fn(&Window) -> bool;

/// What Esc leaves, how it is begun, and that it is left.
fn left_by_esc() -> [(&'static str, Prepare, IsLeft); 7] {
    [
        (
            "what is chosen",
            |w| w.state_mut().session.screen.chosen = Some(Chosen::Hole("h1".into())),
            |w| screen(w).chosen.is_none(),
        ),
        ("a measure", |w| send(w, Command::Do(Action::Edge)), |w| screen(w).draft.is_none()),
        ("a statement", |w| press(w, Modifiers::NONE, Key::Q), |w| screen(w).stating.is_none()),
        ("a proposal", |w| press(w, Modifiers::NONE, Key::P), |w| !screen(w).proposing),
        ("a question", |w| press(w, Modifiers::NONE, Key::F1), |w| screen(w).asking.is_none()),
        (
            "an error",
            |w| w.state_mut().session.screen.error = Some("It broke.".to_owned()),
            |w| screen(w).error.is_none(),
        ),
        (
            "a search",
            |w| {
                send(w, Command::Do(Action::Operation(Operation::Holes)));
                w.state_mut().session.screen.working = Some("Looking".to_owned());
            },
            |w| screen(w).working.is_none(),
        ),
    ]
}

fn keys() {
    let mut window = plate_at(Operation::Photo);
    press_key_of(&mut window, Action::Keys);
    assert_eq!(screen(&window).asking, Some(Asking::Keys), "by its key");
    window.run_steps(8);
    assert!(window.query_by_label("Type the next measure").is_some(), "the list is there");
    press(&mut window, Modifiers::NONE, Key::Enter);
    assert_eq!(screen(&window).asking, None, "Enter puts it away");
    click(&mut window, Action::Keys.row().name);
    assert_eq!(screen(&window).asking, Some(Asking::Keys), "by its button");
    assert_eq!(Action::Keys.waits_for(&Session::default()), None, "it never waits");
}
