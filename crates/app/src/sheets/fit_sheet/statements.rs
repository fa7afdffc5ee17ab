//! What is said about the shape: the statement in hand with the field for its ±, and the rows of those made.

use super::{rows, table_head};
use crate::command::Command;
use crate::controls::{Button, Field, Head, Icon, icons, link, say, say_in};
use crate::session::{Chosen, Session, StatementDraft};
use crate::sheets::figure_field::{Figure, taken};
use crate::sheets::figures::Lengths;
use crate::sheets::places;
use crate::sheets::standing::capital;
use crate::theme::{self, Lettering};
use egui::{Align2, Id as WidgetId, Key, Modifiers, Ui, pos2};
use platewright_core::job::{Edit, Job, Statement};
use platewright_core::units::parse_length_mm;

/// Where the columns start, points from the row's left.
const BETWEEN: f32 = 33.0;
const KIND: f32 = 130.0;

/// The identity of the draft's field.
fn field_id() -> WidgetId {
    WidgetId::unique("statement-draft")
}

/// What the person did with the draft.
enum Done {
    Going,
    Left,
    Entered,
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
        Done::Going => session.screen.stating = Some(stating),
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
    if button.show(ui).clicked() { Done::Left } else { Done::Going }
}

fn allowance(ui: &mut Ui, job: &Job, stating: &mut StatementDraft, lengths: Lengths) -> Done {
    let names: Vec<&str> = stating.between.iter().map(|id| job.feature_name(id)).collect();
    let usual = lengths.typed_figure(stating.kind.usual_sigma_mm());
    say(ui, Lettering::Strong, &names.join(", "));
    ui.horizontal(|ui| {
        let escaped = ui.memory(|memory| memory.has_focus(field_id()))
            && ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape));
        let field = Field { name: "It may be off by", unit: lengths.plus_minus_unit(), hint: &usual, width: 110.0 };
        let response = field.show(ui, field_id(), &mut stating.text);
        if std::mem::take(&mut stating.focus) {
            response.request_focus();
        }
        if response.changed() {
            stating.problem = None;
        }
        if escaped {
            ui.memory_mut(|memory| memory.surrender_focus(field_id()));
            return Done::Left;
        }
        let entered = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        let button = Button::main("Say it").key(Some("Enter".to_owned()));
        if button.show(ui).clicked() || entered { Done::Entered } else { Done::Going }
    })
    .inner
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

/// The rows; nothing where nothing is said.
pub(super) fn table(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let job = document.job().clone();
    if job.statements.is_empty() {
        return;
    }
    let lengths = Lengths::of(session);
    table_head(ui, "Known of the shape", lengths.unit());
    let width = ui.available_width();
    rows::column_heads(ui, &[("of", BETWEEN, Align2::LEFT_CENTER), ("but for", width, Align2::RIGHT_CENTER)]);
    for (place, statement) in job.statements.iter().enumerate() {
        one(ui, session, commands, (&job, statement), &format!("S{}", place + 1));
    }
}

fn one(
    ui: &mut Ui,
    session: &mut Session,
    commands: &mut Vec<Command>,
    (job, statement): (&Job, &Statement),
    name: &str,
) {
    let colours = theme::colours(ui);
    let lengths = Lengths::of(session);
    let chosen = session.screen.chosen == Some(Chosen::Statement(statement.id.clone()));
    let (of, kind) = (between(job, statement), statement.kind.words());
    let allowed = lengths.plus_minus(statement.sigma_mm);
    let state = if statement.in_use { "" } else { ", left out" };
    let spoken = format!("{name}: {kind}, {of}, {allowed} {}{state}", lengths.unit());
    let row = rows::clickable(ui, &spoken, chosen);
    let colour = if statement.in_use { colours.ink } else { colours.soft };
    let right = row.rect.width();
    rows::left(ui, row.rect, 0.0, Lettering::Body, colour, name);
    rows::left(ui, row.rect, BETWEEN, Lettering::Body, colour, &shortened(&of));
    let icon_at = pos2(row.rect.left() + KIND + 8.0, row.rect.center().y);
    icons::paint(ui.painter(), icons::square(icon_at), Icon::of_statement(statement.kind), colour);
    rows::left(ui, row.rect, KIND + 22.0, Lettering::Small, colour, kind);
    rows::right(ui, row.rect, right, Lettering::Body, colour, &allowed);
    if !statement.in_use {
        rows::strike(ui, row.rect, right);
    }
    if row.response.clicked() {
        if chosen {
            session.screen.chosen = None;
        } else {
            places::show(session, &statement.id);
        }
    }
    let put = |changed: Statement| vec![Edit::PutStatement(changed)];
    if !statement.in_use && link(ui, "Count it again", Some(&format!("Count {name} again"))).clicked() {
        let again = Statement { in_use: true, ..statement.clone() };
        commands.push(Command::Edit(format!("count {name} again"), put(again)));
    }
    if chosen {
        open_row(ui, session, commands, statement, name);
    }
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
