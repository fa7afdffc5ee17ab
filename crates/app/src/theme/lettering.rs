//! The sizes of type: what each kind of text is set in.

use super::{Weight, font};
use egui::FontId;

/// A kind of text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lettering {
    /// The heading of the start guide.
    Heading,
    /// The sentence of the sheet.
    Sentence,
    /// The number of an operation.
    Number,
    /// Names of operations and of pictograms.
    Name,
    /// Title cells that are no names.
    Cell,
    /// Body, rows, buttons.
    Body,
    /// Names and results among body text, heads.
    Strong,
    /// The status sentence.
    Status,
    /// State lines, table heads, legends.
    Small,
    /// The same for names and results.
    SmallStrong,
}

impl Lettering {
    /// Its font.
    pub fn font(self) -> FontId {
        match self {
            Self::Heading => font(24.0, Weight::SemiBold),
            Self::Sentence | Self::Number => font(18.0, Weight::SemiBold),
            Self::Name => font(15.0, Weight::SemiBold),
            Self::Cell => font(15.0, Weight::Regular),
            Self::Body => font(13.5, Weight::Regular),
            Self::Strong => font(13.5, Weight::SemiBold),
            Self::Status => font(14.0, Weight::SemiBold),
            Self::Small => font(12.0, Weight::Regular),
            Self::SmallStrong => font(12.0, Weight::SemiBold),
        }
    }

    /// From one line to the next, points.
    pub fn line(self) -> f32 {
        match self {
            Self::Heading => 30.0,
            Self::Sentence => 24.0,
            Self::Small | Self::SmallStrong => 16.0,
            _ => 20.0,
        }
    }
}
