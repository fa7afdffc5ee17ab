//! What is said about the shape: the statement in hand with the field for its ±, and the rows of those made.

use super::typing::{Done, Typed, entry};
use super::{note, rows, table_head};
use crate::command::Command;
use crate::controls::{Button, Field, Head, Icon, icons, link, say, say_in};
use crate::session::{Chosen, Session, StatementDraft};
use crate::sheets::figure_field::{Figure, taken};
use crate::sheets::figures::{DASH, Lengths};
use crate::sheets::places;
use crate::theme::{self, Lettering};
use egui::{Align2, Id as WidgetId, Rect, Ui, pos2};
use platewright_core::job::{Edit, Id, Job, Statement, StatementKind, capital};
use platewright_core::solution::{MeasureVerdict, Solution, StatementFit};
use platewright_core::units::parse_length_mm;

/// Where the columns start, points from the row's left.
const BETWEEN: f32 = 33.0;
const KIND: f32 = 130.0;
/// Where the column of what is off ends, points from the row's right.
const OFF: f32 = 62.0;

/// The identity of the draft's field.
fn field_id() -> WidgetId {
    WidgetId::unique("statement-draft")
}

/// The statement in hand, where one is.
pub(super) fn draft(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(mut stating) = session.screen.stating.take() else { return };
    let Some(document) = &session.document else { return };
    let job = document.job();
    let lengths = Lengths::of(session);
    Head::new("Saying of the shape").note(stating.kind.words()).show(ui);
    let done = if stating.is_complete() {
        allowance(ui, job, &mut stating, lengths)
    } else {
        let so_far = match stating.between.first() {
            Some(edge) => format!("{} and …", job.feature_name(edge)),
            None => "Click along the edge on the photo.".to_owned(),
        };
        ui.horizontal(|ui| {
            say(ui, Lettering::Strong, &so_far);
            leave_button(ui)
        })
        .inner
    };
    if let Some(problem) = &stating.problem {
        say_in(ui, Lettering::Body, theme::colours(ui).disagree_text, problem);
    }
    match done {
        Done::Typing => session.screen.stating = Some(stating),
        Done::Left => {}
        Done::Entered => match read(job, &stating, lengths) {
            Ok(statement) => {
                session.screen.chosen = Some(Chosen::Statement(statement.id.clone()));
                let name = format!("say {}: {}", statement.kind.words(), between(job, &statement));
                commands.push(Command::Edit(name, vec![Edit::PutStatement(statement)]));
            }
            Err(problem) => {
                session.screen.stating = Some(StatementDraft { problem: Some(problem), focus: true, ..stating });
            }
        },
    }
}

fn leave_button(ui: &mut Ui) -> Done {
    let button = Button::quiet("Leave it").key(Some("Esc".to_owned())).name("Leave what is being said");
    if button.show(ui).clicked() { Done::Left } else { Done::Typing }
}

fn allowance(ui: &mut Ui, job: &Job, stating: &mut StatementDraft, lengths: Lengths) -> Done {
    let names: Vec<&str> = stating.between.iter().map(|id| job.feature_name(id)).collect();
    let usual = lengths.typed_figure(stating.kind.usual_sigma_mm());
    say(ui, Lettering::Strong, &names.join(", "));
    let done = ui.horizontal(|ui| {
        let field = Field { name: "It may be off by", unit: lengths.plus_minus_unit(), hint: &usual, width: 110.0 };
        let StatementDraft { text, focus, problem, .. } = stating;
        entry(ui, field_id(), &field, Typed { text, focus, problem }, "Say it")
    });
    note(
        ui,
        match stating.kind {
            StatementKind::Square => "How far it may be off, over a blade of 100 mm; two times in three.",
            StatementKind::Straight => "How far a point may lie beside the edge; two times in three.",
        },
    );
    done.inner
}

/// The statement, or what is wrong with its ± as a sentence.
fn read(job: &Job, stating: &StatementDraft, lengths: Lengths) -> Result<Statement, String> {
    let text = stating.text.trim().trim_start_matches('±');
    let sigma_mm = if text.is_empty() {
        stating.kind.usual_sigma_mm()
    } else {
        parse_length_mm(text, lengths.typed()).map_err(|problem| format!("{}.", capital(&problem.to_string())))?
    };
    let (id, between) = (job.free_id("s"), stating.between.clone());
    Ok(Statement { id, kind: stating.kind, between, sigma_mm, in_use: true })
}

