//! What part of the pages is in sight: all of them beside each other at first, then as far in as the person goes.

use crate::session::Session;
use egui::{Pos2, Rect, Response, Ui, Vec2, vec2};

/// Round the pages and between them, points.
const GAP: f32 = 18.0;
/// The wheel's points that zoom by a factor of e.
const WHEEL_PER_E: f32 = 240.0;
/// Points for a millimetre at the most: a tenth of a millimetre is then as wide as a line.
const LARGEST: f32 = 60.0;

/// Which part of the pages is in sight.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct PaperLook {
    /// Points for a millimetre; `None`: as many as show all pages.
    scale: Option<f32>,
    /// What the pages are moved by, points.
    by: Vec2,
}

impl PaperLook {
    /// Takes the wheel, panning, and the keys that zoom and fit.
    pub(super) fn steer(
        &mut self,
        ui: &Ui,
        response: &Response,
        session: &mut Session,
        field: Rect,
        sizes: &[[f64; 2]],
    ) {
        if std::mem::take(&mut session.screen.fit_pending) {
            *self = Self::default();
        }
        let by_key = std::mem::replace(&mut session.screen.zoom_paper_by, 1.0);
        if (by_key - 1.0).abs() > 1e-6 {
            self.zoom(by_key, field.center(), field, sizes);
        }
        let (scroll, pinch, at, delta) = ui.input(|input| {
            (input.smooth_scroll_delta().y, input.zoom_delta(), input.pointer.hover_pos(), input.pointer.delta())
        });
        if response.dragged() {
            self.scale = Some(self.scale.unwrap_or_else(|| fitting(field, sizes)));
            self.by += delta;
        }
        let factor = (scroll / WHEEL_PER_E).exp() * pinch;
        if let Some(about) = at.filter(|at| response.contains_pointer() && field.contains(*at))
            && (factor - 1.0).abs() > 1e-6
        {
            self.zoom(factor, about, field, sizes);
        }
    }

    fn zoom(&mut self, factor: f32, about: Pos2, field: Rect, sizes: &[[f64; 2]]) {
        let whole = fitting(field, sizes);
        let before = self.scale.unwrap_or(whole);
        let after = (before * factor).clamp(whole * 0.5, LARGEST.max(whole));
        let origin = self.origin(field, sizes, before);
        // The place under the pointer stays there: its distance from the first page's corner grows with the scale.
        let corner = about + (origin - about) * (after / before);
        self.scale = Some(after);
        self.by += corner - self.origin(field, sizes, after);
    }

    /// The upper left corner of the first page.
    fn origin(&self, field: Rect, sizes: &[[f64; 2]], scale: f32) -> Pos2 {
        let size = laid(sizes, scale, columns(field, sizes));
        field.center() - size / 2.0 + self.by
    }

    /// Where each page lies.
    pub(super) fn places(&self, field: Rect, sizes: &[[f64; 2]]) -> Vec<Rect> {
        let scale = self.scale.unwrap_or_else(|| fitting(field, sizes));
        let (columns, origin) = (columns(field, sizes), self.origin(field, sizes, scale));
        let step = largest(sizes) * scale + Vec2::splat(GAP);
        let at = |k: usize| origin + vec2(step.x * (k % columns) as f32, step.y * (k / columns) as f32);
        sizes.iter().enumerate().map(|(k, size)| Rect::from_min_size(at(k), points(*size) * scale)).collect()
    }
}

fn points([wide, high]: [f64; 2]) -> Vec2 {
    vec2(wide as f32, high as f32)
}

fn largest(sizes: &[[f64; 2]]) -> Vec2 {
    sizes.iter().map(|size| points(*size)).fold(Vec2::ZERO, Vec2::max)
}

/// How much so many columns of pages take.
fn laid(sizes: &[[f64; 2]], scale: f32, columns: usize) -> Vec2 {
    let (columns, rows) = (columns.min(sizes.len()).max(1), sizes.len().div_ceil(columns).max(1));
    let page = largest(sizes) * scale;
    vec2(page.x * columns as f32 + GAP * (columns - 1) as f32, page.y * rows as f32 + GAP * (rows - 1) as f32)
}

/// How many pages stand beside each other: as many as make them largest.
fn columns(field: Rect, sizes: &[[f64; 2]]) -> usize {
    let scale = |columns: &usize| scale_for(field, sizes, *columns);
    (1..=sizes.len().max(1)).max_by(|a, b| scale(a).total_cmp(&scale(b))).unwrap_or(1)
}

fn scale_for(field: Rect, sizes: &[[f64; 2]], columns: usize) -> f32 {
    let (columns, rows) = (columns.max(1), sizes.len().div_ceil(columns.max(1)).max(1));
    let room = field.size() - Vec2::splat(2.0 * GAP) - GAP * vec2((columns - 1) as f32, (rows - 1) as f32);
    let page = largest(sizes);
    (room.x / (page.x * columns as f32)).min(room.y / (page.y * rows as f32)).max(0.01)
}

/// Points for a millimetre at which all pages are in sight.
fn fitting(field: Rect, sizes: &[[f64; 2]]) -> f32 {
    scale_for(field, sizes, columns(field, sizes))
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    const A4: [f64; 2] = [210.0, 297.0];

    #[test]
    fn all_pages_are_in_sight_and_apart() {
        let field = Rect::from_min_size(pos2(216.0, 100.0), vec2(850.0, 700.0));
        for n in 1..13 {
            let sizes = vec![A4; n];
            let places = PaperLook::default().places(field, &sizes);
            assert_eq!(places.len(), n);
            for (k, place) in places.iter().enumerate() {
                assert!(field.contains_rect(*place), "page {k} of {n} at {place:?}");
                assert!(places[k + 1..].iter().all(|other| !other.intersects(*place)), "page {k} of {n} is covered");
            }
        }
    }

    #[test]
    fn the_place_under_the_pointer_stays() {
        let field = Rect::from_min_size(pos2(0.0, 0.0), vec2(800.0, 600.0));
        let (sizes, about) = ([A4, A4], pos2(300.0, 200.0));
        let mut look = PaperLook::default();
        let in_page = |look: &PaperLook| {
            let page = look.places(field, &sizes)[0];
            (about - page.min) / page.width()
        };
        let before = in_page(&look);
        look.zoom(3.0, about, field, &sizes);
        assert!((in_page(&look) - before).length() < 1e-3, "{before:?} is {:?}", in_page(&look));
    }
}
