//! One page and what is drawn on it.

use super::{Lettering, Weight};
use crate::geom::{Bounds, Contour, Segment};
use crate::space::{PlatePoint, PlateVec};
use std::fmt;
use std::sync::Arc;

/// A page: a sheet of paper and what is drawn on it, from the bottom to the top.
///
/// Its frame is that of the sheet: mm, x right, y up, origin at the lower left corner. A proof at 1:1 lies on the plate,
/// so the shapes of [`crate::geom`] serve for both.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// Width and height of the sheet, mm.
    pub size_mm: [f64; 2],
    /// What puts the printer right; see [`Page::on_sheet`].
    pub stretch: Stretch,
    /// What is drawn, in order; later items lie on earlier ones.
    pub items: Vec<Item>,
}

/// What everything on a page is multiplied by, each direction on its own, about a place that stays.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// The place that stays.
    pub about: PlatePoint,
    /// Factor across the page.
    pub across: f64,
    /// Factor up the page.
    pub up: f64,
}

impl Stretch {
    /// Everything stays as it is drawn.
    pub const NONE: Self = Self { about: PlatePoint::new(0.0, 0.0), across: 1.0, up: 1.0 };
}

/// Something that is drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A line along a contour, closed or open.
    Stroke {
        /// What it goes along.
        contour: Contour,
        /// What it is drawn with.
        pen: Pen,
    },
    /// What lies inside an odd number of closed contours.
    Fill {
        /// The contours.
        contours: Vec<Contour>,
        /// Its colour.
        ink: Ink,
    },
    /// A circle.
    Circle {
        /// Its centre.
        centre: PlatePoint,
        /// Its radius, mm.
        radius_mm: f64,
        /// What its line is drawn with; `None`: no line.
        pen: Option<Pen>,
        /// What it is filled with; `None`: what lies below shows.
        fill: Option<Ink>,
    },
    /// A line of text.
    Words(Words),
    /// A picture.
    Picture(Picture),
    /// What is drawn of these inside an upright box.
    Within {
        /// The box.
        window: Bounds,
        /// What is cut off at its sides.
        items: Vec<Item>,
    },
}

/// What a line is drawn with. Lines end where their contour does, and meet in sharp corners.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    /// Width of the line, mm.
    pub width_mm: f64,
    /// Its colour.
    pub ink: Ink,
    /// Length of a dash and of the gap after it, mm; `None`: an unbroken line.
    pub dashes: Option<[f64; 2]>,
}

/// A colour by what it is for. A file maps them to the colours of the paper theme, a window to those of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// Cut lines, frames and text.
    Cut,
    /// Second text and units.
    Soft,
    /// Hairlines and the grid.
    Rule,
    /// Centre crosses, and what is chosen.
    Brass,
    /// What is marked and not cut.
    Mark,
    /// What agrees, and checks that pass.
    Agree,
    /// What disagrees, and checks that fail.
    Disagree,
    /// What is to be borne in mind.
    Caution,
    /// What is not known yet.
    Unknown,
    /// The paper itself, where something is covered.
    Paper,
    /// Lines and flags on a photo.
    Light,
    /// What lies round lines on a photo, so that they show on any ground.
    Casing,
}

/// A line of text.
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    /// The text, one line, of characters that the typeface has.
    pub text: String,
    /// Where its baseline starts, has its middle or ends.
    pub at: PlatePoint,
    /// Size of the type, mm: from line to line as it was cast, 1.4 times the height of a capital.
    pub height_mm: f64,
    /// Weight of the type.
    pub weight: Weight,
    /// Its colour.
    pub ink: Ink,
    /// Which part of it stands at `at`.
    pub align: Align,
    /// Which way it is read.
    pub turned: Turned,
}

/// Which part of a line of text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Align {
    /// Its start.
    #[default]
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// Which way a line of text is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Turned {
    /// Across the page.
    #[default]
    Level,
    /// Up the page, from its right-hand side.
    Up,
}

/// A picture.
#[derive(Clone, PartialEq)]
pub struct Picture {
    /// Three sRGB bytes a pixel, in rows from the top.
    pub rgb: Arc<[u8]>,
    /// Pixels across and down.
    pub pixels: [u32; 2],
    /// Lower left corner.
    pub corner: PlatePoint,
    /// Width and height, mm.
    pub size_mm: [f64; 2],
}

/// Millions of bytes tell nobody anything.
impl fmt::Debug for Picture {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Picture {:?} px, {:?} mm at {:?}", self.pixels, self.size_mm, self.corner)
    }
}

