//! Only one position of the camera explains the measures.

use super::{Case, Check, Verdict};

const NAME: &str = "Tilt settled";

pub(super) fn check(Case { job, solution, .. }: Case<'_>) -> Vec<Check> {
    let check = match (&solution.fit.ambiguous, solution.camera) {
        (Some(other), _) => {
            let hole = job.holes.iter().find(|hole| hole.id == other.hole);
            let name = hole.map_or(other.hole.0.as_str(), |hole| hole.name.as_str());
            let text = format!(
                "Two positions of the camera fit, and {name} differs by {:.2} mm between them. Take the measure asked for next.",
                other.moves_mm
            );
            Check::of(NAME, Verdict::Fail, text).about(&other.hole)
        }
        (None, Some(_)) => Check::of(NAME, Verdict::Pass, "One position of the camera fits."),
        (None, None) => Check::of(NAME, Verdict::CannotTell, "The camera is not known yet."),
    };
    vec![check]
}
