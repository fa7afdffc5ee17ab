//! Setting one thing below the other, over as many pages as it takes.

use super::sign::Sign;
use crate::geom::Bounds;
use crate::paper::{Align, Ink, Item, Lettering, Page, Paper, Pen, Weight, Words, legible, shortened, wrapped};
use crate::space::{PlatePoint, PlateVec};

/// Margin at the left and at the right, at the top and at the bottom, where the foot stands in it, mm.
pub(super) const LEFT_MM: f64 = 17.0;
const TOP_MM: f64 = 15.0;
const BOTTOM_MM: f64 = 18.0;
const FOOT_MM: f64 = 11.0;

/// Sizes of type, mm.
pub(super) const BODY: Style = Style { size_mm: 3.0, line_mm: 4.4, weight: Weight::Regular, ink: Ink::Cut };
pub(super) const SMALL: Style = Style { size_mm: 2.6, line_mm: 3.9, weight: Weight::Regular, ink: Ink::Soft };
pub(super) const HEAD: Style = Style { size_mm: 3.8, line_mm: 5.2, weight: Weight::SemiBold, ink: Ink::Cut };

const HAIRLINE: Pen = Pen::new(0.13, Ink::Soft);
const HEAD_LINE: Pen = Pen::new(0.35, Ink::Cut);

/// What stands beside a sign starts this far in, mm.
pub(super) const SIGN_ROOM_MM: f64 = 5.5;

/// A head is not left alone at the foot of a page: it wants this much below it, mm.
const BELOW_HEAD_MM: f64 = 22.0;

/// How text is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Style {
    pub(super) size_mm: f64,
    pub(super) line_mm: f64,
    pub(super) weight: Weight,
    pub(super) ink: Ink,
}

impl Style {
    pub(super) const fn weight(self, weight: Weight) -> Self {
        Self { weight, ..self }
    }

    pub(super) const fn ink(self, ink: Ink) -> Self {
        Self { ink, ..self }
    }

    /// From the top of a line down to its baseline, mm: the capitals stand in the middle.
    pub(super) fn drop_mm(self) -> f64 {
        f64::midpoint(self.line_mm, 0.7 * self.size_mm)
    }
}

/// The pages so far, and where the next thing goes.
pub(super) struct Flow<'a> {
    pub(super) lettering: &'a dyn Lettering,
    size_mm: [f64; 2],
    pages: Vec<Page>,
    /// The top of what comes next.
    y: f64,
}

impl<'a> Flow<'a> {
    pub(super) fn new(paper: Paper, lettering: &'a dyn Lettering) -> Self {
        let size_mm = paper.size_mm();
        Self { lettering, size_mm, pages: vec![Page::new(size_mm)], y: size_mm[1] - TOP_MM }
    }

    pub(super) const fn right(&self) -> f64 {
        self.size_mm[0] - LEFT_MM
    }

    pub(super) fn width(&self) -> f64 {
        self.right() - LEFT_MM
    }

    /// What is left of the page.
    pub(super) fn room(&self) -> f64 {
        self.y - BOTTOM_MM
    }

    /// Turns the page where less than so much is left of it; true where it was turned.
    pub(super) fn want(&mut self, height_mm: f64) -> bool {
        let turns = self.room() < height_mm && self.y < self.size_mm[1] - TOP_MM;
        if turns {
            self.pages.push(Page::new(self.size_mm));
            self.y = self.size_mm[1] - TOP_MM;
        }
        turns
    }

    pub(super) fn down(&mut self, mm: f64) {
        self.y -= mm;
    }

    pub(super) fn put(&mut self, items: impl IntoIterator<Item = Item>) {
        if let Some(page) = self.pages.last_mut() {
            page.items.extend(items);
        }
    }

    /// One line of text at the top of what comes next, starting, centred or ending at `x`.
    pub(super) fn line_at(&mut self, text: &str, x: f64, align: Align, style: Style) {
        let at = PlatePoint::new(x, self.y - style.drop_mm());
        let words = Words::new(text, at, style.size_mm, self.lettering);
        self.put([Item::Words(words.weight(style.weight).ink(style.ink).align(align))]);
    }

