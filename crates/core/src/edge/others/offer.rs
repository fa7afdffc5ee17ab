//! What is offered of a rim that was found.

use super::super::curve::{Circle, Curve};
use super::super::oval::{Oval, seen_as};
use super::super::{EdgePoint, Picture, RimMeasurement, RimStart, measure_rim};
use crate::camera::PlateMap;
use crate::fit;
use crate::space::{PhotoPoint, PhotoVec, PlatePoint};

/// How the size of an offered rim compares with the accepted one's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SizeClass {
    /// The same, as far as the photo tells.
    Like,
    /// Another.
    Other,
}

/// A rim that was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// The rim. Its centre and radius are by the camera that was given; its scatter and verdict are those of the circle
    /// seen at whatever slant fits it.
    pub measurement: RimMeasurement,
    /// How its size compares.
    pub size: SizeClass,
    /// Three places on it, spread about evenly round it.
    pub picks: [PhotoPoint; 3],
}

/// A rim is looked for so far from its oval, px: as from clicks.
const REACH_PX: f64 = 10.0;

/// Less than this arc of a rim is not offered, degrees.
const SHORTEST_ARC_DEG: f64 = 235.0;

/// Nor one whose points scatter about it by more than this, px, or by more than this share of its radius. It may still be
/// too uneven to be trusted: that its verdict says.
const LARGEST_RMS_PX: f64 = 1.0;
const LARGEST_RMS_SHARE: f64 = 0.04;

/// Of two circles the larger is the rim, unless it is seen less far round than this share of the other.
const SEEN_AS_FAR: f64 = 0.85;

/// Radii that differ by less than this share, and by less than this, are of one size.
const SAME_SIZE: f64 = 0.035;
const SAME_SIZE_PX: f64 = 0.7;

/// A rim measured by a far camera of its own.
pub(super) struct Measured {
    rim: RimMeasurement,
    far_map: PlateMap,
    seen: Oval,
}

/// The rim measured in the photo itself; `None` where it does not bear that.
///
/// Both the slant at which the oval is seen and that of the given camera are tried: of a small rim the first is poor, and
/// of a large one the second may be.
pub(super) fn measured(picture: &Picture, map: &PlateMap, seen: Oval) -> Option<Measured> {
    let by_map = predicted(map, &seen).unwrap_or(seen);
    let try_slant = |slant: &Oval| {
        let (far_map, radius_mm) = slant.far_map();
        let start = RimStart { centre: PlatePoint::default(), radius_mm, reach_px: REACH_PX };
        let rim = measure_rim(picture, &far_map, &start).ok()?;
        let most_px = LARGEST_RMS_PX.min(LARGEST_RMS_SHARE * seen.radius_px);
        let is_rim = rim.arc_deg >= SHORTEST_ARC_DEG && rim.rms_px < most_px;
        is_rim.then_some(Measured { rim, far_map, seen })
    };
    let larger = |a: Measured, b: Measured| {
        let (small, large) = if a.radius_px() < b.radius_px() { (a, b) } else { (b, a) };
        if large.rim.arc_deg >= SEEN_AS_FAR * small.rim.arc_deg { large } else { small }
    };
    match (try_slant(&seen), try_slant(&by_map)) {
        (Some(own), Some(by_map)) => Some(larger(own, by_map)),
        (own, by_map) => own.or(by_map),
    }
}

/// The oval's place and size at the slant at which the camera sees a circle there.
fn predicted(map: &PlateMap, seen: &Oval) -> Option<Oval> {
    let centre = map.plate_from_photo(seen.centre)?;
    let radius_mm = seen.radius_px / map.px_per_mm(centre);
    let slant = seen_as(map, &RimStart { centre, radius_mm, reach_px: 0.0 })?;
    Some(Oval { swell: slant.flattening() * seen.radius_px, ..*seen })
}

impl Measured {
    fn radius_px(&self) -> f64 {
        self.rim.radius_mm * self.far_map.px_per_mm(self.rim.centre)
    }

