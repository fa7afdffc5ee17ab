//! What will be written, on paper: the very pages that go into the file, on the tray where the photo lies otherwise.
//!
//! Pages are made when what they follow from has changed, and painted item by item; nothing is added to them here.

mod look;
mod made;
mod paint;

use crate::canvas::view_switch;
use crate::command::Command;
use crate::session::Session;
use crate::theme::{self, Lettering};
use egui::{Align2, Key, Rect, Role, Sense, Ui, WidgetInfo, vec2};
use look::PaperLook;
use made::Made;
use paint::Textures;

/// Over the pages, points: the switch between paper and photo, and what is shown.
const HEAD: f32 = 50.0;

/// What the preview keeps between frames.
#[derive(Debug, Default)]
pub struct Preview {
    made: Made,
    look: PaperLook,
    /// Sizes of the pages that are looked at, mm.
    sizes: Vec<[f64; 2]>,
    textures: Textures,
    /// What was painted last, and what it was painted of: the same again is painted as it is.
    painted: Option<(Painted, Vec<paint::Drawn>)>,
}

/// What painted pages follow from.
#[derive(Debug, Clone, PartialEq)]
struct Painted {
    version: u64,
    places: Vec<Rect>,
    field: Rect,
    theme: theme::Theme,
    scale: f32,
}

impl Preview {
    /// Draws the pages and takes what is done to the view.
    pub fn show(&mut self, ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
        egui::CentralPanel::no_frame().show(ui, |ui| self.show_inside(ui, session, commands));
    }

    fn show_inside(&mut self, ui: &Ui, session: &mut Session, commands: &mut Vec<Command>) {
        let whole = ui.max_rect();
        let colours = session.settings.theme.colours();
        let painter = ui.painter_at(whole);
        painter.rect_filled(whole, 0.0, colours.tray);
        let field = Rect::from_min_max(whole.min + vec2(0.0, HEAD), whole.max);
        if field.height() < 1.0 || field.width() < 1.0 {
            return;
        }
        let export = session.screen.export();
        let version = self.made.refresh(session);
        session.screen.shown_bars = self.made.bars.or(session.screen.shown_bars);
        let pages = match self.made.pages() {
            Ok(pages) => pages,
            Err(why) => {
                say_in_the_middle(ui, whole, why);
                view_switch::show(ui, whole, session, commands);
                return;
            }
        };
        let response = ui.interact(field, ui.scope_id().with("paper"), Sense::CLICK | Sense::DRAG);
        let name = format!("Preview of {}, {}", export.called(), pages_in_words(pages.len()));
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
        let sizes: Vec<[f64; 2]> = pages.iter().map(|page| page.size_mm).collect();
        if self.sizes != sizes {
            // Other pages are seen whole first.
            self.look = PaperLook::default();
            self.sizes.clone_from(&sizes);
        }
        self.look.steer(ui, &response, session, field, &sizes);
        let places = self.look.places(field, &sizes);
        let from =
            Painted { version, places, field, theme: session.settings.theme, scale: ui.ctx().pixels_per_point() };
        if self.painted.as_ref().is_none_or(|(of, _)| *of != from) {
            let mut desk = paint::Desk::new(ui.ctx(), field, colours, &mut self.textures);
            for (page, rect) in pages.iter().zip(&from.places).filter(|(_, rect)| rect.intersects(field)) {
                desk.page(page, *rect);
            }
            let drawn = desk.finish();
            self.painted = Some((from, drawn));
        }
        self.painted.iter().flat_map(|(_, drawn)| drawn).for_each(|drawn| drawn.paint(&painter));
        let head = format!("{}, {}", export.words(), pages_in_words(pages.len()));
        let at = egui::pos2(view_switch::rect(whole, session).right() + 18.0, whole.top() + HEAD / 2.0);
        painter.text(at, Align2::LEFT_CENTER, head, Lettering::Strong.font(), colours.ink);
        view_switch::show(ui, whole, session, commands);
        if response.double_clicked() || ui.input(|input| input.key_pressed(Key::Home)) {
            session.screen.fit_pending = true;
        }
    }
}

fn pages_in_words(n: usize) -> String {
    if n == 1 { "1 page".to_owned() } else { format!("{n} pages") }
}

/// Why there is nothing to show.
fn say_in_the_middle(ui: &Ui, whole: Rect, why: &str) {
    let colours = theme::colours(ui);
    let room = (whole.width() - 80.0).clamp(100.0, 420.0);
    let galley = ui.painter().layout(why.to_owned(), Lettering::Body.font(), colours.ink, room);
    let at = whole.center() - galley.size() / 2.0;
    ui.painter().galley(at, galley, colours.ink);
    let response = ui.interact(whole, ui.scope_id().with("no paper"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, why));
}
