//! The whole job in a real window, by pointer and keys only: from an empty window over the photo of the demo to a cut file
//! with every hole where it is, within the ± that is said of it.
//!
//! Every action is counted. An action is one click, one key or chord pressed, or one value typed with the Enter that ends
//! it; looking and waiting are none.
#![expect(clippy::unwrap_used, reason = "what fails here is a failed check")]

use platewright::files::opening::Opening;
use platewright::session::{Document, Session};
use platewright_core::job::{Edit, Hole, Job};
use platewright_core::space::PhotoPoint;
use platewright_tests::screen::Screen;
use platewright_tests::{judge, project_dir, skip};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::sync::Arc;

/// The most actions that a part of seven holes may take.
const MOST_ACTIONS: usize = 30;
/// As many measures make every check hold that looks at them.
const MEASURES: usize = 4;
/// The card and the sheet: left, top, width and height in points.
const CARD: [u32; 4] = [0, 48, 216, 816];
const SHEET: [u32; 4] = [1068, 48, 372, 816];
/// From the beginning of a label of the card into its field, points.
const INTO_FIELD: f64 = 90.0;

/// Who does the job, and how many actions it took.
struct Person {
    screen: Screen,
    actions: Vec<String>,
}

impl Person {
    fn did(&mut self, what: impl Into<String>) {
        self.actions.push(what.into());
    }

    fn key(&mut self, key: &str) {
        self.screen.key(key);
        self.did(format!("key {key}"));
    }

    fn click(&mut self, place: PhotoPoint) {
        self.screen.click(place);
        self.did(format!("click at {:.0}, {:.0}", place.x, place.y));
    }

    fn click_words(&mut self, panel: [u32; 4], words: &str, beside: f64) {
        self.screen.click_words(panel, words, beside);
        self.did(format!("click on {words}"));
    }

    /// A value with its Enter.
    fn type_value(&mut self, value: &str) {
        self.screen.type_text(value);
        self.screen.key("Return");
        self.did(format!("type {value}"));
    }
}

/// A hole as it is: where it is, and how wide, mm.
#[derive(Debug, Clone, Copy)]
struct True {
    at: [f64; 2],
    diameter: f64,
}

/// The holes as the plate on the photo was drawn, by their ids in the demo job.
fn truth(demo: &Job) -> BTreeMap<String, True> {
    let text = fs::read_to_string(project_dir().join("demo/practice.json")).unwrap();
    let drawn: Value = serde_json::from_str(&text).unwrap();
    let pair = |hole: &Value, key: &str| [0, 1].map(|index| hole[key][index].as_f64().unwrap());
    let one = |hole: &Value| {
        let [u, v] = pair(hole, "at_px");
        let id = demo_hole(demo, PhotoPoint::new(u, v)).id.0.clone();
        (id, True { at: pair(hole, "at_mm"), diameter: hole["diameter_mm"].as_f64().unwrap() })
    };
    drawn["holes"].as_array().unwrap().iter().map(one).collect()
}

fn demo_job() -> Job {
    let text = fs::read_to_string(project_dir().join("demo/milk-valve-flange.plate.json")).unwrap();
    platewright_core::job::read(&text).unwrap()
}

/// Middle of a hole of the demo, px: its first and last pick face each other.
fn middle(hole: &Hole) -> PhotoPoint {
    hole.rim[0].lerp(hole.rim[2], 0.5)
}

/// The hole of the demo that lies round a place.
fn demo_hole(demo: &Job, at: PhotoPoint) -> &Hole {
    demo.holes.iter().min_by(|a, b| middle(a).distance(at).total_cmp(&middle(b).distance(at))).unwrap()
}

/// Which hole of the demo each name will be, once the others were found from `first`: names go by the order of the list.
fn names(photo: &Path, demo: &Job, first: &[PhotoPoint]) -> BTreeMap<String, String> {
    let opened = Opening::file(photo.to_path_buf()).open(None).unwrap();
    let mut job = opened.job;
    let hole = Hole { name: "H1".to_owned(), rim: first.to_vec(), group: None, ..demo.holes[0].clone() };
    job.apply(Edit::AddHole(hole)).unwrap();
    let document = Document::new(job, None, Arc::new(opened.photo));
    let mut session = Session { document: Some(document), ..Session::default() };
    session.refresh();
    let mut offers = session.search().unwrap().run(&|| true).unwrap();
    offers.rims.iter_mut().for_each(|rim| rim.is_ticked = true);
    let edits = offers.edits(session.document.as_ref().unwrap().job());
    let found = edits.into_iter().filter_map(|edit| match edit {
        Edit::AddHole(hole) => {
            let [a, b, c] = [hole.rim[0], hole.rim[1], hole.rim[2]];
            let middle = PhotoPoint::new((a.x + b.x + c.x) / 3.0, (a.y + b.y + c.y) / 3.0);
            Some((hole.name, demo_hole(demo, middle).id.0.clone()))
        }
        _ => None,
    });
    found.chain([("H1".to_owned(), demo.holes[0].id.0.clone())]).collect()
}

