//! The photo, as shot and flat, and everything that is drawn and done on it.
//!
//! A frame goes: settle the look, compute the scene, lay the labels out, take the input, paint. Layers only paint;
//! operations only send commands and say what is chosen.

mod heat_map;
mod hit;
mod labels;
mod layers;
mod magnifier;
mod navigate;
mod operations;
mod picture;
mod reach;
mod rulers;
mod scene;
mod transform;
pub(crate) mod view_switch;

use crate::command::Command;
use crate::session::{Document, Operation, Session, View};
use egui::{CursorIcon, Painter, Rect, Role, Sense, Ui, WidgetInfo};
use heat_map::HeatMap;
use labels::{Directions, Labels, Layout};
use magnifier::Magnifier;
use navigate::Navigation;
pub(crate) use operations::enter_is_free;
use operations::{Bench, Hands};
use picture::Picture;
use scene::Scene;
use std::sync::Arc;
use transform::Transform;

/// What the canvas keeps between frames: the photo's tiles on the graphics card, and what is in hand.
#[derive(Debug, Default)]
pub struct Canvas {
    picture: Picture,
    magnifier: Magnifier,
    navigation: Navigation,
    hands: Hands,
    directions: Directions,
    fading: Fading,
    heat_map: HeatMap,
}

/// How long the view that is left stays visible while it fades, seconds.
const FADE_S: f64 = 0.12;

/// The view of the frame before, and the one that fades since the view was switched.
#[derive(Debug, Default)]
struct Fading {
    shown: Option<Transform>,
    left: Option<(Transform, f64)>,
}

/// All that one frame shows.
struct Frame {
    transform: Transform,
    scene: Scene,
    labels: Labels,
    magnifier: Option<Rect>,
    datum: Vec<layers::Arrow>,
}

impl Canvas {
    /// The photo is another one.
    pub fn forget_photo(&mut self) {
        self.picture.forget();
        self.magnifier.forget();
        self.navigation = Navigation::default();
        self.hands = Hands::default();
        self.directions.clear();
        self.fading = Fading::default();
        self.heat_map.forget();
    }

    /// Lets go of what is dragged, and takes no notice of the button until it is up; whether anything was dragged.
    pub fn drop_drag(&mut self) -> bool {
        self.hands.drop_drag()
    }

    /// Brings the mark out: the place of the keyboard on the photo.
    pub fn call_mark(&mut self) {
        self.hands.call_mark();
    }

    /// Zooms about the mark in the next frame; whether it is out.
    pub fn zoom_about_mark(&mut self, factor: f32) -> bool {
        self.hands.zoom_about_mark(factor)
    }

    /// Draws the photo and takes what is done on it.
    pub fn show(&mut self, ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
        egui::CentralPanel::no_frame().show(ui, |ui| self.show_inside(ui, session, commands));
    }

