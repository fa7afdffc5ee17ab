//! The whole job by keyboard alone: no pointer event at all, from an empty window over the photo of the demo to a cut file
//! with every hole of it.

use super::{Window, frame_with, job, key_events, screen, session, settled, until, window};
use crate::files;
use crate::guide::{DrawnHole, Practice};
use crate::session::{Operation, Session};
use egui::{Event, Key, Modifiers};
use egui_kittest::Node;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use platewright_core::job::{Id, read};
use platewright_core::solution::{NextMeasure, said_fastener};
use platewright_core::space::PhotoPoint;
use std::fs;

/// Who does the job, and how many keys and values it took.
struct Typist {
    window: Window,
    actions: usize,
}

impl Typist {
    fn press(&mut self, modifiers: Modifiers, key: Key) {
        self.press_times(modifiers, key, 1);
    }

    fn press_times(&mut self, modifiers: Modifiers, key: Key, times: usize) {
        if times > 0 {
            frame_with(&mut self.window, (0..times).flat_map(|_| key_events(modifiers, key)));
            self.window.run_steps(2);
        }
        self.actions += times;
    }

    fn plain(&mut self, key: Key) {
        self.press(Modifiers::NONE, key);
    }

    /// A value with its Enter, into the field that has the keyboard.
    fn type_value(&mut self, text: &str) {
        let field = self.window.query_all_by_role(egui::accesskit::Role::TextInput).find(Node::is_focused);
        assert!(field.is_some(), "a field has the keyboard for ‘{text}’");
        frame_with(&mut self.window, [Event::Text(text.to_owned())]);
        frame_with(&mut self.window, key_events(Modifiers::NONE, Key::Enter));
        self.window.run_steps(3);
        self.actions += 1;
    }

    /// Tab until a control whose name begins so has the keyboard.
    fn tab_to(&mut self, name: &str) {
        for _ in 0..200 {
            // The name goes on with what the control is about.
            let is_it = |node: &Node<'_>| {
                node.is_focused() && node.accesskit_node().label().is_some_and(|label| label.starts_with(name))
            };
            if self.window.query_all_by_label_contains(name).any(|node| is_it(&node)) {
                return;
            }
            self.plain(Key::Tab);
        }
        panic!("Tab does not reach ‘{name}’");
    }

    /// Moves the mark to a place and presses Space there.
    fn click(&mut self, to: PhotoPoint) {
        if !self.window.get_by_label_contains("The mark").is_focused() {
            self.plain(Key::M);
        }
        for [less, more] in [[Key::ArrowLeft, Key::ArrowRight], [Key::ArrowUp, Key::ArrowDown]] {
            for (modifiers, step) in
                [(Modifiers::COMMAND, 40.0 / screen(&self.window).look.zoom), (Modifiers::NONE, 1.0)]
            {
                let left = to - screen(&self.window).pointer.expect("the mark is out");
                let left = if less == Key::ArrowLeft { left.x } else { left.y };
                let times = (left.abs() / step + 1e-6).floor() as usize;
                self.press_times(modifiers, if left < 0.0 { less } else { more }, times);
            }
        }
        self.plain(Key::Space);
    }
}

/// What a caliper reads there on the plate as it was drawn, mm.
fn reading(next: &NextMeasure, window: &Window, drawn: &Practice) -> f64 {
    let solution = &session(window).results.solution;
    let seen = |id: &Id| {
        let centre = solution.holes.iter().find(|fit| fit.id == *id)?.centre;
        solution.map?.photo_from_plate(centre)
    };
    let centres: Vec<PhotoPoint> = next.between.iter().filter_map(seen).collect();
    drawn.reading(next.kind, &centres).expect("the measure is one of holes")
}

/// A circle that is cut: its middle and its diameter, mm. Group codes 10, 20 and 40 of a CIRCLE.
type Circle = ([f64; 2], f64);

fn circles(dxf: &str) -> Vec<Circle> {
    let lines: Vec<&str> = dxf.lines().map(str::trim).collect();
    let pairs: Vec<(&str, &str)> = lines.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect();
    let starts = pairs.iter().enumerate().filter(|(_, pair)| **pair == ("0", "CIRCLE")).map(|(at, _)| at);
    let figure = |start: usize, code: &str| {
        let found = pairs[start + 1..].iter().take_while(|pair| pair.0 != "0").find(|pair| pair.0 == code);
        found.and_then(|pair| pair.1.parse().ok()).expect("a circle has its figures")
    };
    starts.map(|at| ([figure(at, "10"), figure(at, "20")], 2.0 * figure(at, "40"))).collect()
}

