//! Holes and named points: where they are, and how far off they can be.

use super::{measures, rows, table_head};
use crate::session::{Chosen, Session};
use crate::sheets::figures::{DASH, Lengths};
use crate::sheets::places;
use crate::sheets::standing::{PICKS_OF_A_HOLE, in_words};
use crate::theme::{self, Lettering};
use egui::{Align2, Color32, Ui};
use platewright_core::job::{Hole, Id, Job};
use platewright_core::solution::{HoleFit, Solution};
use platewright_core::space::PlatePoint;
use platewright_core::tolerance::K95_PLACE;
use platewright_core::units::format_figure;
use std::sync::Arc;

/// The columns X, Y, dia. and ± end at these shares of the width.
const ENDS: [f32; 4] = [0.34, 0.57, 0.79, 1.0];

/// The table of places.
pub(super) fn table(ui: &mut Ui, session: &mut Session) {
    let Some(document) = &session.document else { return };
    let job = document.job().clone();
    if job.holes.is_empty() && job.points.is_empty() {
        return;
    }
    let lengths = Lengths::of(session);
    let solution = Arc::clone(&session.results.solution);
    let known = solution.fit.scale_known();
    let name = if job.points.is_empty() { "Holes" } else { "Holes and points" };
    table_head(ui, name, &frame_words(&job, lengths));
    if !known {
        measures::not_known_yet(ui);
    }
    let width = ui.available_width();
    let ends: Vec<(&str, f32, Align2)> = ["X", "Y", "dia.", "±"]
        .iter()
        .zip(ENDS)
        .map(|(words, share)| (*words, share * width, Align2::RIGHT_CENTER))
        .collect();
    rows::column_heads(ui, &ends);
    for hole in &job.holes {
        of_hole(ui, session, &solution, hole, known.then_some(lengths));
    }
    for point in &job.points {
        let fit = solution.points.iter().find(|fit| fit.id == point.id).filter(|_| known);
        let cells =
            fit.map(|fit| Cells { at: fit.at, diameter_mm: None, plus_minus_mm: fit.ellipse.major_mm * K95_PLACE });
        let chosen = session.screen.chosen == Some(Chosen::Point(point.id.clone()));
        if row(ui, &point.name, cells.as_ref(), lengths, (chosen, theme::colours(ui).ink)) {
            places::show(session, &point.id);
        }
    }
}

/// What the figures are counted from.
fn frame_words(job: &Job, lengths: Lengths) -> String {
    let name = |id: &Id| job.feature_name(id).to_owned();
    let ends = match &job.datum {
        Some(datum) => Some((name(&datum.origin), name(&datum.along))),
        None => match job.holes.as_slice() {
            [first, second, ..] => Some((first.name.clone(), second.name.clone())),
            _ => None,
        },
    };
    match ends {
        Some((origin, along)) => format!("{}, from {origin} along {along}, ± is 95 %", lengths.unit()),
        None => format!("{}, ± is 95 %", lengths.unit()),
    }
}

/// What a row shows, mm.
struct Cells {
    at: PlatePoint,
    diameter_mm: Option<f64>,
    plus_minus_mm: f64,
}

fn of_hole(ui: &mut Ui, session: &mut Session, solution: &Solution, hole: &Hole, lengths: Option<Lengths>) {
    let colours = theme::colours(ui);
    let chosen = is_chosen(session, &hole.id);
    if hole.rim.len() < PICKS_OF_A_HOLE {
        if too_few(ui, hole, chosen) {
            places::show(session, &hole.id);
        }
        return;
    }
    let fit = solution.holes.iter().find(|fit| fit.id == hole.id).filter(|_| lengths.is_some());
    let cells = fit.map(|fit| Cells {
        at: fit.centre,
        diameter_mm: Some(fit.bore_diameter_mm),
        plus_minus_mm: fit.plus_minus_mm(),
    });
    let colour = if hole.keep { colours.ink } else { colours.soft };
    let name = if hole.keep { hole.name.clone() } else { format!("{}, not cut", hole.name) };
    let lengths = lengths.unwrap_or_else(|| Lengths::of(session));
    if row(ui, &name, cells.as_ref(), lengths, (chosen, colour)) {
        places::show(session, &hole.id);
    }
}

