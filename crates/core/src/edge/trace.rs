//! From a rough curve to measured points on it.
//!
//! 1. The wide search finds the curve to a few tenths of a pixel.
//! 2. A few dozen wide profiles across it tell the blur there, together with that of the whole photo where it is known,
//!    and show the edge within it. All profiles then share the blur and know where the second step is: so two steps can
//!    be told apart that lie nearer than the blur is wide.
//! 3. Blurred steps are fitted to all profiles, now near ones, and the curve to the steps, robustly, until it stays.
//!
//! A blurred curved edge is seen nearer to the centre of its curvature, by the blur's variance over twice the radius
//! (0.05 px at 1 px of blur and 10 px of radius). Each point is put back by that, which leaves less than 2 % of it for
//! radii over five blurs.

use super::consensus::{NEAR_PX, Pull, best, pulled};
use super::curve::Curve;
use super::picture::Picture;
use super::reading::{APART_PX, Blur, Gate, Reader, Reading, Rejected, Rejection};
use super::search::{Candidate, Crossing, Reach, look_across, median};
use super::second::{Beside, Inner, Known, Standpoint, allows, inner, other, shows, thin_wall};
use super::station::{Station, seen_length_px};
use crate::camera::PlateMap;
use crate::space::PhotoPoint;

/// A measured place on an edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgePoint {
    /// Where it is in the photo, put back for the blur of a curved edge.
    pub at: PhotoPoint,
    /// Standard deviation across the edge, px: of the fit to the light and of the edge's own unevenness.
    pub sigma_px: f64,
    /// How far it lies off the fitted curve, px, towards the face.
    pub off_px: f64,
    /// Light of the face less the light beside it, of 1 for white.
    pub contrast: f64,
}

/// A measured curve.
#[derive(Debug, Clone)]
pub(super) struct Trace<C> {
    pub(super) curve: C,
    pub(super) points: Vec<EdgePoint>,
    pub(super) rejected: Vec<Rejected>,
    pub(super) blur: Blur,
    /// Root mean square of what the points scatter beyond the noise of their own light, px.
    pub(super) uneven_px: f64,
    /// The edge within it.
    pub(super) inner: Option<Inner>,
    /// Standard deviation of what all points share where they rest on the edge within, mean over them, px.
    pub(super) by_inner_px: f64,
    /// That edge is seen wherever it should be.
    pub(super) inner_shows: bool,
    /// Another curve that is seen over at least half of its length and is no edge within it.
    pub(super) other: Option<C>,
}

impl<C> Trace<C> {
    /// Root mean square of the points' distances from the curve, px.
    pub(super) fn rms_px(&self) -> f64 {
        let square_sum: f64 = self.points.iter().map(|point| point.off_px * point.off_px).sum();
        (square_sum / (self.points.len() as f64).max(1.0)).sqrt()
    }

    /// Share of the places along the curve that give a point.
    pub(super) fn used_share(&self) -> f64 {
        self.points.len() as f64 / ((self.points.len() + self.rejected.len()) as f64).max(1.0)
    }
}

/// Profiles along a curve: one for each so many px of its length, within limits.
const PROFILE_PX: f64 = 4.0;
const FEWEST_PROFILES: f64 = 12.0;
const MOST_PROFILES: f64 = 256.0;

/// Places of the wide search, and profiles of the first round.
const FEWEST_CROSSINGS: f64 = 24.0;
const MOST_CROSSINGS: f64 = 96.0;
const FIRST_PROFILES: f64 = 64.0;

/// A point farther off than this many standard deviations lies off the curve.
pub(super) const OFF_SIGMAS: f64 = 3.5;

/// No single point is known better than this, px: edges are uneven, and lens and sensor blur are not quite Gaussian. Beside
/// it a point counts by the noise of its own light: where the contrast is low the unevenness of the surfaces tells more.
pub(super) const FINEST_PX: f64 = 0.05;

/// A curve that moves by less than this in a round stays, px.
const STAYS_PX: f64 = 0.1;

/// A curve that moves by more than this in a round was not found by the search, px.
const RUNS_AWAY_PX: f64 = 4.0;

