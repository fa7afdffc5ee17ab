//! Settings of operation 60: the sheet and the cutter.

use super::labelled;
use crate::command::Command;
use crate::controls::{say_in, switch};
use crate::session::Session;
use crate::sheets::figure_field::{Figure, taken};
use crate::sheets::figures::Lengths;
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::Edit;

pub(super) fn settings(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let stock = document.job().stock.unwrap_or_default();
    let mut after = stock;
    let lengths = Lengths::of(session);
    let rows: [(&str, Figure<'_>, &mut Option<f64>); 3] = [
        ("Sheet", Figure::length("Thickness of the sheet", stock.thickness_mm, lengths), &mut after.thickness_mm),
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
    say_in(ui, Lettering::Body, theme::colours(ui).soft, "Kerf is allowed for");
    let width = ui.available_width();
    let choices = [(false, "by the shop"), (true, "in the file")];
    if let Some(in_file) = switch(ui, "Kerf is allowed for", stock.kerf_in_file, &choices, width) {
        after.kerf_in_file = in_file;
    }
    super::duties::settings(ui, session, commands);
    if after != stock {
        commands.push(Command::Edit("say what sheet and cutter it is for".to_owned(), vec![Edit::StockAs(after)]));
    }
}
