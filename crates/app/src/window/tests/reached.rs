//! Every control at every operation and question has a name, is large enough to be hit, and is reached by Tab; lists are
//! gone through by keys.

use super::stands::{self, SIZE, Stand, window_on};
use super::{Window, frame_with, key_events, press, screen};
use crate::session::{Chosen, Instrument, Operation};
use crate::sheets::samples;
use crate::theme::{ROUTE_WIDTH, SHEET_WIDTH, STATUS_HEIGHT, TARGET, TITLE_HEIGHT, Theme};
use egui::accesskit::{Action, Role};
use egui::{Key, Modifiers};
use egui_kittest::Node;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use std::collections::{BTreeMap, BTreeSet};

fn all() -> Vec<Stand> {
    stands::operations().into_iter().chain(stands::questions()).collect()
}

/// What the keyboard can reach, by the identity that a screen reader has, with role and name: of a question over the
/// window only what is in it.
fn focusable(window: &Window) -> BTreeMap<String, String> {
    let is_asked = screen(window).asking.is_some();
    let layers: Vec<_> = window.root().children().collect();
    let in_front = |node: &&Node<'_>| node.children_recursive().any(|inner| inner.is_focused());
    let nodes: Vec<_> = match layers.iter().find(in_front).filter(|_| is_asked) {
        Some(layer) => layer.children_recursive().collect(),
        None => window.root().children_recursive().collect(),
    };
    let found = nodes.iter().filter_map(|node| {
        let accessible = node.accesskit_node();
        let takes_keys = accessible.data().supports_action(Action::Focus);
        let name = format!("{:?} {}", accessible.role(), accessible.label().unwrap_or_default());
        takes_keys.then(|| (id_of(node), name))
    });
    found.collect()
}

fn id_of(node: &Node<'_>) -> String {
    format!("{:?}", node.accesskit_node().id())
}

fn focused(window: &Window) -> Option<String> {
    window.root().children_recursive().find(Node::is_focused).map(|node| id_of(&node))
}

fn press_tab(window: &mut Window) {
    frame_with(window, key_events(Modifiers::NONE, Key::Tab));
    window.step();
}

#[test]
fn every_control_has_a_name_and_is_large_enough_in_both_themes() {
    let roles = [Role::Button, Role::Link, Role::CheckBox, Role::RadioButton, Role::TextInput, Role::ComboBox];
    for theme in [Theme::Paper, Theme::NightShift] {
        for stand in all() {
            let of = &stand.words;
            let mut session = (stand.make)();
            session.settings.theme = theme;
            let window = window_on(session);
            let nodes = window.root().children_recursive();
            let controls: Vec<_> = nodes.filter(|node| roles.contains(&node.accesskit_node().role())).collect();
            assert!(controls.len() >= 3, "{of}: {} controls", controls.len());
            for node in controls {
                let name = node.accesskit_node().label().unwrap_or_default();
                let size = node.rect().size();
                assert!(!name.trim().is_empty(), "{of}, {theme:?}: a control without a name at {:?}", node.rect());
                assert!(size.min_elem() >= TARGET - 0.1, "{of}, {theme:?}: ‘{name}’ is {size:?}");
                assert!(node.rect().right() <= SIZE[0] + 0.1, "{of}, {theme:?}: ‘{name}’ at {:?}", node.rect());
            }
        }
    }
}

#[test]
fn tab_reaches_every_control() {
    for stand in all() {
        let mut window = stand.window();
        press_tab(&mut window);
        let wanted = focusable(&window);
        assert!(!wanted.is_empty(), "{}: nothing takes the keyboard", stand.words);
        let mut reached = BTreeSet::new();
        for _ in 0..2 * wanted.len() + 4 {
            reached.extend(focused(&window));
            if wanted.keys().all(|id| reached.contains(id)) {
                break;
            }
            press_tab(&mut window);
        }
        let missed: Vec<_> = wanted.iter().filter(|(id, _)| !reached.contains(*id)).map(|(_, name)| name).collect();
        assert!(missed.is_empty(), "{}: Tab passes over {missed:?}", stand.words);
    }
}

