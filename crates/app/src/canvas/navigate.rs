//! What part of the photo is in sight: wheel, pan, fit, and gliding to a place.

use super::transform::{Transform, fitting};
use crate::session::{Look, Session};
use egui::{Key, Painter, Pos2, Rect, Response, Shape, Stroke, Ui};
use platewright_core::space::PhotoPoint;

/// The largest zoom, points per px: a pixel is then as wide as a thumbnail's corner, and nothing is gained beyond.
const LARGEST_ZOOM: f64 = 48.0;
/// The smallest zoom, as a share of that at which the whole photo is in sight.
const SMALLEST_SHARE: f64 = 0.4;
/// A thing that is shown takes up this share of the view.
const SHOWN_SHARE: f64 = 0.4;
/// It is seen well enough, and the zoom left alone, where it takes up so much of the view as it is.
const SEEN_WELL: std::ops::Range<f64> = 0.2..0.85;
/// Points and things that are very small are shown with what is round them, px.
const LEAST_SHOWN_PX: f64 = 60.0;
/// Points of the wheel that zoom by a factor of e.
const WHEEL_PER_E: f32 = 240.0;
/// How long the view glides to a place that is shown, seconds.
const GLIDE_S: f64 = 0.18;
/// How long the ring shrinks on to it, seconds.
const RING_S: f64 = 0.3;
/// Round the photo when all of it is in sight, points.
const MARGIN: f32 = 10.0;

/// Movement under way.
#[derive(Debug, Default)]
pub(super) struct Navigation {
    glide: Option<Glide>,
}

/// A glide to a place, then the ring on it.
#[derive(Debug, Clone, Copy)]
struct Glide {
    from: Look,
    to: Look,
    start: f64,
}

impl Navigation {
    /// Fits, glides and keeps within limits: what the session asks for, before anything is drawn.
    pub(super) fn settle(&mut self, ui: &Ui, session: &mut Session, rect: Rect, size: [u32; 2]) {
        let map = session.results.solution.map;
        let screen = &mut session.screen;
        let whole = fitting(rect, size, screen.view, map.as_ref(), MARGIN);
        let still = ui.style().animation_time <= 0.0;
        let now = ui.input(|input| input.time);
        if let Some(thing) = screen.show.take() {
            let room = f64::from(rect.size().min_elem());
            let zoom = zoom_to_see(thing.across_px, screen.look.zoom, whole.zoom, room);
            let glide = Glide { from: screen.look, to: Look { centre: thing.at, zoom }, start: now };
            screen.fit_pending = false;
            if still {
                screen.look = glide.to;
            } else {
                self.glide = Some(glide);
            }
        }
        if std::mem::take(&mut screen.fit_pending) {
            self.glide = None;
            screen.look = whole;
        }
        if let Some(glide) = self.glide {
            let share = (now - glide.start) / GLIDE_S;
            if share < 1.0 {
                screen.look = glide.at(share);
            } else if share < 1.5 {
                screen.look = glide.to;
            }
            if now - glide.start > GLIDE_S + RING_S {
                self.glide = None;
            }
            ui.ctx().request_repaint();
        }
        screen.look = within_limits(screen.look, whole.zoom, size);
    }

    /// Takes the wheel and panning. Whether the pointer is panning, and so does no work.
    pub(super) fn steer(&mut self, ui: &Ui, response: &Response, session: &mut Session, transform: &Transform) -> bool {
        let look = &mut session.screen.look;
        let (scroll, pinch, pointer, delta, middle, primary, space) = ui.input(|input| {
            let pointer = &input.pointer;
            let buttons = (pointer.middle_down(), pointer.primary_down());
            let scroll = input.smooth_scroll_delta();
            let space = input.key_down(Key::Space);
            (scroll.y, input.zoom_delta(), pointer.hover_pos(), pointer.delta(), buttons.0, buttons.1, space)
        });
        let typing = ui.ctx().text_edit_focused();
        let panning = response.is_pointer_button_down_on() && (middle || (primary && space && !typing));
        if panning {
            self.glide = None;
            *look = transform.panned(delta).unwrap_or(*look);
        }
        let over = pointer.filter(|at| response.contains_pointer() && transform.rect.contains(*at));
        let factor = f64::from((scroll / WHEEL_PER_E).exp() * pinch);
        if let Some(about) = over.filter(|_| (factor - 1.0).abs() > 1e-6) {
            self.glide = None;
            *look = zoomed(*look, transform, factor, about);
        }
        panning
    }

