//! From the photo and the plate to the screen and back, in both views.
//!
//! As shot, a photo pixel is a square of `look.zoom` points. Flat, the face is seen square-on with plate x level and y
//! up, and `look.zoom` holds at the middle of the view: there a photo pixel has the same size in both views.

use crate::session::{Look, View};
use egui::{Pos2, Rect, Vec2, pos2, vec2};
use platewright_core::camera::PlateMap;
use platewright_core::space::{PhotoPoint, PhotoVec, PlatePoint, PlateVec};

/// Where the photo and the plate lie on the screen in one frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Transform {
    /// The part of the screen that shows the photo.
    pub(super) rect: Rect,
    /// The look that it was made from.
    pub(super) look: Look,
    /// From photo to plate; `None` while nothing was picked.
    pub(super) map: Option<PlateMap>,
    flat: Option<Flat>,
}

/// The flat view: the plate point in the middle, and the scale.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Flat {
    centre: PlatePoint,
    points_per_mm: f64,
}

impl Transform {
    /// The transform of `look` in `rect`. Where there is no map yet, or the middle of the look is not on the face, it
    /// is that of the view as shot.
    pub(super) fn new(rect: Rect, look: Look, view: View, map: Option<PlateMap>) -> Self {
        let flat = match (view, &map) {
            (View::Flat, Some(map)) => map
                .plate_from_photo(look.centre)
                .map(|centre| Flat { centre, points_per_mm: look.zoom * map.px_per_mm(centre) }),
            _ => None,
        };
        let flat = flat.filter(|flat| flat.points_per_mm.is_finite() && flat.points_per_mm > 0.0);
        Self { rect, look, map, flat }
    }

    /// The face is seen square-on.
    pub(super) fn is_flat(&self) -> bool {
        self.flat.is_some()
    }

    /// Scale of the flat view, points per mm; `None` as shot.
    pub(super) fn points_per_mm(&self) -> Option<f64> {
        self.flat.map(|flat| flat.points_per_mm)
    }

    /// Where a photo point is on the screen; `None` where its ray does not meet the face.
    pub(super) fn screen_from_photo(&self, photo: PhotoPoint) -> Option<Pos2> {
        match (&self.flat, &self.map) {
            (Some(flat), Some(map)) => Some(self.screen_from_flat(flat, map.plate_from_photo(photo)?)),
            _ => Some(self.offset((photo - self.look.centre) * self.look.zoom)),
        }
    }

    /// Which photo point is seen at a place of the screen; `None` where the camera does not see that far.
    pub(super) fn photo_from_screen(&self, screen: Pos2) -> Option<PhotoPoint> {
        if let (Some(flat), Some(map)) = (&self.flat, &self.map) {
            return map.photo_from_plate(self.plate_from_flat(flat, screen));
        }
        let step = screen - self.rect.center();
        Some(self.look.centre + PhotoVec::new(f64::from(step.x), f64::from(step.y)) * (1.0 / self.look.zoom))
    }

    /// Where a plate point is on the screen; `None` without a map, or where the camera does not see it.
    pub(super) fn screen_from_plate(&self, plate: PlatePoint) -> Option<Pos2> {
        match &self.flat {
            Some(flat) => Some(self.screen_from_flat(flat, plate)),
            None => self.screen_from_photo(self.map.as_ref()?.photo_from_plate(plate)?),
        }
    }

    /// Which plate point is seen at a place of the screen; `None` without a map, or where the ray misses the face.
    pub(super) fn plate_from_screen(&self, screen: Pos2) -> Option<PlatePoint> {
        match &self.flat {
            Some(flat) => Some(self.plate_from_flat(flat, screen)),
            None => self.map.as_ref()?.plate_from_photo(self.photo_from_screen(screen)?),
        }
    }

    /// The look after which the photo is moved by `by` points.
    pub(super) fn panned(&self, by: Vec2) -> Option<Look> {
        self.looking_at(self.rect.center() - by, 1.0)
    }

    /// The look after zooming by `factor` with the place at `about` staying where it is.
    pub(super) fn zoomed(&self, factor: f64, about: Pos2) -> Option<Look> {
        let middle = self.rect.center();
        self.looking_at(about + (middle - about) / factor as f32, factor)
    }

    /// The look whose middle is what is now at `screen`, `factor` times as large. The scale of the flat view is kept
    /// in mm, so that panning over a slanted face does not breathe.
    fn looking_at(&self, screen: Pos2, factor: f64) -> Option<Look> {
        let centre = self.photo_from_screen(screen).filter(|centre| centre.is_finite())?;
        let zoom = match (&self.flat, &self.map) {
            (Some(flat), Some(map)) => flat.points_per_mm * factor / map.px_per_mm(self.plate_from_flat(flat, screen)),
            _ => self.look.zoom * factor,
        };
        (zoom.is_finite() && zoom > 0.0).then_some(Look { centre, zoom })
    }

