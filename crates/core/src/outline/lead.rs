//! Where runs and the pieces as drawn between them meet.

use super::followed::{Drawing, Run};
use super::is_in_reach;
use super::station::{Chain, Station, station};
use crate::geom::Segment;
use crate::job::{NodeKind, Piece};
use crate::space::PlatePoint;
use crate::tolerance::SAME_PLACE_MM;
use std::f64::consts::PI;

/// An arc that is led on to a node stays within this, rad.
const SWEEP_MAX_RAD: f64 = 5.8;

impl Drawing<'_> {
    /// The lines and arcs of a run, from its first node to its last.
    pub(super) fn led_on(&self, run: &Run) -> Vec<Segment> {
        let mut segments = run.faired.contour.segments.clone();
        let (Some(first), Some(last)) = (run.pieces.first(), run.pieces.last()) else { return segments };
        let [start, end] = [*first, self.end_of(*last)];
        if !run.ring {
            if !self.contour.nodes[start].pinned
                && let Some(segment) = segments.first_mut()
            {
                *segment = led_to(segment.reversed(), self.nodes[start]).reversed();
            }
            if !self.contour.nodes[end].pinned
                && let Some(segment) = segments.last_mut()
            {
                *segment = led_to(*segment, self.nodes[end]);
            }
        }
        segments
    }

    /// Pieces as drawn, between the ends of the runs beside them, which lead on into smooth ones.
    pub(super) fn drawn_chain(&self, pieces: &[usize], runs: &[Run]) -> Chain {
        let mut chain = Chain::default();
        let (Some(first), Some(last)) = (pieces.first(), pieces.last()) else { return chain };
        let [start, end] = [*first, self.end_of(*last)];
        let before = runs.iter().find(|run| run.pieces.last().is_some_and(|piece| self.end_of(*piece) == start));
        let before = before.and_then(|run| run.segments.last());
        let after = runs.iter().find(|run| run.pieces.first() == Some(&end)).and_then(|run| run.segments.first());
        let beside = |at: PlatePoint| Station {
            node: usize::MAX,
            at,
            kind: NodeKind::Corner,
            next: Piece::Line,
            through: None,
            lever_in: None,
            lever_out: None,
        };
        if let Some((segment, along)) = before.and_then(|segment| Some((segment, segment.end_direction()?))) {
            chain.push(beside(segment.to - along));
        }
        let place = |photo| self.map.plate_from_photo(photo).filter(is_in_reach);
        let own = pieces.iter().copied().chain([end]).enumerate();
        for (number, node) in own {
            let moved = match (number, before, after) {
                (0, Some(segment), _) => Some(segment.to),
                (number, _, Some(segment)) if number == pieces.len() => Some(segment.from),
                _ => None,
            };
            let node_there = station(node, &self.contour.nodes[node], &place);
            let is_end = number == pieces.len();
            let next = |station: Station| Station {
                at: moved.unwrap_or(station.at),
                next: if is_end { Piece::Line } else { station.next },
                node: if is_end { usize::MAX } else { station.node },
                ..station
            };
            if let Some(station) = node_there {
                chain.push(next(station));
            }
        }
        if let Some((segment, along)) = after.and_then(|segment| Some((segment, segment.start_direction()?))) {
            chain.push(beside(segment.from + along));
        }
        chain
    }
}

/// A line or an arc that ends where it passes `node`; as it is where that lies behind its start.
fn led_to(segment: Segment, node: PlatePoint) -> Segment {
    let Some((centre, radius_mm)) = segment.centre().zip(segment.radius_mm()) else {
        let Some(along) = segment.chord().unit() else { return segment };
        let length = (node - segment.from).dot(along);
        return if length > SAME_PLACE_MM {
            Segment::line(segment.from, segment.from + along * length)
        } else {
            segment
        };
    };
    let Some(outward) = (node - centre).unit() else { return segment };
    let now = segment.to - centre;
    let turn = now.cross(outward).atan2(now.dot(outward));
    let sweep = segment.sweep_rad() + turn;
    let goes_on = sweep * segment.bulge > 0.0 && sweep.abs() < SWEEP_MAX_RAD && turn.abs() < PI / 2.0;
    let to: PlatePoint = centre + outward * radius_mm;
    if goes_on { Segment::arc(segment.from, to, (sweep / 4.0).tan()) } else { segment }
}
