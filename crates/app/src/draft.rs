//! What is being taken or said: its features are clicked first, then its figure is typed.

use crate::session::{Chosen, Session};
use platewright_core::job::{Id, Job, MeasureKind, StatementKind};
use platewright_core::solution::Solution;

/// So many picks make an edge.
pub(crate) const PICKS_OF_AN_EDGE: usize = 2;

/// Edges that are further than this from parallel are not what jaws lie on, degrees: well above what a slanted photo
/// and four picks leave open. Common practice, no source.
const PARALLEL_DEG: f64 = 10.0;

/// What a feature is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sort {
    /// A hole.
    Hole,
    /// A named point.
    Point,
    /// A straight edge.
    Edge,
}

impl Sort {
    /// What `id` is; `None` where it is no feature.
    pub fn of(job: &Job, id: &Id) -> Option<Self> {
        if job.hole(id).is_some() {
            Some(Self::Hole)
        } else if job.points.iter().any(|point| point.id == *id) {
            Some(Self::Point)
        } else {
            job.edges.iter().any(|edge| edge.id == *id).then_some(Self::Edge)
        }
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Hole => "hole",
            Self::Point => "point",
            Self::Edge => "edge",
        }
    }

    /// The feature as what is chosen.
    pub fn chosen(self, id: Id) -> Chosen {
        match self {
            Self::Hole => Chosen::Hole(id),
            Self::Point => Chosen::Point(id),
            Self::Edge => Chosen::Edge(id),
        }
    }
}

/// What a kind of measure lies between.
pub(crate) fn ends_of(kind: MeasureKind) -> &'static [Sort] {
    match kind {
        MeasureKind::Diameter => &[Sort::Hole],
        MeasureKind::FarRims | MeasureKind::NearRims | MeasureKind::Centres => &[Sort::Hole, Sort::Hole],
        MeasureKind::Points => &[Sort::Point, Sort::Point],
        MeasureKind::Edges => &[Sort::Edge, Sort::Edge],
        MeasureKind::RimToEdge => &[Sort::Hole, Sort::Edge],
    }
}

/// A measure being taken: its features are clicked, then its value is typed.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasureDraft {
    /// What is held where.
    pub kind: MeasureKind,
    /// The features so far.
    pub between: Vec<Id>,
    /// What was typed so far.
    pub text: String,
    /// What is wrong with it, as a sentence.
    pub problem: Option<String>,
    /// The field is to take the keyboard at the next frame.
    pub focus: bool,
}

impl MeasureDraft {
    /// A draft of `kind` with nothing chosen.
    pub fn new(kind: MeasureKind) -> Self {
        Self { kind, between: Vec::new(), text: String::new(), problem: None, focus: false }
    }

    /// How many features its kind lies between.
    pub fn needs(&self) -> usize {
        ends_of(self.kind).len()
    }

    /// All its features are there.
    pub fn is_complete(&self) -> bool {
        self.between.len() >= self.needs()
    }

    /// What is clicked next; `None` where nothing more is.
    pub fn wants(&self, job: &Job) -> Option<Sort> {
        let mut wanted = ends_of(self.kind).to_vec();
        for have in self.between.iter().filter_map(|id| Sort::of(job, id)) {
            if let Some(at) = wanted.iter().position(|sort| *sort == have) {
                wanted.remove(at);
            }
        }
        wanted.first().copied()
    }

    /// Puts a feature of a sort that its kind takes in, or takes it out again.
    fn take(&mut self, job: &Job, id: &Id, sort: Sort) {
        self.problem = None;
        if let Some(at) = self.between.iter().position(|other| other == id) {
            self.between.remove(at);
            return;
        }
        if self.is_complete() {
            self.between.clear();
            self.text.clear();
        }
        if self.kind == MeasureKind::RimToEdge {
            // Another hole, or another edge, takes the place of the one before.
            self.between.retain(|other| Sort::of(job, other) != Some(sort));
        }
        self.between.push(id.clone());
        // A rim to an edge is named in this order, whichever was clicked first.
        self.between.sort_by_key(|other| Sort::of(job, other) == Some(Sort::Edge));
        self.focus = self.is_complete();
    }
}

