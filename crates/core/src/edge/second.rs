//! A second edge within the one that is measured, told by where the camera stands.
//!
//! What lies `depth` below the face is seen on the face's plane moved towards the foot of the camera, by
//! `depth / (height + depth)` of the way there. The far end of a wall is the edge itself so moved: it shows where the
//! wall looks at the camera, along half of a rim and all along one side. The inner line of an edge broken at 45 degrees
//! lies as deep as the break is wide and shows all along. Either has one unknown, which every profile tells that shows two
//! steps: what most of them agree on is believed.

use super::consensus::{NEAR_PX, best};
use super::curve::Curve;
use super::reading::APART_PX;
use super::rim::RimMeasurement;
use super::search::{Crossing, median};
use super::station::Station;
use crate::camera::PlateMap;
use crate::space::PlatePoint;

/// What the second edge is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Inner {
    /// The inner line of a broken edge, so far beside the edge and below it, mm.
    Break { width_mm: f64 },
    /// The far end of the wall, so far below the face, mm.
    FarEnd { depth_mm: f64 },
}

/// A second edge with how well it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Known {
    pub(super) inner: Inner,
    /// Standard deviation of its unknown, as a share of it.
    pub(super) sigma_share: f64,
}

/// The walls of a part, as those below the rims of its holes show them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Walls {
    /// How far below the face the walls end, mm.
    pub depth_mm: f64,
    /// Its standard deviation, as a share of it.
    pub sigma_share: f64,
    /// Standard deviation of the photo's blur at the rims, px.
    pub blur_px: f64,
}

impl Walls {
    /// That on which the rims of a photo agree, of those that may be believed; `None` where they are too few.
    pub fn of_rims<'a>(rims: impl IntoIterator<Item = &'a RimMeasurement>) -> Option<Self> {
        let believed: Vec<&RimMeasurement> = rims.into_iter().filter(|rim| rim.verdict.is_one_circle()).collect();
        let depth = |rim: &&RimMeasurement| Some(Inner::FarEnd { depth_mm: rim.wall_depth_mm? });
        let Known { inner, sigma_share } = Inner::of_photo(&believed.iter().filter_map(depth).collect::<Vec<_>>())?;
        let blur_px = median(&mut believed.iter().map(|rim| rim.blur_px).collect::<Vec<_>>())?;
        matches!(inner, Inner::FarEnd { .. }).then(|| Self { depth_mm: inner.size_mm(), sigma_share, blur_px })
    }

    /// The same as a second edge.
    pub(super) const fn known(self) -> Known {
        Known { inner: Inner::FarEnd { depth_mm: self.depth_mm }, sigma_share: self.sigma_share }
    }
}

/// Where a second edge is seen across a station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Within {
    /// Towards the face, px; negative within the edge.
    pub(super) off_px: f64,
    /// How well that is known, px.
    pub(super) sigma_px: f64,
    /// Most rims of a photo agree on it, so that its step tells where the edge is.
    pub(super) is_agreed: bool,
}

impl Known {
    /// One that was told by a few profiles of one edge.
    pub(super) const fn by_one_edge(inner: Inner) -> Self {
        Self { inner, sigma_share: ONE_EDGE_SHARE }
    }

    /// Where it is seen across a station.
    pub(super) fn across(&self, stand: &Standpoint, station: &Station) -> Within {
        let off_px = self.inner.off_px(stand, station);
        Within { off_px, sigma_px: SEEN_PX.hypot(self.sigma_share * off_px), is_agreed: self.is_agreed() }
    }

    /// Most rims of a photo agree on it.
    pub(super) fn is_agreed(&self) -> bool {
        self.sigma_share < ONE_EDGE_SHARE
    }

    /// It is the far end of a wall, on which most rims of a photo agree.
    pub(super) fn is_agreed_far_end(&self) -> bool {
        self.is_agreed() && matches!(self.inner, Inner::FarEnd { .. })
    }
}

/// How well a second edge is known that one edge alone tells, as a share of its unknown; that on which a photo's rims agree, at
/// best; and how well the way between two edges holds at any place along them, px.
const ONE_EDGE_SHARE: f64 = 0.25;
const AGREED_SHARE: f64 = 0.04;
const SEEN_PX: f64 = 0.05;

/// Where the camera stands, as an edge sees it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Standpoint {
    foot: PlatePoint,
    height_mm: f64,
}

impl Standpoint {
    pub(super) fn of(map: &PlateMap) -> Self {
        let (foot, height_mm) = map.standpoint();
        Self { foot, height_mm }
    }

    /// How far towards the face the camera stands from a station, mm.
    fn towards_face_mm(&self, station: &Station) -> f64 {
        (self.foot - station.plate).dot(station.normal)
    }
}