/// What a caliper reads where the status line says, mm; `None` where no such sentence stands there.
fn reading(status: &str, names: &BTreeMap<String, String>, truth: &BTreeMap<String, True>) -> Option<f64> {
    // Small type makes a 1 look like other strokes.
    let as_name = |word: &str| {
        let digits = word.trim_matches(|c: char| !c.is_alphanumeric()).strip_prefix('H')?;
        Some(format!("H{}", digits.replace(['l', 'I', 'i', '|'], "1").replace('Z', "2").replace('S', "5")))
    };
    let of = |name: String| truth.get(names.get(&name)?).copied();
    let after = |words: &str| {
        let (_, rest) = status.split_once(words)?;
        Some(rest.split_whitespace().filter_map(as_name).filter_map(of).collect::<Vec<True>>())
    };
    let apart = |holes: &[True]| match holes {
        [a, b] => Some(((a.at[0] - b.at[0]).hypot(a.at[1] - b.at[1]), f64::midpoint(a.diameter, b.diameter))),
        _ => None,
    };
    let far = || after("far sides of").and_then(|holes| apart(&holes)).map(|(apart, radii)| apart + radii);
    let near = || after("near sides of").and_then(|holes| apart(&holes)).map(|(apart, radii)| apart - radii);
    let centres = || after("centre to centre of").and_then(|holes| apart(&holes)).map(|(apart, _)| apart);
    let across = || after("across").and_then(|holes| holes.first().map(|hole| hole.diameter));
    far().or_else(near).or_else(centres).or_else(across)
}

/// Where a hole is, and where it was cut.
type Pair = ([f64; 2], [f64; 2]);

/// A circle of a cut file.
#[derive(Debug, Clone, Copy)]
struct Circle {
    at: [f64; 2],
    radius: f64,
}

/// The circles of a DXF file: group codes 10, 20 and 40 of each CIRCLE.
fn circles(dxf: &str) -> Vec<Circle> {
    let lines: Vec<&str> = dxf.lines().map(str::trim).collect();
    let pairs: Vec<(&str, &str)> = lines.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect();
    let starts = pairs.iter().enumerate().filter(|(_, pair)| **pair == ("0", "CIRCLE")).map(|(at, _)| at);
    let circle = |start: usize| {
        let end = pairs[start + 1..].iter().position(|(code, _)| *code == "0").map_or(pairs.len(), |at| start + 1 + at);
        let value = |wanted: &str| {
            let found = pairs[start..end].iter().find(|(code, _)| *code == wanted).unwrap();
            found.1.parse::<f64>().unwrap()
        };
        Circle { at: [value("10"), value("20")], radius: value("40") }
    };
    starts.map(circle).collect()
}

/// How far the circles are off the true holes at most after the best turn and shift, mm; of all ways to lay the one pair on
/// the other, the best.
fn worst_off(circles: &[Circle], truth: &[True]) -> f64 {
    let turned =
        |at: [f64; 2], (sine, cosine): (f64, f64)| [cosine * at[0] - sine * at[1], sine * at[0] + cosine * at[1]];
    let nearest = |at: [f64; 2], diameter: f64| {
        let far = |circle: &&Circle| (circle.at[0] - at[0]).hypot(circle.at[1] - at[1]);
        let alike = circles.iter().filter(|circle| (2.0 * circle.radius - diameter).abs() < 0.3);
        alike.min_by(|a, b| far(a).total_cmp(&far(b))).map(|circle| circle.at)
    };
    let mut worst = f64::INFINITY;
    for (first, second) in circles.iter().flat_map(|a| circles.iter().map(move |b| (a, b))) {
        let angle = |from: [f64; 2], to: [f64; 2]| (to[1] - from[1]).atan2(to[0] - from[0]);
        let turn = (angle(first.at, second.at) - angle(truth[0].at, truth[1].at)).sin_cos();
        let from = turned(truth[0].at, turn);
        let laid = |hole: &True| {
            let at = turned(hole.at, turn);
            [at[0] - from[0] + first.at[0], at[1] - from[1] + first.at[1]]
        };
        let pairs: Option<Vec<Pair>> =
            truth.iter().map(|hole| Some((hole.at, nearest(laid(hole), hole.diameter)?))).collect();
        worst = pairs.map_or(worst, |pairs| worst.min(off_after_fit(&pairs)));
    }
    worst
}

/// The farthest of pairs of places after the turn and the shift that bring all of them nearest by least squares.
fn off_after_fit(pairs: &[Pair]) -> f64 {
    let count = pairs.len() as f64;
    let mean = |of: &dyn Fn(&Pair) -> [f64; 2]| {
        let sum = pairs.iter().map(of).fold([0.0; 2], |sum, at| [sum[0] + at[0], sum[1] + at[1]]);
        sum.map(|value| value / count)
    };
    let (from, to) = (mean(&|pair| pair.0), mean(&|pair| pair.1));
    let (mut dot, mut cross) = (0.0, 0.0);
    for (a, b) in pairs {
        let ([ax, ay], [bx, by]) = ([a[0] - from[0], a[1] - from[1]], [b[0] - to[0], b[1] - to[1]]);
        dot += ax * bx + ay * by;
        cross += ax * by - ay * bx;
    }
    let (sine, cosine) = cross.atan2(dot).sin_cos();
    let off = |(a, b): &Pair| {
        let [x, y] = [a[0] - from[0], a[1] - from[1]];
        (cosine * x - sine * y + to[0] - b[0]).hypot(sine * x + cosine * y + to[1] - b[1])
    };
    pairs.iter().map(off).fold(0.0, f64::max)
}

