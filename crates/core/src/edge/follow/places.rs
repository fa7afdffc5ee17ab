//! From the way of an edge to measured points on it.
//!
//! Profiles square to the way are read as those of a rim are. There is no circle or line to hold them together: what
//! holds a point to the edge is the smooth curve through its neighbours.

use super::super::picture::Picture;
use super::super::reading::{APART_PX, Gate, Reader, Reading, Rejected, Rejection};
use super::super::search::median;
use super::super::second::{Beside, Inner, Known, Standpoint, Walls, Within, inner, thin_wall};
use super::super::station::Station;
use super::super::trace::{EdgePoint, FINEST_PX, OFF_SIGMAS, neighbours_share};
use super::FaceSide;
use super::nearby::{Near, Parabola, parabola};
use super::polyline::Polyline;
use super::raised::raised;
use crate::camera::PlateMap;
use crate::space::PhotoPoint;

/// A profile each so many px.
pub(crate) const PROFILE_PX: f64 = 5.0;
/// Half the width of a profile, px.
const HALF_WIDTH_PX: f64 = 2.5;

/// An edge that turns by more than this from so many px before to so many after a place is no step there, rad: a corner,
/// or an arc of less than twenty-three px.
const TURNS_RAD: f64 = 0.44;
const TURN_PX: usize = 10;

/// So many profiles to each side make the smooth curve about a place.
const NEIGHBOURS: usize = 9;

/// Profiles that tell blur and noise of all, those of one piece, those that look for a second edge, and those that look for
/// one that runs together with the first.
const TELL_ALL: usize = 96;
const TELL_PIECE: usize = 32;
const TELL_INNER: usize = 128;
const TELL_THIN: usize = 48;

/// A point may lie off its neighbours' curve by so much before its own figures count, px.
const NEAREST_OFF_PX: f64 = 0.25;

/// No edge is seen to bend more than this, 1/px.
const MOST_BEND: f64 = 1.0 / 16.0;

/// What is at a place along the way.
#[derive(Debug, Clone, Copy)]
pub(in crate::edge) enum Outcome {
    Point(EdgePoint),
    Rejected(Rejected),
}

/// A place along the way.
pub(super) struct Place {
    piece: usize,
    /// Its number along the way; neighbours beyond a turn do not count.
    run: usize,
    pub(super) station: Result<Station, Rejected>,
}

/// Places along the way, each with its piece.
fn places(map: &PlateMap, way: &Polyline, face: FaceSide) -> Vec<Place> {
    let len = way.points.len();
    let count = (len as f64 / PROFILE_PX).floor() as usize;
    let mut run = 0;
    let smooth = way.smoothed(3);
    let mut place = |number: usize| {
        let index = ((number as f64 + 0.5) / count as f64 * len as f64) as usize;
        let (at, piece) = way.points[index.min(len - 1)];
        let rejected = |reason| Err(Rejected { at: Some(at), reason });
        let station = if smooth.turn_rad(index, TURN_PX) > TURNS_RAD {
            run += 1;
            rejected(Rejection::Turn)
        } else {
            let along = smooth.direction(index, TURN_PX);
            let station = along.and_then(|along| Station::seen(map, at, face.towards(along), 0.0));
            station.map_or_else(|| rejected(Rejection::OffPhoto), Ok)
        };
        Place { piece, run, station }
    };
    (0..count).map(&mut place).collect()
}

/// Reads the profile at each place.
fn read(places: &[Place], readers: &Readers, gate: Gate, inner: Option<(&Known, &Standpoint)>) -> Vec<Reading> {
    let look = |place: &Place| match &place.station {
        Ok(station) => readers.of(place).read(station, gate, inner.map(|(known, stand)| known.across(stand, station))),
        Err(rejected) => Reading::Rejected(*rejected),
    };
    places.iter().map(look).collect()
}

/// How the light is to be read along all of the way, and along its pieces.
pub(super) struct Readers<'a> {
    all: Reader<'a>,
    pieces: Vec<Option<Reader<'a>>>,
}

impl<'a> Readers<'a> {
    fn new(picture: &'a Picture<'a>, places: &[Place]) -> Option<Self> {
        let stations: Vec<Station> = places.iter().filter_map(|place| place.station.as_ref().ok().copied()).collect();
        let all = Reader::new(picture, &thinned(&stations, TELL_ALL), HALF_WIDTH_PX, None)?.with_glare();
        let blur = all.blur();
        let pieces = places.iter().map(|place| place.piece + 1).max().unwrap_or(0);
        let of_piece = |piece: usize| {
            let of = places.iter().filter(|place| place.piece == piece);
            let stations: Vec<Station> = of.filter_map(|place| place.station.as_ref().ok().copied()).collect();
            (stations.len() >= TELL_PIECE / 2)
                .then(|| Reader::new(picture, &thinned(&stations, TELL_PIECE), HALF_WIDTH_PX, Some(blur)))
                .flatten()
                .map(Reader::with_glare)
        };
        Some(Self { pieces: (0..pieces).map(of_piece).collect(), all })
    }

