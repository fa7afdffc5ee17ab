//! A figure as a field: a number or a length, with the sentence beside it where what was typed is none.

use super::figures::Lengths;
use crate::controls::{Field, Reading, read_value, say_in};
use crate::theme::{self, Lettering};
use egui::{Id, Ui};
use platewright_core::job::capital;
use platewright_core::units::{format_figure, parse_offset_mm};

/// A figure as a field.
#[derive(Debug, Clone, Copy)]
pub(super) struct Figure<'a> {
    /// Its accessible name.
    name: &'a str,
    /// What it belongs to; the same field of another thing is another field.
    of: &'a str,
    value: Option<f64>,
    decimals: usize,
    unit: &'a str,
    hint: &'a str,
    width: f32,
    least: Least,
    /// The least and the most that it may be, mm for a length.
    range: Option<[f64; 2]>,
    is_whole: bool,
    lengths: Option<Lengths>,
}

/// What a figure cannot be less than.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Least {
    Nothing,
    Zero,
    MoreThanZero,
}

/// What was typed into a figure's field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Typed {
    /// The field was emptied.
    Nothing,
    /// A number; a length in mm.
    Number(f64),
}

impl Typed {
    /// The number, where one was typed.
    pub(super) fn number(self) -> Option<f64> {
        match self {
            Self::Nothing => None,
            Self::Number(number) => Some(number),
        }
    }
}

impl<'a> Figure<'a> {
    /// A number in `unit`, shown with so many decimals; `None` where nothing was said.
    pub(super) fn number(name: &'a str, value: Option<f64>, decimals: usize, unit: &'a str) -> Self {
        let (of, hint, width) = ("", "", 0.0);
        Self {
            name,
            of,
            value,
            decimals,
            unit,
            hint,
            width,
            least: Least::Nothing,
            range: None,
            is_whole: false,
            lengths: None,
        }
    }

    /// A length, mm, typed and shown in the unit that is worked in; more than zero.
    pub(super) fn length(name: &'a str, value_mm: Option<f64>, lengths: Lengths) -> Self {
        let figure = Self::number(name, value_mm, 3, lengths.unit());
        Self { least: Least::MoreThanZero, lengths: Some(lengths), ..figure }
    }

    /// How far off something may be, mm: the same with its sign.
    pub(super) fn allowance(name: &'a str, value_mm: Option<f64>, lengths: Lengths) -> Self {
        Self { unit: lengths.plus_minus_unit(), ..Self::length(name, value_mm, lengths) }
    }

    /// It belongs to the thing with this id.
    pub(super) fn of(self, of: &'a str) -> Self {
        Self { of, ..self }
    }

    /// What stands there while nothing was said.
    pub(super) fn hint(self, hint: &'a str) -> Self {
        Self { hint, ..self }
    }

    /// Points.
    pub(super) fn width(self, width: f32) -> Self {
        Self { width, ..self }
    }

    /// It may be anything, a length less than zero as well.
    pub(super) fn any_sign(self) -> Self {
        Self { least: Least::Nothing, ..self }
    }

    /// It may be zero.
    pub(super) fn or_zero(self) -> Self {
        Self { least: Least::Zero, ..self }
    }

    /// It has to be more than zero.
    pub(super) fn above_zero(self) -> Self {
        Self { least: Least::MoreThanZero, ..self }
    }

    /// It is from `least` to `most`, mm for a length.
    pub(super) fn between(self, least: f64, most: f64) -> Self {
        Self { range: Some([least, most]), ..self }
    }

    /// It is a whole number.
    pub(super) fn whole(self) -> Self {
        Self { is_whole: true, ..self }
    }

    /// The identity of its field.
    pub(super) fn id(&self) -> Id {
        Id::unique(("figure", self.name, self.of))
    }

    /// What was typed, once the person leaves the field.
    pub(super) fn show(&self, ui: &mut Ui) -> Reading<Typed> {
        let value = self.value.map(|value| self.text(value)).unwrap_or_default();
        let field = Field { name: self.name, unit: self.unit, hint: self.hint, width: self.width };
        read_value(ui, self.id(), &field, &value, |typed| self.read(typed))
    }

