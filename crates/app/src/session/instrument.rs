//! What a measure is taken with, as it is chosen on screen.

use super::Facts;

/// What a measure is taken with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Instrument {
    /// Digital caliper.
    Caliper,
    /// Steel rule.
    Rule,
    /// Tape.
    Tape,
    /// One's own.
    Own {
        /// Standard deviation of its reading, mm.
        sigma_mm: f64,
        /// The longest that it spans, mm.
        reach_mm: f64,
    },
}

impl Instrument {
    /// How well it reads, and what it reaches. One's own enters what a caliper does.
    pub fn facts(self) -> Facts {
        match self {
            Self::Caliper => Facts::CALIPER,
            Self::Rule => Facts::RULE,
            Self::Tape => Facts::TAPE,
            Self::Own { sigma_mm, reach_mm } => Facts { sigma_mm, reach_mm, ..Facts::CALIPER },
        }
    }

    /// Standard deviation of its reading, mm.
    pub fn sigma_mm(self) -> f64 {
        self.facts().sigma_mm
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Caliper => "Caliper",
            Self::Rule => "Steel rule",
            Self::Tape => "Tape",
            Self::Own { .. } => "Own",
        }
    }
}
