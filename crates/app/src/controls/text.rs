//! Text in the sizes and colours of the theme.

use crate::theme::{self, Lettering};
use egui::text::{LayoutJob, TextFormat, TextWrapping};
use egui::{Align, Align2, Color32, Galley, Label, Pos2, Response, RichText, Ui};
use std::sync::Arc;

/// No line of a control is cut off shorter than this, points.
const LEAST_LINE: f32 = 96.0;

/// `words` in ink.
pub fn say(ui: &mut Ui, lettering: Lettering, words: &str) -> Response {
    say_in(ui, lettering, theme::colours(ui).ink, words)
}

/// `words` in `colour`.
pub fn say_in(ui: &mut Ui, lettering: Lettering, colour: Color32, words: &str) -> Response {
    let text = RichText::new(words).font(lettering.font()).line_height(Some(lettering.line())).color(colour);
    ui.add(Label::new(text))
}

/// Several pieces of text in one flow.
pub fn mixed(pieces: &[(Lettering, Color32, &str)]) -> LayoutJob {
    let mut job = LayoutJob::default();
    for (lettering, colour, words) in pieces {
        let format = TextFormat {
            font_id: lettering.font(),
            color: *colour,
            line_height: Some(lettering.line()),
            valign: Align::Center,
            ..TextFormat::default()
        };
        job.append(words, 0.0, format);
    }
    job
}

/// `words` in one line, cut off with an ellipsis where a name in them is longer than the panel is wide
/// with `beside` points for what stands beside it.
pub(super) fn one_line(ui: &Ui, words: &str, lettering: Lettering, colour: Color32, beside: f32) -> Arc<Galley> {
    let mut job = LayoutJob::simple_singleline(words.to_owned(), lettering.font(), colour);
    let room = ui.max_rect().width().min(ui.clip_rect().width());
    job.wrap = TextWrapping::truncate_at_width((room - beside).max(LEAST_LINE));
    ui.painter().layout_job(job)
}

/// Draws `words` with their left or right end at `at` (by `align`), cut to nothing; for the columns of a table row,
/// whose accessible name says the same.
pub fn columns_text(ui: &Ui, at: Pos2, align: Align2, lettering: Lettering, colour: Color32, words: &str) {
    ui.painter().text(at, align, words, lettering.font(), colour);
}
