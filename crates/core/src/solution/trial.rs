//! What a trial fit showed, as observations: the plate that was tried is an overlay of known places.
//!
//! The plate was laid over the part with some shift and turn. At each hole that was tried the true centre lies where the
//! plate had its hole, moved by what the person saw; how far that can be trusted depends on what happened there, and on how
//! true to scale the plate was. A print is as large as its check bars say. Where one plate was tried after the other, each is
//! an overlay of its own: it lay with a shift and turn of its own, and had its holes where it was made with them.

use super::assemble::Assembled;
use super::datum::datum;
use super::finish::play_mm;
use crate::adjust::{Adjusted, Feature, Known, Overlay, adjust};
use crate::camera::RigidMove;
use crate::job::{Id, Job, Outcome, Trial, TriedOn};
use crate::space::{PlatePoint, PlateVec};
use std::collections::BTreeSet;

/// How well an offset is judged by eye on a plate that touches, mm. Common practice, no source.
const JUDGED_SIGMA_MM: f64 = 0.1;

/// How well a place is known by a hole that went on where its play is not known, mm. Common practice, no source.
const WENT_ON_SIGMA_MM: f64 = 0.25;

/// How well a check bar is read, mm: a steel rule laid along two lines. Common practice, no source.
const BAR_SIGMA_MM: f64 = 0.1;

/// How true to scale a printer is whose bars nobody measured, as a share. Common practice, no source.
const PRINT_SIGMA: f64 = 0.002;

/// What happened at a hole that says something of its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Showed {
    /// The plate has to move by this there, with the standard deviation of either coordinate, mm.
    Moves { by: PlateVec, sigma_mm: f64 },
    /// It has to move by more than the play, the way that is given or nobody knows which.
    MoreThan { play_mm: f64, towards: Option<PlateVec> },
}

/// A trial at a hole that is in the adjustment.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Tested {
    pub(super) trial: Id,
    pub(super) rim: usize,
    /// Where the plate had the hole, as large as its check bars say, mm in its own frame.
    pub(super) had: PlatePoint,
    pub(super) showed: Showed,
}

/// All trials of a round that say something, in the job's order. `without` is the adjustment without this round: it says
/// where the plate had its holes, as far as the job does not.
pub(super) fn tested(job: &Job, round: u32, assembled: &Assembled, without: &Adjusted<'_>) -> Vec<Tested> {
    let in_datum = datum(job, assembled, without);
    let one = |trial: &Trial| {
        let place = job.holes.iter().position(|hole| hole.id == trial.hole)?;
        let rim = assembled.holes[place].ok()?;
        let play = play_mm(job, &job.holes[place], 2.0 * without.bore_radius(rim)).filter(|play| *play > 0.0);
        Some(Tested {
            trial: trial.id.clone(),
            rim,
            had: plate_had(job, trial, &in_datum, without.centre(rim)),
            showed: showed(trial, play)?,
        })
    };
    job.trials.iter().filter(|trial| trial.round == round).filter_map(one).collect()
}

fn showed(trial: &Trial, play: Option<f64>) -> Option<Showed> {
    let towards = trial.towards_deg.map(|towards| PlateVec::from_angle(towards.to_radians()));
    match (trial.outcome, towards, trial.mm) {
        (Outcome::Touched | Outcome::WouldNotGo, Some(towards), Some(mm)) => {
            Some(Showed::Moves { by: towards * mm, sigma_mm: JUDGED_SIGMA_MM })
        }
        // Anywhere in its play: a disc of radius c has the standard deviation c / 2 on either axis.
        (Outcome::WentOn, ..) => {
            let sigma_mm = play.map_or(WENT_ON_SIGMA_MM, |play| 0.5 * play);
            Some(Showed::Moves { by: PlateVec::default(), sigma_mm })
        }
        (Outcome::WouldNotGo, towards, None) => play.map(|play_mm| Showed::MoreThan { play_mm, towards }),
        // That it touched says nothing of a place while it is not said which way and how far.
        (Outcome::WouldNotGo | Outcome::Touched | Outcome::NotTried, ..) => None,
    }
}

/// Where the plate had a hole: where the job says it was drawn, else where the adjustment has it, stretched as the check bars
/// of the last print say.
fn plate_had(job: &Job, trial: &Trial, in_datum: &RigidMove, centre: PlatePoint) -> PlatePoint {
    let drawn = trial.at_mm.unwrap_or_else(|| in_datum.apply(centre));
    let of_print = job.tried.filter(|_| trial.round == job.last_round());
    let [across, up] = of_print.map_or([1.0; 2], |tried| tried.stretch());
    PlatePoint::new(drawn.x * across, drawn.y * up)
}

/// How true to scale the plate that was tried last is known to be along x and along y, as shares; `None` where a printer made it and nobody
/// measured its check bar.
pub(super) fn scale_sigma(job: &Job) -> [Option<f64>; 2] {
    let tried = job.tried.unwrap_or_default();
    let of_bar = |[should_be, _]: [f64; 2]| BAR_SIGMA_MM / should_be;
    tried.bars().map(|bar| if tried.on == TriedOn::CutPlate { Some(0.0) } else { bar.map(of_bar) })
}

/// Lays every plate that was tried on the problem, one round after the other: where the job does not say where a plate had its
/// holes, they are where all before it puts them.
pub(super) fn lay(job: &Job, assembled: &mut Assembled) {
    let (rounds, last): (BTreeSet<u32>, u32) = (job.trials.iter().map(|trial| trial.round).collect(), job.last_round());
    for round in rounds {
        let Some(without) = adjust(&assembled.problem) else { return };
        let laid = overlay(job, round, assembled, &without);
        if let Some((overlay, trials)) = laid {
            assembled.problem.overlays.push(overlay);
            assembled.trials.extend(trials);
            assembled.earlier_rounds += usize::from(round != last);
        }
    }
}

/// The plate of a round as known places, with the trials that say them; `None` where nothing was tried. What a hole that
/// would not go says is no place, and serves to name the cause alone.
fn overlay(job: &Job, round: u32, assembled: &Assembled, without: &Adjusted<'_>) -> Option<(Overlay, Vec<Id>)> {
    let tested = tested(job, round, assembled, without);
    let share = 1.0 / tested.len().max(1) as f64;
    let middle =
        tested.iter().fold(PlatePoint::default(), |sum, one| sum + PlateVec::new(one.had.x, one.had.y) * share);
    // What an earlier plate was made of is not kept: it is trusted like a print whose bars nobody measured.
    let scale = if round == job.last_round() { scale_sigma(job) } else { [None; 2] };
    let scale = scale.map(|sigma| sigma.unwrap_or(PRINT_SIGMA));
    let known = |tested: Tested| {
        let Showed::Moves { by, sigma_mm } = tested.showed else { return None };
        // A plate out of scale is off the more the farther from its middle.
        let from = tested.had - middle;
        let sigma_mm = sigma_mm.hypot((from.x * scale[0]).hypot(from.y * scale[1]));
        Some((Known { feature: Feature::Rim(tested.rim), at: tested.had + by, sigma_mm }, tested.trial))
    };
    let (places, trials): (Vec<Known>, Vec<Id>) = tested.into_iter().filter_map(known).unzip();
    (!places.is_empty()).then_some((Overlay { places }, trials))
}