/// Neighbours are never taken to share more of their errors than this: beyond it the points scatter about another curve.
const MOST_SHARED: f64 = 0.6;

/// Swells on a round that tell of slower ones.
const SWELLS: u32 = 5;

/// How many values of independent points the swells are steadied by.
const SWELLS_EXPECTED: f64 = 2.0;

/// Errors are never taken to swell more than this.
const MOST_SWELLS: f64 = 3.0;

/// The most rounds over all profiles.
const MAX_ROUNDS: usize = 8;

/// Stations spread evenly over the curve.
fn stations<C: Curve>(map: &PlateMap, curve: &C, count: usize) -> impl Iterator<Item = Option<Station>> {
    (0..count).map(move |number| Station::new(map, curve, (number as f64 + 0.5) / count as f64))
}

/// Robust fit of the curve to readings; also how many times their own noise the readings scatter, at least once.
fn fitted<C: Curve>(start: &C, map: &PlateMap, readings: &[Reading]) -> Option<(C, f64)> {
    let seen: Vec<(Pull, f64)> = readings.iter().filter_map(|reading| pull(map, reading)).collect();
    let mut curve = *start;
    let mut scatter = 1.0;
    for _ in 0..10 {
        let off = |pull: &Pull| curve.off_mm(pull.plate) * pull.px_per_mm;
        let mut shares: Vec<f64> = seen.iter().map(|(pull, sigma)| off(pull).abs() / sigma).collect();
        scatter = (median(&mut shares)? / 0.6745).max(1.0);
        let pulls = seen.iter().map(|(pull, sigma)| {
            let variance = sigma * sigma * scatter * scatter;
            // Geman and McClure's weight, with a scale at which a point two and a half deviations off counts half.
            let off = off(pull) * off(pull) / variance / 15.0;
            Pull { weight: 1.0 / (variance * (1.0 + off) * (1.0 + off)), ..*pull }
        });
        let next = pulled(&curve, pulls)?;
        let moved =
            seen.iter().map(|(pull, _)| (next.off_mm(pull.plate) - curve.off_mm(pull.plate)).abs() * pull.px_per_mm);
        let moved = moved.fold(0.0, f64::max);
        curve = next;
        if moved < 1e-4 {
            break;
        }
    }
    Some((curve, scatter))
}

/// Where a reading lies on the plate, and its standard deviation.
fn pull(map: &PlateMap, reading: &Reading) -> Option<(Pull, f64)> {
    let Reading::Step { station, off_px, sigma_px, .. } = reading else { return None };
    let plate = map.plate_from_photo(station.photo(*off_px))?;
    Some((Pull { plate, px_per_mm: station.px_per_mm, weight: 1.0 }, sigma_px.hypot(FINEST_PX)))
}

/// How many profiles a curve of this seen length has, at most `most`, and half their width.
fn spread_profiles(length_px: f64, most: f64) -> (usize, f64) {
    let count = (length_px / PROFILE_PX).clamp(FEWEST_PROFILES, most).floor();
    (count as usize, 0.5 * (length_px / count).clamp(1.0, PROFILE_PX))
}

/// The curve nearest to `start` that the search supports best; `None` where nothing is there.
pub(super) fn found<C: Curve>(
    picture: &Picture,
    map: &PlateMap,
    start: &C,
    reach: Reach,
) -> Option<(C, Vec<Crossing>)> {
    let length = seen_length_px(map, start)?;
    let count = (length / PROFILE_PX).clamp(FEWEST_CROSSINGS, MOST_CROSSINGS) as usize;
    let crossings = look_across(picture, map, start, reach, count);
    let supported = best(start, &crossings, reach.inside_px.max(reach.outside_px))?;
    Some((supported.curve, crossings))
}

/// The stations of the first round and how the light along the curve is to be read.
fn first_look<'a, C: Curve>(
    picture: &'a Picture,
    map: &PlateMap,
    curve: &C,
    photo_blur: Option<Blur>,
) -> Option<(Vec<Station>, Reader<'a>)> {
    let (count, half_width) = spread_profiles(seen_length_px(map, curve)?, FIRST_PROFILES);
    let first: Vec<Station> = stations(map, curve, count).flatten().collect();
    let reader = Reader::new(picture, &first, half_width, photo_blur)?;
    Some((first, reader))
}

