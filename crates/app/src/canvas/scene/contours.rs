//! Outline and openings as they are seen: pieces, nodes, levers, gaps.

use super::seen_line;
use crate::canvas::transform::Transform;
use crate::session::{Chosen, Session};
use egui::{Pos2, Vec2};
use platewright_core::job::{Contour, Id, Job, LeverSide, Node, NodeKind, Piece, Role};
use platewright_core::solution::ContourFit;
use platewright_core::space::PhotoVec;

/// Length of a lever that was never set, as a share of the way to the other end of its curve.
const LEVER_SHARE: f32 = 1.0 / 3.0;

/// A contour.
#[derive(Debug, Clone)]
pub(in crate::canvas) struct Outline {
    /// Its id.
    pub(in crate::canvas) id: Id,
    /// What it is called: `outline` or `opening`.
    pub(in crate::canvas) name: &'static str,
    /// The finished part has it.
    pub(in crate::canvas) keep: bool,
    /// The last node is joined to the first.
    pub(in crate::canvas) closed: bool,
    /// The next click gives it a node.
    pub(in crate::canvas) is_tracing: bool,
    /// The nodes whose place is held.
    pub(in crate::canvas) pinned: Vec<usize>,
    /// Its nodes, in order; `None` where one is not seen.
    pub(in crate::canvas) nodes: Vec<Option<(Pos2, NodeKind)>>,
    /// For each piece its line.
    pub(in crate::canvas) pieces: Vec<Vec<Pos2>>,
    /// For each arc with the index of its piece, the place to drag it by.
    pub(in crate::canvas) throughs: Vec<(usize, Pos2)>,
    /// The levers of the chosen node.
    pub(in crate::canvas) levers: Vec<LeverSeen>,
    /// The chosen node.
    pub(in crate::canvas) chosen: Option<usize>,
    /// From the last node to the pointer, while it is traced.
    pub(in crate::canvas) reaching: Option<[Pos2; 2]>,
    /// Where it is open.
    pub(in crate::canvas) gap: Option<GapSeen>,
}

/// A lever.
#[derive(Debug, Clone, Copy)]
pub(in crate::canvas) struct LeverSeen {
    /// The node.
    pub(in crate::canvas) index: usize,
    /// Towards which neighbour.
    pub(in crate::canvas) side: LeverSide,
    /// Where the node is.
    pub(in crate::canvas) from: Pos2,
    /// Where its end is.
    pub(in crate::canvas) to: Pos2,
}

/// A gap.
#[derive(Debug, Clone, Copy)]
pub(in crate::canvas) struct GapSeen {
    /// The loose end before it.
    pub(in crate::canvas) from: Pos2,
    /// The loose end after it.
    pub(in crate::canvas) to: Pos2,
    /// Away from the inside.
    pub(in crate::canvas) outward: Vec2,
    /// Its width, mm; `None` while the scale is not known.
    pub(in crate::canvas) width_mm: Option<f64>,
}

/// The contours of the job.
pub(super) fn outlines(session: &Session, job: &Job, transform: &Transform) -> Vec<Outline> {
    let solution = &session.results.solution;
    let scale_known = solution.fit.scale_known();
    let pointer = session.screen.pointer.and_then(|photo| transform.screen_from_photo(photo));
    job.contours
        .iter()
        .map(|contour| {
            let fit = solution.contours.iter().find(|fit| fit.id == contour.id);
            let chosen = match &session.screen.chosen {
                Some(Chosen::Node { contour: id, index }) if *id == contour.id => Some(*index),
                _ => None,
            };
            let is_tracing = session.screen.tracing.as_ref() == Some(&contour.id);
            let mut outline = outline(contour, fit, transform);
            outline.chosen = chosen.filter(|index| *index < contour.nodes.len());
            outline.is_tracing = is_tracing;
            outline.levers =
                outline.chosen.map_or_else(Vec::new, |index| levers(contour, index, &outline.pieces, transform));
            outline.reaching =
                pointer.filter(|_| is_tracing).and_then(|to| Some([outline.nodes.last().copied().flatten()?.0, to]));
            outline.gap = gap(&outline, fit, scale_known);
            outline
        })
        .collect()
}

fn outline(contour: &Contour, fit: Option<&ContourFit>, transform: &Transform) -> Outline {
    let place = |node: &Node| Some((transform.screen_from_photo(node.at)?, node.kind));
    let nodes: Vec<_> = contour.nodes.iter().map(place).collect();
    let last = if contour.closed { contour.nodes.len() } else { contour.nodes.len().saturating_sub(1) };
    let pieces: Vec<Vec<Pos2>> = (0..last)
        .map(|index| {
            let sampled = fit.and_then(|fit| fit.pieces.get(index)).filter(|piece| piece.len() > 1);
            match sampled {
                Some(piece) if transform.map.is_some() => seen_line(piece.iter().copied(), transform),
                _ => {
                    let ends = [index, (index + 1) % contour.nodes.len()].map(|at| nodes[at].map(|(at, _)| at));
                    ends.into_iter().flatten().collect()
                }
            }
        })
        .collect();
    // Where a piece follows the edge there is nothing to bend.
    let throughs = contour.nodes.iter().zip(&pieces).enumerate();
    let throughs = throughs.filter(|(index, (node, _))| node.next == Piece::Arc && !contour.follows(*index));
    let throughs = throughs.filter_map(|(index, (node, piece))| {
        let set = node.through.and_then(|through| transform.screen_from_photo(through));
        Some((index, set.or_else(|| middle(piece))?))
    });
    Outline {
        id: contour.id.clone(),
        name: if contour.role == Role::Outer { "outline" } else { "opening" },
        keep: contour.keep,
        closed: contour.closed,
        is_tracing: false,
        pinned: (0..contour.nodes.len()).filter(|index| contour.nodes[*index].pinned).collect(),
        throughs: throughs.collect(),
        nodes,
        pieces,
        levers: Vec::new(),
        chosen: None,
        reaching: None,
        gap: None,
    }
}

