//! Hands the theme to the window library, once.

use super::{Colours, Theme, Weight, font};
use egui::{Color32, CornerRadius, Stroke, Style, TextStyle, Visuals, style::WidgetVisuals};

/// Gives `ctx` the look of both themes; [`egui::Context::set_theme`] then chooses.
pub fn apply(ctx: &egui::Context) {
    for (theme, which) in [(Theme::Paper, egui::Theme::Light), (Theme::NightShift, egui::Theme::Dark)] {
        ctx.style_mut_of(which, |style| fill(style, theme));
    }
    // The table of commands has its own keys for that, and the settings keep it.
    ctx.options_mut(|options| options.zoom_with_keyboard = false);
    // What is measured on the photo is drawn where it is, not on whole pixels.
    ctx.tessellation_options_mut(|options| {
        options.round_line_segments_to_pixels = false;
        options.round_rects_to_pixels = false;
    });
}

fn fill(style: &mut Style, theme: Theme) {
    let c = theme.colours();
    style.text_styles = [
        (TextStyle::Heading, font(18.0, Weight::SemiBold)),
        (TextStyle::Body, font(13.5, Weight::Regular)),
        (TextStyle::Button, font(13.5, Weight::SemiBold)),
        (TextStyle::Monospace, font(13.5, Weight::Regular)),
        (TextStyle::Small, font(12.0, Weight::Regular)),
    ]
    .into();
    style.spacing.item_spacing = egui::vec2(8.0, 4.0);
    style.spacing.button_padding = egui::vec2(10.0, 3.0);
    style.spacing.interact_size.y = super::TARGET;
    style.visuals = visuals(c, theme == Theme::NightShift);
    style.animation_time = 0.12;
    style.interaction.selectable_labels = false;
}

fn visuals(c: &Colours, dark: bool) -> Visuals {
    let mut v = if dark { Visuals::dark() } else { Visuals::light() };
    v.override_text_color = Some(c.ink);
    v.panel_fill = c.paper;
    v.window_fill = c.paper;
    v.window_stroke = Stroke::new(2.0, c.ink);
    v.window_corner_radius = CornerRadius::same(3);
    v.window_shadow = egui::Shadow::NONE;
    v.popup_shadow = egui::Shadow::NONE;
    v.menu_corner_radius = CornerRadius::same(3);
    v.extreme_bg_color = c.sheet;
    v.faint_bg_color = c.tray;
    v.hyperlink_color = c.blue;
    v.warn_fg_color = c.caution;
    v.error_fg_color = c.disagree_text;
    v.selection.bg_fill = c.blue.gamma_multiply(0.28);
    v.selection.stroke = Stroke::new(2.0, c.blue);
    let state = |fill: Color32, edge: Color32, text: Color32| WidgetVisuals {
        bg_fill: fill,
        weak_bg_fill: fill,
        bg_stroke: Stroke::new(1.5, edge),
        corner_radius: CornerRadius::same(3),
        fg_stroke: Stroke::new(1.5, text),
        expansion: 0.0,
    };
    v.widgets.noninteractive = WidgetVisuals { bg_stroke: Stroke::new(1.0, c.rule), ..state(c.paper, c.rule, c.ink) };
    v.widgets.inactive = state(c.sheet, c.ink, c.ink);
    v.widgets.hovered = state(c.tray, c.ink, c.ink);
    v.widgets.active = state(c.ink, c.ink, c.paper);
    v.widgets.open = state(c.tray, c.ink, c.ink);
    v
}
