//! How the cut lies to the measured edge, contour by contour: what is not seen, what crosses, what may have been meant.

use super::{note, rows};
use crate::command::Command;
use crate::controls::{Head, link, say, say_in};
use crate::session::Session;
use crate::sheets::figures::{Lengths, count};
use crate::sheets::places::shown;
use crate::theme::{self, Lettering};
use egui::{Ui, vec2};
use platewright_core::job::{Contour, Edit, Job, Meant, MeantKind};
use platewright_core::solution::{Change, ContourFit, MeasuredContour, SuggestionFit};
use platewright_core::space::PlatePoint;
use platewright_core::units::format_figure;

/// The rows of a contour's measured edge.
pub(super) fn show(
    ui: &mut Ui,
    session: &mut Session,
    (contour, fit): (&Contour, &ContourFit),
    lengths: Lengths,
    commands: &mut Vec<Command>,
) {
    for (index, crossing) in fit.crossings.iter().enumerate() {
        let (first, second) = (crossing.pieces.0 + 1, crossing.pieces.1 + 1);
        let what = if first == second { format!("piece {first}") } else { format!("pieces {first} and {second}") };
        let words =
            format!("Meets itself: {what}, at X {} Y {}", lengths.figure(crossing.at.x), lengths.figure(crossing.at.y));
        place_row(ui, session, &words, &format!("Show crossing {}", index + 1), crossing.at);
    }
    let Some(measured) = &fit.measured else { return };
    figures(ui, measured, lengths);
    let drawn = contour.nodes.iter().filter(|node| node.as_drawn).count();
    if drawn > 0 {
        rows::pair(ui, "As drawn", &count(drawn, "piece", "pieces"));
    }
    for (index, unseen) in measured.unseen.iter().enumerate() {
        let how = if unseen.as_drawn { "cut as drawn" } else { "led across" };
        let words = format!("{} not seen: {}, {how}", lengths.with_unit(unseen.length_mm()), unseen.why());
        let middle = unseen.from.lerp(unseen.to, 0.5);
        place_row(ui, session, &words, &format!("Show stretch {}", index + 1), middle);
    }
    agreed(ui, session, contour, measured, commands);
    suggestions(ui, session, contour, measured, lengths, commands);
}

fn figures(ui: &mut Ui, measured: &MeasuredContour, lengths: Lengths) {
    if measured.places.is_empty() {
        note(ui, "Nothing along its nodes looks like the edge of the face: it is cut as drawn.");
        return;
    }
    let [worst, allowed] = lengths.beside_limit(measured.worst_mm, measured.allowance_mm());
    rows::pair(ui, "Cut within", &format!("{worst} of the measured edge"));
    rows::pair(ui, "Allowed", &allowed);
    rows::pair(ui, "Noise of the edge", &format!("{} mm", format_figure(measured.noise_mm, 3)));
    let left_out = measured.places.iter().filter(|place| !place.took_part).count();
    let places = match left_out {
        0 => measured.places.len().to_string(),
        _ => format!("{}, {left_out} left out", measured.places.len()),
    };
    rows::pair(ui, "Measured places", &places);
}

/// Words with a link that brings a place of the plate into sight.
fn place_row(ui: &mut Ui, session: &mut Session, words: &str, name: &str, at: PlatePoint) {
    ui.horizontal_wrapped(|ui| {
        say(ui, Lettering::Body, words);
        if link(ui, "show", Some(name)).clicked() {
            session.screen.show = session.results.solution.map.and_then(|map| shown(&[map.photo_from_plate(at)?]));
        }
    });
}