/// Something being said about the shape: its features are clicked, then how far it may be off is typed.
#[derive(Debug, Clone, PartialEq)]
pub struct StatementDraft {
    /// What is said.
    pub kind: StatementKind,
    /// Of which features so far.
    pub between: Vec<Id>,
    /// How far it may be off, as typed so far; empty for the usual.
    pub text: String,
    /// What is wrong with it, as a sentence.
    pub problem: Option<String>,
    /// The field is to take the keyboard at the next frame.
    pub focus: bool,
}

impl StatementDraft {
    /// A draft of `kind` with nothing chosen.
    pub fn new(kind: StatementKind) -> Self {
        Self { kind, between: Vec::new(), text: String::new(), problem: None, focus: false }
    }

    /// There is enough to say it of.
    pub fn is_complete(&self) -> bool {
        self.between.len() > 1
    }

    /// What is clicked next: more points may always lie on a line; `None` where nothing more is.
    pub fn wants(&self) -> Option<Sort> {
        match (self.kind, self.between.len()) {
            (_, 0) | (StatementKind::Square, 1) => Some(Sort::Edge),
            (StatementKind::Straight, _) => Some(Sort::Point),
            (StatementKind::Square, _) => None,
        }
    }

    /// Puts a feature in, or takes it out again; why not, where it does not belong there.
    fn take(&mut self, id: &Id, sort: Sort) -> Result<(), &'static str> {
        self.problem = None;
        if let Some(at) = self.between.iter().position(|other| other == id) {
            // The edge comes first: without it the points lie on nothing.
            if at == 0 {
                self.between.clear();
            } else {
                self.between.remove(at);
            }
            return Ok(());
        }
        match (self.kind, sort, self.between.len()) {
            (StatementKind::Square, Sort::Edge, 2..) => self.between.truncate(1),
            (StatementKind::Straight, Sort::Edge, 1..) => self.between.clear(),
            (_, Sort::Edge, _) | (StatementKind::Straight, Sort::Point, 1..) => {}
            (StatementKind::Square, ..) => return Err("A square corner is made by two edges. Click an edge."),
            (StatementKind::Straight, Sort::Point, _) => return Err("Click the edge first, then the points on it."),
            (StatementKind::Straight, Sort::Hole, _) => {
                return Err("Points lie on an edge, holes do not. Click a point.");
            }
        }
        self.between.push(id.clone());
        self.focus = self.is_complete();
        Ok(())
    }
}

impl Session {
    /// What a click beside everything places in the measures: a point, or a pick along an edge; `None` for neither.
    pub fn places(&self) -> Option<Sort> {
        let screen = &self.screen;
        let job = self.document.as_ref()?.job();
        let wants = match (&screen.picking_edge, &screen.stating, &screen.draft) {
            (Some(_), ..) => Some(Sort::Edge),
            (None, Some(stating), _) => stating.wants(),
            (None, None, Some(draft)) if draft.kind == MeasureKind::Points => Some(Sort::Point),
            (None, None, Some(draft)) => draft.wants(job),
            (None, None, None) => ends_of(screen.kind).last().copied(),
        };
        // An edge belongs to a measure from a rim whichever of the two is clicked first.
        let from_rim = wants == Some(Sort::Hole) && screen.draft.as_ref().is_some_and(|draft| draft.between.is_empty());
        match wants {
            Some(Sort::Hole) if from_rim && self.taking() == MeasureKind::RimToEdge => Some(Sort::Edge),
            other => other.filter(|sort| *sort != Sort::Hole),
        }
    }

    /// The kind of the measure that is being taken, or of the next one.
    pub fn taking(&self) -> MeasureKind {
        self.screen.draft.as_ref().map_or(self.screen.kind, |draft| draft.kind)
    }

