//! Rims as scribed circles, picks as brass crosses, ellipses as dashed brass lines.

use super::Lines;
use crate::canvas::scene::{Ellipses, Feature, FeatureKind, PickSeen, Scene};
use crate::theme::on_photo;
use egui::{Painter, Rect, Vec2};

/// A rim narrower than this on the screen gets no cross in its middle, points.
const ROOM_FOR_CROSS: f32 = 9.0;
/// Between a rim and the ring that says it is asked for, points.
const ROOM_ROUND_ASKED: f32 = 6.0;

/// Draws rims with their centres, and named points.
pub(in crate::canvas) fn paint_rims(painter: &Painter, view: Rect, features: &[Feature]) {
    let mut lines = Lines::new(view);
    for feature in features.iter().filter(|feature| feature.is_in_sight(view)) {
        match feature.kind {
            FeatureKind::Hole => {
                lines.closed(&feature.rim, 1.5, on_photo::LIGHT, 1.3);
                if feature.reach > ROOM_FOR_CROSS {
                    lines.cross(feature.at, 12.0, 1.3, on_photo::LIGHT, 1.0);
                }
            }
            FeatureKind::Point => {
                lines.cross(feature.at, 12.0, 1.8, on_photo::BRASS_LIGHT, 1.0);
                lines.open_ring(feature.at, 3.5, 1.3, on_photo::BRASS_LIGHT, 0.8);
            }
            FeatureKind::HoleWithoutRim | FeatureKind::Edge | FeatureKind::Added => {}
        }
    }
    lines.paint(painter);
}

/// Draws picks; the one that is worked on is ringed.
pub(in crate::canvas) fn paint_picks(painter: &Painter, view: Rect, picks: &[PickSeen]) {
    let mut lines = Lines::new(view);
    for pick in picks {
        lines.cross(pick.at, 12.0, 1.8, on_photo::BRASS_LIGHT, 1.0);
        if pick.is_chosen {
            lines.open_ring(pick.at, 11.0, 2.0, on_photo::BRASS, 1.0);
        }
    }
    lines.paint(painter);
}

/// Draws a dashed ring round each feature of the measure that is asked for next.
pub(in crate::canvas) fn paint_asked(painter: &Painter, view: Rect, scene: &Scene) {
    let mut lines = Lines::new(view);
    for feature in scene.asked.iter().filter_map(|id| scene.feature(id)).filter(|feature| feature.is_in_sight(view)) {
        let reach = feature.reach.max(6.0) + ROOM_ROUND_ASKED;
        let place = |step: u32| feature.at + Vec2::angled(step as f32 * std::f32::consts::TAU / 72.0) * reach;
        let ring: Vec<egui::Pos2> = (0..=72).map(place).collect();
        lines.dashed(&ring, (2.0, on_photo::UNKNOWN), 1.1, [7.0, 4.0]);
    }
    lines.paint(painter);
}

/// Draws the ellipses.
pub(in crate::canvas) fn paint_ellipses(painter: &Painter, view: Rect, scene: &Scene) {
    let Some(Ellipses { lines: ellipses, .. }) = &scene.ellipses else { return };
    let mut lines = Lines::new(view);
    for ellipse in ellipses {
        lines.dashed(ellipse, (1.6, on_photo::BRASS_LIGHT), 1.2, [4.0, 2.5]);
    }
    lines.paint(painter);
}
