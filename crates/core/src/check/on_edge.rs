//! The cut lies on the edge that was measured, and all of the edge was seen.

use super::{Case, Check, Verdict, contour_name, count, found_or};
use crate::solution::{ContourFit, MeasuredContour, Unseen};

const NAME: &str = "On the edge";

/// A cut farther off than so many times what is allowed is not of this edge.
const FAR_OFF: f64 = 2.0;

/// Stretches that were not seen are named from this length on, mm: shorter ones hide no feature of a part.
const LONG_MM: f64 = 3.0;

pub(super) fn check(Case { job, solution, .. }: Case<'_>) -> Vec<Check> {
    let is_kept = |fit: &&ContourFit| job.contour(&fit.id).is_some_and(|contour| contour.keep);
    let kept = solution.contours.iter().filter(is_kept);
    let measured: Vec<(&ContourFit, &MeasuredContour)> =
        kept.filter_map(|fit| Some((fit, fit.measured.as_ref()?))).collect();
    if measured.is_empty() {
        let text = "No contour follows the edge in the photo: the cut is as it was drawn.";
        return vec![Check::of(NAME, Verdict::CannotTell, text)];
    }
    let found = measured.iter().flat_map(|(fit, measured)| [off(fit, measured), unseen(fit, measured)]);
    found_or(found.flatten().collect(), || {
        let places: usize = measured.iter().map(|(_, measured)| measured.places.len()).sum();
        let worst_mm = measured.iter().map(|(_, measured)| measured.worst_mm).fold(0.0, f64::max);
        let places = count(places, "measured place");
        Check::of(NAME, Verdict::Pass, format!("The cut lies within {worst_mm:.2} mm of {places} of the edge."))
    })
}

fn off(fit: &ContourFit, measured: &MeasuredContour) -> Option<Check> {
    let (worst_mm, allowed_mm) = (measured.worst_mm, measured.allowance_mm());
    if worst_mm <= allowed_mm {
        return None;
    }
    let verdict = if worst_mm > FAR_OFF * allowed_mm { Verdict::Fail } else { Verdict::Warn };
    let name = contour_name(fit);
    let text = format!(
        "{name} is cut up to {worst_mm:.2} mm off the measured edge, where {allowed_mm:.2} mm is allowed. Look there, and \
         let go of what is pinned or agreed."
    );
    Some(Check::of(NAME, verdict, text).about(&fit.id))
}

fn unseen(fit: &ContourFit, measured: &MeasuredContour) -> Option<Check> {
    let long: Vec<f64> = measured.unseen.iter().map(Unseen::length_mm).filter(|mm| *mm > LONG_MM).collect();
    let longest = long.iter().copied().fold(0.0, f64::max);
    let first = measured.unseen.iter().find(|unseen| unseen.length_mm() >= longest).filter(|_| !long.is_empty())?;
    let name = contour_name(fit);
    let why = first.why();
    let text = match long.len() {
        1 => format!("{name} has {longest:.1} mm where no edge is seen: {why}. Look whether the cut is right there."),
        n => format!(
            "{name} has {n} stretches where no edge is seen, the longest {longest:.1} mm: {why}. Look whether the cut is \
             right there."
        ),
    };
    Some(Check::of(NAME, Verdict::Warn, text).about(&fit.id))
}
