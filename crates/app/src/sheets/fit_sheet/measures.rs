//! The measures: what was read, how far off it is beside its allowance, how well the others check it.

use super::{explain, note, rows, table_head};
use crate::command::Command;
use crate::controls::{AllowanceBar, BarState, Button, Field, Icon, icons, link, say_in, typed_value};
use crate::session::{Chosen, Session};
use crate::sheets::figures::{DASH, Lengths, between_words};
use crate::sheets::{places, standing, verdict};
use crate::theme::{self, Lettering};
use egui::{Align2, Color32, Id as WidgetId, Rect, Ui, pos2};
use platewright_core::job::{Edit, Id, Job, Measure};
use platewright_core::solution::{MeasureFit, MeasureVerdict};
use platewright_core::tolerance::{REDUNDANCY_NO_TEST, W_DISAGREES};
use platewright_core::units::format_figure;

/// A bar narrower than this has no room for its head, points.
const ROOM_FOR_ALLOWANCE: f32 = 60.0;

/// Where the columns stand, points from the row's left.
struct Columns {
    between: f32,
    kind: f32,
    value: f32,
    off: f32,
    bar: (f32, f32),
    checked: f32,
    kind_as_icon: bool,
}

impl Columns {
    fn of(width: f32, inches: bool) -> Self {
        // Inches have one digit more, which the bar gives up.
        let more = if inches { 6.0 } else { 0.0 };
        let kind_as_icon = width < 320.0;
        let value = if kind_as_icon { 146.0 } else { 180.0 } + more;
        let off = value + 42.0 + more;
        let checked = width;
        Self { between: 33.0, kind: 81.0, value, off, bar: (off + 10.0, checked - 42.0), checked, kind_as_icon }
    }
}

/// The identity of the field that holds a measure's value while its row is open.
pub(super) fn value_field(id: &Id) -> WidgetId {
    WidgetId::unique(("measure-value", &id.0))
}

/// Leaves a measure out.
pub(super) fn leave_out(id: &Id, name: &str) -> Command {
    Command::Edit(format!("leave {name} out"), vec![Edit::UseMeasure { measure: id.clone(), in_use: false }])
}

fn count_again(id: &Id, name: &str) -> Command {
    Command::Edit(format!("count {name} again"), vec![Edit::UseMeasure { measure: id.clone(), in_use: true }])
}

/// The table.
pub(super) fn table(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let job = document.job().clone();
    if job.measures.is_empty() {
        return;
    }
    let lengths = Lengths::of(session);
    table_head(ui, "Measures", lengths.unit());
    let columns = Columns::of(ui.available_width(), session.screen.inches);
    rows::column_heads(
        ui,
        &[
            ("between", columns.between, Align2::LEFT_CENTER),
            ("value", columns.value, Align2::RIGHT_CENTER),
            ("off", columns.off, Align2::RIGHT_CENTER),
            (
                if columns.kind_as_icon || columns.bar.1 - columns.bar.0 < ROOM_FOR_ALLOWANCE {
                    ""
                } else {
                    "allowance"
                },
                columns.bar.0 - 2.0,
                Align2::LEFT_CENTER,
            ),
            ("checked", columns.checked, Align2::RIGHT_CENTER),
        ],
    );
    let solution = std::sync::Arc::clone(&session.results.solution);
    for measure in &job.measures {
        let fit = solution.measures.iter().find(|fit| fit.id == measure.id);
        one(ui, session, commands, (&job, measure, fit), &columns);
    }
    what_nothing_checks(ui, session, &job);
}

/// Under the table, once for all of them, where the sheet's head does not say it.
fn what_nothing_checks(ui: &mut Ui, session: &Session, job: &Job) {
    let names: Vec<String> = standing::unchecked(session).map(|fit| job.reading_name(&fit.id)).collect();
    let said = verdict::verdict(session).is_some_and(|said| said.explanation.contains("Nothing checks"));
    if names.is_empty() || said || !session.results.solution.fit.scale_known() {
        return;
    }
    let words = format!("Nothing checks {} yet.", names.join(", "));
    ui.add_space(2.0);
    say_in(ui, Lettering::Body, theme::colours(ui).unknown_text, &words);
}

type Taken<'a> = (&'a Job, &'a Measure, Option<&'a MeasureFit>);

