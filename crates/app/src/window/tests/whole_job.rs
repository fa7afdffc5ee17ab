//! The whole job by keyboard alone: no pointer event at all, from an empty window over the photo of the demo to a cut file
//! with every hole of it.

use super::{Window, frame_with, job, key_events, screen, session, settled, until, window};
use crate::files;
use crate::session::{Operation, Session};
use egui::{Event, Key, Modifiers};
use egui_kittest::Node;
use egui_kittest::kittest::Queryable as _;
use platewright_core::job::{Hole, Id, Job, MeasureKind, read};
use platewright_core::solution::NextMeasure;
use platewright_core::space::{PhotoPoint, PlatePoint};
use std::fs;
use std::path::Path;

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

    /// Tab until the control of that name has the keyboard.
    fn tab_to(&mut self, name: &str) {
        for _ in 0..200 {
            if self.window.query_all_by_label(name).any(|node| node.is_focused()) {
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

/// A hole of the demo: where it is seen, px, where it is expected to be and how wide, mm.
struct DemoHole {
    seen: PhotoPoint,
    at: PlatePoint,
    diameter: f64,
}

/// The holes of the demo, by the results that are expected of it.
fn demo_holes(path: &Path, demo: &Job) -> Vec<DemoHole> {
    let expected = path.with_file_name("expected").join("milk-valve-flange.solve.json");
    let expected: serde_json::Value = serde_json::from_str(&fs::read_to_string(expected).unwrap()).unwrap();
    let figure = |index: usize, key: &str| expected["holes"][index][key].as_f64().unwrap();
    let hole = |(index, hole): (usize, &Hole)| DemoHole {
        seen: hole.rim[0].lerp(hole.rim[2], 0.5),
        at: PlatePoint::new(figure(index, "x_mm"), figure(index, "y_mm")),
        diameter: figure(index, "diameter_mm"),
    };
    demo.holes.iter().enumerate().map(hole).collect()
}

/// What a caliper reads there on the part of the demo, mm.
fn reading(next: &NextMeasure, window: &Window, truth: &[DemoHole]) -> f64 {
    let solution = &session(window).results.solution;
    let of = |id: &Id| {
        let centre = solution.holes.iter().find(|fit| fit.id == *id).expect("it is found").centre;
        let at = solution.map.and_then(|map| map.photo_from_plate(centre)).expect("it is seen");
        truth.iter().min_by(|a, b| a.seen.distance(at).total_cmp(&b.seen.distance(at))).expect("the demo has holes")
    };
    let holes: Vec<&DemoHole> = next.between.iter().map(of).collect();
    let radii: f64 = holes.iter().map(|hole| hole.diameter / 2.0).sum();
    let apart = holes.first().zip(holes.get(1)).map_or(0.0, |(a, b)| a.at.distance(b.at));
    match next.kind {
        MeasureKind::FarRims => apart + radii,
        MeasureKind::NearRims => apart - radii,
        MeasureKind::Diameter => 2.0 * radii,
        _ => apart,
    }
}

#[test]
#[expect(clippy::print_stdout, reason = "the number of actions is the point")]
fn a_photo_becomes_a_cut_file_by_keyboard_alone() {
    let demo_path = files::demo_job().expect("the demo is there");
    let demo = read(&fs::read_to_string(&demo_path).unwrap()).unwrap();
    let truth = demo_holes(&demo_path, &demo);
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
    typist.plain(Key::F);
    until(&mut typist.window, "rims are offered", |session| session.screen.offers.is_some());
    typist.tab_to("Tick all");
    typist.plain(Key::Space);
    typist.plain(Key::A);
    assert_eq!(job(&typist.window).holes.len(), demo.holes.len(), "every hole and nothing else");
    settled(&mut typist.window);
    for _ in 0..4 {
        let next = session(&typist.window).asked_next().cloned().expect("a measure is asked for");
        let mm = reading(&next, &typist.window, &truth);
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
    typist.press(Modifiers::COMMAND, Key::E);
    assert!(screen(&typist.window).asking.is_some(), "nothing fails: {:?}", session(&typist.window).results.checks);
    typist.window.run_steps(2);
    typist.plain(Key::Enter);
    let cut = photo.with_extension("dxf");
    until(&mut typist.window, "the cut file is written", |session| {
        session.screen.said.as_ref().is_some_and(|said| said.contains("is written"))
    });
    let circles = fs::read_to_string(&cut).unwrap().lines().filter(|line| line.trim() == "CIRCLE").count();
    assert_eq!(circles, demo.holes.len(), "every hole is in it");
    println!("{} actions by keyboard alone from an empty window to the cut file", typist.actions);
}
