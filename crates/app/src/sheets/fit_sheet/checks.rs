//! The checks, and writing the cut file.

use super::table_head;
use crate::command::{Action, Command};
use crate::controls::{Button, Head, Icon, icons, link, mixed, say_in};
use crate::session::{Asking, Session};
use crate::sheets::tone::Tone;
use crate::sheets::{places, standing};
use crate::theme::{self, Lettering};
use egui::{Label, Layout, Ui, vec2};
use platewright_core::caution::{self, Caution};
use platewright_core::check::{Check, Verdict};

/// Why the cut file cannot be written now; `None` where it can.
pub(super) fn waits(session: &Session) -> Option<String> {
    if !session.results.solution.fit.scale_known() {
        return Some("waits for the scale".to_owned());
    }
    if standing::outline(session).is_none_or(|(contour, _)| !contour.closed) {
        return Some("waits for a closed outline".to_owned());
    }
    let failing: Vec<&Check> = standing::failing(session).collect();
    match failing.as_slice() {
        [] => None,
        [one] => Some(format!("waits for ‘{}’", one.name)),
        several => Some(format!("waits for {} checks", standing::in_words(several.len()))),
    }
}

/// The blocks of operation 60.
pub(super) fn show(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
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
    ui.add_space(10.0);
    write_button(ui, session, commands);
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

fn write_button(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let reason = waits(session);
    let soft = theme::colours(ui).soft;
    ui.horizontal(|ui| {
        let button = Button::main("Write the cut file").icon(Icon::WriteFile).waits(reason.as_deref());
        let key = reason.is_none().then(|| Action::WriteCut.key_text()).flatten();
        if button.key(key).show(ui).clicked() {
            commands.push(Command::Do(Action::WriteCut));
        }
        if let Some(reason) = &reason {
            say_in(ui, Lettering::Body, soft, reason);
        }
    });
    if standing::failing(session).next().is_none() || !session.results.solution.fit.scale_known() {
        return;
    }
    ui.horizontal(|ui| {
        if link(ui, "Write it even so", None).clicked() {
            // Asked for in our own question only: what is chosen in the system's window is never written although a
            // check fails.
            session.screen.path_text = suggested_path(session);
            session.screen.asking = Some(Asking::WhereToCut);
        }
        say_in(ui, Lettering::Body, soft, "marked as failing, inside and by name");
    });
}

/// Beside the job, under its name with `-fails` so that nobody takes it for a file that passed.
fn suggested_path(session: &Session) -> String {
    let Some(document) = &session.document else { return String::new() };
    let beside = document.path.as_ref().unwrap_or(&document.photo.path);
    let name = crate::files::short_name(beside);
    let job = name.strip_suffix(crate::files::JOB_EXTENSION);
    let stem = job.unwrap_or_else(|| name.rsplit_once('.').map_or(name.as_str(), |(stem, _)| stem));
    beside.with_file_name(format!("{stem}-fails.dxf")).display().to_string()
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

    #[test]
    fn nothing_is_written_before_scale_and_outline_are_there() {
        let mut session = samples::session(samples::plate());
        assert_eq!(waits(&session).as_deref(), Some("waits for the scale"), "no scale");
        samples::give_results(&mut session, samples::agreeing());
        assert_eq!(waits(&session).as_deref(), Some("waits for a closed outline"), "no outline");
        let mut session = samples::session(samples::plate_with_outline(true));
        samples::give_results(&mut session, samples::agreeing());
        assert_eq!(waits(&session), None, "all there");
        session.results.checks = vec![samples::check(Verdict::Fail)];
        assert_eq!(waits(&session).as_deref(), Some("waits for ‘Walls’"), "a check fails");
    }
}