impl Inner {
    /// No wall is seen at a station, however thick the part is.
    pub(super) fn is_wall_hidden(stand: &Standpoint, station: &Station) -> bool {
        stand.towards_face_mm(station) <= 0.0
    }

    /// Where it is seen across a station, px towards the face; negative within the edge.
    pub(super) fn off_px(&self, stand: &Standpoint, station: &Station) -> f64 {
        let (width, depth) = match *self {
            Self::Break { width_mm } => (width_mm, width_mm),
            Self::FarEnd { depth_mm } => (0.0, depth_mm),
        };
        let moved = depth / (stand.height_mm + depth) * (stand.towards_face_mm(station) + width);
        (moved - width) * station.px_per_mm
    }

    /// Its unknown, mm.
    const fn size_mm(&self) -> f64 {
        match *self {
            Self::Break { width_mm } => width_mm,
            Self::FarEnd { depth_mm } => depth_mm,
        }
    }

    /// Whether both are breaks or both far ends.
    pub(super) const fn is_kind(&self, other: Self) -> bool {
        matches!((self, other), (Self::Break { .. }, Self::Break { .. }) | (Self::FarEnd { .. }, Self::FarEnd { .. }))
    }

    /// Both may be the same, each as one rim tells it.
    pub(super) fn is_like(&self, other: Self) -> bool {
        self.is_kind(other) && (other.size_mm() - self.size_mm()).abs() <= ALIKE * self.size_mm()
    }

    /// The one on which most rims of a photo agree, if enough do: a part has one thickness, and holes are mostly broken
    /// alike. A thickness is known as well as the rims agree on it; a hole may be broken by more or less than the others.
    pub(super) fn of_photo(all: &[Self]) -> Option<Known> {
        let alike = |one: &Self| -> Vec<Self> { all.iter().filter(|other| one.is_like(**other)).copied().collect() };
        let most = all.iter().map(alike).max_by_key(Vec::len).filter(|most| most.len() >= FEWEST_ALIKE)?;
        let inner = middle(most.clone())?;
        if matches!(inner, Self::Break { .. }) {
            return Some(Known::by_one_edge(inner));
        }
        let off = |one: &Self| (one.size_mm() / inner.size_mm() - 1.0).abs();
        // Half of normal values lie within 0.6745 standard deviations.
        let spread = median(&mut most.iter().map(off).collect::<Vec<_>>())? / 0.6745;
        Some(Known { inner, sigma_share: (spread / (most.len() as f64).sqrt()).max(AGREED_SHARE) })
    }

    /// The one of each kind that is seen `off_px` across a station.
    fn through(stand: &Standpoint, station: &Station, off_px: f64) -> [Option<Self>; 2] {
        let (off, towards) = (off_px / station.px_per_mm, stand.towards_face_mm(station));
        let share = off / towards;
        let depth_mm = share * stand.height_mm / (1.0 - share);
        // A break of width w is seen `w (towards - height) / (height + w)` across.
        let width_mm = off * stand.height_mm / (towards - stand.height_mm - off);
        let known = |inner: Self| (inner.size_mm() > 0.0 && inner.size_mm() <= DEEPEST_MM).then_some(inner);
        // Straight above a hole either explains a ring within the rim: then a wall comes before a break that nobody made.
        [known(Self::Break { width_mm }), known(Self::FarEnd { depth_mm })]
    }
}

/// No flat part is thicker, mm (common practice, no source).
const DEEPEST_MM: f64 = 30.0;

/// A second step of a profile agrees with an inner edge that is so near, px: as near as points on an edge are taken for one.
const AGREES_PX: f64 = 0.5 * NEAR_PX;

/// Of the profiles that should show an inner edge at least this share must.
const LEAST_SEEN: f64 = 2.0 / 3.0;

/// Where the photo has it elsewhere, this share is enough.
const ALLOWED_SEEN: f64 = 0.33;

/// At least so many rims of a photo must agree on one, to this share.
pub(super) const FEWEST_ALIKE: usize = 3;
const ALIKE: f64 = 0.25;

/// And at least so many, so that it is no chance.
const FEWEST_SEEN: usize = 6;

/// What profiles show within the edge: for each its station and the distance of its second step, if it has one, px.
pub(super) type Beside = (Station, Option<f64>);

/// Of the profiles that should show an inner edge between `nearest_px` and `farthest_px` within, how many do, and how many
/// should.
fn support(
    stand: &Standpoint,
    beside: &[Beside],
    [nearest_px, farthest_px]: [f64; 2],
    inner: &Inner,
) -> (usize, usize) {
    let (mut seen, mut expected) = (0, 0);
    for (station, off_px) in beside {
        let at = inner.off_px(stand, station);
        if -at >= nearest_px && -at <= farthest_px {
            expected += 1;
            seen += usize::from(off_px.is_some_and(|off_px| (off_px - at).abs() < AGREES_PX));
        }
    }
    (seen, expected)
}

