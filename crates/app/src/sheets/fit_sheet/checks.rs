//! The checks, and writing the cut file.

use super::table_head;
use crate::command::Command;
use crate::controls::{Head, Icon, icons, link, mixed};
use crate::session::Session;
use crate::sheets::places;
use crate::sheets::tone::Tone;
use crate::theme::{self, Lettering};
use egui::{Label, Layout, Ui, vec2};
use platewright_core::caution::{self, Caution};
use platewright_core::check::{Check, Verdict};

/// The blocks of operation 60.
pub(super) fn show(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    super::exports::show(ui, session, commands);
    let checks = in_order(&session.results.checks);
    table_head(ui, "Checks", &tally(&checks));
    let mut show = None;
    for (index, check) in checks.iter().enumerate() {
        ui.push_id(index, |ui| {
            if one(ui, check) {
                show = Some(check);
            }
        });
    }
    if let Some(check) = show {
        places::show_check(session, check);
    }
    Head::new("Before you have it cut").marked(Icon::Caution, theme::colours(ui).caution).show(ui);
    cautions(ui, session);
}

/// What is to be borne in mind before this part is cut.
fn cautions(ui: &mut Ui, session: &Session) {
    let Some(document) = &session.document else { return };
    let colours = theme::colours(ui);
    for Caution { about, text } in caution::cautions(document.job()) {
        let about = format!("{about}. ");
        let pieces = [(Lettering::Strong, colours.ink, about.as_str()), (Lettering::Body, colours.ink, text.as_str())];
        ui.add(Label::new(mixed(&pieces)).wrap());
        ui.add_space(4.0);
    }
}

/// What fails first, then what is to be borne in mind, what cannot be told, and what passes.
fn in_order(checks: &[Check]) -> Vec<Check> {
    let rank = |verdict: Verdict| match verdict {
        Verdict::Fail => 0,
        Verdict::Warn => 1,
        Verdict::CannotTell => 2,
        Verdict::Pass => 3,
    };
    let mut sorted = checks.to_vec();
    sorted.sort_by_key(|check| rank(check.verdict));
    sorted
}

/// `1 fails, 1 caution, 2 cannot tell, 5 pass`.
fn tally(checks: &[Check]) -> String {
    let of = |verdict: Verdict| checks.iter().filter(|check| check.verdict == verdict).count();
    let fails = of(Verdict::Fail);
    let parts = [
        (fails, if fails == 1 { "fails" } else { "fail" }),
        (of(Verdict::Warn), "caution"),
        (of(Verdict::CannotTell), "cannot tell"),
        (of(Verdict::Pass), "pass"),
    ];
    let said: Vec<String> = parts.iter().filter(|(n, _)| *n > 0).map(|(n, words)| format!("{n} {words}")).collect();
    said.join(", ")
}

fn one(ui: &mut Ui, check: &Check) -> bool {
    let colours = theme::colours(ui);
    let tone = Tone::of_check(check.verdict);
    let mut clicked = false;
    ui.horizontal_top(|ui| {
        let (rect, _) = ui.allocate_exact_size(vec2(theme::ICON, theme::ROW), egui::Sense::hover());
        icons::paint(ui.painter(), icons::square(rect.center()), tone.icon(), tone.text(colours));
        ui.with_layout(Layout::right_to_left(egui::Align::Min), |ui| {
            if check.about.is_some() || !check.places.is_empty() {
                clicked = link(ui, "show", Some(&format!("Show what {} is about", check.name))).clicked();
            }
            ui.with_layout(Layout::top_down(egui::Align::Min), |ui| {
                let name_colour = if check.verdict == Verdict::Pass { colours.ink } else { tone.text(colours) };
                let lead = match check.verdict {
                    Verdict::CannotTell => format!("Cannot tell: {}. ", check.name.to_lowercase()),
                    _ => format!("{}. ", check.name),
                };
                let pieces = [
                    (Lettering::Strong, name_colour, lead.as_str()),
                    (Lettering::Body, colours.ink, check.text.as_str()),
                ];
                ui.add(Label::new(mixed(&pieces)).wrap());
            });
        });
    });
    let rect = ui.min_rect();
    icons::dashed_level(ui.painter(), rect.left(), rect.right(), rect.bottom() + 2.0, colours.rule);
    ui.add_space(2.0);
    clicked
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;

    #[test]
    fn what_fails_comes_first_and_is_counted() {
        let checks =
            [samples::check(Verdict::Pass), samples::check(Verdict::CannotTell), samples::check(Verdict::Fail)];
        let sorted = in_order(&checks);
        assert_eq!(sorted[0].verdict, Verdict::Fail, "first");
        assert_eq!(sorted[2].verdict, Verdict::Pass, "last");
        assert_eq!(tally(&checks), "1 fails, 1 cannot tell, 1 pass", "counted");
    }
}
