//! What the face looks like beside a rim.

use super::super::oval::Oval;
use super::super::search::median;
use super::pyramid::{Level, Tone};

/// Tones are never taken to be more even than this: what rounding to 8 bits leaves.
const MOST_EVEN: f64 = 0.008;

/// A tone so many spreads from the face's counts half as the face.
const FACE_SPREADS: f64 = 3.0;

/// What is seen through a hole differs from the face by so many spreads.
const THROUGH_SPREADS: f64 = 2.0;

/// Faces of one plate differ in light by less than this factor, in its square root.
const LIGHTER: f64 = 1.6;

/// And in the shares of red, green and blue by less than this.
const SHARES_DIFFER: f64 = 0.06;

/// The tone of a surface and how far it usually is off that.
#[derive(Debug, Clone, Copy)]
pub(super) struct Surface {
    tone: [f64; 3],
    pub(super) spread: f64,
}

impl Surface {
    /// The middle of some tones; `None` of none.
    fn of(tones: &[Tone]) -> Option<Self> {
        let middle = |colour: usize| median(&mut tones.iter().map(|tone| f64::from(tone[colour])).collect::<Vec<_>>());
        let tone = [middle(0)?, middle(1)?, middle(2)?];
        let mut off: Vec<f64> = tones.iter().map(|other| apart(&tone, other)).collect();
        Some(Self { tone, spread: median(&mut off)?.max(MOST_EVEN) })
    }

    /// Whether the other may be the same face in another light.
    pub(super) fn is_like(&self, other: &Self) -> bool {
        let sum = |surface: &Self| surface.tone.iter().sum::<f64>().max(MOST_EVEN);
        let (own, others) = (sum(self), sum(other));
        let differ = (0..3).map(|i| (self.tone[i] / own - other.tone[i] / others).powi(2)).sum::<f64>().sqrt();
        let shares = SHARES_DIFFER.hypot(2.0 * (self.spread / own).max(other.spread / others));
        own.max(others) < LIGHTER * own.min(others) && differ < shares
    }

    /// Whether the other differs from this by more than this is uneven.
    pub(super) fn stands_out(&self, other: &Self) -> bool {
        let off = (0..3).map(|i| (self.tone[i] - other.tone[i]).powi(2)).sum::<f64>().sqrt();
        off > THROUGH_SPREADS * self.spread
    }

    /// How well a tone may be this surface's, 0 to 1.
    pub(super) fn likeness(&self, tone: &Tone) -> f64 {
        let off = apart(&self.tone, tone) / (FACE_SPREADS * self.spread);
        1.0 / (1.0 + off * off)
    }
}

/// How far a tone is from another.
pub(super) fn apart(surface: &[f64; 3], tone: &Tone) -> f64 {
    (0..3).map(|i| (surface[i] - f64::from(tone[i])).powi(2)).sum::<f64>().sqrt()
}

/// Tones on rings round an oval's centre, at shares of its own distance; places off the level are left out.
fn ring(level: &Level, oval: &Oval, shares: &[f64]) -> Vec<Tone> {
    const PLACES: u32 = 24;
    let angles = (0..PLACES).map(|i| f64::from(i) * std::f64::consts::TAU / f64::from(PLACES));
    angles.flat_map(|angle| shares.iter().filter_map(move |share| level.sample(oval.place(angle, *share)))).collect()
}

/// The face round an oval.
pub(super) fn outside(level: &Level, oval: &Oval) -> Option<Surface> {
    Surface::of(&ring(level, oval, &[1.25, 1.35, 1.45]))
}

/// What is seen through an oval.
pub(super) fn inside(level: &Level, oval: &Oval) -> Option<Surface> {
    Surface::of(&ring(level, oval, &[0.3, 0.5, 0.7]))
}
