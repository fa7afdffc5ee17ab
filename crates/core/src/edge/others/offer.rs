//! What is offered of a rim that was found.

use super::super::curve::{Circle, Curve};
use super::super::oval::Oval;
use super::super::{EdgePoint, Picture, RimStart, measure_rim};
use super::slant::{SlantField, predicted};
use crate::camera::PlateMap;
use crate::fit;
use crate::space::{PhotoPoint, PlatePoint};

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
    /// Its centre by the camera that was given.
    pub centre: PlatePoint,
    /// Its radius by the camera that was given, mm.
    pub radius_mm: f64,
    /// How its size compares.
    pub size: SizeClass,
    /// Three places on it, spread about evenly round it.
    pub picks: [PhotoPoint; 3],
    /// Points measured on it, at whatever slant fits them; none where they do not agree with what is seen of it at half
    /// the photo's size, as where a shadow or a wall runs close to it.
    pub points: Vec<EdgePoint>,
}

/// A rim is looked for so far from its oval, px: as from clicks; and where that finds nothing, as a texture may lead away
/// from it, only so far.
const REACH_PX: f64 = 10.0;
const NARROW_REACH_PX: f64 = 7.0;

/// Less than this arc of a rim is not offered, degrees.
const SHORTEST_ARC_DEG: f64 = 220.0;

/// Nor one whose points scatter about it by more than this, px, or by more than this share of its radius. It may still be
/// too uneven to be trusted: that its verdict says.
const LARGEST_RMS_PX: f64 = 1.0;
const LARGEST_RMS_SHARE: f64 = 0.03;

/// A scatter of points under this tells little, px.
const USUAL_RMS_PX: f64 = 0.2;

/// Radii that differ by less than this share, and by less than this, are of one size.
const SAME_SIZE: f64 = 0.035;
const SAME_SIZE_PX: f64 = 0.7;

/// Of circles whose worth is this share of the best one's the outermost is the rim, where it is so small, px, that its slant
/// is told poorly.
const NEARLY_AS_GOOD: f64 = 0.7;
const SMALL_PX: f64 = 60.0;

/// A rim that does not bear to be measured is offered where it is larger than this, px.
const SMALLEST_PX: f64 = 15.0;

/// A rim has at least so many measured points.
const FEWEST_POINTS: usize = 10;

/// A circle this far inside what was followed is not the rim, px and a share of the radius.
const INSIDE_PX: f64 = 1.0;
const INSIDE_SHARE: f64 = 0.02;

/// A rim by a far camera of its own, in which it is a circle.
pub(super) struct Measured {
    circle: Circle,
    points: Vec<EdgePoint>,
    far_map: PlateMap,
    worth: f64,
}

/// The rim measured in the photo itself; `None` where it does not bear that.
///
/// Three slants are tried: that at which the oval is seen, which tells little of a small rim; that of the given camera; and
/// that with what the rims together tell of its error.
pub(super) fn measured(picture: &Picture, map: &PlateMap, seen: &Oval, slants: &SlantField) -> Option<Measured> {
    let by_map = predicted(map, seen);
    let by_all = by_map.map(|slant| Oval { swell: slant.swell + slants.at(seen.centre) * seen.radius_px, ..*seen });
    let tried = [Some(*seen), by_map, by_all];
    let found: Vec<Measured> =
        tried.iter().flatten().filter_map(|slant| Measured::at_slant(picture, seen, slant)).collect();
    if found.is_empty() {
        return None;
    }
    let best = found.iter().map(|rim| rim.worth).fold(0.0, f64::max);
    let nearly = if seen.radius_px < SMALL_PX { NEARLY_AS_GOOD } else { 1.0 };
    let good = found.into_iter().filter(|rim| rim.is_outside(seen) && rim.worth >= nearly * best);
    let outermost = good.max_by(|a, b| a.circle.radius_mm.total_cmp(&b.circle.radius_mm));
    // A small one that is not to be measured is a pit or a stain.
    outermost.or_else(|| (seen.radius_px > SMALLEST_PX).then(|| Measured::unmeasured(seen)))
}

impl Measured {
    /// What is measured near an oval, by a far camera that sees a circle as `slant`; `None` where it is no rim.
    fn at_slant(picture: &Picture, seen: &Oval, slant: &Oval) -> Option<Self> {
        let (far_map, radius_mm) = slant.far_map();
        let measure = |reach_px| {
            let start = RimStart { centre: PlatePoint::default(), radius_mm, reach_px };
            measure_rim(picture, &far_map, &start).ok()
        };
        let rim = measure(REACH_PX).or_else(|| measure(NARROW_REACH_PX))?;
        let most_px = LARGEST_RMS_PX.min(LARGEST_RMS_SHARE * seen.radius_px);
        let is_rim = rim.arc_deg >= SHORTEST_ARC_DEG && rim.rms_px < most_px && rim.points.len() >= FEWEST_POINTS;
        let circle = Circle { centre: rim.centre, radius_mm: rim.radius_mm };
        is_rim.then_some(Self { circle, points: rim.points, far_map, worth: rim.arc_deg / (rim.rms_px + USUAL_RMS_PX) })
    }

