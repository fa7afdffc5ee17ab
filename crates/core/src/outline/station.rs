//! Nodes on the plate, joined into chains.

use crate::job::{Contour, Node, NodeKind, Piece};
use crate::space::{PhotoPoint, PhotoVec, PlatePoint, PlateVec};
use crate::tolerance::SAME_PLACE_MM;

/// A node on the plate; nodes that follow each other at the same place are one.
#[derive(Debug, Clone)]
pub(super) struct Station {
    /// The node of the job that the piece from here belongs to.
    pub(super) node: usize,
    /// Where it is.
    pub(super) at: PlatePoint,
    /// A corner if any of its nodes is one.
    pub(super) kind: NodeKind,
    /// What leads to the next.
    pub(super) next: Piece,
    /// A place that an arc to the next passes through.
    pub(super) through: Option<PlatePoint>,
    /// The lever towards the one before, as a step.
    pub(super) lever_in: Option<PlateVec>,
    /// The lever towards the next, as a step.
    pub(super) lever_out: Option<PlateVec>,
}

/// Stations of which each is joined to the next.
#[derive(Debug, Clone, Default)]
pub(super) struct Chain {
    /// In order.
    pub(super) stations: Vec<Station>,
    /// The last is joined to the first.
    pub(super) cyclic: bool,
}

impl Chain {
    /// How many pieces it has.
    pub(super) fn pieces(&self) -> usize {
        match self.stations.len() {
            0 | 1 => 0,
            n if self.cyclic => n,
            n => n - 1,
        }
    }

    /// The station that the piece `piece` ends at.
    pub(super) fn end_of(&self, piece: usize) -> &Station {
        &self.stations[(piece + 1) % self.stations.len()]
    }

    /// The piece that leads to the station `station`.
    pub(super) fn piece_before(&self, station: usize) -> Option<usize> {
        station.checked_sub(1).or_else(|| self.cyclic.then(|| self.stations.len() - 1))
    }

    /// The piece that leads away from the station `station`.
    pub(super) fn piece_after(&self, station: usize) -> Option<usize> {
        (station < self.pieces()).then_some(station)
    }

    /// Adds a node, or makes it one with the last station where it stands at the same place.
    pub(super) fn push(&mut self, station: Station) {
        match self.stations.last_mut() {
            Some(last) if last.at.distance(station.at) <= SAME_PLACE_MM => *last = last.with_later(&station),
            _ => self.stations.push(station),
        }
    }

    /// Makes a ring of it: the last station and the first are one where they stand at the same place.
    fn close(&mut self) {
        self.cyclic = true;
        if self.ends_meet()
            && let Some(last) = self.stations.pop()
            && let Some(first) = self.stations.first_mut()
        {
            first.lever_in = last.lever_in;
            first.kind = first.kind_with(&last);
        }
    }

    fn ends_meet(&self) -> bool {
        let ends = self.stations.first().zip(self.stations.last());
        self.stations.len() > 1 && ends.is_some_and(|(a, b)| a.at.distance(b.at) <= SAME_PLACE_MM)
    }
}

impl Station {
    /// One with a later station at the same place: the piece from here is the later one's.
    fn with_later(&self, later: &Self) -> Self {
        Self { at: self.at, kind: self.kind_with(later), lever_in: self.lever_in, ..later.clone() }
    }

    fn kind_with(&self, other: &Self) -> NodeKind {
        if self.kind == NodeKind::Corner { self.kind } else { other.kind }
    }
}

/// The nodes of a contour on the plate. One ring where the contour is closed and every node is reached, else one chain
/// for each run of nodes that hangs together; a closed contour is then opened at the first node that is not reached.
pub(super) fn chains(contour: &Contour, plate_from_photo: &impl Fn(PhotoPoint) -> Option<PlatePoint>) -> Vec<Chain> {
    let stations: Vec<Option<Station>> =
        contour.nodes.iter().enumerate().map(|(k, node)| station(k, node, plate_from_photo)).collect();
    let lost = stations.iter().position(Option::is_none);
    let start = if contour.closed { lost.unwrap_or(0) } else { 0 };
    let mut chains = vec![Chain::default()];
    for station in stations[start..].iter().chain(&stations[..start]) {
        match (station, chains.last_mut()) {
            (Some(station), Some(chain)) => chain.push(station.clone()),
            _ => chains.push(Chain::default()),
        }
    }
    chains.retain(|chain| !chain.stations.is_empty());
    if let ([chain], None) = (chains.as_mut_slice(), lost)
        && (contour.closed || (chain.stations.len() > 2 && chain.ends_meet()))
    {
        chain.close();
    }
    chains
}

/// A node on the plate; `None` where it is not reached.
pub(super) fn station(
    index: usize,
    node: &Node,
    plate_from_photo: &impl Fn(PhotoPoint) -> Option<PlatePoint>,
) -> Option<Station> {
    let at = plate_from_photo(node.at)?;
    let step = |lever: Option<PhotoVec>| Some(plate_from_photo(node.at + lever?)? - at);
    Some(Station {
        node: index,
        at,
        kind: node.kind,
        next: node.next,
        through: node.through.and_then(plate_from_photo),
        lever_in: step(node.lever_in),
        lever_out: step(node.lever_out),
    })
}
