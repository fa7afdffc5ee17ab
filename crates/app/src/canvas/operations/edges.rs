//! Operation 30, straight edges: clicks along a side of the face, ended by Enter, by its first pick or by the next
//! feature.

use super::{Bench, Click, choose, measures};
use crate::canvas::hit::Hit;
use crate::canvas::scene::ordinal;
use crate::draft::PICKS_OF_AN_EDGE;
use crate::session::{Chosen, Session};
use platewright_core::job::{Edit, Id, Job, StraightEdge};
use platewright_core::space::PhotoPoint;

/// A click nearer than this to a pick of the edge in hand means that pick, points.
const SAME_PICK: f64 = 4.0;

/// A click while an edge is being picked.
pub(super) fn click(bench: &mut Bench<'_>, click: &Click) {
    let Some(edge) = in_hand(bench).cloned() else { return };
    match means(bench, &edge, click.hit.as_ref(), click.photo) {
        Meant::Place => place(bench, &edge, click.photo),
        Meant::End => measures::told(bench, Session::end_edge),
        Meant::Choose(hit) => choose::choose(bench, &hit),
        Meant::Next(id) => {
            measures::told(bench, Session::end_edge);
            measures::take_feature(bench, &id);
        }
    }
}

/// What a click would place, for the magnifier: a pick of the edge in hand, or the first one of another.
pub(super) fn placing(bench: &Bench<'_>, under: Option<&Hit>) -> Option<String> {
    let Some(edge) = in_hand(bench) else {
        return under.is_none().then(|| Some(format!("{}, first pick", free_name(bench.job()?)))).flatten();
    };
    let at = bench.session.screen.pointer?;
    match means(bench, edge, under, at) {
        Meant::Place => Some(format!("{}, {} pick", edge.name, ordinal(edge.along.len()))),
        Meant::End => Some(format!("ends {}", edge.name)),
        Meant::Choose(_) | Meant::Next(_) => None,
    }
}

/// The edge that is being picked.
pub(super) fn in_hand<'a>(bench: &'a Bench<'_>) -> Option<&'a StraightEdge> {
    by_id(bench, bench.session.screen.picking_edge.as_ref()?)
}

/// The edge with this id.
pub(super) fn by_id<'a>(bench: &'a Bench<'_>, id: &Id) -> Option<&'a StraightEdge> {
    bench.job()?.edges.iter().find(|edge| edge.id == *id)
}

/// The edge of `hit`, where it has too few picks: the next click goes on with it.
pub(super) fn unfinished(bench: &Bench<'_>, hit: &Hit) -> Option<Id> {
    let Hit::EdgePick { edge, .. } = hit else { return None };
    by_id(bench, edge).filter(|edge| edge.along.len() < PICKS_OF_AN_EDGE).map(|edge| edge.id.clone())
}

/// What a click means while an edge is being picked.
enum Meant {
    /// Another pick.
    Place,
    /// The edge is ended.
    End,
    /// One of its picks is chosen.
    Choose(Hit),
    /// It is ended by the next feature.
    Next(Id),
}

/// The edge's own line and flag are no obstacle to its next pick, nor is anything while it has only one.
fn means(bench: &Bench<'_>, edge: &StraightEdge, hit: Option<&Hit>, at: PhotoPoint) -> Meant {
    let zoom = bench.session.screen.look.zoom;
    let is_there = |index: usize| edge.along.get(index).is_some_and(|pick| pick.distance(at) * zoom <= SAME_PICK);
    let is_made = edge.along.len() >= PICKS_OF_AN_EDGE;
    match hit {
        Some(Hit::EdgePick { edge: id, index: 0 }) if *id == edge.id && is_there(0) && is_made => Meant::End,
        Some(hit @ Hit::EdgePick { edge: id, index }) if *id == edge.id && is_there(*index) => {
            Meant::Choose(hit.clone())
        }
        Some(Hit::Hole(id)) if is_made => Meant::Next(id.clone()),
        Some(Hit::Edge(id)) if is_made && *id != edge.id => Meant::Next(id.clone()),
        _ => Meant::Place,
    }
}

fn place(bench: &mut Bench<'_>, edge: &StraightEdge, at: PhotoPoint) {
    let Some(at) = bench.on_photo(at) else { return };
    let sigma_px = bench.pick_sigma_px();
    let index = edge.along.len();
    let mut edits = vec![Edit::AddEdgePick { edge: edge.id.clone(), at }];
    edits.extend(coarser_sigma(edge, sigma_px));
    bench.edit(format!("place {}’s {} pick", edge.name, ordinal(index)), edits);
    bench.session.screen.chosen = Some(Chosen::EdgePick { edge: edge.id.clone(), index });
}

/// Begins an edge with its first pick.
pub(super) fn start(bench: &mut Bench<'_>, at: PhotoPoint) {
    let sigma_px = bench.pick_sigma_px();
    let Some(job) = bench.job() else { return };
    let (id, name) = (job.free_id("e"), free_name(job));
    let edge = StraightEdge {
        id: id.clone(),
        name: name.clone(),
        along: vec![at],
        sigma_px: Some(sigma_px),
        measure_edge: true,
    };
    bench.edit(format!("place {name}’s first pick"), vec![Edit::AddEdge(edge)]);
    bench.session.screen.picking_edge = Some(id.clone());
    bench.session.screen.begun = Some(id.clone());
    bench.session.screen.chosen = Some(Chosen::EdgePick { edge: id, index: 0 });
}

/// An edge keeps the standard deviation of its worst pick: the edit that says so, where this one is worse.
pub(super) fn coarser_sigma(edge: &StraightEdge, sigma_px: f64) -> Option<Edit> {
    let is_coarser = edge.sigma_px.is_none_or(|known| sigma_px > known);
    is_coarser.then(|| Edit::PickSigma { feature: edge.id.clone(), sigma_px: Some(sigma_px) })
}

/// `E1`, or the first number after it that no edge has.
fn free_name(job: &Job) -> String {
    let taken = |name: &String| job.edges.iter().any(|edge| edge.name == *name);
    (1..=job.edges.len() + 1).map(|number| format!("E{number}")).find(|name| !taken(name)).unwrap_or_default()
}
