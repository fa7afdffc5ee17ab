//! The three kinds of state, each with one owner: the document (saved, undoable), the results (derived) and the screen.
//!
//! ## Invariants
//! - [`Results`] are those of `document.history.revision()`; where they are not, the window says so and redraws.
//! - [`Screen`] is never saved with the job, and nothing in it changes a result.

mod asking;
mod document;
mod instrument;
mod photo_advice;
mod results;

pub use crate::adding::Addition;
pub use crate::draft::{MeasureDraft, Sort, StatementDraft};
pub use asking::Asking;
pub use document::Document;
pub use instrument::Instrument;
pub use photo_advice::{OnPhotoAdvice, PlanTyped};
pub use results::{Judged, Results, Standing};

use crate::exports::Export;
use crate::files::Places;
use crate::files::opening::{Held, Opening};
use crate::files::recovery::{self, Leftover};
use crate::files::settings::Settings;
use crate::measuring::{Measured, Request, Unmeasured};
use crate::offers::{Offers, Search};
use crate::proposal::{Proposal, Proposing};
use platewright_core::export::{CutDrawing, CutFormat};
use platewright_core::instrument::Instrument as Facts;
use platewright_core::job::{Added, Contour, Id, MeasureKind};
use platewright_core::solution::{Inputs, NextMeasure, Solution};
use platewright_core::space::PhotoPoint;
use results::{LastMeasured, what_is_measured_by};
use std::sync::Arc;

/// Everything the window holds.
#[derive(Debug, Default)]
pub struct Session {
    /// The job with its history and its photo; `None` in an empty window.
    pub document: Option<Document>,
    /// What follows from it.
    pub results: Results,
    /// What is on screen.
    pub screen: Screen,
    /// What outlives the session: theme, recent jobs.
    pub settings: Settings,
    /// Where that and copies of unsaved work are kept.
    pub places: Places,
    /// Unsaved work that was left when a window came to its end.
    pub left: Vec<Leftover>,
}

/// What is on screen.
#[derive(Debug)]
#[expect(clippy::struct_excessive_bools, reason = "each is a switch of its own on screen; none excludes another")]
pub struct Screen {
    /// The open operation of the route card.
    pub operation: Operation,
    /// As shot or flat.
    pub view: View,
    /// What part of the photo is in sight.
    pub look: Look,
    /// What is chosen.
    pub chosen: Option<Chosen>,
    /// The hole that the next click gives a pick.
    pub picking: Option<Id>,
    /// The edge that the next click gives a pick.
    pub picking_edge: Option<Id>,
    /// The hole or edge that was begun and has too few picks as yet: whoever steps out of it takes it back.
    pub begun: Option<Id>,
    /// The contour that the next click gives a node.
    pub tracing: Option<Id>,
    /// The measure being taken.
    pub draft: Option<MeasureDraft>,
    /// What is being added to the part.
    pub adding: Option<Added>,
    /// What is being said about the shape.
    pub stating: Option<StatementDraft>,
    /// What the next measure is of, until another kind is chosen.
    pub kind: MeasureKind,
    /// What the next measure is taken with.
    pub instrument: Instrument,
    /// Lengths are typed and shown in inches.
    pub inches: bool,
    /// The fit sheet is shown, where it is a drawer.
    pub drawer_open: bool,
    /// The settings of the folded route card are out.
    pub route_open: bool,
    /// What is believed of the lens is shown.
    pub lens_open: bool,
    /// The path field of the questions.
    pub path_text: String,
    /// The path field of the start sheet.
    pub start_path: String,
    /// What is chosen to be written for trying, and for the shop.
    pub exports: [Export; 2],
    /// From the operations that write, what is written is shown instead of the photo.
    pub on_paper: bool,
    /// Lengths of the check bars of the proof that is shown, mm, and whether its sheets lie; set as its pages are made.
    pub shown_bars: Option<([f64; 2], bool)>,
    /// What the keys ask the zoom of the paper to be multiplied by.
    pub zoom_paper_by: f32,
    /// What is asked over the window.
    pub asking: Option<Asking>,
    /// The question that was answered with a path, until that came to something: where it fails, it is asked again.
    pub answered: Option<Asking>,
    /// What is opened once it is settled whether the present job is saved first.
    pub to_open: Option<Opening>,
    /// What the person is asked before something is opened.
    pub held: Option<Held>,
    /// The last error, as a sentence, until it is put away.
    pub error: Option<String>,
    /// What just happened, for the status line, until the next command.
    pub said: Option<String>,
    /// A thing to bring into sight, set by 'show'.
    pub show: Option<Shown>,
    /// The whole photo is to be brought into sight at the next frame.
    pub fit_pending: bool,
    /// Uncertainty ellipses are drawn.
    pub ellipses: bool,
    /// How well every place is known is drawn over the face.
    pub heat_map: bool,
    /// How far off each measure and each pick is, is drawn on the sheet.
    pub offs_open: bool,
    /// The measure that the pointer is on in the sheet's list of those worth taking, to be shown on the photo.
    pub pointed_at: Option<NextMeasure>,
    /// Rims of the photo that may be further holes.
    pub offers: Option<Offers>,
    /// The one of them, or of the proposed contours, that the pointer is on in the sheet.
    pub pointed_offer: Option<usize>,
    /// The next click on the face proposes its outline.
    pub proposing: bool,
    /// The outline and the openings that are proposed.
    pub proposal: Option<Proposal>,
    /// How far the cut lies off the measured edge is drawn along it.
    pub whiskers: bool,
    /// The lines and arcs of a contour that the pointer is on in the sheet.
    pub pointed_pieces: Option<(Id, Vec<usize>)>,
    /// The measure whose value is to be typed again: its field takes the keyboard as soon as it is there.
    pub retyping: Option<Id>,
    /// What is typed and pointed at of the advice on taking photos.
    pub photo_advice: OnPhotoAdvice,
    /// The pointer's place on the photo in the last frame.
    pub pointer: Option<PhotoPoint>,
    /// Background work under way, as a sentence.
    pub working: Option<String>,
    /// How many parts of measuring the job in its photo are begun, of [`platewright_core::solution::MEASURING_PARTS`]; 0 while nothing is measured.
    pub measuring_part: usize,
}

