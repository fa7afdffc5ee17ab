//! A circle seen at a slant, without a camera: nearly an ellipse.

use super::RimStart;
use super::curve::{Circle, Curve};
use crate::camera::{Lens, PlateMap, Pose};
use crate::space::{PhotoPoint, PhotoVec};
use nalgebra::{SMatrix, SVector};

/// A nearly round curve in the photo: its distance from the centre in the direction `angle` is
/// `radius + swell.x cos 2 angle + swell.y sin 2 angle`, an ellipse to first order of its flattening. At 35 degrees of
/// slant it leaves the ellipse by a hundredth of the radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Oval {
    pub(super) centre: PhotoPoint,
    pub(super) radius_px: f64,
    pub(super) swell: PhotoVec,
}

/// A place that an oval should go through.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pull {
    pub(super) angle: f64,
    pub(super) distance_px: f64,
    pub(super) weight: f64,
}

impl Oval {
    pub(super) fn circle(centre: PhotoPoint, radius_px: f64) -> Self {
        Self { centre, radius_px, swell: PhotoVec::default() }
    }

    /// How far the curve is from the centre in a direction.
    pub(super) fn distance_px(&self, angle: f64) -> f64 {
        self.radius_px + self.swell.dot(PhotoVec::from_angle(2.0 * angle))
    }

    /// The place on the curve in a direction, times `share` from the centre.
    pub(super) fn place(&self, angle: f64, share: f64) -> PhotoPoint {
        self.centre + PhotoVec::from_angle(angle) * (self.distance_px(angle) * share)
    }

    /// How much longer and shorter its half axes are than their mean, as a share of it, along twice the angle.
    pub(super) fn flattening(&self) -> PhotoVec {
        self.swell * (1.0 / self.radius_px)
    }

    /// The oval through places round this one, by weighted least squares; `None` where they do not settle it.
    pub(super) fn pulled(&self, pulls: impl Iterator<Item = Pull>) -> Option<Self> {
        let (mut matrix, mut right) = (SMatrix::<f64, 5, 5>::zeros(), SVector::<f64, 5>::zeros());
        for Pull { angle, distance_px, weight } in pulls {
            let ((sin, cos), (sin2, cos2)) = (angle.sin_cos(), (2.0 * angle).sin_cos());
            let row = SVector::from([1.0, cos, sin, cos2, sin2]);
            matrix += row * row.transpose() * weight;
            right += row * (weight * distance_px);
        }
        let found = matrix.cholesky()?.solve(&right);
        let oval = Self {
            centre: self.centre + PhotoVec::new(found[1], found[2]),
            radius_px: found[0],
            swell: PhotoVec::new(found[3], found[4]),
        };
        let is_round = oval.centre.is_finite() && oval.radius_px > 0.0 && oval.flattening().length() < 0.5;
        is_round.then_some(oval)
    }

    /// A far camera, 1 px per mm, that sees a circle about the plate's origin as this oval.
    ///
    /// The circle's radius is the oval's longer half axis; along the other the face leans away.
    pub(super) fn far_map(&self) -> (PlateMap, f64) {
        const FAR: f64 = 1e6;
        let flattening = self.swell.length();
        let (longer, shorter) = (self.radius_px + flattening, self.radius_px - flattening);
        let towards = PhotoVec::from_angle(0.5 * self.swell.angle_rad()).perp();
        let lean = (1.0 - (shorter / longer).powi(2)).max(0.0).sqrt();
        // The face's normal, seen from the camera, is (-sin b, sin a cos b, -cos a cos b).
        let tilt_b_rad = (-towards.x * lean).asin();
        let tilt_a_rad = (towards.y * lean / tilt_b_rad.cos()).clamp(-1.0, 1.0).asin();
        let pose = Pose { distance_mm: FAR, tilt_a_rad, tilt_b_rad };
        (PlateMap::new(Lens::pinhole(FAR, self.centre), pose), longer)
    }
}

/// The oval as which the camera sees a rim; `None` where it does not see all of it.
pub(super) fn seen_as(map: &PlateMap, rim: &RimStart) -> Option<Oval> {
    const PLACES: u32 = 24;
    let circle = Circle { centre: rim.centre, radius_mm: rim.radius_mm };
    if !(circle.centre.is_finite() && circle.radius_mm > 0.0 && circle.radius_mm.is_finite()) {
        return None;
    }
    let seen = |i: u32| map.photo_from_plate(circle.place(f64::from(i) / f64::from(PLACES)).0);
    let places: Option<Vec<PhotoPoint>> = (0..PLACES).map(|i| seen(i).filter(|at| at.is_finite())).collect();
    let places = places?;
    let sum = places.iter().fold(PhotoVec::default(), |sum, at| sum + (*at - PhotoPoint::default()));
    let centre = PhotoPoint::default() + sum * (1.0 / f64::from(PLACES));
    Oval::circle(centre, 1.0).pulled(places.iter().map(|at| {
        let step = *at - centre;
        Pull { angle: step.angle_rad(), distance_px: step.length(), weight: 1.0 }
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::space::{PlatePoint, PlateVec};

    fn slanted() -> Oval {
        Oval { centre: PhotoPoint::new(310.0, 205.0), radius_px: 50.0, swell: PhotoVec::new(1.2, -0.9) }
    }

    #[test]
    fn places_on_an_oval_give_it_back() {
        let oval = slanted();
        let start = Oval::circle(oval.centre, 47.0);
        let pull = |i: i32| {
            let angle = f64::from(i) * 0.1;
            Pull { angle, distance_px: oval.distance_px(angle), weight: 1.0 }
        };
        let found = start.pulled((0..63).map(pull)).unwrap();
        assert!(found.centre.distance(oval.centre) < 1e-9, "{found:?}");
        assert!((found.swell - oval.swell).length() < 1e-9, "{found:?}");
        assert_eq!(start.pulled((0..4).map(pull)), None, "four places settle no oval");
    }

    #[test]
    fn a_far_camera_sees_its_circle_as_the_oval() {
        let oval = slanted();
        let (map, radius) = oval.far_map();
        for i in 0..12 {
            let on = PlatePoint::default() + PlateVec::from_angle(f64::from(i) * 0.5) * radius;
            let seen = map.photo_from_plate(on).unwrap();
            let step = seen - oval.centre;
            // The oval leaves the ellipse by the square of its flattening, 0.03, times its radius and up to 1.5.
            let off = step.length() - oval.distance_px(step.angle_rad());
            assert!(off.abs() < 0.07, "{i}: off by {off} px");
        }
    }
}