    /// How a small step on the photo is seen on the screen, points per px: columns for a step along x and along y.
    pub(super) fn screen_by_photo(&self, photo: PhotoPoint) -> Option<[Vec2; 2]> {
        let half = 0.5;
        let seen = |x: f64, y: f64| self.screen_from_photo(photo + PhotoVec::new(x, y));
        Some([seen(half, 0.0)? - seen(-half, 0.0)?, seen(0.0, half)? - seen(0.0, -half)?])
    }

    /// The step of one px on the photo that is seen in the direction `along` on the screen.
    pub(super) fn photo_step(&self, photo: PhotoPoint, along: Vec2) -> Option<PhotoVec> {
        let [x, y] = self.screen_by_photo(photo)?;
        let determinant = x.x * y.y - x.y * y.x;
        let step = vec2(along.x * y.y - along.y * y.x, x.x * along.y - x.y * along.x) / determinant;
        PhotoVec::new(f64::from(step.x), f64::from(step.y)).unit()
    }

    fn offset(&self, step: PhotoVec) -> Pos2 {
        let middle = self.rect.center();
        pos2((f64::from(middle.x) + step.x) as f32, (f64::from(middle.y) + step.y) as f32)
    }

    fn screen_from_flat(&self, flat: &Flat, plate: PlatePoint) -> Pos2 {
        let step = (plate - flat.centre) * flat.points_per_mm;
        self.offset(PhotoVec::new(step.x, -step.y))
    }

    fn plate_from_flat(&self, flat: &Flat, screen: Pos2) -> PlatePoint {
        let step = screen - self.rect.center();
        flat.centre + PlateVec::new(f64::from(step.x), -f64::from(step.y)) * (1.0 / flat.points_per_mm)
    }
}

/// The look that brings the whole photo of `size` px into `rect`, with `margin` points round it.
pub(super) fn fitting(rect: Rect, size: [u32; 2], view: View, map: Option<&PlateMap>, margin: f32) -> Look {
    let room = rect.shrink(margin).size().max(vec2(16.0, 16.0));
    let (room_x, room_y) = (f64::from(room.x), f64::from(room.y));
    let [width, height] = size.map(|side| f64::from(side.max(1)));
    let centre = PhotoPoint::new((width - 1.0) / 2.0, (height - 1.0) / 2.0);
    let as_shot = Look { centre, zoom: (room_x / width).min(room_y / height) };
    match map {
        Some(map) if view == View::Flat => fitting_flat(map, [width, height], [room_x, room_y]).unwrap_or(as_shot),
        _ => as_shot,
    }
}

