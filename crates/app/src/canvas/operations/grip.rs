//! What a drag holds, and what pulling it does.

use super::outline::role_name;
use super::{Bench, choose, edges, holes};
use crate::adding::{moved_to, on_grid};
use crate::canvas::hit::Hit;
use crate::canvas::scene::{Scene, ordinal};
use crate::session::Operation;
use egui::Pos2;
use platewright_core::job::{Edit, Id, LeverSide, Piece};
use platewright_core::space::PhotoPoint;

/// A thing that is held.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Grip {
    /// A pick of a rim.
    Pick { hole: Id, index: usize },
    /// A named point.
    Point(Id),
    /// A pick of an edge.
    EdgePick { edge: Id, index: usize },
    /// A node.
    Node { contour: Id, index: usize },
    /// The end of a lever.
    Lever { contour: Id, index: usize, side: LeverSide },
    /// The handle of an arc.
    Through { contour: Id, index: usize },
    /// Something that was added, or the circle that it lies on.
    Added(Id),
    /// A point that is not there yet: it is placed where it is let go.
    New,
}

impl Grip {
    /// Takes hold of what was hit, where the operation moves it; chooses it. `pulls_lever`: a lever is pulled out of a
    /// node.
    pub(super) fn take(bench: &mut Bench<'_>, hit: Option<Hit>, pulls_lever: bool) -> Option<Self> {
        let operation = bench.session.screen.operation;
        let grip = match (operation, hit.clone()) {
            (Operation::Holes, Some(Hit::Pick { hole, index })) => Self::Pick { hole, index },
            (Operation::Measures, Some(Hit::Point(id))) => Self::Point(id),
            (Operation::Measures, Some(Hit::EdgePick { edge, index })) => Self::EdgePick { edge, index },
            (Operation::Outline, Some(Hit::Node { contour, index })) if pulls_lever => {
                Self::pull_out(bench, contour, index)?
            }
            (Operation::Outline, Some(Hit::Node { contour, index })) => Self::Node { contour, index },
            (Operation::Outline, Some(Hit::Lever { contour, index, side })) => Self::Lever { contour, index, side },
            (Operation::Outline, Some(Hit::Through { contour, index })) => Self::Through { contour, index },
            (Operation::Outline, Some(Hit::Added(id))) if bench.session.held_place(&id).is_some() => Self::Added(id),
            (Operation::Outline, Some(Hit::Piece { .. })) | (Operation::Holes | Operation::Outline, None) => {
                return Some(Self::New);
            }
            (Operation::Holes, Some(Hit::Hole(_))) if bench.session.screen.picking.is_some() => return Some(Self::New),
            (Operation::Measures, None) if bench.session.places().is_some() => return Some(Self::New),
            (Operation::Measures, Some(Hit::Edge(_))) if edges::in_hand(bench).is_some() => return Some(Self::New),
            _ => return None,
        };
        if let Some(hit) = hit {
            choose::choose(bench, &hit);
        }
        Some(grip)
    }

    /// The lever of the piece that starts at a node, or of the one before where none starts; that piece becomes a
    /// curve.
    fn pull_out(bench: &mut Bench<'_>, contour: Id, index: usize) -> Option<Self> {
        let found = bench.job()?.contour(&contour)?;
        let starts = found.closed || index + 1 < found.nodes.len();
        let (piece, side) = if starts { (index, LeverSide::Out) } else { (index.checked_sub(1)?, LeverSide::In) };
        let is_curve = found.nodes.get(piece)?.next == Piece::Curve;
        // Who bends a piece wants it as he bends it, not as the edge runs.
        let follows = found.follows(piece);
        if !is_curve {
            let edit = Edit::PieceAs { contour: contour.clone(), index: piece, piece: Piece::Curve };
            bench.edit_in_hand("pull a lever out", edit);
        }
        if follows {
            let edit = Edit::PieceAsDrawn { contour: contour.clone(), index: piece, as_drawn: true };
            bench.edit_in_hand("pull a lever out", edit);
        }
        Some(Self::Lever { contour, index, side })
    }

    /// It is placed where it is let go.
    pub(super) fn is_new(&self) -> bool {
        *self == Self::New
    }

