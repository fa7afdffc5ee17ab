//! The edge of the face between the nodes of an outline: found along the way, then measured.
//!
//! 1. Between each two nodes the way that adds up to most of a face's edge is found in a corridor about the chord
//!    ([`rough`]), by a cost that knows the face: of two edges the one with the face beside it counts, not the foot of
//!    the wall nor a shadow's end.
//! 2. The ways are joined and found once more in a narrow band, to about a pixel ([`band`]).
//! 3. Where a wall looks like the face the way lies at its foot, or between there and the rim: it is brought up where the
//!    thickness of the part is known ([`raised`]).
//! 4. Profiles across the way are read as those of rims are ([`places`]).

mod band;
mod chain;
mod face;
mod nearby;
mod places;
mod polyline;
mod raised;
mod rough;
mod tones;

#[cfg(test)]
mod tests;

use super::picture::Picture;
use super::reading::{Rejected, Rejection};
use super::second::Walls;
use super::trace::EdgePoint;
use crate::camera::PlateMap;
use crate::space::{PhotoPoint, PhotoVec};

pub(super) use band::along;
pub(crate) use places::PROFILE_PX;
pub(super) use places::{Measured, Outcome, measured};
pub(super) use polyline::Polyline;
pub(super) use tones::Tones;

/// On which side of the way from node to node the face lies, as the plate is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FaceSide {
    /// On the left: an outline that runs counter-clockwise, an opening that runs clockwise.
    Left,
    /// On the right.
    Right,
}

impl FaceSide {
    /// The direction towards the face, square to the way; y runs down in the photo.
    fn towards(self, along: PhotoVec) -> PhotoVec {
        match self {
            Self::Left => -along.perp(),
            Self::Right => along.perp(),
        }
    }
}

/// What was measured between two nodes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FollowedPiece {
    /// Points on the face's edge, in the order of the way; [`EdgePoint::off_px`] is from the smooth curve through the
    /// neighbours.
    pub points: Vec<EdgePoint>,
    /// Places along the way that gave no point.
    pub rejected: Vec<Rejected>,
}

/// A followed chain of nodes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FollowedEdge {
    /// One for each two nodes that follow each other; of a closed chain the last leads back to the first node.
    pub pieces: Vec<FollowedPiece>,
}

/// Nodes nearer than this are one place, px.
pub(crate) const ONE_PLACE_PX: f64 = 2.0;

/// Nodes are off by more than this and less, px.
const REACH_PX: (f64, f64) = (4.0, 60.0);

/// The narrow band reaches so much farther than the nodes' uncertainty, px.
const BAND_PX: f64 = 3.0;

/// Nodes may lie so far off the photo, in its widths or heights.
const FARTHEST_OFF: f64 = 1.0;

/// Measures the face's edge along nodes that lie within `reach_px` of it, each two that follow each other joined by a piece
/// of edge with any shape that leaves their chord by less than a quarter of a circle does. Where the wall below it looks like
/// the face, the edge is found if the `walls` are known.
///
/// A piece whose nodes are one place has no points. One with a node that is no place about the photo has one rejected place,
/// which is nowhere.
pub fn follow_edge(
    picture: &Picture,
    map: &PlateMap,
    nodes: &[PhotoPoint],
    closed: bool,
    face: FaceSide,
    reach_px: f64,
    walls: Option<Walls>,
) -> FollowedEdge {
    let reach_px = if reach_px > REACH_PX.0 { reach_px.min(REACH_PX.1) } else { REACH_PX.0 };
    let closed = closed && nodes.len() > 2;
    let count = if closed { nodes.len() } else { nodes.len().saturating_sub(1) };
    let about = |node: PhotoPoint| {
        let holds = |at: f64, side: usize| (at - 0.5 * side as f64).abs() < (0.5 + FARTHEST_OFF) * side as f64;
        let [width, height] = picture.size();
        holds(node.x, width) && holds(node.y, height)
    };
    let ends = |number: usize| [nodes[number], nodes[(number + 1) % nodes.len()]];
    let chords: Vec<Option<[PhotoPoint; 2]>> = (0..count)
        .map(ends)
        .map(|[from, to]| (about(from) && about(to) && from.distance(to) >= ONE_PLACE_PX).then_some([from, to]))
        .collect();
    let tones = Tones::new(picture);
    let ways = rough::ways(&tones, &chords, closed, face, reach_px);
    let mut pieces: Vec<FollowedPiece> = vec![FollowedPiece::default(); count];
    for (number, piece) in pieces.iter_mut().enumerate() {
        if !ends(number).into_iter().all(about) {
            piece.rejected.push(Rejected { at: None, reason: Rejection::OffPhoto });
        }
    }
    for run in joined(&ways, closed, reach_px) {
        let way = along(&tones, &run, face, reach_px + BAND_PX);
        for (piece, outcome) in measured(picture, map, &way, face, walls).outcomes {
            match outcome {
                Outcome::Point(point) => pieces[piece].points.push(point),
                Outcome::Rejected(rejected) => pieces[piece].rejected.push(rejected),
            }
        }
    }
    FollowedEdge { pieces }
}

/// Ways that follow each other as one chain. Near a node each is anywhere within the node's uncertainty, and past a corner it
/// has nothing to follow: there they are cut short and joined straight.
fn joined(ways: &[Option<Vec<PhotoPoint>>], closed: bool, reach_px: f64) -> Vec<Polyline> {
    let is_closed = closed && ways.iter().all(Option::is_some);
    let mut runs: Vec<Polyline> = vec![Polyline { points: Vec::new(), closed: is_closed }];
    let has_neighbour = |number: Option<usize>| number.and_then(|number| ways.get(number)).is_some_and(Option::is_some);
    for (number, way) in ways.iter().enumerate() {
        let Some(way) = way else {
            runs.push(Polyline::default());
            continue;
        };
        let before = number.checked_sub(1).or(is_closed.then_some(ways.len() - 1));
        let after = if is_closed { Some((number + 1) % ways.len()) } else { Some(number + 1) };
        let length: f64 = way.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
        let cut = |is_joined: bool| if is_joined { reach_px.min(0.25 * length) } else { 0.0 };
        let kept = trimmed(way, cut(has_neighbour(before)), cut(has_neighbour(after)));
        let Some(run) = runs.last_mut() else { continue };
        if let (Some((last, _)), Some(first)) = (run.points.last(), kept.first()) {
            run.points.push((last.lerp(*first, 0.5), number));
        }
        run.points.extend(kept.into_iter().map(|point| (point, number)));
    }
    if is_closed && let [run] = runs.as_mut_slice() {
        let ends = run.points.last().zip(run.points.first()).map(|((last, _), (first, _))| last.lerp(*first, 0.5));
        // It ends the last piece: what is measured there comes after all others.
        run.points.extend(ends.map(|middle| (middle, ways.len() - 1)));
    }
    runs.retain(|run| run.points.len() > 1);
    runs
}

/// A chain without so much of its beginning and its end, px.
fn trimmed(way: &[PhotoPoint], start_px: f64, end_px: f64) -> Vec<PhotoPoint> {
    let mut lengths = vec![0.0];
    lengths.extend(way.windows(2).scan(0.0, |sum, pair| {
        *sum += pair[0].distance(pair[1]);
        Some(*sum)
    }));
    let last = lengths[lengths.len() - 1] - end_px;
    let kept = way.iter().zip(&lengths).filter(|(_, length)| **length >= start_px && **length <= last);
    kept.map(|(point, _)| *point).collect()
}
