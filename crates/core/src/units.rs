//! Lengths as people type and read them.
//!
//! | typed | read as |
//! | --- | --- |
//! | `187.3`, `187,3 mm`, `18.73 cm` | 187.3 mm (without a unit: the default unit) |
//! | `9.875 in`, `9 7/8 in`, `9-7/8"` | 9.875 inches |
//! | `2' 3 1/2"`, `2 ft 3 1/2 in` | 27.5 inches |
//!
//! Point and comma are both the decimal mark; there is no mark for thousands, so `1,234.5` is refused.

/// Millimetres in an inch, exactly (the international inch of 1959).
pub const MM_PER_INCH: f64 = 25.4;

/// Inches in a foot.
const INCHES_PER_FOOT: f64 = 12.0;

/// The longest text that is looked at, in characters; no length is written in more.
const LONGEST: usize = 60;

/// The unit that a figure without one is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Unit {
    /// Millimetres.
    #[default]
    Mm,
    /// Inches.
    Inch,
}

impl Unit {
    /// Millimetres in one of it.
    pub fn in_mm(self) -> f64 {
        match self {
            Self::Mm => 1.0,
            Self::Inch => MM_PER_INCH,
        }
    }
}

/// Why a text is no length. Each text is a sentence without its full stop.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LengthError {
    /// Nothing was typed.
    #[error("type a length, for instance 187.3 or 7 3/8 in")]
    Empty,
    /// Something is neither figure nor unit.
    #[error("“{0}” is neither a figure nor a unit that is known here; mm, cm, in and ft are")]
    NotUnderstood(String),
    /// A figure has more than one decimal mark.
    #[error("“{0}” has more than one decimal mark; leave the mark for thousands out")]
    TwoDecimalMarks(String),
    /// The parts do not make one length.
    #[error("these figures do not make one length; write 187.3, 7 3/8 in or 2' 3 1/2\"")]
    NotOneLength,
    /// A fraction has nothing under its line.
    #[error("a fraction cannot have 0 under the line")]
    ZeroDenominator,
    /// The length is zero or negative.
    #[error("a length has to be more than 0")]
    NotPositive,
    /// The length is beyond anything on a bench.
    #[error("that is longer than a kilometre")]
    TooLong,
}

/// Reads a length; a figure without unit is in `default`. The result is finite and greater than zero, mm.
///
/// # Errors
/// Where the text is no length greater than zero.
pub fn parse_length_mm(text: &str, default: Unit) -> Result<f64, LengthError> {
    let mm = parse_offset_mm(text, default)?;
    if mm > 0.0 { Ok(mm) } else { Err(LengthError::NotPositive) }
}

/// Reads a coordinate or an allowance, which may be zero or negative; as [`parse_length_mm`] otherwise.
///
/// # Errors
/// Where the text is no length.
pub fn parse_offset_mm(text: &str, default: Unit) -> Result<f64, LengthError> {
    let text = text.trim();
    if text.chars().nth(LONGEST).is_some() {
        return Err(LengthError::NotOneLength);
    }
    let (sign, unsigned) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (-1.0, rest),
        None => (1.0, text.strip_prefix('+').unwrap_or(text)),
    };
    let tokens = tokens(unsigned)?;
    let mm = sign * sum_mm(&tokens, default)?;
    if mm.abs() <= crate::tolerance::LARGEST_FIGURE { Ok(mm) } else { Err(LengthError::TooLong) }
}

/// A piece of a typed length.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Token {
    /// A figure without decimal mark.
    Whole(f64),
    /// A figure with a decimal mark.
    Decimal(f64),
    /// The line of a fraction.
    Over,
    /// The hyphen of `9-7/8`.
    Hyphen,
    /// A unit, by its millimetres.
    Unit(f64),
}

fn tokens(text: &str) -> Result<Vec<Token>, LengthError> {
    let mut tokens = Vec::new();
    let mut rest = text.trim_start();
    while let Some(first) = rest.chars().next() {
        let (token, length) = match first {
            '0'..='9' | '.' | ',' => figure(rest)?,
            '/' | '\u{2044}' => (Token::Over, first.len_utf8()),
            '-' => (Token::Hyphen, 1),
            _ => unit(rest)?,
        };
        tokens.push(token);
        rest = rest[length..].trim_start();
    }
    Ok(tokens)
}

