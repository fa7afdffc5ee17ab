//! Settings of operation 60: the sheet, the cutter, how many are cut, and the file's unit.

use super::labelled;
use crate::command::Command;
use crate::controls::{say_in, switch};
use crate::session::Session;
use crate::sheets::figure_field::{Figure, Typed, taken};
use crate::sheets::figures::Lengths;
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::{Edit, FileUnit, MOST_COPIES, Stock};

pub(super) fn settings(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let stock = document.job().stock.unwrap_or_default();
    let mut after = stock;
    let lengths = Lengths::of(session);
    let rows: [(&str, Figure<'_>, &mut Option<f64>); 3] = [
        ("Thick", Figure::length("Thickness of the sheet", stock.thickness_mm, lengths), &mut after.thickness_mm),
        ("Kerf", Figure::length("Width of the cut", stock.kerf_mm, lengths).or_zero(), &mut after.kerf_mm),
        (
            "Cuts to",
            Figure::allowance("The cutter cuts to", stock.cut_tolerance_mm, lengths).or_zero(),
            &mut after.cut_tolerance_mm,
        ),
    ];
    for (label, figure, value) in rows {
        let reading = labelled(ui, label, |ui, width| figure.hint("unsaid").width(width).show(ui));
        if let Some(typed) = taken(ui, reading) {
            *value = typed.number();
        }
    }
    if document.job().design.mirrored {
        let words = "Cut from the other side: the file is mirrored, Y is turned round.";
        say_in(ui, Lettering::Small, theme::colours(ui).soft, words);
    }
    let width = ui.available_width();
    say_in(ui, Lettering::Body, theme::colours(ui).soft, "Kerf is allowed for");
    let choices = [(false, "by the shop"), (true, "in the file")];
    if let Some(in_file) = switch(ui, "Kerf is allowed for", stock.kerf_in_file, &choices, width) {
        after.kerf_in_file = in_file;
    }
    copies(ui, &stock, &mut after, lengths);
    say_in(ui, Lettering::Body, theme::colours(ui).soft, "The file is in");
    let units = FileUnit::ALL.map(|unit| (unit, unit.words()));
    if let Some(unit) = switch(ui, "The file is in", stock.unit, &units, width) {
        after.unit = unit;
    }
    super::duties::settings(ui, session, commands);
    if after != stock {
        commands.push(Command::Edit("say what sheet and cutter it is for".to_owned(), vec![Edit::StockAs(after)]));
    }
}

/// How many, and what sheet they are cut from.
fn copies(ui: &mut Ui, stock: &Stock, after: &mut Stock, lengths: Lengths) {
    let figure = Figure::number("How many are cut", stock.copies.map(f64::from), 0, "off").hint("1");
    let figure = figure.whole().between(1.0, f64::from(MOST_COPIES));
    let reading = labelled(ui, "Copies", |ui, width| figure.width(width).show(ui));
    if let Some(typed) = taken(ui, reading) {
        after.copies = typed.number().map(|n| n as u32);
    }
    let [wide, high] = stock.sheet_mm.map_or([None; 2], |sides| sides.map(Some));
    let sides = [("Size X", "Width of the sheet", wide, 0), ("Size Y", "Height of the sheet", high, 1)];
    for (label, name, value, k) in sides {
        let figure = Figure::length(name, value, lengths).hint("any");
        let reading = labelled(ui, label, |ui, width| figure.width(width).show(ui));
        match taken(ui, reading) {
            // The other side is the same until it is typed: a sheet has two.
            Some(Typed::Number(mm)) => {
                let mut sides = after.sheet_mm.unwrap_or([mm; 2]);
                sides[k] = mm;
                after.sheet_mm = Some(sides);
            }
            Some(Typed::Nothing) => after.sheet_mm = None,
            None => {}
        }
    }
    if stock.copy_count() > 1 {
        let figure = Figure::length("Between copies", stock.gap_mm, lengths).or_zero().hint("5");
        let reading = labelled(ui, "Between", |ui, width| figure.width(width).show(ui));
        if let Some(typed) = taken(ui, reading) {
            after.gap_mm = typed.number();
        }
    }
}
