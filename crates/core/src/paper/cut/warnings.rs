//! What stands in a strip above the foot: what fails, and the holes whose names found no place on the drawing.

use super::CutSource;
use crate::paper::{Ink, Item, Lettering, Weight, Words, shortened, wrapped};
use crate::space::{PlatePoint, PlateVec};

/// Size of the type, from line to line, and from the frame to the text, mm.
const SIZE_MM: f64 = 3.2;
const LINE_MM: f64 = 4.4;
const INSET_MM: f64 = 2.5;

/// The most lines of what fails.
const MOST: usize = 5;

/// Lines that are kept for the holes without a place.
pub(super) const NAMES: usize = 3;

/// A line of the strip.
pub(super) struct Line {
    text: String,
    ink: Ink,
}

/// How high a strip of so many lines is, mm.
pub(super) fn height_mm(lines: usize) -> f64 {
    if lines == 0 { 0.0 } else { lines as f64 * LINE_MM + INSET_MM }
}

/// A line for each check that fails; where they are too many the last one says how many more there are.
pub(super) fn failing(source: &CutSource<'_>, wide_mm: f64, lettering: &dyn Lettering) -> Vec<Line> {
    let room_mm = wide_mm - 2.0 * INSET_MM;
    let failing: Vec<String> = super::failing(source.checks)
        .map(|check| format!("NOT CHECKED GOOD: {}: {}", check.name, check.text))
        .collect();
    let shown = if failing.len() > MOST { MOST - 1 } else { failing.len() };
    let more = (failing.len() > shown).then(|| format!("NOT CHECKED GOOD: and {} more", failing.len() - shown));
    let lines = failing.into_iter().take(shown).chain(more);
    let short = |text: String| shortened(&text, room_mm, SIZE_MM, Weight::SemiBold, lettering);
    lines.map(|text| Line { text: short(text), ink: Ink::Disagree }).collect()
}

/// The holes whose names found no place, in [`NAMES`] lines at most; where they are too many the last says how many more.
pub(super) fn without_room(labels: &[String], wide_mm: f64, lettering: &dyn Lettering) -> Vec<Line> {
    let room_mm = wide_mm - 2.0 * INSET_MM;
    let lines_of = |shown: usize| {
        let more = (shown < labels.len()).then(|| format!("and {} more", labels.len() - shown));
        let said: Vec<String> = labels[..shown].iter().cloned().chain(more).collect();
        let text = format!("No room on the drawing for: {}", said.join("; "));
        wrapped(&text, room_mm, SIZE_MM, Weight::SemiBold, lettering)
    };
    if labels.is_empty() {
        return Vec::new();
    }
    let most = (0..=labels.len()).rev().map(lines_of).find(|lines| lines.len() <= NAMES);
    most.unwrap_or_default().into_iter().map(|text| Line { text, ink: Ink::Cut }).collect()
}

/// The lines, from the top of the strip down.
pub(super) fn strip(lines: impl Iterator<Item = Line>, top_left: PlatePoint, lettering: &dyn Lettering) -> Vec<Item> {
    let words = |(k, line): (usize, Line)| {
        let at = top_left + PlateVec::new(INSET_MM, -LINE_MM * (k as f64 + 1.0));
        Item::Words(Words::new(&line.text, at, SIZE_MM, lettering).weight(Weight::SemiBold).ink(line.ink))
    };
    lines.enumerate().map(words).collect()
}
