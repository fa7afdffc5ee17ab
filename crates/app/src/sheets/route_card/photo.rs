//! Settings of operation 10: the part's name, how the camera was held, what is believed of it.

use super::{camera, labelled};
use crate::command::Command;
use crate::controls::{DropDown, Field, say_in, typed_value};
use crate::session::Session;
use crate::sheets::figure_field::shortest;
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::{Edit, Held};

pub(super) fn settings(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    say_in(ui, Lettering::Body, theme::colours(ui).soft, "Part");
    let field = Field { name: "Name of the part", unit: "", hint: "its name", width: ui.available_width() };
    let title = typed_value(ui, ui.make_persistent_id("part-name"), &field, &document.job().title);
    if let Some(title) = title {
        commands.push(Command::Edit("name the part".to_owned(), vec![Edit::Title(title)]));
    }
    held(ui, session, commands);
    camera::focal(ui, session, commands);
    camera::lens(ui, session, commands);
    ui.add_space(4.0);
    let words = "What is said here holds two times in three, what is found 95 times in 100.";
    say_in(ui, Lettering::Small, theme::colours(ui).soft, words);
}

/// How square the camera was held, with what each way stands for.
fn held(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let now = document.job().photo.held;
    let words = |held: Held| {
        let way = match held {
            Held::ByEye => "by eye",
            Held::Levelled => "level",
            Held::Unknown => "unknown",
        };
        format!("{way} ±{}°", shortest(held.tilt_sigma_deg(), 1))
    };
    let (_, chosen) = labelled(ui, "Held", |ui, width| {
        let choices = [Held::ByEye, Held::Levelled, Held::Unknown].map(|held| (held, words(held)));
        let shown = DropDown { name: "Held square", shown: &words(now), width }.show(ui, Some(&now), choices);
        (shown.0.on_hover_text("How square to the face the camera was held."), shown.1)
    });
    if let Some(held) = chosen {
        commands.push(Command::Edit("say how the camera was held".to_owned(), vec![Edit::HeldAs(held)]));
    }
    if let Some(found) = session.results.solution.camera.map(|camera| camera.tilt_deg) {
        camera::found(ui, found, 1, "°");
    }
}
