//! The part is large enough in the picture.
//!
//! Model: a photo of twice as many px to the mm has every edge to half as many mm. The cost is what the ± would lose by that
//! (adjusted anew).

use super::sharper::scale_all;
use super::{Advice, Case};

pub(super) const NAME: &str = "Size in the picture";

/// What the rims of a photo are measured to, px: a tenth, as people count it.
const TENTH_PX: f64 = 0.1;

pub(super) fn advise(case: &Case<'_>) -> Advice {
    let gain = case.sharper.gain(|problem| scale_all(problem, 0.5));
    let (smallest, least) = case.worst(|hole| -case.map.least_px_per_mm(hole.centre));
    let px_per_mm = -least;
    let text = format!(
        "{px_per_mm:.1} px to the mm at {}, where it is least: a tenth of a pixel is {:.3} mm.",
        case.name(smallest),
        TENTH_PX / px_per_mm,
    );
    let hole = &case.solution.holes[gain.hole];
    let way_out = format!(
        "Twice the px would make {} good to ±{:.2} mm: zoom in until the part fills the picture, at the camera's full size.",
        case.name(hole),
        gain.then_mm
    );
    case.advice(NAME, gain.mm, hole, text, &way_out).at(case.place(smallest))
}
