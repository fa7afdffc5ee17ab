//! Where the holes are, how large, how well that is known, and what each has to spare.

use super::ReportSource;
use super::flow::{BODY, Flow, SMALL};
use super::table::{self, Row, figures, short, words};
use crate::solution::{HoleFit, finished_mm, said_fastener};
use crate::tolerance::K95_PLACE;
use crate::units::format_figure;

pub(super) fn set(source: &ReportSource<'_>, flow: &mut Flow<'_>) {
    let solution = source.solution;
    if solution.holes.is_empty() && solution.added.is_empty() {
        return;
    }
    if !source.scale_known() {
        flow.head("Holes", "");
        flow.paragraph("Sizes are not known yet: one measure across the part sets the scale.", 0.0, BODY);
        return;
    }
    let seen = if source.job.design.mirrored { "mm from the datum, seen as in the photo" } else { "mm from the datum" };
    if !solution.holes.is_empty() {
        flow.head("Holes", seen);
        let rows: Vec<Row> = solution.holes.iter().map(|fit| hole_row(source, fit)).collect();
        let columns = [
            words("Hole"),
            figures("X"),
            figures("Y"),
            figures("good to ±"),
            figures("dia. measured"),
            figures("dia. finished"),
            short("fastener"),
            figures("play"),
            figures("needs"),
        ];
        table::set(flow, &columns, &rows);
        flow.down(1.0);
        let said = "Play: how far off its fastener the finished hole may be. Needs: how far off it can be, place and cutter \
                    together. ± and needs are 95\u{a0}%.";
        flow.paragraph(said, 0.0, SMALL);
    }
    if !solution.points.is_empty() {
        let rows: Vec<Row> = solution
            .points
            .iter()
            .map(|fit| {
                let ends = [fit.at.x, fit.at.y, fit.ellipse.major_mm * K95_PLACE].map(|mm| format_figure(mm, 2));
                Row::new([source.job.feature_name(&fit.id).to_owned()].into_iter().chain(ends))
            })
            .collect();
        flow.head("Points", seen);
        table::set(flow, &[words("Point"), figures("X"), figures("Y"), figures("good to ±")], &rows);
    }
    if !solution.added.is_empty() {
        let rows: Vec<Row> = solution
            .added
            .iter()
            .map(|fit| {
                let ends = [fit.at.x, fit.at.y, fit.ellipse.major_mm * K95_PLACE].map(|mm| format_figure(mm, 2));
                let size = fit.diameter_mm.map_or_else(|| "no size".to_owned(), |mm| format_figure(mm, 2));
                let length = fit.slot.map_or_else(|| "–".to_owned(), |slot| format_figure(slot.length_mm, 2));
                Row::new([fit.name.clone()].into_iter().chain(ends).chain([size, length]))
            })
            .collect();
        flow.head("Added", seen);
        let columns = [
            words("Added"),
            figures("X"),
            figures("Y"),
            figures("good to ±"),
            figures("dia. or width"),
            figures("between centres"),
        ];
        table::set(flow, &columns, &rows);
    }
}

fn hole_row(source: &ReportSource<'_>, fit: &HoleFit) -> Row {
    let job = source.job;
    let hole = job.hole(&fit.id);
    let name = job.feature_name(&fit.id).to_owned();
    let figure = |mm: f64| format_figure(mm, 2);
    let none = || "–".to_owned();
    let finished = match hole {
        Some(hole) if hole.keep => figure(finished_mm(job, hole, fit.bore_diameter_mm)),
        _ => "left out".to_owned(),
    };
    let bolt_up = source.solution.bolt_up.as_ref();
    let bolted = bolt_up.and_then(|bolt_up| bolt_up.holes.iter().find(|other| other.id == fit.id));
    let needs = bolt_up.map(|bolt_up| fit.needs_mm(bolt_up.cutting_mm));
    let fastener = hole.and_then(|hole| said_fastener(job, hole));
    Row::new([
        name,
        figure(fit.centre.x),
        figure(fit.centre.y),
        figure(fit.plus_minus_mm()),
        figure(fit.bore_diameter_mm),
        finished,
        fastener.map_or_else(none, str::to_owned),
        bolted.map_or_else(none, |bolted| figure(bolted.play_mm)),
        needs.filter(|_| bolted.is_some()).map_or_else(none, figure),
    ])
}
