//! Operation 30: the features of a measure are clicked, then its value is typed.

use super::{Bench, Click, choose};
use crate::canvas::hit::Hit;
use crate::command::{Action, Command};
use crate::session::{Chosen, MeasureDraft};
use platewright_core::job::{Edit, Id, Job, MeasureKind, NamedPoint};
use platewright_core::space::PhotoPoint;

/// A click: a feature goes into the draft, a value is chosen; where points are measured, a new point is placed.
pub(super) fn click(bench: &mut Bench<'_>, click: &Click) {
    match &click.hit {
        Some(Hit::Hole(id) | Hit::Point(id)) => take_feature(bench, id.clone()),
        Some(hit) => choose::choose(bench, hit),
        None if takes_points(bench) => place_point(bench, click.photo),
        None => {
            bench.session.screen.chosen = None;
            if click.double {
                bench.commands.push(Command::Do(Action::FitView));
            }
        }
    }
}

/// What a click would place, for the magnifier.
pub(super) fn placing(bench: &Bench<'_>, under: Option<&Hit>) -> Option<String> {
    (under.is_none() && takes_points(bench)).then(|| Some(free_name(bench.job()?))).flatten()
}

/// A measure between points is being taken.
pub(super) fn takes_points(bench: &Bench<'_>) -> bool {
    let screen = &bench.session.screen;
    screen.draft.as_ref().map_or(screen.kind, |draft| draft.kind) == MeasureKind::Points
}

/// Puts a feature into the draft, or takes it out again; with the last one the value can be typed.
pub(super) fn take_feature(bench: &mut Bench<'_>, id: Id) {
    let Some(job) = bench.job() else { return };
    let is_hole = job.hole(&id).is_some();
    let kind = bench.session.screen.draft.as_ref().map(|draft| draft.kind);
    if let Some(problem) = kind.and_then(|kind| refusal(kind, is_hole)) {
        bench.commands.push(Command::Say(problem.to_owned()));
        return;
    }
    let usual = match (is_hole, bench.session.screen.kind) {
        (false, _) => MeasureKind::Points,
        (true, MeasureKind::Points) => MeasureKind::FarRims,
        (true, kind) => kind,
    };
    let screen = &mut bench.session.screen;
    screen.chosen = Some(if is_hole { Chosen::Hole(id.clone()) } else { Chosen::Point(id.clone()) });
    let draft = screen.draft.get_or_insert_with(|| MeasureDraft::new(usual));
    draft.problem = None;
    if let Some(at) = draft.between.iter().position(|other| *other == id) {
        draft.between.remove(at);
        return;
    }
    if draft.between.len() >= draft.needs() {
        draft.between.clear();
        draft.text.clear();
    }
    draft.between.push(id);
    draft.focus = draft.between.len() == draft.needs();
    // Where the sheet is a drawer, its field has to be seen to be typed in.
    screen.drawer_open |= draft.focus;
}

/// Why a measure of `kind` does not take such a feature.
fn refusal(kind: MeasureKind, is_hole: bool) -> Option<&'static str> {
    match (kind, is_hole) {
        (MeasureKind::Points, true) => Some("This measure lies between points. Click a point, or choose far rims."),
        (MeasureKind::Points, false) | (_, true) => None,
        (_, false) => Some("This measure lies between holes. Click a hole, or choose points."),
    }
}

fn place_point(bench: &mut Bench<'_>, at: PhotoPoint) {
    let sigma_px = bench.pick_sigma_px();
    let Some(job) = bench.job() else { return };
    let (id, name) = (job.free_id("p"), free_name(job));
    let point = NamedPoint { id: id.clone(), name: name.clone(), at, sigma_px: Some(sigma_px) };
    bench.edit(format!("place {name}"), vec![Edit::AddPoint(point)]);
    take_feature(bench, id);
}

/// `P1`, or the first number after it that no point has.
fn free_name(job: &Job) -> String {
    let taken = |name: &String| job.points.iter().any(|point| point.name == *name);
    (1..=job.points.len() + 1).map(|number| format!("P{number}")).find(|name| !taken(name)).unwrap_or_default()
}
