//! Lengths between features: what the fit makes of them, and their derivatives.

use super::normal::Row;
use super::problem::{Problem, SQUARE_BLADE_MM, Span};
use super::state::State;
use crate::space::{PlatePoint, PlateVec};

/// Where along each straight edge the jaws are held: the middle of its picks, mm along the edge.
pub(super) type Middles<'a> = &'a [f64];

/// A length by the present unknowns, mm, with its derivatives.
pub(super) fn length(problem: &Problem, state: &State<'_>, middles: Middles<'_>, span: Span) -> (f64, Row) {
    let mut row = Row::new();
    let layout = state.layout;
    let bore = |rim: usize, by: f64, row: &mut Row| {
        row.add(layout.rims[rim] + 2, by);
        if let Some(number) = problem.rims[rim].edge_break {
            row.add(layout.breaks + number, -by);
        }
        by * state.bore_radius(problem, rim)
    };
    let between_rims = |a: usize, b: usize, row: &mut Row| {
        distance((layout.rims[a], state.centre(a)), (layout.rims[b], state.centre(b)), row)
    };
    let mm = match span {
        Span::Centres(a, b) => between_rims(a, b, &mut row),
        Span::FarRims(a, b) => between_rims(a, b, &mut row) + bore(a, 1.0, &mut row) + bore(b, 1.0, &mut row),
        Span::NearRims(a, b) => between_rims(a, b, &mut row) + bore(a, -1.0, &mut row) + bore(b, -1.0, &mut row),
        Span::Diameter(rim) => bore(rim, 2.0, &mut row),
        Span::Points(a, b) => distance((layout.spots[a], state.spot(a)), (layout.spots[b], state.spot(b)), &mut row),
        Span::Sides(a, b) => {
            0.5 * (side_to_side(state, a, middles[a], b, &mut row) + side_to_side(state, b, middles[b], a, &mut row))
        }
        Span::RimToSide(rim, side) => {
            let at = layout.rims[rim];
            let (normal, offset) = state.side(side);
            let centre = state.centre(rim);
            let (off, sign) = from_side(centre, normal, offset);
            row.add(at, sign * normal.x);
            row.add(at + 1, sign * normal.y);
            row.add(layout.sides[side], sign * normal.perp().dot(centre - PlatePoint::default()));
            row.add(layout.sides[side] + 1, -sign);
            off + bore(rim, -1.0, &mut row)
        }
        Span::SameSize(rim, size) => {
            row.add(layout.sizes + size, -1.0);
            bore(rim, 2.0, &mut row) - state.common_size(size)
        }
        Span::Square(a, b) => {
            let ((normal_a, _), (normal_b, _)) = (state.side(a), state.side(b));
            let sine = SQUARE_BLADE_MM * normal_a.cross(normal_b);
            row.add(layout.sides[a], sine);
            row.add(layout.sides[b], -sine);
            SQUARE_BLADE_MM * normal_a.dot(normal_b)
        }
        Span::OnSide(spot, side) => {
            let (normal, offset) = state.side(side);
            let place = state.spot(spot) - PlatePoint::default();
            row.add(layout.spots[spot], normal.x);
            row.add(layout.spots[spot] + 1, normal.y);
            row.add(layout.sides[side], normal.perp().dot(place));
            row.add(layout.sides[side] + 1, -1.0);
            normal.dot(place) - offset
        }
    };
    (mm, row)
}

/// The sine of the angle between two straight edges, 0 where they are parallel, with its derivatives.
pub(super) fn skew(state: &State<'_>, a: usize, b: usize) -> (f64, Row) {
    let ((normal_a, _), (normal_b, _)) = (state.side(a), state.side(b));
    let mut row = Row::new();
    let cosine = normal_a.dot(normal_b);
    row.add(state.layout.sides[a], -cosine);
    row.add(state.layout.sides[b], cosine);
    (normal_a.cross(normal_b), row)
}

/// Between two places whose coordinates are unknowns at the given numbers.
fn distance((at_a, a): (usize, PlatePoint), (at_b, b): (usize, PlatePoint), row: &mut Row) -> f64 {
    // At one and the same place there is no direction; any keeps the derivatives finite.
    let towards = (b - a).unit().unwrap_or(PlateVec::new(1.0, 0.0));
    row.add(at_a, -towards.x);
    row.add(at_a + 1, -towards.y);
    row.add(at_b, towards.x);
    row.add(at_b + 1, towards.y);
    a.distance(b)
}

/// How far a place is from an edge, and on which side of it.
fn from_side(place: PlatePoint, normal: PlateVec, offset: f64) -> (f64, f64) {
    let off = normal.dot(place - PlatePoint::default()) - offset;
    (off.abs(), if off < 0.0 { -1.0 } else { 1.0 })
}

/// Distance of the middle of edge `from` to edge `to`. The place of the middle along its edge is held: as the edges
/// are parallel, it does not matter.
fn side_to_side(state: &State<'_>, from: usize, middle: f64, to: usize, row: &mut Row) -> f64 {
    let ((normal, offset), (other, other_offset)) = (state.side(from), state.side(to));
    let place = PlatePoint::default() + normal * offset + normal.perp() * middle;
    let (off, sign) = from_side(place, other, other_offset);
    // Both directions of a pair add to the same row, each with half its weight.
    let half = 0.5 * sign;
    let (at, at_other) = (state.layout.sides[from], state.layout.sides[to]);
    row.add(at, half * other.dot(normal.perp() * offset - normal * middle));
    row.add(at + 1, half * other.dot(normal));
    row.add(at_other, half * other.perp().dot(place - PlatePoint::default()));
    row.add(at_other + 1, -half);
    off
}
