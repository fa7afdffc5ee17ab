//! Every field at every operation and question, with what nobody should type and somebody will.

use super::stands::{self, SIZE, Stand};
use super::{Window, frame_with, key_events, session};
use crate::session::Session;
use crate::theme::TARGET;
use egui::accesskit::Role;
use egui::{Event, Key, MissingGlyphPolicy, Modifiers, Rect};
use egui_kittest::Node;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use platewright_core::job::{Job, read, write};
use std::collections::BTreeSet;

/// What is typed into every field.
fn nasty() -> Vec<String> {
    let short = ["", "abc", "-5", "0", "1e308", "NaN", "inf", "1,5", "12.5 in", "½", "🔩🪛", "שלום 12 עולם"];
    short.map(str::to_owned).into_iter().chain([String::from("7").repeat(10_000)]).collect()
}

/// A field as a screen reader has it.
#[derive(Debug, Clone, PartialEq)]
struct FieldSeen {
    name: String,
    value: String,
    rect: Rect,
}

fn field(node: &Node<'_>) -> FieldSeen {
    let accessible = node.accesskit_node();
    FieldSeen {
        name: accessible.label().unwrap_or_default(),
        value: accessible.value().unwrap_or_default(),
        rect: node.rect(),
    }
}

fn fields(window: &Window) -> Vec<FieldSeen> {
    window.query_all_by_role(Role::TextInput).map(|node| field(&node)).collect()
}

fn sentences(window: &Window) -> BTreeSet<String> {
    let nodes = window.root().children_recursive();
    let texts = nodes.filter_map(|node| {
        let accessible = node.accesskit_node();
        accessible.label().or(accessible.value())
    });
    texts.filter(|text| text.trim_end().ends_with('.')).collect()
}

/// What a field can change: the job, and what is on screen or outlives it.
fn changed_by_fields(session: &Session) -> (Option<Job>, String) {
    let job = session.document.as_ref().map(|document| document.job().clone());
    let screen = &session.screen;
    let rest = (&screen.instrument, &screen.draft, &screen.stating, &screen.path_text, &screen.start_path);
    (job, format!("{rest:?} {:?} {:?} {:?}", session.settings.proof, screen.asking, screen.adding))
}

/// Types over what stands in a field, and ends with Enter.
fn type_into(window: &mut Window, name: &str, text: &str) {
    window.get_by_role_and_label(Role::TextInput, name).focus();
    window.step();
    window.step();
    let over = if text.is_empty() { key_events(Modifiers::NONE, Key::Delete).to_vec() } else { vec![] };
    frame_with(window, over.into_iter().chain((!text.is_empty()).then(|| Event::Text(text.to_owned()))));
    frame_with(window, key_events(Modifiers::NONE, Key::Enter));
    window.run_steps(2);
}

/// What reaches out of the window; the text within a field is cut off at the field's sides.
fn overflowing(window: &Window) -> Option<String> {
    let out = |node: &Node<'_>| {
        let accessible = node.accesskit_node();
        // What has no place of its own holds others.
        let rect = accessible.bounding_box().filter(|_| accessible.role() != Role::TextRun)?;
        let label: String = accessible.label().unwrap_or_default().chars().take(60).collect();
        // What lies on the photo may be out of sight.
        let side = f64::from(TARGET);
        let is_on_photo = (rect.width() - side).abs() < 0.01 && (rect.height() - side).abs() < 0.01;
        let is_out = !is_on_photo && (rect.x0 < -0.5 || rect.x1 > f64::from(SIZE[0]) + 0.5);
        is_out.then(|| format!("‘{label}’ reaches out of the window: {rect:?}"))
    };
    window.root().children_recursive().find_map(|node| out(&node))
}

/// Types one value into one field of a window; what is wrong with what became of it.
fn problem_with(window: &mut Window, before: &FieldSeen, text: &str) -> Option<String> {
    let (changeable, said) = (changed_by_fields(session(window)), sentences(window));
    type_into(window, &before.name, text);
    if let Some(job) = session(window).document.as_ref().map(|document| document.job().clone()) {
        match read(&write(&job)) {
            Ok(again) if again == job => {}
            Ok(_) => return Some("the job is another one once it is read again".to_owned()),
            Err(problem) => return Some(format!("the job is no longer valid: {problem}")),
        }
    }
    if let Some(overflowing) = overflowing(window) {
        return Some(overflowing);
    }
    let now = fields(window).into_iter().find(|field| field.name == before.name);
    if let Some(now) = &now {
        let same_place = (now.rect.left() - before.rect.left()).abs() < 0.6;
        let same_width = (now.rect.width() - before.rect.width()).abs() < 12.0;
        if !same_place || !same_width {
            return Some(format!("the field does not keep its place: {:?}, {:?}", before.rect, now.rect));
        }
    }
    let is_taken = changed_by_fields(session(window)) != changeable;
    let is_said = sentences(window).difference(&said).next().is_some();
    let is_as_before = text.trim() == before.value.trim() || now.is_some_and(|now| now.value == before.value);
    let is_answered = is_taken || is_said || is_as_before;
    (!is_answered).then(|| "it is neither taken, nor refused with a sentence, nor put back".to_owned())
}

