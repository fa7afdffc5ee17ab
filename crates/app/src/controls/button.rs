//! Buttons: the main one of a sheet, those beside it, and quiet ones.

use super::icons::{self, Icon};
use super::text::one_line;
use crate::theme::{self, Colours, Lettering};
use egui::{Color32, Galley, Rect, Response, Role, Sense, Shape, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2, vec2};
use std::sync::Arc;

/// How much a button calls for attention.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Main,
    Rest,
    Quiet,
}

/// A button.
#[derive(Debug, Clone)]
pub struct Button<'a> {
    kind: Kind,
    words: &'a str,
    icon: Option<Icon>,
    key: Option<String>,
    waits: Option<&'a str>,
    name: Option<String>,
    width: Option<f32>,
    tall: bool,
    chosen: bool,
}

impl<'a> Button<'a> {
    fn of(kind: Kind, words: &'a str) -> Self {
        Self { kind, words, icon: None, key: None, waits: None, name: None, width: None, tall: false, chosen: false }
    }

    /// The one that Enter does.
    pub fn main(words: &'a str) -> Self {
        Self::of(Kind::Main, words)
    }

    /// One of the others.
    pub fn rest(words: &'a str) -> Self {
        Self::of(Kind::Rest, words)
    }

    /// One that keeps in the background.
    pub fn quiet(words: &'a str) -> Self {
        Self::of(Kind::Quiet, words)
    }

    /// With an icon before the words; without words, the icon alone.
    #[must_use]
    pub fn icon(mut self, icon: Icon) -> Self {
        self.icon = Some(icon);
        self
    }

    /// With its key after the words.
    #[must_use]
    pub fn key(mut self, key: Option<String>) -> Self {
        self.key = key;
        self
    }

    /// Not to be pressed now; the reason is its tool tip and part of its accessible name, and belongs beside it.
    #[must_use]
    pub fn waits(mut self, reason: Option<&'a str>) -> Self {
        self.waits = reason;
        self
    }

    /// With another accessible name than its words.
    #[must_use]
    pub fn name(mut self, name: impl Into<String>) -> Self {
        self.name = Some(name.into());
        self
    }

    /// As wide as this.
    #[must_use]
    pub fn width(mut self, width: f32) -> Self {
        self.width = Some(width);
        self
    }

    /// The large one of the start sheet.
    #[must_use]
    pub fn tall(mut self) -> Self {
        self.tall = true;
        self
    }

    /// One of a group, and the one that holds.
    #[must_use]
    pub fn chosen(mut self, chosen: bool) -> Self {
        self.chosen = chosen;
        self
    }

    /// How wide it is by itself, points.
    pub fn natural_width(&self, ui: &Ui) -> f32 {
        let (words, key) = self.text(ui);
        self.width.unwrap_or(self.inside_width(&words, key.as_deref()) + 2.0 * self.padding()).max(theme::TARGET)
    }

    fn padding(&self) -> f32 {
        if self.words.is_empty() { 6.0 } else { 11.0 }
    }

    fn text(&self, ui: &Ui) -> (Arc<Galley>, Option<Arc<Galley>>) {
        let lettering = if self.kind == Kind::Quiet { Lettering::Body } else { Lettering::Strong };
        let key = self
            .key
            .as_ref()
            .map(|key| ui.painter().layout_no_wrap(key.clone(), Lettering::Small.font(), Color32::PLACEHOLDER));
        let beside = 2.0 * self.padding() + self.beside_words(key.as_deref());
        (one_line(ui, self.words, lettering, Color32::PLACEHOLDER, beside), key)
    }

    /// Draws it; clicked when it was pressed.
    pub fn show(self, ui: &mut Ui) -> Response {
        let (words, key) = self.text(ui);
        let inside = self.inside_width(&words, key.as_deref());
        let height = if self.tall { theme::TALL_CONTROL_HEIGHT } else { theme::CONTROL_HEIGHT };
        let width = self.width.unwrap_or(inside + 2.0 * self.padding()).max(theme::TARGET);
        let sense = if self.waits.is_some() { Sense::hover() } else { Sense::click() };
        let (rect, response) = ui.allocate_exact_size(vec2(width, height), sense);
        if ui.is_rect_visible(rect) {
            self.paint(ui, rect, inside, &response, (words, key));
        }
        super::focus_ring(ui, &response, rect);
        let name = self.spoken_name();
        let (enabled, chosen) = (self.waits.is_none(), self.chosen);
        response.widget_info(|| {
            let info = WidgetInfo::labeled(Role::Button, enabled, &name);
            if chosen { WidgetInfo { selected: Some(true), ..info } } else { info }
        });
        response
    }