/// The blur that the profiles across a found curve tell; `None` where they show no step.
pub(super) fn blur_along<C: Curve>(picture: &Picture, map: &PlateMap, curve: &C) -> Option<Blur> {
    first_look(picture, map, curve, None).map(|(_, reader)| reader.blur())
}

/// What wide profiles across a found curve show.
#[derive(Clone)]
pub(super) struct Look<'a, C> {
    curve: C,
    crossings: Vec<Crossing>,
    reader: Reader<'a>,
    photo_blur: Option<Blur>,
    beside: Vec<Beside>,
    /// The edge within it.
    pub(super) inner: Option<Known>,
}

impl<'a, C: Curve> Look<'a, C> {
    /// Looks across a found curve, with what is known of the photo's blur; `None` where there is nothing.
    pub(super) fn new(
        picture: &'a Picture,
        map: &PlateMap,
        curve: &C,
        crossings: Vec<Crossing>,
        photo_blur: Option<Blur>,
    ) -> Option<Self> {
        let (first, reader) = first_look(picture, map, curve, photo_blur)?;
        let readings: Vec<Reading> = first.iter().map(|station| reader.read(station, Gate::Outermost, None)).collect();
        let beside: Vec<Beside> = readings.iter().filter_map(Reading::beside).collect();
        let (curve, _) = fitted(curve, map, &readings)?;
        let stand = Standpoint::of(map);
        let inner = inner(&stand, &beside, within_px(&reader)).map(Known::by_one_edge);
        Some(Self { curve, crossings, reader, photo_blur, beside, inner })
    }

    /// Takes the inner edge that the photo has elsewhere, where this curve shows none of its own and nothing against it.
    pub(super) fn with_photo_inner(self, map: &PlateMap, photo_inner: Option<Inner>) -> Self {
        let fits = |inner: &Inner| allows(&Standpoint::of(map), &self.beside, within_px(&self.reader), inner);
        let inner = match (self.inner, photo_inner.filter(fits).map(Known::by_one_edge)) {
            (Some(own), Some(photo)) if own.inner.is_kind(photo.inner) => Some(own),
            (own, photo) => photo.or(own),
        };
        Self { inner, ..self }
    }

    /// Looks once more by the half where no wall can show: where the wall is as light as the face its far end is taken for
    /// the edge along the other half, and the curve found lies between the two. `None` where that half shows too little.
    pub(super) fn by_hidden_half(&self, map: &PlateMap) -> Option<Self> {
        let (stand, mut look) = (Standpoint::of(map), self.clone());
        for gate in [Gate::Outermost, Gate::Nearest, Gate::Nearest] {
            let mut readings = look.readings(map, gate);
            readings.retain(|reading| reading.station().is_some_and(|at| Inner::is_wall_hidden(&stand, at)));
            look.curve = fitted(&look.curve, map, &readings)?.0;
        }
        look.beside = look.readings(map, Gate::Outermost).iter().filter_map(Reading::beside).collect();
        look.inner = inner(&stand, &look.beside, within_px(&look.reader)).map(Known::by_one_edge);
        Some(look)
    }

    /// Takes what was found where the wall can show for its far end, which is known; `None` where that makes no curve.
    pub(super) fn above_far_end(&self, map: &PlateMap, known: Known) -> Option<Self> {
        let stand = Standpoint::of(map);
        let mut readings = self.readings(map, Gate::Nearest);
        for reading in &mut readings {
            if let Reading::Step { station, off_px, .. } = reading {
                *off_px -= known.inner.off_px(&stand, station).min(0.0);
            }
        }
        let (curve, _) = fitted(&self.curve, map, &readings)?;
        Some(Self { curve, ..self.clone() })
    }

    /// The same with an inner edge that is known from elsewhere.
    pub(super) fn knowing(self, known: Known) -> Self {
        Self { inner: Some(known), ..self }
    }

