//! What is added to the part: where it lies, and how far off it can be.

use super::{note, rows, table_head};
use crate::session::{Chosen, Session};
use crate::sheets::figures::{DASH, Lengths};
use crate::sheets::places;
use crate::sheets::verdict::area_words;
use crate::theme::{self, Lettering};
use egui::{Align2, Ui};
use platewright_core::export::CutDrawing;
use platewright_core::solution::AddedFit;
use platewright_core::tolerance::K95_PLACE;
use std::sync::Arc;

/// The columns X, Y, dia. and ± end at these shares of the width.
const ENDS: [f32; 4] = [0.38, 0.6, 0.81, 1.0];

/// What is added, and the part as it is cut where that is not the part as it is seen.
pub(super) fn show(ui: &mut Ui, session: &mut Session) {
    table(ui, session);
    as_cut(ui, session);
}

/// The outline with its land, and what of the sheet is left.
fn as_cut(ui: &mut Ui, session: &Session) {
    let Some(document) = &session.document else { return };
    let (job, solution) = (document.job(), &session.results.solution);
    let design = &job.design;
    if design.is_as_seen() || !solution.fit.scale_known() {
        return;
    }
    let side = if design.mirrored { "from the other side" } else { "as seen" };
    let cut = CutDrawing::as_seen(job, solution);
    let Some(outline) = cut.outline() else { return };
    table_head(ui, "As cut", side);
    let lengths = Lengths::of(session);
    rows::pair(ui, "Round the part", &lengths.with_unit(outline.contour.length_mm()));
    rows::pair(ui, "Area inside", &area_words(outline.contour.signed_area_mm2().abs(), lengths));
}

fn table(ui: &mut Ui, session: &mut Session) {
    let Some(document) = &session.document else { return };
    let job = document.job();
    if job.added.is_empty() {
        return;
    }
    let lengths = Lengths::of(session);
    let solution = Arc::clone(&session.results.solution);
    let not_placed: Vec<String> = job
        .added
        .iter()
        .filter(|added| solution.added.iter().all(|fit| fit.id != added.id))
        .map(platewright_core::job::Added::shown_name)
        .collect();
    table_head(ui, "Added", &format!("{}, ± is 95 %", lengths.unit()));
    if !solution.fit.scale_known() {
        note(ui, "Where it lies is known once a measure sets the scale.");
        return;
    }
    let width = ui.available_width();
    let heads = ["X", "Y", "dia.", "±"].iter().zip(ENDS);
    let heads: Vec<_> = heads.map(|(words, share)| (*words, share * width, Align2::RIGHT_CENTER)).collect();
    rows::column_heads(ui, &heads);
    for fit in &solution.added {
        if row(ui, session, fit, lengths) {
            places::show(session, &fit.id);
        }
    }
    for name in not_placed {
        note(ui, &format!("{name} has no place: what it is placed from is not found."));
    }
}

fn row(ui: &mut Ui, session: &Session, fit: &AddedFit, lengths: Lengths) -> bool {
    let colours = theme::colours(ui);
    let chosen = session.screen.chosen == Some(Chosen::Added(fit.id.clone()));
    let off = lengths.plus_minus(fit.ellipse.major_mm * K95_PLACE);
    let diameter = fit.diameter_mm.map_or_else(|| DASH.to_owned(), |mm| lengths.figure(mm));
    let texts = [lengths.figure(fit.at.x), lengths.figure(fit.at.y), diameter, off];
    let spoken = format!("{}: X {}, Y {}, dia. {}, {}", fit.name, texts[0], texts[1], texts[2], texts[3]);
    let row = rows::clickable(ui, &spoken, chosen);
    rows::left(ui, row.rect, 0.0, if chosen { Lettering::Strong } else { Lettering::Body }, colours.ink, &fit.name);
    let width = row.rect.width();
    for (text, share) in texts.iter().zip(ENDS) {
        rows::right(ui, row.rect, share * width, Lettering::Body, colours.ink, text);
    }
    row.response.clicked()
}
