//! The round magnifier: pixels as squares, the exact place, the fitted line in it. It keeps out of the way of the work.

use super::layers::Lines;
use super::scene::Scene;
use super::transform::Transform;
use super::view_switch;
use crate::theme::{Colours, Weight, font, on_photo};
use egui::epaint::Vertex;
use egui::{
    Align2, Color32, ColorImage, Context, CornerRadius, Mesh, Painter, Pos2, Rect, Shape, Stroke, StrokeKind,
    TextureHandle, TextureOptions, Vec2, pos2, vec2,
};
use image::RgbImage;
use platewright_core::solution::Solution;
use platewright_core::space::{PhotoPoint, PhotoVec, PlateVec};

/// Diameter, points.
const WIDE: f32 = 216.0;
/// Diameter in a small view, points.
const NARROW: f32 = 164.0;
/// A view with a shorter side has the narrow one, points.
const SMALL_VIEW: f32 = 560.0;
/// Side of the square of pixels that is held ready, px: the wide one sees 31 of them, in any direction.
const PIXELS: i32 = 40;
/// From the corner of the photo, points.
const INSET: f32 = 12.0;
/// Room for the flag under it, points.
const FLAG: f32 = 30.0;
/// So many of its widths it stays away from the work.
const KEEP_AWAY: f32 = 1.5;
/// How long it stays after the last touch, seconds.
const LINGER_S: f64 = 1.2;
/// How long it takes to another corner, seconds.
const MOVE_S: f64 = 0.14;
/// Width of the ring with its casing, points.
const RING: f32 = 7.5;

/// The magnifier between frames.
#[derive(Default)]
pub(super) struct Magnifier {
    focus: Option<Focus>,
    corner: usize,
    moved: Option<(Pos2, f64)>,
    texture: Option<TextureHandle>,
    origin: Option<(i32, i32)>,
}

impl std::fmt::Debug for Magnifier {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Magnifier").field("focus", &self.focus).field("corner", &self.corner).finish_non_exhaustive()
    }
}

/// What it shows, and until when.
#[derive(Debug, Clone)]
struct Focus {
    at: PhotoPoint,
    text: String,
    until: f64,
}

/// From the photo to the magnifier.
#[derive(Debug, Clone, Copy)]
struct Lens {
    centre: Pos2,
    at: PhotoPoint,
    radius: f32,
    x: Vec2,
    y: Vec2,
}

impl Magnifier {
    /// Takes it off the graphics card with the photo.
    pub(super) fn forget(&mut self) {
        *self = Self::default();
    }

    /// Looks at a place; `text` says what it is.
    pub(super) fn look_at(&mut self, at: PhotoPoint, text: String, now: f64) {
        self.focus = Some(Focus { at, text, until: now + LINGER_S });
    }

    /// Where it is in this frame, its flag included; `None` while it is not shown.
    pub(super) fn place(
        &mut self,
        transform: &Transform,
        scene: &Scene,
        legend: Option<Rect>,
        now: f64,
    ) -> Option<Rect> {
        let view = transform.rect;
        let focus = self.focus.take_if(|focus| focus.until <= now).map_or(self.focus.as_ref(), |_| None)?;
        let point = transform.screen_from_photo(focus.at)?;
        let width = diameter(view);
        let corners = corners(view, width, legend);
        let away = |corner: usize| corners[corner].center().distance(point) >= KEEP_AWAY * width;
        if !away(self.corner) {
            let crowd = |corner: usize| crowd(corners[corner], scene);
            let free = (0..4).filter(|&corner| away(corner)).min_by_key(|&corner| crowd(corner));
            let distance = |corner: &usize| corners[*corner].center().distance(point);
            let farthest = (0..4).max_by(|a, b| distance(a).total_cmp(&distance(b)));
            let next = free.or(farthest).unwrap_or(self.corner);
            if next != self.corner {
                self.moved = Some((corners[self.corner].center(), now));
                self.corner = next;
            }
        }
        Some(corners[self.corner])
    }

