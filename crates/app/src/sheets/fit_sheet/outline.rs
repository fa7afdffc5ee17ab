//! The outline: its contours, and the chosen node.

use super::{edge, note, rows, table_head};
use crate::command::{Action, Command};
use crate::controls::{Head, Icon, columns_text, switch};
use crate::session::Session;
use crate::sheets::figures::{DASH, Lengths, count};
use crate::sheets::verdict::area_words;
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::{Contour, NodeKind, Role};
use platewright_core::solution::ContourFit;
use std::sync::Arc;

/// The blocks of operation 40.
pub(super) fn show(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(contours) = session.document.as_ref().map(|document| document.job().contours.clone()) else { return };
    session.screen.pointed_pieces = None;
    let solution = Arc::clone(&session.results.solution);
    let lengths = solution.fit.scale_known().then(|| Lengths::of(session));
    for contour in &contours {
        let fit = solution.contours.iter().find(|fit| fit.id == contour.id);
        let name = match contour.role {
            Role::Outer => "Round the part".to_owned(),
            Role::Opening => format!("Opening {}", contour.id),
        };
        let state = match (contour.keep, contour.closed) {
            (false, _) => "left out",
            (true, true) => "closed",
            (true, false) => "open",
        };
        table_head(ui, &name, state);
        of_contour(ui, contour, fit, lengths);
        if let Some((fit, lengths)) = fit.zip(lengths) {
            ui.push_id(&contour.id, |ui| edge::show(ui, session, (contour, fit), lengths, commands));
        }
    }
    if !contours.is_empty() && lengths.is_none() {
        note(ui, "Lengths are not known yet: one measure across the part sets the scale.");
    }
    chosen_node(ui, session, commands);
}

fn of_contour(ui: &mut Ui, contour: &Contour, fit: Option<&ContourFit>, lengths: Option<Lengths>) {
    rows::pair(ui, "Nodes", &contour.nodes.len().to_string());
    let Some(fit) = fit else { return };
    let arcs = fit.cut.segments.iter().filter(|segment| segment.bulge != 0.0).count();
    let lines = fit.cut.segments.len() - arcs;
    let pieces = format!("{}, {}", count(lines, "line", "lines"), count(arcs, "arc", "arcs"));
    rows::pair(ui, "Cut as", &pieces);
    let length = lengths.map_or_else(|| DASH.to_owned(), |lengths| lengths.with_unit(fit.length_mm));
    rows::pair(ui, if contour.closed { "Length" } else { "Length so far" }, &length);
    let area = match (fit.area_mm2, lengths) {
        (Some(area), Some(lengths)) => area_words(area, lengths),
        (None, _) => "known when it is closed".to_owned(),
        (_, None) => DASH.to_owned(),
    };
    rows::pair(ui, "Area", &area);
    if let (Some(lengths), true) = (lengths, fit.chord_mm > 0.0) {
        rows::pair(ui, "Arcs off the curves, at most", &lengths.with_unit(fit.chord_mm));
    }
    for gap in &fit.gaps {
        let width = lengths.map_or_else(|| DASH.to_owned(), |lengths| lengths.with_unit(gap.width_mm()));
        rows::pair(ui, "Gap", &width);
    }
}

fn chosen_node(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some((id, index)) = session.screen.chosen_node() else { return };
    let Some(document) = &session.document else { return };
    let Some(node) = document.job().contour(id).and_then(|contour| contour.nodes.get(index)) else { return };
    let colours = theme::colours(ui);
    let icon = if node.kind == NodeKind::Corner { Icon::Corner } else { Icon::Smooth };
    let name = format!("Node {}, chosen", index + 1);
    Head::new(&name).marked(icon, colours.brass_text).show(ui);
    let choices = [(NodeKind::Corner, "Corner"), (NodeKind::Smooth, "Smooth")];
    let changed = ui
        .horizontal(|ui| {
            let changed = switch(ui, "Chosen node", node.kind, &choices, 168.0);
            let solution = &session.results.solution;
            // Where a node has no place on the plate, the places are not those of the nodes of the same number.
            let has_all =
                |fit: &&ContourFit| document.job().contour(id).is_some_and(|c| c.nodes.len() == fit.nodes.len());
            let fit = solution.contours.iter().find(|fit| fit.id == *id).filter(has_all);
            let at = fit.and_then(|fit| fit.nodes.get(index)).filter(|_| solution.fit.scale_known());
            if let Some(at) = at {
                let lengths = Lengths::of(session);
                let words = format!("X {}  Y {}", lengths.figure(at.x), lengths.figure(at.y));
                let place = egui::pos2(ui.max_rect().right(), ui.min_rect().center().y);
                columns_text(ui, place, egui::Align2::RIGHT_CENTER, Lettering::Strong, colours.ink, &words);
            }
            changed
        })
        .inner;
    if changed.is_some() {
        commands.push(Command::Do(Action::CornerSmooth));
    }
    note(ui, "Arrow keys move it by 1 px, with Shift by 0.1 px.");
}