fn one(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>, taken: Taken<'_>, columns: &Columns) {
    let (job, measure, fit) = taken;
    let chosen = session.screen.chosen == Some(Chosen::Measure(measure.id.clone()));
    let mut row = rows::clickable(ui, &spoken(session, taken), chosen);
    draw(ui, session, taken, columns, row.rect);
    let name = job.reading_name(&measure.id);
    if let Some(fit) = shown_fit(session, fit) {
        let blamed = standing::blamed(session);
        let said = explain::measure(job, &name, fit, blamed.as_deref(), Lengths::of(session));
        row.response = rows::describe(row.response, &said);
    }
    if row.response.clicked() {
        if chosen {
            session.screen.chosen = None;
        } else {
            places::show(session, &measure.id);
        }
    }
    if row.response.double_clicked() {
        session.screen.chosen = Some(Chosen::Measure(measure.id.clone()));
        session.screen.retyping = Some(measure.id.clone());
    }
    let verdict = fit.map(|fit| fit.verdict);
    if verdict == Some(MeasureVerdict::Disagrees) {
        disagreement(ui, session, commands, taken, &name);
    }
    if verdict == Some(MeasureVerdict::Waits)
        && let Some(words) = why_it_waits(session, &measure.id)
    {
        indented(ui, theme::colours(ui).unknown_text, &words);
    }
    if !measure.in_use && link(ui, "Count it again", Some(&format!("Count {name} again"))).clicked() {
        commands.push(count_again(&measure.id, &name));
    }
    if chosen {
        open_row(ui, session, commands, measure, &name);
    }
}

/// What the results say of a measure that does not count yet.
fn why_it_waits(session: &Session, id: &Id) -> Option<String> {
    let findings = session.results.solution.findings.iter();
    findings.filter(|finding| finding.about.as_ref() == Some(id)).map(|finding| finding.text.clone()).next()
}

fn indented(ui: &mut Ui, colour: Color32, words: &str) {
    ui.horizontal(|ui| {
        ui.add_space(30.0);
        ui.vertical(|ui| say_in(ui, Lettering::Body, colour, words));
    });
}

/// What to say and to offer where a measure disagrees; the worst has its buttons at the sheet's head already.
fn disagreement(
    ui: &mut Ui,
    session: &mut Session,
    commands: &mut Vec<Command>,
    (job, measure, fit): Taken<'_>,
    name: &str,
) {
    let lengths = Lengths::of(session);
    if let Some(fit) = fit {
        let mut words = format!("{}, by the others.", explain::long_or_short(fit, lengths));
        if let Some(question) = explain::slip_question(fit) {
            words = format!("{words} {question}");
        }
        if let Some(others) = explains_as_well(session, job, &measure.id) {
            words = format!("{words} {others}");
        }
        indented(ui, theme::colours(ui).disagree_text, &words);
    }
    let again = |offer: &verdict::Offer| matches!(offer, verdict::Offer::MeasureAgain(id, _) if *id == measure.id);
    let at_the_head = verdict::verdict(session).is_some_and(|said| said.offers.iter().any(again));
    if at_the_head {
        return;
    }
    ui.horizontal(|ui| {
        ui.add_space(30.0);
        if link(ui, &format!("Measure {name} again"), None).clicked() {
            session.screen.chosen = Some(Chosen::Measure(measure.id.clone()));
            session.screen.retyping = Some(measure.id.clone());
        }
        if link(ui, &format!("Leave {name} out"), None).clicked() {
            commands.push(leave_out(&measure.id, name));
        }
    });
}

/// Which other readings would explain the misfit as well as this one, where the sheet's sentence does not say it.
fn explains_as_well(session: &Session, job: &Job, id: &Id) -> Option<String> {
    let groups = &session.results.solution.suspects;
    let group = groups.iter().skip(1).find(|suspects| suspects.ids.len() > 1 && suspects.ids.contains(id))?;
    let others: Vec<Id> = group.ids.iter().filter(|other| *other != id).cloned().collect();
    let verb = if others.len() == 1 { "explains" } else { "explain" };
    Some(format!("{} {verb} the misfit equally well.", platewright_core::job::capital(&job.reading_names(&others))))
}

/// Room for the buttons of an open row, with their gaps.
const TWO_BUTTONS: f32 = 170.0;

