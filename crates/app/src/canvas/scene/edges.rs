//! Straight edges and their picks as they are seen while measures are taken.

use super::features::{Feature, FeatureKind, PickOf, PickSeen, ordinal};
use super::seen_segment;
use crate::canvas::transform::Transform;
use crate::draft::PICKS_OF_AN_EDGE;
use crate::session::{Chosen, Operation, Session};
use egui::Pos2;
use platewright_core::job::{Id, Job, StatementKind, StraightEdge};
use platewright_core::solution::Solution;
use platewright_core::space::{PhotoPoint, PlatePoint, PlateVec};

/// Side of the mark of a square corner, points.
const CORNER_MARK: f64 = 13.0;

/// An edge.
#[derive(Debug, Clone)]
pub(in crate::canvas) struct EdgeSeen {
    /// Its id.
    pub(in crate::canvas) id: Id,
    /// Its line; only its pick, where it has one so far.
    pub(in crate::canvas) line: Vec<Pos2>,
    /// It is being picked, chosen, or in what is being taken.
    pub(in crate::canvas) is_in_hand: bool,
    /// From its one pick to the pointer, while it is being picked.
    pub(in crate::canvas) reaching: Option<[Pos2; 2]>,
}

/// The edges of the job; none but where measures are taken.
pub(super) fn edges(session: &Session, job: &Job, transform: &Transform) -> Vec<EdgeSeen> {
    let screen = &session.screen;
    if screen.operation != Operation::Measures {
        return Vec::new();
    }
    let pointer = screen.pointer.and_then(|photo| transform.screen_from_photo(photo));
    let in_draft = |id: &Id| screen.draft.as_ref().is_some_and(|draft| draft.between.contains(id));
    let in_statement = |id: &Id| screen.stating.as_ref().is_some_and(|stating| stating.between.contains(id));
    job.edges
        .iter()
        .map(|edge| {
            let is_picked = screen.picking_edge.as_ref() == Some(&edge.id);
            let is_chosen = match &screen.chosen {
                Some(Chosen::Edge(id) | Chosen::EdgePick { edge: id, .. }) => *id == edge.id,
                _ => false,
            };
            let line = line(edge, &session.results.solution, transform);
            let reaching = line.first().copied().filter(|_| is_picked && edge.along.len() < PICKS_OF_AN_EDGE);
            let reaching = reaching.zip(pointer).map(|(from, to)| [from, to]);
            let is_in_hand = is_picked || is_chosen || in_draft(&edge.id) || in_statement(&edge.id);
            EdgeSeen { id: edge.id.clone(), line, is_in_hand, reaching }
        })
        .collect()
}

/// As it was found, else straight between the two of its picks that lie farthest apart.
fn line(edge: &StraightEdge, solution: &Solution, transform: &Transform) -> Vec<Pos2> {
    if let Some(fit) = solution.edges.iter().find(|fit| fit.id == edge.id) {
        return seen_segment(fit.ends[0], fit.ends[1], transform);
    }
    let places: Vec<Pos2> = edge.along.iter().filter_map(|&pick| transform.screen_from_photo(pick)).collect();
    let pairs = (0..places.len()).flat_map(|a| (a + 1..places.len()).map(move |b| (a, b)));
    let distance = |&(a, b): &(usize, usize)| places[a].distance(places[b]);
    match pairs.max_by(|one, other| distance(one).total_cmp(&distance(other))) {
        Some((a, b)) => vec![places[a], places[b]],
        None => places,
    }
}

/// The mark of each square corner that is said: a small square where the two edges meet.
pub(super) fn corners(session: &Session, job: &Job, transform: &Transform) -> Vec<Vec<Pos2>> {
    if session.screen.operation != Operation::Measures {
        return Vec::new();
    }
    let solution = &session.results.solution;
    let square = job.statements.iter().filter(|said| said.kind == StatementKind::Square && said.in_use);
    square.filter_map(|said| corner(&said.between, solution, transform)).collect()
}

fn corner(between: &[Id], solution: &Solution, transform: &Transform) -> Option<Vec<Pos2>> {
    let [one, other] = between else { return None };
    let ends = |id: &Id| solution.edges.iter().find(|edge| edge.id == *id).map(|edge| edge.ends);
    let ([a, b], [c, d]) = (ends(one)?, ends(other)?);
    let (along_one, along_other) = ((b - a).unit()?, (d - c).unit()?);
    let across = along_one.cross(along_other);
    // Edges that run nearly alongside meet nowhere that could be marked.
    if across.abs() < 0.5 {
        return None;
    }
    let at = a + along_one * ((c - a).cross(along_other) / across);
    let points_per_mm = transform.screen_from_plate(at)?.distance(transform.screen_from_plate(at + along_one)?);
    let leg = CORNER_MARK / f64::from(points_per_mm.max(1e-3));
    let towards = |along: PlateVec, from: PlatePoint, to: PlatePoint| {
        let side = (from.lerp(to, 0.5) - at).dot(along);
        along * if side < 0.0 { -leg } else { leg }
    };
    let (first, second) = (towards(along_one, a, b), towards(along_other, c, d));
    [at + first, at + first + second, at + second].map(|place| transform.screen_from_plate(place)).into_iter().collect()
}

/// The edges as features: a name at the middle of each.
pub(super) fn features(job: &Job, edges: &[EdgeSeen]) -> Vec<Feature> {
    let of_edge = |(edge, seen): (&StraightEdge, &EdgeSeen)| {
        let at = middle(&seen.line)?;
        let missing = PICKS_OF_AN_EDGE.saturating_sub(edge.along.len());
        let note = if missing > 0 { format!("{missing} more pick") } else { String::new() };
        let (id, name) = (edge.id.clone(), edge.name.clone());
        Some(Feature { id, name, note, kind: FeatureKind::Edge, at, reach: 0.0, rim: Vec::new() })
    };
    job.edges.iter().zip(edges).filter_map(of_edge).collect()
}

fn middle(line: &[Pos2]) -> Option<Pos2> {
    match line {
        [from, to] => Some(from.lerp(*to, 0.5)),
        _ => line.get(line.len() / 2).copied(),
    }
}

/// The picks of the edges; none but where measures are taken.
pub(super) fn picks(session: &Session, job: &Job, transform: &Transform) -> Vec<PickSeen> {
    let screen = &session.screen;
    if screen.operation != Operation::Measures {
        return Vec::new();
    }
    let of_edge = |edge: &StraightEdge| {
        let is_picked = screen.picking_edge.as_ref() == Some(&edge.id);
        let seen = |(index, &at): (usize, &PhotoPoint)| {
            let chosen = Chosen::EdgePick { edge: edge.id.clone(), index };
            Some(PickSeen {
                of: PickOf::Edge,
                feature: edge.id.clone(),
                index,
                at: transform.screen_from_photo(at).filter(|at| transform.rect.expand(12.0).contains(*at))?,
                is_chosen: (is_picked && index + 1 == edge.along.len()) || screen.chosen.as_ref() == Some(&chosen),
                name: format!("{} {} pick", edge.name, ordinal(index)),
            })
        };
        edge.along.iter().enumerate().filter_map(seen).collect::<Vec<_>>()
    };
    job.edges.iter().flat_map(of_edge).collect()
}
