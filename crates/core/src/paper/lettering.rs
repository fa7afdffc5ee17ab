//! How wide text is, and how it is made to fit.

use std::fmt::Write as _;

/// Weight of the type.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Weight {
    /// 400, for text and figures.
    #[default]
    Regular,
    /// 600, for names, results and heads.
    SemiBold,
}

/// What has to be known of the typeface to place text: how wide its characters are.
pub trait Lettering {
    /// How far a character moves the next one on, in sizes of the type; `None` where the typeface does not have it.
    fn advance(&self, character: char, weight: Weight) -> Option<f64>;
}

/// Every character six tenths of the size wide, as the digits of IBM Plex Sans are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct EvenlyWide;

impl Lettering for EvenlyWide {
    fn advance(&self, _character: char, _weight: Weight) -> Option<f64> {
        Some(0.6)
    }
}

/// Sign for what was left out at the end of a text.
const LEFT_OUT: char = '…';

/// Width of a text, mm; of characters that the typeface lacks, half a size each.
pub fn width_mm(text: &str, height_mm: f64, weight: Weight, lettering: &dyn Lettering) -> f64 {
    text.chars().map(|c| lettering.advance(c, weight).unwrap_or(0.5)).sum::<f64>() * height_mm
}

/// The text in characters that the typeface has: the diameter sign becomes `dia.`, white space a space, what has no
/// width nothing, and anything else its number in Unicode.
pub fn legible(text: &str, lettering: &dyn Lettering) -> String {
    let mut said = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            _ if c.is_whitespace() && !KEPT_SPACES.contains(&c) => said.push(' '),
            _ if c.is_control() || NO_WIDTH.contains(&c) => {}
            _ if lettering.advance(c, Weight::Regular).is_some() => said.push(c),
            '\u{2300}' => said.push_str("dia. "),
            '\u{2007}' | '\u{2009}' | '\u{202f}' => said.push(' '),
            // Writing to a text cannot fail.
            _ => drop(write!(said, "<U+{:04X}>", u32::from(c))),
        }
    }
    said
}

/// Spaces that mean something: no break, as wide as a figure, thin.
const KEPT_SPACES: [char; 4] = ['\u{a0}', '\u{2007}', '\u{2009}', '\u{202f}'];
/// Soft hyphen, joiners, directions, byte order: instructions, not letters.
const NO_WIDTH: [char; 7] = ['\u{ad}', '\u{200b}', '\u{200c}', '\u{200d}', '\u{200e}', '\u{200f}', '\u{feff}'];

/// The text, or as much of its start as is at most `room_mm` wide with a sign that something was left out.
pub fn shortened(text: &str, room_mm: f64, height_mm: f64, weight: Weight, lettering: &dyn Lettering) -> String {
    if width_mm(text, height_mm, weight, lettering) <= room_mm {
        return text.to_owned();
    }
    let mut kept = String::new();
    for c in text.chars() {
        let longer = format!("{kept}{c}");
        let with_sign = format!("{}{LEFT_OUT}", longer.trim_end());
        if width_mm(&with_sign, height_mm, weight, lettering) > room_mm {
            break;
        }
        kept = longer;
    }
    format!("{}{LEFT_OUT}", kept.trim_end())
}

/// The text in lines at most `room_mm` wide, broken at plain spaces; a word that is wider is broken anywhere.
pub fn wrapped(text: &str, room_mm: f64, height_mm: f64, weight: Weight, lettering: &dyn Lettering) -> Vec<String> {
    let fits = |line: &str| width_mm(line, height_mm, weight, lettering) <= room_mm;
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if fits(&longer) {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            line.push(c);
            if line.chars().nth(1).is_some() && !fits(&line) {
                line.pop();
                lines.push(std::mem::replace(&mut line, c.to_string()));
            }
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A typeface of ASCII, evenly wide.
    struct Ascii;

    impl Lettering for Ascii {
        fn advance(&self, character: char, _weight: Weight) -> Option<f64> {
            character.is_ascii().then_some(0.6)
        }
    }

    #[test]
    fn what_the_typeface_lacks_is_said_with_what_it_has() {
        let said = |text| legible(text, &Ascii);
        assert_eq!(said("\u{2300}6.6"), "dia. 6.6", "the diameter sign");
        assert_eq!(said("a\tb\nc"), "a b c", "white space");
        assert_eq!(said("a\u{200b}b\u{7}"), "ab", "what has no width");
        assert_eq!(said("\u{725b} 2"), "<U+725B> 2", "a character of no Latin script");
        assert_eq!(legible("5.2\u{2009}mm", &EvenlyWide), "5.2\u{2009}mm", "a thin space is kept where there is one");
    }

    #[test]
    fn text_is_shortened_and_wrapped_to_its_room() {
        let short = |text, room| shortened(text, room, 1.0, Weight::Regular, &EvenlyWide);
        assert_eq!(short("flange", 3.7), "flange", "six letters of 0.6 mm");
        assert_eq!(short("flange", 3.5), "flan…", "no room for the sixth");
        assert_eq!(short("flange", 0.1), "…", "no room at all");
        let lines = |text| wrapped(text, 3.7, 1.0, Weight::Regular, &EvenlyWide);
        assert_eq!(lines("milk valve  flange"), ["milk", "valve", "flange"], "at spaces");
        assert_eq!(lines("unbreakable"), ["unbrea", "kable"], "anywhere where it must be");
        assert!(lines(" ").is_empty(), "nothing");
    }

    proptest! {
        #[test]
        fn no_letter_is_lost_and_no_line_too_wide(text in "[a-z ]{0,60}", room in 0.7..20.0) {
            let lines = wrapped(&text, room, 1.0, Weight::SemiBold, &EvenlyWide);
            let bare = |text: &str| text.chars().filter(|c| *c != ' ').collect::<String>();
            prop_assert_eq!(bare(&lines.concat()), bare(&text));
            prop_assert!(lines.iter().all(|line| width_mm(line, 1.0, Weight::SemiBold, &EvenlyWide) <= room));
        }
    }
}
