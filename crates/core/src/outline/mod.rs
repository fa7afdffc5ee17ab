//! From nodes in the photo to lines and arcs on the plate.
//!
//! In order: nodes are brought to the plate and joined into chains (`station`); each piece becomes a line, an arc or
//! a smooth curve there (`shape`), so that straight is straight on the part whatever the lens does; curves become
//! lines and arcs within the tolerance of the cut; a contour that closes is turned the way its role asks. Where the
//! contour follows the edge and it was seen, the pieces are made of the measured places instead (`followed`).
//!
//! ## Invariants
//! - A half-drawn contour is not an error: what hangs together is given, and each gap with it.
//! - A closed contour closes to the last bit, and pieces of no length are not in it.

mod followed;
mod lead;
mod meant;
mod path;
mod places;
mod shape;
mod station;
mod unseen;

use crate::camera::PlateMap;
use crate::geom::{Contour as CutContour, Crossing, Gap, Segment, contour_crossings};
use crate::job::{Contour, Role};
use crate::seen::ContourSeen;
use crate::solution::{ContourFit, HoleFit, MeasuredContour};
use crate::space::{PhotoPoint, PlatePoint};
use crate::tolerance::{CUT_CHORD_MM, DRAWN_CHORD_MM, PLATE_REACH_MM, SAME_PLACE_MM};
use station::{Chain, chains};

/// How a contour is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Making {
    /// How far it may lie from the measured places and from drawn curves, mm.
    pub chord_mm: f64,
    /// It is wanted as well what its shape may have been meant to have.
    pub suggested: bool,
}

/// A contour of the job as lines and arcs on the plate: made of what was `seen` along it, where it follows the edge, and of
/// its nodes elsewhere. `holes` are those that its arcs may be concentric with.
pub fn contour_fit(
    contour: &Contour,
    seen: Option<&ContourSeen>,
    map: &PlateMap,
    holes: &[HoleFit],
    making: Making,
) -> ContourFit {
    let followed = seen.and_then(|seen| followed::contour_fit(contour, seen, map, holes, making));
    followed.unwrap_or_else(|| contour_fit_by(contour, |photo| map.plate_from_photo(photo), making.chord_mm))
}

/// A contour as its nodes alone say, by any way from the photo to the plate; `None` is a place that the way does not reach.
///
/// A node that is not reached is left out of `nodes`, has no piece, and leaves a gap between its neighbours. Two ends
/// at the same place need no joining: the contour is closed. The pieces of a crossing are given by the nodes of the job
/// at which they start. A `chord_mm` that is not a number is taken as [`CUT_CHORD_MM`].
pub fn contour_fit_by(
    contour: &Contour,
    plate_from_photo: impl Fn(PhotoPoint) -> Option<PlatePoint>,
    chord_mm: f64,
) -> ContourFit {
    let plate_from_photo = |photo| plate_from_photo(photo).filter(is_in_reach);
    let tolerance_mm = if chord_mm.is_finite() { chord_mm.max(SAME_PLACE_MM) } else { CUT_CHORD_MM };
    let chains = chains(contour, &plate_from_photo);
    let mut pieces = vec![Vec::new(); contour.nodes.len()];
    let mut cut = OwnedCut::default();
    for chain in &chains {
        for (node, shape) in shape::shapes(chain) {
            pieces[node] = shape.sampled(DRAWN_CHORD_MM);
            cut.push(node, shape.cut(tolerance_mm));
        }
    }
    let closed = matches!(chains.as_slice(), [chain] if chain.cyclic && !cut.segments.is_empty());
    let nodes = contour.nodes.iter().filter_map(|node| plate_from_photo(node.at)).collect();
    Parts { nodes, pieces, gaps: gaps(&chains), cut, closed, measured: None }.joined(contour)
}

/// What a contour is put together from.
struct Parts {
    nodes: Vec<PlatePoint>,
    pieces: Vec<Vec<PlatePoint>>,
    gaps: Vec<Gap>,
    cut: OwnedCut,
    closed: bool,
    measured: Option<MeasuredContour>,
}

impl Parts {
    fn joined(self, contour: &Contour) -> ContourFit {
        let Self { nodes, pieces, gaps, cut, closed, measured } = self;
        let OwnedCut { segments, owners, deviation_mm } = if closed { cut.facing(contour.role) } else { cut };
        let cut = CutContour { segments, closed };
        ContourFit {
            id: contour.id.clone(),
            role: contour.role,
            nodes,
            pieces,
            gaps,
            crossings: crossings_by_node(&cut, &owners),
            length_mm: cut.length_mm(),
            area_mm2: closed.then(|| cut.signed_area_mm2().abs()),
            chord_mm: deviation_mm,
            cut,
            measured,
        }
    }
}

/// A place that a plate can have: seen near the horizon of a steep photo, places run away without limit.
fn is_in_reach(place: &PlatePoint) -> bool {
    place.x.abs() <= PLATE_REACH_MM && place.y.abs() <= PLATE_REACH_MM
}

/// Lines and arcs, with the node of the job at which the piece that each belongs to starts.
#[derive(Default)]
struct OwnedCut {
    segments: Vec<Segment>,
    owners: Vec<usize>,
    deviation_mm: f64,
}

impl OwnedCut {
    fn push(&mut self, node: usize, (segments, deviation_mm): (Vec<Segment>, f64)) {
        self.owners.extend(segments.iter().map(|_| node));
        self.segments.extend(segments);
        self.deviation_mm = self.deviation_mm.max(deviation_mm);
    }

    /// Counter-clockwise round the part, clockwise round an opening: material is always on the left.
    fn facing(mut self, role: Role) -> Self {
        let held = CutContour { segments: self.segments, closed: true };
        let as_drawn = held.is_counter_clockwise() == (role == Role::Outer);
        if !as_drawn {
            self.owners.reverse();
        }
        self.segments = if as_drawn { held.segments } else { held.reversed().segments };
        self
    }
}

/// From the end of each chain to the start of the next, round to the first.
fn gaps(chains: &[Chain]) -> Vec<Gap> {
    let whole = chains.iter().map(|chain| chain.stations.len()).sum::<usize>();
    if whole < 2 || chains.iter().any(|chain| chain.cyclic) {
        return Vec::new();
    }
    let next = chains.iter().cycle().skip(1);
    let ends = chains.iter().zip(next).filter_map(|(a, b)| a.stations.last().zip(b.stations.first()));
    ends.map(|(a, b)| Gap { from: a.at, to: b.at }).collect()
}

/// Crossings of the cut, their pieces named by node, the smaller first; each pair of pieces and place once.
fn crossings_by_node(cut: &CutContour, owners: &[usize]) -> Vec<Crossing> {
    let mut found: Vec<Crossing> = Vec::new();
    for crossing in contour_crossings(cut) {
        let (a, b) = (owners[crossing.pieces.0], owners[crossing.pieces.1]);
        let pieces = (a.min(b), a.max(b));
        // Where a crossing falls on the joint of two arcs of one piece, both arcs report it.
        let known = found.iter().any(|c| c.pieces == pieces && c.at.distance(crossing.at) <= SAME_PLACE_MM);
        if !known {
            found.push(Crossing { at: crossing.at, pieces });
        }
    }
    found
}

#[cfg(test)]
mod followed_tests;
#[cfg(test)]
mod tests;
