//! Settings of operation 30: what is measured with, the unit, the kinds of measure, the datum.

use super::{Typed, labelled};
use crate::command::{Action, Command};
use crate::controls::{Button, Icon, check_box, switch};
use crate::session::{Instrument, MeasureDraft, Session};
use crate::sheets::figures::kind_hint;
use crate::theme;
use egui::{ComboBox, Ui};
use platewright_core::job::MeasureKind;

/// The kinds that are computed, in the order of their use.
const KINDS: [MeasureKind; 5] =
    [MeasureKind::FarRims, MeasureKind::NearRims, MeasureKind::Centres, MeasureKind::Diameter, MeasureKind::Points];

/// What one's own instrument starts with, mm (1 sigma).
const OWN_SIGMA_MM: f64 = 0.1;

pub(super) fn settings(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    instrument(ui, session, commands);
    let inches = session.screen.inches;
    let chosen = labelled(ui, "Unit", |ui, width| switch(ui, "Unit", inches, &[(false, "mm"), (true, "inch")], width));
    if let Some(inches) = chosen {
        session.screen.inches = inches;
    }
    ui.add_space(4.0);
    kinds(ui, session);
    if check_box(ui, session.screen.heat_map, "Show how well every place is known").clicked() {
        commands.push(Command::Do(Action::HeatMap));
    }
    if check_box(ui, session.screen.ellipses, "Show how far off").clicked() {
        session.screen.ellipses = !session.screen.ellipses;
    }
    if let Some(document) = &session.document {
        super::holes::datum(ui, document.job(), commands);
    }
}

fn words(instrument: Instrument) -> String {
    match instrument {
        Instrument::Own(_) => instrument.name().to_owned(),
        other => format!("{} ±{}", other.name(), super::shortest(other.sigma_mm(), 2)),
    }
}

fn instrument(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let now = session.screen.instrument;
    labelled(ui, "With", |ui, width| {
        let own = if let Instrument::Own(sigma) = now { sigma } else { OWN_SIGMA_MM };
        let combo = ComboBox::from_id_salt("instrument").width(width).selected_text(words(now));
        let shown = combo.show_ui(ui, |ui| {
            for choice in [Instrument::Caliper, Instrument::Rule, Instrument::Tape, Instrument::Own(own)] {
                if ui.selectable_label(choice == now, words(choice)).clicked() {
                    session.screen.instrument = choice;
                }
            }
        });
        shown.response.accessible_name("Measured with")
    });
    if let Instrument::Own(sigma_mm) = session.screen.instrument {
        let typed = labelled(ui, "Good to", |ui, width| {
            let figure = super::Figure {
                name: "The instrument is good to",
                value: Some(sigma_mm),
                decimals: 3,
                unit: "± mm",
                hint: "0.1",
                width,
            };
            figure.show(ui, commands)
        });
        match typed {
            Some(Typed::Number(sigma_mm)) if sigma_mm > 0.0 => session.screen.instrument = Instrument::Own(sigma_mm),
            Some(_) => commands.push(Command::Say("What an instrument is good to has to be more than 0.".to_owned())),
            None => {}
        }
    }
}

/// One button for each kind; the one being taken is in ink.
fn kinds(ui: &mut Ui, session: &mut Session) {
    let width = (ui.available_width() - theme::BUTTON_GAP) / 2.0;
    let drafted = session.screen.draft.as_ref().map(|draft| draft.kind);
    let now = Some(drafted.unwrap_or(session.screen.kind));
    let mut clicked = None;
    for pair in KINDS.chunks(2) {
        ui.horizontal(|ui| {
            for kind in pair {
                let button = Button::quiet(kind.words()).icon(Icon::of_measure(*kind)).width(width);
                let name = format!("Take a measure: {}", kind.words());
                let response = button.name(name).chosen(now == Some(*kind)).show(ui).on_hover_text(kind_hint(*kind));
                if response.clicked() {
                    clicked = Some(*kind);
                }
            }
        });
    }
    if let Some(kind) = clicked {
        session.screen.kind = kind;
        let held = session.screen.draft.take();
        session.screen.draft = (drafted != Some(kind)).then(|| of_kind(held, kind));
    }
}

/// A draft of another kind; the holes that were clicked already stay, as far as it takes holes.
fn of_kind(held: Option<MeasureDraft>, kind: MeasureKind) -> MeasureDraft {
    let mut draft = MeasureDraft::new(kind);
    let between_points = |kind| kind == MeasureKind::Points;
    if let Some(held) = held.filter(|held| between_points(held.kind) == between_points(kind)) {
        draft.between = held.between;
        draft.between.truncate(draft.needs());
        draft.text = held.text;
        draft.focus = draft.between.len() == draft.needs();
    }
    draft
}