    fn spoken_name(&self) -> String {
        let name = self.name.clone().unwrap_or_else(|| self.words.to_owned());
        match self.waits {
            Some(reason) => format!("{name}, {reason}"),
            None => name,
        }
    }

    fn inside_width(&self, words: &Galley, key: Option<&Galley>) -> f32 {
        words.size().x + self.beside_words(key)
    }

    /// How wide icon and key are with what keeps them apart.
    fn beside_words(&self, key: Option<&Galley>) -> f32 {
        let icon = match (self.icon, self.words.is_empty()) {
            (Some(_), true) => theme::ICON,
            (Some(_), false) => theme::ICON + 6.0,
            (None, _) => 0.0,
        };
        icon + key.map_or(0.0, |key| key.size().x + 16.0)
    }

    fn paint(&self, ui: &Ui, rect: Rect, inside: f32, response: &Response, text: (Arc<Galley>, Option<Arc<Galley>>)) {
        let colours = theme::colours(ui);
        let (fill, edge, ink) = self.paints(colours, response);
        let painter = ui.painter();
        if self.waits.is_some() {
            let path = [rect.left_top(), rect.right_top(), rect.right_bottom(), rect.left_bottom(), rect.left_top()];
            painter.extend(Shape::dashed_line(&path, Stroke::new(1.0, colours.line), 4.0, 3.0));
        } else {
            painter.rect(rect, 3.0, fill, Stroke::new(theme::EDGE, edge), StrokeKind::Inside);
        }
        let pressed = if response.is_pointer_button_down_on() { 1.0 } else { 0.0 };
        let middle = rect.center().y + pressed;
        let mut left = rect.center().x - inside / 2.0;
        if let Some(icon) = self.icon {
            icons::paint(painter, icons::square(pos2(left + theme::ICON / 2.0, middle)), icon, ink);
            left += theme::ICON + 6.0;
        }
        let (words, key) = text;
        let size = words.size();
        painter.galley(pos2(left, middle - size.y / 2.0), words, ink);
        left += size.x + 8.0;
        if let Some(key) = key {
            let cap = Rect::from_min_size(pos2(left, middle - 9.0), vec2(key.size().x + 8.0, 18.0));
            painter.rect_stroke(cap, 3.0, Stroke::new(1.0, ink), StrokeKind::Inside);
            painter.galley(cap.center() - key.size() / 2.0, key, ink);
        }
    }

    /// Fill, edge and text by its state.
    fn paints(&self, colours: &Colours, response: &Response) -> (Color32, Color32, Color32) {
        let down = response.is_pointer_button_down_on();
        let over = response.hovered();
        if self.waits.is_some() {
            return (Color32::TRANSPARENT, colours.line, colours.soft);
        }
        if self.chosen {
            return (colours.ink, colours.ink, colours.paper);
        }
        match self.kind {
            Kind::Main if down => (colours.blue_pressed, colours.blue_pressed, colours.on_blue),
            Kind::Main if over => (colours.blue_hover, colours.blue_hover, colours.on_blue),
            Kind::Main => (colours.blue, colours.blue, colours.on_blue),
            _ if down => (colours.ink, colours.ink, colours.paper),
            kind => {
                let edge = if kind == Kind::Quiet { colours.line } else { colours.ink };
                (if over { colours.tray } else { colours.sheet }, edge, colours.ink)
            }
        }
    }
}

/// A key as it is printed beside what it does.
pub fn key_cap(ui: &mut Ui, key: &str) -> Response {
    let colours = theme::colours(ui);
    let galley = ui.painter().layout_no_wrap(key.to_owned(), Lettering::Small.font(), colours.ink);
    let (rect, response) = ui.allocate_exact_size(galley.size() + Vec2::new(10.0, 4.0), Sense::hover());
    ui.painter().rect(rect, 3.0, colours.sheet, Stroke::new(1.0, colours.line), StrokeKind::Inside);
    ui.painter().galley(rect.center() - galley.size() / 2.0, galley, colours.ink);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, key));
    response
}
