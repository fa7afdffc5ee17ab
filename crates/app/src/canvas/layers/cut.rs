//! What will be cut, lightly over the photo: contours as lines and arcs, holes at their finished size.

use super::Lines;
use super::outline::paint_gap;
use crate::canvas::scene::{Scene, circle};
use crate::canvas::transform::Transform;
use crate::theme::on_photo;
use egui::{Painter, Pos2};
use platewright_core::job::Job;
use platewright_core::solution::Solution;
use platewright_core::tolerance::DRAWN_CHORD_MM;

/// Draws the cut lines.
pub(in crate::canvas) fn paint(
    painter: &Painter,
    transform: &Transform,
    scene: &Scene,
    job: &Job,
    solution: &Solution,
) {
    let mut lines = Lines::new(transform.rect);
    for contour in &solution.contours {
        let line: Vec<Pos2> = contour
            .cut
            .sampled(DRAWN_CHORD_MM)
            .into_iter()
            .filter_map(|plate| transform.screen_from_plate(plate))
            .collect();
        if contour.cut.closed {
            lines.closed(&line, 2.2, on_photo::LIGHT, 1.4);
        } else {
            lines.line(&line, 2.2, on_photo::LIGHT, 1.4);
        }
    }
    let finished = |group: Option<&platewright_core::job::Id>| {
        job.groups.iter().find(|one| Some(&one.id) == group).and_then(|group| group.finished_mm)
    };
    let holes = job.holes.iter().filter(|hole| hole.keep).filter_map(|hole| {
        let fit = solution.holes.iter().find(|fit| fit.id == hole.id)?;
        Some((fit.centre, finished(hole.group.as_ref()).unwrap_or(fit.bore_diameter_mm)))
    });
    let added = job.added.iter().map(|added| (added.at_mm, added.diameter_mm));
    for (centre, diameter_mm) in holes.chain(added) {
        if let Some(rim) = circle(centre, diameter_mm / 2.0, transform) {
            lines.closed(&rim, 2.2, on_photo::LIGHT, 1.4);
        }
        if let Some(at) = transform.screen_from_plate(centre) {
            lines.cross(at, 12.0, 1.4, on_photo::BRASS_LIGHT, 1.0);
        }
    }
    for outline in &scene.outlines {
        paint_gap(&mut lines, outline);
    }
    lines.paint(painter);
}
