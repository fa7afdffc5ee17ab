//! Operation 40: nodes round the part, joined by lines, arcs and curves.

use super::{Bench, Click, choose};
use crate::canvas::hit::Hit;
use crate::canvas::scene::Scene;
use crate::command::{Action, Command};
use crate::session::Chosen;
use platewright_core::job::{Contour, Edit, Id, Job, Node, NodeKind, Piece, Role};
use platewright_core::space::PhotoPoint;

/// So many nodes enclose something.
const NODES_OF_A_LOOP: usize = 3;

/// A click: on a node it chooses or closes, on a piece it inserts a node, beside everything it goes on tracing.
pub(super) fn click(bench: &mut Bench<'_>, scene: &Scene, click: &Click) {
    if bench.session.screen.proposing {
        bench.commands.push(Command::ProposeFrom(click.photo));
        return;
    }
    // A click beside a proposal is not meant to trace through it.
    if bench.session.screen.proposal.is_some() {
        return;
    }
    match &click.hit {
        Some(Hit::Node { contour, index: 0 }) if closes(bench, contour) => close(bench, contour.clone()),
        Some(hit @ Hit::Node { contour, index }) => {
            let node = Chosen::Node { contour: contour.clone(), index: *index };
            let was_chosen = bench.session.screen.chosen.as_ref() == Some(&node);
            choose::choose(bench, hit);
            if click.double && was_chosen {
                bench.commands.push(Command::Do(Action::CornerSmooth));
            }
        }
        Some(Hit::Piece { contour, index, .. }) => insert(bench, scene, contour, *index, click.photo),
        Some(
            hit @ (Hit::Lever { .. }
            | Hit::Through { .. }
            | Hit::GapBox
            | Hit::Offer(_)
            | Hit::Value(_)
            | Hit::Pick { .. }
            | Hit::EdgePick { .. }
            | Hit::Added(_)
            | Hit::Edge(_)),
        ) => choose::choose(bench, hit),
        Some(hit @ Hit::Hole(_)) if tracing(bench).is_none() => choose::choose(bench, hit),
        // Corners that were measured as points are corners of the outline too.
        Some(hit @ Hit::Point(_)) if !goes_on(bench) => choose::choose(bench, hit),
        Some(Hit::Hole(_) | Hit::Point(_)) | None => trace(bench, click.photo),
    }
}

/// What a click would place, for the magnifier.
pub(super) fn placing(bench: &Bench<'_>, under: Option<&Hit>) -> Option<String> {
    if bench.session.screen.proposing {
        return Some("the face to propose the outline of".to_owned());
    }
    if bench.session.screen.proposal.is_some() {
        return None;
    }
    let tracing = tracing(bench);
    match (under, tracing) {
        (Some(Hit::Piece { contour, index, .. }), _) => {
            let name = role_name(bench.job()?.contour(contour)?.role);
            Some(format!("a node between {} and {} of the {name}", index + 1, index + 2))
        }
        (None | Some(Hit::Hole(_) | Hit::Point(_)), Some(contour)) => {
            Some(format!("node {} of the {}", contour.nodes.len() + 1, role_name(contour.role)))
        }
        _ => None,
    }
}

/// What a contour of this role is called.
pub(super) fn role_name(role: Role) -> &'static str {
    if role == Role::Outer { "outline" } else { "opening" }
}

/// The contour that the next click gives a node.
fn tracing<'a>(bench: &'a Bench<'_>) -> Option<&'a Contour> {
    let id = bench.session.screen.tracing.as_ref()?;
    bench.job()?.contour(id).filter(|contour| !contour.closed)
}

/// A click beside everything places a node: something is open, or there is no outline yet.
fn goes_on(bench: &Bench<'_>) -> bool {
    let is_open = |contour: &Contour| !contour.closed;
    bench.job().is_some_and(|job| job.contours.is_empty() || job.contours.iter().any(is_open))
}

fn closes(bench: &Bench<'_>, contour: &Id) -> bool {
    tracing(bench).is_some_and(|traced| traced.id == *contour && traced.nodes.len() >= NODES_OF_A_LOOP)
}

