//! The way of an edge from node to node, to a few px.
//!
//! The photo is looked at in rows square to the chord between two nodes, as far to each side as a quarter of a circle may
//! bulge. What the face looks like is told at the nodes, which lie near its edge: a plate may be narrower than the bulge.

use super::super::others::Tone;
use super::FaceSide;
use super::chain::Scores;
use super::face::Face;
use super::tones::{Grid, Layout, Tones};
use crate::space::{PhotoPoint, PhotoVec};

/// How far an edge may bulge off the chord: a share of its length (a quarter of a circle has 0.21), and at most, px.
const BULGE_SHARE: f64 = 0.3;
const BULGE_PX: f64 = 600.0;

/// How fast it may leave the chord at the nodes, px for each px along it.
const LEAVES: f64 = 1.4;

/// So many cells to each side of the chord; in a wider corridor they are coarser than a pixel.
const CELLS: f64 = 60.0;

/// Rows a column that the way may move by.
const MOST_STEP: usize = 3;

/// The face is looked at so far beyond the nodes' uncertainty, px, in a square of so many pixels each way.
const DEPTH_PX: f64 = 5.0;
const PATCH: i32 = 3;

/// Tones of the face beside a node: on the side to which both its chords have the face.
fn patch(tones: &Tones, node: PhotoPoint, inward: PhotoVec, reach_px: f64) -> Vec<Tone> {
    let middle = node + inward * (reach_px + DEPTH_PX);
    let places =
        (-PATCH..=PATCH).flat_map(|y| (-PATCH..=PATCH).map(move |x| PhotoVec::new(f64::from(x), f64::from(y))));
    places.filter_map(|step| tones.at(middle + step)).collect()
}

/// The way between each two nodes that follow each other, from the first node on; `None` where they are one place or
/// not in the photo's neighbourhood.
pub(super) fn ways(
    tones: &Tones,
    chords: &[Option<[PhotoPoint; 2]>],
    closed: bool,
    face: FaceSide,
    reach_px: f64,
) -> Vec<Option<Vec<PhotoPoint>>> {
    let count = chords.len();
    let inward = |number: usize| {
        let [from, to] = chords[number]?;
        Some(face.towards((to - from).unit()?))
    };
    let patch_at = |number: usize| {
        let [node, _] = chords[number]?;
        let own = inward(number)?;
        let before = if number > 0 { Some(number - 1) } else { closed.then_some(count - 1) };
        let both = before.and_then(inward).and_then(|other| (own + other).unit()).unwrap_or(own);
        Some(patch(tones, node, both, reach_px))
    };
    let patches: Vec<Vec<Tone>> = (0..count).map(|number| patch_at(number).unwrap_or_default()).collect();
    let way = |number: usize| {
        let [from, to] = chords[number]?;
        let mut here = patches[number].clone();
        match patches.get(number + 1).or(patches.first().filter(|_| closed)) {
            Some(next) => here.extend(next),
            None => here.extend(patch(tones, to, inward(number)?, reach_px)),
        }
        // Where the nodes' surroundings are off the photo, the face of the whole chain serves.
        let surface = Face::of(&here).or_else(|| Face::of(&patches.concat()));
        Some(surface.map_or_else(|| vec![from, to], |surface| way(tones, [from, to], face, &surface, reach_px)))
    };
    (0..count).map(way).collect()
}

fn way(tones: &Tones, [from, to]: [PhotoPoint; 2], face: FaceSide, surface: &Face, reach_px: f64) -> Vec<PhotoPoint> {
    let length = from.distance(to);
    let along = (to - from) * (1.0 / length);
    let across = face.towards(along);
    let half_width = reach_px + (BULGE_SHARE * length).min(BULGE_PX);
    let cell = (half_width / CELLS).ceil().max(1.0);
    let (columns, half_rows) = ((length / cell).ceil() as usize + 1, (half_width / cell).ceil() as usize);
    let rows = 2 * half_rows + 1;
    let samples = cell.min(3.0) as usize;
    let step = along * (cell / samples as f64);
    let off = |row: f64| (row - half_rows as f64) * cell;
    let column_at = |column: usize| from + along * (length * column as f64 / (columns - 1).max(1) as f64);
    let tones = (0..columns).flat_map(|column| {
        let middle = column_at(column);
        (0..rows).map(move |row| tones.mean(middle + across * off(row as f64), step, samples))
    });
    let grid = Grid { layout: Layout { rows, cell_px: cell }, tones: tones.collect() };
    let mut cells = grid.face_edges(|_| Some(surface));
    for (column, cells) in cells.chunks_exact_mut(rows).enumerate() {
        let middle = column_at(column);
        let nearest_end = middle.distance(from).min(middle.distance(to));
        for (row, cell) in cells.iter_mut().enumerate() {
            // Far off a node there is nothing of this chord's.
            if off(row as f64).abs() > reach_px + LEAVES * nearest_end {
                *cell = -1.0;
            }
        }
    }
    let chain = Scores { rows, cells }.best_chain(MOST_STEP);
    chain.into_iter().enumerate().map(|(column, row)| column_at(column) + across * off(row)).collect()
}
