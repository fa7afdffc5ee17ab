//! The photo is sharp.
//!
//! Model: the step at a rim is blurred by a Gaussian of s px, measured with the rim (`edge`), the middle one of all rims and
//! straight sides; the camera's own movement shows as blur that is wider one way (`edge::smear`). A step in noise is found to a
//! standard deviation that grows as the root of s (Cramér-Rao bound of a blurred step, `sigma/A sqrt(2 sqrt(pi) s)`: Kay,
//! Fundamentals of Statistical Signal Processing I, 1993, chapter 3). The cost is what the ± would lose by a sharp photo
//! (adjusted anew); rims that ran together or were smeared count as if they were measured.

use super::sharper::as_if_measured;
use super::{Advice, Case};
use crate::adjust::Precision;
use crate::edge::{Verdict, smear};
use crate::fit::geometric;
use crate::solution::HoleFit;

pub(super) const NAME: &str = "Sharpness";

/// Blur of a sharp photo, px (1 sigma): lens and demosaicing leave as much. Common practice, no source.
const SHARP_PX: f64 = 0.9;

/// An edge is spread over twice its blur: from 16 to 84 % of the step.
const SPREAD: f64 = 2.0;

pub(super) fn advise(case: &Case<'_>) -> Advice {
    let rims = case.seen.rims.iter().filter_map(|rim| Some(rim.found.as_ref().ok()?.blur_px));
    let sides = case.seen.sides.iter().filter_map(|side| Some(side.found.as_ref().ok()?.blur_px));
    let mut blurs: Vec<f64> = rims.chain(sides).collect();
    blurs.sort_by(f64::total_cmp);
    let Some(blur_px) = blurs.get(blurs.len() / 2).copied() else {
        return nothing_found(case);
    };
    let smear = smeared(case);
    let lost = lost(case, smear.is_some());
    let gain = case.sharper.gain(|problem| {
        let sharper = (SHARP_PX / blur_px).min(1.0).sqrt();
        for rim in &mut problem.rims {
            if matches!(rim.precision, Precision::Measured { .. }) {
                rim.precision = rim.precision.scaled(sharper);
            }
        }
        for hole in &lost {
            as_if_measured(problem, *hole);
        }
    });
    let hole = &case.solution.holes[gain.hole];
    let spread_px = SPREAD * blur_px;
    let moved = smear.map_or_else(String::new, |px| format!(" The camera moved by about {px:.0} px."));
    let text = format!(
        "An edge is spread over {spread_px:.1} px, {:.2} mm at {}.{moved}",
        spread_px / case.map.px_per_mm(hole.centre),
        case.name(hole)
    );
    let way_out = match smear {
        Some(_) => "Lean the phone on something, or use its timer, and take it in more light.",
        None => "Tap on the face to focus, wipe the lens, and stay as far off as the lens can focus.",
    };
    case.advice(NAME, gain.mm, hole, text, way_out)
        .at(lost.iter().chain([&gain.hole]).filter_map(|hole| case.place(&case.solution.holes[*hole])))
}

/// Every rim was looked for, and none has an edge that could be measured.
fn nothing_found(case: &Case<'_>) -> Advice {
    if case.seen.rims.is_empty() {
        return Advice::not_known(NAME, "No rim is measured in the photo yet.");
    }
    let all: Vec<usize> = (0..case.solution.holes.len()).collect();
    let gain = case.sharper.gain(|problem| {
        for hole in &all {
            as_if_measured(problem, *hole);
        }
    });
    let hole = &case.solution.holes[gain.hole];
    let text = "No rim has an edge that can be measured: all holes stand on their clicks.".to_owned();
    let way_out = "Tap on the face to focus, wipe the lens, and take it again in more light.";
    case.advice(NAME, gain.mm, hole, text, way_out).at(case.kept().filter_map(|hole| case.place(hole)))
}

/// The holes, by number, whose rims were found and are not known as they would be in a sharp photo: they ran together, or,
/// where the photo is smeared, fit no circle or hardly.
fn lost(case: &Case<'_>, is_smeared: bool) -> Vec<usize> {
    let is_lost = |(number, hole): (usize, &HoleFit)| {
        let found = case.rim_seen(hole)?.found.as_ref().ok()?;
        let by_blur = match found.verdict {
            Verdict::TooSmall => true,
            Verdict::Scattered | Verdict::Faint { .. } | Verdict::TwoRims { .. } => is_smeared,
            Verdict::Trusted | Verdict::ShortArc => false,
        };
        by_blur.then_some(number)
    };
    case.solution.holes.iter().enumerate().filter_map(is_lost).collect()
}

/// How far the camera moved, px, by all rims that were found, whether they serve or not: a smear leaves no circle.
fn smeared(case: &Case<'_>) -> Option<f64> {
    let circle = |hole: &HoleFit| {
        let found = case.rim_seen(hole)?.found.as_ref().ok()?;
        let points: Option<Vec<_>> = found.points.iter().map(|point| case.map.plate_from_photo(point.at)).collect();
        let circle = geometric(&points?)?.circle;
        Some((circle.centre.into(), circle.radius))
    };
    let rims: Vec<_> = case.solution.holes.iter().filter_map(circle).collect();
    smear(case.picture?, &case.map, &rims).map(|smear| smear.length_px)
}
