//! Figures as they stand on the sheets: two decimals in mm, three in inches, a true minus, ± at 95 %.

use super::figure_field::shortest;
use crate::session::Session;
use platewright_core::instrument::is_read_by_eye;
use platewright_core::job::{Id, Job, MeasureKind};
use platewright_core::units::{MM_PER_INCH, format_figure, format_over, format_reading};

/// What stands where a figure is not known.
pub(super) const DASH: &str = "—";

/// The unit that lengths are shown in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Lengths {
    inches: bool,
}

impl Lengths {
    /// Millimetres.
    pub(super) const MM: Self = Self { inches: false };

    /// As the screen is set.
    pub(super) fn of(session: &Session) -> Self {
        Self { inches: session.screen.inches }
    }

    /// The unit's sign.
    pub(super) fn unit(self) -> &'static str {
        if self.inches { "in" } else { "mm" }
    }

    /// The unit's sign after that of how far off something may be.
    pub(super) fn plus_minus_unit(self) -> &'static str {
        if self.inches { "± in" } else { "± mm" }
    }

    /// A length as it stands in a field: every digit that was typed, without idle zeros.
    pub(super) fn typed_figure(self, mm: f64) -> String {
        if self.inches { shortest(mm / MM_PER_INCH, 4) } else { shortest(mm, 3) }
    }

    /// A reading of an instrument, without its unit: what was read off a rule's or a tape's fractions of an inch stands
    /// as the fraction.
    pub(super) fn reading(self, mm: f64, sigma_mm: f64) -> String {
        format_reading(mm, self.typed(), is_read_by_eye(sigma_mm))
    }

    /// The unit that a typed figure without one is in.
    pub(super) fn typed(self) -> platewright_core::units::Unit {
        if self.inches { platewright_core::units::Unit::Inch } else { platewright_core::units::Unit::Mm }
    }

    fn parts(self, mm: f64) -> (f64, usize) {
        if self.inches { (mm / MM_PER_INCH, 3) } else { (mm, 2) }
    }

    /// A length without its unit.
    pub(super) fn figure(self, mm: f64) -> String {
        let (value, decimals) = self.parts(mm);
        format_figure(value, decimals)
    }

    /// A deviation with its sign, without its unit.
    pub(super) fn signed(self, mm: f64) -> String {
        let (value, decimals) = self.parts(mm);
        // From ten up the last decimal tells nothing more, and would run into the next column.
        let decimals = if value.abs() >= 10.0 { decimals - 1 } else { decimals };
        let text = format_figure(value, decimals);
        if text.starts_with('\u{2212}') || format_figure(0.0, decimals) == text { text } else { format!("+{text}") }
    }

    /// How far off it can be, `±0.08`, without its unit. Never ±0.00: what is smaller than the last digit is said so.
    pub(super) fn plus_minus(self, mm: f64) -> String {
        let (value, decimals) = self.parts(mm);
        let least = if self.inches { 0.001 } else { 0.01 };
        format!("±{}", format_figure(value.max(least), if value >= 10.0 { 1 } else { decimals }))
    }

    /// It would be shown as 0.
    pub(super) fn is_nothing(self, mm: f64) -> bool {
        self.figure(mm.abs()) == self.figure(0.0)
    }

    /// A length with its unit.
    pub(super) fn with_unit(self, mm: f64) -> String {
        format!("{} {}", self.figure(mm), self.unit())
    }

    /// A length and the most that it may be, with their unit: where it is more they never read the same.
    pub(super) fn beside_limit(self, mm: f64, limit_mm: f64) -> [String; 2] {
        let ((value, decimals), (limit, _)) = (self.parts(mm), self.parts(limit_mm));
        let figures = if mm > limit_mm {
            format_over(value, limit, decimals)
        } else {
            [value, limit].map(|figure| format_figure(figure, decimals))
        };
        figures.map(|figure| format!("{figure} {}", self.unit()))
    }

    /// How far off it can be, with its unit.
    pub(super) fn plus_minus_with_unit(self, mm: f64) -> String {
        format!("{} {}", self.plus_minus(mm), self.unit())
    }
}

