//! The table of measures, and of what is said about the shape.

use super::ReportSource;
use super::flow::{Flow, SMALL};
use super::table::{self, Row, figures, short, words};
use crate::job::{Id, Job};
use crate::solution::{MeasureFit, MeasureVerdict, Stated, StatementFit};
use crate::tolerance::K95_FIGURE;
use crate::units::format_figure;

pub(super) fn set(source: &ReportSource<'_>, flow: &mut Flow<'_>) {
    let solution = source.solution;
    if !solution.measures.is_empty() {
        flow.head("Measures", "mm");
        let rows: Vec<Row> = source
            .job
            .measures
            .iter()
            .zip(&solution.measures)
            .map(|(measure, fit)| {
                let what = format!(
                    "{}  {} {}",
                    source.job.reading_name(&measure.id),
                    measure.kind.words(),
                    between(source.job, &measure.between)
                );
                row(what, fit)
            })
            .collect();
        let columns = [
            words("Measure"),
            figures("read"),
            figures("good to ±"),
            figures("fitted"),
            figures("off"),
            figures("checked"),
            short(""),
        ];
        table::set(flow, &columns, &rows);
        flow.down(1.0);
        let said = "Off: how much too long (+) or too short (−) it was read, by what all the others say. Checked: how much of \
                    a misreading the others would show. ± is 95\u{a0}%.";
        flow.paragraph(said, 0.0, SMALL);
    }
    if !solution.statements.is_empty() {
        flow.head("What is said about the shape", "mm");
        let rows: Vec<Row> = solution.statements.iter().map(|fit| statement_row(source.job, fit)).collect();
        let columns = [words("Said"), figures("good to ±"), figures("off"), figures("checked"), short("")];
        table::set(flow, &columns, &rows);
    }
}

fn row(what: String, fit: &MeasureFit) -> Row {
    let counts = !matches!(fit.verdict, MeasureVerdict::Waits);
    let figure = |mm: f64| if counts { format_figure(mm, 2) } else { "–".to_owned() };
    let cells = [
        what,
        format_figure(fit.measured_mm, 2),
        format_figure(K95_FIGURE * fit.sigma_mm, 2),
        figure(fit.fitted_mm),
        if counts { signed(fit.misread_mm()) } else { "–".to_owned() },
        share(fit.redundancy),
        fit.verdict.words().to_owned(),
    ];
    Row::new(cells).signed(fit.verdict.into())
}

fn statement_row(job: &Job, fit: &StatementFit) -> Row {
    let said = match fit.stated {
        Stated::SameSize => "one size",
        Stated::Square => "square corner",
        Stated::OnEdge => "on one line",
    };
    let cells = [
        format!("{} {}", crate::job::capital(said), between(job, &fit.about)),
        format_figure(K95_FIGURE * fit.sigma_mm, 2),
        signed(fit.off_mm),
        share(fit.redundancy),
        fit.verdict.words().to_owned(),
    ];
    Row::new(cells).signed(fit.verdict.into())
}

/// A figure with its sign, also where it is positive.
fn signed(mm: f64) -> String {
    let figure = format_figure(mm, 2);
    let is_positive = mm > 0.0 && figure.bytes().any(|b| b.is_ascii_digit() && b != b'0');
    if is_positive { format!("+{figure}") } else { figure }
}

fn share(redundancy: f64) -> String {
    format!("{} %", format_figure(100.0 * redundancy, 0))
}

fn between(job: &Job, ids: &[Id]) -> String {
    ids.iter().map(|id| job.feature_name(id)).collect::<Vec<_>>().join("–")
}
