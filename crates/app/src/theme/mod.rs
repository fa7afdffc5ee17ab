//! Paper, ink, brass: the only place where a colour, a typeface or a width is made.
//!
//! ## Invariants
//! - No other module makes a colour. Every pair of text and ground here has a contrast of 4.5 or better, of graphics
//!   and ground 3 or better (checked by a test, computed by WCAG 2).
//! - Colour is never the only cue: what agrees, disagrees or is not known also has its icon or its words.

mod colours;
mod lettering;
mod measures;
mod style;
mod type_size;
mod typefaces;

pub use colours::{Colours, VEIL, of_pixel, on_photo};
pub use lettering::Lettering;
pub use measures::*;
pub use style::apply;
pub use type_size::TypeSize;
pub use typefaces::{Weight, font, install};

use serde::{Deserialize, Serialize};

/// Which of the two themes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Theme {
    /// Light.
    #[default]
    Paper,
    /// Dark.
    NightShift,
}

impl Theme {
    /// The colours of this theme.
    pub fn colours(self) -> &'static Colours {
        match self {
            Self::Paper => &colours::PAPER,
            Self::NightShift => &colours::NIGHT_SHIFT,
        }
    }

    /// The other one.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::Paper => Self::NightShift,
            Self::NightShift => Self::Paper,
        }
    }
}

/// The colours that `ui` is drawn in.
pub fn colours(ui: &egui::Ui) -> &'static Colours {
    if ui.visuals().dark_mode { Theme::NightShift.colours() } else { Theme::Paper.colours() }
}
