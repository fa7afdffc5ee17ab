//! Operation 20: three clicks on a rim make a hole.

use super::{Bench, Click, choose};
use crate::canvas::hit::Hit;
use crate::canvas::scene::{PICKS_OF_A_RIM, ordinal};
use crate::session::Chosen;
use platewright_core::job::{Edit, Hole, Id};
use platewright_core::space::PhotoPoint;

/// A click nearer than this to a pick of the hole in hand means that pick, points.
const SAME_PICK: f64 = 4.0;

/// A click: chooses what is there, else places a pick.
pub(super) fn click(bench: &mut Bench<'_>, click: &Click) {
    match &click.hit {
        None => place(bench, click.photo),
        Some(hit) if no_obstacle(bench, hit, click.photo) => place(bench, click.photo),
        Some(hit) => {
            choose::choose(bench, hit);
            bench.session.screen.picking = unfinished(bench, hit);
        }
    }
}

/// What a click would place, for the magnifier.
pub(super) fn placing(bench: &Bench<'_>, under: Option<&Hit>) -> Option<String> {
    let picking = picking(bench);
    let at = bench.session.screen.pointer;
    if under.is_some_and(|hit| at.is_none_or(|at| !no_obstacle(bench, hit, at))) {
        return None;
    }
    let (name, index) = match picking {
        Some(hole) => (hole.name.clone(), hole.rim.len()),
        None => (bench.job()?.free_hole_name(), 0),
    };
    Some(format!("{name}, {} pick", ordinal(index)))
}

/// While a rim is being picked, holes, their flags and picks are no obstacle to the next pick, however small the hole is on the
/// screen; only a click right on one of its own picks means that pick.
fn no_obstacle(bench: &Bench<'_>, hit: &Hit, at: PhotoPoint) -> bool {
    let Some(own) = picking(bench) else { return false };
    match hit {
        Hit::Pick { hole, index } if *hole == own.id => {
            let zoom = bench.session.screen.look.zoom;
            own.rim.get(*index).is_none_or(|pick| pick.distance(at) * zoom > SAME_PICK)
        }
        Hit::Hole(_) | Hit::Pick { .. } | Hit::Point(_) => true,
        _ => false,
    }
}

/// The hole whose rim is being picked.
fn picking<'a>(bench: &'a Bench<'_>) -> Option<&'a Hole> {
    bench.job()?.hole(bench.session.screen.picking.as_ref()?)
}

/// The hole of `hit`, where it has too few picks for a rim: the next click goes on with it.
fn unfinished(bench: &Bench<'_>, hit: &Hit) -> Option<Id> {
    let (Hit::Hole(id) | Hit::Pick { hole: id, .. }) = hit else { return None };
    bench.job()?.hole(id).filter(|hole| hole.rim.len() < PICKS_OF_A_RIM).map(|hole| hole.id.clone())
}

fn place(bench: &mut Bench<'_>, at: PhotoPoint) {
    // A large hole may reach past the photo's edge.
    let Some(at) = bench.on_photo(at) else { return };
    let sigma_px = bench.pick_sigma_px();
    let Some(hole) = picking(bench).cloned() else {
        start(bench, at, sigma_px);
        return;
    };
    let index = hole.rim.len();
    let mut edits = vec![Edit::AddRimPick { hole: hole.id.clone(), at }];
    edits.extend(coarser_sigma(&hole, sigma_px));
    bench.edit(format!("place {}’s {} pick", hole.name, ordinal(index)), edits);
    let screen = &mut bench.session.screen;
    if index + 1 >= PICKS_OF_A_RIM {
        screen.picking = None;
        screen.begun = None;
        screen.chosen = Some(Chosen::Hole(hole.id));
    } else {
        screen.chosen = Some(Chosen::RimPick { hole: hole.id, index });
    }
}

fn start(bench: &mut Bench<'_>, at: PhotoPoint, sigma_px: f64) {
    let Some(job) = bench.job() else { return };
    let (id, name) = (job.free_id("h"), job.free_hole_name());
    let hole = Hole {
        id: id.clone(),
        name: name.clone(),
        rim: vec![at],
        sigma_px: Some(sigma_px),
        measure_rim: true,
        group: None,
        edge_break: false,
        keep: true,
    };
    bench.edit(format!("place {name}’s first pick"), vec![Edit::AddHole(hole)]);
    bench.session.screen.picking = Some(id.clone());
    bench.session.screen.begun = Some(id.clone());
    bench.session.screen.chosen = Some(Chosen::RimPick { hole: id, index: 0 });
}

/// A hole keeps the standard deviation of its worst pick: the edit that says so, where this one is worse.
pub(super) fn coarser_sigma(hole: &Hole, sigma_px: f64) -> Option<Edit> {
    let is_coarser = hole.sigma_px.is_none_or(|known| sigma_px > known);
    is_coarser.then(|| Edit::PickSigma { feature: hole.id.clone(), sigma_px: Some(sigma_px) })
}
