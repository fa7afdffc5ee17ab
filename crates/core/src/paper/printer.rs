//! What puts a printer right that draws things too long or too short.

use crate::units::{format_figure, format_mm};

/// What is to be printed is multiplied by this, so that it comes out true; each direction on its own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PrinterScale {
    /// Across the page.
    pub across: f64,
    /// Up the page.
    pub up: f64,
}

/// Why readings of check bars put no printer right.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum BarRefused {
    /// No printer is that far off.
    #[error(
        "the check bar {direction} should be {} and was read as {}; no printer is that far off, so print at 100 % and \
         measure the bar again",
        format_mm(*.should_be_mm, 0),
        format_mm(*.reads_mm, 2)
    )]
    FarOff {
        /// `across` or `up`.
        direction: &'static str,
        /// Its length as it should be, mm.
        should_be_mm: f64,
        /// Its length as it was read, mm.
        reads_mm: f64,
    },
}

/// The largest correction: beyond it a print was fitted to the paper, or a bar was misread.
const LARGEST: f64 = 0.1;

impl Default for PrinterScale {
    fn default() -> Self {
        Self::TRUE
    }
}

impl PrinterScale {
    /// That of a printer that draws everything as long as it is.
    pub const TRUE: Self = Self { across: 1.0, up: 1.0 };

    /// From the check bars across and up of a print that was made without a correction: how long they should be, and how
    /// long they are. See [`Self::after`] for one that was made with a correction.
    ///
    /// # Errors
    /// Where a bar is off by more than a tenth, or its length is no number.
    pub fn from_bars(should_be_mm: [f64; 2], reads_mm: [f64; 2]) -> Result<Self, BarRefused> {
        let factor = |k: usize, direction| {
            let (should_be_mm, reads_mm) = (should_be_mm[k], reads_mm[k]);
            let factor = should_be_mm / reads_mm;
            let off = reads_mm / should_be_mm - 1.0;
            // A comparison with what is not a number is false, so it is refused as well.
            if off.abs() <= LARGEST && factor.is_finite() {
                Ok(factor)
            } else {
                Err(BarRefused::FarOff { direction, should_be_mm, reads_mm })
            }
        };
        Ok(Self { across: factor(0, "across")?, up: factor(1, "up")? })
    }

    /// This correction, found from a print that was made with `earlier`, as one of a print without.
    #[must_use]
    pub fn after(self, earlier: Self) -> Self {
        Self { across: self.across * earlier.across, up: self.up * earlier.up }
    }

    /// What was corrected, for reading: `× 1.0048 across, × 1.0010 up`; `None` where nothing is.
    pub fn words(self) -> Option<String> {
        let [across, up] = [self.across, self.up].map(|factor| format_figure(factor, 4));
        let is_true = across == "1.0000" && up == "1.0000";
        (!is_true).then(|| format!("× {across} across, × {up} up"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_bar_that_reads_short_makes_the_next_print_longer() {
        let scale = PrinterScale::from_bars([80.0, 100.0], [79.62, 99.9]).unwrap();
        // 80 / 79.62 = 1.004773 and 100 / 99.9 = 1.001001.
        assert_eq!(scale.words().as_deref(), Some("× 1.0048 across, × 1.0010 up"), "should be over reads");
        assert_eq!(PrinterScale::TRUE.words(), None, "nothing to say of a true one");
    }

    #[test]
    fn a_reading_that_no_printer_gives_is_refused_with_its_direction() {
        let said = PrinterScale::from_bars([100.0, 100.0], [99.4, 25.4]).unwrap_err().to_string();
        assert!(said.starts_with("the check bar up should be 100 mm and was read as 25.40 mm"), "{said}");
        for reads in [f64::NAN, f64::INFINITY, 0.0, -100.0, 89.9, 110.1] {
            assert!(PrinterScale::from_bars([100.0, 100.0], [reads, 100.0]).is_err(), "{reads} mm");
        }
    }

    proptest! {
        #[test]
        fn a_print_made_with_the_correction_comes_out_true(across in 0.91..1.09f64, up in 0.91..1.09f64, bar in 50.0..100.0f64) {
            let first = PrinterScale::from_bars([bar, bar], [bar * across, bar * up]).unwrap();
            prop_assert!((first.across * across - 1.0).abs() < 1e-12 && (first.up * up - 1.0).abs() < 1e-12);
            // Measured again, the true print corrects nothing further.
            let again = PrinterScale::from_bars([bar, bar], [bar, bar]).unwrap().after(first);
            prop_assert_eq!(again, first);
        }
    }
}
