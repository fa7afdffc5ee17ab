//! Names and sizes of holes, each where it covers no line and is not cut off.

use super::clear::Lines;
use super::{CROSS_BEYOND_MM, Tile, TileLayout};
use crate::export::CutDrawing;
use crate::geom::Bounds;
use crate::job::capital;
use crate::paper::{Align, Ink, Item, Lettering, Pen, Weight, Words, width_mm};
use crate::space::{PlatePoint, PlateVec};
use crate::units::format_figure;

const NAME_MM: f64 = 3.2;
const SIZE_MM: f64 = 2.6;
/// From the name's baseline to that of the size, mm.
const BETWEEN_MM: f64 = 3.1;
/// Height of a capital, and depth of a descender, in sizes of the type.
const CAPITAL: f64 = 0.7;
const DESCENDER: f64 = 0.22;

/// Clear of a rim by this much, mm.
const CLEAR_MM: f64 = 1.0;

/// How much farther out is tried where there is no room near the rim, mm.
const FARTHER_MM: [f64; 6] = [0.0, 2.0, 4.0, 7.0, 11.0, 16.0];

/// A name at least this much farther out is led to its hole.
const LED_MM: f64 = 4.0;
const LEADER: Pen = Pen::new(0.13, Ink::Soft);

/// What a place costs that has something against it, in mm of distance.
const CUT_OFF: f64 = 400.0;
const ON_NAME: f64 = 200.0;
const ON_RIM: f64 = 100.0;
const ON_LINE: f64 = 60.0;

/// How far the paper under a name reaches beyond it, mm.
const GROUND_MM: f64 = 0.4;

/// The names of a drawing in their places, in the datum's frame.
#[derive(Debug)]
pub(super) struct Names(Vec<Name>);

#[derive(Debug)]
struct Name {
    bounds: Bounds,
    items: Vec<Item>,
}

/// What is named: a hole, or an opening by its middle.
struct Named {
    centre: PlatePoint,
    radius_mm: f64,
    /// Its lines of text, the name first.
    words: Vec<Words>,
    /// Width and height of the text.
    size: PlateVec,
}

/// A place for a name.
#[derive(Clone, Copy)]
struct Place {
    bounds: Bounds,
    /// How much farther out it is than it need be.
    far_mm: f64,
    align: Align,
}

impl Names {
    /// A place for the name of each hole and opening.
    pub(super) fn placed(drawing: &CutDrawing, layout: &TileLayout, lettering: &dyn Lettering) -> Self {
        let lines = Lines::of(drawing);
        let mut placed: Vec<Name> = Vec::new();
        for named in named(drawing, lettering) {
            let cost = |place: &Place| place.far_mm + against(place.bounds, &named, &placed, &lines, layout);
            let best = named.places().into_iter().map(|place| (cost(&place), place)).min_by(|a, b| a.0.total_cmp(&b.0));
            placed.extend(best.map(|(_, place)| named.at(place)));
        }
        Self(placed)
    }

    /// Those that stay whole on a sheet.
    pub(super) fn on(&self, tile: Tile, layout: &TileLayout) -> Vec<Item> {
        let stays = layout.stays_of(tile);
        self.0.iter().filter(|name| holds(stays, name.bounds)).flat_map(|name| name.items.clone()).collect()
    }

    /// Paper under those that stay whole on a sheet, so that no line of the grid strikes them through.
    pub(super) fn grounds(&self, tile: Tile, layout: &TileLayout) -> Vec<Item> {
        let stays = layout.stays_of(tile);
        let whole = self.0.iter().filter(|name| holds(stays, name.bounds));
        whole.map(|name| Item::filled_box(name.bounds.grown(GROUND_MM), Ink::Paper)).collect()
    }

    /// A name lies in the box.
    pub(super) fn meet(&self, text: Bounds) -> bool {
        self.0.iter().any(|name| name.bounds.overlaps(&text))
    }
}