/// The levers of a node that a curve begins or ends at. One that was never set lies along the curve that is drawn.
fn levers(contour: &Contour, index: usize, pieces: &[Vec<Pos2>], transform: &Transform) -> Vec<LeverSeen> {
    let nodes = &contour.nodes;
    let node = &nodes[index];
    let Some(from) = transform.screen_from_photo(node.at) else { return Vec::new() };
    let before = if index > 0 { Some(index - 1) } else { contour.closed.then(|| nodes.len() - 1) };
    let is_curve = |piece: &usize| nodes[*piece].next == Piece::Curve && !contour.follows(*piece);
    let curve_in = before.filter(is_curve).and_then(|before| pieces.get(before));
    let curve_out = pieces.get(index).filter(|_| is_curve(&index));
    let seen = |side, step: Option<PhotoVec>, along: Option<Vec2>| {
        let set = step.and_then(|step| transform.screen_from_photo(node.at + step));
        Some(LeverSeen { index, side, from, to: set.or_else(|| Some(from + along?))? })
    };
    let along_in = |piece: &Vec<Pos2>| chosen_lever(piece.iter().rev().copied());
    let along_out = |piece: &Vec<Pos2>| chosen_lever(piece.iter().copied());
    let lever_in = curve_in.and_then(|piece| seen(LeverSide::In, node.lever_in, along_in(piece)));
    let lever_out = curve_out.and_then(|piece| seen(LeverSide::Out, node.lever_out, along_out(piece)));
    lever_in.into_iter().chain(lever_out).collect()
}

/// The lever at the start of a curve: along its first step, a share of the way to its end.
fn chosen_lever(mut curve: impl Iterator<Item = Pos2>) -> Option<Vec2> {
    let (start, next) = (curve.next()?, curve.next()?);
    let end = curve.last().unwrap_or(next);
    Some((next - start).normalized() * (start.distance(end) * LEVER_SHARE))
}

/// The gap of an open contour of three nodes or more: with fewer it is the line itself that is being drawn.
fn gap(outline: &Outline, fit: Option<&ContourFit>, scale_known: bool) -> Option<GapSeen> {
    if outline.closed || outline.nodes.len() < 3 {
        return None;
    }
    let places: Vec<Pos2> = outline.nodes.iter().flatten().map(|(at, _)| *at).collect();
    let (from, to) = (outline.nodes.last().copied().flatten()?.0, outline.nodes.first().copied().flatten()?.0);
    let middle = (places.iter().fold(Vec2::ZERO, |sum, place| sum + place.to_vec2()) / places.len() as f32).to_pos2();
    let across = (to - from).rot90().normalized();
    let outward = if across.dot(from.lerp(to, 0.5) - middle) < 0.0 { -across } else { across };
    let width_mm =
        fit.and_then(|fit| fit.gaps.first()).filter(|_| scale_known).map(platewright_core::geom::Gap::width_mm);
    Some(GapSeen { from, to, outward, width_mm })
}

impl Outline {
    /// The line round it: all its pieces in one.
    pub(in crate::canvas) fn loop_line(&self) -> Vec<Pos2> {
        self.pieces.iter().flatten().copied().collect()
    }

    /// The photo point of a place on a piece that is nearest to `screen`, with how far it is.
    pub(in crate::canvas) fn nearest(&self, screen: Pos2) -> Option<(usize, Pos2, f32)> {
        let on_piece = |(index, piece): (usize, &Vec<Pos2>)| {
            let near = piece.windows(2).map(|ends| nearest_on_segment(screen, ends[0], ends[1]));
            near.min_by(|a, b| a.distance_sq(screen).total_cmp(&b.distance_sq(screen))).map(|at| (index, at))
        };
        let nearest = self.pieces.iter().enumerate().filter_map(on_piece);
        let nearest = nearest.min_by(|a, b| a.1.distance_sq(screen).total_cmp(&b.1.distance_sq(screen)));
        nearest.map(|(index, at)| (index, at, at.distance(screen)))
    }
}

/// The place of a segment that is nearest to `to`.
pub(in crate::canvas) fn nearest_on_segment(to: Pos2, a: Pos2, b: Pos2) -> Pos2 {
    let along = b - a;
    let length_sq = along.length_sq();
    if length_sq <= 0.0 {
        return a;
    }
    a + along * ((to - a).dot(along) / length_sq).clamp(0.0, 1.0)
}

/// Where the handle of an arc stands that no place is set for: half-way along it, also where it is straight so far.
fn middle(piece: &[Pos2]) -> Option<Pos2> {
    match piece {
        [from, to] => Some(from.lerp(*to, 0.5)),
        _ => piece.get(piece.len() / 2).copied(),
    }
}
