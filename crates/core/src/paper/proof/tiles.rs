//! How many sheets a part takes, and which piece of it each of them shows.

use super::{LINE_MM, ProofOptions, SMALL_MM, bars, title_block};
use crate::export::{CutDrawing, ExportRefused, usable_bounds};
use crate::geom::Bounds;
use crate::paper::{Lettering, MARGIN_MM, Paper, Weight, wrapped};
use crate::space::{PlatePoint, PlateVec};
use crate::units::format_figure;

/// Width of the strip that neighbours share, mm.
const OVERLAP_MM: f64 = 10.0;

/// Room left round the part, mm: for its line, and for names beside holes near its edge.
const ROUND_MM: f64 = 4.0;

/// The most sheets of one proof: more are not pasted together to anything true.
const MOST_TILES: usize = 400;

/// The most lines of notes.
const MOST_NOTES: usize = 4;

/// Why a proof was not made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ProofRefused {
    /// There is nothing that could be drawn.
    #[error(transparent)]
    Drawing(#[from] ExportRefused),
    /// It would take too many sheets.
    #[error(
        "the part is {} by {} mm and would take {} sheets of {}; {} is the most. Choose larger paper",
        format_figure(.size_mm[0], 0),
        format_figure(.size_mm[1], 0),
        format_figure(*.tiles, 0),
        .paper.name(),
        MOST_TILES
    )]
    TooManyTiles {
        /// Width and height of the part, mm.
        size_mm: [f64; 2],
        /// How many it would take.
        tiles: f64,
        /// The paper.
        paper: Paper,
    },
}

/// How a proof lies on its sheets.
#[derive(Debug, Clone, PartialEq)]
pub struct TileLayout {
    /// The paper.
    pub paper: Paper,
    /// Width and height of each sheet as it lies, mm.
    pub sheet_mm: [f64; 2],
    /// Sheets side by side.
    pub columns: usize,
    /// Sheets one above the other.
    pub rows: usize,
    /// Lengths of the check bars across and up, mm.
    pub bars_mm: [f64; 2],
    /// Width of the strip that neighbours share, mm.
    pub overlap_mm: f64,
    /// The window on each page, in the page's frame.
    pub(super) window: Bounds,
    /// What the printer reaches, in the page's frame before it is put right.
    pub(super) printable: Bounds,
    /// Upper left corner of what the tiles show together, in the datum's frame.
    upper_left: PlatePoint,
    /// Lines of notes above the title block.
    pub(super) notes: Vec<String>,
}

/// One sheet of a proof.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tile {
    /// From the top, from 0.
    pub row: usize,
    /// From the left, from 0.
    pub column: usize,
}

impl TileLayout {
    /// Upright or lying, whichever takes fewer sheets.
    ///
    /// # Errors
    /// As [`super::proof_pages`].
    pub fn new(drawing: &CutDrawing, options: &ProofOptions, lettering: &dyn Lettering) -> Result<Self, ProofRefused> {
        let bounds = usable_bounds(drawing)?;
        let [short, long] = options.paper.size_mm();
        let [upright, lying] =
            [[short, long], [long, short]].map(|sheet_mm| Self::on(sheet_mm, bounds, drawing, options, lettering));
        let needs = |layout: &Result<Self, ProofRefused>| match layout {
            Ok(layout) => layout.count() as f64,
            Err(ProofRefused::TooManyTiles { tiles, .. }) => *tiles,
            Err(_) => f64::INFINITY,
        };
        let size = bounds.size();
        let lies = match needs(&lying).total_cmp(&needs(&upright)) {
            std::cmp::Ordering::Less => true,
            std::cmp::Ordering::Equal => size.x > size.y,
            std::cmp::Ordering::Greater => false,
        };
        if lies { lying } else { upright }
    }

