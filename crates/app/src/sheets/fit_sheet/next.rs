//! The measures that would help most, with what each would bring.

use super::rows;
use crate::controls::{Head, Icon};
use crate::session::{MeasureDraft, Operation, Session, Sort};
use crate::sheets::figures::{Lengths, between_words};
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::Job;
use platewright_core::solution::NextMeasure;
use platewright_core::tolerance::K95_PLACE;

/// So many are shown.
const SHOWN: usize = 3;

/// The rows; a click starts typing.
pub(super) fn show(ui: &mut Ui, session: &mut Session) {
    let Some(document) = &session.document else { return };
    let job = document.job();
    let colours = theme::colours(ui);
    let lengths = Lengths::of(session);
    let known = session.results.solution.fit.scale_known();
    let solution = std::sync::Arc::clone(&session.results.solution);
    let in_hand = session.screen.draft.as_ref();
    let others = |next: &&NextMeasure| in_hand.is_none_or(|d| d.kind != next.kind || d.between != next.between);
    let rows_to_show: Vec<&NextMeasure> = solution.measure_next.iter().filter(others).take(SHOWN).collect();
    if rows_to_show.is_empty() {
        return;
    }
    let note =
        if known { format!("worst hole, {}, 95 %", lengths.unit()) } else { "the first sets the scale".to_owned() };
    Head::new("Measure next").note(&note).marked(Icon::NotKnown, colours.unknown_text).show(ui);
    let mut picked = None;
    for next in rows_to_show {
        if row(ui, job, next, known.then_some(lengths)) {
            picked = Some(next.clone());
        }
    }
    if let Some(next) = picked {
        let chosen = next.between.first().and_then(|id| Some(Sort::of(job, id)?.chosen(id.clone())));
        session.screen.operation = Operation::Measures;
        session.screen.chosen = chosen;
        session.screen.stating = None;
        session.screen.picking_edge = None;
        session.screen.draft =
            Some(MeasureDraft { between: next.between, focus: true, ..MeasureDraft::new(next.kind) });
    }
}

fn row(ui: &mut Ui, job: &Job, next: &NextMeasure, lengths: Option<Lengths>) -> bool {
    let colours = theme::colours(ui);
    let place = between_words(job, &next.between);
    let kind = next.kind.words();
    let gain = lengths.map(|lengths| {
        let before = lengths.plus_minus(next.worst_sigma_before_mm * K95_PLACE);
        (before, lengths.plus_minus(next.worst_sigma_after_mm * K95_PLACE))
    });
    let spoken = match &gain {
        Some((before, after)) => format!("Measure next: {place}, {kind}, worst hole {before} becomes {after}"),
        None => format!("Measure next: {place}, {kind}"),
    };
    let row = rows::clickable(ui, &spoken, false);
    rows::left(ui, row.rect, 0.0, Lettering::Strong, colours.unknown_text, &place);
    rows::left(ui, row.rect, 92.0, Lettering::Body, colours.soft, kind);
    if let Some((before, after)) = gain {
        let width = row.rect.width();
        rows::right(ui, row.rect, width, Lettering::Strong, colours.ink, &after);
        // Inches have one digit more.
        let room = if after.chars().count() > 5 { 54.0 } else { 46.0 };
        rows::right(ui, row.rect, width - room, Lettering::Body, colours.soft, &format!("{before} →"));
    }
    row.response.clicked()
}
