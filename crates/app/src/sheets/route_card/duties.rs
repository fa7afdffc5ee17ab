//! What the sheet is of, and what the part is to hold back: both decide what there is to bear in mind.

use super::labelled;
use crate::command::Command;
use crate::controls::{DropDown, check_box, say_in};
use crate::session::Session;
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::{Duty, Edit, Job, SheetMaterial, Stock};

/// What stands in the box while no material is chosen.
const NOT_SAID: &str = "unsaid";

/// What a duty is called beside its box.
fn words(duty: Duty) -> &'static str {
    match duty {
        Duty::Pressure => "Holds pressure",
        Duty::Vacuum => "Holds a vacuum",
        Duty::Fuel => "Holds fuel",
        Duty::Heat => "Stands heat",
        Duty::Guarding => "Guards a machine",
    }
}

/// The choice of material, and a box for each duty.
pub(super) fn settings(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let job = document.job();
    material(ui, job, commands);
    say_in(ui, Lettering::Body, theme::colours(ui).soft, "It is a safety part where it");
    for duty in Duty::ALL {
        let held = job.duties.contains(&duty);
        if check_box(ui, held, words(duty)).clicked() {
            let kept = |other: &Duty| if *other == duty { !held } else { job.duties.contains(other) };
            let after = Duty::ALL.into_iter().filter(kept).collect();
            commands.push(Command::Edit("say what it is to hold back".to_owned(), vec![Edit::DutiesAs(after)]));
        }
    }
}

fn material(ui: &mut Ui, job: &Job, commands: &mut Vec<Command>) {
    let stock = job.stock.unwrap_or_default();
    let words = |material: Option<SheetMaterial>| material.map_or(NOT_SAID, SheetMaterial::words);
    let (_, picked) = labelled(ui, "Sheet of", |ui, width| {
        let choices = std::iter::once(None).chain(SheetMaterial::ALL.map(Some));
        DropDown { name: "What the sheet is of", shown: words(stock.material), width }.show(
            ui,
            Some(&stock.material),
            choices.map(|choice| (choice, words(choice).to_owned())),
        )
    });
    if let Some(material) = picked {
        let edit = Edit::StockAs(Stock { material, ..stock });
        commands.push(Command::Edit("say what the sheet is of".to_owned(), vec![edit]));
    }
}
