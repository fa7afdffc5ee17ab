//! Settings of operation 50: the paper, and what a printed plate is made to.

use super::labelled;
use crate::controls::{DropDown, check_box};
use crate::exports::{Export, ProofSettings};
use crate::session::Session;
use crate::sheets::figure_field::{Figure, shortest, taken};
use crate::sheets::figures::Lengths;
use egui::Ui;
use platewright_core::export::{HOLE_ALLOWANCE_MM, PLATE_THICKNESS_MM, PlateOptions, SHRINK_PERCENT};
use platewright_core::paper::Paper;

pub(super) fn settings(ui: &mut Ui, session: &mut Session) {
    let mut after = session.settings.proof.clone();
    if matches!(session.screen.export(), Export::Plate(_)) {
        plate(ui, session, &mut after);
    } else {
        paper(ui, &mut after);
    }
    if after != session.settings.proof {
        session.settings.proof = after;
    }
}

/// The paper of the proof, and what is printed on it besides.
fn paper(ui: &mut Ui, after: &mut ProofSettings) {
    let now = after.paper;
    labelled(ui, "Paper", |ui, width| {
        let choices = Paper::ALL.map(|paper| (paper, words(paper).to_owned()));
        let (_, picked) = DropDown { name: "Paper", shown: now.name(), width }.show(ui, Some(&now), choices);
        after.paper = picked.unwrap_or(now);
    });
    for (ticked, words) in [(&mut after.grid, "Grid 10 mm"), (&mut after.centre_crosses, "Centre crosses")] {
        if check_box(ui, *ticked, words).clicked() {
            *ticked = !*ticked;
        }
    }
}

/// What a printed plate is made to; what is not typed is as usual.
fn plate(ui: &mut Ui, session: &Session, after: &mut ProofSettings) {
    let Some(document) = &session.document else { return };
    let usual = PlateOptions::usual(document.job().stock.and_then(|stock| stock.thickness_mm));
    let lengths = Lengths::of(session);
    let hints =
        [shortest(usual.thickness_mm, 2), shortest(usual.shrink_percent, 2), shortest(usual.hole_allowance_mm, 2)];
    let thick = Figure::length("Thickness of the plate", after.plate_mm, lengths);
    let shrink = Figure::number("The plastic shrinks by", after.shrink_percent, 2, "%").or_zero();
    let holes = Figure::length("Holes come out smaller by", after.hole_allowance_mm, lengths).or_zero();
    let rows = [
        ("Plate", thick, &mut after.plate_mm, PLATE_THICKNESS_MM),
        ("Shrinks", shrink, &mut after.shrink_percent, SHRINK_PERCENT),
        ("Holes +", holes, &mut after.hole_allowance_mm, HOLE_ALLOWANCE_MM),
    ];
    for ((label, figure, value, range), hint) in rows.into_iter().zip(&hints) {
        let figure = figure.hint(hint).between(*range.start(), *range.end());
        let reading = labelled(ui, label, |ui, width| figure.width(width).show(ui));
        if let Some(typed) = taken(ui, reading) {
            *value = typed.number();
        }
    }
}

fn words(paper: Paper) -> String {
    let [wide, high] = paper.size_mm();
    format!("{}, {wide:.0} × {high:.0}", paper.name())
}
