//! The overall size, below the part and to its right.

use super::Drawn;
use crate::geom::{Bounds, Contour};
use crate::paper::{Align, Ink, Item, Lettering, Pen, Turned, Weight, Words, width_mm};
use crate::space::{PlatePoint, PlateVec};

const LINE: Pen = Pen::new(0.25, Ink::Cut);
const THIN: Pen = Pen::new(0.13, Ink::Soft);

/// How far off the part a dimension line lies, how far the lines that lead to it go beyond it, and what they leave at the
/// part, mm.
const OFF_MM: f64 = 9.0;
const BEYOND_MM: f64 = 1.5;
const LEFT_MM: f64 = 1.0;

/// Length and width of an arrow's tip, mm.
const TIP_MM: [f64; 2] = [2.6, 1.8];

/// Size of the type, mm.
const SIZE_MM: f64 = 3.6;

/// The part's width below it, its height to the right of it.
pub(super) fn overall(bounds: Bounds, drawn: &Drawn, lettering: &dyn Lettering) -> Vec<Item> {
    let (min, max) = (drawn.place(bounds.min), drawn.place(bounds.max));
    let size = bounds.size();
    let right = PlateVec::new(1.0, 0.0);
    let up = PlateVec::new(0.0, 1.0);
    let corner = PlatePoint::new(max.x, min.y);
    let mut items = dimension(min, corner, -up, size.x, lettering);
    items.extend(dimension(corner, max, right, size.y, lettering));
    items
}

/// The strips that the dimensions stand in.
pub(super) fn taken(bounds: Bounds, drawn: &Drawn) -> Vec<Bounds> {
    let (min, max) = (drawn.place(bounds.min), drawn.place(bounds.max));
    let [near, far] = [LEFT_MM, OFF_MM + BEYOND_MM + SIZE_MM / 2.0];
    let at = PlatePoint::new;
    vec![
        Bounds { min: at(min.x - BEYOND_MM, min.y - far), max: at(max.x + BEYOND_MM, min.y - near) },
        Bounds { min: at(max.x + near, min.y - BEYOND_MM), max: at(max.x + far, max.y + BEYOND_MM) },
    ]
}

/// A dimension line beside the line from `a` to `b`, on the side of `outward`.
fn dimension(a: PlatePoint, b: PlatePoint, outward: PlateVec, mm: f64, lettering: &dyn Lettering) -> Vec<Item> {
    let along = (b - a).unit().unwrap_or(outward);
    let (from, to) = (a + outward * OFF_MM, b + outward * OFF_MM);
    let lead = |p: PlatePoint| Item::line(p + outward * LEFT_MM, p + outward * (OFF_MM + BEYOND_MM), THIN);
    let text = format!("{mm:.2}");
    let half = width_mm(&text, SIZE_MM, Weight::SemiBold, lettering) / 2.0 + 1.5;
    let middle = from.lerp(to, 0.5);
    let turned = if along.y.abs() > 0.5 { Turned::Up } else { Turned::Level };
    // The figure stands in a gap of its line, its digits' middle on it.
    let down = match turned {
        Turned::Level => PlateVec::new(0.0, -DIGIT_MIDDLE * SIZE_MM),
        Turned::Up => PlateVec::new(DIGIT_MIDDLE * SIZE_MM, 0.0),
    };
    let words = Words::new(&text, middle + down, SIZE_MM, lettering)
        .weight(Weight::SemiBold)
        .align(Align::Middle)
        .turned(turned);
    let mut items = vec![lead(a), lead(b)];
    let room = (to - from).length();
    if room > 2.0 * (half + TIP_MM[0]) {
        items.push(Item::line(from, middle - along * half, LINE));
        items.push(Item::line(middle + along * half, to, LINE));
        items.extend([tip(from, -along), tip(to, along), Item::Words(words)]);
    } else {
        // Too narrow for both: the figure goes beside it, the arrows point inwards from outside.
        let beyond = to + along * (half + 2.0 * TIP_MM[0]);
        items.push(Item::line(from - along * (2.0 * TIP_MM[0]), to + along * (2.0 * TIP_MM[0]), LINE));
        items.extend([tip(from, along), tip(to, -along), Item::Words(Words { at: beyond + down, ..words })]);
    }
    items
}

/// Half the height of a digit, in sizes of the type: IBM Plex Sans.
const DIGIT_MIDDLE: f64 = 0.349;

/// A filled tip at `at` that points along `towards`.
fn tip(at: PlatePoint, towards: PlateVec) -> Item {
    let [length, width] = TIP_MM;
    let (back, side) = (at - towards * length, towards.perp() * (width / 2.0));
    Item::Fill { contours: vec![Contour::polygon(&[at, back + side, back - side])], ink: Ink::Cut }
}