fn agreed(
    ui: &mut Ui,
    session: &mut Session,
    contour: &Contour,
    measured: &MeasuredContour,
    commands: &mut Vec<Command>,
) {
    if measured.agreed.is_empty() && contour.refused.is_empty() {
        return;
    }
    Head::new("Agreed").note("the cut is held to it").show(ui);
    let job = session.document.as_ref().map(|document| document.job().clone());
    for (index, agreed) in measured.agreed.iter().enumerate() {
        let words = kind_words(&agreed.meant, job.as_ref());
        let state = match (agreed.is_held, agreed.pieces.is_empty()) {
            (true, _) => "",
            (false, true) => ": its pieces are no longer there",
            (false, false) => ": not held, another speaks against it",
        };
        ui.horizontal_wrapped(|ui| {
            let row = say(ui, Lettering::Body, &format!("{words}{state}"));
            let back = link(ui, "take back", Some(&format!("Take back {}: {words}", index + 1)));
            point_at(session, contour, &agreed.pieces, row.hovered() || back.hovered());
            if back.clicked() {
                let edit = Edit::TakeBackMeant { contour: contour.id.clone(), meant: agreed.meant.clone() };
                commands.push(Command::Edit("take back what was agreed".to_owned(), vec![edit]));
            }
        });
    }
    if !contour.refused.is_empty() {
        ui.horizontal_wrapped(|ui| {
            say(ui, Lettering::Body, &count(contour.refused.len(), "suggestion left", "suggestions left"));
            if link(ui, "suggest again", None).clicked() {
                let back = |meant: &Meant| Edit::TakeBackMeant { contour: contour.id.clone(), meant: meant.clone() };
                let edits = contour.refused.iter().map(back).collect();
                commands.push(Command::Edit("suggest again what was left".to_owned(), edits));
            }
        });
    }
}

/// Width from which what a suggestion does and the three links stand in one line, points.
const ROOM_FOR_LINKS: f32 = 320.0;

fn suggestions(
    ui: &mut Ui,
    session: &mut Session,
    contour: &Contour,
    measured: &MeasuredContour,
    lengths: Lengths,
    commands: &mut Vec<Command>,
) {
    if measured.suggestions.is_empty() {
        return;
    }
    let job = session.document.as_ref().map(|document| document.job().clone());
    Head::new("Perhaps meant").note("takes effect when taken").show(ui);
    for (index, suggestion) in measured.suggestions.iter().enumerate() {
        ui.push_id(("suggestion", index), |ui| {
            let words = kind_words(&suggestion.meant, job.as_ref());
            let change = change_words(&suggestion.change, lengths);
            let effect = effect_words(suggestion, lengths);
            let shown = ui.scope(|ui| {
                ui.spacing_mut().item_spacing = vec2(theme::BUTTON_GAP, 1.0);
                ui.horizontal_wrapped(|ui| {
                    say(ui, Lettering::Strong, &words);
                    say(ui, Lettering::Body, &change);
                });
                let mut pressed = None;
                let soft = theme::colours(ui).soft;
                // Where there is no room beside the words, all three go below them.
                let below = ui.available_width() < ROOM_FOR_LINKS;
                if below {
                    say_in(ui, Lettering::Small, soft, &effect);
                }
                ui.horizontal(|ui| {
                    if !below {
                        say_in(ui, Lettering::Small, soft, &effect);
                    }
                    if link(ui, "take", Some(&format!("Take {}: {words}, {change}", index + 1))).clicked() {
                        pressed = Some(true);
                    }
                    if link(ui, "leave", Some(&format!("Leave {}: {words}, {change}", index + 1))).clicked() {
                        pressed = Some(false);
                    }
                    if link(ui, "show", Some(&format!("Show suggestion {}", index + 1))).clicked() {
                        session.screen.show = shown(&suggestion.meant.of);
                        session.screen.pointed_pieces = Some((contour.id.clone(), suggestion.pieces.clone()));
                    }
                });
                pressed
            });
            let is_over = ui.rect_contains_pointer(shown.response.rect);
            point_at(session, contour, &suggestion.pieces, is_over);
            if let Some(taken) = shown.inner {
                let (contour, meant) = (contour.id.clone(), suggestion.meant.clone());
                commands.push(if taken {
                    Command::Edit(format!("take {}", lower(&words)), vec![Edit::Agree { contour, meant }])
                } else {
                    Command::Edit(format!("leave {}", lower(&words)), vec![Edit::Refuse { contour, meant }])
                });
                session.screen.pointed_pieces = None;
            }
        });
    }
}