    /// The oval as it was followed.
    fn unmeasured(seen: &Oval) -> Self {
        let (far_map, radius_mm) = seen.far_map();
        Self { circle: Circle { centre: PlatePoint::default(), radius_mm }, points: Vec::new(), far_map, worth: 0.0 }
    }

    /// Whether it lies nowhere far inside an oval.
    fn is_outside(&self, seen: &Oval) -> bool {
        let inside_px = INSIDE_PX + INSIDE_SHARE * seen.radius_px;
        self.round(24).all(|at| {
            let step = at - seen.centre;
            step.length() > seen.distance_px(step.angle_rad()) - inside_px
        })
    }

    /// So many places round it in the photo.
    fn round(&self, count: u32) -> impl Iterator<Item = PhotoPoint> {
        (0..count).filter_map(move |i| self.photo(f64::from(i) / f64::from(count)))
    }

    fn photo(&self, share: f64) -> Option<PhotoPoint> {
        self.far_map.photo_from_plate(self.circle.place(share).0)
    }

    /// Three places on it beside measured points, as evenly spread as those allow.
    fn picks(&self) -> Option<[PhotoPoint; 3]> {
        let share = |point: &EdgePoint| Some(self.circle.share(self.far_map.plate_from_photo(point.at)?));
        let mut shares: Vec<f64> = self.points.iter().filter_map(share).collect();
        if shares.is_empty() {
            shares = vec![0.0, 1.0 / 3.0, 2.0 / 3.0];
        }
        let apart = |a: f64, b: f64| ((a - b + 0.5).rem_euclid(1.0) - 0.5).abs();
        let nearest = |to: f64| shares.iter().copied().min_by(|a, b| apart(*a, to).total_cmp(&apart(*b, to)));
        let spread = |first: f64| {
            let three = [first, nearest(first + 1.0 / 3.0)?, nearest(first + 2.0 / 3.0)?];
            let least = apart(three[0], three[1]).min(apart(three[1], three[2])).min(apart(three[2], three[0]));
            Some((least, three))
        };
        let (_, three) = shares.iter().filter_map(|first| spread(*first)).max_by(|a, b| a.0.total_cmp(&b.0))?;
        let [a, b, c] = three.map(|share| self.photo(share));
        Some([a?, b?, c?])
    }

    /// What is offered of it; its size is left open.
    fn offer(self, map: &PlateMap) -> Option<Offer> {
        let plate: Option<Vec<PlatePoint>> = self.round(36).map(|at| map.plate_from_photo(at)).collect();
        let circle = fit::geometric(&plate?)?.circle;
        let picks = self.picks()?;
        let centre = PlatePoint::from(circle.centre);
        Some(Offer { centre, radius_mm: circle.radius, size: SizeClass::Other, picks, points: self.points })
    }
}

/// Offers of what was measured: those of the accepted rim's size first, each size from the top of the photo down.
///
/// Where the rims are flattened more than the camera says, the face leans against what it says: a circle seen at
/// an angle t has half axes in the proportion of cos t, and a flattening of about t² / 4.
pub(super) fn offers(
    map: &PlateMap,
    accepted: &RimStart,
    like: Option<Measured>,
    measured: Vec<Measured>,
    slants: &SlantField,
) -> Vec<Offer> {
    // As measured it is better known than from clicks.
    let like_mm = like.and_then(|like| like.offer(map)).map_or(accepted.radius_mm, |like| like.radius_mm);
    let slant_rad = 2.0 * slants.usual.length().sqrt();
    let mut offers: Vec<Offer> = measured.into_iter().filter_map(|rim| rim.offer(map)).collect();
    for offer in &mut offers {
        let Offer { centre, radius_mm, .. } = *offer;
        let (from, to) = (map.photo_from_plate(accepted.centre), map.photo_from_plate(centre));
        let away_px = from.zip(to).map_or(0.0, |(from, to)| from.distance(to));
        // A slant that the camera does not know changes the scale by this share on the way.
        let scale_changes = slant_rad * away_px / map.lens().focal_px;
        let unsure_px = SAME_SIZE_PX / map.px_per_mm(centre);
        let same_mm = ((SAME_SIZE + scale_changes) * like_mm).hypot(unsure_px);
        if (radius_mm - like_mm).abs() < same_mm {
            offer.size = SizeClass::Like;
        }
    }
    let top = |offer: &Offer| offer.picks.iter().map(|pick| pick.y).sum::<f64>();
    offers.sort_by(|a, b| a.size.cmp(&b.size).then(top(a).total_cmp(&top(b))));
    offers
}