    /// Draws it at `place`.
    pub(super) fn paint(
        &mut self,
        painter: &Painter,
        place: Rect,
        transform: &Transform,
        photo: &RgbImage,
        solution: &Solution,
        colours: &Colours,
    ) {
        let Some(focus) = self.focus.clone() else { return };
        let now = painter.ctx().input(|input| input.time);
        let width = diameter(transform.rect);
        let still = painter.ctx().global_style().animation_time <= 0.0;
        let share = self.moved.map_or(1.0, |(_, start)| ((now - start) / MOVE_S) as f32);
        let target = place.center_top() + vec2(0.0, width / 2.0);
        let centre = match self.moved {
            Some((from, _)) if share < 1.0 && !still => {
                painter.ctx().request_repaint();
                (from - vec2(0.0, FLAG / 2.0)).lerp(target, 1.0 - (1.0 - share) * (1.0 - share))
            }
            _ => target,
        };
        let lens = Lens::new(centre, width, focus.at, transform);
        self.hold_ready(painter.ctx(), photo, focus.at);
        if let (Some(texture), Some(origin)) = (&self.texture, self.origin) {
            painter.add(lens.disc(texture, origin));
        }
        let mut lines = Lines::new(transform.rect);
        for line in fitted_lines(&lens, transform, solution) {
            for part in lens.within(&line) {
                lines.line(&part, 1.5, on_photo::LIGHT, 1.3);
            }
        }
        lens.hairlines(&mut lines);
        lines.cross(centre, 14.0, 1.8, on_photo::BRASS_LIGHT, 1.0);
        lines.paint(painter);
        lens.ring(painter, colours);
        paint_flag(painter, pos2(centre.x, centre.y + width / 2.0 + 6.0), &focus.text, transform.rect, colours);
        let rest = (focus.until - now).max(0.02);
        painter.ctx().request_repaint_after(std::time::Duration::from_secs_f64(rest));
    }

    /// Puts the pixels round the place on the graphics card, where others are there.
    fn hold_ready(&mut self, ctx: &Context, photo: &RgbImage, at: PhotoPoint) {
        let origin = (at.x.round() as i32 - PIXELS / 2, at.y.round() as i32 - PIXELS / 2);
        if self.origin == Some(origin) && self.texture.is_some() {
            return;
        }
        let side = PIXELS as usize;
        let pixel = |index: i32| {
            let (x, y) = (origin.0 + index % PIXELS, origin.1 + index / PIXELS);
            let inside = u32::try_from(x).ok().zip(u32::try_from(y).ok());
            let found = inside.and_then(|(x, y)| photo.get_pixel_checked(x, y));
            found.map_or(on_photo::CASING, |pixel| Color32::from_rgb(pixel.0[0], pixel.0[1], pixel.0[2]))
        };
        let image = ColorImage::new([side, side], (0..PIXELS * PIXELS).map(pixel).collect());
        match &mut self.texture {
            Some(texture) => texture.set(image, TextureOptions::NEAREST),
            None => self.texture = Some(ctx.load_texture("magnifier", image, TextureOptions::NEAREST)),
        }
        self.origin = Some(origin);
    }
}

fn diameter(view: Rect) -> f32 {
    if view.size().min_elem() < SMALL_VIEW { NARROW } else { WIDE }
}

/// The four places in the corners, clear of the view switch and the legend: lower right, upper right, lower left,
/// upper left.
fn corners(view: Rect, width: f32, legend: Option<Rect>) -> [Rect; 4] {
    let size = vec2(width, width + FLAG);
    let room = view.shrink(INSET);
    let aligned = |align: Align2| align.align_size_within_rect(size, room);
    let above_legend = legend.map_or(0.0, |legend| room.bottom() - legend.top() + INSET);
    let below_switch = view_switch::rect(view).bottom() + INSET - room.top();
    [
        aligned(Align2::RIGHT_BOTTOM),
        aligned(Align2::RIGHT_TOP),
        aligned(Align2::LEFT_BOTTOM).translate(vec2(0.0, -above_legend)),
        aligned(Align2::LEFT_TOP).translate(vec2(0.0, below_switch)),
    ]
}

/// How many rims and nodes lie under a place.
fn crowd(place: Rect, scene: &Scene) -> usize {
    let rims = scene.features.iter().filter(|feature| place.distance_to_pos(feature.at) < feature.reach.max(8.0));
    let nodes = scene.outlines.iter().flat_map(|outline| outline.nodes.iter().flatten());
    rims.count() + nodes.filter(|(at, _)| place.contains(*at)).count()
}

/// Rims and outlines near the place, as lines in the magnifier.
fn fitted_lines(lens: &Lens, transform: &Transform, solution: &Solution) -> Vec<Vec<Pos2>> {
    let Some(map) = transform.map else { return Vec::new() };
    let Some(plate) = map.plate_from_photo(lens.at) else { return Vec::new() };
    let reach_mm = 1.3 * lens.reach_px() / map.px_per_mm(plate);
    let seen = |plate| map.photo_from_plate(plate).map(|photo| lens.see(photo));
    let mut lines = Vec::new();
    for hole in &solution.holes {
        let (out, radius) = (plate - hole.centre, hole.rim_diameter_mm / 2.0);
        if (out.length() - radius).abs() > reach_mm || radius <= 0.0 {
            continue;
        }
        let (middle, half) = (out.angle_rad(), (reach_mm / radius).min(std::f64::consts::PI));
        let angle = |step: u32| middle + half * (f64::from(step) / 24.0 - 1.0);
        let arc = (0..=48).map_while(|step| seen(hole.centre + PlateVec::from_angle(angle(step)) * radius));
        lines.push(arc.collect());
    }
    for piece in solution.contours.iter().flat_map(|contour| &contour.pieces) {
        lines.push(piece.iter().map_while(|plate| seen(*plate)).collect());
    }
    lines
}

