//! What was tried on the part went on, or what was in the way is explained and settled.
//!
//! Of several plates that were tried one after the other the last is judged.

use super::{Case, Check, Verdict};
use crate::job::{Hole, Outcome, listed};
use crate::solution::{TrialFit, TrialVerdict, said_fastener};

const NAME: &str = "Trial";

pub(super) fn check(case: Case<'_>) -> Vec<Check> {
    let Case { job, solution, .. } = case;
    let at = |outcomes: &[Outcome]| -> Vec<String> {
        let trials = job.last_trials().filter(|trial| outcomes.contains(&trial.outcome));
        trials.map(|trial| job.feature_name(&trial.hole).to_owned()).collect()
    };
    let (went_on, in_the_way) = (at(&[Outcome::WentOn]), at(&[Outcome::Touched, Outcome::WouldNotGo]));
    let blocked = at(&[Outcome::WouldNotGo]);
    if went_on.is_empty() && in_the_way.is_empty() {
        return vec![Check::of(NAME, Verdict::CannotTell, "It was not tried on.")];
    }
    let fit = solution.trial.as_ref();
    let agrees = |fit: &TrialFit| fit.verdict == TrialVerdict::Agrees;
    let one = match fit {
        // What went on may be off as well: the part was measured anew since, and is not what was tried.
        Some(fit) if fit.is_off() => {
            Check { about: fit.about().cloned(), ..Check::of(NAME, Verdict::Fail, fit.text()) }
        }
        Some(fit) if !in_the_way.is_empty() && !agrees(fit) => Check::of(NAME, Verdict::Fail, fit.text()),
        // What would not go did not fit, however little of what is known speaks against it.
        _ if !blocked.is_empty() => {
            let text = format!(
                "It would not go on at {}. Find out why there, say which side touches, and try the next proof on.",
                listed(&blocked)
            );
            Check::of(NAME, Verdict::Fail, text)
        }
        None if !in_the_way.is_empty() => {
            let text = format!(
                "It did not go on at {}, and nothing explains that yet. Say which side touches, and how far it has to go.",
                listed(&in_the_way)
            );
            Check::of(NAME, Verdict::Fail, text)
        }
        _ => within_play(case, &went_on, &in_the_way),
    };
    vec![one]
}

/// Nothing is off that is known of; not passed while a stud is left that nobody tried.
fn within_play(case: Case<'_>, went_on: &[String], in_the_way: &[String]) -> Check {
    let is_tried = |hole: &Hole| case.job.last_trials().any(|t| t.hole == hole.id && t.outcome != Outcome::NotTried);
    let has_stud = |hole: &&Hole| hole.keep && said_fastener(case.job, hole).is_some();
    let left: Vec<String> =
        case.job.holes.iter().filter(has_stud).filter(|hole| !is_tried(hole)).map(|hole| hole.name.clone()).collect();
    if !left.is_empty() {
        let so_far = match in_the_way {
            [] => "It went on as far as it was tried".to_owned(),
            touched => format!("What touched at {} is within the play", listed(touched)),
        };
        let text = format!("{so_far}. Try it on {} as well.", listed(&left));
        return Check::of(NAME, Verdict::CannotTell, text);
    }
    let text = match in_the_way {
        [] => format!("It went on at {}.", listed(went_on)),
        touched => format!("What touched at {} is within the play and what was not known.", listed(touched)),
    };
    Check::of(NAME, Verdict::Pass, text)
}
