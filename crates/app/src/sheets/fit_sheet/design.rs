//! What is added to the part: where it lies, and how far off it can be.

use super::{note, rows, table_head};
use crate::session::{Chosen, Session};
use crate::sheets::figures::{DASH, Lengths};
use crate::sheets::places;
use crate::sheets::verdict::area_words;
use crate::theme::{self, Lettering};
use egui::{Align2, Ui};
use platewright_core::job::Added;
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
    let design = &document.job().design;
    if design.is_as_seen() || !session.results.solution.fit.scale_known() {
        return;
    }
    let side = if design.mirrored { "from the other side" } else { "as seen" };
    let Some(outline) = session.results.cut.outline() else { return };
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
    let not_placed = job.added.iter().filter(|added| solution.added.iter().all(|fit| fit.id != added.id));
    let not_placed: Vec<String> = not_placed.map(no_place_words).collect();
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
    for words in not_placed {
        note(ui, &words);
    }
}

/// Why it has no place.
fn no_place_words(added: &Added) -> String {
    let name = added.shown_name();
    match added.rests_on().next() {
        Some(_) => format!("{name} has no place: what it is placed from is not found."),
        None => format!("{name} has no place yet: it lies by coordinates, and too few holes are found to count from."),
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

#[cfg(test)]
mod tests {
    use super::*;
    use platewright_core::job::{AddedKind, Offset, Placed};
    use platewright_core::space::{PlatePoint, PlateVec};

    #[test]
    fn what_has_no_place_says_why() {
        let offset = Offset { from: "h1".into(), by_mm: PlateVec::default() };
        let beside = Added::new("a1".into(), AddedKind::Hole, Placed::Offset(offset));
        assert_eq!(no_place_words(&beside), "A1 has no place: what it is placed from is not found.");
        let at = Added { at_mm: Some(PlatePoint::default()), placed: None, ..beside };
        let words = "A1 has no place yet: it lies by coordinates, and too few holes are found to count from.";
        assert_eq!(no_place_words(&at), words);
    }
}
