//! The face is nowhere cut off at white or black where a rim runs.
//!
//! Model: of what is cut off elsewhere nothing depends, so that it is shown and costs nothing. At a rim there are three cases:
//! - Measured and beside white: those places gave no point; `glare` speaks of them.
//! - Measured and in black: they gave none either; their cost is what the ± would lose with them (adjusted anew).
//! - Clicked beside white: the eye takes half of the light that is left for half of the step. Of a face that is a stop over
//!   white it sits where a Gaussian edge has a quarter of its light, 0.674 blurs towards the hole. A circle through places
//!   off by `b_i` along their radii is off by `2/n sum of b_i (cos, sin)` (least squares round a whole circle, derived here).
//!   That comes on top of the ±. How far over white a face is, nobody can see; a stop is common practice, no source.

use super::glare::{self, give_back};
use super::{Advice, Case, Place};
use crate::edge::{Clipped, CutOff, Rejection, Tile};
use crate::job::Role;
use crate::solution::HoleFit;
use crate::space::{PhotoPoint, PlatePoint, PlateVec};

pub(super) const NAME: &str = "Clipped areas";

/// Where a Gaussian edge has a quarter of its light, blurs: quantile 0.75 of the normal distribution.
const QUARTER_BLURS: f64 = 0.674_489_750_196_081_7;

/// Blur where none was measured, px.
const USUAL_BLUR_PX: f64 = 0.9;

/// Places looked at round a rim that was clicked, and how far outside it, px: beyond the blur of its edge.
const AROUND: usize = 24;
const OUTSIDE_PX: f64 = 3.0;

/// A tile is cut off where at least this share of it is, and so many patches of them are shown.
const TILE_SHARE: f64 = 0.5;
const MOST_PATCHES: usize = 8;

pub(super) fn advise(case: &Case<'_>) -> Advice {
    let face = Face::of(case);
    let on_face: Vec<Tile> = case.file.clipped.tiles().filter(|tile| tile.white + tile.black > 0.0).collect();
    let on_face: Vec<Tile> = on_face.into_iter().filter(|tile| face.holds(case, tile.middle)).collect();
    let share = |of: fn(&Tile) -> f64| 100.0 * on_face.iter().map(of).sum::<f64>() / face.area_px.max(1.0);
    let (white, black) = (share(|tile| tile.white).min(100.0), share(|tile| tile.black).min(100.0));
    let is_black = |at: Option<PhotoPoint>| at.and_then(|at| case.picture?.cut_off(at)) == Some(CutOff::Black);
    let lost = glare::lost(case, |rejected| rejected.reason == Rejection::NoContrast && is_black(rejected.at));
    let gain = case.sharper.gain(|problem| give_back(problem, case, &lost));
    let (clicked, moved_mm) = case.worst(|hole| if hole.is_measured { 0.0 } else { moved_mm(case, hole) });
    let (hole, cost_mm) =
        if moved_mm > gain.mm { (clicked, moved_mm) } else { (&case.solution.holes[gain.hole], gain.mm) };
    let parts = match (white >= SAID_PERCENT, black >= SAID_PERCENT) {
        (false, false) => "Nothing of the face is cut off at white or black".to_owned(),
        (true, false) => format!("{white:.1} % of the face is cut off at white"),
        (false, true) => format!("{black:.1} % of the face is cut off at black"),
        (true, true) => format!("{white:.1} % of the face is cut off at white and {black:.1} % at black"),
    };
    let text = match cost_mm {
        cost if cost > 0.0 => format!("{parts}, and the rim of {} runs through it.", case.name(hole)),
        _ if white.max(black) >= SAID_PERCENT => format!("{parts}, none of it at a rim."),
        _ => format!("{parts}."),
    };
    let way_out = "Darken the picture by a stop before you take it, shade the lamp, or light the dark side with paper.";
    let at_rim: Vec<Place> = if cost_mm > 0.0 { case.place(hole).into_iter().collect() } else { Vec::new() };
    let columns = case.file.clipped.columns();
    case.advice(NAME, cost_mm, hole, text, way_out).at(at_rim.into_iter().chain(patches(&on_face, columns)))
}

/// A smaller share of the face is not spoken of, %.
const SAID_PERCENT: f64 = 0.05;

/// The face in the photo, without its holes and openings.
struct Face {
    outline: Vec<PlatePoint>,
    openings: Vec<Vec<PlatePoint>>,
    area_px: f64,
}

