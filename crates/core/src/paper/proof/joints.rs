//! Where sheets are cut and laid on one another: hatches, dashed lines, triangles and letters.

use super::clear::{Lines, clipped};
use super::names::Names;
use super::{Tile, TileLayout};
use crate::export::CutDrawing;
use crate::geom::{Bounds, Contour};
use crate::paper::{Align, Ink, Item, Lettering, Pen, Weight, Words};
use crate::space::{PlatePoint, PlateVec};

const CUT_HERE: Pen = Pen::new(0.25, Ink::Cut).dashed(3.0, 1.5);
const EDGE_HERE: Pen = Pen::new(0.18, Ink::Cut);
const HATCH: Pen = Pen::new(0.1, Ink::Soft);
/// Between lines of the hatch, measured along x, mm.
const HATCH_MM: f64 = 4.0;

/// Half of the base of a triangle, and its height, mm.
const TRIANGLE_MM: [f64; 2] = [1.5, 2.2];
const LETTER_MM: f64 = 3.2;
/// Room for a triangle with its letter, from the line and to each side of its middle, mm.
const MARK_MM: [f64; 2] = [8.0, 2.5];
/// How far apart places along a line are tried, mm.
const ALONG_MM: f64 = 3.0;

/// Where two sheets meet.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Joint {
    /// The sheet that is cut here, and laid on the other.
    pub(super) cut: Tile,
    /// The sheet that it is laid on.
    pub(super) under: Tile,
    /// The letters at its ends.
    pub(super) letters: [String; 2],
    /// Its ends, in the datum's frame: the upper one first, or the left one.
    ends: [PlatePoint; 2],
    /// From the sheet that is cut to the other one.
    onward: PlateVec,
}

/// All joints, in the order of the sheets that are cut: beside its right neighbour, then above its lower one.
pub(super) fn joints(layout: &TileLayout) -> Vec<Joint> {
    let half = layout.overlap_mm / 2.0;
    let mut joints = Vec::new();
    for cut in layout.tiles() {
        let Bounds { min, max } = layout.shown_on(cut);
        let (right, lower) = (Tile { column: cut.column + 1, ..cut }, Tile { row: cut.row + 1, ..cut });
        let (x, y) = (max.x - half, min.y + half);
        let beside = (right, [PlatePoint::new(x, max.y), PlatePoint::new(x, min.y)], PlateVec::new(1.0, 0.0));
        let above = (lower, [PlatePoint::new(min.x, y), PlatePoint::new(max.x, y)], PlateVec::new(0.0, -1.0));
        for (under, ends, onward) in [beside, above] {
            if under.column < layout.columns && under.row < layout.rows {
                let k = 2 * joints.len();
                joints.push(Joint { cut, under, letters: [letter(k), letter(k + 1)], ends, onward });
            }
        }
    }
    joints
}

/// A, B … Z, AA, AB …
fn letter(k: usize) -> String {
    let last = char::from(b'A' + (k % 26) as u8);
    if k < 26 { last.to_string() } else { format!("{}{last}", letter(k / 26 - 1)) }
}

/// What to do with a sheet, in a sentence: where it is cut, and on which others its edges are laid.
pub(super) fn instruction(layout: &TileLayout, tile: Tile) -> Option<String> {
    let joints = joints(layout);
    let cut = joints.iter().filter(|joint| joint.cut == tile);
    let said: Vec<String> = cut
        .enumerate()
        .map(|(k, joint)| {
            let [from, to] = &joint.letters;
            let lay = if k == 0 { "lay on" } else { "on" };
            format!("at {from}–{to}, {lay} tile {}", layout.number(joint.under))
        })
        .collect();
    let lies_under = || "The others lie on this one, edge on line.".to_owned();
    (layout.count() > 1).then(|| if said.is_empty() { lies_under() } else { format!("Cut {}.", said.join("; ")) })
}

/// What is cut away of a sheet, or lies under another, hatched.
pub(super) fn hatches(layout: &TileLayout, tile: Tile) -> Vec<Item> {
    let shown = layout.shown_on(tile);
    let half = layout.overlap_mm / 2.0;
    let Bounds { min, max } = shown;
    let strips = [
        (tile.column + 1 < layout.columns, Bounds { min: PlatePoint::new(max.x - half, min.y), max }),
        (tile.column > 0, Bounds { min, max: PlatePoint::new(min.x + half, max.y) }),
        (tile.row + 1 < layout.rows, Bounds { min, max: PlatePoint::new(max.x, min.y + half) }),
        (tile.row > 0, Bounds { min: PlatePoint::new(min.x, max.y - half), max }),
    ];
    strips.into_iter().filter(|(is_shared, _)| *is_shared).flat_map(|(_, strip)| hatch(strip)).collect()
}