/// `E1, E2`.
fn between(job: &Job, statement: &Statement) -> String {
    statement.between.iter().map(|id| job.feature_name(id)).collect::<Vec<_>>().join(", ")
}

/// A row: a statement, or a group whose holes are of one size.
struct Said<'a> {
    id: &'a Id,
    name: String,
    of: String,
    words: &'static str,
    icon: Icon,
    sigma_mm: f64,
    in_use: bool,
    /// That of its parts which is off most.
    worst: Option<&'a StatementFit>,
}

/// Everything that is said, statements first.
fn said<'a>(job: &'a Job, solution: &'a Solution) -> Vec<Said<'a>> {
    let size = |fit: &StatementFit| fit.w.map_or(0.0, f64::abs);
    let worst = |id: &Id| {
        let own = solution.statements.iter().filter(|fit| fit.id == *id);
        own.max_by(|a, b| size(a).total_cmp(&size(b)))
    };
    let statements = job.statements.iter().enumerate().map(|(place, statement)| Said {
        id: &statement.id,
        name: format!("S{}", place + 1),
        of: between(job, statement),
        words: statement.kind.words(),
        icon: Icon::of_statement(statement.kind),
        sigma_mm: statement.sigma_mm,
        in_use: statement.in_use,
        worst: worst(&statement.id),
    });
    let groups = job.groups.iter().filter_map(|group| {
        let holes = job.holes.iter().filter(|hole| hole.group.as_ref() == Some(&group.id));
        let names: Vec<&str> = holes.map(|hole| hole.name.as_str()).collect();
        Some(Said {
            id: &group.id,
            name: String::new(),
            of: names.join(", "),
            words: "one size",
            icon: Icon::Diameter,
            sigma_mm: group.same_size_sigma_mm?,
            in_use: true,
            worst: worst(&group.id),
        })
    });
    statements.chain(groups).collect()
}

/// The rows; nothing where nothing is said.
pub(super) fn table(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let job = document.job().clone();
    let solution = std::sync::Arc::clone(&session.results.solution);
    let all = said(&job, &solution);
    if all.is_empty() {
        return;
    }
    let lengths = Lengths::of(session);
    table_head(ui, "Known of the shape", lengths.unit());
    let width = ui.available_width();
    let heads = [
        ("of", BETWEEN, Align2::LEFT_CENTER),
        ("off", width - OFF, Align2::RIGHT_CENTER),
        ("but for", width, Align2::RIGHT_CENTER),
    ];
    rows::column_heads(ui, &heads);
    for said in &all {
        one(ui, session, commands, &job, said);
    }
}

fn one(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>, job: &Job, said: &Said<'_>) {
    let statement = job.statements.iter().find(|statement| statement.id == *said.id);
    let chosen = session.screen.chosen == Some(Chosen::Statement(said.id.clone()));
    let row = rows::clickable(ui, &spoken(session, said), chosen);
    draw(ui, session, said, row.rect);
    if row.response.clicked() {
        if chosen {
            session.screen.chosen = None;
        } else {
            // A group is shown by the hole that stands out of it.
            let hole = said.worst.and_then(|fit| fit.about.first()).filter(|_| statement.is_none());
            places::show(session, hole.unwrap_or(said.id));
        }
    }
    let Some(statement) = statement else { return };
    let name = &said.name;
    if !said.in_use && link(ui, "Count it again", Some(&format!("Count {name} again"))).clicked() {
        let again = Statement { in_use: true, ..statement.clone() };
        commands.push(Command::Edit(format!("count {name} again"), vec![Edit::PutStatement(again)]));
    }
    if chosen {
        open_row(ui, session, commands, statement, name);
    }
}

