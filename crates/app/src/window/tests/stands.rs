//! The window as it stands at every operation and every question, with something chosen so that its fields are out: for
//! checks of all controls.

use super::{Window, window_of};
use crate::commands::proof_plate::PlateFormat;
use crate::exports::Export;
use crate::files;
use crate::session::{Asking, Chosen, Instrument, MeasureDraft, Operation, Screen, Session, StatementDraft};
use crate::sheets::samples;
use platewright_core::export::CutFormat;
use platewright_core::job::{Added, AddedKind, Job, Offset, Outcome, Placed, Trial};
use platewright_core::job::{MeasureKind, OnCircle, StatementKind};
use platewright_core::space::{PhotoPoint, PlatePoint, PlateVec};

/// Large enough for every sheet at once, so that nothing waits to be scrolled into sight.
pub(super) const SIZE: [f32; 2] = [1440.0, 3200.0];

/// So much smaller than the demo's photo: what is looked at here are controls, and 12 Mpx would take their time.
const SMALLER: f64 = 0.1;

/// The demo job on a small grey photo, its rims taken by their picks: nothing is waited for.
fn demo() -> Job {
    let path = files::demo_job().expect("the demo is there");
    let text = std::fs::read_to_string(path).expect("it can be read");
    let mut job = platewright_core::job::read(&text).expect("it is a job");
    let smaller = |at: &mut PhotoPoint| *at = PhotoPoint::new(at.x * SMALLER, at.y * SMALLER);
    job.photo.size = [samples::WIDTH, samples::HEIGHT];
    for hole in &mut job.holes {
        hole.measure_rim = false;
        hole.rim.iter_mut().for_each(smaller);
    }
    for contour in &mut job.contours {
        contour.follow_edge = false;
        contour.nodes.iter_mut().for_each(|node| smaller(&mut node.at));
    }
    job
}

/// Something of every kind that is added and tried, so that all its fields are there.
fn with_everything(mut job: Job) -> Job {
    let offset = Placed::Offset(Offset { from: "h1".into(), by_mm: PlateVec::new(20.0, 10.0) });
    let hole = Added { diameter_mm: Some(4.2), ..Added::new("a1".into(), AddedKind::Hole, offset.clone()) };
    let slot =
        Added { diameter_mm: Some(5.0), length_mm: Some(10.0), ..Added::new("a2".into(), AddedKind::Slot, offset) };
    let about =
        OnCircle { about: None, about_mm: Some(PlatePoint::new(37.0, 27.0)), n: 3, radius_mm: 22.0, first_deg: 10.0 };
    let circle = Added { diameter_mm: Some(3.0), ..Added::new("a3".into(), AddedKind::Hole, Placed::Circle(about)) };
    job.added = vec![hole, slot, circle];
    let outcome = Outcome::Touched;
    let (id, hole) = ("t1".into(), "h2".into());
    job.trials = vec![Trial { id, hole, round: 1, outcome, towards_deg: Some(90.0), mm: Some(0.2), at_mm: None }];
    job
}

/// How the window stands, in words, and what makes the session that it stands on.
pub(super) struct Stand {
    pub(super) words: String,
    pub(super) make: Box<dyn Fn() -> Session>,
}

impl Stand {
    /// A window that stands so.
    pub(super) fn window(&self) -> Window {
        window_on((self.make)())
    }
}

/// A window on `session`, with time for everything to find its place.
pub(super) fn window_on(session: Session) -> Window {
    let mut window = window_of(session, SIZE);
    window.run_steps(6);
    window
}

/// Every operation of the demo job with what shows the most of its fields.
pub(super) fn operations() -> Vec<Stand> {
    let job = with_everything(demo());
    let at = |words: &str, operation: Operation, change: Box<dyn Fn(&mut Screen)>| {
        let job = job.clone();
        let make = move || {
            let mut session = samples::session(job.clone());
            session.screen.operation = operation;
            session.screen.lens_open = true;
            session.screen.offs_open = true;
            session.screen.instrument = Instrument::Own { sigma_mm: 0.1, reach_mm: 150.0 };
            change(&mut session.screen);
            session
        };
        Stand { words: words.to_owned(), make: Box::new(make) }
    };
    let choose =
        |chosen: Chosen| -> Box<dyn Fn(&mut Screen)> { Box::new(move |screen| screen.chosen = Some(chosen.clone())) };
    let write =
        |at: usize, export: Export| -> Box<dyn Fn(&mut Screen)> { Box::new(move |screen| screen.exports[at] = export) };
    let draft = MeasureDraft { between: vec!["h5".into(), "h6".into()], ..MeasureDraft::new(MeasureKind::Centres) };
    let stating =
        StatementDraft { between: vec!["h5".into(), "h6".into()], ..StatementDraft::new(StatementKind::Square) };
    let (holes, measures, outline) = (Operation::Holes, Operation::Measures, Operation::Outline);
    vec![
        at("10", Operation::Photo, Box::new(|_| {})),
        at("20 with a hole", holes, choose(Chosen::Hole("h1".into()))),
        at("20 with a pick", holes, choose(Chosen::RimPick { hole: "h2".into(), index: 1 })),
        at("30 with a measure", measures, choose(Chosen::Measure("m3".into()))),
        at("30 with a draft", measures, Box::new(move |screen| screen.draft = Some(draft.clone()))),
        at("30 with a statement", measures, Box::new(move |screen| screen.stating = Some(stating.clone()))),
        at("40 with a node", outline, choose(Chosen::Node { contour: "c2".into(), index: 2 })),
        at("40 with a hole that was added", outline, choose(Chosen::Added("a1".into()))),
        at("40 with a slot that was added", outline, choose(Chosen::Added("a2".into()))),
        at("40 with a circle that was added", outline, choose(Chosen::Added("a3".into()))),
        at("50", Operation::Proof, choose(Chosen::Hole("h2".into()))),
        at("50 with a plate", Operation::Proof, write(0, Export::Plate(PlateFormat::ThreeMf))),
        at("60", Operation::Cut, write(1, CUT)),
    ]
}

const CUT: Export = Export::Cut(CutFormat::Dxf);

/// The empty window, and every question over the demo job.
pub(super) fn questions() -> Vec<Stand> {
    let all = [
        Asking::WhatToOpen,
        Asking::WhereToSave,
        Asking::WhereToWrite { export: CUT, even_so: false },
        Asking::WhereToWrite { export: CUT, even_so: true },
        Asking::SaveBeforeClosing,
        Asking::SaveBeforeOpening,
        Asking::Keys,
    ];
    let job = demo();
    let asked = all.map(|asking| {
        let job = job.clone();
        let make = move || {
            let mut session = samples::session(job.clone());
            session.screen.asking = Some(asking);
            session
        };
        Stand { words: format!("{asking:?}"), make: Box::new(make) }
    });
    let empty = Stand { words: "the empty window".to_owned(), make: Box::new(Session::default) };
    std::iter::once(empty).chain(asked).collect()
}
