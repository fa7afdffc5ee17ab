//! Arrow keys move what is chosen by a pixel, with Shift by a tenth, with Ctrl by a good step, in the direction seen on
//! screen. What was added lies on the plate, and moves along its axes by tenths and hundredths of a mm.

use super::grip::Grip;
use super::{Bench, Hands, edges};
use crate::adding::moved_to;
use crate::canvas::hit::Hit;
use crate::canvas::scene::Scene;
use crate::canvas::transform::Transform;
use crate::command::Command;
use crate::session::{Chosen, Operation};
use egui::{Event, Key, Ui, Vec2, vec2};
use platewright_core::job::{Id, LeverSide};
use platewright_core::space::{PhotoPoint, PlatePoint, PlateVec};
use std::time::Duration;

/// A pause of this length ends the step, seconds: what follows is another step for undo.
const PAUSE_S: f64 = 0.6;
/// A step with Shift, px.
const FINE_PX: f64 = 0.1;
/// A step with Ctrl, points: across the view in twenty.
const LARGE: f32 = 40.0;
/// A px of what lies on the plate, mm: its place is typed to this.
const ADDED_MM: f64 = 0.1;
/// The arrow keys with the directions that they mean on screen.
const ARROWS: [(Key, Vec2); 4] = [
    (Key::ArrowLeft, vec2(-1.0, 0.0)),
    (Key::ArrowRight, vec2(1.0, 0.0)),
    (Key::ArrowUp, vec2(0.0, -1.0)),
    (Key::ArrowDown, vec2(0.0, 1.0)),
];

/// The step in hand.
#[derive(Debug, Default)]
pub(super) struct Nudge {
    held: Option<(Grip, f64)>,
}

/// A press of an arrow key.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Step {
    /// Its direction on the screen, a point long.
    along: Vec2,
    length: Length,
}

/// How far a press goes.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Length {
    /// On the photo, px.
    Px(f64),
    /// On the screen, points.
    Points(f32),
}

impl Step {
    /// Where it leads to from a place of the photo.
    pub(super) fn from(self, transform: &Transform, at: PhotoPoint) -> PhotoPoint {
        let to = match self.length {
            Length::Px(length) => transform.photo_step(at, self.along).map(|step| at + step * length),
            Length::Points(length) => {
                let seen = transform.screen_from_photo(at);
                seen.and_then(|seen| transform.photo_from_screen(seen + self.along * length))
            }
        };
        to.filter(|to| to.is_finite()).unwrap_or(at)
    }

    /// Where it leads to from a place of the plate: along x or y, whichever lies nearer to the arrow, by whole tenths or
    /// hundredths of a mm.
    fn on_plate(self, transform: &Transform, at: PlatePoint) -> Option<PlatePoint> {
        let seen = transform.screen_from_plate(at)?;
        let ahead = (transform.plate_from_screen(seen + self.along)? - at).unit()?;
        let axis = if ahead.x.abs() >= ahead.y.abs() {
            PlateVec::new(ahead.x.signum(), 0.0)
        } else {
            PlateVec::new(0.0, ahead.y.signum())
        };
        let (length, grid) = match self.length {
            Length::Px(px) => (px * ADDED_MM, px * ADDED_MM),
            Length::Points(points) => {
                let there = transform.plate_from_screen(seen + self.along * points)?;
                ((there - at).length(), ADDED_MM)
            }
        };
        let whole = |mm: f64| (mm / grid).round() * grid;
        let to = at + axis * whole(length).max(grid);
        // Only the way that it moves: the other coordinate stays as it was typed.
        Some(if axis.x == 0.0 { PlatePoint::new(at.x, whole(to.y)) } else { PlatePoint::new(whole(to.x), at.y) })
    }
}

impl Hands {
    /// Takes the arrow keys for what the mark holds, for a lever that has the focus, or for what is chosen. `on_photo`:
    /// the focus is on a thing of the photo, and on which.
    pub(in crate::canvas) fn nudge(&mut self, ui: &Ui, bench: &mut Bench<'_>, scene: &Scene, on_photo: Option<&Hit>) {
        let now = ui.input(|input| input.time);
        let held_down = ui.input(|input| ARROWS.iter().any(|(key, _)| input.key_down(*key)));
        let by_mark = self.mark.held.clone();
        let free = by_mark.is_some() || on_photo.is_some() || ui.memory(|memory| memory.focused().is_none());
        let grip = by_mark.or_else(|| focused(bench, on_photo)).or_else(|| chosen(bench));
        if let Some((held, since)) = &self.nudge.held {
            let pause = now - since;
            // What the mark holds is one step until it is let go.
            if grip.as_ref() != Some(held) || (pause > PAUSE_S && !held_down && self.mark.held.is_none()) {
                self.nudge.held = None;
                bench.commands.push(Command::LetGo);
            } else {
                ui.ctx().request_repaint_after(Duration::from_secs_f64((PAUSE_S - pause).max(0.02)));
            }
        }
        let Some(grip) = grip.filter(|_| free && self.drag.is_none()) else { return };
        let Some(from) = place(bench, scene, &grip) else { return };
        let steps = steps(ui);
        let to = if let Grip::Added(id) = &grip {
            nudge_added(bench, &grip, id, &steps)
        } else {
            let to = steps.iter().fold(from, |at, step| step.from(bench.transform, at));
            (to != from).then(|| grip.move_to(bench, to)).map(|()| to)
        };
        if let Some(to) = to {
            let text = grip.says(bench);
            bench.magnifier.look_at(to, text, now);
            self.nudge.held = Some((grip, now));
        }
    }
}