fn is_chosen(session: &Session, id: &Id) -> bool {
    match &session.screen.chosen {
        Some(Chosen::Hole(hole) | Chosen::RimPick { hole, .. }) => hole == id,
        _ => false,
    }
}

/// A hole that is none yet, with what it lacks.
fn too_few(ui: &mut Ui, hole: &Hole, chosen: bool) -> bool {
    let colours = theme::colours(ui);
    let words = picks_words(hole);
    let row = rows::clickable(ui, &format!("{}: {words}", hole.name), chosen);
    rows::left(ui, row.rect, 0.0, Lettering::Body, colours.unknown_text, &hole.name);
    rows::left(ui, row.rect, 40.0, Lettering::Body, colours.unknown_text, &words);
    row.response.clicked()
}

fn picks_words(hole: &Hole) -> String {
    match hole.rim.len() {
        0 => "no pick yet, three make it a hole".to_owned(),
        1 => "one pick, two more make it a hole".to_owned(),
        more => format!("{} picks, a third makes it a hole", in_words(more)),
    }
}

fn row(ui: &mut Ui, name: &str, cells: Option<&Cells>, lengths: Lengths, (chosen, colour): (bool, Color32)) -> bool {
    let soft = theme::colours(ui).soft;
    let texts: [String; 4] = match cells {
        Some(cells) => [
            lengths.figure(cells.at.x),
            lengths.figure(cells.at.y),
            cells.diameter_mm.map_or_else(|| DASH.to_owned(), |mm| lengths.figure(mm)),
            lengths.plus_minus(cells.plus_minus_mm),
        ],
        None => [DASH, DASH, DASH, DASH].map(str::to_owned),
    };
    let spoken = match cells {
        Some(_) => format!("{name}: X {}, Y {}, dia. {}, {}", texts[0], texts[1], texts[2], texts[3]),
        None => format!("{name}: not known yet"),
    };
    let row = rows::clickable(ui, &spoken, chosen);
    rows::left(ui, row.rect, 0.0, if chosen { Lettering::Strong } else { Lettering::Body }, colour, name);
    let width = row.rect.width();
    for (text, share) in texts.iter().zip(ENDS) {
        let ink = if cells.is_some() { colour } else { soft };
        rows::right(ui, row.rect, share * width, Lettering::Body, ink, text);
    }
    row.response.clicked()
}

/// How well the rims were picked, px of the photo.
pub(super) fn rims(ui: &mut Ui, session: &mut Session) {
    let solution = Arc::clone(&session.results.solution);
    if solution.holes.is_empty() {
        return;
    }
    let Some(document) = &session.document else { return };
    let job = document.job().clone();
    table_head(ui, "Rims", "px in the photo");
    let width = ui.available_width();
    let heads = [("points", 0.5 * width, Align2::RIGHT_CENTER), ("off the rim", width, Align2::RIGHT_CENTER)];
    rows::column_heads(ui, &heads);
    for fit in &solution.holes {
        let name = job.feature_name(&fit.id);
        let chosen = is_chosen(session, &fit.id);
        let off = off_words(fit);
        let row = rows::clickable(ui, &format!("Rim of {name}: {} points, off {off}", fit.rim_points), chosen);
        let colours = theme::colours(ui);
        rows::left(ui, row.rect, 0.0, Lettering::Body, colours.ink, name);
        rows::right(ui, row.rect, 0.5 * width, Lettering::Body, colours.ink, &fit.rim_points.to_string());
        rows::right(ui, row.rect, width, Lettering::Body, colours.ink, &off);
        if row.response.clicked() {
            places::show(session, &fit.id);
        }
    }
    if solution.holes.iter().any(|fit| fit.rim_points <= PICKS_OF_A_HOLE) {
        super::note(ui, "Three picks fit any rim. A fourth shows how well they lie.");
    }
}

/// Three points always fit: that says nothing of how well they lie.
fn off_words(fit: &HoleFit) -> String {
    if fit.rim_points <= PICKS_OF_A_HOLE { DASH.to_owned() } else { format_figure(fit.rim_rms_px, 2) }
}