/// How far the circles are off the drawing at most, mm: those of a size of their own by their distances, all by their
/// diameters.
fn worst_off(cut: &[Circle], drawn: &Practice) -> f64 {
    let nearest = |diameter: f64| cut.iter().min_by(|a, b| (a.1 - diameter).abs().total_cmp(&(b.1 - diameter).abs()));
    let found: Vec<(&Circle, &DrawnHole)> =
        drawn.holes.iter().filter_map(|hole| Some((nearest(hole.diameter_mm)?, hole))).collect();
    let apart = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]);
    let is_alone = |hole: &DrawnHole| {
        drawn.holes.iter().filter(|other| (other.diameter_mm - hole.diameter_mm).abs() < 0.1).count() == 1
    };
    let alone: Vec<&(&Circle, &DrawnHole)> = found.iter().filter(|(_, hole)| is_alone(hole)).collect();
    let distances = alone.iter().flat_map(|a| alone.iter().map(move |b| (a, b)));
    let off = distances.map(|(a, b)| (apart(a.0.0, b.0.0) - apart(a.1.at_mm, b.1.at_mm)).abs());
    off.chain(found.iter().map(|(circle, hole)| (circle.1 - hole.diameter_mm).abs())).fold(0.0, f64::max)
}

#[test]
#[expect(clippy::print_stdout, reason = "the number of actions is the point")]
fn a_photo_becomes_a_cut_file_by_keyboard_alone() {
    let demo_path = files::demo_job().expect("the demo is there");
    let demo = read(&fs::read_to_string(&demo_path).unwrap()).unwrap();
    let (_, drawn) = files::practice().expect("the demo's drawing is there");
    let folder = tempfile::tempdir().unwrap();
    let photo = folder.path().join("milk-valve-flange.jpg");
    fs::copy(demo_path.with_file_name("milk-valve-flange.jpg"), &photo).unwrap();
    let mut typist = Typist { window: window(Session::default()), actions: 0 };

    typist.press(Modifiers::COMMAND, Key::O);
    typist.type_value(&photo.display().to_string());
    until(&mut typist.window, "the photo is open", |session| session.document.is_some());
    for pick in &demo.holes[0].rim {
        typist.click(*pick);
    }
    settled(&mut typist.window);
    typist.tab_to("Fastener");
    typist.type_value("M8");
    typist.plain(Key::F);
    until(&mut typist.window, "rims are offered", |session| session.screen.offers.is_some());
    typist.tab_to("Tick all");
    typist.plain(Key::Space);
    typist.plain(Key::A);
    assert_eq!(job(&typist.window).holes.len(), demo.holes.len(), "every hole and nothing else");
    settled(&mut typist.window);
    typist.tab_to("H3");
    typist.plain(Key::Enter);
    typist.tab_to("Fastener");
    typist.type_value("M6");
    typist.tab_to("Group with 1 hole like it");
    typist.plain(Key::Space);
    for _ in 0..4 {
        let next = session(&typist.window).asked_next().cloned().expect("a measure is asked for");
        let mm = reading(&next, &typist.window, &drawn);
        typist.plain(Key::T);
        typist.type_value(&format!("{mm:.2}"));
        settled(&mut typist.window);
    }
    typist.plain(Key::P);
    typist.click(PhotoPoint::new(2300.0, 1150.0));
    until(&mut typist.window, "an outline is proposed", |session| session.screen.proposal.is_some());
    typist.plain(Key::Enter);
    settled(&mut typist.window);
    typist.plain(Key::Num6);
    assert_eq!(screen(&typist.window).operation, Operation::Cut);
    typist.tab_to("Thickness of the sheet");
    typist.type_value("5");
    typist.press(Modifiers::COMMAND, Key::E);
    assert!(screen(&typist.window).asking.is_some(), "nothing fails: {:?}", session(&typist.window).results.checks);
    typist.window.run_steps(2);
    typist.plain(Key::Enter);
    let cut = photo.with_extension("dxf");
    until(&mut typist.window, "the cut file is written", |session| {
        session.screen.said.as_ref().is_some_and(|said| said.contains("is written"))
    });
    let circles = circles(&fs::read_to_string(&cut).unwrap());
    assert_eq!(circles.len(), demo.holes.len(), "every hole is in it");
    let fasteners = job(&typist.window).holes.iter().filter(|hole| said_fastener(job(&typist.window), hole).is_some());
    assert_eq!(fasteners.count(), 4, "the studs are said");
    let off = worst_off(&circles, &drawn);
    assert!(off < 0.1, "off the drawing by {off} mm");
    println!("{} actions by keyboard alone from an empty window to the cut file", typist.actions);
}