impl Default for Screen {
    fn default() -> Self {
        Self {
            operation: Operation::Photo,
            view: View::AsShot,
            look: Look::default(),
            chosen: None,
            picking: None,
            picking_edge: None,
            begun: None,
            tracing: None,
            draft: None,
            adding: None,
            stating: None,
            kind: MeasureKind::FarRims,
            instrument: Instrument::Caliper,
            inches: false,
            drawer_open: false,
            route_open: false,
            lens_open: false,
            path_text: String::new(),
            start_path: String::new(),
            exports: [Export::Proof, Export::Cut(CutFormat::Dxf)],
            on_paper: true,
            shown_bars: None,
            zoom_paper_by: 1.0,
            asking: None,
            answered: None,
            to_open: None,
            held: None,
            error: None,
            said: None,
            show: None,
            fit_pending: true,
            ellipses: true,
            heat_map: false,
            offs_open: false,
            pointed_at: None,
            offers: None,
            pointed_offer: None,
            proposing: false,
            proposal: None,
            whiskers: false,
            pointed_pieces: None,
            retyping: None,
            photo_advice: OnPhotoAdvice::default(),
            pointer: None,
            working: None,
            measuring_part: 0,
        }
    }
}

impl Screen {
    /// Ticks an offered rim or a proposed contour, or takes its tick away.
    pub fn tick_offer(&mut self, index: usize) {
        if let Some(proposal) = &mut self.proposal {
            if let Some(contour) = proposal.contours.get_mut(index) {
                contour.is_ticked = !contour.is_ticked;
            }
        } else if let Some(rim) = self.offers.as_mut().and_then(|offers| offers.rims.get_mut(index)) {
            rim.is_ticked = !rim.is_ticked;
        }
    }

    /// Ticks all offered rims.
    pub fn tick_all_offers(&mut self) {
        for rim in self.offers.iter_mut().flat_map(|offers| &mut offers.rims) {
            rim.is_ticked = true;
        }
    }

    /// What is written from the open operation: a proof from the operation of that name, else what goes to the shop.
    pub fn export(&self) -> Export {
        self.exports[usize::from(self.operation != Operation::Proof)]
    }