/// The window of a stand. It draws a box for a sign that its typeface lacks, as it does outside of tests.
fn window_of(stand: &Stand) -> Window {
    let mut window = stand.window();
    window.ctx.set_missing_glyph_policy(MissingGlyphPolicy::Tofu);
    window.run_steps(2);
    window
}

/// The field takes a path.
fn is_path(name: &str) -> bool {
    name.starts_with("Path of") || name == "Where a photo or a job is"
}

/// Puts the session back and forgets what was typed.
fn begin_again(window: &mut Window, stand: &Stand) {
    window.ctx.data_mut(egui::util::IdTypeMap::clear);
    window.state_mut().session = (stand.make)();
    window.run_steps(3);
}

/// Types everything into every field of the stands; a window that was changed is made anew. What is wrong, and how many
/// fields there are.
fn try_fields(stands: &[Stand]) -> (Vec<String>, usize) {
    let (mut problems, mut done) = (Vec::new(), BTreeSet::new());
    for stand in stands {
        let mut window = window_of(stand);
        let first = fields(&window);
        let as_made = changed_by_fields(session(&window));
        // A field that stands at several operations is the same one.
        let new: Vec<&FieldSeen> = first.iter().filter(|field| done.insert(field.name.clone())).collect();
        for (before, text) in new.iter().flat_map(|field| nasty().into_iter().map(move |text| (*field, text))) {
            if fields(&window) != first || changed_by_fields(session(&window)) != as_made {
                begin_again(&mut window, stand);
            }
            // A path is taken by its word, and nothing is to be written beside the tests.
            let text = if is_path(&before.name) { format!("/no-such-folder/{text}") } else { text };
            if let Some(problem) = problem_with(&mut window, before, &text) {
                let shown: String = text.chars().take(20).collect();
                problems.push(format!("{}, ‘{}’ given ‘{shown}’: {problem}", stand.words, before.name));
            }
        }
    }
    (problems, done.len())
}

#[test]
fn no_field_of_the_demo_job_is_broken_by_what_is_typed() {
    let (problems, count) = try_fields(&stands::operations());
    assert!(problems.is_empty(), "{}", problems.join("\n"));
    assert!(count >= 30, "{count} fields were found");
}

#[test]
fn no_field_of_a_question_is_broken_by_what_is_typed() {
    let (problems, count) = try_fields(&stands::questions());
    assert!(problems.is_empty(), "{}", problems.join("\n"));
    assert!(count >= 4, "{count} fields were found");
}

#[test]
fn what_cannot_be_is_refused_with_the_limit() {
    for (operation, name, text, said) in [
        ("60", "Width of the cut", "500", "The kerf is 500 mm, and no kerf is wider than 10 mm."),
        (
            "60",
            "The cutter cuts to",
            "2000",
            "What the cutter cuts to is 2000 mm, and no cutter is farther off than 10 mm.",
        ),
        (
            "20 with a hole",
            "Finished diameter",
            "32000",
            "The size to cut to is 32000 mm, and no hole is wider than 10000 mm.",
        ),
        ("20 with a hole", "Fastener", "banana", "“banana” is no fastener: a size has a figure in it"),
        ("40 with a circle that was added", "How many on the circle", "100000", "It has to be from 1 to 360."),
    ] {
        let all = stands::operations();
        let stand = all.iter().find(|stand| stand.words == operation).unwrap();
        let mut window = window_of(stand);
        let before = changed_by_fields(session(&window));
        type_into(&mut window, name, text);
        assert_eq!(changed_by_fields(session(&window)), before, "{name} {text}: nothing is taken");
        let sentences = sentences(&window);
        assert!(sentences.iter().any(|sentence| sentence.contains(said)), "{name} {text}: {sentences:?}");
    }
}
