//! How proofs are made on this machine: its paper, its printers. It outlives the job, and belongs to none.

use platewright_core::paper::{BarRefused, Paper, PrinterScale, TileLayout};
use serde::{Deserialize, Serialize};

/// How proofs are made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct ProofSettings {
    /// The paper in the printer.
    pub paper: Paper,
    /// Lines every 10 mm are drawn on it.
    pub grid: bool,
    /// A cross is drawn in every hole.
    pub centre_crosses: bool,
    /// What the paper printer makes of what it is given.
    pub printer: PaperPrinter,
    /// Thickness of a printed plate, mm; `None`: what is usual for the sheet.
    pub plate_mm: Option<f64>,
    /// How much its plastic shrinks, per cent; `None`: what is usual.
    pub shrink_percent: Option<f64>,
    /// How much smaller holes come out, mm across; `None`: what is usual.
    pub hole_allowance_mm: Option<f64>,
}

/// What a paper printer makes of what it is given.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct PaperPrinter {
    /// What the last proof was multiplied by, across and up.
    pub printed_with: [f64; 2],
    /// How long its check bars should be, mm.
    pub bars_mm: [f64; 2],
    /// How long they are, mm, where that was typed.
    pub reads_mm: [Option<f64>; 2],
    /// Its sheets lay on their long side.
    pub lay: bool,
    /// How many proofs were written before and with it: what is read is of that one.
    pub number: u32,
}

impl Default for ProofSettings {
    fn default() -> Self {
        Self {
            paper: Paper::A4,
            grid: true,
            centre_crosses: true,
            printer: PaperPrinter::default(),
            plate_mm: None,
            shrink_percent: None,
            hole_allowance_mm: None,
        }
    }
}

impl Default for PaperPrinter {
    fn default() -> Self {
        Self { printed_with: [1.0; 2], bars_mm: [100.0; 2], reads_mm: [None; 2], lay: false, number: 0 }
    }
}

/// What a proof can have been multiplied by, after however many corrections; settings that say anything else are spoilt.
const LEAST: f64 = 0.5;
const MOST: f64 = 2.0;

impl PaperPrinter {
    /// What the next proof is multiplied by, across and up its sheets. `lies`: they lie on their long side. A printer feeds
    /// every sheet the same way, so what is across an upright one is up a lying one.
    ///
    /// # Errors
    /// Where a bar reads what no printer makes of it.
    pub fn next(&self, lies: bool) -> Result<PrinterScale, BarRefused> {
        let [across, up] = self.printed_with;
        let is_one = [across, up].iter().all(|factor| (LEAST..=MOST).contains(factor));
        let earlier = if is_one { PrinterScale { across, up } } else { PrinterScale::TRUE };
        let reads = [0, 1].map(|k| self.reads_mm[k].unwrap_or(self.bars_mm[k]));
        let found = PrinterScale::from_bars(self.bars_mm, reads)?.after(earlier);
        let PrinterScale { across, up } = found;
        Ok(if lies == self.lay { found } else { PrinterScale { across: up, up: across } })
    }

    /// The same once a proof was written with `scale` and bars of these lengths: they are to be read anew.
    #[must_use]
    pub fn printed(self, scale: PrinterScale, tiles: &TileLayout) -> Self {
        let (bars_mm, lay, number) = (tiles.bars_mm, tiles.is_lying(), self.number.saturating_add(1));
        Self { printed_with: [scale.across, scale.up], bars_mm, reads_mm: [None; 2], lay, number }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_bars_read_puts_the_next_print_right_and_the_one_after_it() {
        let mut printer = PaperPrinter { reads_mm: [Some(99.4), None], ..PaperPrinter::default() };
        let scale = printer.next(false).unwrap();
        let turned = printer.next(true).unwrap();
        assert_eq!((turned.across.to_bits(), turned.up.to_bits()), (scale.up.to_bits(), scale.across.to_bits()));
        assert!((scale.across - 100.0 / 99.4).abs() < 1e-12 && (scale.up - 1.0).abs() < 1e-12, "{scale:?}");
        let printed_with = [scale.across, scale.up];
        printer = PaperPrinter { printed_with, bars_mm: [80.0, 100.0], ..PaperPrinter::default() };
        assert_eq!(printer.next(false).unwrap().across.to_bits(), scale.across.to_bits(), "nothing was read since");
        printer.reads_mm = [Some(80.1), None];
        let again = printer.next(false).unwrap();
        assert!((again.across - scale.across * 80.0 / 80.1).abs() < 1e-12, "on top of what was put right: {again:?}");
        printer.reads_mm = [Some(8.0), None];
        assert!(printer.next(false).is_err(), "no printer is that far off");
        let spoilt = PaperPrinter { printed_with: [f64::NAN, 1.0], ..PaperPrinter::default() };
        assert_eq!(spoilt.next(false), Ok(PrinterScale::TRUE), "settings that hold no number are as good as none");
        let twice = PaperPrinter { printed_with: [1.09, 1.0], reads_mm: [Some(92.0), None], ..PaperPrinter::default() };
        assert!(twice.next(false).is_ok(), "corrections add up, and lock nobody out");
    }
}
