//! Tones of the photo where it is looked at, and how well a row of them shows the face's edge.

use super::super::others::{Surface, Tone, apart, tone_of_codes};
use super::super::picture::Picture;
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
        let rgb = self.picture.row(y, x, x).next()?;
        Some(rgb.map(|code| self.of_codes[usize::from(code)]))
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

/// A rise by so many of the face's spreads counts half as an edge.
const STANDS_OUT: f64 = 3.0;

/// How much a likeness to the face away from it counts against an edge.
const AWAY_COUNTS: f64 = 0.7;

/// How surely the face begins at each place of a row of tones that runs towards the face, 0 to 1. The rise is taken over
/// `half` places to each side, and the surfaces are looked at `beside` places away.
pub(super) fn face_edges(row: &[Option<Tone>], face: &Surface, half: usize, beside: usize) -> Vec<f32> {
    let likeness: Vec<f64> = row.iter().map(|tone| tone.as_ref().map_or(0.0, |tone| face.likeness(tone))).collect();
    let least = STANDS_OUT * face.spread;
    let edge = |i: usize| {
        let (before, after) = (i.checked_sub(half)?, i + half);
        let (before, after) = ((*row.get(before)?)?, (*row.get(after)?)?);
        let square = (apart(&before.map(f64::from), &after) / least).powi(2);
        let towards = likeness[(i + beside).min(row.len() - 1)].min(likeness[(i + half).min(row.len() - 1)]);
        let away = likeness[i.saturating_sub(beside)];
        Some(square / (square + 1.0) * towards * (1.0 - AWAY_COUNTS * away))
    };
    (0..row.len()).map(|i| edge(i).unwrap_or(0.0) as f32).collect()
}
