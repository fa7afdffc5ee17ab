//! The way of an edge to about a pixel, in a narrow band along a rough way.

use super::super::others::Tone;
use super::FaceSide;
use super::chain::Scores;
use super::face::Face;
use super::polyline::Polyline;
use super::tones::{Grid, Layout, Tones};
use crate::space::{PhotoPoint, PhotoVec};

/// Columns of the band up to so far away say what the face looks like.
const SURROUNDINGS: usize = 64;

/// And are asked anew every so many.
const ANEW: usize = 32;

/// The face ends of so many rows.
const ENDS: usize = 3;

/// A closed way runs on by so many columns at both ends, so that its seam is no end.
const SEAM: usize = 64;

/// A rough way is smoothed over so many px to each side, twice: its columns must not cross.
const SMOOTHED_PX: usize = 4;

/// The way of the face's edge within `half_width_px` of a rough way; a point each px.
pub(in crate::edge) fn along(tones: &Tones, rough: &Polyline, face: FaceSide, half_width_px: f64) -> Polyline {
    let base = rough.resampled(1.0).smoothed(SMOOTHED_PX).smoothed(SMOOTHED_PX).resampled(1.0);
    let half_rows = half_width_px.ceil() as usize;
    let (len, rows) = (base.points.len(), 2 * half_rows + 1);
    let off = |row: f64| row - half_rows as f64;
    let alongs: Vec<PhotoVec> =
        (0..len).map(|index| base.direction(index, 3).unwrap_or(PhotoVec::new(1.0, 0.0))).collect();
    let sampled = base.points.iter().zip(&alongs).flat_map(|((at, _), along)| {
        (0..rows).map(move |row| tones.mean(*at + face.towards(*along) * off(row as f64), *along, 3))
    });
    let grid = Grid { layout: Layout { rows, cell_px: 1.0 }, tones: sampled.collect() };
    let faces = faces(&grid, base.closed);
    let edges = grid.face_edges(|column| faces[column / ANEW].as_ref());
    let seam = if base.closed { SEAM.min(len) * rows } else { 0 };
    let cells = [&edges[edges.len() - seam..], edges.as_slice(), &edges[..seam]].concat();
    let chain = Scores { rows, cells }.best_chain(2);
    let place = |(((at, piece), along), row): ((&(PhotoPoint, usize), &PhotoVec), &f64)| {
        (*at + face.towards(*along) * off(*row), *piece)
    };
    let points = base.points.iter().zip(&alongs).zip(chain.iter().skip(seam / rows)).map(place).collect();
    Polyline { points, closed: base.closed }.resampled(1.0)
}

/// What the face looks like along the band; `None` where its face side is off the photo.
fn faces(grid: &Grid, closed: bool) -> Vec<Option<Face>> {
    let rows = grid.layout.rows;
    let len = grid.tones.len() / rows;
    let around = |middle: usize| {
        let columns = (0..2 * SURROUNDINGS).step_by(2).filter_map(|number| {
            let index = (middle + number).checked_sub(SURROUNDINGS);
            let index = if closed { Some((middle + number + len * SURROUNDINGS - SURROUNDINGS) % len) } else { index };
            index.filter(|index| *index < len)
        });
        let ends = columns.flat_map(|column| &grid.tones[(column + 1) * rows - ENDS.min(rows)..(column + 1) * rows]);
        Face::of(&ends.flatten().copied().collect::<Vec<Tone>>())
    };
    (0..len.div_ceil(ANEW)).map(|number| around((number * ANEW + ANEW / 2).min(len - 1))).collect()
}