    fn on(
        sheet_mm: [f64; 2],
        part: Bounds,
        drawing: &CutDrawing,
        options: &ProofOptions,
        lettering: &dyn Lettering,
    ) -> Result<Self, ProofRefused> {
        let corner = PlatePoint::new(MARGIN_MM, MARGIN_MM);
        // What is put right has to stay inside the margins, so it has less room where it grows.
        let reach = |size: f64, factor: f64| (size - 2.0 * MARGIN_MM) / factor;
        let reach = PlateVec::new(reach(sheet_mm[0], options.printer.across), reach(sheet_mm[1], options.printer.up));
        let printable = Bounds { min: corner, max: corner + reach };
        let need = part.grown(ROUND_MM).size();
        let window_beside = |notes: usize| {
            let below = title_block::height_mm(reach.x) + bars::ACROSS_MM + notes_mm(notes);
            Bounds { min: corner + PlateVec::new(bars::UP_MM, below), max: printable.max }
        };
        let count = |need: f64, window: f64| ((need - OVERLAP_MM) / (window - OVERLAP_MM)).ceil().max(1.0);
        // How to put the sheets together takes a line of its own, where there are several.
        let one = window_beside(0).size();
        let is_one = count(need.x, one.x) * count(need.y, one.y) <= 1.0;
        let notes = noted(drawing, options, reach.x - bars::UP_MM, lettering);
        let mut window = window_beside(notes.len() + usize::from(!is_one));
        let [mut columns, mut rows] = [count(need.x, window.size().x), count(need.y, window.size().y)];
        if is_one && columns * rows > 1.0 {
            window = window_beside(notes.len() + 1);
            [columns, rows] = [count(need.x, window.size().x), count(need.y, window.size().y)];
        }
        if columns * rows > MOST_TILES as f64 {
            let size = part.size();
            let size_mm = [size.x, size.y];
            return Err(ProofRefused::TooManyTiles { size_mm, tiles: columns * rows, paper: options.paper });
        }
        let over = |n: f64, window: f64| n * window - (n - 1.0) * OVERLAP_MM;
        let whole = PlateVec::new(over(columns, window.size().x), over(rows, window.size().y));
        let middle = part.min.lerp(part.max, 0.5);
        Ok(Self {
            paper: options.paper,
            sheet_mm,
            columns: columns as usize,
            rows: rows as usize,
            bars_mm: bars::lengths_mm(printable),
            overlap_mm: OVERLAP_MM,
            window,
            printable,
            upper_left: PlatePoint::new(middle.x - whole.x / 2.0, middle.y + whole.y / 2.0),
            notes,
        })
    }

    /// How many sheets there are.
    pub const fn count(&self) -> usize {
        self.columns * self.rows
    }

    /// They lie on their long side.
    pub fn is_lying(&self) -> bool {
        self.sheet_mm[0] > self.sheet_mm[1]
    }

    /// All sheets in the order in which they are numbered: row by row from the top.
    pub fn tiles(&self) -> impl Iterator<Item = Tile> + use<> {
        let columns = self.columns;
        (0..self.count()).map(move |k| Tile { row: k / columns, column: k % columns })
    }

    /// The number of a sheet, from 1.
    pub const fn number(&self, tile: Tile) -> usize {
        tile.row * self.columns + tile.column + 1
    }

    /// What a sheet shows, in the datum's frame.
    pub fn shown_on(&self, tile: Tile) -> Bounds {
        let size = self.window.size();
        let left = self.upper_left.x + tile.column as f64 * (size.x - OVERLAP_MM);
        let top = self.upper_left.y - tile.row as f64 * (size.y - OVERLAP_MM);
        Bounds { min: PlatePoint::new(left, top - size.y), max: PlatePoint::new(left + size.x, top) }
    }

    /// What stays of it when the sheets are put together: it is cut, and lies on others, in the middle of shared strips.
    pub fn stays_of(&self, tile: Tile) -> Bounds {
        let Bounds { min, max } = self.shown_on(tile);
        let half = |is_shared: bool| if is_shared { OVERLAP_MM / 2.0 } else { 0.0 };
        let low = PlateVec::new(half(tile.column > 0), half(tile.row + 1 < self.rows));
        let high = PlateVec::new(half(tile.column + 1 < self.columns), half(tile.row > 0));
        Bounds { min: min + low, max: max - high }
    }

    /// Lines of text between the window and the check bar across.
    pub(super) fn note_lines(&self) -> usize {
        self.notes.len() + usize::from(self.count() > 1)
    }
}

/// Height of so many lines of notes, mm.
pub(super) fn notes_mm(lines: usize) -> f64 {
    if lines == 0 { 0.0 } else { lines as f64 * LINE_MM + 1.5 }
}

/// What is said below the window: what fails, and what goes with the drawing.
fn noted(drawing: &CutDrawing, options: &ProofOptions, room_mm: f64, lettering: &dyn Lettering) -> Vec<String> {
    let mut said = Vec::new();
    if !options.not_checked.is_empty() {
        said.push(format!("Not checked good: {}.", options.not_checked.join(", ")));
    }
    let others = drawing.notes.iter().filter(|note| *note != CutDrawing::SCALE_NOTE);
    said.extend(others.map(|note| format!("{}.", crate::job::capital(note))));
    let legible = crate::paper::legible(&said.join(" "), lettering);
    let mut lines = wrapped(&legible, room_mm, SMALL_MM, Weight::Regular, lettering);
    if lines.len() > MOST_NOTES {
        let rest = lines.split_off(MOST_NOTES - 1).join(" ");
        lines.push(crate::paper::shortened(&rest, room_mm, SMALL_MM, Weight::Regular, lettering));
    }
    lines
}
