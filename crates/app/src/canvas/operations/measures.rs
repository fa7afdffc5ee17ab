//! Operation 30: the features of a measure, or of what is said, are clicked; points and edges are placed.

use super::{Bench, Click, choose, edges};
use crate::canvas::hit::Hit;
use crate::command::{Action, Command};
use crate::session::{Session, Sort};
use platewright_core::job::{Edit, Id, Job, NamedPoint};
use platewright_core::space::PhotoPoint;

/// A click: a feature goes into the draft, a value is chosen; beside everything a point or a pick is placed.
pub(super) fn click(bench: &mut Bench<'_>, click: &Click) {
    if edges::in_hand(bench).is_some() {
        edges::click(bench, click);
        return;
    }
    match &click.hit {
        Some(Hit::Hole(id) | Hit::Point(id) | Hit::Edge(id)) => take_feature(bench, id),
        Some(hit) => {
            choose::choose(bench, hit);
            bench.session.screen.picking_edge = edges::unfinished(bench, hit);
        }
        None => match bench.session.places() {
            Some(Sort::Point) => place_point(bench, click.photo),
            Some(Sort::Edge) => edges::start(bench, click.photo),
            Some(Sort::Hole) | None => {
                bench.session.screen.chosen = None;
                if click.double {
                    bench.commands.push(Command::Do(Action::FitView));
                }
            }
        },
    }
}

/// What a click would place, for the magnifier.
pub(super) fn placing(bench: &Bench<'_>, under: Option<&Hit>) -> Option<String> {
    match bench.session.places()? {
        Sort::Edge => edges::placing(bench, under),
        Sort::Point if under.is_none() => Some(free_name(bench.job()?)),
        Sort::Point | Sort::Hole => None,
    }
}

/// Puts a feature into what is being taken, or takes it out again; with the last one its figure can be typed.
pub(super) fn take_feature(bench: &mut Bench<'_>, id: &Id) {
    told(bench, |session| session.take_feature(id));
}

/// Does something to what is being taken; why not is said in the status line.
pub(super) fn told(bench: &mut Bench<'_>, act: impl FnOnce(&mut Session) -> Result<(), String>) {
    if let Err(problem) = act(bench.session) {
        bench.commands.push(Command::Say(problem));
    }
}

fn place_point(bench: &mut Bench<'_>, at: PhotoPoint) {
    let sigma_px = bench.pick_sigma_px();
    let Some(job) = bench.job() else { return };
    let (id, name) = (job.free_id("p"), free_name(job));
    let point = NamedPoint { id: id.clone(), name: name.clone(), at, sigma_px: Some(sigma_px) };
    bench.commands.push(Command::Edit(format!("place {name}"), vec![Edit::AddPoint(point)]));
    bench.commands.push(Command::Take(id));
}

/// `P1`, or the first number after it that no point has.
fn free_name(job: &Job) -> String {
    let taken = |name: &String| job.points.iter().any(|point| point.name == *name);
    (1..=job.points.len() + 1).map(|number| format!("P{number}")).find(|name| !taken(name)).unwrap_or_default()
}
