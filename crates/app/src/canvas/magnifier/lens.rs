//! From the photo to the magnifier: its pixels, the lines in it, its ring.

use super::{PIXELS, RING, WIDE};
use crate::canvas::layers::Lines;
use crate::canvas::transform::Transform;
use crate::theme::{Colours, on_photo};
use egui::epaint::Vertex;
use egui::{Color32, Mesh, Painter, Pos2, Shape, Stroke, TextureHandle, Vec2, pos2, vec2};
use platewright_core::space::{PhotoPoint, PhotoVec};

/// From the photo to the magnifier.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lens {
    pub(super) centre: Pos2,
    pub(super) at: PhotoPoint,
    radius: f32,
    x: Vec2,
    y: Vec2,
}

impl Lens {
    /// Turned as the view is: what is level there is level here.
    pub(super) fn new(centre: Pos2, width: f32, at: PhotoPoint, transform: &Transform) -> Self {
        let points_per_px = if width < WIDE { 6.0 } else { 7.0 };
        let angle = transform.screen_by_photo(at).map_or(0.0, |[x, y]| (x.y - y.x).atan2(x.x + y.y));
        let x = Vec2::angled(angle) * points_per_px;
        Self { centre, at, radius: width / 2.0, x, y: vec2(-x.y, x.x) }
    }

    pub(super) fn see(&self, photo: PhotoPoint) -> Pos2 {
        let step = photo - self.at;
        self.centre + self.x * step.x as f32 + self.y * step.y as f32
    }

    /// The photo step from the middle to a place in the magnifier.
    pub(super) fn step_to(&self, place: Pos2) -> PhotoVec {
        let out = place - self.centre;
        let scale = self.x.length_sq();
        PhotoVec::new(f64::from(self.x.dot(out) / scale), f64::from(self.y.dot(out) / scale))
    }

    /// How far it sees, px.
    pub(super) fn reach_px(&self) -> f64 {
        f64::from(self.radius / self.x.length())
    }

    /// Whether a place of the screen lies well inside the ring.
    pub(super) fn holds(&self, place: Pos2) -> bool {
        place.distance(self.centre) < self.radius - RING - 3.0
    }

    /// The pixels as a disc.
    pub(super) fn disc(&self, texture: &TextureHandle, origin: (i32, i32)) -> Mesh {
        const SIDES: u32 = 96;
        let mut mesh = Mesh::with_texture(texture.id());
        let mut add = |pos: Pos2| {
            let photo = self.at + self.step_to(pos);
            // A texture counts from the corner of its first pixel, the photo from the middle of it.
            let part = |value: f64, start: i32| ((value - f64::from(start) + 0.5) / f64::from(PIXELS)) as f32;
            let uv = pos2(part(photo.x, origin.0), part(photo.y, origin.1));
            mesh.vertices.push(Vertex { pos, uv, color: Color32::WHITE });
        };
        add(self.centre);
        for side in 0..SIDES {
            let angle = side as f32 * std::f32::consts::TAU / SIDES as f32;
            add(self.centre + Vec2::angled(angle) * (self.radius - RING / 2.0));
        }
        for side in 0..SIDES {
            mesh.add_triangle(0, 1 + side, 1 + (side + 1) % SIDES);
        }
        mesh
    }

    /// The parts of a line that are inside the ring.
    pub(super) fn within(&self, line: &[Pos2]) -> Vec<Vec<Pos2>> {
        let radius = self.radius - RING;
        let mut parts: Vec<Vec<Pos2>> = Vec::new();
        let mut last: Option<Pos2> = None;
        for ends in line.windows(2) {
            let Some((from, to)) = clipped(ends[0], ends[1], self.centre, radius) else {
                last = None;
                continue;
            };
            match parts.last_mut().filter(|_| last.is_some_and(|last| last.distance(from) < 1e-3)) {
                Some(part) => part.push(to),
                None => parts.push(vec![from, to]),
            }
            last = Some(to);
        }
        parts
    }

    /// Level and plumb, with a gap at the middle.
    pub(super) fn hairlines(&self, lines: &mut Lines) {
        for along in [vec2(1.0, 0.0), vec2(-1.0, 0.0), vec2(0.0, 1.0), vec2(0.0, -1.0)] {
            let ends = [self.centre + along * 9.0, self.centre + along * (self.radius - RING)];
            lines.line(&ends, 1.0, on_photo::LIGHT, 0.6);
        }
    }

    /// The brass ring with its graduations.
    pub(super) fn ring(&self, painter: &Painter, colours: &Colours) {
        let middle = self.radius - RING / 2.0;
        painter.add(Shape::circle_stroke(self.centre, middle, Stroke::new(RING, on_photo::CASING)));
        painter.add(Shape::circle_stroke(self.centre, middle, Stroke::new(5.0, colours.brass)));
        for mark in 0..24 {
            let along = Vec2::angled(mark as f32 * std::f32::consts::TAU / 24.0);
            let ends = vec![self.centre + along * (middle - 2.5), self.centre + along * (middle + 2.5)];
            painter.add(Shape::line(ends, Stroke::new(1.3, on_photo::CASING)));
        }
    }
}

/// The part of a segment inside a disc.
fn clipped(a: Pos2, b: Pos2, centre: Pos2, radius: f32) -> Option<(Pos2, Pos2)> {
    let (along, out) = (b - a, a - centre);
    let (aa, bb, cc) = (along.length_sq(), out.dot(along), out.length_sq() - radius * radius);
    let root = bb * bb - aa * cc;
    if aa <= 0.0 || root <= 0.0 {
        return None;
    }
    let (from, to) = (((-bb - root.sqrt()) / aa).max(0.0), ((-bb + root.sqrt()) / aa).min(1.0));
    (from < to).then(|| (a + along * from, a + along * to))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::canvas::transform::tests::{rect, slanted};
    use crate::session::{Look, View};

    fn transform(view: View) -> Transform {
        Transform::new(rect(), Look { centre: PhotoPoint::new(2000.0, 1500.0), zoom: 0.2 }, view, Some(slanted()))
    }

    #[test]
    fn what_is_level_in_the_view_is_level_in_it() {
        for view in [View::AsShot, View::Flat] {
            let t = transform(view);
            let at = PhotoPoint::new(1800.0, 1400.0);
            let lens = Lens::new(pos2(100.0, 100.0), WIDE, at, &t);
            let step = t.photo_step(at, vec2(1.0, 0.0)).unwrap();
            let seen = lens.see(at + step) - lens.centre;
            assert!((seen.length() - 7.0).abs() < 0.05 && seen.y.abs() < 0.5, "{view:?}: {seen:?}");
            let back = lens.step_to(lens.see(at + PhotoVec::new(3.0, -2.0)));
            assert!((back - PhotoVec::new(3.0, -2.0)).length() < 1e-4, "and back");
        }
    }

    #[test]
    fn lines_end_at_the_ring() {
        let (from, to) = clipped(pos2(-50.0, 3.0), pos2(50.0, 3.0), pos2(0.0, 0.0), 5.0).unwrap();
        assert!((from.x + 4.0).abs() < 1e-4 && (to.x - 4.0).abs() < 1e-4, "3-4-5: {from:?} {to:?}");
        assert!(clipped(pos2(-50.0, 6.0), pos2(50.0, 6.0), pos2(0.0, 0.0), 5.0).is_none(), "it passes outside");
    }
}