/// The figure that `text` starts with, and its bytes.
fn figure(text: &str) -> Result<(Token, usize), LengthError> {
    let length = text.bytes().take_while(|b| b.is_ascii_digit() || matches!(b, b'.' | b',')).count();
    let typed = &text[..length];
    match typed.bytes().filter(|b| !b.is_ascii_digit()).count() {
        0 | 1 => {}
        _ => return Err(LengthError::TwoDecimalMarks(typed.to_owned())),
    }
    let is_whole = typed.bytes().all(|b| b.is_ascii_digit());
    let value: f64 = match typed.replace(',', ".").parse() {
        Ok(value) => value,
        // A lone decimal mark: the only text of digits and at most one mark that is no number.
        Err(std::num::ParseFloatError { .. }) => return Err(LengthError::NotUnderstood(typed.to_owned())),
    };
    Ok((if is_whole { Token::Whole(value) } else { Token::Decimal(value) }, length))
}

/// The unit that `text` starts with, and its bytes.
fn unit(text: &str) -> Result<(Token, usize), LengthError> {
    let foot = INCHES_PER_FOOT * MM_PER_INCH;
    let marks = [("''", MM_PER_INCH), ("\"", MM_PER_INCH), ("″", MM_PER_INCH), ("”", MM_PER_INCH)];
    let marks = marks.into_iter().chain([("'", foot), ("′", foot), ("’", foot)]);
    for (mark, mm) in marks {
        if text.starts_with(mark) {
            return Ok((Token::Unit(mm), mark.len()));
        }
    }
    let word: String = text.chars().take_while(|c| c.is_alphabetic()).collect();
    let mm = match word.to_lowercase().as_str() {
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => 1.0,
        "cm" => 10.0,
        "in" | "inch" | "inches" => MM_PER_INCH,
        "ft" | "foot" | "feet" => foot,
        _ => {
            let end = text.find(|c: char| c.is_whitespace() || c.is_ascii_digit()).unwrap_or(text.len());
            let found = if end == 0 { text } else { &text[..end] };
            return Err(LengthError::NotUnderstood(found.chars().filter(|c| !c.is_control()).collect()));
        }
    };
    // An abbreviation may end in a full stop, but `in.5` is no length.
    let length = word.len();
    let dot = text[length..].starts_with('.') && !text[length + 1..].starts_with(|c: char| c.is_ascii_digit());
    Ok((Token::Unit(mm), length + usize::from(dot)))
}

/// What the pieces come to, mm: one figure with its unit, or feet and then inches.
fn sum_mm(tokens: &[Token], default: Unit) -> Result<f64, LengthError> {
    if tokens.is_empty() {
        return Err(LengthError::Empty);
    }
    let (value, rest) = mixed_figure(tokens)?;
    match rest {
        [] => Ok(value * default.in_mm()),
        [Token::Unit(mm)] => Ok(value * mm),
        [Token::Unit(feet_mm), rest @ ..] if *feet_mm > MM_PER_INCH => {
            let rest = if let [Token::Hyphen, rest @ ..] = rest { rest } else { rest };
            let (inches, end) = mixed_figure(rest)?;
            let is_inches = match end {
                [] => true,
                [Token::Unit(mm)] => mm.total_cmp(&MM_PER_INCH).is_eq(),
                _ => false,
            };
            if !is_inches {
                return Err(LengthError::NotOneLength);
            }
            Ok(value * feet_mm + inches * MM_PER_INCH)
        }
        _ => Err(LengthError::NotOneLength),
    }
}

/// The figure that the pieces start with (`9`, `9.5`, `7/8`, `9 7/8` or `9-7/8`), and the pieces after it.
fn mixed_figure(tokens: &[Token]) -> Result<(f64, &[Token]), LengthError> {
    let fraction = |over: f64, under: f64| {
        if under > 0.0 { Ok(over / under) } else { Err(LengthError::ZeroDenominator) }
    };
    match *tokens {
        [Token::Whole(over), Token::Over, Token::Whole(under), ref rest @ ..] => Ok((fraction(over, under)?, rest)),
        [Token::Whole(whole), Token::Hyphen, Token::Whole(over), Token::Over, Token::Whole(under), ref rest @ ..]
        | [Token::Whole(whole), Token::Whole(over), Token::Over, Token::Whole(under), ref rest @ ..] => {
            let part = fraction(over, under)?;
            // `9 11/8` is a slip of the finger, not nine and eleven eighths.
            if part < 1.0 { Ok((whole + part, rest)) } else { Err(LengthError::NotOneLength) }
        }
        [Token::Whole(value) | Token::Decimal(value), ref rest @ ..] => Ok((value, rest)),
        _ => Err(LengthError::NotOneLength),
    }
}

/// A figure with a true minus sign (U+2212) and without a minus before zero; `—` for what is not a number.
pub fn format_figure(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "—".to_owned();
    }
    let digits = format!("{:.decimals$}", value.abs());
    let is_zero = digits.bytes().all(|b| matches!(b, b'0' | b'.'));
    if value < 0.0 && !is_zero { format!("\u{2212}{digits}") } else { digits }
}