impl Face {
    fn of(case: &Case<'_>) -> Self {
        let openings = case.solution.contours.iter().filter(|c| c.role == Role::Opening && c.cut.closed);
        let openings: Vec<Vec<PlatePoint>> = openings.map(|c| c.cut.sampled(super::FACE_CHORD_MM)).collect();
        let outline = case.face();
        let holes = case.solution.holes.iter().map(|hole| {
            let radius_px = 0.5 * hole.rim_diameter_mm * case.map.px_per_mm(hole.centre);
            std::f64::consts::PI * radius_px * radius_px
        });
        let cut_out = openings.iter().map(|opening| area_px(case, opening)).sum::<f64>() + holes.sum::<f64>();
        Self { area_px: area_px(case, &outline) - cut_out, outline, openings }
    }

    /// A place of the photo lies on it.
    fn holds(&self, case: &Case<'_>, at: PhotoPoint) -> bool {
        let Some(plate) = case.map.plate_from_photo(at) else { return false };
        let tile_mm = Clipped::TILE_PX / case.map.px_per_mm(plate);
        let in_hole = |hole: &HoleFit| plate.distance(hole.centre) < 0.5 * hole.rim_diameter_mm + 0.5 * tile_mm;
        is_inside(&self.outline, plate)
            && !self.openings.iter().any(|opening| is_inside(opening, plate))
            && !case.solution.holes.iter().any(in_hole)
    }
}

/// Area of a polygon of the plate as it is seen, px² (shoelace formula).
fn area_px(case: &Case<'_>, corners: &[PlatePoint]) -> f64 {
    let seen: Vec<PhotoPoint> = corners.iter().filter_map(|corner| case.map.photo_from_plate(*corner)).collect();
    let next = seen.iter().cycle().skip(1);
    0.5 * seen.iter().zip(next).map(|(a, b)| a.x * b.y - b.x * a.y).sum::<f64>().abs()
}

/// The crossing-number rule (Shimrat 1962).
fn is_inside(corners: &[PlatePoint], at: PlatePoint) -> bool {
    let next = corners.iter().cycle().skip(1);
    let crosses = |(a, b): &(&PlatePoint, &PlatePoint)| {
        (a.y > at.y) != (b.y > at.y) && at.x < a.x + (at.y - a.y) / (b.y - a.y) * (b.x - a.x)
    };
    corners.iter().zip(next).filter(crosses).count() % 2 == 1
}

/// How far the eye puts a clicked hole aside where part of its rim lies beside white, mm.
fn moved_mm(case: &Case<'_>, hole: &HoleFit) -> f64 {
    let Some(picture) = case.picture else { return 0.0 };
    let px_per_mm = case.map.px_per_mm(hole.centre);
    let found = case.rim_seen(hole).and_then(|seen| seen.found.as_ref().ok());
    let off_px = QUARTER_BLURS * found.map_or(USUAL_BLUR_PX, |found| found.blur_px);
    let outside_mm = 0.5 * hole.rim_diameter_mm + OUTSIDE_PX / px_per_mm;
    let directions = (0..AROUND).map(|i| PlateVec::from_angle(i as f64 / AROUND as f64 * std::f64::consts::TAU));
    let is_white = |way: &PlateVec| {
        let at = case.map.photo_from_plate(hole.centre + *way * outside_mm);
        at.and_then(|at| picture.cut_off(at)) == Some(CutOff::White)
    };
    let sum = directions.filter(is_white).fold(PlateVec::default(), |sum, way| sum + way);
    2.0 / AROUND as f64 * sum.length() * off_px / px_per_mm
}

/// Patches of tiles that are cut off, the largest first.
fn patches(tiles: &[Tile], columns: usize) -> Vec<Place> {
    let is_cut_off = |tile: &&Tile| tile.white.max(tile.black) >= TILE_SHARE * tile.pixels;
    let mut open: std::collections::BTreeMap<usize, &Tile> =
        tiles.iter().filter(is_cut_off).map(|tile| (tile.number[0] + columns * tile.number[1], tile)).collect();
    let mut found: Vec<Vec<PhotoPoint>> = Vec::new();
    while let Some((_, first)) = open.pop_first() {
        let (mut patch, mut reached) = (Vec::new(), vec![first]);
        while let Some(tile) = reached.pop() {
            patch.push(tile.middle);
            let [x, y] = tile.number;
            let beside = [(x + 1, y), (x.wrapping_sub(1), y), (x, y + 1), (x, y.wrapping_sub(1))];
            let inside = beside.into_iter().filter(|(x, _)| *x < columns);
            reached.extend(inside.filter_map(|(x, y)| open.remove(&(x.wrapping_add(columns.wrapping_mul(y))))));
        }
        found.push(patch);
    }
    found.sort_by_key(|patch| std::cmp::Reverse(patch.len()));
    let place = |patch: &Vec<PhotoPoint>| {
        let place = super::around(patch)?;
        Some(Place { across_px: place.across_px + Clipped::TILE_PX, ..place })
    };
    found.iter().take(MOST_PATCHES).filter_map(place).collect()
}
