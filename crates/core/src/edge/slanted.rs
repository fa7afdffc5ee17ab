//! Measuring a rim while it is not known well at what slant it is seen.
//!
//! Before the first measures a camera may be wrong by a tenth of its lens's bend or by several degrees of tilt. A rim is
//! then no circle by it but an oval, one or two hundredths longer than wide, and a search for circles takes what is
//! rounder: the far end of a wall. So a few slants about the camera's own are tried, each by a far camera of its own.

use super::oval::{Oval, Pull, seen_as};
use super::{Picture, RimMeasurement, RimStart, measure_rim};
use crate::camera::PlateMap;
use crate::space::{PhotoVec, PlatePoint};
use std::f64::consts::TAU;

/// How much longer than wide a rim may be than the camera says, as shares of its radius: a bend of 0.1 at the edge of a
/// wide photo makes 0.02.
const FLATTENED: [f64; 2] = [0.012, 0.024];

/// In how many directions each is tried.
const DIRECTIONS: u32 = 6;

/// How far from the slant that was found the rim is looked for once more, px: profiles need so much beside the edge.
const REFINED_REACH_PX: f64 = 8.0;

/// The rim near `start`, at whatever slant it is seen; `None` where none of those that were tried shows a rim that may be
/// believed. Only its points belong to the photo's own camera: centre and radius are by a far one, at 1 px per mm, and of
/// what lies below the face that tells nothing.
pub fn measure_rim_at_any_slant(picture: &Picture, map: &PlateMap, start: &RimStart) -> Option<RimMeasurement> {
    let seen = seen_as(map, start)?;
    let around = |share: f64| {
        let angle = |i: u32| TAU * f64::from(i) / f64::from(DIRECTIONS);
        (0..DIRECTIONS).map(move |i| PhotoVec::from_angle(angle(i)) * (share * seen.radius_px))
    };
    let swells = [PhotoVec::default()].into_iter().chain(FLATTENED.into_iter().flat_map(around));
    let tried = swells.filter_map(|swell| {
        let oval = Oval { swell: seen.swell + swell, ..seen };
        believed(measured(picture, &oval, start.reach_px))
    });
    // The slant is the nearer the less the points scatter about the circle.
    let best = tried.min_by(|a, b| a.rms_px.total_cmp(&b.rms_px))?;
    let centre = seen.centre;
    let refined = Oval::circle(centre, seen.radius_px).pulled(best.points.iter().map(|point| {
        let step = point.at - centre;
        Pull { angle: step.angle_rad(), distance_px: step.length(), weight: point.sigma_px.powi(-2) }
    }));
    let again = refined.and_then(|oval| believed(measured(picture, &oval, REFINED_REACH_PX)));
    let nearest = again.filter(|again| again.rms_px <= best.rms_px).unwrap_or(best);
    Some(RimMeasurement { inner_radius_mm: None, wall_depth_mm: None, ..nearest })
}

fn measured(picture: &Picture, oval: &Oval, reach_px: f64) -> Option<RimMeasurement> {
    let (far_map, radius_mm) = oval.far_map();
    let start = RimStart { centre: PlatePoint::default(), radius_mm, reach_px };
    measure_rim(picture, &far_map, &start).ok()
}

fn believed(rim: Option<RimMeasurement>) -> Option<RimMeasurement> {
    rim.filter(|rim| rim.verdict.is_one_circle())
}