fn paint_flag(painter: &Painter, top: Pos2, text: &str, view: Rect, colours: &Colours) {
    let galley = painter.layout_no_wrap(text.to_owned(), font(13.0, Weight::SemiBold), colours.flag_ink);
    let size = galley.size() + vec2(16.0, 6.0);
    let rect = Rect::from_min_size(top - vec2(size.x / 2.0, 0.0), size);
    let room = view.shrink(4.0);
    let rect = rect.translate((room.min - rect.min).max(Vec2::ZERO) + (room.max - rect.max).min(Vec2::ZERO));
    let corner = CornerRadius::same(2);
    painter.rect(rect, corner, colours.flag, Stroke::new(1.2, colours.flag_ink), StrokeKind::Inside);
    painter.galley(rect.min + vec2(8.0, 3.0), galley, colours.flag_ink);
}

impl Lens {
    /// Turned as the view is: what is level there is level here.
    fn new(centre: Pos2, width: f32, at: PhotoPoint, transform: &Transform) -> Self {
        let points_per_px = if width < WIDE { 6.0 } else { 7.0 };
        let angle = transform.screen_by_photo(at).map_or(0.0, |[x, y]| (x.y - y.x).atan2(x.x + y.y));
        let x = Vec2::angled(angle) * points_per_px;
        Self { centre, at, radius: width / 2.0, x, y: vec2(-x.y, x.x) }
    }

    fn see(&self, photo: PhotoPoint) -> Pos2 {
        let step = photo - self.at;
        self.centre + self.x * step.x as f32 + self.y * step.y as f32
    }

    /// The photo step from the middle to a place in the magnifier.
    fn step_to(&self, place: Pos2) -> PhotoVec {
        let out = place - self.centre;
        let scale = self.x.length_sq();
        PhotoVec::new(f64::from(self.x.dot(out) / scale), f64::from(self.y.dot(out) / scale))
    }

    /// How far it sees, px.
    fn reach_px(&self) -> f64 {
        f64::from(self.radius / self.x.length())
    }

    /// The pixels as a disc.
    fn disc(&self, texture: &TextureHandle, origin: (i32, i32)) -> Mesh {
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
    fn within(&self, line: &[Pos2]) -> Vec<Vec<Pos2>> {
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
    fn hairlines(&self, lines: &mut Lines) {
        for along in [vec2(1.0, 0.0), vec2(-1.0, 0.0), vec2(0.0, 1.0), vec2(0.0, -1.0)] {
            let ends = [self.centre + along * 9.0, self.centre + along * (self.radius - RING)];
            lines.line(&ends, 1.0, on_photo::LIGHT, 0.6);
        }
    }

    /// The brass ring with its graduations.
    fn ring(&self, painter: &Painter, colours: &Colours) {
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
    fn it_never_covers_the_work_and_keeps_its_corner_until_the_work_comes_near() {
        let t = transform(View::AsShot);
        let mut magnifier = Magnifier::default();
        let mut changes = 0;
        for step in 0..400 {
            let angle = f64::from(step) * 0.05;
            let at = PhotoPoint::new(2000.0 + 1900.0 * angle.cos(), 1500.0 + 1400.0 * angle.sin());
            magnifier.look_at(at, String::new(), 0.0);
            let before = magnifier.corner;
            let place = magnifier.place(&t, &Scene::default(), None, 0.5).expect("it is shown");
            changes += usize::from(magnifier.corner != before);
            assert!(!place.contains(t.screen_from_photo(at).unwrap()), "step {step}: it covers the work");
        }
        assert!(changes < 40, "{changes} changes of corner in three rounds");
    }

    #[test]
    fn it_goes_away_a_while_after_the_last_touch() {
        let mut magnifier = Magnifier::default();
        magnifier.look_at(PhotoPoint::new(1000.0, 1000.0), String::new(), 10.0);
        let t = transform(View::AsShot);
        assert!(magnifier.place(&t, &Scene::default(), None, 11.1).is_some(), "it lingers");
        assert!(magnifier.place(&t, &Scene::default(), None, 11.3).is_none(), "then it goes");
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
