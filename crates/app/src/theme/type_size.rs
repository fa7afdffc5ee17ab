//! How large words and controls are drawn, apart from what the screen's own scale does.

use serde::{Deserialize, Serialize};

/// How large words and controls are drawn, in percent of the usual: one of a few steps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(from = "u32", into = "u32")]
pub struct TypeSize(u32);

/// The steps, percent.
const STEPS: [u32; 6] = [90, 100, 110, 120, 135, 150];

impl Default for TypeSize {
    fn default() -> Self {
        Self(100)
    }
}

impl From<u32> for TypeSize {
    /// The step that is nearest.
    fn from(percent: u32) -> Self {
        let nearest = STEPS.into_iter().min_by_key(|step| step.abs_diff(percent));
        nearest.map_or_else(Self::default, Self)
    }
}

impl From<TypeSize> for u32 {
    fn from(size: TypeSize) -> Self {
        size.0
    }
}

impl TypeSize {
    /// In percent of the usual.
    pub fn percent(self) -> u32 {
        self.0
    }

    /// As a factor.
    pub fn factor(self) -> f32 {
        self.0 as f32 / 100.0
    }

    /// The next step up; `None` at the largest.
    pub fn larger(self) -> Option<Self> {
        STEPS.into_iter().find(|step| *step > self.0).map(Self)
    }

    /// The next step down; `None` at the smallest.
    pub fn smaller(self) -> Option<Self> {
        STEPS.into_iter().rev().find(|step| *step < self.0).map(Self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_goes_up_and_down_in_steps_and_stops_at_both_ends() {
        let mut size = TypeSize::default();
        let mut up = Vec::new();
        while let Some(larger) = size.larger() {
            size = larger;
            up.push(size.percent());
        }
        assert_eq!(up, [110, 120, 135, 150], "up");
        while let Some(smaller) = size.smaller() {
            size = smaller;
        }
        assert_eq!(size.percent(), 90, "down");
    }

    #[test]
    fn a_size_that_is_no_step_becomes_the_nearest() {
        for (typed, step) in [(0, 90), (104, 100), (126, 120), (1_000_000, 150)] {
            assert_eq!(TypeSize::from(typed).percent(), step, "{typed} %");
        }
    }
}
