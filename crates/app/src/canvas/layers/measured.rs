//! Points measured in the photo: dots where they count, small slanted crosses where they do not.

use super::Lines;
use crate::canvas::scene::{MeasuredPoint, PointState};
use crate::theme::on_photo;
use egui::{Painter, Rect, vec2};

/// Radius of a dot, points.
const DOT: f32 = 1.9;
/// Half of a cross's height and width, points.
const CROSS: f32 = 3.0;

/// Draws them.
pub(in crate::canvas) fn paint(painter: &Painter, view: Rect, points: &[MeasuredPoint]) {
    let mut lines = Lines::new(view);
    for point in points {
        add(&mut lines, point.at, point.state);
    }
    lines.paint(painter);
}

/// One of them, at a place of the screen.
pub(in crate::canvas) fn add(lines: &mut Lines, at: egui::Pos2, state: PointState) {
    match state {
        PointState::Used { .. } => lines.disc(at, DOT, on_photo::BRASS_LIGHT, 0.9),
        PointState::NotUsed(_) => {
            for arm in [vec2(CROSS, CROSS), vec2(CROSS, -CROSS)] {
                lines.line(&[at - arm, at + arm], 1.3, on_photo::UNKNOWN, 0.9);
            }
        }
    }
}
