//! Where no edge was seen along a contour that follows one.

use super::followed::{Drawing, Run};
use crate::edge::{ONE_PLACE_PX, PROFILE_PX, Rejection};
use crate::solution::Unseen;
use crate::space::{PhotoPoint, PlatePoint};

/// Near its nodes so much of an edge may have no measured places, px: at a corner.
const CORNER_PX: f64 = 24.0;

/// A piece was not seen where less than this share of its places were measured; of one shorter than this, px, a single place
/// is enough.
const SEEN_SHARE: f64 = 0.4;
const SHORT_PX: f64 = 60.0;

/// Measured places farther apart than this leave a stretch where nothing was seen, px: more than a corner does. Those that are
/// nearer do so as well where a feature of a part may lie between them.
const UNSEEN_PX: f64 = 48.0;

impl Drawing<'_> {
    /// The edge of a piece was seen. Where both its nodes are one place there is nothing to see.
    pub(super) fn is_seen(&self, piece: usize) -> bool {
        let nodes = &self.contour.nodes;
        let length_px = nodes[piece].at.distance(nodes[self.end_of(piece)].at);
        let wanted = SEEN_SHARE * (length_px - 2.0 * CORNER_PX) / PROFILE_PX;
        let wanted = if length_px < SHORT_PX { 1.0 } else { wanted.max(1.0) };
        self.followed(piece).is_some_and(|followed| length_px < ONE_PLACE_PX || followed.points.len() as f64 >= wanted)
    }

    /// Where no edge was seen.
    pub(super) fn unseen(&self, runs: &[Run], is_seen: &[bool]) -> Vec<Unseen> {
        let mut unseen = Vec::new();
        let is_lost = |piece: &usize| !is_seen[*piece] && self.contour.follows(*piece);
        for node in (0..is_seen.len()).filter(is_lost) {
            let ends = [node, self.end_of(node)];
            let [from, to] = ends.map(|node| self.nodes[node]);
            let reason = self.reason(&[node], ends.map(|node| self.contour.nodes[node].at));
            unseen.push(Unseen { node, from, to, reason, as_drawn: true });
        }
        unseen.extend(runs.iter().flat_map(|run| self.gaps(run)));
        unseen.sort_by_key(|unseen| unseen.node);
        unseen
    }

    /// Stretches of a run without measured places, those up to its first and from its last node among them.
    fn gaps(&self, run: &Run) -> Vec<Unseen> {
        let mut along: Vec<(usize, PhotoPoint, PlatePoint)> =
            run.given.iter().map(|given| (given.node, given.photo, given.point.at)).collect();
        let ends = run.pieces.first().zip(run.pieces.last());
        let ends = ends.map(|(first, last)| [(*first, *first), (*last, self.end_of(*last))]);
        if run.ring {
            along.extend(along.first().copied());
        } else if let Some([start, end]) = ends {
            let node = |(piece, node): (usize, usize)| (piece, self.contour.nodes[node].at, self.nodes[node]);
            along.insert(0, node(start));
            along.push(node(end));
        }
        let gap = |pair: &[(usize, PhotoPoint, PlatePoint)]| {
            let [(node, from_px, from), (other, to_px, to)] = *pair else { return None };
            let (px, mm) = (from_px.distance(to_px), from.distance(to));
            let reason = || self.reason(&[node, other], [from_px, to_px]);
            // A corner has no places of its own, however coarse the photo is.
            let is_gap = px > UNSEEN_PX || (mm > Unseen::LONG_MM && reason() != Some(Rejection::Turn));
            is_gap.then(|| Unseen { node, from, to, reason: reason(), as_drawn: false })
        };
        along.windows(2).filter_map(gap).collect()
    }

    /// Why most places between two gave no point.
    fn reason(&self, pieces: &[usize], [from, to]: [PhotoPoint; 2]) -> Option<Rejection> {
        let way = to - from;
        let is_between = |at: PhotoPoint| (0.0..=way.dot(way)).contains(&(at - from).dot(way));
        let followed = pieces.iter().filter_map(|piece| self.followed(*piece));
        let rejected = followed.flat_map(|followed| &followed.rejected);
        let reasons: Vec<Rejection> =
            rejected.filter(|rejected| rejected.at.is_none_or(is_between)).map(|rejected| rejected.reason).collect();
        let count = |reason: &Rejection| reasons.iter().filter(|other| *other == reason).count();
        reasons.iter().max_by_key(|reason| count(reason)).copied()
    }
}