    /// With what the ground along the way is like.
    fn with_ground_told(self, places: &[(Station, Option<Within>)]) -> Self {
        let all = self.all.with_ground_told(places.iter().copied());
        let pieces = self.pieces.into_iter().map(|piece| piece.map(|reader| reader.with_ground_of(&all))).collect();
        Self { all, pieces }
    }

    /// One for all of the way, for edges above a wall with these widths.
    pub(super) fn above_wall(&self, widths: &[(Station, f64)], blur_px: f64) -> Option<Self> {
        Some(Self { all: self.all.above_wall(&thinned(widths, TELL_ALL), blur_px)?, pieces: Vec::new() })
    }

    /// Along the piece of a place.
    pub(super) fn of(&self, place: &Place) -> &Reader<'a> {
        self.pieces.get(place.piece).and_then(Option::as_ref).unwrap_or(&self.all)
    }
}

/// About `most` of some values, evenly.
fn thinned<T: Copy>(all: &[T], most: usize) -> Vec<T> {
    all.iter().step_by(all.len() / most + 1).copied().collect()
}

/// What was measured along a way.
pub(in crate::edge) struct Measured {
    /// For each place its piece and what is there.
    pub(in crate::edge) outcomes: Vec<(usize, Outcome)>,
    /// Where the places are after the way was brought up to the rim; empty where it stays.
    pub(in crate::edge) raised: Vec<Option<PhotoPoint>>,
}

/// Measures the edge along the way.
pub(in crate::edge) fn measured(
    picture: &Picture,
    map: &PlateMap,
    way: &Polyline,
    face: FaceSide,
    walls: Option<Walls>,
) -> Measured {
    let mut places = places(map, way, face);
    let Some(readers) = Readers::new(picture, &places) else {
        let none = |place: &Place| {
            let rejected = match &place.station {
                Ok(station) => Rejected { at: Some(station.at), reason: Rejection::NoContrast },
                Err(rejected) => *rejected,
            };
            (place.piece, Outcome::Rejected(rejected))
        };
        return Measured { outcomes: places.iter().map(none).collect(), raised: Vec::new() };
    };
    let stand = Standpoint::of(map);
    let first = read(&places, &readers, Gate::Outermost, None);
    let along = curves(&places, &first, way.closed);
    move_onto(&mut places, map, &along);
    let above = walls.and_then(|walls| Some((walls, raised(&places, &readers, &stand, &walls, way.closed)?)));
    let mut raised = Vec::new();
    let (readers, known) = if let Some((walls, (rims, readers))) = above {
        let along = curves(&places, &rims, way.closed);
        move_onto(&mut places, map, &along);
        raised.extend(places.iter().map(|place| Some(place.station.as_ref().ok()?.at)));
        (readers, Some(walls.known()))
    } else {
        let known = second_edge(&stand, &readers, &first).map(Known::by_one_edge);
        let across = |place: &Place| {
            let station = *place.station.as_ref().ok()?;
            Some((station, known.map(|known| known.across(&stand, &station))))
        };
        let told = thinned(&places.iter().filter_map(across).collect::<Vec<_>>(), TELL_ALL);
        (readers.with_ground_told(&told), known)
    };
    let second = read(&places, &readers, Gate::Nearest, known.as_ref().map(|known| (known, &stand)));
    Measured { outcomes: sorted(&places, &second, way.closed), raised }
}

/// The second edge within the way that its profiles show, if they do.
fn second_edge(stand: &Standpoint, readers: &Readers, first: &[Reading]) -> Option<Inner> {
    let beside: Vec<Beside> = thinned(&first.iter().filter_map(Reading::beside).collect::<Vec<_>>(), TELL_INNER);
    let within_px = [APART_PX, Gate::Outermost.inside_px(readers.all.blur().px)];
    inner(stand, &beside, within_px).or_else(|| {
        let stations: Vec<Station> =
            thinned(&beside.iter().map(|(station, _)| *station).collect::<Vec<_>>(), TELL_THIN);
        thin_wall(stand, &stations, |station, apart_px| readers.all.gains(station, apart_px))
    })
}

