//! What the pointer means: the thing within reach of it, nearest and smallest first.

use super::labels::Labels;
use super::scene::{Feature, FeatureKind, OfferSeen, PickOf, PickSeen, Scene, nearest_on_segment};
use crate::session::{GRAB, Operation};
use egui::{Pos2, Rect};
use platewright_core::job::{Id, LeverSide};

/// How near a line the pointer must be to mean it, points: less than for a mark, so that nodes can be placed beside it.
const GRAB_LINE: f32 = 7.0;
/// How far outside its rim a hole is still meant, points.
const GRAB_RIM: f32 = 8.0;

/// A thing on the photo.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Hit {
    /// A pick of a hole's rim.
    Pick {
        /// The hole.
        hole: Id,
        /// Which of its picks.
        index: usize,
    },
    /// A hole, by its rim, its inside or its flag.
    Hole(Id),
    /// A rim that is offered as a further hole, by its place in the list.
    Offer(usize),
    /// Something that was added, by its rim, its inside or its flag.
    Added(Id),
    /// A named point.
    Point(Id),
    /// A straight edge, by its line or its flag.
    Edge(Id),
    /// A pick of a straight edge.
    EdgePick {
        /// The edge.
        edge: Id,
        /// Which of its picks.
        index: usize,
    },
    /// The value box of a measure.
    Value(Id),
    /// The box of a gap.
    GapBox,
    /// A node.
    Node {
        /// The contour.
        contour: Id,
        /// Which of its nodes.
        index: usize,
    },
    /// The end of a lever.
    Lever {
        /// The contour.
        contour: Id,
        /// Which of its nodes.
        index: usize,
        /// Which of the node's levers.
        side: LeverSide,
    },
    /// The handle of an arc.
    Through {
        /// The contour.
        contour: Id,
        /// The node that the arc starts at.
        index: usize,
    },
    /// A place on a piece.
    Piece {
        /// The contour.
        contour: Id,
        /// The node that the piece starts at.
        index: usize,
        /// The place on it.
        at: Pos2,
    },
}

impl Hit {
    /// A feature, by itself.
    pub(super) fn of_feature(feature: &Feature) -> Self {
        match feature.kind {
            FeatureKind::Hole | FeatureKind::HoleWithoutRim => Self::Hole(feature.id.clone()),
            FeatureKind::Point => Self::Point(feature.id.clone()),
            FeatureKind::Edge => Self::Edge(feature.id.clone()),
            FeatureKind::Added => Self::Added(feature.id.clone()),
        }
    }

    /// A pick.
    pub(super) fn of_pick(pick: &PickSeen) -> Self {
        let (feature, index) = (pick.feature.clone(), pick.index);
        match pick.of {
            PickOf::Rim => Self::Pick { hole: feature, index },
            PickOf::Edge => Self::EdgePick { edge: feature, index },
        }
    }
}

/// What is at `screen`, of the things that `operation` works on.
pub(super) fn at(screen: Pos2, scene: &Scene, labels: &Labels, operation: Operation) -> Option<Hit> {
    labels
        .at(screen)
        .or_else(|| (operation == Operation::Outline).then(|| outline_mark(screen, scene)).flatten())
        .or_else(|| mark(screen, scene))
        .or_else(|| offer(screen, scene))
        .or_else(|| edge(screen, scene))
        .or_else(|| (operation == Operation::Outline).then(|| piece(screen, scene)).flatten())
        .or_else(|| added(screen, scene))
        .or_else(|| hole(screen, scene))
}

/// The nearest pick or named point within reach.
fn mark(screen: Pos2, scene: &Scene) -> Option<Hit> {
    let picks = scene.picks.iter().map(|pick| (pick.at, Hit::of_pick(pick)));
    let points = scene.features.iter().filter(|feature| feature.kind == FeatureKind::Point);
    let points = points.map(|feature| (feature.at, Hit::Point(feature.id.clone())));
    nearest(screen, picks.chain(points))
}

/// The nearest node, lever end or arc handle within reach; nodes win where they coincide.
fn outline_mark(screen: Pos2, scene: &Scene) -> Option<Hit> {
    let nodes = scene.outlines.iter().flat_map(|outline| {
        let seen = outline.nodes.iter().enumerate();
        seen.filter_map(|(index, node)| Some(((*node)?.0, Hit::Node { contour: outline.id.clone(), index })))
    });
    let levers = scene.outlines.iter().flat_map(|outline| {
        outline
            .levers
            .iter()
            .map(|lever| (lever.to, Hit::Lever { contour: outline.id.clone(), index: lever.index, side: lever.side }))
    });
    let throughs = scene.outlines.iter().flat_map(|outline| {
        outline.throughs.iter().map(|&(index, at)| (at, Hit::Through { contour: outline.id.clone(), index }))
    });
    nearest(screen, nodes.chain(levers).chain(throughs))
}

fn nearest(screen: Pos2, all: impl Iterator<Item = (Pos2, Hit)>) -> Option<Hit> {
    let within = all.map(|(at, hit)| (at.distance(screen), hit)).filter(|(distance, _)| *distance <= GRAB);
    within.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, hit)| hit)
}

/// The nearest piece within reach.
fn piece(screen: Pos2, scene: &Scene) -> Option<Hit> {
    let pieces = scene.outlines.iter().filter_map(|outline| {
        let (index, at, distance) = outline.nearest(screen)?;
        Some((distance, Hit::Piece { contour: outline.id.clone(), index, at }))
    });
    let within = pieces.filter(|(distance, _)| *distance <= GRAB_LINE);
    within.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, hit)| hit)
}

