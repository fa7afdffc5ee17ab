//! The mark: the place of the keyboard on the photo, as the pointer's place is that of the hand. Arrows move it, and
//! Space clicks where it lies, with all that a click there does. Shift Space takes hold of what the pointer could drag;
//! the arrows then move that, until Space lets it go. Ctrl Space pulls a lever out of a node.
//!
//! ## Invariants
//! - The mark and the pointer are never both on the photo: who moves the pointer there puts the mark away.
//! - It is out while it has the keyboard, and lies where it lay last, as long as that is in sight; else in the middle of
//!   the view.

use super::grip::Grip;
use super::nudge::{self, steps};
use super::{Bench, Hands, click};
use crate::canvas::labels::Labels;
use crate::canvas::layers::Lines;
use crate::canvas::reach::{hold_arrows, paint_focus};
use crate::canvas::scene::{Scene, length_figure};
use crate::canvas::{hit, navigate};
use crate::command::Command;
use crate::theme::{Colours, TARGET, on_photo};
use egui::{Context, Id, Key, Modifiers, Painter, Pos2, Rect, Response, Role, Sense, Ui, Vec2, WidgetInfo, vec2};
use platewright_core::space::PhotoPoint;
use platewright_core::units::format_figure;

/// The view follows where the mark comes nearer to its border than this, points.
const ROOM: f32 = 56.0;
/// Its strokes: from the place to their beginning and to their end, points. The place itself stays free.
const STROKE: [f32; 2] = [4.0, 22.0];

/// The mark between frames.
#[derive(Debug, Default)]
pub(super) struct Mark {
    /// Where it lies, or lay last.
    at: Option<PhotoPoint>,
    /// Where it is seen, while it is out.
    pub(super) seen: Option<Pos2>,
    /// What it holds.
    pub(super) held: Option<Grip>,
    /// It was called by its key, or has to keep the keyboard.
    called: bool,
    /// What the zoom is to be multiplied by, about the mark.
    zoom: Option<f32>,
    /// Where the pointer was in the last frame.
    pointer: Option<Pos2>,
}

/// The identity of the mark.
fn mark_id() -> Id {
    Id::unique("mark-on-the-photo")
}

/// Nothing has the keyboard, or only the mark, which has no use for Enter: the main button may have it.
pub(crate) fn enter_is_free(ctx: &Context) -> bool {
    ctx.memory(egui::Memory::focused).is_none_or(|focused| focused == mark_id())
}

/// What the keys mean for the mark in this frame.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Pressed {
    Click,
    Hold { pulls_lever: bool },
}

impl Hands {
    /// Brings the mark out, by its key.
    pub(in crate::canvas) fn call_mark(&mut self) {
        self.mark.called = true;
    }

    /// Zooms about the mark in the next frame; whether it is out.
    pub(in crate::canvas) fn zoom_about_mark(&mut self, factor: f32) -> bool {
        // Two presses in one frame count both.
        let so_far = self.mark.zoom.unwrap_or(1.0);
        self.mark.zoom = self.mark.seen.map(|_| so_far * factor);
        self.mark.zoom.is_some()
    }