    /// Shows the next of what can be shown: the photo as shot, flat, and, from the operations that write, the paper.
    pub fn switch_view(&mut self) {
        let writes = matches!(self.operation, Operation::Proof | Operation::Cut);
        (self.on_paper, self.view) = match (self.shows_paper(), self.view) {
            (true, _) => (false, View::AsShot),
            (false, View::AsShot) => (self.on_paper, View::Flat),
            (false, View::Flat) => (writes || self.on_paper, View::AsShot),
        };
    }

    /// Zooms what is shown.
    pub fn zoom_by(&mut self, factor: f32) {
        if self.shows_paper() {
            self.zoom_paper_by *= factor;
        } else {
            self.look.zoom *= f64::from(factor);
        }
    }

    /// What is written is shown, on paper.
    pub fn shows_paper(&self) -> bool {
        let writes = matches!(self.operation, Operation::Proof | Operation::Cut);
        self.on_paper && writes && self.export().has_pages()
    }

    /// The chosen node, where a node is chosen.
    pub fn chosen_node(&self) -> Option<(&Id, usize)> {
        match &self.chosen {
            Some(Chosen::Node { contour, index }) => Some((contour, *index)),
            _ => None,
        }
    }
}

/// An operation of the route card.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Operation {
    /// 10
    Photo,
    /// 20
    Holes,
    /// 30
    Measures,
    /// 40
    Outline,
    /// 50
    Proof,
    /// 60
    Cut,
}

impl Operation {
    /// All of them, in the route's order.
    pub const ALL: [Self; 6] = [Self::Photo, Self::Holes, Self::Measures, Self::Outline, Self::Proof, Self::Cut];

    /// Its number on the card.
    pub fn number(self) -> u32 {
        match self {
            Self::Photo => 10,
            Self::Holes => 20,
            Self::Measures => 30,
            Self::Outline => 40,
            Self::Proof => 50,
            Self::Cut => 60,
        }
    }

    /// Its name on the card.
    pub fn name(self) -> &'static str {
        match self {
            Self::Photo => "Photo",
            Self::Holes => "Holes",
            Self::Measures => "Measures",
            Self::Outline => "Outline",
            Self::Proof => "Proof",
            Self::Cut => "Cut",
        }
    }
}

/// As shot or flat.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum View {
    /// The photo as it is.
    AsShot,
    /// The face seen square-on at true scale.
    Flat,
}

/// What part of the photo is in sight, the same place and scale in both views.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// The photo point in the middle of the view.
    pub centre: PhotoPoint,
    /// Points of the screen per photo pixel (in Flat: at the middle of the view).
    pub zoom: f64,
}

/// A thing on the photo that is brought into sight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// Its middle.
    pub at: PhotoPoint,
    /// How wide it is, px; 0 for a point.
    pub across_px: f64,
}

impl Default for Look {
    fn default() -> Self {
        Self { centre: PhotoPoint::new(0.0, 0.0), zoom: 1.0 }
    }
}

/// What is chosen on the photo or the sheet.
#[derive(Debug, Clone, PartialEq)]
pub enum Chosen {
    /// A hole.
    Hole(Id),
    /// A pick of a hole's rim.
    RimPick {
        /// The hole.
        hole: Id,
        /// Which pick.
        index: usize,
    },
    /// A named point.
    Point(Id),
    /// A straight edge.
    Edge(Id),
    /// A pick of a straight edge.
    EdgePick {
        /// The edge.
        edge: Id,
        /// Which pick.
        index: usize,
    },
    /// Something that was added.
    Added(Id),
    /// A measure.
    Measure(Id),
    /// Something said about the shape.
    Statement(Id),
    /// A node of a contour.
    Node {
        /// The contour.
        contour: Id,
        /// Which node.
        index: usize,
    },
}

impl Chosen {
    /// The thing of the job that is chosen, or whose part is; `None` for a node.
    pub fn whole(&self) -> Option<&Id> {
        match self {
            Self::Hole(id)
            | Self::RimPick { hole: id, .. }
            | Self::Point(id)
            | Self::Edge(id)
            | Self::EdgePick { edge: id, .. }
            | Self::Added(id)
            | Self::Measure(id)
            | Self::Statement(id) => Some(id),
            Self::Node { .. } => None,
        }
    }
}