/// The nearest edge within reach.
fn edge(screen: Pos2, scene: &Scene) -> Option<Hit> {
    let distance = |line: &[Pos2]| {
        let near = line.windows(2).map(|ends| nearest_on_segment(screen, ends[0], ends[1]).distance(screen));
        near.min_by(f32::total_cmp)
    };
    let edges = scene.edges.iter().filter_map(|edge| Some((distance(&edge.line)?, Hit::Edge(edge.id.clone()))));
    let within = edges.filter(|(distance, _)| *distance <= GRAB_LINE);
    within.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, hit)| hit)
}

/// The offered rim whose box or inside is meant, the smallest first.
fn offer(screen: Pos2, scene: &Scene) -> Option<Hit> {
    let by_box = scene.offers.iter().find(|offer| offer.tick_box.expand(4.0).contains(screen));
    // All of the part is inside its outline: that is meant by its line.
    let is_meant = |offer: &&OfferSeen| {
        if offer.is_outline { is_near_line(screen, &offer.line) } else { is_in_or_near(screen, &offer.line) }
    };
    let inside = scene.offers.iter().filter(is_meant);
    let size = |offer: &&OfferSeen| Rect::from_points(&offer.line).area();
    let meant = by_box.or_else(|| inside.min_by(|a, b| size(a).total_cmp(&size(b))));
    meant.map(|offer| Hit::Offer(offer.index))
}

/// The added hole or slot that `screen` is in or near, the one with the nearest middle.
fn added(screen: Pos2, scene: &Scene) -> Option<Hit> {
    let all = scene.added.iter().filter(|seen| !seen.is_draft);
    let meant = all.filter(|seen| is_in_or_near(screen, &seen.rim) || seen.at.distance(screen) <= GRAB);
    let nearest = meant.min_by(|a, b| a.at.distance(screen).total_cmp(&b.at.distance(screen)));
    nearest.map(|seen| Hit::Added(seen.id.clone()))
}

/// The smallest hole that `screen` is in or near the rim of.
fn hole(screen: Pos2, scene: &Scene) -> Option<Hit> {
    let meant = scene.features.iter().filter(|feature| match feature.kind {
        FeatureKind::Hole => is_in_or_near(screen, &feature.rim),
        FeatureKind::HoleWithoutRim => feature.at.distance(screen) <= GRAB,
        FeatureKind::Point | FeatureKind::Edge | FeatureKind::Added => false,
    });
    meant.min_by(|a, b| a.reach.total_cmp(&b.reach)).map(|feature| Hit::Hole(feature.id.clone()))
}

fn is_in_or_near(screen: Pos2, rim: &[Pos2]) -> bool {
    let sides = rim.iter().zip(rim.iter().cycle().skip(1));
    let crossings = sides.filter(|(a, b)| {
        (a.y > screen.y) != (b.y > screen.y) && screen.x < a.x + (screen.y - a.y) / (b.y - a.y) * (b.x - a.x)
    });
    crossings.count() % 2 == 1 || is_near_line(screen, rim)
}

/// Whether a place is near a closed line.
fn is_near_line(screen: Pos2, line: &[Pos2]) -> bool {
    let mut sides = line.iter().zip(line.iter().cycle().skip(1));
    sides.any(|(a, b)| nearest_on_segment(screen, *a, *b).distance(screen) <= GRAB_RIM)
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{Vec2, pos2};

    fn round(id: &str, at: Pos2, radius: f32) -> Feature {
        let rim = (0..48).map(|side| at + Vec2::angled(side as f32 * std::f32::consts::TAU / 48.0) * radius).collect();
        Feature {
            id: id.into(),
            name: id.to_owned(),
            note: String::new(),
            kind: FeatureKind::Hole,
            at,
            reach: radius,
            rim,
        }
    }

    fn scene() -> Scene {
        let pick = |index, at| PickSeen {
            of: PickOf::Rim,
            feature: "h1".into(),
            index,
            at,
            is_chosen: false,
            name: String::new(),
        };
        Scene {
            features: vec![round("big", pos2(200.0, 200.0), 100.0), round("h1", pos2(200.0, 220.0), 20.0)],
            picks: vec![pick(0, pos2(220.0, 220.0)), pick(1, pos2(228.0, 220.0))],
            ..Scene::default()
        }
    }

    fn hit(x: f32, y: f32) -> Option<Hit> {
        at(pos2(x, y), &scene(), &Labels::default(), Operation::Holes)
    }

    #[test]
    fn the_nearest_pick_wins_over_the_hole() {
        assert_eq!(hit(222.0, 221.0), Some(Hit::Pick { hole: "h1".into(), index: 0 }), "the nearer of two");
        assert_eq!(hit(227.0, 221.0), Some(Hit::Pick { hole: "h1".into(), index: 1 }), "the other");
    }

    #[test]
    fn the_smaller_of_two_holes_is_meant() {
        assert_eq!(hit(195.0, 222.0), Some(Hit::Hole("h1".into())), "inside both");
        assert_eq!(hit(150.0, 200.0), Some(Hit::Hole("big".into())), "inside the larger only");
    }

    #[test]
    fn a_rim_is_meant_from_a_little_outside_and_nothing_from_afar() {
        assert_eq!(hit(200.0, 95.0), Some(Hit::Hole("big".into())), "5 points outside its rim");
        assert_eq!(hit(200.0, 80.0), None, "20 points outside");
    }
}
