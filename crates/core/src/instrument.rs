//! What lengths are taken with. The figures are common practice, no source; a caliper's own error by DIN 862 is smaller,
//! what counts is how it is held.

/// What a length is taken with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Instrument {
    /// Standard deviation of a reading, mm.
    pub sigma_mm: f64,
    /// The longest that it spans, mm.
    pub reach_mm: f64,
    /// The smallest hole that it can be read in, mm: what the small jaws enter; 0 where it is read by eye.
    pub jaws_mm: f64,
}

impl Instrument {
    /// A digital caliper of 150 mm.
    pub const CALIPER: Self = Self { sigma_mm: 0.05, reach_mm: 150.0, jaws_mm: 3.0 };
    /// A steel rule of 300 mm.
    pub const RULE: Self = Self { sigma_mm: 0.25, reach_mm: 300.0, jaws_mm: 0.0 };
    /// A tape of 3 m.
    pub const TAPE: Self = Self { sigma_mm: 0.7, reach_mm: 3000.0, jaws_mm: 0.0 };
}

/// A reading of this standard deviation, mm, was read by eye off a rule's or a tape's lines, not off a display.
pub fn is_read_by_eye(sigma_mm: f64) -> bool {
    sigma_mm >= Instrument::RULE.sigma_mm
}

impl Default for Instrument {
    fn default() -> Self {
        Self::CALIPER
    }
}