/// The ± that the sheet says of the worst hole, mm: ‘Worst hole is good to ±0.17 mm.’ The sign itself reads badly.
fn said_plus_minus(text: &str) -> Option<f64> {
    let (_, rest) = text.split_once("good to")?;
    let figure = rest.trim_start_matches(|c: char| !c.is_ascii_digit());
    let end = figure.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(figure.len());
    figure[..end].parse().ok()
}

/// Opens the photo, clicks one rim, says what goes through it, finds the others and adds them.
fn mark_holes(person: &mut Person, photo: &Path, demo: &Job) {
    person.key("ctrl+o");
    person.screen.wait_for_text("Path of");
    person.type_value(&photo.display().to_string());
    person.screen.status_until("the photo is open", |said| said.contains("three times").then_some(()));
    person.screen.whole_photo();
    for pick in &demo.holes[0].rim {
        person.click(*pick);
    }
    person.screen.status_until("the first hole is there", |said| said.contains("Find the others").then_some(()));
    say_fastener(person, "M8");
    person.key("f");
    person.screen.status_until("rims are offered", |said| said.contains("Tick the rims").then_some(()));
    person.click_words(SHEET, "Tick all", 10.0);
    person.key("a");
    person.screen.status_until("they are added", |said| said.contains("measures with 3").then_some(()));
    person.click(middle(&demo.holes[2]));
    say_fastener(person, "M6");
    person.click_words(CARD, "like it", 10.0);
}

/// Says what goes through the chosen hole.
fn say_fastener(person: &mut Person, fastener: &str) {
    person.click_words(CARD, "Fastener", INTO_FIELD);
    person.type_value(fastener);
}

#[test]
#[expect(clippy::print_stdout, reason = "the number of actions is the point")]
fn a_photo_becomes_a_cut_file_in_thirty_actions() {
    let folder = tempfile::tempdir().unwrap();
    let photo = folder.path().join("milk-valve-flange.jpg");
    fs::copy(project_dir().join("demo/milk-valve-flange.jpg"), &photo).unwrap();
    let Some(screen) = Screen::open(folder.path(), None) else {
        return skip("there is no Xvfb, xdotool, ImageMagick or tesseract here; tests/run.sh installs them");
    };
    let demo = demo_job();
    let truth = truth(&demo);
    let names = names(&photo, &demo, &demo.holes[0].rim);
    let mut person = Person { screen, actions: Vec::new() };
    person.screen.wait_for_text("No photo at hand");
    mark_holes(&mut person, &photo, &demo);
    for _ in 0..MEASURES {
        person.key("t");
        let mm = person.screen.status_until("a measure is asked for", |said| reading(said, &names, &truth));
        person.type_value(&format!("{mm:.2}"));
        person.screen.status_until("it is taken", |said| said.contains("Measure").then_some(()));
    }
    let said = person.screen.read_until(said_plus_minus);
    // A place on the face beside the holes, between H5 and the edge.
    person.key("p");
    person.click(PhotoPoint::new(2300.0, 1150.0));
    person.screen.status_until("an outline is proposed", |said| said.contains("Tick what is outline").then_some(()));
    person.key("Return");
    person.screen.status_until("it is taken", |said| said.contains("go to the cut with 6").then_some(()));
    person.key("6");
    person.click_words(CARD, "Thick", INTO_FIELD);
    person.type_value("5");
    person.key("ctrl+e");
    person.screen.wait_for_text("Where is the cut file");
    let cut = photo.with_extension("dxf");
    person.key("Return");
    person.screen.until("the cut file is there", || cut.exists());
    let count = person.actions.len();
    println!("{count} actions from an empty window to the cut file: {}", person.actions.join(", "));
    assert!(count <= MOST_ACTIONS, "{count} actions, and {MOST_ACTIONS} are the most");
    let circles = circles(&fs::read_to_string(&cut).unwrap());
    let holes: Vec<True> = truth.values().copied().collect();
    assert_eq!(circles.len(), holes.len(), "every hole and nothing else: {circles:?}");
    let off = worst_off(&circles, &holes);
    println!("The worst hole is off by {off:.3} mm, and ±{said} mm is said of it.");
    assert!(said < 0.3, "±{said} mm is no more than four measures leave open");
    assert!(off <= said, "the worst hole is off by {off} mm, and ±{said} mm is said of it");
    if let Some(judged) = judge("dxf_judge.py", &[&cut.display().to_string()], "") {
        assert_eq!(judged["valid"], true, "shapely finds the part valid");
        assert_eq!(judged["audit_errors"].as_array().map(Vec::len), Some(0), "ezdxf finds nothing wrong");
    }
}
