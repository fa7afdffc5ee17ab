//! The foot of every sheet: what part it is, which tile, and how it is to be printed.

use super::joints;
use super::{LINE_MM, ProofOptions, SMALL_MM, Tile, TileLayout, bars};
use crate::export::CutDrawing;
use crate::geom::Bounds;
use crate::paper::{Ink, Item, Lettering, Pen, Weight, Words, shortened, width_mm};
use crate::space::{PlatePoint, PlateVec};

/// Height of a row of cells, mm.
const ROW_MM: f64 = 10.5;
/// A narrower sheet has its cells in two rows.
const ONE_ROW_MM: f64 = 150.0;

const FRAME: Pen = Pen::new(0.35, Ink::Cut);
const DIVIDER: Pen = Pen::new(0.13, Ink::Soft);

const LABEL_MM: f64 = 2.4;
const VALUE_MM: f64 = 3.3;
/// From the left side of a cell to its text, and from its foot to the baselines of value and label, mm.
const INSET_MM: f64 = 2.0;
const VALUE_UP_MM: f64 = 2.6;
const LABEL_UP_MM: f64 = 7.0;

/// The most sheets that a map shows.
const MOST_ON_MAP: usize = 40;

/// Room for the map of the tiles, mm.
const MAP_MM: [f64; 2] = [14.0, 7.5];

/// Its height on a sheet whose printable width is `width_mm`.
pub(super) fn height_mm(width_mm: f64) -> f64 {
    if width_mm < ONE_ROW_MM { 2.0 * ROW_MM } else { ROW_MM }
}

/// A cell: its label, its text, and how wide it has to be; `None`: as wide as is left.
struct Cell {
    label: String,
    value: String,
    has_map: bool,
    takes_rest: bool,
}

/// Notes and title block of a sheet.
pub(super) fn title_block(
    drawing: &CutDrawing,
    options: &ProofOptions,
    layout: &TileLayout,
    tile: Tile,
    lettering: &dyn Lettering,
) -> Vec<Item> {
    let mut items = note_items(layout, tile, lettering);
    let [part, tile_cell, scale, printer] = cells(drawing, options, layout, tile);
    let Bounds { min, max } = layout.printable;
    let top = min.y + height_mm(max.x - min.x);
    let rows = if max.x - min.x < ONE_ROW_MM {
        vec![vec![part, tile_cell], vec![scale, printer]]
    } else {
        vec![vec![part, tile_cell, scale, printer]]
    };
    for (k, cells) in rows.into_iter().enumerate() {
        let top = top - k as f64 * ROW_MM;
        let row = Bounds { min: PlatePoint::new(min.x, top - ROW_MM), max: PlatePoint::new(max.x, top) };
        items.extend(row_items(row, &cells, layout, tile, lettering));
    }
    items.push(Item::frame(Bounds { min, max: PlatePoint::new(max.x, top) }, FRAME));
    items
}

fn cells(drawing: &CutDrawing, options: &ProofOptions, layout: &TileLayout, tile: Tile) -> [Cell; 4] {
    let title = if drawing.title.is_empty() { "This part" } else { &drawing.title };
    let several = layout.count() > 1;
    let place = format!("Tile, row {}, column {}", tile.row + 1, tile.column + 1);
    let grid = if options.grid { "1:1, grid 10 mm, print at" } else { "1:1, print at" };
    let printer = options.printer.words();
    let cell = |label: &str, value: &str| Cell {
        label: label.to_owned(),
        value: value.to_owned(),
        has_map: false,
        takes_rest: false,
    };
    [
        Cell { takes_rest: true, ..cell("Proof, holes at their finished size", title) },
        Cell {
            // A map of very many sheets shows nothing, and stands on each of them.
            has_map: several && layout.count() <= MOST_ON_MAP,
            ..cell(if several { &place } else { "Tile" }, &format!("{} of {}", layout.number(tile), layout.count()))
        },
        Cell { takes_rest: layout.printable.size().x < ONE_ROW_MM, ..cell(grid, "100 % / actual size") },
        cell("Printer put right by", printer.as_deref().unwrap_or("nothing yet")),
    ]
}