#[test]
fn tab_goes_from_the_route_over_the_photo_to_the_sheet() {
    let mut session = samples::session(samples::plate());
    session.screen.operation = Operation::Measures;
    let mut window = window_on(session);
    let mut order: Vec<&str> = Vec::new();
    for _ in 0..200 {
        press_tab(&mut window);
        let Some(node) = window.root().children_recursive().find(Node::is_focused) else { continue };
        let at = node.rect().center();
        let is_between = at.y > TITLE_HEIGHT && at.y < SIZE[1] - STATUS_HEIGHT;
        let room = match at.x {
            _ if !is_between => continue,
            x if x < ROUTE_WIDTH => "route",
            x if x > SIZE[0] - SHEET_WIDTH => "sheet",
            _ => "photo",
        };
        if order.last() != Some(&room) {
            order.push(room);
        }
    }
    assert!(order.starts_with(&["route", "photo", "sheet", "route"]), "{order:?}");
}

/// Opens the list that has the keyboard, goes down and takes what is there.
fn take_below(window: &mut Window, name: &str, times: usize) {
    window.get_by_role_and_label(Role::ComboBox, name).focus();
    window.run_steps(2);
    press(window, Modifiers::NONE, Key::Enter);
    for _ in 0..times {
        press(window, Modifiers::NONE, Key::ArrowDown);
    }
    press(window, Modifiers::NONE, Key::Enter);
}

#[test]
fn a_list_is_opened_gone_through_taken_from_and_left_by_keys() {
    let mut session = samples::session(samples::plate());
    session.screen.operation = Operation::Measures;
    session.screen.chosen = Some(Chosen::Hole("h1".into()));
    let mut window = window_on(session);
    let combo = |window: &Window| window.get_by_role_and_label(Role::ComboBox, "Measured with").is_focused();
    take_below(&mut window, "Measured with", 2);
    assert_eq!(screen(&window).instrument, Instrument::Tape, "two below the caliper");
    assert!(combo(&window), "and the keyboard is back at the box");
    take_below(&mut window, "Measured with", 0);
    assert_eq!(screen(&window).instrument, Instrument::Tape, "the list opens at what is chosen");
    press(&mut window, Modifiers::NONE, Key::Enter);
    press(&mut window, Modifiers::NONE, Key::ArrowUp);
    press(&mut window, Modifiers::NONE, Key::Escape);
    assert_eq!(screen(&window).instrument, Instrument::Tape, "Esc takes nothing");
    assert!(combo(&window), "the keyboard is back at the box");
    assert_eq!(screen(&window).chosen, Some(Chosen::Hole("h1".into())), "and nothing else is left by it");
    let items = window.query_all_by_label_contains("Own instrument").count();
    assert_eq!(items, 0, "the list is shut");
}

#[test]
fn a_field_reached_by_tab_is_typed_over_and_one_that_is_clicked_is_not() {
    let mut session = samples::session(samples::plate());
    session.screen.operation = Operation::Photo;
    let mut window = window_on(session);
    let name = "Name of the part";
    let value = |window: &Window| {
        let node = window.get_by_role_and_label(Role::TextInput, name);
        node.accesskit_node().value().unwrap_or_default()
    };
    let reached = (0..60).any(|_| {
        press(&mut window, Modifiers::NONE, Key::Tab);
        window.get_by_role_and_label(Role::TextInput, name).is_focused()
    });
    assert!(reached, "by Tab");
    frame_with(&mut window, [egui::Event::Text("Vat lid".to_owned())]);
    window.run_steps(2);
    assert_eq!(value(&window), "Vat lid", "typing replaces it");
    press(&mut window, Modifiers::NONE, Key::Enter);
    window.get_by_role_and_label(Role::TextInput, name).click();
    window.run_steps(3);
    frame_with(&mut window, [egui::Event::Text("!".to_owned())]);
    window.run_steps(2);
    let typed = value(&window);
    assert!(typed.len() == 8 && typed.contains('!'), "a click says where the typing goes on: {typed}");
}
