//! The camera was held square to the face.
//!
//! Model: the foot of the camera's perpendicular leaves the middle of the holes, and what lies h off the face at a distance
//! d from the foot is seen h d / H aside instead of h r / H (similar triangles); and the far side is seen smaller, so that the
//! same px of the rim's centre are more mm there. Both are independent of each other and add in squares.

use super::{Advice, Case};
use crate::tolerance::{K95_PLACE, OFF_FACE_MM};

pub(super) const NAME: &str = "Tilt";

pub(super) fn advise(case: &Case<'_>) -> Advice {
    let tilt_deg = case.map.pose().tilt_rad().to_degrees();
    let (middle, (foot, height_mm)) = (case.middle(), case.map.standpoint());
    // Straight above the middle, the same way off.
    let square_px_per_mm = case.map.lens().focal_px / middle.distance(foot).hypot(height_mm);
    let slant = |from: crate::space::PlatePoint| move |hole: crate::space::PlatePoint| hole.distance(from) / height_mm;
    let (tilted, square) = (slant(foot), slant(middle));
    let aside_mm = |centre| OFF_FACE_MM * f64::max(tilted(centre) - square(centre), 0.0);
    let number = |id: &crate::job::Id| case.solution.holes.iter().position(|hole| hole.id == *id).unwrap_or(0);
    let smaller_mm = |hole: &crate::solution::HoleFit| {
        let more = 1.0 / case.map.least_px_per_mm(hole.centre) - 1.0 / square_px_per_mm;
        K95_PLACE * case.sharper.centre_px(number(&hole.id)) * more.max(0.0)
    };
    let (hole, cost_mm) = case.worst(|hole| aside_mm(hole.centre).hypot(smaller_mm(hole)));
    let (px_per_mm, now, before) = (case.map.least_px_per_mm(hole.centre), tilted(hole.centre), square(hole.centre));
    let text = format!(
        "Tilted by {tilt_deg:.1}°: at {} it is {px_per_mm:.1} px to the mm, square {square_px_per_mm:.1}, and 1 mm of height is \
         seen {now:.2} mm aside, square {before:.2}.",
        case.name(hole),
    );
    let way_out = "Hold the camera level, straight above the middle of the part.";
    case.advice(NAME, cost_mm, hole, text, way_out).at(case.place(hole))
}
