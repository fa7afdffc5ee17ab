//! The wide search: places across a curve where the light changes.

use super::contrast::{apart_squared, evening, mixed};
use super::curve::Curve;
use super::picture::{Light, Mixture, Picture};
use super::station::Station;
use crate::camera::PlateMap;
use crate::space::PlatePoint;

/// A place where the light changes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Candidate {
    pub(super) plate: PlatePoint,
    /// How sure it is that the light changes here, 0 to 1.
    pub(super) change: f64,
    /// The same, and that the face begins here, 0 to 1.
    pub(super) face_edge: f64,
}

/// A station with what was found across it, nearest the hole first.
#[derive(Debug, Clone)]
pub(super) struct Crossing {
    pub(super) station: Station,
    pub(super) candidates: Vec<Candidate>,
}

/// How far the search goes, px.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reach {
    pub(super) inside_px: f64,
    pub(super) outside_px: f64,
}

/// Weights of a Gaussian's derivative with standard deviation 1 px, three px to each side, that give the slope of an
/// even slope.
const SLOPE: [f64; 3] = [0.242, 0.108, 0.0133];

/// Samples at each end of a profile that have no slope.
const END: usize = SLOPE.len();

/// A change of light must be this many times the usual unevenness.
const STANDS_OUT: f64 = 4.0;

/// The surface beside a candidate is looked at so far outside it, px.
const BESIDE_PX: usize = 3;

/// So many slopes are enough to tell the usual unevenness.
const ENOUGH_SLOPES: usize = 500;

/// A colour so many spreads from the face's counts half as the face.
const FACE_SPREADS: f64 = 3.0;

/// A station's samples, one a px, nearest the hole first.
struct Samples {
    station: Station,
    light: Vec<Light>,
}

/// Looks across the curve at `count` places; those that the camera or the photo does not hold are left out.
pub(super) fn look_across<C: Curve>(
    picture: &Picture,
    map: &PlateMap,
    curve: &C,
    reach: Reach,
    count: usize,
) -> Vec<Crossing> {
    let first = -reach.inside_px.floor();
    let samples = (reach.outside_px.floor() - first) as usize + 1;
    let mixture = Mixture::of_light();
    let look = |number: usize| {
        let station = Station::new(map, curve, (number as f64 + 0.5) / count as f64)?;
        let light: Option<_> =
            (0..samples).map(|i| light_across(picture, &mixture, &station, first + i as f64)).collect();
        Some(Samples { station, light: light? })
    };
    let mut seen: Vec<Samples> = (0..count).filter_map(look).collect();
    let slopes: Vec<Light> = seen.iter().flat_map(|samples| slopes(&samples.light)).collect();
    let some: Vec<Light> = slopes.iter().step_by(slopes.len() / ENOUGH_SLOPES + 1).copied().collect();
    let rows = evening(&some);
    for light in seen.iter_mut().flat_map(|samples| &mut samples.light) {
        *light = mixed(&rows, *light);
    }
    let face = Face::of(&seen);
    seen.into_iter().map(|samples| crossing(samples, first, &face)).collect()
}

/// Slopes of the light, for all samples but those at the ends.
fn slopes(light: &[Light]) -> impl Iterator<Item = Light> + '_ {
    (END..light.len().saturating_sub(END))
        .map(|i| std::array::from_fn(|c| (1..=END).map(|k| SLOPE[k - 1] * (light[i + k][c] - light[i - k][c])).sum()))
}

fn crossing(Samples { station, light }: Samples, first: f64, face: &Face) -> Crossing {
    let sizes: Vec<f64> = slopes(&light).map(|slope| apart_squared(slope, [0.0; 3]).sqrt()).collect();
    let candidates = peaks(&sizes, STANDS_OUT).map(|(at, place, size)| {
        let excess = size / STANDS_OUT;
        let change = excess / (excess + 1.0);
        let beside = light[(at + END + BESIDE_PX).min(light.len() - 1)];
        let plate = station.plate(first + END as f64 + place);
        Candidate { plate, change, face_edge: change * face.likeness(beside) }
    });
    Crossing { candidates: candidates.collect(), station }
}

/// What the face looks like round the curve: the outer ends of the profiles.
struct Face {
    colour: Light,
    spread_squared: f64,
}

impl Face {
    fn of(seen: &[Samples]) -> Self {
        let ends: Vec<Light> = seen.iter().flat_map(|samples| samples.light.iter().rev().take(END)).copied().collect();
        let middle = |channel: usize| median(&mut ends.iter().map(|light| light[channel]).collect::<Vec<_>>());
        let colour = [0, 1, 2].map(|channel| middle(channel).unwrap_or(0.0));
        let mut off: Vec<f64> = ends.iter().map(|light| apart_squared(*light, colour)).collect();
        // The least spread is that of the slopes, one.
        Self { colour, spread_squared: median(&mut off).unwrap_or(1.0).max(1.0) }
    }

    /// How well a colour may be the face's, 0 to 1.
    fn likeness(&self, colour: Light) -> f64 {
        1.0 / (1.0 + apart_squared(colour, self.colour) / (FACE_SPREADS * FACE_SPREADS * self.spread_squared))
    }
}

/// Light `off_px` across, as the mean of three places along the curve.
fn light_across(picture: &Picture, mixture: &Mixture, station: &Station, off_px: f64) -> Option<Light> {
    let (at, along) = (station.photo(off_px), station.across.perp());
    let [a, b, c] = [at - along, at, at + along].map(|place| picture.sample(mixture, place));
    let (a, b, c) = (a?, b?, c?);
    Some(std::array::from_fn(|i| (a[i] + b[i] + c[i]) / 3.0))
}

/// Samples, places and sizes of the peaks that exceed `least`, the places between samples by a parabola.
fn peaks(sizes: &[f64], least: f64) -> impl Iterator<Item = (usize, f64, f64)> + '_ {
    (1..sizes.len().saturating_sub(1)).filter_map(move |i| {
        let [before, here, after] = [sizes[i - 1], sizes[i], sizes[i + 1]];
        let is_peak = here > least && here > before && here >= after;
        let bow = before - 2.0 * here + after;
        let shift = if bow < 0.0 { 0.5 * (before - after) / bow } else { 0.0 };
        is_peak.then(|| (i, i as f64 + shift.clamp(-0.5, 0.5), here))
    })
}

/// The middle value; `None` of none.
pub(super) fn median(values: &mut [f64]) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    let middle = values.len() / 2;
    Some(*values.select_nth_unstable_by(middle, f64::total_cmp).1)
}
