//! Tones of the photo where it is looked at, and how well they show the face's edge.

use super::super::others::{Tone, tone_of_codes};
use super::super::picture::Picture;
use super::super::search::median;
use super::face::Face;
use crate::space::{PhotoPoint, PhotoVec};

/// The photo read as tones.
pub(in crate::edge) struct Tones<'a> {
    picture: &'a Picture<'a>,
    of_codes: [f32; 256],
}

impl<'a> Tones<'a> {
    pub(in crate::edge) fn new(picture: &'a Picture<'a>) -> Self {
        Self { picture, of_codes: tone_of_codes() }
    }

    /// The tone of the pixel at a place; `None` off the photo.
    pub(super) fn at(&self, place: PhotoPoint) -> Option<Tone> {
        if !self.picture.holds(place, 0.0) {
            return None;
        }
        let (x, y) = ((place.x + 0.5) as usize, (place.y + 0.5) as usize);
        Some(self.picture.pixel(x, y)?.map(|code| self.of_codes[usize::from(code)]))
    }

    /// The mean tone of `count` places, each `step` after the other, about a place; `None` where one is off the photo.
    pub(super) fn mean(&self, middle: PhotoPoint, step: PhotoVec, count: usize) -> Option<Tone> {
        let first = middle - step * (0.5 * (count as f64 - 1.0));
        let mut sum = [0.0; 3];
        for number in 0..count {
            let tone = self.at(first + step * number as f64)?;
            for (sum, value) in sum.iter_mut().zip(tone) {
                *sum += value;
            }
        }
        Some(sum.map(|sum| sum / count as f32))
    }
}

/// A rise by so many of the face's deviations, or by this share of the usual edge's, counts half as an edge.
const STANDS_OUT: f32 = 4.0;
const OF_USUAL: f32 = 0.5;

/// A tone so many deviations from the face's, or this share of the usual edge's rise, counts half as the face.
const UNLIKE: f32 = 3.0;
const UNLIKE_OF_USUAL: f32 = 0.2;

/// The surfaces beside an edge are looked at from so many px away on, over so many; the face has to begin within the first
/// few, or there is a wall between.
const BESIDE_PX: f64 = 2.0;
const SURFACE_PX: f64 = 6.0;
const BEGINS_PX: f64 = 2.0;

/// How tones are laid out: columns of `rows` places that run towards the face, `cell_px` apart.
#[derive(Debug, Clone, Copy)]
pub(super) struct Layout {
    pub(super) rows: usize,
    pub(super) cell_px: f64,
}

/// Tones across a way, column after column.
pub(super) struct Grid {
    pub(super) layout: Layout,
    pub(super) tones: Vec<Option<Tone>>,
}

/// What a face makes of a column of tones.
struct Column {
    /// How far the tone changes at each place.
    rises: Vec<f32>,
    /// How far each tone is from the face's, squared; infinite off the photo.
    unlike: Vec<f32>,
}

impl Grid {
    /// How surely the face begins at each place, 0 to 1; `face` says what it looks like at a column.
    pub(super) fn face_edges<'f>(&self, face: impl Fn(usize) -> Option<&'f Face>) -> Vec<f32> {
        let layout = self.layout;
        let columns: Vec<Option<Column>> = self
            .tones
            .chunks_exact(layout.rows)
            .enumerate()
            .map(|(number, tones)| face(number).map(|face| layout.column(tones, face)))
            .collect();
        let mut largest: Vec<f64> = columns
            .iter()
            .flatten()
            .map(|column| f64::from(column.rises.iter().copied().fold(0.0, f32::max)))
            .collect();
        let usual = median(&mut largest).unwrap_or(0.0) as f32;
        let edges = |column: &Option<Column>| {
            column.as_ref().map_or_else(|| vec![0.0; layout.rows], |column| layout.edges(column, usual))
        };
        columns.iter().flat_map(edges).collect()
    }
}

impl Layout {
    fn cells(&self, px: f64) -> usize {
        (px / self.cell_px).round().max(1.0) as usize
    }

    fn column(&self, tones: &[Option<Tone>], face: &Face) -> Column {
        let half = self.cells(2.0);
        let seen: Vec<Option<Tone>> = tones.iter().map(|tone| tone.map(|tone| face.deviations(tone))).collect();
        let square = |tone: Tone| tone.iter().map(|value| value * value).sum::<f32>();
        let rise = |row: usize| {
            let (before, after) = ((*seen.get(row.checked_sub(half)?)?)?, (*seen.get(row + half)?)?);
            Some(square([0, 1, 2].map(|i: usize| after[i] - before[i])).sqrt())
        };
        Column {
            rises: (0..tones.len()).map(|row| rise(row).unwrap_or(0.0)).collect(),
            unlike: seen.into_iter().map(|tone| tone.map_or(f32::INFINITY, square)).collect(),
        }
    }

    /// [`Grid::face_edges`] of one column.
    fn edges(&self, Column { rises, unlike }: &Column, usual: f32) -> Vec<f32> {
        let (least, far_off) = (STANDS_OUT.max(OF_USUAL * usual), UNLIKE.max(UNLIKE_OF_USUAL * usual));
        // Sums of the likeness from the first place on.
        let mut sums = vec![0.0];
        for off in unlike {
            sums.push(sums[sums.len() - 1] + 1.0 / (1.0 + off / (far_off * far_off)));
        }
        let (near, begins) = (self.cells(BESIDE_PX), self.cells(BEGINS_PX));
        let far = near + self.cells(SURFACE_PX);
        let mean = |from: usize, to: usize| {
            let (from, to) = (from.min(unlike.len() - 1), to.min(unlike.len()));
            (sums[to] - sums[from]) / (to.saturating_sub(from) as f32).max(1.0)
        };
        let edge = |(row, rise): (usize, &f32)| {
            let square = (rise / least).powi(2);
            let towards = mean(row + near, row + far).min(mean(row + near, row + near + begins));
            let away = mean(row.saturating_sub(far), (row + 1).saturating_sub(near).max(1));
            square / (square + 1.0) * towards * (1.0 - away)
        };
        rises.iter().enumerate().map(edge).collect()
    }
}
