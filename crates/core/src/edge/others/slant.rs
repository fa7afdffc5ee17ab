//! What the ovals of a photo tell together of how the face leans against what the camera says.

use super::super::RimStart;
use super::super::oval::{Oval, seen_as};
use crate::camera::PlateMap;
use crate::space::{PhotoPoint, PhotoVec};
use nalgebra::{Matrix3, Vector3};

/// A half axis of an oval is known to this, px.
const HALF_AXIS_PX: f64 = 0.3;

/// Over a focal length the flattening changes by about this much: an eighth of a radian of slant over a photo's width.
const CHANGES_BY: f64 = 0.04;

/// The oval's place and size at the slant at which the camera sees a circle there.
pub(super) fn predicted(map: &PlateMap, seen: &Oval) -> Option<Oval> {
    let centre = map.plate_from_photo(seen.centre)?;
    let radius_mm = seen.radius_px / map.px_per_mm(centre);
    let slant = seen_as(map, &RimStart { centre, radius_mm, reach_px: 0.0 })?;
    Some(Oval { swell: slant.flattening() * seen.radius_px, ..*seen })
}

/// How much more flattened rims are seen than the camera says, over the photo.
#[derive(Debug, Clone, Copy)]
pub(super) struct SlantField {
    /// At the middle of the photo.
    pub(super) usual: PhotoVec,
    /// The change for one focal length along x and along y.
    along: [PhotoVec; 2],
    middle: PhotoPoint,
    focal_px: f64,
}

impl SlantField {
    /// From the ovals seen, the larger ones telling it better: a constant and an even change, by least squares with what is
    /// expected of the change.
    pub(super) fn new(map: &PlateMap, seen: &[Oval]) -> Self {
        let (middle, focal_px) = (map.lens().principal, map.lens().focal_px);
        let nothing = Self { usual: PhotoVec::default(), along: [PhotoVec::default(); 2], middle, focal_px };
        let mut matrix = Matrix3::from_diagonal(&Vector3::new(1.0, CHANGES_BY.powi(-2), CHANGES_BY.powi(-2)));
        let mut right = [Vector3::zeros(); 2];
        for oval in seen {
            let Some(slant) = predicted(map, oval) else { continue };
            let off = oval.flattening() - slant.flattening();
            let row = nothing.place(oval.centre);
            let weight = (oval.radius_px / HALF_AXIS_PX).powi(2);
            matrix += row * row.transpose() * weight;
            right[0] += row * (weight * off.x);
            right[1] += row * (weight * off.y);
        }
        let Some(inverse) = matrix.try_inverse() else { return nothing };
        let [x, y] = right.map(|right| inverse * right);
        let part = |i: usize| PhotoVec::new(x[i], y[i]);
        Self { usual: part(0), along: [part(1), part(2)], ..nothing }
    }

    fn place(&self, at: PhotoPoint) -> Vector3<f64> {
        let step = (at - self.middle) * (1.0 / self.focal_px);
        Vector3::new(1.0, step.x, step.y)
    }

    /// The flattening beyond what the camera says, at a place of the photo.
    pub(super) fn at(&self, at: PhotoPoint) -> PhotoVec {
        let place = self.place(at);
        self.usual + self.along[0] * place[1] + self.along[1] * place[2]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::camera::{Lens, Pose};

    #[test]
    fn a_slant_that_the_camera_does_not_know_is_told_by_the_ovals() {
        let lens = Lens::pinhole(3000.0, PhotoPoint::new(2000.0, 1500.0));
        let square = PlateMap::new(lens, Pose::square(300.0));
        let tilted = PlateMap::new(lens, Pose { distance_mm: 300.0, tilt_a_rad: 0.2, tilt_b_rad: -0.15 });
        let seen = |x: f64, y: f64, radius_mm: f64| {
            let centre = tilted.plate_from_photo(PhotoPoint::new(x, y)).unwrap();
            seen_as(&tilted, &RimStart { centre, radius_mm, reach_px: 0.0 }).unwrap()
        };
        let told =
            [seen(800.0, 700.0, 8.0), seen(3000.0, 900.0, 12.0), seen(1500.0, 2500.0, 10.0), seen(3300.0, 2600.0, 8.0)];
        let field = SlantField::new(&square, &told);
        let other = seen(2300.0, 1900.0, 3.0);
        let off = field.at(other.centre) - other.flattening();
        assert!(off.length() < 0.1 * other.flattening().length(), "off by {off:?} of {:?}", other.flattening());
        assert!(SlantField::new(&tilted, &told).usual.length() < 1e-3, "the true camera leaves nothing");
        assert_eq!(SlantField::new(&square, &[]).at(other.centre), PhotoVec::default(), "no ovals tell nothing");
    }
}
