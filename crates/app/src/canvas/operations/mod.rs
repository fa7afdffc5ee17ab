//! What clicks, drags and arrow keys do: one handler per operation. They send commands and say what is chosen; nothing
//! here changes the job.

mod choose;
mod design;
mod edges;
mod grip;
mod holes;
mod mark;
mod measures;
mod nudge;
mod outline;
#[cfg(test)]
mod tests;

use super::hit::{self, Hit};
use super::labels::Labels;
use super::magnifier::Magnifier;
use super::scene::{MeasuredPoint, Scene};
use super::transform::Transform;
use crate::command::Command;
use crate::session::{Operation, Session};
use egui::{CursorIcon, PointerButton, Pos2, Response, Ui, Vec2};
use grip::Grip;
use mark::Mark;
pub(crate) use mark::enter_is_free;
use nudge::Nudge;
use platewright_core::job::{Edit, Job};
use platewright_core::space::PhotoPoint;

/// A drag shorter than this was meant as a click, points.
const MEANT_AS_CLICK: f32 = 4.0;

/// What handlers work with.
pub(super) struct Bench<'a> {
    pub(super) session: &'a mut Session,
    pub(super) commands: &'a mut Vec<Command>,
    pub(super) transform: &'a Transform,
    pub(super) magnifier: &'a mut Magnifier,
}

impl Bench<'_> {
    /// The job; `None` in an empty window, where there is nothing to do.
    fn job(&self) -> Option<&Job> {
        Some(self.session.document.as_ref()?.job())
    }

    fn edit(&mut self, name: String, edits: Vec<Edit>) {
        self.commands.push(Command::Edit(name, edits));
    }

    fn edit_in_hand(&mut self, name: &str, edit: Edit) {
        self.commands.push(Command::EditInHand(name.to_owned(), edit));
    }

    /// The place to a hundredth of a px, where it is on the photo: nothing is placed beside it, nothing finer can be
    /// pointed at, and the job stays legible.
    fn on_photo(&self, at: PhotoPoint) -> Option<PhotoPoint> {
        let [width, height] = self.job()?.photo.size.map(f64::from);
        let inside = |value: f64, side: f64| (-0.5..=side - 0.5).contains(&value);
        let hundredths = |value: f64| (value * 100.0).round() / 100.0;
        (inside(at.x, width) && inside(at.y, height)).then(|| PhotoPoint::new(hundredths(at.x), hundredths(at.y)))
    }

    /// Standard deviation of a pick at this zoom, px.
    fn pick_sigma_px(&self) -> f64 {
        crate::session::pick_sigma_px(self.session.screen.look.zoom)
    }
}

/// A click on the photo.
struct Click {
    /// The place on the photo.
    photo: PhotoPoint,
    /// What is there.
    hit: Option<Hit>,
    /// It is the second of two.
    double: bool,
}

/// How near a measured point the pointer must be to ask about it, points.
const GRAB_MEASURED: f32 = 5.0;

/// The measured point that the pointer asks about.
fn measured_at(scene: &Scene, at: Pos2) -> Option<&MeasuredPoint> {
    let near = scene.measured.iter().filter(|point| point.at.distance(at) < GRAB_MEASURED);
    near.min_by(|a, b| a.at.distance(at).total_cmp(&b.at.distance(at)))
}

/// What is held between frames.
#[derive(Debug, Default)]
pub(super) struct Hands {
    drag: Option<Drag>,
    nudge: Nudge,
    mark: Mark,
    /// The drag was dropped, and its button is still down.
    is_dropped: bool,
}

/// A drag under way.
#[derive(Debug)]
struct Drag {
    grip: Grip,
    /// From the pointer to the thing that is held.
    offset: Vec2,
    /// Where it began.
    origin: Pos2,
    /// Where the thing was in the last frame.
    last: Option<Pos2>,
}

impl Hands {
    /// Takes what the pointer does. The cursor that says what a click would do.
    pub(super) fn work(
        &mut self,
        ui: &Ui,
        response: &Response,
        bench: &mut Bench<'_>,
        scene: &Scene,
        labels: &Labels,
        panning: bool,
    ) -> CursorIcon {
        let operation = bench.session.screen.operation;
        let (hover, now) = ui.input(|input| (input.pointer.hover_pos(), input.time));
        let over = self.mark.seen.or(hover.filter(|_| response.contains_pointer()));
        let photo = over.and_then(|at| bench.transform.photo_from_screen(at)).and_then(|at| bench.on_photo(at));
        bench.session.screen.pointer = photo;
        if panning {
            self.let_go(bench);
            return CursorIcon::Grabbing;
        }
        if !self.is_dropped {
            self.drag(ui, response, bench, scene, labels, now);
        }
        let was_dropped = self.is_dropped;
        self.is_dropped &= response.is_pointer_button_down_on();
        if !was_dropped
            && response.clicked_by(PointerButton::Primary)
            && let Some(at) = response.interact_pointer_pos()
        {
            let double = response.double_clicked_by(PointerButton::Primary);
            click(bench, scene, labels, at, double);
        }
        let under = over.and_then(|at| hit::at(at, scene, labels, operation));
        if self.drag.is_none()
            && let Some(photo) = bench.session.screen.pointer
            && let Some(text) = placing(bench, under.as_ref())
        {
            bench.magnifier.look_at(photo, text, now);
        } else if self.drag.is_none()
            && let Some(point) = over.and_then(|at| measured_at(scene, at))
        {
            bench.magnifier.look_at(point.photo, point.says(), now);
        } else if self.mark.seen.is_some()
            && let Some(photo) = bench.session.screen.pointer
        {
            let held = self.mark.held.as_ref().map(|grip| grip.says(bench));
            let text = held.unwrap_or_else(|| mark::place_words(bench, photo));
            bench.magnifier.look_at(photo, text, now);
        }
        let places = match operation {
            Operation::Holes | Operation::Outline => true,
            Operation::Measures => bench.session.places().is_some(),
            Operation::Photo | Operation::Proof | Operation::Cut => false,
        };
        cursor(self.drag.is_some(), places, under.as_ref())
    }

