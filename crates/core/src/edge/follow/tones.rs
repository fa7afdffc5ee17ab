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
        if self.picture.holds(place, 0.0) { self.within(place) } else { None }
    }

    /// The same of a place in the photo.
    fn within(&self, place: PhotoPoint) -> Option<Tone> {
        let [x, y] = [place.x, place.y].map(|value| (value + 0.5) as u32 as usize);
        Some(self.picture.pixel(x, y)?.map(|code| self.of_codes[usize::from(code)]))
    }

    /// The mean tone of `count` places, each `step` after the other, about a place; `None` where one is off the photo.
    pub(super) fn mean(&self, middle: PhotoPoint, step: PhotoVec, count: usize) -> Option<Tone> {
        let first = middle - step * (0.5 * (count as f64 - 1.0));
        let place = |number: usize| first + step * number as f64;
        // What lies between two places of the photo is in the photo.
        if ![0, count.saturating_sub(1)].into_iter().all(|number| self.picture.holds(place(number), 0.0)) {
            return None;
        }
        let mut sum = [0.0; 3];
        for number in 0..count {
            let tone = self.within(place(number))?;
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

impl Grid {
    /// How surely the face begins at each place, 0 to 1; `face` says what it looks like at a column.
    pub(super) fn face_edges<'f>(&self, face: impl Fn(usize) -> Option<&'f Face>) -> Vec<f32> {
        let (layout, rows) = (self.layout, self.layout.rows);
        let columns = self.tones.len() / rows;
        // How far the tone changes at each place, and how far it is from the face's, squared; infinite off the photo.
        let (mut rises, mut unlike) = (vec![0.0; columns * rows], vec![f32::INFINITY; columns * rows]);
        let (mut largest, mut seen) = (Vec::with_capacity(columns), Vec::with_capacity(rows));
        for (number, tones) in self.tones.chunks_exact(rows).enumerate() {
            let Some(face) = face(number) else { continue };
            let own = number * rows..(number + 1) * rows;
            seen.clear();
            seen.extend(tones.iter().map(|tone| tone.map(|tone| face.deviations(tone))));
            layout.compare(&seen, &mut rises[own.clone()], &mut unlike[own.clone()]);
            largest.push(f64::from(rises[own].iter().copied().fold(0.0, f32::max)));
        }
        let usual = median(&mut largest).unwrap_or(0.0) as f32;
        let (mut edges, mut sums) = (vec![0.0; columns * rows], Vec::with_capacity(rows + 1));
        for (number, edges) in edges.chunks_exact_mut(rows).enumerate() {
            if face(number).is_some() {
                let own = number * rows..(number + 1) * rows;
                layout.edges(&rises[own.clone()], &unlike[own], usual, &mut sums, edges);
            }
        }
        edges
    }
}

impl Layout {
    fn cells(&self, px: f64) -> usize {
        (px / self.cell_px).round().max(1.0) as usize
    }

    /// How far a column of tones, as the face's deviations, rises at each place, and how far it is from the face's tone.
    fn compare(&self, seen: &[Option<Tone>], rises: &mut [f32], unlike: &mut [f32]) {
        let half = self.cells(2.0);
        let square = |tone: Tone| tone.iter().map(|value| value * value).sum::<f32>();
        for (unlike, tone) in unlike.iter_mut().zip(seen) {
            *unlike = tone.map_or(f32::INFINITY, square);
        }
        let ends = seen.iter().zip(seen.iter().skip(2 * half));
        for (rise, (before, after)) in rises.iter_mut().skip(half).zip(ends) {
            if let (Some(before), Some(after)) = (before, after) {
                *rise = square([0, 1, 2].map(|i: usize| after[i] - before[i])).sqrt();
            }
        }
    }

    /// [`Grid::face_edges`] of one column; `sums` is room to work in.
    fn edges(&self, rises: &[f32], unlike: &[f32], usual: f32, sums: &mut Vec<f32>, edges: &mut [f32]) {
        let (least, far_off) = (STANDS_OUT.max(OF_USUAL * usual), UNLIKE.max(UNLIKE_OF_USUAL * usual));
        // Sums of the likeness from the first place on.
        sums.clear();
        let mut sum = 0.0;
        sums.push(sum);
        sums.extend(unlike.iter().map(|off| {
            sum += 1.0 / (1.0 + off / (far_off * far_off));
            sum
        }));
        let (near, begins) = (self.cells(BESIDE_PX), self.cells(BEGINS_PX));
        let far = near + self.cells(SURFACE_PX);
        let mean = |from: usize, to: usize| {
            let (from, to) = (from.min(unlike.len() - 1), to.min(unlike.len()));
            (sums[to] - sums[from]) / (to.saturating_sub(from) as f32).max(1.0)
        };
        for (row, (edge, rise)) in edges.iter_mut().zip(rises).enumerate() {
            let square = (rise / least).powi(2);
            let towards = mean(row + near, row + far).min(mean(row + near, row + near + begins));
            let away = mean(row.saturating_sub(far), (row + 1).saturating_sub(near).max(1));
            *edge = square / (square + 1.0) * towards * (1.0 - away);
        }
    }
}
