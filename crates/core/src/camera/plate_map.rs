//! The camera with the datum: what everybody else uses to go between photo and plate.

use super::{Lens, Pose, View};
use crate::space::{PhotoPoint, PlatePoint, PlateVec};

/// A turn followed by a shift on the plate, from one plate frame into another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RigidMove {
    cos: f64,
    sin: f64,
    shift: PlateVec,
}

impl Default for RigidMove {
    fn default() -> Self {
        Self { cos: 1.0, sin: 0.0, shift: PlateVec::default() }
    }
}

impl RigidMove {
    /// Turns by `angle_rad` from x towards y about (0, 0), then shifts.
    pub fn new(angle_rad: f64, shift: PlateVec) -> Self {
        Self { cos: angle_rad.cos(), sin: angle_rad.sin(), shift }
    }

    /// The move after which `origin` is at (0, 0) and `along` on the positive x axis. Where the two coincide nothing
    /// is turned.
    pub fn to_datum(origin: PlatePoint, along: PlatePoint) -> Self {
        let towards = (along - origin).unit().unwrap_or(PlateVec::new(1.0, 0.0));
        let turn = Self { cos: towards.x, sin: -towards.y, shift: PlateVec::default() };
        let turned = turn.apply(origin);
        Self { shift: PlateVec::new(-turned.x, -turned.y), ..turn }
    }

    /// A step after the turn.
    pub fn turn(&self, step: PlateVec) -> PlateVec {
        PlateVec::new(self.cos * step.x - self.sin * step.y, self.sin * step.x + self.cos * step.y)
    }

    /// A place after the move.
    pub fn apply(&self, plate: PlatePoint) -> PlatePoint {
        let turned = self.turn(PlateVec::new(plate.x, plate.y));
        PlatePoint::new(turned.x + self.shift.x, turned.y + self.shift.y)
    }

    /// The place that the move brings to `plate`.
    pub fn undo(&self, plate: PlatePoint) -> PlatePoint {
        let (x, y) = (plate.x - self.shift.x, plate.y - self.shift.y);
        PlatePoint::new(self.cos * x + self.sin * y, self.cos * y - self.sin * x)
    }

    /// This move, then `next`.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        let shift = next.turn(self.shift) + next.shift;
        Self { cos: next.cos * self.cos - next.sin * self.sin, sin: next.sin * self.cos + next.cos * self.sin, shift }
    }

    /// How far it turns, from x towards y, radians in (-pi, pi].
    pub fn angle_rad(&self) -> f64 {
        self.sin.atan2(self.cos)
    }
}

/// The camera with the datum: turns photo points into plate points in the datum's frame and back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlateMap {
    view: View,
    datum_from_solve: RigidMove,
}

impl Default for PlateMap {
    /// Square over the face at 300 mm, 10 px per mm, the optical axis in the middle of a photo of 4001 x 3001 px.
    fn default() -> Self {
        Self::new(Lens::pinhole(3000.0, PhotoPoint::new(2000.0, 1500.0)), Pose::square(300.0))
    }
}

impl PlateMap {
    /// A camera with the datum where its optical axis meets the face.
    pub fn new(lens: Lens, pose: Pose) -> Self {
        Self::from_view(View::new(lens, pose))
    }

    /// A prepared camera with the datum where its optical axis meets the face.
    pub fn from_view(view: View) -> Self {
        Self { view, datum_from_solve: RigidMove::default() }
    }

    /// The same camera with its plate frame moved once more.
    #[must_use]
    pub fn with_datum(self, datum_from_present: &RigidMove) -> Self {
        Self { datum_from_solve: self.datum_from_solve.then(datum_from_present), ..self }
    }

    /// The lens.
    pub const fn lens(&self) -> &Lens {
        self.view.lens()
    }

    /// How the camera was held.
    pub const fn pose(&self) -> &Pose {
        self.view.pose()
    }

    /// From the solve frame (origin on the optical axis) to the datum's.
    pub const fn datum_from_solve(&self) -> &RigidMove {
        &self.datum_from_solve
    }

    /// Where the ray through a photo point meets the face; `None` where it does not, or the lens model folds over.
    pub fn plate_from_photo(&self, photo: PhotoPoint) -> Option<PlatePoint> {
        Some(self.datum_from_solve.apply(self.view.back_project(photo)?))
    }

    /// Where a point of the face is seen in the photo; `None` behind the camera or where the lens model folds over.
    pub fn photo_from_plate(&self, plate: PlatePoint) -> Option<PhotoPoint> {
        self.view.project(self.datum_from_solve.undo(plate))
    }

