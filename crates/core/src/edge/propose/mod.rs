//! The outline and the openings of the face, from one click on it.
//!
//! 1. On the photo shrunk to about a thousand px the cells that show the face are told from the rest ([`region`]).
//! 2. Their boundaries ([`boundary`]) are the rough ways of edges, found and measured as those between nodes are
//!    ([`super::follow`]).

mod boundary;
mod nodes;
mod region;

#[cfg(test)]
mod tests;

use super::follow::{FaceSide, Measured, Outcome, Polyline, Tones, along, measured};
use super::others::{Level, levels};
use super::picture::Picture;
use super::second::Walls;
use crate::camera::PlateMap;
use crate::space::{PhotoPoint, PlatePoint};
use boundary::{Cells, Over};
use region::Tinted;

/// A proposed outline.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// The outer contour of the face as a closed chain of places on its edge, counter-clockwise as it is seen, up to a dozen px
    /// from each to the next and nearer at corners, sharp ones where their sides cross; the last leads back to the first.
    pub outer: Vec<PhotoPoint>,
    /// Openings that are not among the known holes, each as such a chain, clockwise.
    pub openings: Vec<Vec<PhotoPoint>>,
}

impl Proposal {
    /// The few nodes of each chain, the outline's first and then the openings', as a person would have clicked them: corners,
    /// and what bends need between them. [`super::follow_edge`] measures the edge between them, with the face on the left.
    pub fn nodes(&self) -> Vec<Vec<PhotoPoint>> {
        std::iter::once(&self.outer).chain(&self.openings).map(|chain| nodes::thinned(chain)).collect()
    }
}

/// The face is told from the rest where the photo's longer side has no more cells than this.
const MOST_CELLS: usize = 1100;

/// A known hole reaches so many cells beyond its rim: its wall and its shaded edge.
const HOLE_MARGIN: f64 = 2.0;

/// An opening has at least so many cells and this share of those of the face: less is dirt.
const LEAST_OPENING: usize = 60;
const LEAST_OPENING_SHARE: f64 = 5e-4;

/// More of an opening than this belongs to known holes: it is one.
const KNOWN_SHARE: f64 = 0.3;

/// The edge is looked for so many cells, and px, from the boundary of the cells.
const REACH_CELLS: f64 = 2.5;
const REACH_PX: f64 = 4.0;

/// Corners of cells to each side whose mean stands for one: a boundary of cells has stairs.
const SMOOTHED_CORNERS: usize = 2;

