//! The head of a block: its name, a note at the right, a line under both.

use super::icons::{self, Icon};
use super::text::columns_text;
use crate::theme::{self, Lettering};
use egui::{Align2, Color32, Role, Sense, Stroke, Ui, Vec2, WidgetInfo};

/// The head of a block.
#[derive(Debug, Clone, Copy)]
pub struct Head<'a> {
    name: &'a str,
    note: &'a str,
    icon: Option<Icon>,
    colour: Option<Color32>,
    first: bool,
    explained: Option<&'a str>,
}

impl<'a> Head<'a> {
    /// A head with nothing but its name.
    pub fn new(name: &'a str) -> Self {
        Self { name, note: "", icon: None, colour: None, first: false, explained: None }
    }

    /// What the figures below are in, at the right.
    #[must_use]
    pub fn note(mut self, note: &'a str) -> Self {
        self.note = note;
        self
    }

    /// In another colour, with the icon that says the same.
    #[must_use]
    pub fn marked(mut self, icon: Icon, colour: Color32) -> Self {
        self.icon = Some(icon);
        self.colour = Some(colour);
        self
    }

    /// With what its words mean, where the pointer rests on it.
    #[must_use]
    pub fn explained(mut self, words: Option<&'a str>) -> Self {
        self.explained = words;
        self
    }

    /// At the top, without the space before.
    #[must_use]
    pub fn first(mut self) -> Self {
        self.first = true;
        self
    }

    /// Draws it.
    pub fn show(self, ui: &mut Ui) {
        let colours = theme::colours(ui);
        if !self.first {
            ui.add_space(theme::HEAD_GAP - ui.spacing().item_spacing.y);
        }
        let size = Vec2::new(ui.available_width(), theme::ROW + 2.0);
        let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
        let ink = self.colour.unwrap_or(colours.ink);
        let mut left = rect.left();
        if let Some(icon) = self.icon {
            icons::paint(ui.painter(), icons::square(egui::pos2(left + 8.0, rect.center().y - 1.0)), icon, ink);
            left += 22.0;
        }
        let middle = rect.center().y - 1.0;
        columns_text(ui, egui::pos2(left, middle), Align2::LEFT_CENTER, Lettering::Strong, ink, self.name);
        let end = egui::pos2(rect.right(), middle);
        columns_text(ui, end, Align2::RIGHT_CENTER, Lettering::Small, colours.soft, self.note);
        ui.painter().hline(rect.x_range(), rect.bottom() - 0.5, Stroke::new(1.0, ink));
        response
            .widget_info(|| WidgetInfo::labeled(Role::Heading, true, format!("{} {}", self.name, self.note).trim()));
        if let Some(words) = self.explained {
            response.on_hover_text(words);
        }
        ui.add_space(2.0);
    }
}