/// How many more decimals tell a figure from its limit at most.
const MOST_FURTHER_DECIMALS: usize = 4;

/// A figure that is over its limit, and the limit, with `decimals` or as many more as it takes for them to be read as two:
/// what fails must not look as if it held. With the last decimal there is, what is over is rounded up.
pub fn format_over(over: f64, limit: f64, decimals: usize) -> [String; 2] {
    let both = |decimals| [over, limit].map(|figure| format_figure(figure, decimals));
    let last = decimals + MOST_FURTHER_DECIMALS;
    let told_apart = (decimals..=last).map(both).find(|[over, limit]| over != limit);
    told_apart.unwrap_or_else(|| {
        let parts = (0..last).fold(1.0, |parts, _| parts * 10.0);
        [format_figure((over * parts).floor() / parts + 1.0 / parts, last), format_figure(limit, last)]
    })
}

/// A figure for names and files: a plain minus sign, at most so many decimals, and no zeros at their end.
pub fn format_short(value: f64, decimals: usize) -> String {
    let digits = format!("{value:.decimals$}");
    let short = if digits.contains('.') { digits.trim_end_matches('0').trim_end_matches('.') } else { &digits };
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}

/// Inches as a fraction in lowest terms, `9 7/8`, where they are one of halves to sixty-fourths, as on a rule; `None`
/// where they are not.
pub fn format_inch_fraction(inches: f64) -> Option<String> {
    const PARTS: u32 = 64;
    let parts = inches * f64::from(PARTS);
    let whole_parts = parts.round();
    // A fraction that went through millimetres and back is off by rounding only.
    if !(0.5..=crate::tolerance::LARGEST_FIGURE).contains(&parts) || (parts - whole_parts).abs() > 1e-6 {
        return None;
    }
    let (whole, mut over, mut under) = (whole_parts as u32 / PARTS, whole_parts as u32 % PARTS, PARTS);
    while over > 0 && over % 2 == 0 {
        (over, under) = (over / 2, under / 2);
    }
    Some(match (whole, over) {
        (_, 0) => whole.to_string(),
        (0, _) => format!("{over}/{under}"),
        _ => format!("{whole} {over}/{under}"),
    })
}

/// A reading of an instrument without its unit: two decimals in mm, three in inches; read `by_eye` in inches, it stands
/// as the fraction that it was.
pub fn format_reading(mm: f64, unit: Unit, by_eye: bool) -> String {
    match unit {
        Unit::Mm => format_figure(mm, 2),
        Unit::Inch => {
            let inches = mm / MM_PER_INCH;
            let fraction = if by_eye { format_inch_fraction(inches) } else { None };
            fraction.unwrap_or_else(|| format_figure(inches, 3))
        }
    }
}

/// A length for reading: `231.45 mm`.
pub fn format_mm(value_mm: f64, decimals: usize) -> String {
    format!("{} mm", format_figure(value_mm, decimals))
}

