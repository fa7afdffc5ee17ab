//! The photo was taken from where it can be trusted: square, from afar, and large enough.
//!
//! The face is flat, and what is picked need not lie in it: a burr stands above it, the rim of a worn or broken edge below.
//! What is off by h is seen aside by h times the slant at which the camera sees it there.

use super::{Case, Check, Verdict, found_or};
use crate::camera::PlateMap;
use crate::geom::Bounds;
use crate::space::PlatePoint;
use crate::tolerance::OFF_FACE_MM;

const NAME: &str = "Photo";

/// Tilted by more than this the far side is seen much smaller and the slant counts, degrees. Common practice, no source.
const TILTED_DEG: f64 = 20.0;

/// The camera is near where it stands off by less than so many times the longest side of the part; the guide to taking the
/// photo asks for four. Common practice, no source.
const NEAR_LENGTHS: f64 = 1.5;

/// Fewer px to the mm make a pick that is a pixel off more than 0.2 mm off.
const FEW_PX_PER_MM: f64 = 5.0;

pub(super) fn check(Case { solution, cut, .. }: Case<'_>) -> Vec<Check> {
    let (Some(map), Some(camera), true) = (solution.map, solution.camera, solution.fit.scale_known()) else {
        return vec![Check::of(NAME, Verdict::CannotTell, "The camera is not known yet.")];
    };
    let centres = solution.holes.iter().map(|hole| hole.centre);
    let Some(part) = cut.bounds().or_else(|| Bounds::around(centres)) else {
        return vec![Check::of(NAME, Verdict::CannotTell, "Nothing is picked yet.")];
    };
    let found = [tilted(&map, part, camera.tilt_deg.0), near(&map, part), coarse(&map, part)];
    found_or(found.into_iter().flatten().collect(), || {
        let text = format!(
            "Tilted by {:.0}°, from {:.0} mm away, {:.1} px to the mm.",
            camera.tilt_deg.0,
            map.standpoint().1,
            scale(&map, part)
        );
        Check::of(NAME, Verdict::Pass, text)
    })
}

/// The corners of a box.
fn corners(part: Bounds) -> [PlatePoint; 4] {
    let Bounds { min, max } = part;
    [min, PlatePoint::new(max.x, min.y), max, PlatePoint::new(min.x, max.y)]
}

/// How far aside what lies off the face is seen at the worst corner of the part, mm, and where that is.
fn aside(map: &PlateMap, part: Bounds) -> (f64, PlatePoint) {
    let (foot, height) = map.standpoint();
    let slants = corners(part).map(|corner| (corner.distance(foot) / height * OFF_FACE_MM, corner));
    slants.into_iter().fold((0.0, part.min), |worst, next| if next.0 > worst.0 { next } else { worst })
}

fn tilted(map: &PlateMap, part: Bounds, tilt_deg: f64) -> Option<Check> {
    let (aside_mm, at) = aside(map, part);
    let text = format!(
        "The camera was tilted by {tilt_deg:.0}°. A rim {OFF_FACE_MM} mm above or below the face is seen up to {aside_mm:.2} mm \
         aside. Take the photo again, squarer to the face."
    );
    (tilt_deg > TILTED_DEG).then(|| Check::of(NAME, Verdict::Warn, text).at([at]))
}

fn near(map: &PlateMap, part: Bounds) -> Option<Check> {
    let (aside_mm, at) = aside(map, part);
    let (height, size) = (map.standpoint().1, part.size());
    let longest = size.x.max(size.y);
    let text = format!(
        "The camera stood {height:.0} mm off a part of {longest:.0} mm. A rim {OFF_FACE_MM} mm above or below the face is seen up \
         to {aside_mm:.2} mm aside. Take the photo again from four lengths of the part away."
    );
    (height < NEAR_LENGTHS * longest).then(|| Check::of(NAME, Verdict::Warn, text).at([at]))
}

/// Px to the mm where the part is seen smallest.
fn scale(map: &PlateMap, part: Bounds) -> f64 {
    corners(part).map(|corner| map.px_per_mm(corner)).into_iter().fold(f64::INFINITY, f64::min)
}

fn coarse(map: &PlateMap, part: Bounds) -> Option<Check> {
    let px_per_mm = scale(map, part);
    let pixel_mm = 1.0 / px_per_mm;
    let text = format!(
        "The photo has {px_per_mm:.1} px to the mm of the part: a pick that is a pixel off is {pixel_mm:.2} mm off. Take it again \
         with the part larger in the picture, or measure more by hand."
    );
    (px_per_mm < FEW_PX_PER_MM).then(|| Check::of(NAME, Verdict::Warn, text))
}
