//! Contours as they stand in the file: nodes and pieces, and what their shape was meant to have.

use super::model::{Id, is_false, is_true, yes};
use crate::space::{PhotoPoint, PhotoVec};
use serde::{Deserialize, Serialize};

/// A line round the part or round an opening, by its nodes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Contour {
    /// Its id.
    pub id: Id,
    /// Outline or opening.
    pub role: Role,
    /// The last node is joined to the first.
    #[serde(default)]
    pub closed: bool,
    /// The pieces between nodes are to follow the edge in the picture.
    #[serde(default)]
    pub follow_edge: bool,
    /// The finished part has it; false: an opening that is left out.
    #[serde(default = "yes", skip_serializing_if = "is_true")]
    pub keep: bool,
    /// Its nodes in order.
    pub nodes: Vec<Node>,
    /// Figures and relations that its shape was meant to have, and is held to.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub agreed: Vec<Meant>,
    /// Figures and relations that it was not meant to have: they are not suggested again.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub refused: Vec<Meant>,
}

impl Contour {
    /// A contour without a node, drawn by hand.
    pub fn new(id: Id, role: Role) -> Self {
        let (nodes, agreed, refused) = (Vec::new(), Vec::new(), Vec::new());
        Self { id, role, closed: false, follow_edge: false, keep: true, nodes, agreed, refused }
    }

    /// The number of its pieces: from each node to the next, and back to the first where it is closed.
    pub const fn piece_count(&self) -> usize {
        if self.closed && self.nodes.len() > 2 { self.nodes.len() } else { self.nodes.len().saturating_sub(1) }
    }

    /// The piece that starts at a node follows the edge in the picture.
    pub fn follows(&self, node: usize) -> bool {
        self.follow_edge && node < self.piece_count() && !self.nodes[node].as_drawn
    }
}

/// A figure or a relation that a shape was meant to have.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Meant {
    /// What is meant.
    pub kind: MeantKind,
    /// Of which lines and arcs: a place in the middle of each, so that it is found again however often the edge is
    /// measured anew. Two for what is between two, else one.
    pub of: Vec<PhotoPoint>,
    /// The hole that an arc is concentric with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hole: Option<Id>,
    /// The round radius or distance, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mm: Option<f64>,
}

/// What a shape was meant to have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MeantKind {
    /// Two arcs have the same radius.
    EqualRadii,
    /// An arc has the centre of a hole.
    Concentric,
    /// Two lines are parallel.
    Parallel,
    /// Two lines are square.
    Square,
    /// An arc's radius is a round figure.
    RoundRadius,
    /// Two parallel lines are a round figure apart.
    RoundDistance,
}

impl MeantKind {
    /// How many lines or arcs it is about.
    pub const fn pieces(self) -> usize {
        match self {
            Self::Concentric | Self::RoundRadius => 1,
            Self::EqualRadii | Self::Parallel | Self::Square | Self::RoundDistance => 2,
        }
    }

    /// It names a figure in mm.
    pub const fn has_figure(self) -> bool {
        matches!(self, Self::RoundRadius | Self::RoundDistance)
    }
}

/// What a contour goes round.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Round the part.
    Outer,
    /// Round an opening in it.
    Opening,
}

/// A node of a contour.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Node {
    /// Where it was placed.
    pub at: PhotoPoint,
    /// Corner or smooth.
    pub kind: NodeKind,
    /// What leads from here to the next node.
    pub next: Piece,
    /// A place that the arc to the next node passes through; only for `next: "arc"`. Left out: the arc is tangent to
    /// a straight neighbour, or straight itself where there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub through: Option<PhotoPoint>,
    /// The lever towards the previous node, as a step from `at`; only for curves. Left out: chosen from the
    /// neighbours.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lever_in: Option<PhotoVec>,
    /// The lever towards the next node, as a step from `at`; only for curves. Left out: chosen from the neighbours.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lever_out: Option<PhotoVec>,
    /// The contour passes through this very place, wherever the edge is measured.
    #[serde(default, skip_serializing_if = "is_false")]
    pub pinned: bool,
    /// What leads from here to the next node is cut as it is drawn, although the contour follows the edge: where glare or
    /// a shadow hides it.
    #[serde(default, skip_serializing_if = "is_false")]
    pub as_drawn: bool,
}

impl Node {
    /// A corner with a straight piece behind it.
    pub const fn corner(at: PhotoPoint) -> Self {
        let (kind, next) = (NodeKind::Corner, Piece::Line);
        Self { at, kind, next, through: None, lever_in: None, lever_out: None, pinned: false, as_drawn: false }
    }
}

/// Whether the contour turns sharply at a node.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NodeKind {
    /// It may turn.
    Corner,
    /// It runs through without a turn.
    Smooth,
}

/// What leads from one node to the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Piece {
    /// Straight.
    Line,
    /// A circular arc.
    Arc,
    /// A smooth curve.
    Curve,
}