/// How far off something can be, for reading: `±0.08 mm`, with two decimals as a rule, three where it is under a
/// hundredth, and fewer where it is so large that they say nothing.
pub fn format_plus_minus_mm(half_width_mm: f64) -> String {
    let half = half_width_mm.abs();
    let decimals = match half {
        _ if half < 0.0095 => 3,
        _ if half < 0.995 => 2,
        _ if half < 9.95 => 1,
        _ => 0,
    };
    format!("±{}", format_mm(half, decimals))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[track_caller]
    fn check(text: &str, mm: f64) {
        let read = parse_length_mm(text, Unit::Mm).unwrap();
        assert!((read - mm).abs() <= 1e-9 * mm, "{text} is {mm} mm, not {read}");
    }

    #[test]
    fn what_is_over_its_limit_is_never_read_as_the_limit() {
        for (over, limit, read) in [
            (0.10, 0.0758, ["0.10", "0.08"]),
            (0.0849, 0.0758, ["0.085", "0.076"]),
            (0.0761, 0.0758, ["0.0761", "0.0758"]),
            (0.075_8 + 1e-12, 0.075_8, ["0.075801", "0.075800"]),
        ] {
            assert_eq!(format_over(over, limit, 2), read, "{over} over {limit}");
        }
    }

    #[test]
    fn fractions_of_an_inch_are_written_in_lowest_terms() {
        let cases = [(9.875, "9 7/8"), (0.5, "1/2"), (3.0, "3"), (1.0 / 64.0, "1/64"), (7.0 + 31.0 / 32.0, "7 31/32")];
        for (inches, text) in cases {
            assert_eq!(format_inch_fraction(inches).as_deref(), Some(text), "{inches}");
            let read = parse_length_mm(text, Unit::Inch).unwrap();
            assert_eq!(format_inch_fraction(read / MM_PER_INCH).as_deref(), Some(text), "and back");
        }
        for inches in [9.87, 0.0, -0.5, f64::NAN] {
            assert_eq!(format_inch_fraction(inches), None, "{inches} is not on a rule");
        }
    }

    #[test]
    fn metric_lengths() {
        for text in ["5.2", "5,2", "5,2 mm", "5.2mm", " +5.2 MM ", "0.52 cm", "5.2 mm."] {
            check(text, 5.2);
        }
        check("187", 187.0);
        check(".5", 0.5);
        check("5.", 5.0);
    }

    #[test]
    fn inch_lengths() {
        for text in ["9 7/8 in", "9-7/8\"", "9.875 inches", "9,875''", "9 7⁄8 ″", "79/8 in."] {
            check(text, 9.875 * 25.4);
        }
        check("1/2\"", 12.7);
        for text in ["2' 3 1/2\"", "2'3-1/2\"", "2 ft 3 1/2 in", "2' 3.5", "2'-3 1/2\"", "2’ 3 1/2”", "27 1/2 in"] {
            check(text, 27.5 * 25.4);
        }
        check("2'", 609.6);
        let bare = parse_length_mm("1 3/8", Unit::Inch).unwrap();
        assert!((bare - 34.925).abs() < 1e-9, "a bare figure is in the default unit: {bare}");
    }

    #[test]
    fn what_is_no_length_says_why() {
        let refused = |text: &str| parse_length_mm(text, Unit::Mm).unwrap_err();
        assert_eq!(refused("  "), LengthError::Empty, "nothing");
        assert_eq!(refused("1,234.5"), LengthError::TwoDecimalMarks("1,234.5".to_owned()), "thousands");
        assert_eq!(refused("5 furlongs"), LengthError::NotUnderstood("furlongs".to_owned()), "unit");
        assert_eq!(refused("."), LengthError::NotUnderstood(".".to_owned()), "a lone mark");
        assert_eq!(refused("1/0 in"), LengthError::ZeroDenominator, "nothing under the line");
        for text in ["5 5", "5 mm 3", "mm", "9.5 7/8 in", "9 11/8 in", "2' 3 mm", "1/2/3", "1e3", "2\" 3'"] {
            let error = refused(text);
            assert!(matches!(error, LengthError::NotOneLength | LengthError::NotUnderstood(_)), "{text}: {error}");
        }
        assert_eq!(refused("0"), LengthError::NotPositive, "zero");
        assert_eq!(refused("-3 mm"), LengthError::NotPositive, "negative");
        assert_eq!(refused("99999999"), LengthError::TooLong, "a hundred kilometres");
        assert_eq!(refused(&"9".repeat(400)), LengthError::NotOneLength, "a very long text");
    }

    #[test]
    fn offsets_may_be_zero_or_negative() {
        assert_eq!(parse_offset_mm("0", Unit::Mm), Ok(0.0), "zero");
        assert_eq!(parse_offset_mm("\u{2212}2,5 mm", Unit::Mm), Ok(-2.5), "a true minus sign");
    }

    #[test]
    fn figures_for_reading() {
        assert_eq!(format_mm(-0.126, 2), "\u{2212}0.13 mm", "a true minus sign");
        assert_eq!(format_mm(-0.001, 2), "0.00 mm", "no minus before zero");
        assert_eq!(format_figure(f64::NAN, 2), "—", "not a number");
        let short = [0.1778, 0.15, 3.0, -0.000_01, 20.0].map(|mm| format_short(mm, 3));
        assert_eq!(short, ["0.178", "0.15", "3", "0", "20"], "no zeros at the end of decimals");
        let halves = [0.0042, 0.0812, 0.999, 2.34, 12.6].map(format_plus_minus_mm);
        assert_eq!(halves, ["±0.004 mm", "±0.08 mm", "±1.0 mm", "±2.3 mm", "±13 mm"], "decimals that say something");
    }

    proptest! {
        #[test]
        fn no_text_brings_the_reader_down(text in "\\PC*", typed in "[-+ 0-9.,/'\"′″a-z]{0,24}") {
            for text in [text, typed] {
                if let Ok(mm) = parse_length_mm(&text, Unit::Inch) {
                    prop_assert!(mm > 0.0 && mm.is_finite(), "{} is {}", text, mm);
                }
            }
        }

        #[test]
        fn a_fraction_is_what_it_says(whole in 0_u32..400, over in 0_u32..64, under in 64_u32..65) {
            let inches = f64::from(whole) + f64::from(over) / f64::from(under);
            let read = parse_offset_mm(&format!("{whole} {over}/{under} in"), Unit::Mm).unwrap();
            prop_assert!((read - inches * 25.4).abs() < 1e-9, "{} is not {} in", read, inches);
        }
    }
}