/// The inner edge on which most profiles agree; it is seen as one between two distances within, px.
pub(super) fn inner(stand: &Standpoint, beside: &[Beside], within_px: [f64; 2]) -> Option<Inner> {
    let offs = beside.iter().filter_map(|(station, off_px)| Some((station, off_px.filter(|off_px| *off_px < 0.0)?)));
    let all = offs.flat_map(|(station, off_px)| Inner::through(stand, station, off_px)).flatten();
    // Where it does not show although it should counts against it.
    let best = all.max_by_key(|one| {
        let (seen, expected) = support(stand, beside, within_px, one);
        3 * seen.cast_signed() - expected.cast_signed()
    })?;
    let (seen, expected) = support(stand, beside, within_px, &best);
    let agreeing = beside.iter().filter_map(|(station, off_px)| {
        let off_px = off_px.filter(|off_px| (off_px - best.off_px(stand, station)).abs() < AGREES_PX)?;
        Inner::through(stand, station, off_px).into_iter().flatten().find(|one| one.is_kind(best))
    });
    let found = middle(agreeing.collect())?;
    (seen >= FEWEST_SEEN && seen as f64 >= LEAST_SEEN * expected as f64).then_some(found)
}

/// The one of the middle size.
fn middle(mut all: Vec<Inner>) -> Option<Inner> {
    all.sort_by(|a, b| a.size_mm().total_cmp(&b.size_mm()));
    all.get(all.len() / 2).copied()
}

/// How wide a wall may show where it runs together with its edge, px: from what moves the edge by a tenth of a pixel up to
/// where two steps are told apart.
const WIDTHS_PX: [f64; 6] = [0.5, 0.8, 1.2, 1.6, 2.1, 2.7];

/// Gains of the profiles where the wall would show are believed from this many times those where it does not, each way and
/// from so many variances a profile: two levels more take away as many as there are channels by chance alone.
const GAIN_TIMES: f64 = 2.0;
const GAIN_A_PROFILE: f64 = 4.0;

/// A wall that shows so thin that it runs together with its edge.
///
/// Two steps that are nearer than the blur is wide look like one, a little wider or sharper and moved. Of one profile
/// that tells nothing, but the wall shows along one half and not along the other, which has the same blur and the same
/// surfaces: if two steps fit the one better, and not the other, it is the wall. `gains` says by how many variances two steps
/// so far apart fit a station's profile better than one.
pub(super) fn thin_wall(
    stand: &Standpoint,
    stations: &[Station],
    gains: impl Fn(&Station, [f64; WIDTHS_PX.len()]) -> Option<[f64; WIDTHS_PX.len()]>,
) -> Option<Inner> {
    let by_depth = |station: &Station| -Inner::FarEnd { depth_mm: 1.0 }.off_px(stand, station);
    let most = stations.iter().max_by(|a, b| by_depth(a).total_cmp(&by_depth(b)))?;
    let widest = by_depth(most);
    if widest <= 0.0 {
        return None;
    }
    let mean = |is_chosen: &dyn Fn(f64) -> bool, share: &dyn Fn(f64) -> f64| {
        let chosen = stations.iter().filter(|station| is_chosen(by_depth(station))).step_by(2);
        let all: Vec<_> = chosen
            .filter_map(|station| gains(station, WIDTHS_PX.map(|width| width * share(by_depth(station)))))
            .collect();
        let count = all.len();
        let sums = all.iter().fold([0.0; WIDTHS_PX.len()], |sums, gains| std::array::from_fn(|i| sums[i] + gains[i]));
        (count >= FEWEST_SEEN).then(|| sums.map(|sum| sum / count as f64))
    };
    let shown = mean(&|width| width > 0.5 * widest, &|width| width / widest)?;
    let hidden = mean(&|width| width < 0.0, &|_| 1.0)?;
    let (number, gain) = shown.into_iter().enumerate().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let chance = hidden.into_iter().fold(0.0, f64::max);
    let is_told = gain > GAIN_A_PROFILE + GAIN_TIMES * chance;
    let [_, wall] = Inner::through(stand, most, -WIDTHS_PX[number]);
    wall.filter(|_| is_told)
}

/// Whether an inner edge that the photo has elsewhere may be here too.
pub(super) fn allows(stand: &Standpoint, beside: &[Beside], within_px: [f64; 2], inner: &Inner) -> bool {
    let (seen, expected) = support(stand, beside, within_px, inner);
    seen as f64 >= ALLOWED_SEEN * expected as f64
}

