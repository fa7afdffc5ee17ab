//! The edge of the face along a contour, as the photo shows it.

use crate::camera::PlateMap;
use crate::edge::{FaceSide, FollowedPiece, Picture, Walls, follow_edge};
use crate::job::{Contour, Id, Job, Role};
use crate::space::PhotoPoint;

/// Nodes lie within so many px of the edge: a click at the size at which a whole plate is seen is off by as much.
pub(crate) const REACH_PX: f64 = 12.0;

/// What the photo shows along a contour.
#[derive(Debug, Clone, PartialEq)]
pub struct ContourSeen {
    /// The contour.
    pub id: Id,
    /// What it was looked for by.
    by: FollowedBy,
    /// For each piece of the contour what was measured; nothing where it does not follow the edge.
    pub pieces: Vec<Option<FollowedPiece>>,
}

/// The nodes that an edge was looked for by, and on which side of its way the face lies.
#[derive(Debug, Clone, PartialEq)]
struct FollowedBy {
    nodes: Vec<PhotoPoint>,
    follows: Vec<bool>,
    role: Role,
    face: FaceSide,
}

impl FollowedBy {
    fn of(contour: &Contour, face: FaceSide) -> Self {
        Self {
            nodes: contour.nodes.iter().map(|node| node.at).collect(),
            follows: (0..contour.piece_count()).map(|piece| contour.follows(piece)).collect(),
            role: contour.role,
            face,
        }
    }

    /// The nodes of a piece.
    fn ends(&self, piece: usize) -> [PhotoPoint; 2] {
        [self.nodes[piece], self.nodes[(piece + 1) % self.nodes.len()]]
    }

    fn is_closed(&self) -> bool {
        self.follows.len() == self.nodes.len()
    }

    /// The pieces that are looked for, as chains of those that follow each other; a chain of all of a closed contour is a
    /// ring.
    fn chains(&self, is_wanted: impl Fn(usize) -> bool) -> Vec<Vec<usize>> {
        let count = self.follows.len();
        let wanted: Vec<bool> = (0..count).map(|piece| self.follows[piece] && is_wanted(piece)).collect();
        let break_at = wanted.iter().position(|is_wanted| !is_wanted).filter(|_| self.is_closed()).unwrap_or(0);
        let mut chains: Vec<Vec<usize>> = vec![Vec::new()];
        for piece in (0..count).map(|step| (break_at + step) % count) {
            match chains.last_mut() {
                Some(chain) if wanted[piece] => chain.push(piece),
                _ => chains.push(Vec::new()),
            }
        }
        chains.retain(|chain| !chain.is_empty());
        chains
    }
}

impl ContourSeen {
    /// What would have been measured along a contour, for tests that know it.
    #[cfg(test)]
    pub(crate) fn known(contour: &Contour, face: FaceSide, pieces: Vec<Option<FollowedPiece>>) -> Self {
        Self { id: contour.id.clone(), by: FollowedBy::of(contour, face), pieces }
    }

    /// On which side of its way the face lies.
    pub const fn face(&self) -> FaceSide {
        self.by.face
    }

    /// It was looked for where the contour is now, on the side where the job has the face.
    pub(super) fn answers(&self, contour: &Contour, job: &Job) -> bool {
        self.id == contour.id && self.by == FollowedBy::of(contour, face_side(job, contour))
    }

    /// What was measured between two nodes of another look, with the face on the same side.
    fn piece(&self, by: &FollowedBy, ends: [PhotoPoint; 2]) -> Option<&FollowedPiece> {
        let place = (0..self.by.follows.len()).find(|piece| self.by.ends(*piece) == ends)?;
        let is_same = (self.by.role, self.by.face) == (by.role, by.face);
        self.pieces.get(place)?.as_ref().filter(|_| is_same)
    }
}

/// Some of the contour's pieces follow the edge.
pub(super) fn is_wanted(contour: &Contour) -> bool {
    (0..contour.piece_count()).any(|piece| contour.follows(piece))
}

/// How many of a contour's pieces are to follow the edge and were not looked for where they are now; at least one where
/// what was seen before does not answer for the contour.
pub(super) fn unseen_pieces(contour: &Contour, job: &Job, before: Option<&ContourSeen>) -> usize {
    let by = FollowedBy::of(contour, face_side(job, contour));
    let is_unseen =
        |piece: &usize| by.follows[*piece] && before.and_then(|before| before.piece(&by, by.ends(*piece))).is_none();
    if !is_wanted(contour) || before.is_some_and(|before| before.answers(contour, job)) {
        return 0;
    }
    (0..by.follows.len()).filter(is_unseen).count().max(1)
}

/// Measures the edge along a contour; what was measured `before` between the same nodes is taken over.
pub(super) fn follow(
    job: &Job,
    contour: &Contour,
    picture: &Picture<'_>,
    map: &PlateMap,
    walls: Option<Walls>,
    before: Option<&ContourSeen>,
) -> ContourSeen {
    let by = FollowedBy::of(contour, face_side(job, contour));
    let known = |piece: usize| before?.piece(&by, by.ends(piece)).cloned();
    let mut pieces: Vec<Option<FollowedPiece>> =
        (0..by.follows.len()).map(|piece| known(piece).filter(|_| by.follows[piece])).collect();
    for chain in by.chains(|piece| pieces[piece].is_none()) {
        let is_ring = by.is_closed() && chain.len() == by.nodes.len();
        let starts = chain.iter().map(|piece| by.nodes[*piece]);
        let last = chain.last().map(|piece| by.ends(*piece)[1]).filter(|_| !is_ring);
        let nodes: Vec<PhotoPoint> = starts.chain(last).collect();
        let followed = follow_edge(picture, map, &nodes, is_ring, by.face, REACH_PX, walls).pieces;
        for (piece, followed) in chain.into_iter().zip(followed) {
            pieces[piece] = Some(followed);
        }
    }
    ContourSeen { id: contour.id.clone(), by, pieces }
}

