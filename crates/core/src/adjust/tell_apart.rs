//! Which length would decide between two explanations: two readings either of which may be the misread one, or two
//! positions of the camera that both fit.

use super::adjusted::Adjusted;
use super::next_length::{NextLength, worst_after, worst_first};
use super::problem::Span;
use super::reach::{each_pair, expected_mm};
use crate::instrument::Instrument;
use crate::tolerance::REDUNDANCY_NO_TEST;

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
        Some((predicted.mm, predicted.variance.max(0.0).sqrt()))
    }

    fn predicted_without(&self, span: Span, without: usize) -> Option<Predicted> {
        let reading = self.problem().lengths[without];
        let (fitted, row) = self.length(reading.span);
        let own = reading.sigma_mm * reading.sigma_mm;
        let variance = own - self.variance(&row);
        if variance < REDUNDANCY_NO_TEST * own {
            return None;
        }
        let (mm, wanted) = self.length(span);
        let with = self.covariance().between(&wanted, &row);
        let shift = with * (reading.mm - fitted) / variance;
        Some(Predicted { mm: mm - shift, variance: self.variance(&wanted) + with * with / variance })
    }

    /// The length in the instrument's reach that best decides which of two readings is misread; `None` where none would.
    pub fn telling_readings_apart(&self, instrument: &Instrument, a: usize, b: usize) -> Option<NextLength> {
        self.most_telling(instrument, |span| Some([self.predicted_without(span, a)?, self.predicted_without(span, b)?]))
    }

    /// The length in the instrument's reach that best decides between this camera position and the other that fits
    /// nearly as well; `None` where there is no other, or no length would.
    pub fn telling_positions_apart(&self, instrument: &Instrument) -> Option<NextLength> {
        self.most_telling(instrument, |span| {
            let (mm, row) = self.length(span);
            let variance = self.variance(&row);
            Some([Predicted { mm, variance }, Predicted { mm: self.length_in_other(span)?, variance }])
        })
    }

    fn most_telling(
        &self,
        instrument: &Instrument,
        predicted: impl Fn(Span) -> Option<[Predicted; 2]>,
    ) -> Option<NextLength> {
        let mut best: Option<(f64, Span, f64)> = None;
        each_pair(self.problem(), |spans| {
            for span in spans {
                let Some(expected) = expected_mm(self, instrument, *span) else { continue };
                let Some([a, b]) = predicted(*span) else { continue };
                let variance = instrument.sigma_mm * instrument.sigma_mm + a.variance.max(b.variance).max(0.0);
                let apart = (a.mm - b.mm).abs() / variance.sqrt();
                if apart > best.map_or(TOLD_APART_SIGMAS, |(most, ..)| most) {
                    best = Some((apart, *span, expected));
                }
            }
        });
        let (_, span, expected_mm) = best?;
        let worst_after_mm = worst_after(self, instrument, &worst_first(self), span, f64::INFINITY)?;
        Some(NextLength { span, expected_mm, worst_after_mm })
    }
}