    /// Where the thing is now.
    pub(super) fn place(&self, bench: &Bench<'_>, scene: &Scene) -> Option<Pos2> {
        let outline = |id: &Id| scene.outlines.iter().find(|outline| outline.id == *id);
        match self {
            Self::Pick { hole, index } => {
                let at = *bench.job()?.hole(hole)?.rim.get(*index)?;
                bench.transform.screen_from_photo(at)
            }
            Self::EdgePick { edge, index } => {
                bench.transform.screen_from_photo(*edges::by_id(bench, edge)?.along.get(*index)?)
            }
            Self::Point(id) => scene.feature(id).map(|feature| feature.at),
            Self::Node { contour, index } => Some((*outline(contour)?.nodes.get(*index)?)?.0),
            Self::Lever { contour, index, side } => {
                let levers = &outline(contour)?.levers;
                levers.iter().find(|lever| lever.index == *index && lever.side == *side).map(|lever| lever.to)
            }
            Self::Through { contour, index } => {
                outline(contour)?.throughs.iter().find(|(piece, _)| piece == index).map(|(_, at)| *at)
            }
            Self::Added(id) => bench.transform.screen_from_plate(bench.session.held_place(id)?),
            Self::New => None,
        }
    }

    /// Moves the thing to a place of the screen.
    pub(super) fn pull(&self, bench: &mut Bench<'_>, to: Pos2) {
        if let Some(to) = bench.transform.photo_from_screen(to).and_then(|to| bench.on_photo(to)) {
            self.move_to(bench, to);
        }
    }

    /// Moves the thing to a place on the photo.
    pub(super) fn move_to(&self, bench: &mut Bench<'_>, to: PhotoPoint) {
        let name = self.step_name(bench);
        match self.clone() {
            Self::Pick { hole, index } => {
                let sigma_px = bench.pick_sigma_px();
                let coarser =
                    bench.job().and_then(|job| job.hole(&hole)).and_then(|h| holes::coarser_sigma(h, sigma_px));
                bench.edit_in_hand(&name, Edit::MoveRimPick { hole, index, to });
                if let Some(edit) = coarser {
                    bench.edit_in_hand(&name, edit);
                }
            }
            Self::EdgePick { edge, index } => {
                let sigma_px = bench.pick_sigma_px();
                let coarser = edges::by_id(bench, &edge).and_then(|edge| edges::coarser_sigma(edge, sigma_px));
                bench.edit_in_hand(&name, Edit::MoveEdgePick { edge, index, to });
                if let Some(edit) = coarser {
                    bench.edit_in_hand(&name, edit);
                }
            }
            Self::Point(point) => bench.edit_in_hand(&name, Edit::MovePoint { point, to }),
            Self::Node { contour, index } => bench.edit_in_hand(&name, Edit::MoveNode { contour, index, to }),
            Self::Lever { contour, index, side } => {
                let node = bench.job().and_then(|job| job.contour(&contour)).and_then(|c| c.nodes.get(index));
                let to = node.map(|node| to - node.at);
                bench.edit_in_hand(&name, Edit::Lever { contour, index, side, to });
            }
            Self::Through { contour, index } => {
                bench.edit_in_hand(&name, Edit::ArcThrough { contour, index, through: Some(to) });
            }
            Self::Added(id) => {
                let at = bench.session.results.solution.map.and_then(|map| map.plate_from_photo(to));
                if let Some(edit) = at.and_then(|at| moved_to(bench.session, &id, on_grid(at))) {
                    bench.edit_in_hand(&name, edit);
                }
            }
            Self::New => {}
        }
    }

    /// What the magnifier says of it.
    pub(super) fn says(&self, bench: &Bench<'_>) -> String {
        match self {
            Self::New => super::placing(bench, None).unwrap_or_default(),
            _ => self.subject(bench),
        }
    }

    /// The name of the step, for undo.
    pub(super) fn step_name(&self, bench: &Bench<'_>) -> String {
        match self {
            Self::Pick { hole: feature, index } | Self::EdgePick { edge: feature, index } => {
                let name = bench.job().map_or_else(String::new, |job| job.feature_name(feature).to_owned());
                format!("move {name}’s {} pick", ordinal(*index))
            }
            Self::Lever { .. } => format!("pull the lever at {}", self.subject(bench)),
            Self::Through { .. } => format!("bend the arc from {}", self.subject(bench)),
            _ => format!("move {}", self.subject(bench)),
        }
    }

    /// The thing's name.
    fn subject(&self, bench: &Bench<'_>) -> String {
        let Some(job) = bench.job() else { return String::new() };
        match self {
            Self::Pick { hole: feature, index } | Self::EdgePick { edge: feature, index } => {
                format!("{}, {} pick", job.feature_name(feature), ordinal(*index))
            }
            Self::Point(id) => job.feature_name(id).to_owned(),
            Self::Added(id) => job.placed_name(id),
            Self::Node { contour, index } | Self::Lever { contour, index, .. } | Self::Through { contour, index } => {
                let name = job.contour(contour).map_or("outline", |contour| role_name(contour.role));
                format!("node {} of the {name}", index + 1)
            }
            Self::New => String::new(),
        }
    }
}