/// `1 hole`, `2 holes`, by the count.
pub(super) fn count(number: usize, one: &str, many: &str) -> String {
    if number == 1 { format!("{number} {one}") } else { format!("{number} {many}") }
}

/// Between which features, `H2 to H4`; the one feature's name for a diameter.
pub(super) fn between_words(job: &Job, between: &[Id]) -> String {
    between.iter().map(|id| job.feature_name(id)).collect::<Vec<_>>().join(" to ")
}

/// What a kind of measure is held against, for its button's name and hint.
pub(super) fn kind_hint(kind: MeasureKind) -> &'static str {
    match kind {
        MeasureKind::FarRims => "Far side of one hole to the far side of the other.",
        MeasureKind::NearRims => "Near side of one hole to the near side of the other: the wall between them.",
        MeasureKind::Centres => "Centre of one hole to the centre of the other.",
        MeasureKind::Diameter => "Across one hole.",
        MeasureKind::Points => "From one named point to another.",
        MeasureKind::Edges => "Between two parallel edges, jaw to jaw.",
        MeasureKind::RimToEdge => "From a hole's rim to a straight edge.",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use platewright_core::instrument::Instrument;

    const MM: Lengths = Lengths { inches: false };
    const INCH: Lengths = Lengths { inches: true };

    #[test]
    fn a_minus_is_a_true_minus_and_zero_has_none() {
        assert_eq!(MM.figure(-3.074), "\u{2212}3.07", "true minus");
        assert_eq!(MM.figure(-0.001), "0.00", "no minus before zero");
        assert_eq!(MM.signed(0.98), "+0.98", "plus where it is long");
        assert_eq!(MM.signed(0.001), "0.00", "no sign where it is nothing");
    }

    #[test]
    fn an_uncertainty_is_never_shown_as_nothing() {
        assert_eq!(MM.plus_minus(0.0004), "±0.01", "at least the last digit");
        assert_eq!(INCH.plus_minus(0.0004), "±0.001", "at least the last digit");
        assert_eq!(MM.plus_minus(0.0816), "±0.08", "two decimals");
        assert_eq!(MM.plus_minus(23.456), "±23.5", "one decimal from ten");
    }

    #[test]
    fn what_is_over_its_limit_does_not_read_as_the_limit() {
        let mm = |mm, limit_mm| MM.beside_limit(mm, limit_mm);
        assert_eq!(mm(0.0811, 0.0758), ["0.081 mm", "0.076 mm"], "a third decimal tells them apart");
        assert_eq!(mm(0.0758, 0.0811), ["0.08 mm", "0.08 mm"], "within it two decimals do");
        assert_eq!(INCH.beside_limit(0.0811, 0.0758), ["0.0032 in", "0.0030 in"], "in inches a fourth");
    }

    #[test]
    fn inches_have_three_decimals() {
        assert_eq!(INCH.with_unit(25.4), "1.000 in", "an inch is 25.4 mm exactly (1959)");
        assert_eq!(MM.with_unit(25.4), "25.40 mm", "the same in mm");
    }

    #[test]
    fn a_reading_by_eye_is_shown_as_the_fraction_that_it_was() {
        let mm = 9.875 * 25.4;
        assert_eq!(INCH.reading(mm, Instrument::TAPE.sigma_mm), "9 7/8", "off a tape");
        assert_eq!(INCH.reading(mm, Instrument::CALIPER.sigma_mm), "9.875", "off a caliper's display");
        assert_eq!(INCH.reading(100.0, Instrument::RULE.sigma_mm), "3.937", "no fraction of an inch");
        assert_eq!(MM.reading(3.5 * 25.4, Instrument::TAPE.sigma_mm), "88.90", "in mm");
    }

    #[test]
    fn a_count_agrees_with_its_noun() {
        assert_eq!(count(1, "hole", "holes"), "1 hole", "one");
        assert_eq!(count(0, "hole", "holes"), "0 holes", "none");
    }
}
