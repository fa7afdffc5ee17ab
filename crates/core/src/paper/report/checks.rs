//! What must hold before anything is cut, and what is to be borne in mind.

use super::ReportSource;
use super::flow::Flow;
use super::sign::Sign;
use super::table::{self, Row, short, words};
use crate::caution::cautions;

pub(super) fn set(source: &ReportSource<'_>, flow: &mut Flow<'_>) {
    set_checks(source, flow);
    flow.head("To bear in mind", "");
    let rows = cautions(source.job)
        .into_iter()
        .map(|caution| Row::new([caution.about.to_owned(), caution.text]).signed(Sign::Caution));
    table::set(flow, &[short(""), words("")], &rows.collect::<Vec<_>>());
}

fn set_checks(source: &ReportSource<'_>, flow: &mut Flow<'_>) {
    if source.checks.is_empty() {
        return;
    }
    let places = if source.job.design.mirrored { "places as in the photo" } else { "" };
    flow.head("Checks", places);
    let rows: Vec<Row> = source
        .checks
        .iter()
        .map(|check| {
            let cells = [check.name.to_owned(), check.verdict.words().to_owned(), check.text.clone()];
            Row::new(cells).signed(check.verdict.into())
        })
        .collect();
    table::set(flow, &[short("Check"), short(""), words("What was found")], &rows);
}
