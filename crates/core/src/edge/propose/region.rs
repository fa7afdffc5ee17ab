//! The cells of a level that show the face.
//!
//! A flood from the click over what is like it gives a first region. Histograms of the tones within and without then say of
//! each tone whether it is the face's (Swain and Ballard 1991 compare colours by such histograms), and the cells that
//! hang together with the click are the next region.

use super::super::others::{Level, Tone};
use super::super::search::median;
use super::boundary::{Cells, Over};

/// Brightness, and the shares of red and blue in it.
type Look = [f64; 3];

/// How far a cell's look may be off the click's in the first flood: brightness as a share, colours; and how many usual
/// deviations of the cells about the click.
const OFF: Look = [0.3, 0.04, 0.04];
const SPREADS: f64 = 4.0;

/// The first flood is tried with these shares of that until it stays within the photo.
const STRICTER: [f64; 5] = [1.0, 0.7, 0.5, 0.35, 0.2];

/// Cells about the click up to so far away say what it looks like.
const ABOUT: usize = 3;

/// Rounds of telling by histograms.
const ROUNDS: usize = 3;

/// Bins of the histogram each way, brightness and two differences of colours, and how wide those are in all.
const BINS: [usize; 3] = [32, 32, 32];
const COLOURS: f64 = 0.8;

/// A tone that is in one of two histograms alone tells no more than this, as a logarithm.
const MOST_TOLD: f32 = 4.0;

/// No region is smaller, cells.
const SMALLEST: usize = 100;

/// Mean of each cell and those that touch it.
fn softened(plane: &[f32], [width, height]: [usize; 2]) -> Vec<f32> {
    let along = |values: &[f32], count: usize, stride: usize, lines: usize, line_stride: usize| {
        let mut means = vec![0.0; values.len()];
        for line in 0..lines {
            for i in 0..count {
                let (before, after) = (i.saturating_sub(1), (i + 1).min(count - 1));
                let at = |k: usize| values[line * line_stride + k * stride];
                means[line * line_stride + i * stride] = (at(before) + at(i) + at(after)) / 3.0;
            }
        }
        means
    };
    along(&along(plane, width, 1, height, width), height, width, width, 1)
}

fn look(tone: &Tone) -> Look {
    let sum = tone.iter().map(|value| f64::from(*value)).sum::<f64>().max(0.03);
    [sum / 3.0, f64::from(tone[0]) / sum, f64::from(tone[2]) / sum]
}

/// The bin of a tone.
fn bin(tone: &Tone) -> usize {
    let [red, green, blue] = tone.map(f64::from);
    let values = [(red + green + blue) / 3.0, 0.5 + (red - green) / COLOURS, 0.5 + (blue - green) / COLOURS];
    let place = |i: usize| ((values[i] * BINS[i] as f64) as usize).min(BINS[i] - 1);
    (place(0) * BINS[1] + place(1)) * BINS[2] + place(2)
}

/// Each bin's count with those beside it, as shares of all.
fn shares(counts: &[f32]) -> Vec<f32> {
    let [a, b, c] = BINS;
    let mut values = counts.to_vec();
    for (count, stride) in [(a, b * c), (b, c), (c, 1)] {
        let before = values.clone();
        for (index, value) in values.iter_mut().enumerate() {
            let place = index / stride % count;
            let below = if place > 0 { before[index - stride] } else { 0.0 };
            let above = if place + 1 < count { before[index + stride] } else { 0.0 };
            *value = 0.25 * below + 0.5 * before[index] + 0.25 * above;
        }
    }
    let sum = values.iter().sum::<f32>().max(1.0);
    values.into_iter().map(|value| value / sum).collect()
}

/// The tones of a level.
pub(super) struct Tinted {
    size: [usize; 2],
    tones: Vec<Tone>,
}

impl Tinted {
    pub(super) fn new(level: &Level) -> Self {
        let planes = [0, 1, 2].map(|colour: usize| softened(&level.planes[colour], level.size));
        let tones = (0..level.size[0] * level.size[1]).map(|i| [planes[0][i], planes[1][i], planes[2][i]]);
        Self { size: level.size, tones: tones.collect() }
    }

    /// The face about the cell of the click; `holes` count as face. `None` where it does not end within the photo.
    pub(super) fn face(&self, click: usize, holes: &Cells) -> Option<Cells> {
        let mut region = self.first(click, holes)?;
        for _ in 0..ROUNDS {
            let next = self.told_from_rest(&region, click, holes);
            if next.touches_border() || next.count() < SMALLEST {
                break;
            }
            region = next;
        }
        Some(region)
    }

    fn first(&self, click: usize, holes: &Cells) -> Option<Cells> {
        let [width, height] = self.size;
        let (x, y) = (click % width, click / width);
        let columns = x.saturating_sub(ABOUT)..(x + ABOUT + 1).min(width);
        let about: Vec<Look> = (y.saturating_sub(ABOUT)..(y + ABOUT + 1).min(height))
            .flat_map(|y| columns.clone().map(move |x| y * width + x))
            .map(|cell| look(&self.tones[cell]))
            .collect();
        let middle = |i: usize| median(&mut about.iter().map(|look| look[i]).collect::<Vec<_>>());
        let own = [middle(0)?, middle(1)?, middle(2)?];
        let spread = |i: usize| median(&mut about.iter().map(|look| (look[i] - own[i]).abs()).collect::<Vec<_>>());
        let spreads = [spread(0)?, spread(1)?, spread(2)?];
        STRICTER.iter().find_map(|share| {
            let most: Look =
                std::array::from_fn(|i| share * (OFF[i] * if i == 0 { own[0] } else { 1.0 } + SPREADS * spreads[i]));
            let is_like = |cell: usize| {
                let look = look(&self.tones[cell]);
                holes.inside[cell] || (0..3).all(|i| (look[i] - own[i]).abs() < most[i])
            };
            let region = Cells::flood(self.size, std::iter::once(click), Over::Sides, is_like);
            (!region.touches_border() && region.count() >= SMALLEST).then_some(region)
        })
    }

    /// The cells about the click whose tones are rather those of the region than of the rest.
    fn told_from_rest(&self, region: &Cells, click: usize, holes: &Cells) -> Cells {
        let bins = BINS.iter().product();
        let mut counts = [vec![0.0_f32; bins], vec![0.0_f32; bins]];
        for (cell, tone) in self.tones.iter().enumerate().filter(|(cell, _)| !holes.inside[*cell]) {
            counts[usize::from(region.inside[cell])][bin(tone)] += 1.0;
        }
        let [rest, face] = counts.map(|counts| shares(&counts));
        let told: Vec<f32> = face
            .iter()
            .zip(&rest)
            .map(|(face, rest)| ((face + 1e-6) / (rest + 1e-6)).ln().clamp(-MOST_TOLD, MOST_TOLD))
            .collect();
        let field: Vec<f32> = self.tones.iter().map(|tone| told[bin(tone)]).collect();
        let field = softened(&field, self.size);
        let is_face = Cells {
            size: self.size,
            inside: field.iter().zip(&holes.inside).map(|(told, is_hole)| *told > 0.0 || *is_hole).collect(),
        };
        let is_face = is_face.smoothed();
        Cells::flood(self.size, std::iter::once(click), Over::Sides, |cell| is_face.inside[cell])
    }
}