fn named(drawing: &CutDrawing, lettering: &dyn Lettering) -> Vec<Named> {
    let line = |text: &str, height_mm, weight, ink| {
        Words::new(text, PlatePoint::default(), height_mm, lettering).weight(weight).ink(ink)
    };
    let name = |name: &str| line(name, NAME_MM, Weight::SemiBold, Ink::Cut);
    let size = |mm: f64| line(&format!("dia. {}", format_figure(mm, 2)), SIZE_MM, Weight::Regular, Ink::Soft);
    let of = |centre, radius_mm, words: Vec<Words>| {
        let width = |words: &Words| width_mm(&words.text, words.height_mm, words.weight, lettering);
        let below = words.last().map_or(0.0, |last| last.height_mm * DESCENDER);
        let height = NAME_MM * CAPITAL + BETWEEN_MM * words.len().saturating_sub(1) as f64 + below;
        let size = PlateVec::new(words.iter().map(width).fold(0.0, f64::max), height);
        Named { centre, radius_mm, words, size }
    };
    let holes = drawing
        .holes
        .iter()
        .map(|hole| of(hole.centre, hole.diameter_mm / 2.0, vec![name(&hole.name), size(hole.diameter_mm)]));
    let openings = drawing.openings.iter().filter_map(|opening| {
        let bounds = opening.contour.bounds()?;
        Some(of(bounds.min.lerp(bounds.max, 0.5), 0.0, vec![name(&capital(&opening.name))]))
    });
    holes.chain(openings).collect()
}

impl Named {
    /// Places round it, and in a large hole beside its cross.
    fn places(&self) -> Vec<Place> {
        let mut places = Vec::new();
        let PlateVec { x: width, y: height } = self.size;
        let box_at = |min: PlatePoint| Bounds { min, max: min + self.size };
        let inner = PlateVec::new(CLEAR_MM, CLEAR_MM);
        let farthest = (inner + self.size).length();
        if self.radius_mm > farthest + CLEAR_MM {
            places.push(Place { bounds: box_at(self.centre + inner), far_mm: 0.0, align: Align::Start });
        }
        for far_mm in FARTHER_MM {
            // Beside the rim at its corners, where the cross does not reach, and then beyond the ends of the cross.
            let corner = self.radius_mm * std::f64::consts::FRAC_1_SQRT_2 + CLEAR_MM + far_mm;
            let end = self.radius_mm + CROSS_BEYOND_MM + CLEAR_MM + far_mm;
            let around = [
                (corner, corner, Align::Start),
                (corner, -corner - height, Align::Start),
                (-corner - width, corner, Align::End),
                (-corner - width, -corner - height, Align::End),
                (end, -height / 2.0, Align::Start),
                (-end - width, -height / 2.0, Align::End),
                (-width / 2.0, end, Align::Middle),
                (-width / 2.0, -end - height, Align::Middle),
            ];
            places.extend(around.map(|(x, y, align)| Place {
                bounds: box_at(self.centre + PlateVec::new(x, y)),
                far_mm,
                align,
            }));
        }
        places
    }

    /// The text in its place, led to what it names where it is far.
    fn at(self, place: Place) -> Name {
        let Bounds { min, max } = place.bounds;
        let x = match place.align {
            Align::Start => min.x,
            Align::Middle => f64::midpoint(min.x, max.x),
            Align::End => max.x,
        };
        let mut items = Vec::new();
        if place.far_mm >= LED_MM {
            let near = nearest(place.bounds, self.centre);
            if let Some(out) = (near - self.centre).unit() {
                items.push(Item::line(near, self.centre + out * self.radius_mm, LEADER));
            }
        }
        let first = max.y - NAME_MM * CAPITAL;
        let lines = self.words.into_iter().enumerate().map(|(k, words)| {
            let at = PlatePoint::new(x, first - BETWEEN_MM * k as f64);
            Item::Words(Words { at, align: place.align, ..words })
        });
        items.extend(lines);
        Name { bounds: place.bounds, items }
    }
}

/// What speaks against a place, in mm of distance.
fn against(text: Bounds, named: &Named, placed: &[Name], lines: &Lines<'_>, layout: &TileLayout) -> f64 {
    let is_whole = layout.tiles().any(|tile| {
        let shown = layout.shown_on(tile);
        holds(layout.stays_of(tile), text) && holds(shown, Bounds { min: named.centre, max: named.centre })
    });
    let roomy = text.grown(CLEAR_MM / 2.0);
    let costs = [
        (!is_whole, CUT_OFF),
        (placed.iter().any(|other| other.bounds.overlaps(&roomy)), ON_NAME),
        (lines.meet_hole(roomy), ON_RIM),
        (lines.cross(roomy), ON_LINE),
    ];
    costs.into_iter().filter(|(is_so, _)| *is_so).map(|(_, cost)| cost).sum()
}

fn holds(outer: Bounds, inner: Bounds) -> bool {
    outer.min.x <= inner.min.x && outer.min.y <= inner.min.y && inner.max.x <= outer.max.x && inner.max.y <= outer.max.y
}

/// The place in the box that is nearest to `point`.
pub(super) fn nearest(sides: Bounds, point: PlatePoint) -> PlatePoint {
    PlatePoint::new(point.x.clamp(sides.min.x, sides.max.x), point.y.clamp(sides.min.y, sides.max.y))
}