/// Whether an inner edge is seen where it should be.
pub(super) fn shows(stand: &Standpoint, beside: &[Beside], within_px: [f64; 2], inner: &Inner) -> bool {
    let (seen, expected) = support(stand, beside, within_px, inner);
    seen as f64 >= LEAST_SEEN * expected as f64
}

/// A second curve in what lies off the first, if at least half of it is seen.
pub(super) fn other<C: Curve>(first: &C, crossings: &[Crossing]) -> Option<C> {
    let off = |curve: &C, crossing: &Crossing, plate| curve.off_mm(plate) * crossing.station.px_per_mm;
    let mut others = crossings.to_vec();
    for crossing in &mut others {
        let station = crossing.station;
        crossing.candidates.retain(|candidate| (first.off_mm(candidate.plate) * station.px_per_mm).abs() > APART_PX);
        // The second edge has no face beside it.
        for candidate in &mut crossing.candidates {
            candidate.face_edge = candidate.change;
        }
    }
    let second = best(first, &others, f64::INFINITY)?.curve;
    let on = |crossing: &&Crossing| {
        crossing.candidates.iter().any(|candidate| off(&second, crossing, candidate.plate).abs() < AGREES_PX)
    };
    let seen = others.iter().filter(on).count() as f64;
    (seen >= 0.5 * crossings.len() as f64).then_some(second)
}

#[cfg(test)]
mod tests {
    use super::super::curve::Circle;
    use super::*;
    use crate::camera::{Lens, Pose};
    use crate::space::PhotoPoint;

    fn tilted() -> PlateMap {
        let lens = Lens::pinhole(3000.0, PhotoPoint::new(2000.0, 1500.0));
        PlateMap::new(lens, Pose { distance_mm: 300.0, tilt_a_rad: 0.2, tilt_b_rad: -0.1 })
    }

    fn stations(map: &PlateMap) -> Vec<Station> {
        let circle = Circle { centre: PlatePoint::new(20.0, -10.0), radius_mm: 5.0 };
        (0..32).filter_map(|i| Station::new(map, &circle, f64::from(i) / 32.0)).collect()
    }

    #[test]
    fn what_is_seen_tells_what_it_is() {
        let map = tilted();
        let stand = Standpoint::of(&map);
        for station in stations(&map) {
            for inner in [Inner::Break { width_mm: 0.4 }, Inner::FarEnd { depth_mm: 6.0 }] {
                let back = Inner::through(&stand, &station, inner.off_px(&stand, &station)).into_iter().flatten();
                let alike: Vec<f64> = back.filter(|back| back.is_kind(inner)).map(|back| back.size_mm()).collect();
                assert_eq!(alike.len(), 1, "{inner:?} at {:?}", station.at);
                assert!((alike[0] - inner.size_mm()).abs() < 1e-9, "{inner:?}: {alike:?}");
            }
        }
    }

    #[test]
    fn profiles_tell_a_break_from_a_wall() {
        let map = tilted();
        let (stand, stations) = (Standpoint::of(&map), stations(&map));
        for truth in [Inner::Break { width_mm: 0.4 }, Inner::FarEnd { depth_mm: 2.5 }] {
            let shown = |station: &Station| Some(truth.off_px(&stand, station)).filter(|off| *off < -2.0);
            // Every fourth profile shows something else.
            let one = |(number, station): (usize, &Station)| {
                (*station, if number % 4 == 0 { Some(-5.5) } else { shown(station) })
            };
            let beside: Vec<Beside> = stations.iter().enumerate().map(one).collect();
            let found = inner(&stand, &beside, [2.0, 8.0]).unwrap();
            assert!(found.is_kind(truth) && (found.size_mm() / truth.size_mm() - 1.0).abs() < 1e-9, "{found:?}");
            assert!(allows(&stand, &beside, [2.0, 8.0], &truth), "{truth:?} is there");
        }
        let nothing: Vec<Beside> = stations.iter().map(|station| (*station, None)).collect();
        assert_eq!(inner(&stand, &nothing, [2.0, 8.0]), None, "no second step");
        assert!(!allows(&stand, &nothing, [2.0, 8.0], &Inner::Break { width_mm: 0.4 }), "it would show");
    }

    #[test]
    fn a_photo_has_what_most_of_its_rims_have() {
        let depth = |depth_mm| Inner::FarEnd { depth_mm };
        let all = [depth(4.1), Inner::Break { width_mm: 0.5 }, depth(4.0), depth(9.0), depth(3.8)];
        let known = Inner::of_photo(&all).unwrap();
        assert_eq!(known.inner, depth(4.0), "three of about 4 mm");
        assert!(known.is_agreed_far_end(), "{known:?}");
        assert_eq!(Inner::of_photo(&all[..3]), None, "two are not enough");
    }
}