    fn readings(&self, map: &PlateMap, gate: Gate) -> Vec<Reading> {
        let all = stations(map, &self.curve, self.beside.len()).flatten();
        all.map(|station| self.reader.read(&station, gate, None)).collect()
    }

    /// Measures the curve; `None` where it runs away.
    pub(super) fn trace(self, map: &PlateMap) -> Option<Trace<C>> {
        let Self { mut curve, crossings, reader, photo_blur, beside, inner } = self;
        let stand = Standpoint::of(map);
        let first: Vec<Station> = stations(map, &curve, beside.len()).flatten().collect();
        let thin = || thin_wall(&stand, &first, |station, apart_px| reader.gains(station, apart_px));
        let inner = inner.or_else(|| thin().map(Known::by_one_edge));
        let reader = match inner {
            Some(known) => reader.told_beside(&stand, &known.inner, first.clone(), photo_blur),
            None => reader,
        };
        let across = |station: &Station| (*station, inner.map(|known| known.across(&stand, station)));
        let reader = reader.with_ground_told(first.iter().map(across));
        let (count, half_width_px) = spread_profiles(seen_length_px(map, &curve)?, MOST_PROFILES);
        let reader = reader.with_half_width(half_width_px);
        let look = |station: Option<Station>| {
            let Some(station) = station else {
                return Reading::Rejected(Rejected { at: None, reason: Rejection::OffPhoto });
            };
            reader.read(&station, Gate::Nearest, inner.map(|known| known.across(&stand, &station)))
        };
        let mut readings = Vec::new();
        let mut scatter = 1.0;
        for _ in 0..MAX_ROUNDS {
            readings = stations(map, &curve, count).map(look).collect();
            let (next, next_scatter) = fitted(&curve, map, &readings)?;
            let moves = (0..8).map(|i| {
                let place = curve.place(f64::from(i) / 8.0).0;
                (next.off_mm(place) * map.px_per_mm(place)).abs()
            });
            let moved = moves.fold(0.0, f64::max);
            (curve, scatter) = (next, next_scatter);
            if moved < STAYS_PX {
                break;
            }
            if moved > RUNS_AWAY_PX {
                return None;
            }
        }
        let crossed = || beside.iter().map(crossing).collect::<Vec<_>>();
        let other =
            if inner.is_some() { None } else { other(&curve, &crossed()).or_else(|| other(&curve, &crossings)) };
        let (points, rejected, uneven_px) = sorted(&curve, map, &readings, scatter);
        let by_inner_px = inner.filter(Known::is_agreed).map_or(0.0, |known| {
            let offs = stations(map, &curve, count).flatten().map(|at| known.inner.off_px(&stand, &at).min(0.0));
            -known.sigma_share * offs.sum::<f64>() / count as f64
        });
        let inner = inner.map(|known| known.inner);
        let seen: Vec<Beside> = readings.iter().filter_map(Reading::beside).collect();
        let read_px = [APART_PX, reader.farthest_beside_px()];
        let inner_shows = inner.is_none_or(|inner| shows(&stand, &seen, read_px, &inner));
        Some(Trace { curve, points, rejected, blur: reader.blur(), uneven_px, inner, by_inner_px, inner_shows, other })
    }
}

/// Where within a curve an inner edge is seen as one, px.
fn within_px(reader: &Reader) -> [f64; 2] {
    [APART_PX, Gate::Outermost.inside_px(reader.blur().px)]
}

/// The step beside the curve's own, as a crossing.
fn crossing((station, off_px): &Beside) -> Crossing {
    let candidate = |off: f64| Candidate { plate: station.plate(off), change: 1.0, face_edge: 1.0 };
    Crossing { station: *station, candidates: off_px.map(candidate).into_iter().collect() }
}