/// How far from a thing the pointer may be to mean it, points.
pub const GRAB: f32 = 12.0;

/// A click's standard deviation by the zoom at which it was made, px: about a point of the screen, never better than
/// 0.7 px, never worse than four. The eye sees an edge in coded brightness, up to half a pixel towards its dark side,
/// however large it is shown.
pub fn pick_sigma_px(zoom: f64) -> f64 {
    (1.0 / zoom.max(1e-6)).clamp(0.7, 4.0)
}

impl Session {
    /// An empty session with what is kept at `places`.
    pub fn start(places: Places) -> Self {
        let (settings, notice) = places.settings.as_deref().map(Settings::load_from).unwrap_or_default();
        let left = places.recovery.as_deref().map(recovery::leftovers).unwrap_or_default();
        let mut session = Self { settings, places, left, ..Self::default() };
        session.screen.said = notice;
        session
    }

    /// The first contour that is open and has two nodes or more.
    pub fn open_contour(&self) -> Option<&Contour> {
        self.document.as_ref()?.job().contours.iter().find(|c| !c.closed && c.nodes.len() > 1)
    }

    /// The measure that is asked for next: the one that tells suspects apart, else the one that settles the tilt, else the
    /// one that makes the worst hole best known.
    pub fn asked_next(&self) -> Option<&NextMeasure> {
        let Solution { suspects, fit, measure_next, .. } = &*self.results.solution;
        let tells = suspects.first().filter(|group| group.ids.len() > 1).and_then(|group| group.tell_apart.as_ref());
        let settles = || fit.ambiguous.as_ref()?.settle.as_ref();
        tells.or_else(settles).or(measure_next.first())
    }

    /// What it takes to look for rims like that of the chosen hole, or of the last one that has a rim; `None` while there is
    /// none.
    pub fn search(&self) -> Option<Search> {
        let document = self.document.as_ref()?;
        let solution = &self.results.solution;
        let is_found = |id: &&Id| solution.holes.iter().any(|fit| fit.id == **id);
        let chosen = match &self.screen.chosen {
            Some(Chosen::Hole(id) | Chosen::RimPick { hole: id, .. }) => Some(id),
            _ => None,
        };
        let from = chosen.filter(is_found).or_else(|| solution.holes.last().map(|fit| &fit.id))?.clone();
        Some(Search { job: document.job().clone(), photo: Arc::clone(&document.photo), map: solution.map?, from })
    }

    /// The name of the hole that a place of the photo lies in.
    pub fn hole_at(&self, photo: PhotoPoint) -> Option<&str> {
        let solution = &self.results.solution;
        let at = solution.map?.plate_from_photo(photo)?;
        let fit = solution.holes.iter().find(|hole| at.distance(hole.centre) < 0.5 * hole.rim_diameter_mm)?;
        self.document.as_ref()?.job().hole(&fit.id).map(|hole| hole.name.as_str())
    }

    /// What it takes to look for the outline of the face that `inside` is on; `None` while there is no camera.
    pub fn proposing(&self, inside: PhotoPoint) -> Option<Proposing> {
        let document = self.document.as_ref()?;
        let solution = &self.results.solution;
        let holes = solution.holes.iter().map(|hole| (hole.centre, 0.5 * hole.rim_diameter_mm)).collect();
        let (photo, walls) = (Arc::clone(&document.photo), self.results.seen.walls());
        Some(Proposing { photo, map: solution.map?, inside, holes, walls })
    }

    /// Begins to take a measure: its field takes the keyboard.
    pub fn begin_measure(&mut self, next: NextMeasure) {
        let job = self.document.as_ref().map(Document::job);
        let chosen = next.between.first().zip(job).and_then(|(id, job)| Some(Sort::of(job, id)?.chosen(id.clone())));
        let screen = &mut self.screen;
        screen.operation = Operation::Measures;
        screen.chosen = chosen;
        screen.stating = None;
        screen.picking_edge = None;
        screen.draft = Some(MeasureDraft { between: next.between, focus: true, ..MeasureDraft::new(next.kind) });
        // Where the sheet is a drawer, its field has to be seen to be typed in.
        screen.drawer_open = true;
    }