/// On which side of the contour's way the face lies: within an outline, outside an opening. Which way round an outline goes
/// that is not closed yet is seen from the middle of the holes.
fn face_side(job: &Job, contour: &Contour) -> FaceSide {
    let mut round: Vec<PhotoPoint> = contour.nodes.iter().map(|node| node.at).collect();
    if !contour.closed && contour.role == Role::Outer {
        let picks: Vec<PhotoPoint> = job.holes.iter().flat_map(|hole| hole.rim.iter().copied()).collect();
        let count = picks.len() as f64;
        let sum = |of: fn(&PhotoPoint) -> f64| picks.iter().map(of).sum::<f64>() / count;
        round.extend((count > 0.0).then(|| PhotoPoint::new(sum(|pick| pick.x), sum(|pick| pick.y))));
    }
    let Some(first) = round.first().copied() else { return FaceSide::Left };
    let next = round.iter().cycle().skip(1);
    let double_area: f64 = round.iter().zip(next).map(|(a, b)| (*a - first).cross(*b - first)).sum();
    // In the photo y runs down: an area below zero is gone round counter-clockwise as it is seen.
    if (double_area <= 0.0) == (contour.role == Role::Outer) { FaceSide::Left } else { FaceSide::Right }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Node;

    fn contour(role: Role, closed: bool, nodes: &[(f64, f64)]) -> Contour {
        let nodes = nodes.iter().map(|(x, y)| Node::corner(PhotoPoint::new(*x, *y))).collect();
        Contour { closed, follow_edge: true, nodes, ..Contour::new("c1".into(), role) }
    }

    const SQUARE: [(f64, f64); 4] = [(0.0, 0.0), (0.0, 100.0), (100.0, 100.0), (100.0, 0.0)];

    #[test]
    fn pieces_that_follow_each_other_are_one_chain() {
        let mut whole = contour(Role::Outer, true, &SQUARE);
        let chains = |contour: &Contour, known: &[usize]| {
            FollowedBy::of(contour, FaceSide::Left).chains(|piece| !known.contains(&piece))
        };
        assert_eq!(chains(&whole, &[]), [vec![0, 1, 2, 3]], "a ring");
        assert_eq!(chains(&whole, &[1]), [vec![2, 3, 0]], "round the closing piece");
        assert_eq!(chains(&whole, &[0, 1, 2, 3]), Vec::<Vec<usize>>::new(), "all is known");
        whole.nodes[0].as_drawn = true;
        assert_eq!(chains(&whole, &[2]), [vec![1], vec![3]], "one is drawn, one is known");
        let open = Contour { closed: false, ..contour(Role::Outer, true, &SQUARE) };
        assert_eq!(chains(&open, &[]), [vec![0, 1, 2]], "an open one is not joined to its start");
    }

    #[test]
    fn what_was_measured_answers_for_its_side_of_the_face_only() {
        let mut job = crate::job::example();
        let open = Contour { closed: false, ..contour(Role::Outer, false, &SQUARE[..2]) };
        let seen = ContourSeen::known(&open, FaceSide::Left, vec![Some(FollowedPiece::default())]);
        let piece = |face| seen.piece(&FollowedBy::of(&open, face), seen.by.ends(0)).is_some();
        assert!(piece(FaceSide::Left) && !piece(FaceSide::Right), "a piece is taken over where the side is the same");
        assert!(seen.answers(&open, &job), "the holes lie to the left of it");
        for pick in job.holes.iter_mut().flat_map(|hole| &mut hole.rim) {
            pick.x = -pick.x - 10.0;
        }
        assert!(!seen.answers(&open, &job), "and now to the right");
    }

    #[test]
    fn the_face_lies_within_an_outline_and_around_an_opening() {
        let job = crate::job::example();
        let side = |contour: &Contour| face_side(&job, contour);
        // Down the left side first: counter-clockwise as it is seen.
        assert_eq!(side(&contour(Role::Outer, true, &SQUARE)), FaceSide::Left, "an outline");
        assert_eq!(side(&contour(Role::Opening, true, &SQUARE)), FaceSide::Right, "an opening");
        let mut backwards = SQUARE;
        backwards.reverse();
        assert_eq!(side(&contour(Role::Outer, true, &backwards)), FaceSide::Right, "an outline, backwards");
        // The example's holes lie to the right of a way down, which is the left hand of who goes down it.
        assert_eq!(side(&contour(Role::Outer, false, &SQUARE[..2])), FaceSide::Left, "the first piece of an outline");
        let up = [SQUARE[1], SQUARE[0]];
        assert_eq!(side(&contour(Role::Outer, false, &up)), FaceSide::Right, "the same, upwards");
    }
}
