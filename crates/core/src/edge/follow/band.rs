//! The way of an edge to about a pixel, in a narrow band along a rough way.

use super::super::others::{Surface, Tone};
use super::FaceSide;
use super::chain::Scores;
use super::polyline::Polyline;
use super::tones::{Tones, face_edges};
use crate::space::{PhotoPoint, PhotoVec};

/// Columns of the band up to so far away say what the face looks like.
const SURROUNDINGS: usize = 64;

/// And are asked anew every so many.
const ANEW: usize = 32;

/// The face ends of so many rows.
const ENDS: usize = 3;

/// A closed way runs on by so many columns at both ends, so that its seam is no end.
const SEAM: usize = 64;

/// The edge's light is taken over so many px to each side, and the surfaces so many px away.
const HALF_PX: usize = 2;
const BESIDE_PX: usize = 4;

/// A rough way is smoothed over so many px to each side, twice: its columns must not cross.
const SMOOTHED_PX: usize = 4;

/// Tones across one place, towards the face.
struct Column {
    at: PhotoPoint,
    across: PhotoVec,
    piece: usize,
    row: Vec<Option<Tone>>,
}

/// The way of the face's edge within `half_width_px` of a rough way; a point each px.
pub(in crate::edge) fn along(tones: &Tones, rough: &Polyline, face: FaceSide, half_width_px: f64) -> Polyline {
    let base = rough.resampled(1.0).smoothed(SMOOTHED_PX).smoothed(SMOOTHED_PX).resampled(1.0);
    let half_rows = half_width_px.ceil() as usize;
    let len = base.points.len();
    let column = |index: usize| {
        let (at, piece) = base.points[index];
        let along = base.direction(index, 3).unwrap_or(PhotoVec::new(1.0, 0.0));
        let across = face.towards(along);
        let off = |row: usize| row as f64 - half_rows as f64;
        let row = (0..=2 * half_rows).map(|row| tones.mean(at + across * off(row), along, 3)).collect();
        Column { at, across, piece, row }
    };
    let columns: Vec<Column> = (0..len).map(column).collect();
    let faces = faces(&columns, base.closed);
    let seam = if base.closed { SEAM.min(len) } else { 0 };
    let edges = |index: usize| match faces[index / ANEW] {
        Some(surface) => face_edges(&columns[index].row, &surface, HALF_PX, BESIDE_PX),
        None => vec![0.0; 2 * half_rows + 1],
    };
    let cells: Vec<f32> = (0..len + 2 * seam).flat_map(|number| edges((number + len - seam) % len.max(1))).collect();
    let chain = Scores { rows: 2 * half_rows + 1, cells }.best_chain(2);
    let place = |(column, row): (&Column, &f64)| (column.at + column.across * (row - half_rows as f64), column.piece);
    let points = columns.iter().zip(chain.iter().skip(seam)).map(place).collect();
    Polyline { points, closed: base.closed }.resampled(1.0)
}

/// What the face looks like along the band; `None` where its face side is off the photo.
fn faces(columns: &[Column], closed: bool) -> Vec<Option<Surface>> {
    let len = columns.len();
    let around = |middle: usize| {
        let ends = (0..2 * SURROUNDINGS).step_by(2).filter_map(|number| {
            let index = (middle + number).checked_sub(SURROUNDINGS);
            let index = if closed { Some((middle + number + len * SURROUNDINGS - SURROUNDINGS) % len) } else { index };
            columns.get(index?)
        });
        let tones: Vec<Tone> = ends.flat_map(|column| column.row.iter().rev().take(ENDS)).flatten().copied().collect();
        Surface::of(&tones)
    };
    (0..len.div_ceil(ANEW)).map(|number| around((number * ANEW + ANEW / 2).min(len - 1))).collect()
}
