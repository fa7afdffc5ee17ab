//! Which length would decide between two explanations: two readings either of which may be the misread one, or two
//! positions of the camera that both fit.

use super::adjusted::Adjusted;
use super::factor::dot;
use super::next_length::{Judge, NextLength};
use super::normal::Row;
use super::problem::Span;
use super::reach::{Reached, each_pair};
use crate::instrument::Instrument;
use crate::tolerance::{REDUNDANCY_NO_TEST, REDUNDANCY_UNCHECKED};

/// Explanations whose predictions differ by fewer standard deviations than this are not told apart by a reading.
const TOLD_APART_SIGMAS: f64 = 3.0;

/// A span as one explanation predicts it, mm: value and variance.
#[derive(Debug, Clone, Copy)]
struct Predicted {
    mm: f64,
    variance: f64,
}

impl Adjusted<'_> {
    /// What the other observations make of a span when one length is taken for misread, mm, and its standard deviation:
    /// the rank-one downdate of the fit. `None` where nothing but that length fixes it.
    pub fn length_without(&self, span: Span, without: usize) -> Option<(f64, f64)> {
        let predicted = self.predicted_without(span, without)?;
        Some((predicted.mm, predicted.variance.sqrt()))
    }

    fn predicted_without(&self, span: Span, without: usize) -> Option<Predicted> {
        let misread = Misread::of(self, without)?;
        let (mm, row) = self.length(span);
        let wanted = self.factor().half(&row);
        Some(misread.predicted(mm, dot(&wanted, &wanted), dot(&wanted, &misread.half)))
    }

    /// The length in the instrument's reach that best decides which of two readings is misread; `None` where none would.
    pub fn telling_readings_apart(&self, instrument: &Instrument, a: usize, b: usize) -> Option<NextLength> {
        let both = [Misread::of(self, a)?, Misread::of(self, b)?];
        self.most_telling(instrument, |_, judge, reached| {
            Some(both.each_ref().map(|misread| {
                let with = judge.covariance.between(&reached.row, &misread.row);
                misread.predicted(reached.mm, reached.variance, with)
            }))
        })
    }

    /// The length in the instrument's reach that best decides between this camera position and the other that fits
    /// nearly as well; `None` where there is no other, or no length would.
    pub fn telling_positions_apart(&self, instrument: &Instrument) -> Option<NextLength> {
        self.other()?;
        self.most_telling(instrument, |span, _, reached| {
            let variance = reached.variance;
            Some([Predicted { mm: reached.mm, variance }, Predicted { mm: self.length_in_other(span)?, variance }])
        })
    }

    /// The length in the instrument's reach that best checks another: with it taken, the others know that one best, so that
    /// most of a misreading would show. `None` where none brings its redundancy number above what counts as checked.
    pub fn checking(&self, instrument: &Instrument, length: usize) -> Option<NextLength> {
        let reading = self.problem().lengths[length];
        let (own, row) = (reading.sigma_mm * reading.sigma_mm, self.length(reading.span).1);
        let judge = Judge::of(self, instrument);
        let variance = judge.covariance.between(&row, &row);
        let mut best: Option<(f64, Span, Reached)> = None;
        each_pair(self.problem(), |spans| {
            for span in spans {
                let Some(reached) = judge.reach.length(&judge.covariance, *span) else { continue };
                let with = judge.covariance.between(&row, &reached.row);
                let after = variance - with * with / (judge.reach.reading_variance() + reached.variance);
                let redundancy = 1.0 - after / own;
                if redundancy > best.map_or(REDUNDANCY_UNCHECKED, |(most, ..)| most) {
                    best = Some((redundancy, *span, reached));
                }
            }
        });
        let (_, span, reached) = best?;
        judge.next(span, &reached, f64::INFINITY)
    }

    fn most_telling(
        &self,
        instrument: &Instrument,
        predicted: impl Fn(Span, &Judge<'_>, &Reached) -> Option<[Predicted; 2]>,
    ) -> Option<NextLength> {
        self.most_apart(instrument, |span, judge, reached| {
            let [a, b] = predicted(span, judge, reached)?;
            let variance = judge.reach.reading_variance() + a.variance.max(b.variance);
            Some((a.mm - b.mm).abs() / variance.sqrt())
        })
    }

    /// The length in the instrument's reach of which two explanations differ most, in standard deviations as `apart` tells
    /// them; `None` where none tells them apart.
    pub(super) fn most_apart(
        &self,
        instrument: &Instrument,
        apart: impl Fn(Span, &Judge<'_>, &Reached) -> Option<f64>,
    ) -> Option<NextLength> {
        let judge = Judge::of(self, instrument);
        let mut best: Option<(f64, Span, Reached)> = None;
        each_pair(self.problem(), |spans| {
            for span in spans {
                let Some(reached) = judge.reach.length(&judge.covariance, *span) else { continue };
                let Some(apart) = apart(*span, &judge, &reached) else { continue };
                if apart > best.map_or(TOLD_APART_SIGMAS, |(most, ..)| most) {
                    best = Some((apart, *span, reached));
                }
            }
        });
        let (_, span, reached) = best?;
        judge.next(span, &reached, f64::INFINITY)
    }
}

/// A reading taken for misread.
#[derive(Debug)]
struct Misread {
    row: Row,
    half: Vec<f64>,
    /// How much it is too long by the fit, over the variance of that.
    share: f64,
    /// One over that variance.
    weight: f64,
}

impl Misread {
    /// `None` where nothing checks the reading.
    fn of(adjusted: &Adjusted<'_>, length: usize) -> Option<Self> {
        let reading = adjusted.problem().lengths[length];
        let (fitted, row) = adjusted.length(reading.span);
        let half = adjusted.factor().half(&row);
        let own = reading.sigma_mm * reading.sigma_mm;
        let variance = own - dot(&half, &half);
        let checked = variance >= REDUNDANCY_NO_TEST * own;
        let weight = 1.0 / variance;
        checked.then_some(Self { row, half, share: (reading.mm - fitted) * weight, weight })
    }

    /// A quantity of which the fit says `mm` with `variance`, and which has the covariance `with` with this reading's
    /// length, as the rest says it.
    fn predicted(&self, mm: f64, variance: f64, with: f64) -> Predicted {
        Predicted { mm: mm - with * self.share, variance: (variance + with * with * self.weight).max(0.0) }
    }
}