impl Page {
    /// An empty page.
    pub fn new(size_mm: [f64; 2]) -> Self {
        Self { size_mm, stretch: Stretch::NONE, items: Vec::new() }
    }

    /// Where `drawn`, a place of an item, lies on the sheet that goes into the printer.
    pub fn on_sheet(&self, drawn: PlatePoint) -> PlatePoint {
        let Stretch { about, across, up } = self.stretch;
        let step = drawn - about;
        about + PlateVec::new(step.x * across, step.y * up)
    }

    /// Every line of text on it, in order, with what stands inside boxes.
    pub fn words(&self) -> Vec<&Words> {
        fn gather<'a>(items: &'a [Item], into: &mut Vec<&'a Words>) {
            for item in items {
                match item {
                    Item::Words(words) => into.push(words),
                    Item::Within { items, .. } => gather(items, into),
                    _ => {}
                }
            }
        }
        let mut words = Vec::new();
        gather(&self.items, &mut words);
        words
    }
}

impl Item {
    /// A straight line.
    pub fn line(from: PlatePoint, to: PlatePoint, pen: Pen) -> Self {
        Self::Stroke { contour: Contour { segments: vec![Segment::line(from, to)], closed: false }, pen }
    }

    /// The four sides of a box.
    pub fn frame(sides: Bounds, pen: Pen) -> Self {
        Self::Stroke { contour: box_contour(sides), pen }
    }

    /// A box, filled.
    pub fn filled_box(sides: Bounds, ink: Ink) -> Self {
        Self::Fill { contours: vec![box_contour(sides)], ink }
    }

    /// A ring.
    pub const fn ring(centre: PlatePoint, radius_mm: f64, pen: Pen) -> Self {
        Self::Circle { centre, radius_mm, pen: Some(pen), fill: None }
    }
}

fn box_contour(Bounds { min, max }: Bounds) -> Contour {
    Contour::polygon(&[min, PlatePoint::new(max.x, min.y), max, PlatePoint::new(min.x, max.y)])
}

impl Pen {
    /// An unbroken line.
    pub const fn new(width_mm: f64, ink: Ink) -> Self {
        Self { width_mm, ink, dashes: None }
    }

    /// A line of dashes `dash_mm` long with gaps of `gap_mm`.
    #[must_use]
    pub const fn dashed(self, dash_mm: f64, gap_mm: f64) -> Self {
        Self { dashes: Some([dash_mm, gap_mm]), ..self }
    }
}

impl Words {
    /// Text that is read across the page from `at`, in regular type. Characters that `lettering` lacks become others
    /// that say the same.
    pub fn new(text: &str, at: PlatePoint, height_mm: f64, lettering: &dyn Lettering) -> Self {
        Self {
            text: super::lettering::legible(text, lettering),
            at,
            height_mm,
            weight: Weight::Regular,
            ink: Ink::Cut,
            align: Align::Start,
            turned: Turned::Level,
        }
    }

    /// The same in this weight.
    #[must_use]
    pub fn weight(self, weight: Weight) -> Self {
        Self { weight, ..self }
    }

    /// The same in this colour.
    #[must_use]
    pub fn ink(self, ink: Ink) -> Self {
        Self { ink, ..self }
    }

    /// The same with another part of it at its place.
    #[must_use]
    pub fn align(self, align: Align) -> Self {
        Self { align, ..self }
    }

    /// The same, read the other way.
    #[must_use]
    pub fn turned(self, turned: Turned) -> Self {
        Self { turned, ..self }
    }

    /// The box that it takes: from its start to its end, from the lowest descender to the highest ascender.
    pub fn bounds(&self, lettering: &dyn Lettering) -> Bounds {
        let length = super::lettering::width_mm(&self.text, self.height_mm, self.weight, lettering);
        let start = match self.align {
            Align::Start => 0.0,
            Align::Middle => -length / 2.0,
            Align::End => -length,
        };
        let [below, above] = [-DESCENT * self.height_mm, ASCENT * self.height_mm];
        let step = match self.turned {
            Turned::Level => [PlateVec::new(start, below), PlateVec::new(start + length, above)],
            Turned::Up => [PlateVec::new(-above, start), PlateVec::new(-below, start + length)],
        };
        Bounds { min: self.at + step[0], max: self.at + step[1] }
    }
}

/// How far letters reach above and below their baseline, in sizes of the type: IBM Plex Sans, b and p.
const ASCENT: f64 = 0.78;
const DESCENT: f64 = 0.22;
