//! Settings of operation 30: what is measured with, the unit, the kinds of measure, what is said about the shape, the
//! datum.

use super::{labelled, mark};
use crate::command::{Action, Command};
use crate::controls::{Button, DropDown, Icon, check_box, say_in, switch};
use crate::draft::ends_of;
use crate::session::{Instrument, MeasureDraft, Session, Sort};
use crate::sheets::figure_field::{Figure, taken};
use crate::sheets::figures::{Lengths, kind_hint};
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::{Job, MeasureKind, StatementKind};

/// The kinds, in the order of their use.
const KINDS: [MeasureKind; 7] = [
    MeasureKind::FarRims,
    MeasureKind::NearRims,
    MeasureKind::Centres,
    MeasureKind::Diameter,
    MeasureKind::Points,
    MeasureKind::Edges,
    MeasureKind::RimToEdge,
];

/// What can be said about the shape.
const STATEMENTS: [StatementKind; 2] = [StatementKind::Square, StatementKind::Straight];

/// What one's own instrument starts with: how well it reads and what it reaches, mm.
const OWN: (f64, f64) = (0.1, 150.0);

pub(super) fn settings(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    instrument(ui, session);
    let inches = session.screen.inches;
    let chosen = labelled(ui, "Unit", |ui, width| switch(ui, "Unit", inches, &[(false, "mm"), (true, "inch")], width));
    if let Some(inches) = chosen {
        session.screen.inches = inches;
    }
    ui.add_space(4.0);
    kinds(ui, session);
    statements(ui, session, commands);
    mark::settings(ui, session, commands);
    if check_box(ui, session.screen.heat_map, "Show how well every place is known").clicked() {
        commands.push(Command::Do(Action::HeatMap));
    }
    if check_box(ui, session.screen.ellipses, "Show how far off").clicked() {
        session.screen.ellipses = !session.screen.ellipses;
    }
    if let Some(document) = &session.document {
        super::holes::datum(ui, document.job(), &session.results.solution, commands);
    }
}

fn words(instrument: Instrument, lengths: Lengths) -> String {
    match instrument {
        Instrument::Own { .. } => "Own instrument".to_owned(),
        other => format!("{} {}", other.name(), lengths.plus_minus_with_unit(other.sigma_mm())),
    }
}

fn instrument(ui: &mut Ui, session: &mut Session) {
    let now = session.screen.instrument;
    let lengths = Lengths::of(session);
    let own = if let Instrument::Own { .. } = now { now } else { Instrument::Own { sigma_mm: OWN.0, reach_mm: OWN.1 } };
    let choices = [Instrument::Caliper, Instrument::Rule, Instrument::Tape, own];
    let choices = choices.map(|choice| (choice, words(choice, lengths)));
    let (shown, width) = (words(now, lengths), ui.available_width());
    let (response, picked) = DropDown { name: "Measured with", shown: &shown, width }.show(ui, Some(&now), choices);
    response.on_hover_text("Its ± holds two times in three.");
    session.screen.instrument = picked.unwrap_or(now);
    let Instrument::Own { sigma_mm, reach_mm } = session.screen.instrument else { return };
    let sigma = labelled(ui, "Good to", |ui, width| {
        Figure::allowance("The instrument is good to", Some(sigma_mm), lengths).width(width).show(ui)
    });
    let sigma = taken(ui, sigma).map(|typed| typed.number().unwrap_or(OWN.0));
    let reach = labelled(ui, "Reaches", |ui, width| {
        Figure::length("The instrument reaches", Some(reach_mm), lengths).width(width).show(ui)
    });
    let reach = taken(ui, reach).map(|typed| typed.number().unwrap_or(OWN.1));
    session.screen.instrument =
        Instrument::Own { sigma_mm: sigma.unwrap_or(sigma_mm), reach_mm: reach.unwrap_or(reach_mm) };
}

/// One button for each kind; the one being taken is in ink.
fn kinds(ui: &mut Ui, session: &mut Session) {
    let whole = ui.available_width();
    let drafted = session.screen.draft.as_ref().map(|draft| draft.kind);
    let now = session.screen.stating.is_none().then(|| session.taking());
    let mut clicked = None;
    for row in KINDS.chunks(2) {
        let width = if row.len() == 1 { whole } else { (whole - theme::BUTTON_GAP) / 2.0 };
        ui.horizontal(|ui| {
            for kind in row {
                let button = Button::quiet(kind.words()).icon(Icon::of_measure(*kind)).width(width);
                let name = format!("Take a measure: {}", kind.words());
                let response = button.name(name).chosen(now == Some(*kind)).show(ui).on_hover_text(kind_hint(*kind));
                if response.clicked() {
                    clicked = Some(*kind);
                }
            }
        });
    }
    let Some(kind) = clicked else { return };
    session.screen.kind = kind;
    session.screen.stating = None;
    session.screen.picking_edge = None;
    let held = session.screen.draft.take();
    let draft = session.document.as_ref().map(|document| of_kind(document.job(), held, kind));
    session.screen.draft = draft.filter(|_| drafted != Some(kind));
}

/// A draft of another kind; the features that were clicked already stay, as far as it takes them.
fn of_kind(job: &Job, held: Option<MeasureDraft>, kind: MeasureKind) -> MeasureDraft {
    let mut draft = MeasureDraft::new(kind);
    let Some(held) = held else { return draft };
    for id in held.between {
        let wanted = draft.wants(job).into_iter().chain(ends_of(kind).last().copied());
        if !draft.is_complete() && Sort::of(job, &id).is_some_and(|sort| wanted.into_iter().any(|one| one == sort)) {
            draft.between.push(id);
        }
    }
    draft.focus = draft.is_complete();
    draft.text = if draft.focus { held.text } else { String::new() };
    draft
}

/// One button for each thing that can be said about the shape.
fn statements(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    ui.add_space(4.0);
    say_in(ui, Lettering::Small, theme::colours(ui).soft, "Known of the shape");
    let now = session.screen.stating.as_ref().map(|stating| stating.kind);
    for kind in STATEMENTS {
        let row = Action::State(kind).row();
        let button = Button::quiet(row.name).icon(Icon::of_statement(kind)).width(ui.available_width());
        let button = button.name(format!("Say: {}", kind.words())).chosen(now == Some(kind));
        if button.show(ui).on_hover_text(row.hint).clicked() {
            if now == Some(kind) {
                session.screen.stating = None;
            } else {
                commands.push(Command::Do(Action::State(kind)));
            }
        }
    }
}