fn draw(ui: &Ui, session: &Session, said: &Said<'_>, rect: Rect) {
    let (colours, lengths) = (theme::colours(ui), Lengths::of(session));
    let verdict = said.worst.map(|fit| fit.verdict);
    let (colour, lettering) = match verdict {
        _ if !said.in_use => (colours.soft, Lettering::Body),
        Some(MeasureVerdict::Disagrees) => (colours.disagree_text, Lettering::Strong),
        Some(MeasureVerdict::Agrees) => (colours.ink, Lettering::Body),
        _ => (colours.unknown_text, Lettering::Body),
    };
    let icon = if verdict == Some(MeasureVerdict::Disagrees) { Icon::Disagrees } else { said.icon };
    let width = rect.width();
    rows::left(ui, rect, 0.0, lettering, colour, &said.name);
    rows::left(ui, rect, BETWEEN, lettering, colour, &shortened(&said.of));
    let icon_at = pos2(rect.left() + KIND + 8.0, rect.center().y);
    icons::paint(ui.painter(), icons::square(icon_at), icon, colour);
    rows::left(ui, rect, KIND + 22.0, Lettering::Small, colour, said.words);
    let off = shown_off_mm(session, said).map_or_else(|| DASH.to_owned(), |mm| lengths.signed(mm));
    rows::right(ui, rect, width - OFF, lettering, colour, &off);
    rows::right(ui, rect, width, lettering, colour, &lengths.plus_minus(said.sigma_mm));
    if !said.in_use {
        rows::strike(ui, rect, width);
    }
}

/// How much it is off, where that can be told.
fn shown_off_mm(session: &Session, said: &Said<'_>) -> Option<f64> {
    let fit = said.worst.filter(|fit| fit.verdict != MeasureVerdict::Waits)?;
    session.results.solution.fit.scale_known().then_some(fit.off_mm)
}

/// Everything that a row says.
fn spoken(session: &Session, said: &Said<'_>) -> String {
    let lengths = Lengths::of(session);
    let name = if said.name.is_empty() { String::new() } else { format!("{}: ", said.name) };
    let allowed = lengths.plus_minus_with_unit(said.sigma_mm);
    let off = shown_off_mm(session, said).map_or_else(String::new, |mm| format!(", off {}", lengths.signed(mm)));
    let state = match said.worst.map(|fit| fit.verdict) {
        _ if !said.in_use => "left out",
        Some(MeasureVerdict::Agrees) => "agrees",
        Some(MeasureVerdict::Disagrees) => "disagrees",
        Some(MeasureVerdict::Unchecked) => "nothing checks it",
        _ => "waits for its features",
    };
    format!("{name}{}, {}, {allowed}{off}, {state}", said.words, said.of)
}

/// Names that fit the column; the spoken row says them all.
fn shortened(names: &str) -> String {
    const MOST: usize = 13;
    if names.chars().count() <= MOST {
        return names.to_owned();
    }
    names.chars().take(MOST - 1).chain(['…']).collect()
}

/// Room for the buttons of an open row, with their gaps.
const TWO_BUTTONS: f32 = 170.0;

/// Under a chosen row: its ± to type anew, and what else can be done with it.
fn open_row(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>, statement: &Statement, name: &str) {
    let lengths = Lengths::of(session);
    let label = format!("{name} may be off by");
    let reading = ui
        .horizontal(|ui| {
            ui.add_space(30.0);
            let width = (ui.available_width() - TWO_BUTTONS).min(104.0);
            let figure = Figure::allowance(&label, Some(statement.sigma_mm), lengths).of(&statement.id.0);
            let reading = figure.width(width).show(ui);
            if statement.in_use && Button::quiet("Leave out").name(format!("Leave out {name}")).show(ui).clicked() {
                let out = Statement { in_use: false, ..statement.clone() };
                commands.push(Command::Edit(format!("leave {name} out"), vec![Edit::PutStatement(out)]));
            }
            if Button::quiet("Remove").name(format!("Remove {name}")).show(ui).clicked() {
                commands.push(Command::Edit(format!("remove {name}"), vec![Edit::Remove(statement.id.clone())]));
            }
            reading
        })
        .inner;
    if let Some(typed) = taken(ui, reading) {
        let sigma_mm = typed.number().unwrap_or_else(|| statement.kind.usual_sigma_mm());
        let changed = Statement { sigma_mm, ..statement.clone() };
        commands.push(Command::Edit(format!("change {name}"), vec![Edit::PutStatement(changed)]));
    }
}
