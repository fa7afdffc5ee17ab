//! The camera that was found.

use super::{rows, table_head};
use crate::session::Session;
use crate::sheets::figures::Lengths;
use egui::Ui;
use platewright_core::tolerance::K95_FIGURE;
use platewright_core::units::format_figure;

/// The block; nothing while the size is not known.
pub(super) fn show(ui: &mut Ui, session: &Session) {
    let solution = &session.results.solution;
    let Some(camera) = solution.camera.as_ref().filter(|_| solution.fit.scale_known()) else { return };
    table_head(ui, "Camera found", "± is 95 %");
    let with = |(value, sigma): (f64, f64), decimals: usize, unit: &str| {
        format!("{} ±{}{unit}", format_figure(value, decimals), format_figure(sigma * K95_FIGURE, decimals))
    };
    rows::pair(ui, "Focal length", &with(camera.focal_px, 0, " px"));
    rows::pair(ui, "Tilt", &with(camera.tilt_deg, 1, "°"));
    let lengths = Lengths::of(session);
    let (distance, sigma) = camera.distance_mm;
    let distance = if session.screen.inches {
        format!("{} {} in", lengths.figure(distance), lengths.plus_minus(sigma * K95_FIGURE))
    } else {
        with(camera.distance_mm, 0, " mm")
    };
    rows::pair(ui, "Distance to the face", &distance);
    rows::pair(ui, "Lens bend", &with(camera.k1, 3, ""));
    rows::pair(ui, "Scale in the middle", &format!("{} px per mm", format_figure(camera.px_per_mm, 2)));
}
