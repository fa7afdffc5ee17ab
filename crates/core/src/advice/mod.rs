//! What a photo costs: what about it makes holes less well known, by how many mm, and what to do about it.
//!
//! [`after`] judges a photo that was taken, [`before`] says how to take one. Where [`crate::check`] asks whether a part may be
//! cut, this asks whether another photo would be better.
//!
//! ## Invariants
//! - One rule per file, all of them in `RULES`. Each gives one [`Advice`], also where all is well.
//! - A cost is the part of a hole's 95 % ± that would go away, or an error of the same confidence that comes on top of it.
//!   It is computed anew with the effect taken away ([`Sharper`]), or by a formula that stands in the rule's file.
//! - Nothing is said of a photo before the size of the part is known: no cost in mm would mean anything.

mod blur;
mod clipped;
mod file;
mod focal;
mod glare;
mod height;
#[cfg(test)]
mod outcome_tests;
mod plan;
mod scale;
mod sharper;
mod stand_off;
#[cfg(test)]
mod tests;
mod tilt;

pub use plan::{Camera, Expected, Plan, USUAL_PHONE, before};

use crate::camera::PlateMap;
use crate::edge::{Clipped, Picture, Rejected};
use crate::geom::Bounds;
use crate::job::{Id, Job, Role};
use crate::seen::{RimSeen, Seen};
use crate::solution::{HoleFit, Inputs, Solution};
use crate::space::{PhotoPoint, PlatePoint};
use crate::tolerance::{USUAL_PLAY_MM, WORTH_A_PHOTO_MM};
use serde::Serialize;
use sharper::Sharper;

/// What one rule says of a photo.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// What it is about, as it stands on the sheet.
    pub name: &'static str,
    /// How it stands.
    pub state: State,
    /// One sentence with figures.
    pub text: String,
    /// What to do about it, as a sentence; empty where nothing need be done.
    pub way_out: String,
    /// What it costs, mm (95 %); `None` where that cannot be told.
    pub cost_mm: Option<f64>,
    /// The hole that it costs most.
    pub hole: Option<Id>,
    /// Where it is on the photo, what matters most first.
    pub places: Vec<Place>,
}

/// A place on the photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Its middle.
    pub at: PhotoPoint,
    /// How wide it is, px.
    pub across_px: f64,
}

/// How something stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum State {
    /// Another photo would gain nothing here.
    Good,
    /// There is too little to judge by.
    NotKnown,
    /// Another photo would be better.
    Costs,
    /// It costs as much as a fastener has play: take another photo before anything else.
    Stop,
}

/// What is known of a photo's file and of all its pixels.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PhotoFile {
    /// Where it is cut off at white or black.
    pub clipped: Clipped,
    /// Quality that it was packed with as JPEG, 1 to 100 on the scale of the Independent JPEG Group; `None` for other files.
    pub jpeg_quality: Option<f64>,
}

/// What is judged.
struct Case<'a> {
    inputs: &'a Inputs<'a>,
    solution: &'a Solution,
    seen: &'a Seen,
    file: &'a PhotoFile,
    picture: Option<&'a Picture<'a>>,
    map: PlateMap,
    /// What the ± would be otherwise.
    sharper: Sharper,
    /// From what cost on no other photo will do, mm.
    stop_mm: f64,
}

