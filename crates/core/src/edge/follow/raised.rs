//! The way brought up from the foot of the wall to the rim.
//!
//! Where the wall looks at the camera and like the face, what is followed is its far end, or something between the two.
//! How far the far end is seen within the rim the thickness of the part tells: so each profile is asked how well a rim at
//! each of some places fits, with the far end so far within. One profile may fit at two of them, where a wall like the face
//! or a wall like the ground shows but one step; of these the wall has the face's colour, as both are one material. The
//! smooth chain of places that fits best all along is the rim. It is taken only where some profiles leave no doubt that the
//! way is not on the rim: colours alone may deceive.

use super::super::reading::{Reading, RimTried};
use super::super::second::{Standpoint, Walls};
use super::super::station::Station;
use super::chain::Scores;
use super::places::{Place, Readers};

/// A wall that shows by less is left where it is, px.
const SHOWS_PX: f64 = 0.6;

/// A rim is tried at places so far apart, from so far within the way to so far beyond a wall that shows above it, px.
const CELL_PX: f64 = 0.5;
const BEYOND_PX: f64 = 1.5;

/// A misfit of so many variances counts half.
const HALF_MISFIT: f64 = 60.0;

/// What a wall with the ground's colour takes away, and what a rim does that is not where the way is.
const UNLIKE_COSTS: f64 = 0.5;
const MOVED_COSTS: f64 = 0.1;

/// Scores are made so much smaller, against what the steps of a chain take away.
const AGAINST_STEPS: f64 = 0.25;

/// Rows that the chain may move from place to place.
const MOST_STEP: usize = 2;

/// A closed way runs on by so many places at both ends, so that its seam is no end.
const SEAM: usize = 32;

/// A profile leaves no doubt where a rim on the way fits worse by so many variances than one above it, and so many have to: of
/// those of the gasket's opening among the rendered photos 14 and more do, and no more than seven of those of the gearbox cover's
/// broken edge, where the way is on the rim.
const SURE: f64 = 50.0;
const FEWEST_SURE: usize = 10;

/// How well a place of the chain is known, px.
const SIGMA_PX: f64 = 0.25;

/// Where the rim is at each place, as readings, and how the light above the wall is to be read; `None` where the way is the
/// rim as far as the profiles tell.
pub(super) fn raised<'a>(
    places: &[Place],
    readers: &Readers<'a>,
    stand: &Standpoint,
    walls: &Walls,
    closed: bool,
) -> Option<(Vec<Reading>, Readers<'a>)> {
    let depth = walls.known().inner;
    let shown = |place: &Place| {
        let station = *place.station.as_ref().ok()?;
        Some((station, -depth.off_px(stand, &station))).filter(|(_, width_px)| *width_px > SHOWS_PX)
    };
    let shown: Vec<Option<(Station, f64)>> = places.iter().map(shown).collect();
    let widest_px = shown.iter().flatten().map(|(_, width_px)| *width_px).reduce(f64::max)?;
    let readers = readers.above_wall(&shown.iter().flatten().copied().collect::<Vec<_>>(), walls.blur_px)?;
    let rows = ((widest_px + 2.0 * BEYOND_PX) / CELL_PX) as usize + 1;
    let tried = |(place, shown): (&Place, &Option<(Station, f64)>)| {
        let (station, width_px) = (*shown)?;
        let offs = (0..rows).map(|row| off_px(row as f64)).take_while(|off_px| *off_px <= width_px + BEYOND_PX);
        readers.of(place).rims(&station, width_px, &offs.collect::<Vec<_>>())
    };
    let tried: Vec<Option<Vec<RimTried>>> = places.iter().zip(&shown).map(tried).collect();
    if tried.iter().flatten().filter(|tried| is_sure(tried)).count() < FEWEST_SURE {
        return None;
    }
    let told = places.iter().zip(&shown).zip(&tried).map(|((place, shown), tried)| match tried {
        Some(tried) => Told::Tried(tried),
        None if place.station.is_ok() && shown.is_none() => Told::Stays,
        None => Told::Nothing,
    });
    let cells: Vec<f32> = told.flat_map(|told| cells(&told, rows)).collect();
    let seam = if closed { SEAM.min(places.len()) * rows } else { 0 };
    let cells = [&cells[cells.len() - seam..], cells.as_slice(), &cells[..seam]].concat();
    let chain = Scores { rows, cells }.best_chain(MOST_STEP);
    let reading = |(place, row): (&Place, &f64)| match &place.station {
        Ok(station) => {
            Reading::Step { station: *station, off_px: off_px(*row), sigma_px: SIGMA_PX, contrast: 0.0, other_px: None }
        }
        Err(rejected) => Reading::Rejected(*rejected),
    };
    Some((places.iter().zip(chain.iter().skip(seam / rows)).map(reading).collect(), readers))
}

/// Where a row is, px towards the face.
fn off_px(row: f64) -> f64 {
    row * CELL_PX - BEYOND_PX
}

/// A rim above the way fits a profile, and none on the way does.
fn is_sure(tried: &[RimTried]) -> bool {
    let least = |is_meant: fn(f64) -> bool| {
        let meant = tried.iter().enumerate().filter(|(row, _)| is_meant(off_px(*row as f64)));
        meant.map(|(_, tried)| tried.misfit).fold(f64::INFINITY, f64::min)
    };
    least(|off_px| off_px.abs() <= CELL_PX) - least(|off_px| off_px > CELL_PX) > SURE
}

/// What one place tells of where the rim is.
enum Told<'a> {
    /// How well a rim in each row fits.
    Tried(&'a [RimTried]),
    /// No wall shows: the way stays.
    Stays,
    /// A corner, or a wall that is wider than a profile: its neighbours decide.
    Nothing,
}

/// The scores of the rows at one place.
fn cells(told: &Told, rows: usize) -> Vec<f32> {
    let score = |row: usize| {
        let off_px = off_px(row as f64);
        let all = match told {
            Told::Tried(all) => all,
            Told::Stays => return if off_px.abs() < 0.5 * CELL_PX { 1.0 } else { -1.0 },
            Told::Nothing => return 0.0,
        };
        let Some(tried) = all.get(row) else { return -1.0 };
        let fits = HALF_MISFIT / (HALF_MISFIT + tried.misfit);
        fits - UNLIKE_COSTS * tried.unlike - MOVED_COSTS * off_px.abs().min(1.0)
    };
    (0..rows).map(|row| (AGAINST_STEPS * score(row)) as f32).collect()
}
