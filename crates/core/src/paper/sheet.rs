//! Sizes of paper.

use serde::{Deserialize, Serialize};

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Paper {
    /// A card of 105 by 148 mm.
    A6,
    /// 210 by 297 mm.
    #[default]
    A4,
    /// 297 by 420 mm.
    A3,
    /// 8.5 by 11 inches.
    Letter,
}

/// Where printers do not reach, on each side of a sheet, mm (common practice, no source: most leave 4 to 6).
pub const MARGIN_MM: f64 = 10.0;

impl Paper {
    /// All of them, from the smallest.
    pub const ALL: [Self; 4] = [Self::A6, Self::A4, Self::Letter, Self::A3];

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::A6 => "A6",
            Self::A4 => "A4",
            Self::A3 => "A3",
            Self::Letter => "Letter",
        }
    }

    /// Width and height, upright, mm: ISO 216 (from memory; each size is the next larger one halved) and 8.5 by 11 inches.
    pub const fn size_mm(self) -> [f64; 2] {
        match self {
            Self::A6 => [105.0, 148.0],
            Self::A4 => [210.0, 297.0],
            Self::A3 => [297.0, 420.0],
            Self::Letter => [215.9, 279.4],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_of_the_a_series_are_halves_of_one_another() {
        // ISO 216: the short side of a sheet is half of the long side of the next larger one, rounded down.
        let [[_, a3_long], [a4_short, a4_long], [a6_short, a6_long]] =
            [Paper::A3, Paper::A4, Paper::A6].map(Paper::size_mm);
        assert!((a3_long / 2.0 - a4_short).abs() < 1e-9, "A3 halved is A4");
        let a5_short = (a4_long / 2.0).floor();
        assert!((a5_short - a6_long).abs() < 1e-9 && (a4_short / 2.0 - a6_short).abs() < 1e-9, "A4 quartered is A6");
    }
}