/// Shows on the photo what a row is about, while the pointer is on it.
fn point_at(session: &mut Session, contour: &Contour, pieces: &[usize], is_over: bool) {
    if is_over {
        session.screen.pointed_pieces = Some((contour.id.clone(), pieces.to_vec()));
    }
}

fn lower(words: &str) -> String {
    let mut chars = words.chars();
    chars.next().map_or_else(String::new, |first| first.to_lowercase().chain(chars).collect())
}

/// What is meant, in words.
fn kind_words(meant: &Meant, job: Option<&Job>) -> String {
    match meant.kind {
        MeantKind::EqualRadii => "Equal radii".to_owned(),
        MeantKind::Concentric => {
            let hole = meant.hole.as_ref().zip(job).map(|(hole, job)| job.feature_name(hole).to_owned());
            format!("Concentric with {}", hole.unwrap_or_else(|| "a hole".to_owned()))
        }
        MeantKind::Parallel => "Parallel".to_owned(),
        MeantKind::Square => "Square".to_owned(),
        MeantKind::RoundRadius => format!("Radius {}", meant.mm.map_or_else(String::new, round_figure)),
        MeantKind::RoundDistance => format!("Distance {}", meant.mm.map_or_else(String::new, round_figure)),
    }
}

/// A figure that was rounded to half a mm.
fn round_figure(mm: f64) -> String {
    format!("{} mm", format_figure(mm, 1))
}

/// What becomes what: `R 9.98 → 10.00`.
fn change_words(change: &Change, lengths: Lengths) -> String {
    match change {
        Change::Radius { from_mm, to_mm } => {
            let from: Vec<String> = from_mm.iter().map(|mm| lengths.figure(*mm)).collect();
            format!("R {} \u{2192} {}", from.join(" and "), lengths.with_unit(*to_mm))
        }
        Change::Distance { from_mm, to_mm } => {
            format!("{} \u{2192} {}", lengths.figure(*from_mm), lengths.with_unit(*to_mm))
        }
        Change::Centre { off_mm } => format!("off {} \u{2192} {}", lengths.figure(*off_mm), lengths.with_unit(0.0)),
        Change::Angle { off_deg } => format!("off {}° \u{2192} 0°", format_figure(*off_deg, 2)),
    }
}

/// What it does to the cut: how far it moves, and how far it is then off the edge at most.
fn effect_words(suggestion: &SuggestionFit, lengths: Lengths) -> String {
    let moves = if lengths.is_nothing(suggestion.moves_mm) {
        "hardly moves".to_owned()
    } else {
        format!("moves by {}", lengths.figure(suggestion.moves_mm))
    };
    format!("{moves}, then within {}", lengths.with_unit(suggestion.worst_mm))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::Session;

    #[test]
    fn a_suggestion_says_what_becomes_what() {
        let lengths = Lengths::of(&Session::default());
        let change = Change::Radius { from_mm: vec![9.981, 10.034], to_mm: 10.0 };
        assert_eq!(change_words(&change, lengths), "R 9.98 and 10.03 → 10.00 mm");
        assert_eq!(change_words(&Change::Angle { off_deg: 0.123 }, lengths), "off 0.12° → 0°");
        assert_eq!(change_words(&Change::Distance { from_mm: 40.02, to_mm: 40.0 }, lengths), "40.02 → 40.00 mm");
        let meant = Meant { kind: MeantKind::RoundRadius, of: vec![], hole: None, mm: Some(10.5) };
        assert_eq!(kind_words(&meant, None), "Radius 10.5 mm");
        let suggestion = SuggestionFit { meant, pieces: vec![0], change, moves_mm: 0.021, worst_mm: 0.048 };
        assert_eq!(effect_words(&suggestion, lengths), "moves by 0.02, then within 0.05 mm");
    }
}