    fn show_inside(&mut self, ui: &Ui, session: &mut Session, commands: &mut Vec<Command>) {
        let Some(photo) = session.document.as_ref().map(|document| Arc::clone(&document.photo)) else { return };
        let whole = ui.max_rect();
        let solution = Arc::clone(&session.results.solution);
        let flat = session.screen.view == View::Flat && solution.map.is_some();
        let rect = if flat { rulers::beside(whole) } else { whole };
        if rect.width() < 1.0 || rect.height() < 1.0 {
            return;
        }
        let size = [photo.image.width(), photo.image.height()];
        self.navigation.settle(ui, session, rect, size);
        let transform =
            |session: &Session| Transform::new(rect, session.screen.look, session.screen.view, solution.map);
        let id = ui.scope_id().with("photo");
        // No focus for the photo as a whole: Tab goes to the things on it.
        let response = ui.interact(rect, id, Sense::CLICK | Sense::DRAG);
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, "Photo"));
        let panning = self.navigation.steer(ui, &response, session, &transform(session));
        let transform = transform(session);
        let Some(frame) = self.frame(ui, session, transform) else { return };
        self.paint(ui, session, &frame, &photo.image);
        let colours = session.settings.theme.colours();
        let scale_known = solution.fit.scale_known();
        rulers::paint(ui, whole, &transform, colours, session.screen.inches, scale_known);
        let mut bench = Bench { session, commands, transform: &transform, magnifier: &mut self.magnifier };
        self.hands.use_mark(ui, &response, &mut bench, &frame.scene, &frame.labels);
        let (by_key, focused) = reach::offer(ui, &frame.scene, &frame.labels, colours);
        let cursor = self.hands.work(ui, &response, &mut bench, &frame.scene, &frame.labels, panning);
        if let Some(hit) = by_key {
            operations::choose_by_key(&mut bench, &hit);
        }
        self.hands.nudge(ui, &mut bench, &frame.scene, focused.as_ref());
        self.hands.paint_mark(ui, &ui.painter_at(rect), rect, colours);
        if response.hovered() {
            ui.ctx().set_cursor_icon(if panning { CursorIcon::Grabbing } else { cursor });
        }
        view_switch::show(ui, rect, session, commands);
    }

    /// Draws the view that was left over the new one, less and less.
    fn paint_fading(&mut self, ui: &Ui, painter: &Painter, transform: &Transform) {
        let now = ui.input(|input| input.time);
        let before = self.fading.shown.replace(*transform);
        if let Some(before) = before.filter(|before| before.is_flat() != transform.is_flat()) {
            self.fading.left = (ui.style().animation_time > 0.0).then_some((before, now));
        }
        let Some((left, start)) = self.fading.left else { return };
        let share = (now - start) / FADE_S;
        if share >= 1.0 {
            self.fading.left = None;
            return;
        }
        let mut faint = painter.clone();
        faint.set_opacity(1.0 - share as f32);
        self.picture.paint(&faint, &left);
        ui.ctx().request_repaint();
    }

    fn frame(&mut self, ui: &Ui, session: &Session, transform: Transform) -> Option<Frame> {
        let document: &Document = session.document.as_ref()?;
        let mut scene = Scene::new(session, document, &transform);
        scene.heat = self.heat_map.seen(session, &transform);
        let now = ui.input(|input| input.time);
        let legend = labels::legend_rect(&scene, transform.rect);
        let magnifier = self.magnifier.place(&transform, &scene, legend, now);
        let painter = ui.painter_at(transform.rect);
        let with_datum = matches!(session.screen.operation, Operation::Measures | Operation::Cut);
        let datum = if with_datum { layers::datum_arrows(&transform, &scene) } else { Vec::new() };
        let covered = magnifier.into_iter().chain([view_switch::rect(transform.rect, session)]);
        let layout = Layout {
            painter: &painter,
            colours: session.settings.theme.colours(),
            view: transform.rect,
            covered: covered.chain(datum.iter().map(layers::Arrow::rect)).collect(),
        };
        let labels = Labels::new(&layout, &scene, session, &mut self.directions);
        Some(Frame { transform, scene, labels, magnifier, datum })
    }

    fn paint(&mut self, ui: &Ui, session: &Session, frame: &Frame, photo: &Arc<image::RgbImage>) {
        let Frame { transform, scene, labels, magnifier, datum } = frame;
        let painter = ui.painter_at(transform.rect);
        let colours = session.settings.theme.colours();
        let (view, operation) = (transform.rect, session.screen.operation);
        painter.rect_filled(view, 0.0, colours.tray);
        self.picture.put_up(ui.ctx(), photo, session.screen.look.centre);
        self.picture.paint(&painter, transform);
        self.paint_fading(ui, &painter, transform);
        layers::paint_heat_map(&painter, view, scene);
        if operation == Operation::Cut && session.document.is_some() {
            layers::paint_cut(&painter, transform, scene, &session.results.cut);
        } else {
            layers::paint_outlines(&painter, view, scene, operation == Operation::Outline);
            layers::paint_rims(&painter, view, &scene.features);
            layers::paint_asked(&painter, view, scene);
            if operation == Operation::Outline && session.document.is_some() {
                layers::paint_land(&painter, transform, &session.results.cut);
                layers::paint_added(&painter, transform, scene);
            }
        }
        layers::paint_on_edge(&painter, view, &scene.on_edge);
        layers::paint_edges(&painter, view, scene);
        layers::paint_dimensions(&painter, view, &scene.dimensions);
        layers::paint_ellipses(&painter, view, scene);
        layers::paint_datum(&painter, view, datum);
        layers::paint_offers(&painter, view, &scene.offers, colours);
        layers::paint_measured(&painter, view, &scene.measured);
        layers::paint_advice(&painter, transform, session);
        layers::paint_picks(&painter, view, &scene.picks);
        labels.paint(&painter, colours);
        self.navigation.paint(&painter, transform, ui.input(|input| input.time));
        if let Some(place) = magnifier {
            self.magnifier.paint(&painter, *place, transform, photo, (scene, &session.results.solution), colours);
        }
    }
}