/// Under a chosen row: its value to type anew, and what else can be done with it.
fn open_row(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>, measure: &Measure, name: &str) {
    let lengths = Lengths::of(session);
    let typed = ui
        .horizontal(|ui| {
            ui.add_space(30.0);
            let label = format!("Value of {name}");
            let width = (ui.available_width() - TWO_BUTTONS).min(96.0);
            let field = Field { name: &label, unit: lengths.unit(), hint: "", width };
            // In the frame of the click that asks for it a field gives the keyboard up again, as to any click beside it.
            let is_clicked = ui.input(|input| input.pointer.any_click());
            if session.screen.retyping.as_ref() == Some(&measure.id) && !is_clicked {
                session.screen.retyping = None;
                ui.memory_mut(|memory| memory.request_focus(value_field(&measure.id)));
            } else if session.screen.retyping.is_some() {
                ui.ctx().request_repaint();
            }
            let typed =
                typed_value(ui, value_field(&measure.id), &field, &lengths.reading(measure.mm, measure.sigma_mm));
            if measure.in_use && Button::quiet("Leave out").name(format!("Leave out {name}")).show(ui).clicked() {
                commands.push(leave_out(&measure.id, name));
            }
            if Button::quiet("Remove").name(format!("Remove {name}")).show(ui).clicked() {
                commands.push(Command::Edit(format!("remove {name}"), vec![Edit::Remove(measure.id.clone())]));
            }
            typed
        })
        .inner;
    let Some(text) = typed else { return };
    match platewright_core::units::parse_length_mm(&text, lengths.typed()) {
        Ok(mm) => {
            let edit = Edit::MeasureValue { measure: measure.id.clone(), mm, sigma_mm: measure.sigma_mm };
            commands.push(Command::Edit(format!("change {name}"), vec![edit]));
        }
        Err(problem) => commands.push(Command::Say(format!("{name}: {problem}."))),
    }
}

fn draw(ui: &Ui, session: &Session, (job, measure, fit): Taken<'_>, columns: &Columns, rect: Rect) {
    let colours = theme::colours(ui);
    let verdict = fit.map_or(MeasureVerdict::Waits, |fit| fit.verdict);
    let disagrees = verdict == MeasureVerdict::Disagrees;
    let (colour, lettering) = match verdict {
        MeasureVerdict::Disagrees => (colours.disagree_text, Lettering::Strong),
        MeasureVerdict::Unchecked | MeasureVerdict::Waits => (colours.unknown_text, Lettering::Body),
        MeasureVerdict::LeftOut => (colours.soft, Lettering::Body),
        MeasureVerdict::Agrees => (colours.ink, Lettering::Body),
    };
    let name = job.reading_name(&measure.id);
    rows::left(ui, rect, 0.0, if disagrees { Lettering::Strong } else { Lettering::Body }, colour, &name);
    rows::left(ui, rect, columns.between, lettering, colour, &short_between(job, measure));
    if columns.kind_as_icon {
        let at = pos2(rect.left() + columns.kind + 8.0, rect.center().y);
        icons::paint(ui.painter(), icons::square(at), Icon::of_measure(measure.kind), colour);
    } else {
        rows::left(ui, rect, columns.kind, Lettering::Small, colour, measure.kind.words());
    }
    let lengths = Lengths::of(session);
    rows::right(ui, rect, columns.value, lettering, colour, &lengths.reading(measure.mm, measure.sigma_mm));
    if let Some(fit) = shown_fit(session, fit) {
        rows::right(ui, rect, columns.off, lettering, colour, &lengths.signed(fit.misread_mm()));
        rows::right(ui, rect, columns.checked, lettering, colour, &checked(fit));
        bar(ui, fit, columns, rect);
    } else {
        rows::right(ui, rect, columns.off, lettering, colours.soft, DASH);
        rows::right(ui, rect, columns.checked, lettering, colours.soft, DASH);
    }
    if !measure.in_use {
        rows::strike(ui, rect, columns.value);
    }
}

/// The fit where its figures may be shown: the scale is known, and the measure is one that is computed.
fn shown_fit<'a>(session: &Session, fit: Option<&'a MeasureFit>) -> Option<&'a MeasureFit> {
    fit.filter(|fit| session.results.solution.fit.scale_known() && fit.verdict != MeasureVerdict::Waits)
}

