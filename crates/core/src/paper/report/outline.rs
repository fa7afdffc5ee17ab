//! The outline and the openings: how long, how large, and how near to the edge that was measured.

use super::ReportSource;
use super::flow::Flow;
use super::table::{self, Row, figures, short, words};
use crate::job::Role;
use crate::solution::ContourFit;
use crate::units::{format_figure, format_over};

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
    let off_and_allowed = measured.map_or_else(
        || [none(), none()],
        |measured| {
            let (worst_mm, allowed_mm) = (measured.worst_mm, measured.allowance_mm());
            if worst_mm > allowed_mm {
                format_over(worst_mm, allowed_mm, 2)
            } else {
                [worst_mm, allowed_mm].map(|mm| format_figure(mm, 2))
            }
        },
    );
    let [off, allowed] = off_and_allowed;
    Row::new([
        name,
        state.to_owned(),
        format_figure(fit.length_mm, 1),
        fit.area_mm2.map_or_else(none, |area| format_figure(area / 100.0, 1)),
        (fit.cut.segments.len() - arcs).to_string(),
        arcs.to_string(),
        off,
        allowed,
    ])
}
