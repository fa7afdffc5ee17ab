//! Settings of operation 60: the sheet and the cutter.

use super::{Figure, Typed, labelled};
use crate::command::Command;
use crate::controls::{say_in, switch};
use crate::session::Session;
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::{Edit, Stock};

const NOTHING_SAID: Stock = Stock { thickness_mm: None, kerf_mm: None, kerf_in_file: false, cut_tolerance_mm: None };

pub(super) fn settings(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let stock = document.job().stock.unwrap_or(NOTHING_SAID);
    let mut after = stock;
    let rows: [(&str, &str, &mut Option<f64>); 3] = [
        ("Sheet", "Thickness of the sheet", &mut after.thickness_mm),
        ("Kerf", "Width of the cut", &mut after.kerf_mm),
        ("Cuts to", "The cutter cuts to", &mut after.cut_tolerance_mm),
    ];
    for (label, name, value) in rows {
        let unit = if label == "Cuts to" { "± mm" } else { "mm" };
        let figure_of = |width| Figure { name, value: *value, decimals: 3, unit, hint: "unsaid", width };
        let typed = labelled(ui, label, |ui, width| figure_of(width).show(ui, commands));
        match typed {
            Some(Typed::Number(mm)) if mm < 0.0 => {
                commands.push(Command::Say(format!("{name} cannot be less than 0.")));
            }
            Some(typed) => *value = typed.number(),
            None => {}
        }
    }
    say_in(ui, Lettering::Body, theme::colours(ui).soft, "Kerf is allowed for");
    let width = ui.available_width();
    let choices = [(false, "by the shop"), (true, "in the file")];
    if let Some(in_file) = switch(ui, "Kerf is allowed for", stock.kerf_in_file, &choices, width) {
        after.kerf_in_file = in_file;
    }
    if after != stock {
        commands.push(Command::Edit("say what sheet and cutter it is for".to_owned(), vec![Edit::StockAs(after)]));
    }
}