    /// Puts a feature into what is being taken or said, or begins a measure with it. An edge of one pick is picked on.
    ///
    /// # Errors
    /// Where it does not belong there: a sentence with the way out.
    pub fn take_feature(&mut self, id: &Id) -> Result<(), String> {
        let Some(document) = &self.document else { return Ok(()) };
        let job = document.job();
        let Some(sort) = Sort::of(job, id) else { return Ok(()) };
        let screen = &mut self.screen;
        if let Some(edge) = job.edges.iter().find(|edge| edge.id == *id)
            && edge.along.len() < PICKS_OF_AN_EDGE
        {
            screen.picking_edge = Some(id.clone());
            screen.chosen = Some(Chosen::Edge(id.clone()));
            return Ok(());
        }
        if let Some(stating) = &mut screen.stating {
            stating.take(id, sort)?;
            screen.drawer_open |= stating.focus;
        } else {
            if let Some(draft) = &screen.draft
                && !ends_of(draft.kind).contains(&sort)
            {
                return Err(refusal(draft.kind).to_owned());
            }
            let usual = match sort {
                _ if ends_of(screen.kind).contains(&sort) => screen.kind,
                Sort::Hole => MeasureKind::FarRims,
                Sort::Point => MeasureKind::Points,
                Sort::Edge => MeasureKind::Edges,
            };
            let draft = screen.draft.get_or_insert_with(|| MeasureDraft::new(usual));
            draft.take(job, id, sort);
            if let [one, other] = draft.between.as_slice()
                && let Some(degrees) = apart_deg(&self.results.solution, one, other)
                && degrees > PARALLEL_DEG
            {
                let names = format!("{} and {}", job.feature_name(one), job.feature_name(other));
                draft.between.retain(|taken| taken != id);
                draft.focus = false;
                return Err(format!("{names} are not parallel: {degrees:.0}° apart. Jaws lie on parallel edges."));
            }
            // Where the sheet is a drawer, its field has to be seen to be typed in.
            screen.drawer_open |= draft.focus;
        }
        screen.chosen = Some(sort.chosen(id.clone()));
        Ok(())
    }

    /// Ends the edge that is being picked, and takes it.
    ///
    /// # Errors
    /// Where it has too few picks, or does not belong to what is being taken: a sentence with the way out.
    pub fn end_edge(&mut self) -> Result<(), String> {
        let Some(document) = &self.document else { return Ok(()) };
        let in_hand = self.screen.picking_edge.as_ref();
        let Some(edge) = document.job().edges.iter().find(|edge| Some(&edge.id) == in_hand) else { return Ok(()) };
        if edge.along.len() < PICKS_OF_AN_EDGE {
            return Err(format!("Two places make an edge. Click a second one along {}.", edge.name));
        }
        let id = edge.id.clone();
        self.screen.picking_edge = None;
        let taken = |between: &[Id]| between.contains(&id);
        let in_draft = self.screen.draft.as_ref().is_some_and(|draft| taken(&draft.between));
        let in_statement = self.screen.stating.as_ref().is_some_and(|stating| taken(&stating.between));
        if in_draft || in_statement {
            self.screen.chosen = Some(Chosen::Edge(id));
            return Ok(());
        }
        self.take_feature(&id)
    }

    /// Lets go of what is no longer in the job.
    pub fn forget_what_is_gone(&mut self) {
        let Some(document) = &self.document else { return };
        let job = document.job();
        let screen = &mut self.screen;
        screen.picking.take_if(|id| job.hole(id).is_none());
        screen.picking_edge.take_if(|id| Sort::of(job, id) != Some(Sort::Edge));
        screen
            .adding
            .take_if(|added| added.rests_on().any(|id| Sort::of(job, id).is_none() && job.added(id).is_none()));
        screen.offers.take_if(|offers| job.hole(&offers.from).is_none());
        if let Some(offers) = &mut screen.offers {
            offers.drop_taken(job);
        }
        screen.offers.take_if(|offers| offers.rims.is_empty());
        let is_there = |id: &Id| Sort::of(job, id).is_some();
        if let Some(draft) = &mut screen.draft {
            draft.between.retain(is_there);
        }
        if let Some(stating) = &mut screen.stating {
            if stating.between.first().is_some_and(|edge| !is_there(edge)) {
                stating.between.clear();
            }
            stating.between.retain(is_there);
        }
    }
}

/// How far two edges are from parallel, degrees; `None` where they are not two edges that were found.
fn apart_deg(solution: &Solution, one: &Id, other: &Id) -> Option<f64> {
    let along = |id: &Id| {
        let [from, to] = solution.edges.iter().find(|edge| edge.id == *id)?.ends;
        (to - from).unit()
    };
    Some(along(one)?.cross(along(other)?).abs().asin().to_degrees())
}

/// Why a measure of `kind` does not take such a feature, and the way out.
fn refusal(kind: MeasureKind) -> &'static str {
    match kind {
        MeasureKind::Points => "This measure lies between points. Click a point, or choose far rims.",
        MeasureKind::Edges => "This measure lies between edges. Click an edge, or choose rim to edge.",
        MeasureKind::RimToEdge => "This measure lies between a hole and an edge. Click one of them, or choose points.",
        _ => "This measure lies between holes. Click a hole, or choose points or edges.",
    }
}
