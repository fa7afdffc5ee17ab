//! A rim followed in a shrunk photo.

use super::super::oval::{Oval, Pull};
use super::super::search::median;
use super::face::{Surface, apart, outside};
use super::pyramid::{Level, Tone};
use crate::space::PhotoVec;

/// Directions in which a rim is looked across, for each px of its radius, within limits.
const RAYS_PER_PX: f64 = 4.0;
const RAYS: (f64, f64) = (24.0, 64.0);

/// Samples across a rim lie so far apart, px of the level.
const STEP_PX: f64 = 0.5;

/// A slope is the difference over so many samples to each side.
const SLOPE_SAMPLES: usize = 2;

/// The face is looked at so many samples outside an edge.
const BESIDE_SAMPLES: usize = 4;

/// An edge that rises by so many spreads of the face beside it counts half.
const STANDS_OUT: f64 = 3.0;

/// One that rises by less than this share of that is none.
const LEAST_RISE: f64 = 0.3;

/// Nothing nearer to the centre than this share of the radius is looked at.
const NEAREST_SHARE: f64 = 0.25;

/// A place belongs to a rim that is nearer than this: px of the level and a share of the radius, within a limit.
const NEAR_PX: f64 = 0.8;
const NEAR_SHARE: f64 = 0.06;
const NEAR_MOST_PX: f64 = 2.4;

/// A direction shows a rim where its edge is surer than this.
const SURE: f64 = 0.25;

/// Rounds of fitting, each with less room than the one before.
const ROUNDS: usize = 4;

/// A change of tone across a rim.
#[derive(Debug, Clone, Copy)]
struct Change {
    distance_px: f64,
    /// How sure it is that the face begins here, 0 to 1.
    face_edge: f64,
    rise: f64,
}

/// A rim as a level shows it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Followed {
    pub(super) oval: Oval,
    /// Share of the directions that show it, 0 to 1.
    pub(super) seen: f64,
    /// Median difference of the tones at its edge.
    pub(super) rise: f64,
}

/// Follows the rim near an oval at a level, looking `reach_px` (of the photo) to each side; `None` where there is none.
pub(super) fn follow(level: &Level, start: &Oval, reach_px: f64) -> Option<Followed> {
    let face = outside(level, start)?;
    let radius = start.radius_px / level.pixel_px;
    let count = (RAYS_PER_PX * radius).clamp(RAYS.0, RAYS.1) as usize;
    let angles = (0..count).map(|i| (i as f64 + 0.5) * std::f64::consts::TAU / count as f64);
    let rays: Vec<Ray> =
        angles.map(|angle| Ray { angle, changes: changes(level, start, angle, reach_px, &face) }).collect();
    let near_px = (NEAR_PX + NEAR_SHARE * radius).min(NEAR_MOST_PX) * level.pixel_px;
    let mut oval = start.pulled(rays.iter().filter_map(|ray| {
        let surest = ray.changes.iter().max_by(|a, b| a.face_edge.total_cmp(&b.face_edge))?;
        Some(Pull { angle: ray.angle, distance_px: surest.distance_px, weight: surest.face_edge })
    }))?;
    for round in (1..=ROUNDS).rev() {
        let scale = near_px * round as f64;
        let pulls = rays.iter().filter_map(|ray| {
            let (change, off_px) = ray.nearest(&oval, start)?;
            // Tukey's biweight.
            let weight = change.face_edge * (1.0 - (off_px / scale).powi(2)).max(0.0).powi(2);
            (weight > 0.0).then_some(Pull { angle: ray.angle, distance_px: change.distance_px, weight })
        });
        oval = start.pulled(pulls)?;
    }
    let on = rays.iter().filter_map(|ray| ray.nearest(&oval, start));
    let mut rises: Vec<f64> = on
        .filter(|(change, off_px)| off_px.abs() < near_px && change.face_edge > SURE)
        .map(|(change, _)| change.rise)
        .collect();
    Some(Followed { oval, seen: rises.len() as f64 / count as f64, rise: median(&mut rises)? })
}

/// One direction from the centre, with the changes of tone along it.
struct Ray {
    angle: f64,
    changes: Vec<Change>,
}

impl Ray {
    /// The change nearest to an oval, a surer one being taken from farther away, and how far it is off, px.
    fn nearest(&self, oval: &Oval, start: &Oval) -> Option<(Change, f64)> {
        // How far the oval is from the start's centre, to first order.
        let along = PhotoVec::from_angle(self.angle);
        let on = oval.distance_px(self.angle) + along.dot(oval.centre - start.centre);
        let far = |change: &Change| (change.distance_px - on).abs() / change.face_edge.max(0.1);
        let change = self.changes.iter().min_by(|a, b| far(a).total_cmp(&far(b))).copied()?;
        Some((change, change.distance_px - on))
    }
}

/// Changes of tone across the oval in one direction.
fn changes(level: &Level, oval: &Oval, angle: f64, reach_px: f64, face: &Surface) -> Vec<Change> {
    let step_px = STEP_PX * level.pixel_px;
    let on = oval.distance_px(angle);
    let room = (SLOPE_SAMPLES + 1) as f64 * step_px;
    let from = (on - reach_px - room).max(NEAREST_SHARE * on);
    let count = ((on + reach_px + room - from) / step_px).ceil() as usize + 1;
    let along = PhotoVec::from_angle(angle);
    let tones: Option<Vec<Tone>> =
        (0..count).map(|i| level.sample(oval.centre + along * (from + i as f64 * step_px))).collect();
    let Some(tones) = tones else { return Vec::new() };
    let rises: Vec<f64> = (SLOPE_SAMPLES..count.saturating_sub(SLOPE_SAMPLES))
        .map(|i| apart(&tones[i - SLOPE_SAMPLES].map(f64::from), &tones[i + SLOPE_SAMPLES]))
        .collect();
    let least = STANDS_OUT * face.spread;
    let peak = |i: usize| {
        let [before, rise, after] = [rises[i - 1], rises[i], rises[i + 1]];
        if rise < LEAST_RISE * least || rise < before || rise <= after {
            return None;
        }
        let bow = before - 2.0 * rise + after;
        let shift = if bow < 0.0 { 0.5 * (before - after) / bow } else { 0.0 };
        let at = (i + SLOPE_SAMPLES) as f64 + shift.clamp(-0.5, 0.5);
        let beside = tones[(i + SLOPE_SAMPLES + BESIDE_SAMPLES).min(count - 1)];
        let square = (rise / least).powi(2);
        Some(Change {
            distance_px: from + at * step_px,
            face_edge: square / (square + 1.0) * face.likeness(&beside),
            rise,
        })
    };
    (1..rises.len().saturating_sub(1)).filter_map(peak).collect()
}