fn close(bench: &mut Bench<'_>, contour: Id) {
    let role = bench.job().and_then(|job| job.contour(&contour)).map_or(Role::Outer, |contour| contour.role);
    bench.edit(format!("close the {}", role_name(role)), vec![Edit::CloseContour { contour, closed: true }]);
    bench.session.screen.tracing = None;
    bench.session.screen.chosen = None;
}

/// Goes on with the contour that is traced, else with an open one, else starts one.
fn trace(bench: &mut Bench<'_>, at: PhotoPoint) {
    let Some(job) = bench.job() else { return };
    let open = tracing(bench).or_else(|| job.contours.iter().find(|contour| !contour.closed));
    if !goes_on(bench) {
        let words = "The outline is closed. Drag its nodes, or press ‘New opening’ to trace an opening in the part.";
        bench.commands.push(Command::Say(words.to_owned()));
        bench.session.screen.chosen = None;
        return;
    }
    let node = Node::corner(at);
    let (id, index, name, edit) = if let Some(contour) = open {
        let (id, index) = (contour.id.clone(), contour.nodes.len());
        let name = format!("place node {} of the {}", index + 1, role_name(contour.role));
        (id.clone(), index, name, Edit::InsertNode { contour: id, index, node })
    } else {
        let contour = new_contour(job, node);
        let name = format!("start the {}", role_name(contour.role));
        (contour.id.clone(), 0, name, Edit::AddContour(contour))
    };
    bench.edit(name, vec![edit]);
    bench.session.screen.tracing = Some(id.clone());
    bench.session.screen.chosen = Some(Chosen::Node { contour: id, index });
}

fn new_contour(job: &Job, node: Node) -> Contour {
    let has_outer = job.contours.iter().any(|contour| contour.role == Role::Outer);
    let role = if has_outer { Role::Opening } else { Role::Outer };
    Contour { follow_edge: true, nodes: vec![node], ..Contour::new(job.free_id("c"), role) }
}

/// Puts a node into a piece. An arc is split into two that keep its course.
fn insert(bench: &mut Bench<'_>, scene: &Scene, contour: &Id, index: usize, at: PhotoPoint) {
    let Some(found) = bench.job().and_then(|job| job.contour(contour)) else { return };
    let Some((piece, as_drawn)) = found.nodes.get(index).map(|node| (node.next, node.as_drawn)) else { return };
    let name = format!("put a node into the {}", role_name(found.role));
    let kind = if piece == Piece::Line { NodeKind::Corner } else { NodeKind::Smooth };
    let mut node = Node { kind, next: piece, as_drawn, ..Node::corner(at) };
    let mut edits = Vec::new();
    if piece == Piece::Arc {
        let halves = halves(bench, scene, contour, index, at);
        node.through = halves.and_then(|[_, second]| second);
        let through = halves.and_then(|[first, _]| first);
        edits.push(Edit::ArcThrough { contour: contour.clone(), index, through });
    }
    edits.push(Edit::InsertNode { contour: contour.clone(), index: index + 1, node });
    bench.edit(name, edits);
    bench.session.screen.chosen = Some(Chosen::Node { contour: contour.clone(), index: index + 1 });
}

/// The places half way along a piece before and after `at`.
fn halves(
    bench: &Bench<'_>,
    scene: &Scene,
    contour: &Id,
    index: usize,
    at: PhotoPoint,
) -> Option<[Option<PhotoPoint>; 2]> {
    let outline = scene.outlines.iter().find(|outline| outline.id == *contour)?;
    let piece = outline.pieces.get(index)?;
    let at = bench.transform.screen_from_photo(at)?;
    let distance = |&index: &usize| piece[index].distance(at);
    let split = (0..piece.len()).min_by(|a, b| distance(a).total_cmp(&distance(b)))?;
    let photo = |index: usize| piece.get(index).and_then(|&place| bench.transform.photo_from_screen(place));
    Some([photo(split / 2), photo(usize::midpoint(split, piece.len()))])
}