    /// Three places on the measured circle beside measured points, as evenly spread as those allow.
    fn picks(&self) -> Option<[PhotoPoint; 3]> {
        let circle = Circle { centre: self.rim.centre, radius_mm: self.rim.radius_mm };
        let share = |point: &EdgePoint| Some(circle.share(self.far_map.plate_from_photo(point.at)?));
        let shares: Vec<f64> = self.rim.points.iter().filter_map(share).collect();
        let apart = |a: f64, b: f64| ((a - b + 0.5).rem_euclid(1.0) - 0.5).abs();
        let nearest = |to: f64| shares.iter().copied().min_by(|a, b| apart(*a, to).total_cmp(&apart(*b, to)));
        let spread = |first: f64| {
            let three = [first, nearest(first + 1.0 / 3.0)?, nearest(first + 2.0 / 3.0)?];
            let least = apart(three[0], three[1]).min(apart(three[1], three[2])).min(apart(three[2], three[0]));
            Some((least, three))
        };
        let (_, three) = shares.iter().filter_map(|first| spread(*first)).max_by(|a, b| a.0.total_cmp(&b.0))?;
        let [a, b, c] = three.map(|share| self.far_map.photo_from_plate(circle.place(share).0));
        Some([a?, b?, c?])
    }

    /// What is offered of it; its size is left open.
    fn offer(&self, map: &PlateMap) -> Option<Offer> {
        let plate: Option<Vec<PlatePoint>> =
            self.rim.points.iter().map(|point| map.plate_from_photo(point.at)).collect();
        let circle = fit::geometric(&plate?)?.circle;
        let (centre, radius_mm) = (PlatePoint::from(circle.centre), circle.radius);
        let measurement = RimMeasurement { centre, radius_mm, ..self.rim.clone() };
        Some(Offer { measurement, size: SizeClass::Other, picks: self.picks()? })
    }
}

/// Offers of what was measured: those of the accepted rim's size first, each size from the top of the photo down.
pub(super) fn offers(map: &PlateMap, accepted: &RimStart, measured: &[Measured]) -> Vec<Offer> {
    let slant_rad = unknown_slant_rad(map, measured);
    let mut offers: Vec<Offer> = measured.iter().filter_map(|rim| rim.offer(map)).collect();
    for offer in &mut offers {
        let RimMeasurement { centre, radius_mm, .. } = offer.measurement;
        let (from, to) = (map.photo_from_plate(accepted.centre), map.photo_from_plate(centre));
        let away_px = from.zip(to).map_or(0.0, |(from, to)| from.distance(to));
        // A slant that the camera does not know changes the scale by this share on the way.
        let scale_changes = slant_rad * away_px / map.lens().focal_px;
        let unsure_px = SAME_SIZE_PX / map.px_per_mm(centre);
        let same_mm = ((SAME_SIZE + scale_changes) * accepted.radius_mm).hypot(unsure_px);
        if (radius_mm - accepted.radius_mm).abs() < same_mm {
            offer.size = SizeClass::Like;
        }
    }
    let top = |offer: &Offer| offer.picks.iter().map(|pick| pick.y).sum::<f64>();
    offers.sort_by(|a, b| a.size.cmp(&b.size).then(top(a).total_cmp(&top(b))));
    offers
}

/// How far the face leans against what the camera says, radians, as the rims' own ovals tell, larger ones better.
///
/// A circle seen at an angle t has half axes in the proportion of cos t, and a flattening of about t² / 4.
fn unknown_slant_rad(map: &PlateMap, measured: &[Measured]) -> f64 {
    let (mut sum, mut weights) = (PhotoVec::default(), 0.0);
    for rim in measured {
        if let Some(slant) = predicted(map, &rim.seen) {
            let weight = rim.seen.radius_px * rim.seen.radius_px;
            sum = sum + (rim.seen.flattening() - slant.flattening()) * weight;
            weights += weight;
        }
    }
    if weights > 0.0 { 2.0 * (sum.length() / weights).sqrt() } else { 0.0 }
}
