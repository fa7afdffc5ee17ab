//! The outline and the openings: how long, how large, and how near to the edge that was measured.

use super::ReportSource;
use super::flow::Flow;
use super::table::{self, Row, figures, short, words};
use crate::job::Role;
use crate::solution::ContourFit;
use crate::units::format_figure;

pub(super) fn set(source: &ReportSource<'_>, flow: &mut Flow<'_>) {
    let contours = &source.solution.contours;
    if contours.is_empty() || !source.scale_known() {
        return;
    }
    flow.head("Outline and openings", "mm, as they are in the part of the photo");
    let rows: Vec<Row> = contours.iter().map(|fit| row(source, fit)).collect();
    let columns = [
        words("Contour"),
        short(""),
        figures("length"),
        figures("area cm²"),
        figures("lines"),
        figures("arcs"),
        figures("off the edge at most"),
        figures("allowed"),
    ];
    table::set(flow, &columns, &rows);
}

fn row(source: &ReportSource<'_>, fit: &ContourFit) -> Row {
    let name = match fit.role {
        Role::Outer => "Outline".to_owned(),
        Role::Opening => format!("Opening {}", fit.id),
    };
    let contour = source.job.contour(&fit.id);
    let state = match contour {
        Some(contour) if !contour.keep => "left out",
        _ if fit.area_mm2.is_some() => "closed",
        _ => "open",
    };
    let arcs = fit.cut.segments.iter().filter(|piece| !piece.is_line()).count();
    let none = || "–".to_owned();
    let measured = fit.measured.as_ref().filter(|measured| !measured.places.is_empty());
    Row::new([
        name,
        state.to_owned(),
        format_figure(fit.length_mm, 1),
        fit.area_mm2.map_or_else(none, |area| format_figure(area / 100.0, 1)),
        (fit.cut.segments.len() - arcs).to_string(),
        arcs.to_string(),
        measured.map_or_else(none, |measured| format_figure(measured.worst_mm, 2)),
        measured.map_or_else(none, |measured| format_figure(measured.allowance_mm(), 2)),
    ])
}
