//! The camera stood far enough off.
//!
//! Model: seen from a height H straight above the middle of the holes, what lies h off the face at a distance r from there
//! is seen h r / H aside (similar triangles, central projection). Nobody sees such a height in the photo; that of a burr or of
//! a worn edge is taken for its 95 %. Nearer by, the lens is used farther out as well: how far it bends the farthest hole is
//! said, and counts in the ± already.

use super::{Advice, Case};
use crate::camera::{Lens, View};
use crate::tolerance::{OFF_FACE_MM, WORTH_A_PHOTO_MM};

pub(super) const NAME: &str = "Stand-off";

/// Distances are said in steps of this, mm: nobody holds a phone to less.
const STEP_MM: f64 = 50.0;

/// A lens that bends less than this is not spoken of, mm.
const BEND_SAID_MM: f64 = 0.05;

pub(super) fn advise(case: &Case<'_>) -> Advice {
    let (middle, (_, height_mm)) = (case.middle(), case.map.standpoint());
    let (hole, off_mm) = case.worst(|hole| hole.centre.distance(middle));
    let slant = off_mm / height_mm;
    let name = case.name(hole);
    let lengths = height_mm / case.longest_mm().max(f64::MIN_POSITIVE);
    let bend_mm = bend_mm(case, hole.centre);
    let bend = if bend_mm < BEND_SAID_MM {
        String::new()
    } else {
        format!(" The lens bends it by {bend_mm:.2} mm, which is taken off.")
    };
    let text = format!(
        "From {height_mm:.0} mm, {lengths:.1} lengths of the part: 1 mm of height at {name} is seen {slant:.2} mm aside.{bend}"
    );
    let far_mm = (OFF_FACE_MM * off_mm / WORTH_A_PHOTO_MM / STEP_MM).ceil() * STEP_MM;
    let way_out = format!("Take it from {far_mm:.0} mm or more and zoom in.");
    case.advice(NAME, OFF_FACE_MM * slant, hole, text, &way_out).at(case.place(hole))
}

/// How far the lens puts a place of the face aside from where a lens without bend would, mm.
fn bend_mm(case: &Case<'_>, plate: crate::space::PlatePoint) -> f64 {
    let Lens { focal_px, principal, .. } = *case.map.lens();
    let straight = View::new(Lens::pinhole(focal_px, principal), *case.map.pose());
    let solve = case.map.datum_from_solve().undo(plate);
    let seen = case.map.photo_from_plate(plate).zip(straight.project(solve));
    seen.map_or(0.0, |(bent, straight)| bent.distance(straight) / case.map.px_per_mm(plate))
}