/// Moves the places onto the curves through their neighbours.
fn move_onto(places: &mut [Place], map: &PlateMap, curves: &[Option<Parabola>]) {
    for (place, curve) in places.iter_mut().zip(curves) {
        if let (Ok(station), Some(curve)) = (&place.station, curve)
            && let Some(moved) = moved(map, station, curve)
        {
            place.station = Ok(moved);
        }
    }
}

/// The station moved onto the curve through its neighbours.
fn moved(map: &PlateMap, station: &Station, curve: &Parabola) -> Option<Station> {
    let along = station.across.perp();
    let across = (station.across - along * curve.slope).unit()?;
    let bend = (-2.0 * curve.half_bend / (1.0 + curve.slope * curve.slope).powf(1.5)).clamp(-MOST_BEND, MOST_BEND);
    Station::seen(map, station.photo(curve.off_px), across, bend)
}

/// The curve through the neighbours of each place.
fn curves(places: &[Place], readings: &[Reading], closed: bool) -> Vec<Option<Parabola>> {
    let len = places.len();
    let last_run = places.last().map_or(0, |place| place.run);
    let curve = |index: usize| {
        let own = &places[index];
        let station = own.station.as_ref().ok()?;
        let along = station.across.perp();
        let mut near = Vec::with_capacity(2 * NEIGHBOURS + 1);
        for step in -NEIGHBOURS.cast_signed()..=NEIGHBOURS.cast_signed() {
            let at = index.cast_signed() + step;
            let wrapped = at.rem_euclid(len.cast_signed()).cast_unsigned();
            let is_seam = at != wrapped.cast_signed();
            if is_seam && (!closed || len <= 2 * NEIGHBOURS) {
                continue;
            }
            // A run goes on over the seam where it is the last one and the first.
            let run = places[wrapped].run;
            let is_same = if is_seam {
                (own.run == 0 || own.run == last_run)
                    && (run == 0 || run == last_run)
                    && (own.run != run || last_run == 0)
            } else {
                run == own.run
            };
            if !is_same {
                continue;
            }
            let Reading::Step { station: other, off_px, sigma_px, .. } = &readings[wrapped] else { continue };
            let way = other.photo(*off_px) - station.at;
            near.push(Near {
                along_px: way.dot(along),
                off_px: way.dot(station.across),
                sigma_px: sigma_px.hypot(FINEST_PX),
            });
        }
        parabola(&near)
    };
    (0..len).map(curve).collect()
}

/// Readings on their neighbours' curve, and the others.
fn sorted(places: &[Place], readings: &[Reading], closed: bool) -> Vec<(usize, Outcome)> {
    let curves = curves(places, readings, closed);
    let offs: Vec<Option<(f64, f64)>> = readings
        .iter()
        .zip(&curves)
        .map(|(reading, curve)| {
            let Reading::Step { off_px, sigma_px, .. } = reading else { return None };
            Some((off_px - curve.as_ref()?.off_px, sigma_px.hypot(FINEST_PX)))
        })
        .collect();
    let mut shares: Vec<f64> = offs.iter().flatten().map(|(off, sigma)| off.abs() / sigma).collect();
    let scatter = (median(&mut shares).unwrap_or(0.0) / 0.6745).max(1.0);
    let outcome = |((place, reading), off): ((&Place, &Reading), &Option<(f64, f64)>)| {
        let outcome = match (reading, off) {
            (Reading::Step { station, off_px, contrast, .. }, Some((off, sigma)))
                if off.abs() < (OFF_SIGMAS * scatter * sigma).max(NEAREST_OFF_PX) =>
            {
                let at = station.photo(*off_px);
                Outcome::Point(EdgePoint { at, sigma_px: sigma * scatter, off_px: *off, contrast: *contrast })
            }
            (Reading::Step { station, off_px, .. }, _) => {
                Outcome::Rejected(Rejected { at: Some(station.photo(*off_px)), reason: Rejection::OffCurve })
            }
            (Reading::Rejected(rejected), _) => Outcome::Rejected(*rejected),
        };
        (place.piece, outcome)
    };
    let mut all: Vec<(usize, Outcome)> = places.iter().zip(readings).zip(&offs).map(outcome).collect();
    let points: Vec<EdgePoint> = all.iter().filter_map(|(_, outcome)| outcome.point().copied()).collect();
    let factor = neighbours_share(&points);
    for (_, outcome) in &mut all {
        if let Outcome::Point(point) = outcome {
            point.sigma_px *= factor;
        }
    }
    all
}

impl Outcome {
    /// The measured point, if there is one.
    pub(in crate::edge) const fn point(&self) -> Option<&EdgePoint> {
        match self {
            Self::Point(point) => Some(point),
            Self::Rejected(_) => None,
        }
    }
}
