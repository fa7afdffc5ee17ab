//! Arrow keys move what is chosen by a pixel, with Shift by a tenth, in the direction seen on screen.

use super::grip::Grip;
use super::{Bench, Hands, edges};
use crate::command::Command;
use crate::session::{Chosen, Operation};
use egui::{Event, Key, Ui, Vec2, vec2};
use platewright_core::space::PhotoPoint;
use std::time::Duration;

/// A pause of this length ends the step, seconds: what follows is another step for undo.
const PAUSE_S: f64 = 0.6;
/// A step with Shift, px.
const FINE_PX: f64 = 0.1;
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

impl Hands {
    /// Takes the arrow keys. `on_photo`: the focus is on a thing of the photo.
    pub(in crate::canvas) fn nudge(&mut self, ui: &Ui, bench: &mut Bench<'_>, on_photo: bool) {
        let now = ui.input(|input| input.time);
        let held_down = ui.input(|input| ARROWS.iter().any(|(key, _)| input.key_down(*key)));
        let grip = chosen(bench);
        if let Some((held, since)) = &self.nudge.held {
            let pause = now - since;
            if grip.as_ref() != Some(held) || (pause > PAUSE_S && !held_down) {
                self.nudge.held = None;
                bench.commands.push(Command::LetGo);
            } else {
                ui.ctx().request_repaint_after(Duration::from_secs_f64((PAUSE_S - pause).max(0.02)));
            }
        }
        let free = on_photo || ui.memory(|memory| memory.focused().is_none());
        let Some(grip) = grip.filter(|_| free && self.drag.is_none()) else { return };
        let Some(from) = place(bench, &grip) else { return };
        let to = arrows(ui).into_iter().fold(from, |at, (along, length)| {
            bench.transform.photo_step(at, along).map_or(at, |step| at + step * length)
        });
        if to != from {
            grip.move_to(bench, to);
            let text = grip.says(bench);
            bench.magnifier.look_at(to, text, now);
            self.nudge.held = Some((grip, now));
        }
    }
}

/// The presses of arrow keys in this frame, as directions on screen and lengths in px.
fn arrows(ui: &Ui) -> Vec<(Vec2, f64)> {
    ui.input(|input| {
        let pressed = input.events.iter().filter_map(|event| match event {
            Event::Key { key, pressed: true, modifiers, .. } if !modifiers.command && !modifiers.alt => {
                let (_, along) = ARROWS.iter().find(|(arrow, _)| arrow == key)?;
                Some((*along, if modifiers.shift { FINE_PX } else { 1.0 }))
            }
            _ => None,
        });
        pressed.collect()
    })
}

/// What is chosen, where the open operation moves it.
fn chosen(bench: &Bench<'_>) -> Option<Grip> {
    let screen = &bench.session.screen;
    match (screen.operation, screen.chosen.clone()?) {
        (Operation::Holes, Chosen::RimPick { hole, index }) => Some(Grip::Pick { hole, index }),
        (Operation::Measures, Chosen::Point(id)) => Some(Grip::Point(id)),
        (Operation::Measures, Chosen::EdgePick { edge, index }) => Some(Grip::EdgePick { edge, index }),
        (Operation::Outline, Chosen::Node { contour, index }) => Some(Grip::Node { contour, index }),
        _ => None,
    }
}

/// Where it is on the photo.
fn place(bench: &Bench<'_>, grip: &Grip) -> Option<PhotoPoint> {
    let job = bench.job()?;
    match grip {
        Grip::Pick { hole, index } => job.hole(hole)?.rim.get(*index).copied(),
        Grip::Point(id) => job.points.iter().find(|point| point.id == *id).map(|point| point.at),
        Grip::EdgePick { edge, index } => edges::by_id(bench, edge)?.along.get(*index).copied(),
        Grip::Node { contour, index } => job.contour(contour)?.nodes.get(*index).map(|node| node.at),
        Grip::Lever { .. } | Grip::Through { .. } | Grip::New => None,
    }
}
