//! Each piece of a chain as a line, an arc or a smooth curve on the plate.
//!
//! Lines and arcs come first, then the directions in which curves run through smooth nodes, then the curves.

use super::station::{Chain, Station};
use crate::geom::{Cubic, Segment, arcs_from_cubic, bulge_arriving, bulge_leaving, bulge_through};
use crate::job::{NodeKind, Piece};
use crate::space::{PlatePoint, PlateVec};

/// A piece on the plate.
#[derive(Debug, Clone, Copy)]
pub(super) enum Shape {
    /// A line or an arc, of more than half a turn perhaps.
    Round(Segment),
    /// A smooth curve.
    Curve(Cubic),
}

impl Shape {
    /// Points along it for drawing.
    pub(super) fn sampled(&self, chord_mm: f64) -> Vec<PlatePoint> {
        match self {
            Self::Round(segment) => segment.sampled(chord_mm),
            Self::Curve(curve) => curve.sampled(chord_mm),
        }
    }

    /// Lines and arcs for the cutter, and how far they are off, mm.
    pub(super) fn cut(&self, tolerance_mm: f64) -> (Vec<Segment>, f64) {
        match self {
            Self::Round(segment) => {
                let cut = segment.without_flat_arc();
                (cut.in_half_turns(), if cut == *segment { 0.0 } else { segment.rise_mm() })
            }
            Self::Curve(curve) => {
                let fit = arcs_from_cubic(curve, tolerance_mm);
                (fit.segments, fit.deviation_mm)
            }
        }
    }
}

/// The pieces of a chain, each with the node of the job at which it starts.
pub(super) fn shapes(chain: &Chain) -> Vec<(usize, Shape)> {
    let rounds: Vec<Option<Segment>> = (0..chain.pieces()).map(|piece| round_piece(chain, piece)).collect();
    let shape = |piece: usize| match rounds[piece] {
        Some(segment) => Shape::Round(segment),
        None => Shape::Curve(curve_piece(chain, &rounds, piece)),
    };
    (0..chain.pieces()).map(|piece| (chain.stations[piece].node, shape(piece))).collect()
}

/// The line or arc of a piece; `None` for a curve.
fn round_piece(chain: &Chain, piece: usize) -> Option<Segment> {
    let (start, end) = (&chain.stations[piece], chain.end_of(piece));
    let bulge = match (start.next, start.through) {
        (Piece::Curve, _) => return None,
        (Piece::Line, _) => 0.0,
        (Piece::Arc, Some(through)) => bulge_through(start.at, through, end.at).unwrap_or(0.0),
        (Piece::Arc, None) => tangent_bulge(chain, piece).unwrap_or(0.0),
    };
    Some(Segment::arc(start.at, end.at, bulge))
}

/// Bulge of an arc that is tangent to a straight neighbour at a smooth node. Where both neighbours ask for it and the
/// arc cannot be tangent to both, the misfit is shared, so that the arc is the same whichever way the contour runs.
fn tangent_bulge(chain: &Chain, piece: usize) -> Option<f64> {
    let (start, end) = (&chain.stations[piece], chain.end_of(piece));
    let is_straight = |neighbour: &usize| chain.stations[*neighbour].next == Piece::Line;
    let after = (piece + 1) % chain.stations.len();
    let leaving = (start.kind == NodeKind::Smooth)
        .then(|| chain.piece_before(piece).filter(is_straight))
        .flatten()
        .and_then(|line| bulge_leaving(start.at, direction_between(&chain.stations[line], start)?, end.at));
    let arriving = (end.kind == NodeKind::Smooth)
        .then(|| chain.piece_after(after).filter(is_straight))
        .flatten()
        .and_then(|line| bulge_arriving(start.at, end.at, direction_between(end, chain.end_of(line))?));
    match (leaving, arriving) {
        (Some(a), Some(b)) => Some((f64::midpoint(a.atan(), b.atan())).tan()),
        (one, other) => one.or(other),
    }
}

fn direction_between(from: &Station, to: &Station) -> Option<PlateVec> {
    (to.at - from.at).unit()
}

/// The curve of a piece.
fn curve_piece(chain: &Chain, rounds: &[Option<Segment>], piece: usize) -> Cubic {
    let (start, end) = (&chain.stations[piece], chain.end_of(piece));
    let after = (piece + 1) % chain.stations.len();
    let leave = direction_through(chain, rounds, piece);
    let arrive = direction_through(chain, rounds, after);
    let chord = end.at - start.at;
    let turn = |direction: PlateVec| chord.cross(direction).atan2(chord.dot(direction)).abs();
    let [leave_turn, arrive_turn] =
        [leave.or_else(|| start.lever_out?.unit()), arrive.or_else(|| (-end.lever_in?).unit())]
            .map(|direction| direction.map_or(0.0, turn));
    let length = chord.length() * lever_share(leave_turn + arrive_turn);
    let lever = |given: Option<PlateVec>, direction: Option<PlateVec>, to_other_end: PlateVec| match (given, direction)
    {
        (Some(given), Some(direction)) => direction * given.length(),
        (Some(given), None) => given,
        (None, Some(direction)) => direction * length,
        (None, None) => to_other_end * (1.0 / 3.0),
    };
    let out = lever(start.lever_out, leave, chord);
    let back = lever(end.lever_in, arrive.map(|direction| -direction), -chord);
    Cubic::new(start.at, out, back, end.at)
}

/// Length of a lever as a share of the chord of a curve that turns by `turn_rad` in all: that of the cubic which stands
/// for a circular arc of this turn, `(4/3) tan(turn / 4)` of the radius, where the chord is `2 sin(turn / 2)` of it.
fn lever_share(turn_rad: f64) -> f64 {
    let cos = (turn_rad / 4.0).cos();
    1.0 / (3.0 * cos * cos).max(LEVER_DIVISOR_MIN)
}

/// No chosen lever is longer than 4/3 of the chord, that of a turn of 240 degrees: longer ones make loops.
const LEVER_DIVISOR_MIN: f64 = 0.75;

/// Direction in which a curve runs through a smooth station between two pieces; `None` at a corner or a loose end.
///
/// A line or an arc gives it; else the levers that the person set; else the neighbours: the direction at the middle
/// point of the parabola through the three, with the square roots of the chords as parameter (centripetal, Lee 1989),
/// which keeps short pieces beside long ones from looping.
fn direction_through(chain: &Chain, rounds: &[Option<Segment>], station: usize) -> Option<PlateVec> {
    let here = &chain.stations[station];
    let (before, after) = (chain.piece_before(station)?, chain.piece_after(station)?);
    if here.kind == NodeKind::Corner {
        return None;
    }
    let round = rounds[before].and_then(|s| s.end_direction()).or_else(|| rounds[after]?.start_direction());
    if round.is_some() {
        return round;
    }
    let lever_in = here.lever_in.and_then(|lever| (-lever).unit());
    let lever_out = here.lever_out.and_then(PlateVec::unit);
    match (lever_in, lever_out) {
        (Some(one), Some(other)) => (one + other).unit().or(Some(other)),
        (one, other) => {
            one.or(other).or_else(|| centripetal_direction(chain.stations[before].at, here.at, chain.end_of(after).at))
        }
    }
}

fn centripetal_direction(before: PlatePoint, here: PlatePoint, after: PlatePoint) -> Option<PlateVec> {
    let (back, ahead) = (here - before, after - here);
    let (s, t) = (back.length().sqrt(), ahead.length().sqrt());
    let across = (after - before) * (1.0 / (s + t));
    (back * (1.0 / s) - across + ahead * (1.0 / t)).unit()
}
