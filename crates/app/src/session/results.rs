//! What follows from the document, and how far the measuring in its photo has come.

use super::Facts;
use crate::files::LoadedPhoto;
use platewright_core::advice::{self, Advice};
use platewright_core::check::Check;
use platewright_core::export::CutDrawing;
use platewright_core::job::{Contour, Design, Job, Node};
use platewright_core::seen::{Seen, look_again};
use platewright_core::solution::{Groundwork, Inputs, Solution, SuggestionFit};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

/// What follows from the document.
#[derive(Debug, Clone, Default)]
pub struct Results {
    /// The adjustment and all that rests on it.
    pub solution: Arc<Solution>,
    /// What must hold before anything is cut.
    pub checks: Vec<Check>,
    /// What is cut, seen as in the photo.
    pub cut: Arc<CutDrawing>,
    /// The revision that they were computed from.
    pub revision: Option<u64>,
    /// What they suppose that the next measures are taken with.
    pub instrument: Facts,
    /// What the photo shows of the job.
    pub seen: Arc<Seen>,
    /// How far the measuring in the photo has come.
    pub standing: Standing,
    /// What was measured last.
    pub(super) measured: Option<LastMeasured>,
    /// The contours of the job that they were computed from.
    pub(super) contours: Vec<Contour>,
    /// What the photo costs.
    pub judged: Judged,
    /// What the next solve takes over where only contours were changed.
    pub(super) groundwork: Groundwork,
}

/// What was measured last, all of it, and what it belongs to.
#[derive(Debug, Clone)]
pub(super) struct LastMeasured {
    /// The job, as far as it is measured by it.
    pub(super) job: Arc<Job>,
    pub(super) seen: Arc<Seen>,
    /// All its contours: they say what of the photo is face.
    pub(super) contours: Vec<Contour>,
    pub(super) advice: Arc<[Advice]>,
}

/// What the photo costs.
#[derive(Debug, Clone, Default)]
pub struct Judged {
    /// What is said of it, what costs most first.
    pub advice: Arc<[Advice]>,
    /// It is that of the document as it stands.
    pub is_fresh: bool,
}

/// How far the measuring in the photo has come with the document.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Standing {
    /// Everything is measured, by the camera that it gives itself.
    #[default]
    Settled,
    /// Everything was looked at where it is now, but by the camera as it was before the last edit: what is shown changes
    /// by next to nothing when all is measured again.
    Following,
    /// Some rims or edges stand on their picks until they have been looked at.
    Waiting,
    /// Measuring came to grief: everything that was not measured before stands on its picks until the job is changed.
    Unmeasured,
}

/// As many holes and edges are measured within a frame; more are left to the thread beside the window.
const AT_ONCE: usize = 1;

impl Results {
    /// How well places are known may be drawn on the photo: the scale is known, and nothing waits to be measured first.
    pub fn is_plus_minus_known(&self) -> bool {
        self.solution.fit.scale_known() && self.standing != Standing::Waiting
    }

    /// What the photo shows of the job as it stands, from what was seen before.
    pub(super) fn follow(&self, job: &Job, photo: &LoadedPhoto) -> (Arc<Seen>, Standing) {
        // What was seen since belongs to other picks: whoever takes a drag back gets what was measured before it.
        if let Some(last) = self.measured_last(job) {
            return (Arc::clone(&last.seen), Standing::Settled);
        }
        match self.seen.unseen(job) {
            0 if self.seen.is_empty() => (Arc::clone(&self.seen), Standing::Settled),
            0 => (Arc::clone(&self.seen), Standing::Following),
            1..=AT_ONCE => match self.look_at_what_moved(job, photo) {
                Some(seen) => (Arc::new(seen), Standing::Following),
                None => (Arc::clone(&self.seen), Standing::Waiting),
            },
            _ => (Arc::clone(&self.seen), Standing::Waiting),
        }
    }

    /// What was measured last, where it is what would be measured of this job.
    fn measured_last(&self, job: &Job) -> Option<&LastMeasured> {
        self.measured.as_ref().filter(|last| *last.job == what_is_measured_by(job))
    }

    /// What the photo costs by `solution`, which came from `inputs`: as it was judged with all that was measured, where that
    /// holds; judged here, in the frame, where the job stands on its picks, by a few more adjustments; and as it was before,
    /// out of date, where the thread judges it.
    pub(super) fn judged_again(
        &self,
        inputs: &Inputs<'_>,
        solution: &Solution,
        photo: &LoadedPhoto,
        standing: Standing,
    ) -> Judged {
        let is_settled = standing == Standing::Settled;
        let last = self.measured_last(inputs.job).filter(|last| is_settled && last.contours == inputs.job.contours);
        if let Some(last) = last {
            return Judged { advice: Arc::clone(&last.advice), is_fresh: true };
        }
        if is_settled && inputs.seen.is_none_or(Seen::is_empty) {
            let advice = advice::after(inputs, solution, &photo.file, photo.picture().as_ref()).into();
            return Judged { advice, is_fresh: true };
        }
        Judged { advice: Arc::clone(&self.judged.advice), is_fresh: false }
    }

    /// `None` where the photo is not there, where the thread tripped over something in it, and where this does: that must
    /// not take the window down.
    fn look_at_what_moved(&self, job: &Job, photo: &LoadedPhoto) -> Option<Seen> {
        let map = self.solution.map.filter(|_| self.standing != Standing::Unmeasured)?;
        let look = || Some(look_again(job, &photo.picture()?, &map, &self.seen));
        catch_unwind(AssertUnwindSafe(look)).ok().flatten()
    }

    /// What may have been meant with the shape of a contour, where it is known already: neither the contour nor anything that
    /// was seen has changed.
    pub(super) fn meant_with(&self, contour: &Contour, seen: &Arc<Seen>) -> Option<Vec<SuggestionFit>> {
        let is_known = self.standing == Standing::Settled && Arc::ptr_eq(seen, &self.seen);
        let fit = || self.solution.contours.iter().find(|fit| fit.id == contour.id)?.measured.as_ref();
        (is_known && self.contours.contains(contour)).then(fit).flatten().map(|measured| measured.suggestions.clone())
    }
}

/// The job without what has no say in where its rims, edges and contours are looked for, so that a node of a contour that
/// does not follow the edge measures nothing anew.
pub(super) fn what_is_measured_by(job: &Job) -> Job {
    let place = |node: &Node| Node { as_drawn: node.as_drawn, ..Node::corner(node.at) };
    let way = |contour: &Contour| Contour {
        closed: contour.closed,
        follow_edge: true,
        nodes: contour.nodes.iter().map(place).collect(),
        ..Contour::new(contour.id.clone(), contour.role)
    };
    let contours = job.contours.iter().filter(|contour| contour.follow_edge).map(way).collect();
    let (added, design) = (Vec::new(), Design::default());
    let duties = Vec::new();
    Job { title: String::new(), contours, added, design, duties, datum: None, stock: None, ..job.clone() }
}
