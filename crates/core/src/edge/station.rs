//! Where on a curve the photo is looked at, and how the photo lies there.

use super::curve::Curve;
use crate::camera::PlateMap;
use crate::space::{PhotoPoint, PhotoVec, PlatePoint, PlateVec};

/// A place on a curve as the camera sees it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Station {
    pub(super) plate: PlatePoint,
    /// Normal towards the face on the plate, length one.
    pub(super) normal: PlateVec,
    pub(super) at: PhotoPoint,
    /// Normal towards the face in the photo, length one, square to the curve as it is seen.
    pub(super) across: PhotoVec,
    /// How far the seen curve moves across for each mm along the normal on the plate, px per mm.
    pub(super) px_per_mm: f64,
    /// One over the radius of the seen curve, 1/px; positive where it bends away from the face, as a rim does.
    pub(super) bend: f64,
}

/// The steps of the difference quotients, as a share of the curve's length: so small that the projection bends by
/// less than a millionth within them, and far above rounding.
const SHARE_STEP: f64 = 2e-3;

impl Station {
    /// The curve's place at `share` of its length; `None` where the camera does not see it.
    pub(super) fn new<C: Curve>(map: &PlateMap, curve: &C, share: f64) -> Option<Self> {
        let (plate, normal) = curve.place(share);
        let at = map.photo_from_plate(plate)?;
        let (before, after) = (curve.place(share - SHARE_STEP).0, curve.place(share + SHARE_STEP).0);
        let (seen_before, seen_after) = (map.photo_from_plate(before)?, map.photo_from_plate(after)?);
        let along = (seen_after - seen_before).unit()?;
        let step_mm = before.distance(after) * 0.5;
        let seen_step =
            map.photo_from_plate(plate + normal * step_mm)? - map.photo_from_plate(plate - normal * step_mm)?;
        let square = along.perp();
        let across = if square.dot(seen_step) < 0.0 { -square } else { square };
        let px_per_mm = across.dot(seen_step) / (2.0 * step_mm);
        // The circle through three seen points: sagitta over half the chord squared, twice.
        let half_chord = (seen_after - seen_before).length() * 0.5;
        let bend = 2.0 * across.dot(at - seen_before.lerp(seen_after, 0.5)) / (half_chord * half_chord);
        (px_per_mm > 0.0 && px_per_mm.is_finite() && bend.is_finite()).then_some(Self {
            plate,
            normal,
            at,
            across,
            px_per_mm,
            bend,
        })
    }

    /// A place of a curve that is known in the photo alone: where it is, which way the face lies (length one), and how it
    /// bends. `None` where the camera does not see the place on the plate.
    pub(super) fn seen(map: &PlateMap, at: PhotoPoint, across: PhotoVec, bend: f64) -> Option<Self> {
        let along = across.perp();
        let plate = map.plate_from_photo(at)?;
        let step = map.plate_from_photo(at + along)? - map.plate_from_photo(at - along)?;
        let square = step.unit()?.perp();
        let step_mm = 0.5 * step.length();
        let towards = map.plate_from_photo(at + across)? - plate;
        let normal = if square.dot(towards) < 0.0 { -square } else { square };
        let seen_step = map.photo_from_plate(plate + normal * step_mm)? - at;
        let px_per_mm = across.dot(seen_step) / step_mm;
        (px_per_mm > 0.0 && px_per_mm.is_finite()).then_some(Self { plate, normal, at, across, px_per_mm, bend })
    }

    /// The place `off_px` across in the photo.
    pub(super) fn photo(&self, off_px: f64) -> PhotoPoint {
        self.at + self.across * off_px
    }

    /// The place on the plate that is seen `off_px` across, to first order; only its distance from the curve counts.
    pub(super) fn plate(&self, off_px: f64) -> PlatePoint {
        self.plate + self.normal * (off_px / self.px_per_mm)
    }

    /// How far from the seen curve a photo point near the station lies, px, towards the face.
    ///
    /// The curve is taken as its osculating circle: beside the station by a few px it leaves that by far less than a
    /// hundredth.
    pub(super) fn off_px(&self, point: PhotoPoint) -> f64 {
        let step = point - self.at;
        let (off, along) = (step.dot(self.across), step.dot(self.across.perp()));
        let bend = self.bend * along * along;
        let outside = 1.0 + self.bend * off;
        // Distance to the circle's centre less its radius, in a form that also holds for a straight curve.
        let root = (outside * outside + self.bend * bend).max(0.0).sqrt();
        off + bend / (outside + root).max(f64::EPSILON)
    }
}

/// The seen length of a curve, px, from a few of its places; `None` where the camera does not see one of them.
pub(super) fn seen_length_px<C: Curve>(map: &PlateMap, curve: &C) -> Option<f64> {
    const PLACES: usize = 24;
    let places: Option<Vec<PhotoPoint>> =
        (0..=PLACES).map(|i| map.photo_from_plate(curve.place(i as f64 / PLACES as f64).0)).collect();
    let length: f64 = places?.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
    length.is_finite().then_some(length)
}

#[cfg(test)]
mod tests {
    use super::super::curve::{Circle, Side};
    use super::*;
    use crate::camera::{Lens, Pose};

    fn tilted() -> PlateMap {
        let lens = Lens { k1: -0.1, ..Lens::pinhole(3000.0, PhotoPoint::new(2000.0, 1500.0)) };
        PlateMap::new(lens, Pose { distance_mm: 300.0, tilt_a_rad: 0.2, tilt_b_rad: -0.1 })
    }

    #[test]
    fn distances_in_the_photo_are_those_to_the_seen_rim() {
        let (map, circle) = (tilted(), Circle { centre: PlatePoint::new(30.0, -20.0), radius_mm: 5.0 });
        for share in [0.0, 0.3, 0.65] {
            let station = Station::new(&map, &circle, share).unwrap();
            for (off, along) in [(0.0, 2.0), (4.0, -3.0), (-4.0, 3.0)] {
                let point = station.photo(off) + station.across.perp() * along;
                let nearest = (0..20_000)
                    .map(|i| map.photo_from_plate(circle.place(share + (f64::from(i) - 1e4) * 1e-5).0).unwrap())
                    .map(|seen| seen.distance(point))
                    .fold(f64::INFINITY, f64::min);
                let told = station.off_px(point);
                assert!((told.abs() - nearest).abs() < 0.01, "{share}, {off}, {along}: {told} against {nearest}");
            }
        }
    }

    #[test]
    fn a_straight_side_hardly_bends() {
        let side = Side { from: PlatePoint::new(0.0, 0.0), to: PlatePoint::new(40.0, 0.0) };
        let station = Station::new(&tilted(), &side, 0.5).unwrap();
        assert!(station.bend.abs() < 1e-4, "bend {}", station.bend);
        assert!((station.px_per_mm - 10.0).abs() < 1.0, "about 10 px per mm: {}", station.px_per_mm);
    }
}