/// Moves what was added; where it is then on the photo.
fn nudge_added(bench: &mut Bench<'_>, grip: &Grip, id: &Id, steps: &[Step]) -> Option<PhotoPoint> {
    let from = bench.session.held_place(id)?;
    let to = steps.iter().fold(from, |at, step| step.on_plate(bench.transform, at).unwrap_or(at));
    let edit = moved_to(bench.session, id, to).filter(|_| to != from)?;
    let name = grip.step_name(bench);
    bench.edit_in_hand(&name, edit);
    bench.session.results.solution.map?.photo_from_plate(to)
}

/// The presses of arrow keys in this frame.
pub(super) fn steps(ui: &Ui) -> Vec<Step> {
    ui.input(|input| {
        let pressed = input.events.iter().filter_map(|event| match event {
            Event::Key { key, pressed: true, modifiers, .. } if !modifiers.alt => {
                let (_, along) = ARROWS.iter().find(|(arrow, _)| arrow == key)?;
                let length = match (modifiers.command, modifiers.shift) {
                    (true, _) => Length::Points(LARGE),
                    (false, true) => Length::Px(FINE_PX),
                    (false, false) => Length::Px(1.0),
                };
                Some(Step { along: *along, length })
            }
            _ => None,
        });
        pressed.collect()
    })
}

/// The lever, or the handle of an arc, that has the focus: neither can be chosen, since its node is.
fn focused(bench: &Bench<'_>, hit: Option<&Hit>) -> Option<Grip> {
    match (bench.session.screen.operation, hit?.clone()) {
        (Operation::Outline, Hit::Lever { contour, index, side }) => Some(Grip::Lever { contour, index, side }),
        (Operation::Outline, Hit::Through { contour, index }) => Some(Grip::Through { contour, index }),
        _ => None,
    }
}

/// What is chosen, where the open operation moves it.
pub(super) fn chosen(bench: &Bench<'_>) -> Option<Grip> {
    let screen = &bench.session.screen;
    match (screen.operation, screen.chosen.clone()?) {
        (Operation::Holes, Chosen::RimPick { hole, index }) => Some(Grip::Pick { hole, index }),
        (Operation::Measures, Chosen::Point(id)) => Some(Grip::Point(id)),
        (Operation::Measures, Chosen::EdgePick { edge, index }) => Some(Grip::EdgePick { edge, index }),
        (Operation::Outline, Chosen::Node { contour, index }) => Some(Grip::Node { contour, index }),
        (Operation::Outline, Chosen::Added(id)) if bench.session.held_place(&id).is_some() => Some(Grip::Added(id)),
        _ => None,
    }
}

/// Where it is on the photo.
pub(super) fn place(bench: &Bench<'_>, scene: &Scene, grip: &Grip) -> Option<PhotoPoint> {
    let job = bench.job()?;
    match grip {
        Grip::Pick { hole, index } => job.hole(hole)?.rim.get(*index).copied(),
        Grip::Point(id) => job.points.iter().find(|point| point.id == *id).map(|point| point.at),
        Grip::EdgePick { edge, index } => edges::by_id(bench, edge)?.along.get(*index).copied(),
        Grip::Node { contour, index } => job.contour(contour)?.nodes.get(*index).map(|node| node.at),
        // A lever or a handle that was never set lies where it is drawn.
        Grip::Lever { contour, index, side } => {
            let node = job.contour(contour)?.nodes.get(*index)?;
            let set = match side {
                LeverSide::In => node.lever_in,
                LeverSide::Out => node.lever_out,
            };
            set.map_or_else(|| seen_at(bench, scene, grip), |lever| Some(node.at + lever))
        }
        Grip::Through { contour, index } => {
            let set = job.contour(contour)?.nodes.get(*index)?.through;
            set.or_else(|| seen_at(bench, scene, grip))
        }
        Grip::Added(_) => seen_at(bench, scene, grip),
        Grip::New => None,
    }
}

fn seen_at(bench: &Bench<'_>, scene: &Scene, grip: &Grip) -> Option<PhotoPoint> {
    bench.transform.photo_from_screen(grip.place(bench, scene)?)
}
