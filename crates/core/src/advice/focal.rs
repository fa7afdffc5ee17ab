//! The photo says how long its lens was.
//!
//! Model: without it the focal length is a guess, from wide phone cameras to short telephoto lenses (`solution::beliefs`), and
//! tilt and stand-off are known less well. The cost is what the ± would lose by the record (adjusted anew).

use super::{Advice, Case};
use crate::adjust::Prior;
use crate::camera::CameraUnknown;
use crate::solution::{BeliefSource, EXIF_FOCAL_SIGMA, beliefs};

pub(super) const NAME: &str = "Focal length";

pub(super) fn advise(case: &Case<'_>) -> Advice {
    let focal = beliefs(case.inputs).focal_px;
    let gain = match focal.source {
        BeliefSource::Usual => case.sharper.gain(|problem| {
            // The record would say what was found, as far as anybody knows, and not what was guessed.
            problem.priors.0[CameraUnknown::LnFocal as usize] =
                Prior { value: case.map.lens().focal_px.ln(), sigma: EXIF_FOCAL_SIGMA };
        }),
        BeliefSource::Person | BeliefSource::Photo => case.sharper.gain(|_| ()),
    };
    let hole = &case.solution.holes[gain.hole];
    let text = match focal.source {
        BeliefSource::Usual => "The file does not say how long the lens was, so that is a guess.".to_owned(),
        BeliefSource::Photo => format!("The file says how long the lens was, {:.0} px.", focal.belief.value),
        BeliefSource::Person => format!("You say how long the lens was, {:.0} px.", focal.belief.value),
    };
    let way_out = format!(
        "Open the file as the camera wrote it: messengers and editors drop this record. With it {} is good to ±{:.2} mm. Or \
         type it on the card.",
        case.name(hole),
        gain.then_mm
    );
    case.advice(NAME, gain.mm, hole, text, &way_out)
}
