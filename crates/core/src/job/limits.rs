//! The most that lengths of a job may be: far beyond what is made, so that only a slip of the keyboard or of the unit is
//! refused. All of them common practice, no source.

use super::JobError;
use super::validate::usable;
use crate::units::format_short;
use std::fmt::Display;

/// The most that a length may be.
#[derive(Debug, Clone, Copy)]
pub(super) struct Most {
    mm: f64,
    /// What nothing is beyond it, as the middle of a sentence: `no kerf is wider`.
    none: &'static str,
}

impl Most {
    /// A gas flame cuts up to 5 mm wide.
    pub(super) const KERF: Self = Self { mm: 10.0, none: "no kerf is wider" };
    /// A flame guided by hand holds a few mm.
    pub(super) const CUT_TOLERANCE: Self = Self { mm: 10.0, none: "no cutter is farther off" };
    /// Gas flames cut slabs of 300 mm.
    pub(super) const THICKNESS: Self = Self { mm: 1000.0, none: "no sheet is thicker" };
    /// Sheets off a coil are cut to 20 m.
    pub(super) const SHEET: Self = Self { mm: 50_000.0, none: "no sheet is longer" };
    /// Copies farther apart waste the sheet.
    pub(super) const GAP: Self = Self { mm: 1000.0, none: "no copies lie farther apart" };
    /// Tower flanges have bores of several metres.
    pub(super) const DIAMETER: Self = Self { mm: 10_000.0, none: "no hole is wider" };
    /// A flat part that one photo shows.
    pub(super) const LENGTH: Self = Self { mm: 50_000.0, none: "no part is longer" };
    /// What is held back by hand of an edge.
    pub(super) const LAND: Self = Self { mm: 1000.0, none: "no land is wider" };

    /// Refuses what is beyond it, either way; what is no figure as well.
    pub(super) fn check(self, key: impl Display, mm: f64) -> Result<(), JobError> {
        usable(&key, mm)?;
        let Self { mm: most, none } = self;
        if mm.abs() > most {
            let mm = format_short(mm, 3);
            return Err(JobError::at(key.to_string(), format!("is {mm} mm, and {none} than {most} mm")));
        }
        Ok(())
    }

    /// The same for what has to be more than nothing.
    pub(super) fn check_positive(self, key: impl Display, mm: f64) -> Result<(), JobError> {
        super::validate::positive(&key, mm)?;
        self.check(key, mm)
    }

    /// The same for what may be nothing, and not less.
    pub(super) fn check_zero_or_more(self, key: impl Display, mm: f64) -> Result<(), JobError> {
        super::validate::zero_or_more(&key, mm)?;
        self.check(key, mm)
    }
}