/// Judges a photo by one rule.
type Rule = fn(&Case<'_>) -> Advice;

/// All rules, in the order in which a photo is taken.
const RULES: [Rule; 9] = [
    stand_off::advise,
    tilt::advise,
    scale::advise,
    blur::advise,
    glare::advise,
    clipped::advise,
    height::advise,
    focal::advise,
    file::advise,
];

/// What all rules say of the photo of a solved job, what costs most first. `inputs` are those that `solution` came from,
/// with what was seen in `picture`. Empty while the size of the part is not known, or fewer than two holes are.
pub fn after(inputs: &Inputs<'_>, solution: &Solution, file: &PhotoFile, picture: Option<&Picture<'_>>) -> Vec<Advice> {
    let nothing = Seen::default();
    let seen = inputs.seen.unwrap_or(&nothing);
    let Some(case) = Case::of(inputs, solution, seen, (file, picture)) else { return Vec::new() };
    let mut all: Vec<Advice> = RULES.iter().map(|rule| rule(&case)).collect();
    let cost = |advice: &Advice| advice.cost_mm.unwrap_or(0.0);
    all.sort_by(|a, b| b.state.cmp(&a.state).then(cost(b).total_cmp(&cost(a))));
    all
}

impl State {
    /// By what it costs, mm, where no other photo will do from `stop_mm` on.
    fn of(cost_mm: f64, stop_mm: f64) -> Self {
        match cost_mm {
            cost if cost >= stop_mm => Self::Stop,
            cost if cost >= WORTH_A_PHOTO_MM => Self::Costs,
            _ => Self::Good,
        }
    }

    /// Another photo would be better.
    pub fn is_costly(self) -> bool {
        matches!(self, Self::Costs | Self::Stop)
    }
}

impl Advice {
    /// There is nothing to judge by, and why, as a sentence.
    fn not_known(name: &'static str, text: &str) -> Self {
        let (way_out, places) = (String::new(), Vec::new());
        Self { name, state: State::NotKnown, text: text.to_owned(), way_out, cost_mm: None, hole: None, places }
    }

    /// At these places.
    fn at(self, places: impl IntoIterator<Item = Place>) -> Self {
        let is_place = |place: &Place| place.at.is_finite() && place.across_px.is_finite();
        Self { places: places.into_iter().filter(is_place).collect(), ..self }
    }
}

impl<'a> Case<'a> {
    fn of(
        inputs: &'a Inputs<'a>,
        solution: &'a Solution,
        seen: &'a Seen,
        (file, picture): (&'a PhotoFile, Option<&'a Picture<'a>>),
    ) -> Option<Self> {
        let is_known = solution.fit.scale_known() && solution.fit.worst_sigma_mm.is_some();
        let map = solution.map.filter(|_| is_known)?;
        let plays = solution.bolt_up.iter().flat_map(|bolt_up| &bolt_up.holes).map(|hole| hole.play_mm);
        // A fastener that does not go in, or hardly, says nothing of photos.
        let least = plays.filter(|play| *play > WORTH_A_PHOTO_MM).fold(f64::INFINITY, f64::min);
        let stop_mm = if least.is_finite() { least } else { USUAL_PLAY_MM };
        let sharper = Sharper::of(inputs)?;
        Some(Self { inputs, solution, seen, file, picture, map, sharper, stop_mm })
    }

    fn job(&self) -> &'a Job {
        self.inputs.job
    }

    fn name(&self, hole: &HoleFit) -> &'a str {
        self.job().hole(&hole.id).map_or("a hole", |hole| hole.name.as_str())
    }

    /// What a rule says that costs `cost_mm` at a hole: `text`, and `way_out` where it is costly.
    fn advice(&self, name: &'static str, cost_mm: f64, hole: &HoleFit, text: String, way_out: &str) -> Advice {
        let state = State::of(cost_mm, self.stop_mm);
        let way_out = if state.is_costly() { way_out.to_owned() } else { String::new() };
        let (cost_mm, hole) = (Some(cost_mm), Some(hole.id.clone()));
        Advice { name, state, text, way_out, cost_mm, hole, places: Vec::new() }
    }

    /// The kept holes; at least two, as otherwise no place is known.
    fn kept(&self) -> impl Iterator<Item = &'a HoleFit> {
        let is_kept = |hole: &&HoleFit| self.job().hole(&hole.id).is_some_and(|hole| hole.keep);
        self.solution.holes.iter().filter(is_kept)
    }

    /// The kept hole of the largest figure, with the figure.
    fn worst(&self, figure: impl Fn(&HoleFit) -> f64) -> (&'a HoleFit, f64) {
        let all = self.kept().map(|hole| (hole, figure(hole)));
        // There is one: where no hole is kept nothing is judged.
        all.max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((&self.solution.holes[0], 0.0))
    }

    /// The middle of the kept holes.
    fn middle(&self) -> PlatePoint {
        let (sum, count) = self
            .kept()
            .fold(([0.0; 2], 0.0), |([x, y], count), hole| ([x + hole.centre.x, y + hole.centre.y], count + 1.0));
        let count = f64::max(count, 1.0);
        PlatePoint::new(sum[0] / count, sum[1] / count)
    }

    /// Where a hole is on the photo, with what is round it.
    fn place(&self, hole: &HoleFit) -> Option<Place> {
        let at = self.map.photo_from_plate(hole.centre)?;
        Some(Place { at, across_px: hole.rim_diameter_mm * self.map.px_per_mm(hole.centre) })
    }

    /// The part's outline, closed, on the plate.
    fn outline(&self) -> Option<Vec<PlatePoint>> {
        let mut outlines = self.solution.contours.iter().filter(|contour| contour.role == Role::Outer);
        outlines.find(|contour| contour.cut.closed).map(|outline| outline.cut.sampled(FACE_CHORD_MM))
    }

    /// The part's outline, closed, on the plate; else the box round its holes.
    fn face(&self) -> Vec<PlatePoint> {
        if let Some(outline) = self.outline() {
            return outline;
        }
        let rims =
            self.solution.holes.iter().map(|hole| Bounds::around_circle(hole.centre, 0.5 * hole.rim_diameter_mm));
        rims.reduce(Bounds::union).map_or_else(Vec::new, |Bounds { min, max }| {
            vec![min, PlatePoint::new(max.x, min.y), max, PlatePoint::new(min.x, max.y)]
        })
    }

    /// How long the part is, mm: between the two places of its outline, else of its kept holes, that lie farthest apart. A box
    /// would say another length for each way that coordinates lie.
    fn longest_mm(&self) -> f64 {
        let rims = || self.kept().map(|hole| (hole.centre, 0.5 * hole.rim_diameter_mm)).collect();
        let outline = self.outline().map(|outline| outline.into_iter().map(|at| (at, 0.0)).collect());
        let places: Vec<(PlatePoint, f64)> = outline.unwrap_or_else(rims);
        let pairs = places.iter().enumerate().flat_map(|(i, a)| places[i + 1..].iter().map(move |b| (a, b)));
        pairs.map(|(a, b)| a.0.distance(b.0) + a.1 + b.1).fold(0.0, f64::max)
    }

    /// What was seen of a hole as the job has it.
    fn rim_seen(&self, hole: &HoleFit) -> Option<&'a RimSeen> {
        self.seen.rim(self.job().hole(&hole.id)?)
    }

    /// Places round a hole's rim that gave no point.
    fn rejected(&self, hole: &HoleFit) -> &'a [Rejected] {
        self.rim_seen(hole).and_then(|seen| seen.found.as_ref().ok()).map_or(&[], |found| &found.rejected)
    }
}

/// How finely the face's edge is drawn to tell what lies on it, mm.
const FACE_CHORD_MM: f64 = 0.5;

/// The smallest circle-like place round some points; `None` round none.
fn around(points: &[PhotoPoint]) -> Option<Place> {
    let least = |of: fn(&PhotoPoint) -> f64| points.iter().map(of).fold(f64::INFINITY, f64::min);
    let most = |of: fn(&PhotoPoint) -> f64| points.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
    let (left, right, top, bottom) = (least(|p| p.x), most(|p| p.x), least(|p| p.y), most(|p| p.y));
    let at = PhotoPoint::new(0.5 * (left + right), 0.5 * (top + bottom));
    at.is_finite().then(|| Place { at, across_px: (right - left).hypot(bottom - top) })
}
