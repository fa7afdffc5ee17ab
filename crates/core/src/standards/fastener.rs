//! A bolt, screw or stud by its size.

use super::{HoleClass, asme_b18_2_8, iso_273, iso_2306};
use crate::units::{MM_PER_INCH, Unit, parse_length_mm};
use std::fmt;

/// A size of bolt, screw or stud that the tables have: M1.6 to M36, and #4 to 1 in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fastener(Row);

/// Where the size stands.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Row {
    Metric(&'static iso_273::Row),
    Inch(&'static asme_b18_2_8::Row),
}

/// A typed inch size is this near to the one that is meant, mm: sixteenths are far apart, and exact but for rounding.
const SAME_SIZE_MM: f64 = 1e-6;

impl Fastener {
    /// All metric sizes by diameter, then all inch sizes.
    pub fn all() -> impl Iterator<Item = Self> {
        let metric = iso_273::ROWS.iter().map(|row| Self(Row::Metric(row)));
        metric.chain(asme_b18_2_8::ROWS.iter().map(|row| Self(Row::Inch(row))))
    }

    /// The size as people type it: `M6`, `m 2,5`, `#10`, `1/4`, `1/4 in`, `1"`. A figure alone is no size.
    pub fn parse(text: &str) -> Option<Self> {
        let typed: String = text.split_whitespace().collect::<String>().to_lowercase().replace(',', ".");
        let named = |name: &str| Self::all().find(|fastener| fastener.name().to_lowercase() == name);
        if typed.starts_with(['m', '#']) {
            return named(&typed);
        }
        let marks = ["inches", "inch", "in.", "in", "''", "\"", "″", "”"];
        let is_inches = typed.contains(['/', '\u{2044}']) || marks.iter().any(|mark| typed.ends_with(mark));
        // What is no length is no size either; the caller says what sizes there are.
        let mm = parse_length_mm(text, Unit::Inch).ok().filter(|_| is_inches)?;
        Self::all().find(|fastener| fastener.is_sold_by(mm))
    }

    /// An inch size that goes by its diameter, and this is it.
    fn is_sold_by(self, mm: f64) -> bool {
        matches!(self.0, Row::Inch(row) if !row.name.starts_with('#')) && (self.diameter_mm() - mm).abs() < SAME_SIZE_MM
    }

    /// Its name as the trade writes it: `M6`, `#10`, `1/4 in`.
    pub fn name(self) -> &'static str {
        match self.0 {
            Row::Metric(row) => row.name,
            Row::Inch(row) => row.name,
        }
    }

    /// Its nominal diameter, mm.
    pub fn diameter_mm(self) -> f64 {
        match self.0 {
            Row::Metric(row) => row.diameter,
            Row::Inch(row) => row.diameter * MM_PER_INCH,
        }
    }

    /// Diameter of the hole of a class, mm, where its standard has one.
    pub(super) fn hole_mm(self, class: HoleClass) -> Option<f64> {
        match (self.0, class) {
            (Row::Metric(row), HoleClass::Fine) => Some(row.fine),
            (Row::Metric(row), HoleClass::Medium) => Some(row.medium),
            (Row::Metric(row), HoleClass::Coarse) => row.coarse,
            (Row::Metric(row), HoleClass::Tapping) => {
                iso_2306::ROWS.iter().find(|(name, _)| *name == row.name).map(|(_, drill)| *drill)
            }
            (Row::Inch(row), HoleClass::Close) => Some(row.close * MM_PER_INCH),
            (Row::Inch(row), HoleClass::Normal) => Some(row.normal * MM_PER_INCH),
            (Row::Inch(row), HoleClass::Loose) => Some(row.loose * MM_PER_INCH),
            (Row::Metric(_), HoleClass::Close | HoleClass::Normal | HoleClass::Loose)
            | (Row::Inch(_), HoleClass::Fine | HoleClass::Medium | HoleClass::Coarse | HoleClass::Tapping) => None,
        }
    }
}

impl fmt::Display for Fastener {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn sizes_as_people_type_them() {
        for (typed, name) in [
            ("M6", "M6"),
            (" m6 ", "M6"),
            ("M 6", "M6"),
            ("m2,5", "M2.5"),
            ("M1.6", "M1.6"),
            ("#10", "#10"),
            ("# 10", "#10"),
            ("1/4", "1/4 in"),
            ("1/4 in", "1/4 in"),
            ("1/4\"", "1/4 in"),
            ("0.25 inch", "1/4 in"),
            ("7⁄16 ″", "7/16 in"),
            ("1 in", "1 in"),
            ("1\"", "1 in"),
        ] {
            assert_eq!(Fastener::parse(typed).map(Fastener::name), Some(name), "{typed}");
        }
    }

    #[test]
    fn what_is_no_size() {
        for typed in ["", "6", "M", "M6x1", "M9", "m-6", "#", "#7", "0.19 in", "12.7 mm", "1/2 mm", "1/3", "9 7/8 in"] {
            assert_eq!(Fastener::parse(typed), None, "{typed}");
        }
    }

    #[test]
    fn every_size_is_found_by_its_own_name() {
        assert_eq!(Fastener::all().count(), 21 + 14, "M1.6 to M36, #4 to 1 in");
        for fastener in Fastener::all() {
            assert_eq!(Fastener::parse(&fastener.to_string()), Some(fastener), "{fastener}");
        }
        let diameter = |text| Fastener::parse(text).unwrap().diameter_mm();
        assert!((diameter("5/16") - 7.9375).abs() < 1e-12, "five sixteenths of an inch");
        assert!((diameter("M3.5") - 3.5).abs() < 1e-12, "its name is its diameter");
    }

    proptest! {
        #[test]
        fn no_text_brings_the_reader_down(text in "\\PC*") {
            let _ = Fastener::parse(&text);
        }
    }
}
