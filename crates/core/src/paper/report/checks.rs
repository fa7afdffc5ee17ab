//! What must hold before anything is cut.

use super::ReportSource;
use super::flow::Flow;
use super::table::{self, Row, short, words};

pub(super) fn set(source: &ReportSource<'_>, flow: &mut Flow<'_>) {
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