fn bar(ui: &Ui, fit: &MeasureFit, columns: &Columns, rect: Rect) {
    let state = match fit.verdict {
        MeasureVerdict::Disagrees => BarState::Disagrees,
        MeasureVerdict::Agrees => BarState::Agrees,
        _ => BarState::Unchecked,
    };
    let room = Rect::from_min_max(
        pos2(rect.left() + columns.bar.0, rect.top()),
        pos2(rect.left() + columns.bar.1, rect.bottom()),
    );
    AllowanceBar { off: fit.misread_mm(), allowance: allowance_mm(fit), state }.paint(ui, room);
}

/// How far off by the others a reading may be before it disagrees, mm. Of a misreading the share r shows in the fit, where
/// the test's limit is `W sigma sqrt(r)` (Baarda 1968); by the others that is `W sigma / sqrt(r)`. The plain limit where
/// nothing checks it.
fn allowance_mm(fit: &MeasureFit) -> f64 {
    let shows = if fit.by_others_mm.is_some() && fit.redundancy > REDUNDANCY_NO_TEST { fit.redundancy } else { 1.0 };
    W_DISAGREES * fit.sigma_mm / shows.sqrt()
}

/// How well the others check it, in whole per cent.
fn checked(fit: &MeasureFit) -> String {
    if fit.verdict == MeasureVerdict::LeftOut {
        return "out".to_owned();
    }
    format!("{} %", format_figure((fit.redundancy * 100.0).clamp(0.0, 100.0), 0))
}

/// `H2–H4`, for the narrow column.
fn short_between(job: &Job, measure: &Measure) -> String {
    measure.between.iter().map(|id| job.feature_name(id)).collect::<Vec<_>>().join("–")
}

/// Everything that a row says.
fn spoken(session: &Session, (job, measure, fit): Taken<'_>) -> String {
    let lengths = Lengths::of(session);
    let name = job.reading_name(&measure.id);
    let what = format!(
        "{name}: {}, {}, {}",
        between_words(job, &measure.between),
        measure.kind.words(),
        lengths.with_unit(measure.mm)
    );
    let state = match fit.map_or(MeasureVerdict::Waits, |fit| fit.verdict) {
        MeasureVerdict::Agrees => "agrees",
        MeasureVerdict::Disagrees => "disagrees",
        MeasureVerdict::Unchecked => "nothing checks it",
        MeasureVerdict::LeftOut => "left out",
        MeasureVerdict::Waits => "waits for its features",
    };
    match shown_fit(session, fit) {
        Some(fit) => format!("{what}, off {}, checked {}, {state}", lengths.signed(fit.misread_mm()), checked(fit)),
        None => format!("{what}, {state}"),
    }
}

/// What is shown instead of the tables' figures while the scale is not known.
pub(super) fn not_known_yet(ui: &mut Ui) {
    note(ui, "Not known yet: one measure across the part sets the scale.");
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;

    #[test]
    fn the_allowance_is_the_limit_at_which_a_measure_disagrees() {
        let solution = samples::disagreeing();
        let fit = &solution.measures[1];
        // Of what the reading is off by the others, the share that is checked shows in the fit.
        let w_at_the_tick = allowance_mm(fit) * fit.redundancy / (fit.sigma_mm * fit.redundancy.sqrt());
        assert!((w_at_the_tick - W_DISAGREES).abs() < 1e-12, "the tick stands where the test does: {w_at_the_tick}");
    }

    #[test]
    fn a_row_says_all_that_it_shows_and_no_figure_while_the_scale_is_unknown() {
        let mut session = samples::session(samples::plate());
        samples::give_results(&mut session, samples::disagreeing());
        let job = samples::plate();
        let solution = std::sync::Arc::clone(&session.results.solution);
        let taken = (&job, &job.measures[1], solution.measures.get(1));
        let said = spoken(&session, taken);
        assert_eq!(said, "M2: H1 to H3, far rims, 80.04 mm, off +0.98, checked 50 %, disagrees", "all of it");
        let mut unknown = samples::disagreeing();
        unknown.fit.scale_sigma = None;
        samples::give_results(&mut session, unknown);
        assert!(!spoken(&session, taken).contains("off"), "no figure of an unknown scale");
    }
}