    /// Offers the mark to the keyboard and takes what the keys do with it.
    pub(in crate::canvas) fn use_mark(
        &mut self,
        ui: &Ui,
        photo: &Response,
        bench: &mut Bench<'_>,
        scene: &Scene,
        labels: &Labels,
    ) {
        let id = mark_id();
        let Some(mut at) = self.mark.place(bench, scene) else { return };
        let rect = Rect::from_center_size(bench.seen(at), Vec2::splat(TARGET));
        let response = ui.interact(rect, id, Sense::focusable_noninteractive());
        let name = name(bench, at);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
        ui.ctx().accesskit_node_builder(id, |node| node.add_action(egui::accesskit::Action::Click));
        let by_reader = ui.input(|input| input.has_accesskit_action_request(id, egui::accesskit::Action::Click));
        let is_asked = bench.session.screen.asking.is_some();
        let called = !is_asked && (std::mem::take(&mut self.mark.called) || self.calls_by_arrow(ui, bench));
        if (called || by_reader) && !response.has_focus() {
            response.request_focus();
            ui.ctx().request_repaint();
        }
        let is_out = ui.memory(|memory| memory.has_focus(id)) && !is_asked;
        let pointer_works = self.mark.pointer_works(ui, photo);
        if !is_out || pointer_works {
            self.put_mark_away(ui, bench);
            return;
        }
        hold_arrows(ui, id);
        if self.mark.held.is_none() && !called {
            for step in steps(ui) {
                at = bench.kept_on_photo(step.from(bench.transform, at));
            }
        }
        let seen = bench.seen(at);
        (self.mark.at, self.mark.seen) = (Some(at), Some(seen));
        match self.mark.zoom.take() {
            Some(factor) => {
                let look = bench.session.screen.look;
                bench.session.screen.look = navigate::zoomed(look, bench.transform, factor.into(), seen);
            }
            None => follow(bench, seen),
        }
        match pressed(ui).or(by_reader.then_some(Pressed::Click)) {
            Some(_) if self.mark.held.is_some() => self.let_mark_go(bench),
            Some(Pressed::Click) => click(bench, scene, labels, seen, false),
            Some(Pressed::Hold { pulls_lever }) => self.take_hold(bench, scene, labels, seen, pulls_lever),
            None => {}
        }
    }

    /// An arrow brings the mark out while nothing has the keyboard and nothing is chosen that the arrows move.
    fn calls_by_arrow(&self, ui: &Ui, bench: &Bench<'_>) -> bool {
        let is_free = ui.memory(|memory| memory.focused().is_none()) && self.drag.is_none();
        is_free && nudge::chosen(bench).is_none() && !steps(ui).is_empty()
    }

    fn take_hold(&mut self, bench: &mut Bench<'_>, scene: &Scene, labels: &Labels, at: Pos2, pulls_lever: bool) {
        let hit = hit::at(at, scene, labels, bench.session.screen.operation);
        match Grip::take(bench, hit, pulls_lever).filter(|grip| !grip.is_new()) {
            Some(grip) => {
                let words = format!("The arrows {}; Space lets it go.", grip.step_name(bench));
                self.mark.held = Some(grip);
                bench.commands.push(Command::Say(words));
            }
            None => bench.commands.push(Command::Say("Nothing here can be moved. Space clicks on it.".to_owned())),
        }
    }

    fn let_mark_go(&mut self, bench: &mut Bench<'_>) {
        if self.mark.held.take().is_some() {
            self.nudge = nudge::Nudge::default();
            bench.commands.push(Command::LetGo);
            bench.commands.push(Command::Say("It is let go.".to_owned()));
        }
    }

    /// What the mark holds is put back; whether it held anything. The mark stays.
    pub(super) fn drop_mark_hold(&mut self) -> bool {
        let held = self.mark.held.take().is_some();
        if held {
            self.nudge = nudge::Nudge::default();
            self.mark.called = true;
        }
        held
    }

    fn put_mark_away(&mut self, ui: &Ui, bench: &mut Bench<'_>) {
        ui.memory_mut(|memory| memory.surrender_focus(mark_id()));
        (self.mark.seen, self.mark.zoom) = (None, None);
        self.let_mark_go(bench);
    }

    /// Draws the mark, while it is out: four strokes round the place, a square round them, and a dot where it holds
    /// something.
    pub(in crate::canvas) fn paint_mark(&self, ui: &Ui, painter: &Painter, view: Rect, colours: &Colours) {
        let Some(at) = self.mark.seen else { return };
        let mut lines = Lines::new(view);
        for along in [vec2(1.0, 0.0), vec2(0.0, 1.0), vec2(-1.0, 0.0), vec2(0.0, -1.0)] {
            lines.line(&STROKE.map(|away| at + along * away), 1.8, on_photo::LIGHT, 1.3);
        }
        if self.mark.held.is_some() {
            lines.disc(at, 3.0, on_photo::BRASS, 1.3);
        }
        lines.paint(painter);
        paint_focus(ui, Rect::from_center_size(at, Vec2::splat(TARGET)), colours);
    }
}