/// Slanting lines over a box. Those of all boxes lie on the same lines, so that they may overlap.
fn hatch(strip: Bounds) -> Vec<Item> {
    let Bounds { min, max } = strip;
    let height = max.y - min.y;
    // The lines y = x - k d.
    let (first, last) = ((min.x - max.y) / HATCH_MM, (max.x - min.y) / HATCH_MM);
    let lines = (first.ceil() as i64..=last.floor() as i64).filter_map(|k| {
        let x = min.y + k as f64 * HATCH_MM;
        clipped(strip, PlatePoint::new(x, min.y), PlatePoint::new(x + height, max.y))
    });
    lines.map(|[from, to]| Item::line(from, to, HATCH)).collect()
}

/// The lines along which a sheet is cut, and those on which edges of others lie.
pub(super) fn cut_lines(
    layout: &TileLayout,
    tile: Tile,
    drawing: &CutDrawing,
    names: &Names,
    lettering: &dyn Lettering,
) -> Vec<Item> {
    let joints: Vec<Joint> =
        joints(layout).into_iter().filter(|joint| joint.cut == tile || joint.under == tile).collect();
    if joints.is_empty() {
        return Vec::new();
    }
    let lines = Lines::of(drawing);
    let is_clear = |text: Bounds| !(lines.cross(text) || lines.meet_hole(text) || names.meet(text));
    let mut items = Vec::new();
    for joint in joints {
        let is_cut = joint.cut == tile;
        let [start, end] = joint.ends;
        items.push(Item::line(start, end, if is_cut { CUT_HERE } else { EDGE_HERE }));
        let away = if is_cut { -joint.onward } else { joint.onward };
        for (mark, letter) in marks(&joint, layout, &is_clear).into_iter().zip(&joint.letters) {
            items.extend(mark_items(mark, away, letter, lettering));
        }
    }
    items
}

/// Where the letters of a joint stand on its line: near its ends, clear of what is drawn.
fn marks(joint: &Joint, layout: &TileLayout, is_clear: &dyn Fn(Bounds) -> bool) -> [PlatePoint; 2] {
    let [start, end] = joint.ends;
    let (length, along) = (start.distance(end), (end - start).unit().unwrap_or_default());
    let [out, side] = MARK_MM;
    let room = PlateVec::new(along.x.abs() * side + along.y.abs() * out, along.x.abs() * out + along.y.abs() * side);
    // In the corners other sheets are cut or lie, and their letters stand.
    let least = layout.overlap_mm + out;
    let most = (length / 2.0 - side).max(least);
    let tries = ((most - least) / ALONG_MM) as usize;
    [(start, along), (end, -along)].map(|(from, inward)| {
        let mut places = (0..=tries).map(|k| from + inward * (least + k as f64 * ALONG_MM));
        let first = from + inward * least;
        places.find(|at| is_clear(Bounds { min: *at - room, max: *at + room })).unwrap_or(first)
    })
}

/// A triangle on the line and its letter beyond: with that of the other sheet it makes a diamond.
fn mark_items(at: PlatePoint, away: PlateVec, letter: &str, lettering: &dyn Lettering) -> [Item; 2] {
    let [half_base, height] = TRIANGLE_MM;
    let side = away.perp() * half_base;
    let triangle =
        Item::Fill { contours: vec![Contour::polygon(&[at - side, at + side, at + away * height])], ink: Ink::Cut };
    let (beyond, align) = match away {
        _ if away.x > 0.5 => (PlateVec::new(1.2, -0.35 * LETTER_MM), Align::Start),
        _ if away.x < -0.5 => (PlateVec::new(-1.2, -0.35 * LETTER_MM), Align::End),
        _ if away.y > 0.5 => (PlateVec::new(0.0, 1.2), Align::Middle),
        _ => (PlateVec::new(0.0, -1.2 - 0.7 * LETTER_MM), Align::Middle),
    };
    let words = Words::new(letter, at + away * height + beyond, LETTER_MM, lettering);
    [triangle, Item::Words(words.weight(Weight::SemiBold).align(align))]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_after_z() {
        let said: Vec<String> = [0, 1, 25, 26, 51, 52, 701, 702].map(letter).to_vec();
        assert_eq!(said, ["A", "B", "Z", "AA", "AZ", "BA", "ZZ", "AAA"], "as columns of a table are counted");
    }
}
