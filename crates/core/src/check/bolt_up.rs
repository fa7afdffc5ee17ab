//! The plate is likely to go over its fasteners.

use super::{Case, Check, Verdict};
use crate::solution::{is_tapped, said_fastener};

const NAME: &str = "Bolt-up";

/// Odds below this are worth another measure; below the other it fails more often than it goes on.
const GOOD_ODDS: f64 = 0.95;
const EVEN_ODDS: f64 = 0.5;

pub(super) fn check(Case { job, solution, .. }: Case<'_>) -> Vec<Check> {
    let Some(bolt_up) = &solution.bolt_up else {
        let is_said =
            job.holes.iter().any(|hole| hole.keep && !is_tapped(job, hole) && said_fastener(job, hole).is_some());
        let text = if is_said {
            "The odds wait for the size of the part, and for every fastener that is said to be found and known."
        } else {
            "No fastener is said. Say which go through, and the odds follow."
        };
        return vec![Check::of(NAME, Verdict::CannotTell, text)];
    };
    if !solution.fits_together() {
        let text = "The odds wait until what was picked and what was measured fit together.";
        return vec![Check::of(NAME, Verdict::CannotTell, text)];
    }
    let odds = format!("It bolts up {}", bolt_up.times());
    let Some(worst) = bolt_up.worst.as_ref().filter(|_| bolt_up.odds < GOOD_ODDS) else {
        return vec![Check::of(NAME, Verdict::Pass, format!("{odds}."))];
    };
    let verdict = if bolt_up.odds < EVEN_ODDS { Verdict::Fail } else { Verdict::Warn };
    let name = job.feature_name(worst);
    let next = solution.measure_next.first().map_or_else(|| "Measure more".to_owned(), |next| next.call(job));
    let text = format!("{odds}, and {name} is in the way most often. {next}, or choose a wider clearance there.");
    let place = solution.holes.iter().find(|fit| fit.id == *worst).map(|fit| fit.centre);
    vec![Check::of(NAME, verdict, text).about(worst).at(place)]
}