    /// Computes the results anew where they are not those of the document, in the time of a frame: a hole in hand is
    /// measured at once; where there is more to look for, the results say that they wait for it.
    pub fn refresh(&mut self) {
        let Some(document) = &self.document else {
            self.results = Results::default();
            return;
        };
        let (revision, instrument) = (Some(document.history.revision()), self.screen.instrument.facts());
        if self.results.revision == revision && self.results.instrument == instrument {
            return;
        }
        let (job, photo) = (document.job(), &document.photo);
        let (seen, standing) = self.results.follow(job, photo);
        let inputs = Inputs { job, exif_focal_px: photo.exif_focal_px, instrument, seen: Some(&seen) };
        let mut groundwork = std::mem::take(&mut self.results.groundwork);
        // What may have been meant with a shape takes longer than a frame, and is not asked for while it changes.
        let meant = |contour: &Contour| self.results.meant_with(contour, &seen);
        let settled = standing == Standing::Settled;
        let solution =
            if settled { groundwork.solve_again(&inputs, &meant) } else { groundwork.solve_in_hand(&inputs) };
        let solution = Arc::new(solution);
        let contours = job.contours.clone();
        let cut = Arc::new(CutDrawing::as_seen(job, &solution));
        let checks = platewright_core::check::all_of(job, &solution, &cut);
        let judged = self.results.judged_again(&inputs, &solution, photo, standing);
        let before = std::mem::take(&mut self.results);
        self.results = Results {
            solution,
            checks,
            cut,
            revision,
            instrument,
            seen,
            standing,
            contours,
            judged,
            groundwork,
            ..before
        };
    }

    /// What is to be measured in the photo before the results are settled; `None` where they are.
    pub fn to_measure(&self) -> Option<Request> {
        let is_done = matches!(self.results.standing, Standing::Settled | Standing::Unmeasured);
        if is_done { None } else { self.request() }
    }

    /// What is to be looked at once more to say what the photo costs, where all else is settled; `None` where that is said.
    pub fn to_judge(&self) -> Option<Request> {
        let waits = self.results.standing == Standing::Settled && !self.results.judged.is_fresh;
        if waits { self.request() } else { None }
    }

    fn request(&self) -> Option<Request> {
        let document = self.document.as_ref()?;
        Some(Request {
            job: document.job().clone(),
            revision: document.history.revision(),
            photo: Arc::clone(&document.photo),
            instrument: self.screen.instrument.facts(),
        })
    }

    /// Takes in what was measured, where it still belongs to the document.
    pub fn take_measured(&mut self, measured: Measured) {
        let Measured { revision, instrument, seen, solution, checks, advice } = measured;
        let Some(document) = self.document.as_ref().filter(|document| document.history.revision() == revision) else {
            return;
        };
        if self.screen.instrument.facts() == instrument {
            let cut = Arc::new(CutDrawing::as_seen(document.job(), &solution));
            let (revision, standing) = (Some(revision), Standing::Settled);
            let contours = document.job().contours.clone();
            let measured = Some(LastMeasured {
                job: Arc::new(what_is_measured_by(document.job())),
                seen: Arc::clone(&seen),
                contours: contours.clone(),
                advice: Arc::clone(&advice),
            });
            let judged = Judged { advice, is_fresh: true };
            let before = std::mem::take(&mut self.results);
            self.results = Results {
                solution,
                checks,
                cut,
                revision,
                instrument,
                seen,
                standing,
                measured,
                contours,
                judged,
                ..before
            };
        }
    }

    /// Nothing more is waited for: what is shown of the document stands on its picks, and that is said.
    pub fn take_unmeasured(&mut self, Unmeasured { revision, instrument }: Unmeasured) {
        if self.results.revision == Some(revision) && self.results.instrument == instrument {
            self.results.standing = Standing::Unmeasured;
            // What was said of the photo belongs to rims that are not measured now: it goes away.
            self.results.judged = Judged::default();
            let said =
                "The rims are not measured: measuring broke off. Holes stand on their picks; any change tries again.";
            self.screen.said = Some(said.to_owned());
        }
    }
}