fn row_items(row: Bounds, cells: &[Cell], layout: &TileLayout, tile: Tile, lettering: &dyn Lettering) -> Vec<Item> {
    let needs = |cell: &Cell| {
        let value = width_mm(&cell.value, VALUE_MM, Weight::SemiBold, lettering);
        let label = width_mm(&cell.label, LABEL_MM, Weight::Regular, lettering);
        let map = if cell.has_map { MAP_MM[0] + INSET_MM } else { 0.0 };
        value.max(label) + map + 2.0 * INSET_MM
    };
    let fixed: f64 = cells.iter().filter(|cell| !cell.takes_rest).map(needs).sum();
    let rest = row.size().x - fixed;
    let mut items = vec![Item::line(PlatePoint::new(row.min.x, row.max.y), row.max, DIVIDER)];
    let mut left = row.min.x;
    for (k, cell) in cells.iter().enumerate() {
        let width = if cell.takes_rest { rest } else { needs(cell) };
        if k > 0 {
            items.push(Item::line(PlatePoint::new(left, row.min.y), PlatePoint::new(left, row.max.y), DIVIDER));
        }
        let room = width - 2.0 * INSET_MM;
        let foot = PlatePoint::new(left + INSET_MM, row.min.y);
        let fitted = |text: &str, size, weight| {
            let legible = crate::paper::legible(text, lettering);
            shortened(&legible, room, size, weight, lettering)
        };
        let label = fitted(&cell.label, LABEL_MM, Weight::Regular);
        let value = fitted(&cell.value, VALUE_MM, Weight::SemiBold);
        let at = |up| foot + PlateVec::new(0.0, up);
        items.push(Item::Words(Words::new(&label, at(LABEL_UP_MM), LABEL_MM, lettering).ink(Ink::Soft)));
        items.push(Item::Words(Words::new(&value, at(VALUE_UP_MM), VALUE_MM, lettering).weight(Weight::SemiBold)));
        if cell.has_map {
            let right = PlatePoint::new(left + width - INSET_MM, f64::midpoint(row.min.y, row.max.y));
            items.extend(map(layout, tile, right));
        }
        left += width;
    }
    items
}

/// All tiles in small, this one filled; its right side has its middle at `right`.
fn map(layout: &TileLayout, tile: Tile, right: PlatePoint) -> Vec<Item> {
    let (columns, rows) = (layout.columns as f64, layout.rows as f64);
    let [width, height] = layout.sheet_mm;
    let scale = (MAP_MM[0] / (columns * width)).min(MAP_MM[1] / (rows * height));
    let size = PlateVec::new(width * scale, height * scale);
    let corner = PlatePoint::new(right.x - columns * size.x, right.y + rows * size.y / 2.0);
    let cells = layout.tiles().map(|other| {
        let min = corner + PlateVec::new(other.column as f64 * size.x, -(other.row as f64 + 1.0) * size.y);
        (other, Bounds { min, max: min + size })
    });
    cells
        .flat_map(|(other, sides)| {
            let filled = (other == tile).then(|| Item::filled_box(sides, Ink::Cut));
            filled.into_iter().chain([Item::frame(sides, DIVIDER)])
        })
        .collect()
}

/// Notes, and how the sheets go together, between the window and the check bar across.
fn note_items(layout: &TileLayout, tile: Tile, lettering: &dyn Lettering) -> Vec<Item> {
    let room = layout.window.size().x;
    let short = |text: &str| shortened(text, room, SMALL_MM, Weight::Regular, lettering);
    let instruction = joints::instruction(layout, tile).map(|said| (short(&said), Ink::Cut));
    let notes = layout.notes.iter().map(|note| (note.clone(), Ink::Caution));
    let lines = notes.chain(instruction).enumerate();
    let top = layout.window.min.y - 0.5;
    let left = layout.window.min.x;
    debug_assert!(
        top - LINE_MM * layout.note_lines() as f64 >= layout.printable.min.y + bars::ACROSS_MM,
        "there is room"
    );
    let words = lines.map(|(k, (text, ink))| {
        let at = PlatePoint::new(left, top - LINE_MM * (k + 1) as f64 + 1.0);
        Item::Words(Words::new(&text, at, SMALL_MM, lettering).ink(ink))
    });
    words.collect()
}