impl Mark {
    /// Where it lies: at what it holds, where it lay while that is in sight, else in the middle of the view.
    fn place(&mut self, bench: &Bench<'_>, scene: &Scene) -> Option<PhotoPoint> {
        if let Some(held) = &self.held {
            match nudge::place(bench, scene, held) {
                Some(at) => return Some(at),
                // It went with an undo.
                None => self.held = None,
            }
        }
        bench.job()?;
        let (transform, view) = (bench.transform, bench.transform.rect);
        let in_sight = |at: &PhotoPoint| transform.screen_from_photo(*at).is_some_and(|seen| view.contains(seen));
        let middle = bench.session.screen.look.centre;
        Some(bench.kept_on_photo(self.at.filter(in_sight).unwrap_or(middle)))
    }

    /// The pointer has moved on the photo since the last frame, or is pressed there.
    fn pointer_works(&mut self, ui: &Ui, photo: &Response) -> bool {
        let (now, is_down) = ui.input(|input| (input.pointer.latest_pos(), input.pointer.any_down()));
        let before = std::mem::replace(&mut self.pointer, now);
        photo.contains_pointer() && (is_down || now != before)
    }
}

impl Bench<'_> {
    /// Where a place is seen; the middle of the view where it is not.
    fn seen(&self, at: PhotoPoint) -> Pos2 {
        self.transform.screen_from_photo(at).unwrap_or(self.transform.rect.center())
    }

    /// The place, or the nearest one on the photo, to a hundredth of a px.
    fn kept_on_photo(&self, at: PhotoPoint) -> PhotoPoint {
        let [width, height] = self.job().map_or([1; 2], |job| job.photo.size).map(f64::from);
        let inside = |value: f64, side: f64| ((value * 100.0).round() / 100.0).clamp(-0.5, side - 0.5);
        PhotoPoint::new(inside(at.x, width), inside(at.y, height))
    }
}

fn pressed(ui: &Ui) -> Option<Pressed> {
    ui.input_mut(|input| {
        // A chord is also taken for the one without its Shift, so the plain key comes last.
        if input.consume_key(Modifiers::COMMAND, Key::Space) {
            Some(Pressed::Hold { pulls_lever: true })
        } else if input.consume_key(Modifiers::SHIFT, Key::Space) {
            Some(Pressed::Hold { pulls_lever: false })
        } else {
            input.consume_key(Modifiers::NONE, Key::Space).then_some(Pressed::Click)
        }
    })
}

/// Moves the view so far that there is room round the mark.
fn follow(bench: &mut Bench<'_>, seen: Pos2) {
    let view = bench.transform.rect;
    let inner = view.shrink(ROOM.min(view.size().min_elem() / 4.0));
    let by = seen.clamp(inner.min, inner.max) - seen;
    if by != Vec2::ZERO
        && let Some(look) = bench.transform.panned(by)
    {
        bench.session.screen.look = look;
    }
}

/// What the mark is called, with its place.
fn name(bench: &Bench<'_>, at: PhotoPoint) -> String {
    format!("The mark, {}", place_words(bench, at))
}

/// A place in words: on the plate once the size is known, else on the photo.
pub(super) fn place_words(bench: &Bench<'_>, at: PhotoPoint) -> String {
    let solution = &bench.session.results.solution;
    let plate = solution.map.filter(|_| solution.fit.scale_known()).and_then(|map| map.plate_from_photo(at));
    let inches = bench.session.screen.inches;
    match plate {
        Some(plate) => {
            let [x, y] = [plate.x, plate.y].map(|mm| length_figure(mm, inches));
            format!("x {x}, y {y} {}", if inches { "in" } else { "mm" })
        }
        None => format!("u {}, v {} px", format_figure(at.x, 1), format_figure(at.y, 1)),
    }
}