    fn drag(&mut self, ui: &Ui, response: &Response, bench: &mut Bench<'_>, scene: &Scene, labels: &Labels, now: f64) {
        let (origin, alt) = ui.input(|input| (input.pointer.press_origin(), input.modifiers.alt));
        if response.drag_started_by(PointerButton::Primary)
            && let Some(origin) = origin
        {
            let hit = hit::at(origin, scene, labels, bench.session.screen.operation);
            self.drag = Grip::take(bench, hit, alt).map(|grip| {
                let held = grip.place(bench, scene).unwrap_or(origin);
                Drag { grip, offset: held - origin, origin, last: None }
            });
        }
        let Some(drag) = &mut self.drag else { return };
        if let Some(pointer) = response.interact_pointer_pos() {
            let to = pointer + drag.offset;
            let is_far = pointer.distance(drag.origin) >= MEANT_AS_CLICK || drag.last.is_some();
            if is_far && drag.last != Some(to) {
                drag.last = Some(to);
                drag.grip.pull(bench, to);
            }
            if let Some(photo) = bench.transform.photo_from_screen(to) {
                let text = drag.grip.says(bench);
                bench.magnifier.look_at(photo, text, now);
            }
        }
        if response.drag_stopped_by(PointerButton::Primary) || !response.is_pointer_button_down_on() {
            let drag = self.drag.take();
            bench.commands.push(Command::LetGo);
            // A press that did not move was a slow click; a new point goes where it was let go.
            let place = drag.filter(|drag| drag.last.is_none() || drag.grip.is_new());
            if let Some(drag) = place {
                click(bench, scene, labels, drag.last.unwrap_or(drag.origin), false);
            }
        }
    }

    /// Lets go of what is held without doing anything with it; whether anything was.
    pub(super) fn drop_drag(&mut self) -> bool {
        self.is_dropped = self.drag.take().is_some();
        self.drop_mark_hold() || self.is_dropped
    }

    /// Puts down what is held, where it is.
    fn let_go(&mut self, bench: &mut Bench<'_>) {
        if self.drag.take().is_some() {
            bench.commands.push(Command::LetGo);
        }
    }
}

/// What a click does is decided by the operation.
fn click(bench: &mut Bench<'_>, scene: &Scene, labels: &Labels, at: Pos2, double: bool) {
    let operation = bench.session.screen.operation;
    let Some(photo) = bench.transform.photo_from_screen(at) else { return };
    let on_photo = bench.on_photo(photo);
    let click = Click { photo: on_photo.unwrap_or(photo), hit: hit::at(at, scene, labels, operation), double };
    if let Some(Hit::Offer(index)) = click.hit {
        bench.session.screen.tick_offer(index);
        return;
    }
    let is_beside = click.hit.is_none() && on_photo.is_none();
    match operation {
        _ if is_beside => choose::click(bench, &click),
        Operation::Holes => holes::click(bench, &click),
        Operation::Measures => measures::click(bench, &click),
        Operation::Outline if design::click(bench, &click) => {}
        Operation::Outline => outline::click(bench, scene, &click),
        Operation::Photo | Operation::Proof | Operation::Cut => choose::click(bench, &click),
    }
}

/// Chooses what the keyboard asked for, as a click on it would.
pub(super) fn choose_by_key(bench: &mut Bench<'_>, hit: &Hit) {
    match (bench.session.screen.operation, hit) {
        (Operation::Outline, Hit::Hole(id) | Hit::Point(id) | Hit::Added(id))
            if bench.session.screen.adding.is_some() =>
        {
            measures::told(bench, |session| session.take_base(id));
        }
        (Operation::Measures, Hit::Hole(id) | Hit::Point(id) | Hit::Edge(id)) => measures::take_feature(bench, id),
        _ => choose::choose(bench, hit),
    }
}

/// What a click would place, for the magnifier; `None` where it would place nothing.
fn placing(bench: &Bench<'_>, under: Option<&Hit>) -> Option<String> {
    match bench.session.screen.operation {
        Operation::Holes => holes::placing(bench, under),
        Operation::Measures => measures::placing(bench, under),
        Operation::Outline => design::placing(bench, under).or_else(|| outline::placing(bench, under)),
        Operation::Photo | Operation::Proof | Operation::Cut => None,
    }
}

fn cursor(holding: bool, places: bool, under: Option<&Hit>) -> CursorIcon {
    match under {
        _ if holding => CursorIcon::Crosshair,
        Some(Hit::Hole(_) | Hit::Added(_) | Hit::Offer(_) | Hit::Edge(_) | Hit::Value(_) | Hit::GapBox) => {
            CursorIcon::PointingHand
        }
        Some(Hit::Piece { .. }) => CursorIcon::Copy,
        Some(
            Hit::Pick { .. }
            | Hit::EdgePick { .. }
            | Hit::Point(_)
            | Hit::Node { .. }
            | Hit::Lever { .. }
            | Hit::Through { .. },
        ) => CursorIcon::Move,
        None if places => CursorIcon::Crosshair,
        None => CursorIcon::Default,
    }
}
