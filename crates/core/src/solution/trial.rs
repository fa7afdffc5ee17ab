//! What a trial fit showed, as observations: the plate that was tried is an overlay of known places.
//!
//! The plate was laid over the part with some shift and turn. At each hole that was tried the true centre lies where the
//! plate had its hole, moved by what the person saw; how far that can be trusted depends on what happened there.

use super::assemble::Assembled;
use super::datum::datum;
use super::finish::play_mm;
use crate::adjust::{Adjusted, Feature, Known, Overlay};
use crate::job::{Id, Job, Outcome, Trial};
use crate::space::PlateVec;

/// How well an offset is judged by eye on a plate that touches, mm. Common practice, no source.
const JUDGED_SIGMA_MM: f64 = 0.1;

/// How well a place is known by a hole that went on where its play is not known, mm. Common practice, no source.
const WENT_ON_SIGMA_MM: f64 = 0.25;

/// The trial plate as known places, with the trials that say them; `None` where nothing was tried. `without` is the adjustment without the trial: it
/// says where the plate had its holes, as far as the job does not.
pub(super) fn overlay(job: &Job, assembled: &Assembled, without: &Adjusted<'_>) -> Option<(Overlay, Vec<Id>)> {
    let in_datum = datum(job, assembled, without);
    let known = |trial: &Trial| {
        let place = job.holes.iter().position(|hole| hole.id == trial.hole)?;
        let rim = assembled.holes[place].ok()?;
        let plate_had = trial.at_mm.unwrap_or_else(|| in_datum.apply(without.centre(rim)));
        let (at, sigma_mm) = match (trial.outcome, trial.towards_deg, trial.mm) {
            (Outcome::Touched, Some(towards), Some(mm)) => {
                (plate_had + PlateVec::from_angle(towards.to_radians()) * mm, JUDGED_SIGMA_MM)
            }
            // Anywhere in its play: a disc of radius c has the standard deviation c / 2 on either axis.
            (Outcome::WentOn, ..) => {
                let play = play_mm(job, &job.holes[place], 2.0 * without.bore_radius(rim));
                (plate_had, play.filter(|play| *play > 0.0).map_or(WENT_ON_SIGMA_MM, |play| 0.5 * play))
            }
            // That it touched, or would not go, says nothing of a place while it is not said which way.
            (Outcome::Touched | Outcome::WouldNotGo | Outcome::NotTried, ..) => return None,
        };
        Some((Known { feature: Feature::Rim(rim), at, sigma_mm }, trial.id.clone()))
    };
    let (places, trials): (Vec<Known>, Vec<Id>) = job.trials.iter().filter_map(known).unzip();
    (!places.is_empty()).then_some((Overlay { places }, trials))
}