/// The flat look round the photo's border; `None` where a part of the border does not lie on the face.
fn fitting_flat(map: &PlateMap, [width, height]: [f64; 2], [room_x, room_y]: [f64; 2]) -> Option<Look> {
    const STEPS: u32 = 16;
    let (mut least, mut most) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for step in 0..=STEPS {
        let t = f64::from(step) / f64::from(STEPS);
        let (x, y) = (t * width - 0.5, t * height - 0.5);
        for (x, y) in [(x, -0.5), (x, height - 0.5), (-0.5, y), (width - 0.5, y)] {
            let plate = map.plate_from_photo(PhotoPoint::new(x, y))?;
            for (axis, value) in [plate.x, plate.y].into_iter().enumerate() {
                least[axis] = least[axis].min(value);
                most[axis] = most[axis].max(value);
            }
        }
    }
    let middle = PlatePoint::new(f64::midpoint(least[0], most[0]), f64::midpoint(least[1], most[1]));
    let points_per_mm = (room_x / (most[0] - least[0])).min(room_y / (most[1] - least[1]));
    let look = Look { centre: map.photo_from_plate(middle)?, zoom: points_per_mm / map.px_per_mm(middle) };
    (look.centre.is_finite() && look.zoom.is_finite() && look.zoom > 0.0).then_some(look)
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use platewright_core::camera::{Lens, Pose, RigidMove};

    /// A camera held 12 degrees out of square with a wide lens, its plate frame turned by 40 degrees.
    pub(in crate::canvas) fn slanted() -> PlateMap {
        let lens = Lens { k1: -0.12, k2: 0.03, ..Lens::pinhole(3000.0, PhotoPoint::new(1999.5, 1499.5)) };
        let pose = Pose { tilt_a_rad: 0.17, tilt_b_rad: -0.12, ..Pose::square(220.0) };
        PlateMap::new(lens, pose).with_datum(&RigidMove::new(0.7, PlateVec::new(12.0, -5.0)))
    }

    pub(in crate::canvas) fn rect() -> Rect {
        Rect::from_min_size(pos2(216.0, 48.0), vec2(852.0, 816.0))
    }

    fn look() -> Look {
        Look { centre: PhotoPoint::new(1700.25, 1310.5), zoom: 0.37 }
    }

    #[test]
    fn the_screen_and_back_is_the_same_place_in_both_views() {
        for view in [View::AsShot, View::Flat] {
            let t = Transform::new(rect(), look(), view, Some(slanted()));
            assert_eq!(t.is_flat(), view == View::Flat, "the view is the one asked for");
            for photo in [(1700.0, 1310.0), (900.0, 700.5), (2600.75, 2100.0)].map(|(x, y)| PhotoPoint::new(x, y)) {
                let screen = t.screen_from_photo(photo).unwrap();
                let back = t.photo_from_screen(screen).unwrap();
                assert!(back.distance(photo) < 2e-3, "{view:?}: {photo:?} came back as {back:?}");
                let plate = t.plate_from_screen(screen).unwrap();
                let again = t.screen_from_plate(plate).unwrap();
                assert!(again.distance(screen) < 1e-3, "{view:?}: {screen:?} came back as {again:?}");
            }
        }
    }

    #[test]
    fn switching_keeps_place_and_scale_at_the_middle() {
        let [shot, flat] = [View::AsShot, View::Flat].map(|view| Transform::new(rect(), look(), view, Some(slanted())));
        for t in [&shot, &flat] {
            assert_eq!(t.screen_from_photo(look().centre).unwrap(), rect().center(), "the place");
        }
        let area = |t: &Transform| {
            let [x, y] = t.screen_by_photo(look().centre).unwrap();
            f64::from((x.x * y.y - x.y * y.x).abs())
        };
        assert!((area(&shot) / area(&flat) - 1.0).abs() < 1e-2, "{} and {}", area(&shot), area(&flat));
    }

    #[test]
    fn flat_has_plate_x_level_and_y_up() {
        let t = Transform::new(rect(), look(), View::Flat, Some(slanted()));
        let at = |x, y| t.screen_from_plate(PlatePoint::new(x, y)).unwrap();
        let (right, up) = (at(10.0, 0.0) - at(0.0, 0.0), at(0.0, 10.0) - at(0.0, 0.0));
        assert!(right.x > 0.0 && right.y.abs() < 1e-3, "x runs right: {right:?}");
        assert!(up.y < 0.0 && up.x.abs() < 1e-3, "y runs up: {up:?}");
        assert!((right.length() - up.length()).abs() < 1e-3, "one scale");
    }

    #[test]
    fn zooming_keeps_what_is_under_the_pointer() {
        for view in [View::AsShot, View::Flat] {
            let t = Transform::new(rect(), look(), view, Some(slanted()));
            let pointer = pos2(400.0, 300.0);
            let under = t.photo_from_screen(pointer).unwrap();
            let zoomed = Transform::new(rect(), t.zoomed(1.7, pointer).unwrap(), view, Some(slanted()));
            assert!(zoomed.screen_from_photo(under).unwrap().distance(pointer) < 0.02, "{view:?}");
            let panned = Transform::new(rect(), t.panned(vec2(31.0, -12.0)).unwrap(), view, Some(slanted()));
            let moved = panned.screen_from_photo(under).unwrap() - pointer;
            assert!((moved - vec2(31.0, -12.0)).length() < 0.02, "{view:?} moved by {moved:?}");
        }
    }

    #[test]
    fn without_a_map_flat_shows_the_photo_as_shot() {
        let t = Transform::new(rect(), look(), View::Flat, None);
        assert!(!t.is_flat(), "there is no face to look at yet");
        assert_eq!(t.screen_from_plate(PlatePoint::default()), None, "nor any place on it");
    }

    #[test]
    fn fitting_brings_the_whole_photo_into_sight() {
        let map = slanted();
        for view in [View::AsShot, View::Flat] {
            let fit = fitting(rect(), [4000, 3000], view, Some(&map), 0.0);
            let t = Transform::new(rect(), fit, view, Some(map));
            for (x, y) in [(-0.5, -0.5), (3999.5, -0.5), (-0.5, 2999.5), (3999.5, 2999.5)] {
                let corner = t.screen_from_photo(PhotoPoint::new(x, y)).unwrap();
                assert!(rect().expand(0.5).contains(corner), "{view:?}: {corner:?}");
            }
        }
    }

    #[test]
    fn a_step_goes_the_way_it_is_seen() {
        for view in [View::AsShot, View::Flat] {
            let t = Transform::new(rect(), look(), view, Some(slanted()));
            let from = PhotoPoint::new(1500.0, 1200.0);
            let step = t.photo_step(from, vec2(1.0, 0.0)).unwrap();
            assert!((step.length() - 1.0).abs() < 1e-9, "one px");
            let seen = t.screen_from_photo(from + step * 20.0).unwrap() - t.screen_from_photo(from).unwrap();
            assert!(seen.x > 0.0 && seen.y.abs() < 0.01 * seen.x, "{view:?}: {seen:?}");
        }
    }
}