    fn text(&self, value: f64) -> String {
        match self.lengths {
            Some(lengths) => lengths.typed_figure(value),
            None => shortest(value, self.decimals),
        }
    }

    /// What a text reads as, or why it does not.
    fn read(&self, typed: &str) -> Result<Typed, String> {
        let text = typed.trim().trim_start_matches('±').trim_start();
        if text.is_empty() {
            return Ok(Typed::Nothing);
        }
        let number = if let Some(lengths) = self.lengths {
            parse_offset_mm(text, lengths.typed()).map_err(|problem| format!("{}.", capital(&problem.to_string())))?
        } else {
            let plain = text.replace(',', ".").replace('\u{2212}', "-");
            let number = plain.parse::<f64>().ok().filter(|number| number.is_finite());
            number.ok_or_else(|| format!("‘{typed}’ is no figure. Type for instance {}.", self.example()))?
        };
        match self.least {
            Least::Zero if number < 0.0 => Err("It cannot be less than 0.".to_owned()),
            Least::MoreThanZero if number <= 0.0 => Err("It has to be more than 0.".to_owned()),
            _ if self.is_whole && number.fract() != 0.0 => Err("It has to be a whole number.".to_owned()),
            _ => match self.range {
                Some([least, most]) if !(least..=most).contains(&number) => {
                    let [least, most] = [least, most].map(|number| self.text(number));
                    Err(format!("It has to be from {least} to {most}."))
                }
                _ => Ok(Typed::Number(number)),
            },
        }
    }

    fn example(&self) -> &str {
        let is_figure = self.hint.chars().any(|c| c.is_ascii_digit());
        if is_figure { self.hint.trim_start_matches('±') } else { "12.5" }
    }
}

/// What was typed, with the sentence under the field where it cannot be read.
pub(super) fn taken<T>(ui: &mut Ui, reading: Reading<T>) -> Option<T> {
    if let Some(problem) = &reading.problem {
        say_in(ui, Lettering::Small, theme::colours(ui).disagree_text, problem);
    }
    reading.value
}

/// A figure without the zeros that say nothing.
pub(super) fn shortest(value: f64, decimals: usize) -> String {
    let text = format_figure(value, decimals);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;

    #[test]
    fn a_figure_in_a_field_has_no_idle_zeros() {
        assert_eq!(shortest(5.0, 2), "5", "a whole number");
        assert_eq!(shortest(0.15, 3), "0.15", "two of three decimals");
        assert_eq!(shortest(100.0, 0), "100", "zeros that count stay");
    }

    #[test]
    fn numbers_are_read_as_they_are_typed_by_hand() {
        let figure = Figure::number("k1", None, 4, "");
        assert_eq!(figure.read("\u{2212}0,08"), Ok(Typed::Number(-0.08)), "a true minus, a decimal comma");
        assert_eq!(figure.read(" ± 0.01 "), Ok(Typed::Number(0.01)), "with its sign");
        assert_eq!(figure.read("  "), Ok(Typed::Nothing), "emptied");
        for bad in ["abc", "1 2", "nan", "1e999"] {
            let problem = figure.read(bad).unwrap_err();
            assert!(problem.contains(bad) && problem.ends_with('.'), "{problem}");
        }
        assert!(figure.above_zero().read("0").is_err(), "more than zero is asked for");
        assert_eq!(figure.or_zero().read("0"), Ok(Typed::Number(0.0)), "zero may be");
        assert!(figure.or_zero().read("-1").is_err(), "less may not");
    }

    #[test]
    fn lengths_are_read_in_the_unit_that_is_worked_in() {
        let mut session = samples::session(samples::plate());
        session.screen.inches = true;
        let figure = Figure::length("Thickness", Some(6.35), Lengths::of(&session));
        assert_eq!(figure.text(6.35), "0.25", "an inch is 25.4 mm exactly (1959)");
        let read = figure.read("3/16").unwrap().number().unwrap();
        assert!((read - 4.7625).abs() < 1e-9, "3/16 in: {read} mm");
        assert!(figure.read("0").is_err(), "no length");
    }
}