    /// Where the camera stands: the foot of its perpendicular on the face's plane, and its height above it, mm.
    pub fn standpoint(&self) -> (PlatePoint, f64) {
        let Pose { distance_mm, tilt_a_rad, tilt_b_rad } = *self.pose();
        let ((sa, ca), (sb, cb)) = (tilt_a_rad.sin_cos(), tilt_b_rad.sin_cos());
        // The camera's centre in the solve frame: minus the turned-back way from it to the origin.
        let foot = PlatePoint::new(distance_mm * ca * sb, distance_mm * sa);
        (self.datum_from_solve.apply(foot), distance_mm * ca * cb)
    }

    /// Local scale at a point of the face: square root of the area ratio, px per mm. Where the point is not seen, the
    /// scale where the optical axis meets the face.
    pub fn px_per_mm(&self, plate: PlatePoint) -> f64 {
        match self.view.project_by_plate(self.datum_from_solve.undo(plate)) {
            Some((_, [[a, b], [c, d]])) => (a * d - b * c).abs().sqrt(),
            None => self.lens().focal_px / self.pose().distance_mm,
        }
    }

    /// The same the way that it is least there: the smaller singular value of the map, px per mm.
    pub fn least_px_per_mm(&self, plate: PlatePoint) -> f64 {
        let Some((_, [[a, b], [c, d]])) = self.view.project_by_plate(self.datum_from_solve.undo(plate)) else {
            return self.px_per_mm(plate);
        };
        // Half the sum and half the difference of both singular values, of a matrix of two by two in closed form.
        0.5 * ((a + d).hypot(c - b) - (a - d).hypot(b + c)).abs()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_datum_lies_at_the_origin_and_along_x() {
        let (origin, along) = (PlatePoint::new(12.0, -7.0), PlatePoint::new(15.0, -3.0));
        let datum = RigidMove::to_datum(origin, along);
        assert!(datum.apply(origin).distance(PlatePoint::default()) < 1e-14, "the origin");
        assert!(datum.apply(along).distance(PlatePoint::new(5.0, 0.0)) < 1e-14, "3 and 4 make 5 along x");
        assert!(datum.undo(datum.apply(along)).distance(along) < 1e-14, "undone");
    }

    #[test]
    fn one_place_twice_gives_no_turn() {
        let place = PlatePoint::new(3.0, 4.0);
        assert_eq!(RigidMove::to_datum(place, place), RigidMove::new(0.0, PlateVec::new(-3.0, -4.0)), "a shift alone");
    }

    #[test]
    fn moves_follow_each_other() {
        let (first, second) =
            (RigidMove::new(0.4, PlateVec::new(3.0, -1.0)), RigidMove::new(-1.1, PlateVec::new(0.5, 8.0)));
        let place = PlatePoint::new(11.0, 5.0);
        let both = first.then(&second);
        assert!(both.apply(place).distance(second.apply(first.apply(place))) < 1e-14, "one after the other");
        assert!((both.angle_rad() + 0.7).abs() < 1e-14, "turns add up");
    }

    #[test]
    fn the_datum_changes_the_plate_and_not_the_photo() {
        let map = PlateMap::default();
        let datum = RigidMove::new(0.7, PlateVec::new(20.0, 30.0));
        let moved = map.with_datum(&datum);
        let photo = PhotoPoint::new(700.0, 2600.0);
        let plate = moved.plate_from_photo(photo).unwrap();
        assert!(plate.distance(datum.apply(map.plate_from_photo(photo).unwrap())) < 1e-12, "the plate moved");
        assert!(moved.photo_from_plate(plate).unwrap().distance(photo) < 1e-9, "and is seen where it was");
        assert!((moved.px_per_mm(plate) - 10.0).abs() < 1e-12, "at the scale of a square camera");
    }

    #[test]
    fn tilted_the_face_is_seen_shorter_one_way() {
        let lens = Lens::pinhole(3000.0, PhotoPoint::new(2000.0, 1500.0));
        let map = PlateMap::new(lens, Pose { tilt_b_rad: 0.3, ..Pose::square(300.0) });
        let middle = PlatePoint::default();
        // On the axis: 10 px per mm along the tilt's axis, and cos of the tilt less square to it.
        assert!((map.least_px_per_mm(middle) - 10.0 * 0.3_f64.cos()).abs() < 1e-9, "{}", map.least_px_per_mm(middle));
        assert!((map.px_per_mm(middle) - 10.0 * 0.3_f64.cos().sqrt()).abs() < 1e-9, "the mean of both");
        assert!((PlateMap::default().least_px_per_mm(middle) - 10.0).abs() < 1e-12, "square, alike both ways");
    }
}