    /// Draws the ring that shrinks on to the place that is shown.
    pub(super) fn paint(&self, painter: &Painter, transform: &Transform, now: f64) {
        let Some(glide) = self.glide else { return };
        let share = ((now - glide.start - GLIDE_S) / RING_S) as f32;
        let Some(at) = transform.screen_from_photo(glide.to.centre).filter(|_| (0.0..1.0).contains(&share)) else {
            return;
        };
        let radius = egui::lerp(84.0..=18.0, share);
        for (width, colour) in [(5.0, crate::theme::on_photo::CASING), (2.4, crate::theme::on_photo::BRASS)] {
            painter.add(Shape::circle_stroke(at, radius, Stroke::new(width, colour)));
        }
    }
}

impl Glide {
    /// Slowing down towards the end; the zoom in equal ratios.
    fn at(&self, share: f64) -> Look {
        let t = 1.0 - (1.0 - share.clamp(0.0, 1.0)).powi(3);
        let zoom = self.from.zoom * (self.to.zoom / self.from.zoom).powf(t);
        Look { centre: self.from.centre.lerp(self.to.centre, t), zoom }
    }
}

/// The look after zooming about a place of the screen, as far as it can be zoomed.
pub(super) fn zoomed(look: Look, transform: &Transform, factor: f64, about: Pos2) -> Look {
    transform.zoomed(factor.min(LARGEST_ZOOM / look.zoom), about).unwrap_or(look)
}

/// The zoom at which a thing is seen well: the present one where it is, and never farther off than the whole photo. `room`:
/// the view's smaller side, points.
fn zoom_to_see(across_px: f64, zoom: f64, whole_zoom: f64, room: f64) -> f64 {
    let across_px = across_px.max(LEAST_SHOWN_PX);
    if SEEN_WELL.contains(&(across_px * zoom / room)) {
        return zoom;
    }
    (SHOWN_SHARE * room / across_px).clamp(whole_zoom.min(LARGEST_ZOOM), LARGEST_ZOOM)
}

/// The look with its middle on the photo and its zoom within limits.
fn within_limits(look: Look, whole_zoom: f64, [width, height]: [u32; 2]) -> Look {
    let inside = |value: f64, side: u32| if value.is_finite() { value.clamp(-0.5, f64::from(side) - 0.5) } else { 0.0 };
    let least = (whole_zoom * SMALLEST_SHARE).min(LARGEST_ZOOM);
    let zoom = if look.zoom.is_finite() { look.zoom.clamp(least, LARGEST_ZOOM) } else { whole_zoom };
    Look { centre: PhotoPoint::new(inside(look.centre.x, width), inside(look.centre.y, height)), zoom }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_look_stays_on_the_photo_and_within_its_zooms() {
        let far = Look { centre: PhotoPoint::new(-900.0, 1e9), zoom: 1e6 };
        let kept = within_limits(far, 0.25, [4000, 3000]);
        assert_eq!(kept.centre, PhotoPoint::new(-0.5, 2999.5), "the nearest corner");
        assert!((kept.zoom - LARGEST_ZOOM).abs() < 1e-12, "the largest zoom");
        let tiny = within_limits(Look { zoom: 0.0, ..far }, 0.25, [4000, 3000]);
        assert!((tiny.zoom - 0.1).abs() < 1e-12, "the smallest zoom");
    }

    #[test]
    fn a_thing_that_is_shown_is_seen_well() {
        // A hole of 80 px in a photo that is seen whole at 0.25 takes up 0.4 of a view of 800 points.
        assert!((zoom_to_see(80.0, 0.25, 0.25, 800.0) - 4.0).abs() < 1e-12, "it comes near");
        assert!((zoom_to_see(80.0, 40.0, 0.25, 800.0) - 4.0).abs() < 1e-12, "and back where it was too near");
        assert!((zoom_to_see(80.0, 3.0, 0.25, 800.0) - 3.0).abs() < 1e-12, "where it is seen well nothing changes");
        assert!((zoom_to_see(9000.0, 2.0, 0.25, 800.0) - 0.25).abs() < 1e-12, "never farther off than the whole photo");
        let point = zoom_to_see(0.0, 0.25, 0.25, 800.0);
        assert!((point - 0.4 * 800.0 / LEAST_SHOWN_PX).abs() < 1e-12, "a point with what is round it: {point}");
    }

    #[test]
    fn a_glide_starts_and_ends_where_it_should() {
        let look = |x, zoom| Look { centre: PhotoPoint::new(x, 0.0), zoom };
        let glide = Glide { from: look(0.0, 0.5), to: look(100.0, 2.0), start: 0.0 };
        assert_eq!(glide.at(0.0), glide.from);
        assert!((glide.at(1.0).zoom - 2.0).abs() < 1e-12 && (glide.at(1.0).centre.x - 100.0).abs() < 1e-9);
    }
}