/// Proposes the outline of the face that was clicked at `inside`, and its openings but for the `holes` that are known, each with
/// its centre and radius, mm. What `walls` are for [`super::follow_edge`] tells.
///
/// `go_on` is told how much is done, 0 to 1, and says whether to go on. `None` where it does not, where the click is not in
/// the photo, and where no face about it ends within the photo.
pub fn propose_outline(
    picture: &Picture,
    map: &PlateMap,
    inside: PhotoPoint,
    holes: &[(PlatePoint, f64)],
    walls: Option<Walls>,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Option<Proposal> {
    if !picture.holds(inside, 0.0) || !go_on(0.0) {
        return None;
    }
    let levels = levels(picture);
    let level = levels.iter().find(|level| level.size[0].max(level.size[1]) <= MOST_CELLS).or(levels.last())?;
    if !go_on(0.2) {
        return None;
    }
    let known = known(level, map, holes);
    let face = Tinted::new(level).face(cell_of(level, inside), &known)?;
    if !go_on(0.6) {
        return None;
    }
    let filled = face.filled().smoothed();
    let outer = largest_part(&filled)?;
    let least = LEAST_OPENING.max((LEAST_OPENING_SHARE * outer.count() as f64) as usize);
    let openings = openings(&face, &outer, &known, least);
    let tones = Tones::new(picture);
    let mut chains = Vec::with_capacity(1 + openings.len());
    for (number, cells) in std::iter::once(&outer).chain(&openings).enumerate() {
        let mut corners = cells.boundary();
        if number == 0 {
            // The face on the left of its way, as it is of an opening's.
            corners.reverse();
        }
        chains.push(refined((picture, map, walls), &tones, level, &corners));
        if !go_on(0.6 + 0.4 * (number + 1) as f64 / (openings.len() + 1) as f64) {
            return None;
        }
    }
    let mut chains = chains.into_iter();
    Some(Proposal { outer: chains.next()?, openings: chains.filter(|chain| chain.len() > 2).collect() })
}

/// The cell that holds a place of the photo.
fn cell_of(level: &Level, place: PhotoPoint) -> usize {
    let [x, y] = [(place.x, level.size[0]), (place.y, level.size[1])]
        .map(|(value, side)| (((value + 0.5) / level.pixel_px) as usize).min(side - 1));
    y * level.size[0] + x
}

/// The cells of known holes.
fn known(level: &Level, map: &PlateMap, holes: &[(PlatePoint, f64)]) -> Cells {
    let mut cells = Cells::none(level.size);
    let [width, height] = level.size;
    for (centre, radius_mm) in holes {
        let Some(seen) = map.photo_from_plate(*centre) else { continue };
        let radius_px = radius_mm * map.px_per_mm(*centre) + HOLE_MARGIN * level.pixel_px;
        let span = |at: f64, side: usize| {
            let end = |off: f64| ((at + off) / level.pixel_px).clamp(0.0, (side - 1) as f64) as usize;
            end(-radius_px)..=end(radius_px)
        };
        for y in span(seen.y, height) {
            for x in span(seen.x, width) {
                if level.photo([x as f64, y as f64]).distance(seen) < radius_px {
                    cells.inside[y * width + x] = true;
                }
            }
        }
    }
    cells
}

/// The largest part of a set that hangs together; `None` of no cells.
fn largest_part(cells: &Cells) -> Option<Cells> {
    parts(cells).into_iter().max_by_key(Cells::count)
}

/// The parts of a set that hang together, from the top down.
fn parts(cells: &Cells) -> Vec<Cells> {
    let mut left = cells.clone();
    let mut parts = Vec::new();
    while let Some(first) = left.inside.iter().position(|is_in| *is_in) {
        let part = Cells::flood(cells.size, std::iter::once(first), Over::Sides, |cell| left.inside[cell]);
        for (left, is_in) in left.inside.iter_mut().zip(&part.inside) {
            *left &= !is_in;
        }
        parts.push(part);
    }
    parts
}

/// The openings in the face that are large enough and no known holes.
fn openings(face: &Cells, outer: &Cells, known: &Cells, least: usize) -> Vec<Cells> {
    let through = Cells {
        size: face.size,
        inside: outer.inside.iter().zip(&face.inside).map(|(is_in, is_face)| *is_in && !is_face).collect(),
    };
    let is_new = |cells: &Cells| {
        let shared = cells.inside.iter().zip(&known.inside).filter(|(is_in, is_known)| **is_in && **is_known).count();
        let count = cells.count();
        count >= least && (shared as f64) < KNOWN_SHARE * count as f64 && !meets_outside(cells, outer)
    };
    parts(&through.smoothed()).into_iter().filter(is_new).collect()
}

/// Whether some cells lie beside one that is not within the outline: a notch in it, no opening.
fn meets_outside(cells: &Cells, outer: &Cells) -> bool {
    let width = cells.size[0];
    let beside = |cell: usize| [cell.wrapping_sub(1), cell + 1, cell.wrapping_sub(width), cell + width];
    let is_out = |cell: usize| outer.inside.get(cell).is_none_or(|is_in| !is_in);
    cells.inside.iter().enumerate().any(|(cell, is_in)| *is_in && beside(cell).into_iter().any(is_out))
}

/// The face's edge along a boundary of cells, with the face on its left.
fn refined(
    (picture, map, walls): (&Picture, &PlateMap, Option<Walls>),
    tones: &Tones,
    level: &Level,
    corners: &[[usize; 2]],
) -> Vec<PhotoPoint> {
    let place = |corner: &[usize; 2]| (level.photo(corner.map(|value| value as f64 - 0.5)), 0);
    let rough = Polyline { points: corners.iter().map(place).collect(), closed: true };
    let reach_px = REACH_CELLS * level.pixel_px + REACH_PX;
    let way = along(tones, &rough.smoothed(SMOOTHED_CORNERS), FaceSide::Left, reach_px);
    let Measured { outcomes, raised } = measured(picture, map, &way, FaceSide::Left, walls);
    let mut chain = Vec::new();
    for (number, (_, outcome)) in outcomes.iter().enumerate() {
        match (outcome, raised.get(number).copied().flatten()) {
            (Outcome::Point(point), _) => chain.push(point.at),
            (Outcome::Rejected(_), Some(at)) => chain.push(at),
            // Where nothing was measured, at corners above all, the way itself is the best that there is.
            (Outcome::Rejected(_), None) => {
                let span = |number: usize| number * way.points.len() / outcomes.len();
                let points = &way.points[span(number)..span(number + 1)];
                chain.extend(points.iter().map(|(at, _)| *at));
            }
        }
    }
    nodes::sharpened(chain)
}
