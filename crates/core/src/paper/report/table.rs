//! Tables: a column of words that takes the room that is left, and columns of figures that line up.

use super::flow::{BODY, Flow, LEFT_MM, SIGN_ROOM_MM, SMALL, Style};
use super::sign::Sign;
use crate::paper::{Align, Ink, Pen, Weight, width_mm};

/// Between columns, mm.
const BETWEEN_MM: f64 = 4.0;
/// The widest that a column of figures gets, mm, and the least that is left to the words.
const WIDEST_MM: f64 = 40.0;
const LEAST_WORDS_MM: f64 = 18.0;
/// Above and below the lines of a row, mm.
const ROW_AIR_MM: f64 = 0.5;

const ROW_LINE: Pen = Pen::new(0.1, Ink::Rule);
const HEAD_LINE: Pen = Pen::new(0.18, Ink::Soft);

/// A column.
#[derive(Debug, Clone, Copy)]
pub(super) struct Column {
    head: &'static str,
    kind: Kind,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// Takes the room that is left; its text is broken into lines.
    Words,
    /// As wide as its widest text, which starts at its left.
    Short,
    /// As wide as its widest figure, which ends at its right.
    Figures,
}

/// The column of words that takes the room that is left; a table has one.
pub(super) const fn words(head: &'static str) -> Column {
    Column { head, kind: Kind::Words }
}

/// A column of short words.
pub(super) const fn short(head: &'static str) -> Column {
    Column { head, kind: Kind::Short }
}

/// A column of figures.
pub(super) const fn figures(head: &'static str) -> Column {
    Column { head, kind: Kind::Figures }
}

/// A row.
#[derive(Debug, Clone)]
pub(super) struct Row {
    sign: Option<Sign>,
    cells: Vec<String>,
    ink: Ink,
    weight: Weight,
}

impl Row {
    pub(super) fn new(cells: impl IntoIterator<Item = String>) -> Self {
        Self { sign: None, cells: cells.into_iter().collect(), ink: Ink::Cut, weight: Weight::Regular }
    }

    /// With a sign before it: what fails or disagrees stands out, what is left out stands back.
    pub(super) fn signed(self, sign: Sign) -> Self {
        let (ink, weight) = match sign {
            Sign::Disagrees | Sign::Fails => (sign.ink(), Weight::SemiBold),
            Sign::LeftOut => (Ink::Soft, Weight::Regular),
            _ => (self.ink, self.weight),
        };
        Self { sign: Some(sign), ink, weight, ..self }
    }

    fn style(&self) -> Style {
        BODY.weight(self.weight).ink(self.ink)
    }
}

/// Where the columns of a table lie: left side and width of each.
fn layout(flow: &Flow<'_>, columns: &[Column], rows: &[Row]) -> Vec<(f64, f64)> {
    let natural = |k: usize| {
        let head = width_mm(columns[k].head, SMALL.size_mm, SMALL.weight, flow.lettering);
        let cells = rows.iter().filter_map(|row| Some((row.cells.get(k)?, row.style())));
        let widths = cells.map(|(cell, style)| width_mm(cell, style.size_mm, style.weight, flow.lettering));
        widths.fold(head, f64::max).min(WIDEST_MM)
    };
    let inset = if rows.iter().any(|row| row.sign.is_some()) { SIGN_ROOM_MM } else { 0.0 };
    let fixed: f64 = (0..columns.len()).filter(|k| columns[*k].kind != Kind::Words).map(natural).sum();
    let gaps = BETWEEN_MM * columns.len().saturating_sub(1) as f64;
    let rest = (flow.width() - inset - fixed - gaps).max(LEAST_WORDS_MM);
    let mut x = LEFT_MM + inset;
    let place = |k: usize| {
        let width = if columns[k].kind == Kind::Words { rest } else { natural(k) };
        let left = x;
        x += width + BETWEEN_MM;
        (left, width)
    };
    (0..columns.len()).map(place).collect()
}

/// Sets a table; its head comes again on every page that it goes on to.
pub(super) fn set(flow: &mut Flow<'_>, columns: &[Column], rows: &[Row]) {
    let places = layout(flow, columns, rows);
    set_head(flow, columns, &places);
    for row in rows {
        let style = row.style();
        let cells: Vec<Vec<String>> = row
            .cells
            .iter()
            .zip(columns.iter().zip(&places))
            .map(|(cell, (column, (_, width)))| match column.kind {
                Kind::Words => flow.lines(cell, *width, style),
                _ => vec![flow.short(cell, *width, style)],
            })
            .collect();
        let lines = cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
        if flow.want(style.line_mm * lines as f64 + 2.0 * ROW_AIR_MM) {
            set_head(flow, columns, &places);
        }
        flow.down(ROW_AIR_MM);
        if let Some(sign) = row.sign {
            flow.sign(sign, style);
        }
        for line in 0..lines {
            for (cell, (column, (left, width))) in cells.iter().zip(columns.iter().zip(&places)) {
                let Some(text) = cell.get(line) else { continue };
                set_cell(flow, text, column.kind, *left, *width, style);
            }
            flow.down(style.line_mm);
        }
        flow.down(ROW_AIR_MM);
        flow.hairline(Some(ROW_LINE));
    }
}

/// Sets the names of the columns, where any has one.
fn set_head(flow: &mut Flow<'_>, columns: &[Column], places: &[(f64, f64)]) {
    if columns.iter().all(|column| column.head.is_empty()) {
        return;
    }
    flow.want(SMALL.line_mm + BODY.line_mm + 2.0);
    for (column, (left, width)) in columns.iter().zip(places) {
        set_cell(flow, column.head, column.kind, *left, *width, SMALL);
    }
    flow.down(SMALL.line_mm + 0.4);
    flow.hairline(Some(HEAD_LINE));
}

fn set_cell(flow: &mut Flow<'_>, text: &str, kind: Kind, left: f64, width: f64, style: Style) {
    match kind {
        Kind::Figures => flow.line_at(text, left + width, Align::End, style),
        Kind::Words | Kind::Short => flow.line_at(text, left, Align::Start, style),
    }
}
