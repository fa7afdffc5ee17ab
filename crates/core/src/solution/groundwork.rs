//! What the contours stand on, kept from one solve to the next.

use super::{ContourFit, Depth, Inputs, Solution, SuggestionFit, but_contours, has_anything};
use crate::instrument::Instrument;
use crate::job::{Contour, Job};
use crate::outline::{Making, contour_fit};
use crate::seen::{ContourSeen, Seen};
use crate::tolerance::CUT_CHORD_MM;

/// What followed from a job when it was solved last: where only contours were changed since, as in every frame in which a node
/// is dragged, all but those contours is taken over.
///
/// It remembers what it was made from. All of it is stale where anything is another of the job but its contours, of what was
/// seen but along them, or of the other [`Inputs`]; a contour is stale as well where it is another itself, or what was
/// seen along it is. What is stale is made anew, so that the digits are those of a solve from nothing.
#[derive(Debug, Clone, Default)]
pub struct Groundwork {
    kept: Option<Kept>,
}

#[derive(Debug, Clone)]
struct Kept {
    from: MadeFrom,
    /// Without contours.
    solution: Solution,
    contours: Vec<KeptContour>,
}

/// What all but the contours follows from.
#[derive(Debug, Clone)]
struct MadeFrom {
    /// Without contours.
    job: Job,
    has_anything: bool,
    exif_focal_px: Option<f64>,
    instrument: Instrument,
    /// Without contours.
    seen: Option<Seen>,
    is_whole: bool,
}

#[derive(Debug, Clone)]
struct KeptContour {
    contour: Contour,
    seen: Option<ContourSeen>,
    fit: ContourFit,
}

impl Groundwork {
    /// Everything that follows from a job, where it is known already what may have been meant with the shapes of some contours,
    /// which takes as long as all the rest: nothing that they rest on was changed.
    pub fn solve_again(
        &mut self,
        inputs: &Inputs<'_>,
        meant: &dyn Fn(&Contour) -> Option<Vec<SuggestionFit>>,
    ) -> Solution {
        self.solve_to(inputs, Depth::Whole(meant))
    }

    /// The same within a frame, for what is being dragged: without what may have been meant with the shapes of contours, and
    /// without the rims that would explain a misfit.
    pub fn solve_in_hand(&mut self, inputs: &Inputs<'_>) -> Solution {
        self.solve_to(inputs, Depth::InHand)
    }

    fn solve_to(&mut self, inputs: &Inputs<'_>, depth: Depth<'_>) -> Solution {
        let still = self.kept.take().filter(|kept| kept.from.still_holds(inputs, depth));
        let kept = self.kept.insert(still.unwrap_or_else(|| Kept {
            from: MadeFrom::new(inputs, depth),
            solution: but_contours(inputs, depth),
            contours: Vec::new(),
        }));
        kept.contours = inputs.job.contours.iter().filter_map(|contour| kept.contour(contour, inputs, depth)).collect();
        let contours = kept.contours.iter().map(|kept| kept.fit.clone()).collect();
        Solution { contours, ..kept.solution.clone() }
    }
}

impl Kept {
    /// A contour as it was, where it still is; made anew else. `None` while there is no camera.
    fn contour(&self, contour: &Contour, inputs: &Inputs<'_>, depth: Depth<'_>) -> Option<KeptContour> {
        let map = self.solution.map.as_ref()?;
        let seen = inputs.seen.and_then(|seen| seen.contour(contour, inputs.job));
        let is_same = |kept: &&KeptContour| kept.contour == *contour && kept.seen.as_ref() == seen;
        if let Some(kept) = self.contours.iter().find(is_same) {
            return Some(kept.clone());
        }
        let (is_whole, known) = match depth {
            Depth::InHand => (false, None),
            Depth::Whole(meant) => (true, meant(contour)),
        };
        let making = Making { chord_mm: CUT_CHORD_MM, suggested: is_whole && known.is_none() };
        let mut fit = contour_fit(contour, seen, map, &self.solution.holes, making);
        if let (Some(measured), Some(known)) = (&mut fit.measured, known) {
            measured.suggestions = known;
        }
        Some(KeptContour { contour: contour.clone(), seen: seen.cloned(), fit })
    }
}

impl MadeFrom {
    fn new(inputs: &Inputs<'_>, depth: Depth<'_>) -> Self {
        let Inputs { job, exif_focal_px, instrument, seen } = *inputs;
        let but_contours = |seen: &Seen| Seen {
            rims: seen.rims.clone(),
            sides: seen.sides.clone(),
            corners: seen.corners.clone(),
            contours: Vec::new(),
            no_camera: seen.no_camera,
        };
        Self {
            job: job_but_contours(job),
            has_anything: has_anything(job),
            exif_focal_px,
            instrument,
            seen: seen.map(but_contours),
            is_whole: matches!(depth, Depth::Whole(_)),
        }
    }

    /// The same would be made of these inputs.
    fn still_holds(&self, inputs: &Inputs<'_>, depth: Depth<'_>) -> bool {
        let is_seen = match (&self.seen, inputs.seen) {
            (Some(own), Some(seen)) => {
                (&own.rims, &own.sides, &own.corners, own.no_camera)
                    == (&seen.rims, &seen.sides, &seen.corners, seen.no_camera)
            }
            (own, seen) => own.is_none() && seen.is_none(),
        };
        is_seen
            && self.is_whole == matches!(depth, Depth::Whole(_))
            && self.has_anything == has_anything(inputs.job)
            && (self.exif_focal_px, self.instrument) == (inputs.exif_focal_px, inputs.instrument)
            && self.job == job_but_contours(inputs.job)
    }
}

fn job_but_contours(job: &Job) -> Job {
    Job { contours: Vec::new(), ..job.clone() }
}