/// Readings on the curve and the others, and what the points scatter beyond the noise of their own light.
fn sorted<C: Curve>(
    curve: &C,
    map: &PlateMap,
    readings: &[Reading],
    scatter: f64,
) -> (Vec<EdgePoint>, Vec<Rejected>, f64) {
    let (mut points, mut rejected) = (Vec::new(), Vec::new());
    let mut excess = 0.0;
    for reading in readings {
        let Reading::Step { station, off_px, sigma_px: noise_px, contrast, .. } = reading else {
            rejected.extend(reading.rejected());
            continue;
        };
        let at = station.photo(*off_px);
        let off_px = map.plate_from_photo(at).map(|plate| curve.off_mm(plate) * station.px_per_mm);
        let sigma_px = noise_px.hypot(FINEST_PX) * scatter;
        match off_px {
            Some(off_px) if off_px.abs() < OFF_SIGMAS * sigma_px => {
                excess += off_px * off_px - noise_px * noise_px;
                points.push(EdgePoint { at, sigma_px, off_px, contrast: *contrast });
            }
            _ => rejected.push(Rejected { at: Some(at), reason: Rejection::OffCurve }),
        }
    }
    let factor = neighbours_share(&points).max(swells(curve, map, &points)) * beyond_gate(&points);
    for point in &mut points {
        point.sigma_px *= factor;
    }
    let uneven_px = (excess / (points.len() as f64).max(1.0)).max(0.0).sqrt();
    (points, rejected, uneven_px)
}

/// How much larger the points' standard deviations are to be because none farther off than [`NEAR_PX`] is taken.
///
/// Points that say nothing spread evenly over what is taken, with a variance of a third of its half width squared, however
/// far they would lie without. As variances of scatter and gate limit each other, their inverses add.
fn beyond_gate(points: &[EdgePoint]) -> f64 {
    let square_sum: f64 = points.iter().map(|point| point.off_px * point.off_px).sum();
    let share = square_sum / (points.len() as f64).max(1.0) / (NEAR_PX * NEAR_PX / 3.0);
    (1.0 - share).max(0.1).sqrt().recip()
}

/// How much larger the points' standard deviations are to be because neighbours share part of their errors: of a chain
/// with correlation r from each to the next the mean has (1 + r) / (1 - r) times the variance of independent values.
pub(super) fn neighbours_share(points: &[EdgePoint]) -> f64 {
    let share = |point: &EdgePoint| point.off_px / point.sigma_px;
    let square_sum: f64 = points.iter().map(|point| share(point) * share(point)).sum();
    let beside: f64 = points.windows(2).map(|pair| share(&pair[0]) * share(&pair[1])).sum();
    let correlation = if square_sum > 0.0 { (beside / square_sum).clamp(0.0, MOST_SHARED) } else { 0.0 };
    ((1.0 + correlation) / (1.0 - correlation)).sqrt()
}

/// How much larger the points' standard deviations are to be because the errors swell slowly along the curve, as texture
/// and a change of the light do.
///
/// A shift of the curve is such an error itself, the slowest, and leaves no trace in the points' distances from the
/// curve. What errors leave at the next slowest swells, two to [`SWELLS`] on a round, says how much there is at the
/// slowest: of independent points each sine and cosine has the same share of the square sum.
fn swells<C: Curve>(curve: &C, map: &PlateMap, points: &[EdgePoint]) -> f64 {
    let places = points.iter().filter_map(|point| {
        let share = curve.share(map.plate_from_photo(point.at)?);
        Some((share * std::f64::consts::TAU, point.off_px / point.sigma_px))
    });
    let places: Vec<(f64, f64)> = places.collect();
    let n = places.len() as f64;
    if n < FEWEST_PROFILES {
        return 1.0;
    }
    let part = |number: u32| {
        let (sine, cosine) = places.iter().fold((0.0, 0.0), |(sine, cosine), (angle, off)| {
            let (s, c) = (angle * f64::from(number)).sin_cos();
            (sine + off * s, cosine + off * c)
        });
        2.0 * (sine * sine + cosine * cosine) / n
    };
    // Each part is the sum of two squares that are one of independent points.
    let found = (2..=SWELLS).map(part).sum::<f64>();
    let counted = 2.0 * f64::from(SWELLS - 1);
    ((found + SWELLS_EXPECTED) / (counted + SWELLS_EXPECTED)).sqrt().clamp(1.0, MOST_SWELLS)
}
