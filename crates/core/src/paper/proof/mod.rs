//! The part at 1:1, to be laid on what it has to fit.
//!
//! A part that is larger than a sheet is drawn on several: each shows its piece of the datum's frame through a window, and
//! neighbours share a strip. A sheet is cut in the middle of that strip and laid on its neighbour, edge on line.

mod bars;
mod clear;
mod joints;
mod names;
mod tiles;
mod title_block;

pub use tiles::{ProofRefused, Tile, TileLayout};

use super::{Ink, Item, Lettering, MARGIN_MM, Page, Paper, Pen, PrinterScale, Stretch, Words};
use crate::export::{CutDrawing, CutHole};
use crate::geom::{Bounds, Contour};
use crate::space::{PlatePoint, PlateVec};

/// How a proof is printed.
#[derive(Debug, Clone, PartialEq)]
pub struct ProofOptions {
    /// The paper.
    pub paper: Paper,
    /// What puts the printer right.
    pub printer: PrinterScale,
    /// Lines every 10 mm through the datum.
    pub grid: bool,
    /// A cross in each hole.
    pub centre_crosses: bool,
    /// Checks that fail, by name.
    pub not_checked: Vec<String>,
}

impl Default for ProofOptions {
    fn default() -> Self {
        Self {
            paper: Paper::default(),
            printer: PrinterScale::TRUE,
            grid: true,
            centre_crosses: true,
            not_checked: Vec::new(),
        }
    }
}

const CUT: Pen = Pen::new(0.3, Ink::Cut);
const CROSS: Pen = Pen::new(0.18, Ink::Brass);
const GRID: Pen = Pen::new(0.13, Ink::Rule);
const DATUM: Pen = Pen::new(0.3, Ink::Rule);
const EDGE_OF_PRINT: Pen = Pen::new(0.2, Ink::Rule).dashed(0.4, 1.0);
const WINDOW: Pen = Pen::new(0.18, Ink::Soft);

/// Lines of the grid are this far apart, mm.
const GRID_MM: f64 = 10.0;

/// How far a centre cross reaches beyond the rim, mm.
const CROSS_BEYOND_MM: f64 = 2.0;

/// Size of small text on the proof, mm, and from line to line.
const SMALL_MM: f64 = 2.7;
const LINE_MM: f64 = 3.8;

/// The pages of a proof: every tile of its [`TileLayout`], row by row from the top.
///
/// # Errors
/// An empty drawing, one with a number that is none, or one that would take too many sheets is refused.
pub fn proof_pages(
    drawing: &CutDrawing,
    options: &ProofOptions,
    lettering: &dyn Lettering,
) -> Result<Vec<Page>, ProofRefused> {
    let layout = TileLayout::new(drawing, options, lettering)?;
    let names = names::Names::placed(drawing, &layout, lettering);
    Ok(layout.tiles().map(|tile| page(drawing, options, lettering, &layout, &names, tile)).collect())
}

fn page(
    drawing: &CutDrawing,
    options: &ProofOptions,
    lettering: &dyn Lettering,
    layout: &TileLayout,
    names: &names::Names,
    tile: Tile,
) -> Page {
    let mut page = Page::new(layout.sheet_mm);
    let [x, y] = [MARGIN_MM; 2];
    page.stretch = Stretch { about: PlatePoint::new(x, y), across: options.printer.across, up: options.printer.up };
    let window = layout.window;
    let to_page = window.min - layout.shown_on(tile).min;
    let shown = layout.shown_on(tile);
    let mut items = Vec::new();
    if options.grid {
        items.extend(grid(shown));
    }
    items.extend(names.grounds(tile, layout));
    items.extend(joints::hatches(layout, tile));
    items.extend(part(drawing, shown));
    if options.centre_crosses {
        items.extend(drawing.holes.iter().flat_map(centre_cross));
    }
    items.extend(names.on(tile, layout));
    items.extend(joints::cut_lines(layout, tile, drawing, names, lettering));
    let items = items.into_iter().map(|item| moved(item, to_page)).collect();
    page.items.push(Item::frame(layout.printable, EDGE_OF_PRINT));
    page.items.push(Item::Within { window, items });
    page.items.push(Item::frame(window, WINDOW));
    page.items.extend(bars::bars(layout, lettering));
    page.items.extend(title_block::title_block(drawing, options, layout, tile, lettering));
    page
}

/// What is cut, as far as `shown` shows it.
fn part(drawing: &CutDrawing, shown: Bounds) -> Vec<Item> {
    let is_shown = |bounds: Option<Bounds>| bounds.is_some_and(|bounds| bounds.grown(CUT.width_mm).overlaps(&shown));
    let contours = drawing.outer.iter().chain(&drawing.openings).map(|cut| &cut.contour);
    let contours = contours.filter(|contour| is_shown(contour.bounds()));
    let holes = drawing.holes.iter().filter(|hole| is_shown(Some(around(hole))));
    let rings = holes.map(|hole| Item::ring(hole.centre, hole.diameter_mm / 2.0, CUT));
    contours.map(|contour| Item::Stroke { contour: contour.clone(), pen: CUT }).chain(rings).collect()
}

fn around(hole: &CutHole) -> Bounds {
    Bounds::around_circle(hole.centre, hole.diameter_mm / 2.0)
}

fn centre_cross(hole: &CutHole) -> [Item; 2] {
    let arm = hole.diameter_mm / 2.0 + CROSS_BEYOND_MM;
    [PlateVec::new(arm, 0.0), PlateVec::new(0.0, arm)]
        .map(|arm| Item::line(hole.centre - arm, hole.centre + arm, CROSS))
}

/// Lines every 10 mm, those through the datum stronger.
fn grid(shown: Bounds) -> Vec<Item> {
    let through = |from: f64, to: f64| {
        let (first, last) = ((from / GRID_MM).ceil() as i64, (to / GRID_MM).floor() as i64);
        (first..=last).map(|k| (k as f64 * GRID_MM, if k == 0 { DATUM } else { GRID }))
    };
    let Bounds { min, max } = shown;
    let upright =
        through(min.x, max.x).map(|(x, pen)| Item::line(PlatePoint::new(x, min.y), PlatePoint::new(x, max.y), pen));
    let level =
        through(min.y, max.y).map(|(y, pen)| Item::line(PlatePoint::new(min.x, y), PlatePoint::new(max.x, y), pen));
    upright.chain(level).collect()
}

/// The same item a step away.
fn moved(item: Item, step: PlateVec) -> Item {
    match item {
        Item::Stroke { contour, pen } => Item::Stroke { contour: contour.moved(step), pen },
        Item::Fill { contours, ink } => {
            Item::Fill { contours: contours.iter().map(|contour: &Contour| contour.moved(step)).collect(), ink }
        }
        Item::Circle { centre, radius_mm, pen, fill } => Item::Circle { centre: centre + step, radius_mm, pen, fill },
        Item::Words(words) => Item::Words(Words { at: words.at + step, ..words }),
        Item::Picture(picture) => Item::Picture(super::Picture { corner: picture.corner + step, ..picture }),
        Item::Within { window, items } => Item::Within {
            window: Bounds { min: window.min + step, max: window.max + step },
            items: items.into_iter().map(|item| moved(item, step)).collect(),
        },
    }
}

#[cfg(test)]
mod tests;
