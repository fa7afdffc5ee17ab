//! Check bars: what a ruler is laid on to see whether a printer draws true.

use super::{SMALL_MM, TileLayout, title_block};
use crate::geom::Bounds;
use crate::paper::{Align, Ink, Item, Lettering, Pen, Turned, Weight, Words, width_mm};
use crate::space::{PlatePoint, PlateVec};

/// Height of the row with the bar across, and width of the strip with the bar up, mm.
pub(super) const ACROSS_MM: f64 = 9.0;
pub(super) const UP_MM: f64 = 9.0;

/// Lengths of bars, mm, the best first: the longer it is, the less a misreading matters.
const LENGTHS_MM: [f64; 3] = [100.0, 80.0, 50.0];

/// Room that is left beyond the ends, mm.
const BEYOND_MM: f64 = 1.5;

const LINE: Pen = Pen::new(0.25, Ink::Cut);
/// A bar goes from the middle of one end's line to the middle of the other's, so these are thin.
const END: Pen = Pen::new(0.15, Ink::Cut);
const END_HALF_MM: f64 = 3.0;
const TICK_MM: f64 = 1.3;
const TICK_EVERY_MM: f64 = 10.0;

/// The longest bars that there is room for, across and up.
pub(super) fn lengths_mm(printable: Bounds) -> [f64; 2] {
    let [across, up] = rooms(printable).map(|room| room.size());
    let longest = |room: f64| {
        let fits = LENGTHS_MM.into_iter().find(|length| length + 2.0 * BEYOND_MM <= room);
        fits.unwrap_or(LENGTHS_MM[LENGTHS_MM.len() - 1])
    };
    [longest(across.x), longest(up.y)]
}

/// Where the bar across and the bar up may lie.
fn rooms(printable: Bounds) -> [Bounds; 2] {
    let Bounds { min, max } = printable;
    let above_block = min.y + title_block::height_mm(printable.size().x);
    let top = above_block + ACROSS_MM;
    [
        Bounds { min: PlatePoint::new(min.x, above_block), max: PlatePoint::new(max.x, top) },
        Bounds { min: PlatePoint::new(min.x, top), max: PlatePoint::new(min.x + UP_MM, max.y) },
    ]
}

/// Both bars.
pub(super) fn bars(layout: &TileLayout, lettering: &dyn Lettering) -> Vec<Item> {
    let [across, up] = rooms(layout.printable).map(|room| room.min.lerp(room.max, 0.5));
    let [across_mm, up_mm] = layout.bars_mm;
    let mut items = bar(across, across_mm, Turned::Level, lettering);
    items.extend(bar(up, up_mm, Turned::Up, lettering));
    items
}

fn bar(middle: PlatePoint, length_mm: f64, turned: Turned, lettering: &dyn Lettering) -> Vec<Item> {
    let (direction, along) = match turned {
        Turned::Level => ("across", PlateVec::new(1.0, 0.0)),
        Turned::Up => ("up", PlateVec::new(0.0, 1.0)),
    };
    let start = middle - along * (length_mm / 2.0);
    let at = |mm: f64| start + along * mm;
    let text = format!("check bar {direction}, {length_mm:.0} mm");
    let half_gap = width_mm(&text, SMALL_MM, Weight::SemiBold, lettering) / 2.0 + 1.2;
    let mut items = vec![
        Item::line(start, middle - along * half_gap, LINE),
        Item::line(middle + along * half_gap, at(length_mm), LINE),
    ];
    for end in [0.0, length_mm] {
        let arm = along.perp() * END_HALF_MM;
        items.push(Item::line(at(end) - arm, at(end) + arm, END));
    }
    let ticks = (1..).map(|k| f64::from(k) * TICK_EVERY_MM).take_while(|mm| *mm < length_mm - TICK_EVERY_MM / 2.0);
    for mm in ticks.filter(|mm| (mm - length_mm / 2.0).abs() > half_gap) {
        items.push(Item::line(at(mm), at(mm) + along.perp() * TICK_MM, END));
    }
    // The middle of the small letters lies on the line.
    let drop = along.perp() * (-0.26 * SMALL_MM);
    let words = Words::new(&text, middle + drop, SMALL_MM, lettering).weight(Weight::SemiBold);
    items.push(Item::Words(words.align(Align::Middle).turned(turned)));
    items
}
