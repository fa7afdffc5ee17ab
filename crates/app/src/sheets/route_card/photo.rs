//! Settings of operation 10: the part's name, how the camera was held, what is believed of its focal length.

use super::{Figure, Typed};
use crate::command::Command;
use crate::controls::{Field, link, say_in, switch, typed_value};
use crate::session::Session;
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::{Belief, Edit, Held};
use platewright_core::units::format_figure;

/// How far off a focal length is taken to be where only its value was typed, as a share of it.
const TYPED_SHARE: f64 = 0.03;

pub(super) fn settings(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let job = document.job();
    say_in(ui, Lettering::Body, theme::colours(ui).soft, "Part");
    let field = Field { name: "Name of the part", unit: "", hint: "its name", width: ui.available_width() };
    let title = typed_value(ui, ui.make_persistent_id("part-name"), &field, &job.title);
    if let Some(title) = title {
        commands.push(Command::Edit("name the part".to_owned(), vec![Edit::Title(title)]));
    }
    say_in(ui, Lettering::Body, theme::colours(ui).soft, "Held square");
    let choices = [(Held::ByEye, "by eye"), (Held::Levelled, "level"), (Held::Unknown, "unknown")];
    let width = ui.available_width();
    if let Some(held) = switch(ui, "Held square", job.photo.held, &choices, width) {
        commands.push(Command::Edit("say how the camera was held".to_owned(), vec![Edit::HeldAs(held)]));
    }
    focal(ui, session, commands);
}

fn focal(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let belief = document.job().photo.focal_px;
    let soft = theme::colours(ui).soft;
    ui.add_space(4.0);
    say_in(ui, Lettering::Body, soft, "Focal length");
    let (value, sigma) = ui
        .horizontal(|ui| {
            let width = (ui.available_width() - theme::BUTTON_GAP) / 2.0;
            let value = Figure {
                name: "Focal length in px",
                value: belief.map(|belief| belief.value),
                decimals: 0,
                unit: "px",
                hint: "unsaid",
                width,
            };
            let sigma = Figure {
                name: "Focal length, give or take, in px",
                value: belief.map(|belief| belief.sigma),
                decimals: 0,
                unit: "± px",
                hint: "",
                width,
            };
            (value.show(ui, commands), sigma.show(ui, commands))
        })
        .inner;
    let name = "say what the focal length is".to_owned();
    let belief_of = |value: f64, sigma: f64| Some(Belief { value, sigma });
    match (value, sigma, belief) {
        (Some(Typed::Nothing), _, _) => commands.push(Command::Edit(name, vec![Edit::Focal(None)])),
        (Some(Typed::Number(value)), _, was) => {
            let sigma = was.map_or(value * TYPED_SHARE, |belief| belief.sigma);
            commands.push(Command::Edit(name, vec![Edit::Focal(belief_of(value, sigma))]));
        }
        (None, Some(Typed::Number(sigma)), Some(was)) => {
            commands.push(Command::Edit(name, vec![Edit::Focal(belief_of(was.value, sigma))]));
        }
        _ => {}
    }
    let said = match document.photo.exif_focal_px {
        Some(focal) => format!("The photo itself says {} px.", format_figure(focal, 0)),
        None => "The photo says nothing of its lens.".to_owned(),
    };
    say_in(ui, Lettering::Small, soft, &said);
    if belief.is_some() && link(ui, "Go by the photo", None).clicked() {
        commands.push(Command::Edit("go by the photo for the focal length".to_owned(), vec![Edit::Focal(None)]));
    }
}