    /// The text in lines at most `room_mm` wide.
    pub(super) fn lines(&self, text: &str, room_mm: f64, style: Style) -> Vec<String> {
        wrapped(&legible(text, self.lettering), room_mm, style.size_mm, style.weight, self.lettering)
    }

    /// The text on one line at most `room_mm` wide.
    pub(super) fn short(&self, text: &str, room_mm: f64, style: Style) -> String {
        shortened(&legible(text, self.lettering), room_mm, style.size_mm, style.weight, self.lettering)
    }

    /// A head with a line below it, and what it says at its right-hand end.
    pub(super) fn head(&mut self, text: &str, aside: &str) {
        self.down(5.0);
        self.want(HEAD.line_mm + BELOW_HEAD_MM);
        self.line_at(text, LEFT_MM, Align::Start, HEAD);
        if !aside.is_empty() {
            // On the same baseline.
            let lower = HEAD.drop_mm() - SMALL.drop_mm();
            self.down(lower);
            self.line_at(aside, self.right(), Align::End, SMALL);
            self.down(-lower);
        }
        self.down(HEAD.line_mm + 0.6);
        let (from, to) = (PlatePoint::new(LEFT_MM, self.y), PlatePoint::new(self.right(), self.y));
        self.put([Item::line(from, to, HEAD_LINE)]);
        self.down(1.2);
    }

    /// Text in as many lines as it takes, `inset_mm` from the left.
    pub(super) fn paragraph(&mut self, text: &str, inset_mm: f64, style: Style) {
        for line in self.lines(text, self.width() - inset_mm, style) {
            self.want(style.line_mm);
            self.line_at(&line, LEFT_MM + inset_mm, Align::Start, style);
            self.down(style.line_mm);
        }
    }

    /// Text with a sign before its first line.
    pub(super) fn signed_paragraph(&mut self, sign: Sign, text: &str, style: Style) {
        self.want(style.line_mm);
        self.sign(sign, style);
        self.paragraph(text, SIGN_ROOM_MM, style);
    }

    /// A sign at the left of what comes next.
    pub(super) fn sign(&mut self, sign: Sign, style: Style) {
        let centre = PlatePoint::new(LEFT_MM + 1.7, self.y - style.line_mm / 2.0);
        self.put(sign.items(centre));
    }

    /// A thin line over the whole width.
    pub(super) fn hairline(&mut self, pen: Option<Pen>) {
        let (from, to) = (PlatePoint::new(LEFT_MM, self.y), PlatePoint::new(self.right(), self.y));
        self.put([Item::line(from, to, pen.unwrap_or(HAIRLINE))]);
    }

    /// A box over the whole width at the top of what comes next.
    pub(super) fn block(&self, height_mm: f64) -> Bounds {
        let max = PlatePoint::new(self.right(), self.y);
        Bounds { min: max - PlateVec::new(self.width(), height_mm), max }
    }

    /// The pages, each with `title` and its number at its foot.
    pub(super) fn finish(mut self, title: &str) -> Vec<Page> {
        let n = self.pages.len();
        let (left, right) = (LEFT_MM, self.right());
        let title = self.short(title, self.width() - 30.0, SMALL);
        for (k, page) in self.pages.iter_mut().enumerate() {
            let line = [left, right].map(|x| PlatePoint::new(x, FOOT_MM + 4.6));
            page.items.push(Item::line(line[0], line[1], HAIRLINE));
            let words = |text: &str, x| {
                Words::new(text, PlatePoint::new(x, FOOT_MM), SMALL.size_mm, self.lettering).ink(SMALL.ink)
            };
            page.items.push(Item::Words(words(&title, left)));
            page.items.push(Item::Words(words(&format!("page {} of {n}", k + 1), right).align(Align::End)));
        }
        self.pages
    }
}
