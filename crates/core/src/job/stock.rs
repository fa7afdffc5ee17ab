//! The sheet, the cutter and the file that goes to it, and what the part is to hold back.

use super::model::is_default;
use crate::units::format_short;
use serde::{Deserialize, Serialize};

/// The sheet and the cutter.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stock {
    /// Thickness of the sheet, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thickness_mm: Option<f64>,
    /// What the sheet is of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material: Option<SheetMaterial>,
    /// Width of the cut, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kerf_mm: Option<f64>,
    /// The file allows for the kerf; false: the shop does.
    #[serde(default)]
    pub kerf_in_file: bool,
    /// How far off the cutter may be, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cut_tolerance_mm: Option<f64>,
    /// Width and height of the sheet that it is cut from, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sheet_mm: Option<[f64; 2]>,
    /// How many are cut, 1 to [`MOST_COPIES`]; left out: one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub copies: Option<u32>,
    /// What is left between one copy and the next, and along the sheet's sides, mm; left out: [`Self::USUAL_GAP_MM`].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gap_mm: Option<f64>,
    /// The unit that the cut file is drawn in.
    #[serde(default, skip_serializing_if = "is_default")]
    pub unit: FileUnit,
}

/// The most copies that one file holds.
pub const MOST_COPIES: u32 = 500;

impl Stock {
    /// What is left between copies where the person does not say, mm. Common practice, no source.
    pub const USUAL_GAP_MM: f64 = 5.0;

    /// How many are cut.
    pub fn copy_count(&self) -> u32 {
        self.copies.unwrap_or(1)
    }

    /// What is left between copies and along the sheet's sides, mm.
    pub fn gap_or_usual_mm(&self) -> f64 {
        self.gap_mm.unwrap_or(Self::USUAL_GAP_MM)
    }

    /// A kerf as it stands in a file, its name and sentences about it, mm: to a thousandth, without zeros at the end.
    pub fn kerf_figure(kerf_mm: f64) -> String {
        format_short(kerf_mm, 3)
    }

    /// The kerf that the file itself allows for, mm; `None` where the shop does.
    pub fn kerf_to_allow_mm(&self) -> Option<f64> {
        self.kerf_mm.filter(|kerf_mm| self.kerf_in_file && *kerf_mm > 0.0)
    }
}

/// What a sheet is of, as far as a rule asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SheetMaterial {
    /// Steel, aluminium, brass.
    Metal,
    /// Plastic sheet.
    Plastic,
    /// Gasket sheet: rubber, fibre, cork, paper.
    Gasket,
    /// Board or plywood.
    Wood,
}

impl SheetMaterial {
    /// All of them, in the order of the screen.
    pub const ALL: [Self; 4] = [Self::Metal, Self::Plastic, Self::Gasket, Self::Wood];

    /// What it is called.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Metal => "metal",
            Self::Plastic => "plastic",
            Self::Gasket => "gasket sheet",
            Self::Wood => "board or plywood",
        }
    }
}

/// The unit that a cut file is drawn in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FileUnit {
    /// Millimetres.
    #[default]
    Mm,
    /// Inches of 25.4 mm.
    Inch,
}

impl FileUnit {
    /// Both, in the order of the screen.
    pub const ALL: [Self; 2] = [Self::Mm, Self::Inch];

    /// What it is called.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Inch => "inch",
        }
    }
}

/// What the part is to hold back or keep people from: each makes it a safety part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Duty {
    /// Pressure.
    Pressure,
    /// Vacuum.
    Vacuum,
    /// Fuel, or another liquid that burns or harms.
    Fuel,
    /// Heat.
    Heat,
    /// It keeps hands out of a machine.
    Guarding,
}

impl Duty {
    /// All of them, in the order of the screen.
    pub const ALL: [Self; 5] = [Self::Pressure, Self::Vacuum, Self::Fuel, Self::Heat, Self::Guarding];
}
