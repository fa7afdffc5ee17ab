//! What is added to the part, and the line of its land: light lines, the chosen ones in brass, what is not there yet
//! dashed.

use super::Lines;
use crate::canvas::scene::{AddedSeen, Scene};
use crate::canvas::transform::Transform;
use crate::theme::on_photo;
use egui::{Painter, Pos2};
use platewright_core::export::CutDrawing;
use platewright_core::job::Id;
use platewright_core::tolerance::DRAWN_CHORD_MM;

/// A rim narrower than this on the screen gets no cross in its middle, points.
const ROOM_FOR_CROSS: f32 = 9.0;
/// Dash and gap of what is not there yet, points.
const DASHES: [f32; 2] = [5.0, 3.5];

/// Draws what is added.
pub(in crate::canvas) fn paint(painter: &Painter, transform: &Transform, scene: &Scene) {
    let mut lines = Lines::new(transform.rect);
    for AddedSeen { at, rim, is_chosen, is_draft, .. } in &scene.added {
        let (width, colour) = if *is_chosen { (3.0, on_photo::BRASS) } else { (1.7, on_photo::LIGHT) };
        match (rim.first(), is_draft) {
            (Some(first), true) => {
                let line: Vec<Pos2> = rim.iter().chain([first]).copied().collect();
                lines.dashed(&line, (2.0, colour), 1.4, DASHES);
            }
            (Some(_), false) => lines.closed(rim, width, colour, 1.4),
            (None, _) => {}
        }
        let reach = rim.iter().map(|point| point.distance(*at)).fold(0.0, f32::max);
        if rim.is_empty() || reach > ROOM_FOR_CROSS {
            lines.cross(*at, 12.0, 1.4, if *is_chosen { on_photo::BRASS } else { on_photo::LIGHT }, 1.0);
        }
    }
    lines.paint(painter);
}

/// Draws the lines that are cut beside the edge, where land is left.
pub(in crate::canvas) fn paint_land(painter: &Painter, transform: &Transform, cut: &CutDrawing) {
    if cut.lands.is_empty() {
        return;
    }
    let mut lines = Lines::new(transform.rect);
    let has_land = |id: &Id| cut.lands.iter().any(|land| land.id == *id && land.made.is_ok());
    for cut in cut.outer.iter().chain(&cut.openings).filter(|cut| has_land(&cut.id)) {
        let places = cut.contour.sampled(DRAWN_CHORD_MM).into_iter();
        let line: Vec<Pos2> = places.filter_map(|plate| transform.screen_from_plate(plate)).collect();
        lines.dashed(&line, (1.7, on_photo::LIGHT), 1.4, [7.0, 3.0]);
    }
    lines.paint(painter);
}
