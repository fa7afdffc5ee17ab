//! Settings of operation 50: the paper, and what a printed plate is made to.

use super::labelled;
use crate::controls::check_box;
use crate::session::Session;
use egui::{ComboBox, Ui};
use platewright_core::paper::Paper;

pub(super) fn settings(ui: &mut Ui, session: &mut Session) {
    let mut after = session.settings.proof.clone();
    let now = after.paper;
    labelled(ui, "Paper", |ui, width| {
        let combo = ComboBox::from_id_salt("paper").width(width).selected_text(words(now));
        let shown = combo.show_ui(ui, |ui| {
            for paper in Paper::ALL {
                if ui.selectable_label(paper == now, words(paper)).clicked() {
                    after.paper = paper;
                }
            }
        });
        shown.response.accessible_name("Paper")
    });
    for (ticked, words) in [(&mut after.grid, "Grid 10 mm"), (&mut after.centre_crosses, "Centre crosses")] {
        if check_box(ui, *ticked, words).clicked() {
            *ticked = !*ticked;
        }
    }
    if after != session.settings.proof {
        session.settings.proof = after;
    }
}

fn words(paper: Paper) -> String {
    let [wide, high] = paper.size_mm();
    format!("{}, {wide:.0} × {high:.0}", paper.name())
}
