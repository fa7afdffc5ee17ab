//! The round magnifier: pixels as squares, the exact place, the fitted line in it. It keeps out of the way of the work.

mod lens;

use super::layers::{Lines, add_measured};
use super::scene::{OfferSeen, Scene};
use super::transform::Transform;
use super::view_switch;
use crate::theme::{self, Colours, Weight, font, on_photo};
use egui::{
    Align2, ColorImage, Context, CornerRadius, Painter, Pos2, Rect, Stroke, StrokeKind, TextureHandle, TextureOptions,
    Vec2, pos2, vec2,
};
use image::RgbImage;
use lens::Lens;
use platewright_core::solution::Solution;
use platewright_core::space::{PhotoPoint, PlateVec};

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
    /// It was shown in the frame before.
    is_out: bool,
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
        let was_out = std::mem::take(&mut self.is_out);
        self.focus.take_if(|focus| focus.until <= now);
        let point = transform.screen_from_photo(self.focus.as_ref()?.at)?;
        self.is_out = true;
        let width = diameter(view);
        let corners = corners(view, width, legend);
        let away = |corner: usize| corners[corner].center().distance(point) >= KEEP_AWAY * width;
        let ticks = |corner: usize| ticks(corners[corner], scene);
        let hides_ticks = ticks(self.corner) > 0 && (0..4).any(|corner| away(corner) && ticks(corner) == 0);
        if !was_out || !away(self.corner) || hides_ticks {
            let crowd = |corner: usize| crowd(corners[corner], scene);
            let free = (0..4).filter(|&corner| away(corner)).min_by_key(|&corner| (ticks(corner), crowd(corner)));
            let distance = |corner: &usize| corners[*corner].center().distance(point);
            let farthest = (0..4).max_by(|a, b| distance(a).total_cmp(&distance(b)));
            let next = free.or(farthest).unwrap_or(self.corner);
            if next != self.corner {
                self.moved = was_out.then(|| (corners[self.corner].center(), now));
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
        (scene, solution): (&Scene, &Solution),
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
        for point in &scene.measured {
            let at = lens.see(point.photo);
            if lens.holds(at) {
                add_measured(&mut lines, at, point.state);
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
            found.map_or(on_photo::CASING, |pixel| theme::of_pixel(pixel.0))
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
    let below_switch = view_switch::bottom(view) + INSET - room.top();
    [
        aligned(Align2::RIGHT_BOTTOM),
        aligned(Align2::RIGHT_TOP),
        aligned(Align2::LEFT_BOTTOM).translate(vec2(0.0, -above_legend)),
        aligned(Align2::LEFT_TOP).translate(vec2(0.0, below_switch)),
    ]
}

/// How many offered rims or their ticks lie under a place: they are there to be seen and clicked.
fn ticks(place: Rect, scene: &Scene) -> usize {
    let hides =
        |offer: &&OfferSeen| place.intersects(offer.tick_box) || offer.line.iter().any(|point| place.contains(*point));
    scene.offers.iter().filter(hides).count()
}

/// How many rims and nodes lie under a place.
fn crowd(place: Rect, scene: &Scene) -> usize {
    let rims = scene.features.iter().filter(|feature| place.distance_to_pos(feature.at) < feature.reach.max(8.0));
    let nodes = scene.outlines.iter().flat_map(|outline| outline.nodes.iter().flatten());
    rims.count() + nodes.filter(|(at, _)| place.contains(*at)).count()
}

/// Rims, edges and outlines near the place, as lines in the magnifier.
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
    for edge in &solution.edges {
        let step = |step: u32| edge.ends[0].lerp(edge.ends[1], f64::from(step) / 24.0);
        lines.push((0..=24).map_while(|number| seen(step(number))).collect());
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
    fn it_hides_no_tick_of_an_offered_rim_while_another_corner_is_free() {
        let t = transform(View::AsShot);
        let middle = PhotoPoint::new(2000.0, 1500.0);
        let mut magnifier = Magnifier::default();
        magnifier.look_at(middle, String::new(), 0.0);
        let first = magnifier.place(&t, &Scene::default(), None, 0.5).expect("it is shown");
        let offer = |place: Rect| OfferSeen {
            index: 0,
            line: Vec::new(),
            tick_box: Rect::from_center_size(place.center(), Vec2::splat(16.0)),
            is_ticked: true,
            is_pointed_at: false,
            is_outline: false,
        };
        let scene = Scene { offers: vec![offer(first)], ..Scene::default() };
        let second = magnifier.place(&t, &scene, None, 0.6).expect("it is shown");
        assert!(!second.intersects(scene.offers[0].tick_box), "it moves off the tick: {second:?}");
        let everywhere = corners(t.rect, diameter(t.rect), None).map(offer).to_vec();
        let crowded = Scene { offers: everywhere, ..Scene::default() };
        let third = magnifier.place(&t, &crowded, None, 0.7).expect("it is shown");
        assert_eq!(third, second, "where no corner is free it stays");
    }

    #[test]
    fn it_goes_away_a_while_after_the_last_touch() {
        let mut magnifier = Magnifier::default();
        magnifier.look_at(PhotoPoint::new(1000.0, 1000.0), String::new(), 10.0);
        let t = transform(View::AsShot);
        assert!(magnifier.place(&t, &Scene::default(), None, 11.1).is_some(), "it lingers");
        assert!(magnifier.place(&t, &Scene::default(), None, 11.3).is_none(), "then it goes");
    }
}
