//! The odds that the plate goes over its fasteners: how good they are, what stands in the way, and what helps.

use super::{note, rows, table_head};
use crate::command::{Action, Command};
use crate::controls::{link, mixed, say};
use crate::odds;
use crate::session::{Operation, Session};
use crate::sheets::figures::Lengths;
use crate::sheets::standing::{self, Fasteners};
use crate::sheets::{places, terms};
use crate::theme::{self, Lettering};
use egui::{Align2, Label, Rect, Ui, pos2, vec2};
use platewright_core::job::Job;
use platewright_core::solution::{BoltUp, BoltUpHole, NextMeasure, finished_mm};
use platewright_core::standards::{HoleClass, clearance_hole_mm};
use platewright_core::units::format_figure;
use std::sync::Arc;

/// A further measure that leaves more than this share of the worst hole's ± does not help.
const NO_HELP: f64 = 0.9;

/// The block; nothing while there is no hole.
pub(super) fn show(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let job = document.job().clone();
    if job.holes.is_empty() {
        return;
    }
    let solution = Arc::clone(&session.results.solution);
    let lengths = Lengths::of(session);
    if let Some(bolt_up) = standing::odds(session).cloned() {
        let cut = lengths.plus_minus_with_unit(bolt_up.cutting_mm);
        table_head(ui, "Bolt-up odds", &format!("cut to {cut}"));
        result(ui, &bolt_up);
        table(ui, session, &job, &bolt_up, lengths);
        if bolt_up.odds < odds::POOR {
            what_helps(ui, session, &job, &bolt_up, lengths);
        }
    } else {
        table_head(ui, "Bolt-up odds", "");
        let disagrees = standing::is_unsettled(session);
        match (standing::fasteners(&job), solution.fit.scale_known(), disagrees) {
            (Fasteners::Unsaid | Fasteners::NoSuch { .. }, ..) => {}
            (_, false, _) => note(ui, "The odds follow once the size is known."),
            (_, true, true) => note(ui, "Settle first what disagrees, and the odds follow."),
            (_, true, false) => note(ui, "The odds are not known yet."),
        }
    }
    what_is_missing(ui, session, &job, commands);
}

/// The odds and what they are good to.
fn result(ui: &mut Ui, bolt_up: &BoltUp) {
    let colours = theme::colours(ui);
    let colour = if bolt_up.odds < odds::POOR { colours.caution } else { colours.agree_text };
    let sentence = odds::sentence(bolt_up);
    let give = odds::give_or_take(bolt_up).map_or_else(String::new, |give| format!(" {give}"));
    let pieces = [(Lettering::Strong, colour, sentence.as_str()), (Lettering::Body, colours.soft, give.as_str())];
    let said = ui.add(Label::new(mixed(&pieces)).wrap());
    if let Some(meaning) = terms::meaning("odds") {
        rows::describe(said, meaning);
    }
}

/// Where the columns end, as shares of the width.
const ENDS: [f32; 3] = [0.36, 0.54, 0.71];

fn table(ui: &mut Ui, session: &mut Session, job: &Job, bolt_up: &BoltUp, lengths: Lengths) {
    let width = ui.available_width();
    rows::column_heads(
        ui,
        &[
            ("fastener", 44.0, Align2::LEFT_CENTER),
            ("hole", ENDS[1] * width, Align2::RIGHT_CENTER),
            ("play", ENDS[2] * width, Align2::RIGHT_CENTER),
            ("in the way", width, Align2::RIGHT_CENTER),
        ],
    );
    // Who stands in the way of one plate in a thousand is no matter.
    let fails = bolt_up.odds < odds::AS_GOOD_AS_SURE;
    let mut clicked = None;
    for hole in &bolt_up.holes {
        let is_worst = fails && bolt_up.worst.as_ref() == Some(&hole.id);
        if one(ui, session, job, hole, (is_worst, fails, lengths)) {
            clicked = Some(hole.id.clone());
        }
    }
    if let Some(id) = clicked {
        places::show(session, &id);
    }
}

fn one(
    ui: &mut Ui,
    session: &Session,
    job: &Job,
    hole: &BoltUpHole,
    (is_worst, fails, lengths): (bool, bool, Lengths),
) -> bool {
    let colours = theme::colours(ui);
    let name = job.feature_name(&hole.id);
    let fastener = said_fastener(job, &hole.id).unwrap_or_default();
    let found = session.results.solution.holes.iter().find(|fit| fit.id == hole.id);
    let size = job.hole(&hole.id).zip(found).map(|(hole, fit)| finished_mm(job, hole, fit.bore_diameter_mm));
    let share = if fails { format!("{} %", format_figure(hole.in_the_way * 100.0, 0)) } else { "never".to_owned() };
    let play = lengths.signed(hole.play_mm);
    let play = play.trim_start_matches('+');
    let size = size.map(|mm| lengths.figure(mm)).unwrap_or_default();
    let worst = if is_worst { ", most often in the way" } else { "" };
    let spoken = format!("{name}: {fastener} in {size}, play {play}, in the way {share}{worst}");
    let chosen = matches!(&session.screen.chosen, Some(crate::session::Chosen::Hole(id)) if *id == hole.id);
    let row = rows::clickable(ui, &spoken, chosen);
    let lettering = if is_worst { Lettering::Strong } else { Lettering::Body };
    let ink = if hole.play_mm < 0.0 { colours.disagree_text } else { colours.ink };
    let width = row.rect.width();
    rows::left(ui, row.rect, 0.0, lettering, ink, name);
    rows::left(ui, row.rect, 44.0, lettering, ink, &fastener);
    rows::right(ui, row.rect, ENDS[1] * width, lettering, ink, &size);
    rows::right(ui, row.rect, ENDS[2] * width, lettering, ink, play);
    rows::right(ui, row.rect, width, lettering, ink, &share);
    let room = Rect::from_min_max(
        pos2(row.rect.left() + ENDS[2] * width + 12.0, row.rect.center().y - 3.5),
        pos2(row.rect.right() - 44.0, row.rect.center().y + 3.5),
    );
    if room.width() > 8.0 && fails {
        ui.painter().rect_filled(room, 0.0, colours.rule);
        let part = Rect::from_min_size(room.min, vec2(room.width() * hole.in_the_way.clamp(0.0, 1.0) as f32, 7.0));
        ui.painter().rect_filled(part, 0.0, if is_worst { colours.disagree } else { colours.ink });
    }
    row.response.clicked()
}

/// The fastener of a hole, as it was typed.
fn said_fastener(job: &Job, hole: &platewright_core::job::Id) -> Option<String> {
    job.group(job.hole(hole)?.group.as_ref()?)?.fastener.clone()
}

/// What would make poor odds better: a further measure, a larger class.
fn what_helps(ui: &mut Ui, session: &mut Session, job: &Job, bolt_up: &BoltUp, lengths: Lengths) {
    let solution = Arc::clone(&session.results.solution);
    let helps = |next: &&NextMeasure| next.worst_sigma_after_mm < NO_HELP * next.worst_sigma_before_mm;
    let next = solution.measure_next.first().filter(helps);
    let larger = larger_class(job, bolt_up, lengths);
    match (&next, &larger) {
        (Some(_), Some(larger)) => say(ui, Lettering::Body, &format!("One more measure helps, and so does {larger}.")),
        (Some(_), None) => say(ui, Lettering::Body, "One more measure helps."),
        (None, Some(larger)) => {
            say(ui, Lettering::Body, &format!("What helps is {larger}, or a finer cutter. Measures help little."))
        }
        (None, None) => say(ui, Lettering::Body, "What helps is larger holes, or a finer cutter."),
    };
    if let Some(next) = next
        && link(ui, &next.call(job), None).clicked()
    {
        session.begin_measure(next.clone());
    }
}

/// `M6 coarse, 7.00 mm, at H3`: the next hole up in the standard for the fastener that is most often in the way.
fn larger_class(job: &Job, bolt_up: &BoltUp, lengths: Lengths) -> Option<String> {
    let worst = bolt_up.worst.as_ref()?;
    let hole = job.hole(worst)?;
    let fastener = platewright_core::solution::fastener(job, hole)?;
    let play_mm = bolt_up.holes.iter().find(|other| other.id == *worst)?.play_mm;
    let now_mm = fastener.diameter_mm() + 2.0 * play_mm;
    let classes = HoleClass::ALL.into_iter().filter(|class| *class != HoleClass::Tapping);
    let (class, mm) = classes
        .filter_map(|class| Some((class, clearance_hole_mm(fastener, class)?)))
        .find(|(_, mm)| *mm > now_mm + 0.01)?;
    Some(format!("{fastener} {}, {}, at {}", class.name(), lengths.with_unit(mm), hole.name))
}

/// What is to be said before there can be odds, or before they are about all fasteners.
fn what_is_missing(ui: &mut Ui, session: &mut Session, job: &Job, commands: &mut Vec<Command>) {
    match standing::fasteners(job) {
        Fasteners::Known => {}
        Fasteners::Unsaid => {
            say(ui, Lettering::Body, standing::SAY_FASTENERS);
            if session.screen.operation != Operation::Holes && link(ui, "Go to the holes", None).clicked() {
                commands.push(Command::Do(Action::Operation(Operation::Holes)));
            }
        }
        Fasteners::NoSuch { hole, typed } => {
            let name = job.feature_name(&hole);
            let colour = theme::colours(ui).caution;
            crate::controls::say_in(ui, Lettering::Body, colour, &standing::no_such_fastener(&typed, name));
            if link(ui, &format!("Put it right at {name}"), None).clicked() {
                session.screen.operation = Operation::Holes;
                session.screen.route_open = true;
                places::show(session, &hole);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;
    use platewright_core::job::Id;

    #[test]
    fn the_next_class_up_is_named_for_the_fastener_in_the_way() {
        let job = samples::with_fastener(samples::plate(), "M6");
        let lengths = Lengths::of(&samples::session(job.clone()));
        let hole = |play_mm| BoltUpHole { id: Id::from("h1"), play_mm, in_the_way: 1.0 };
        let bolt_up = |play_mm| BoltUp { holes: vec![hole(play_mm)], ..samples::odds(0.4) };
        // ISO 273: M6 fine 6.4, medium 6.6, coarse 7.0 mm.
        let larger = |play_mm| larger_class(&job, &bolt_up(play_mm), lengths);
        assert_eq!(larger(0.3).as_deref(), Some("M6 coarse, 7.00 mm, at H1"), "above medium");
        assert_eq!(larger(0.1).as_deref(), Some("M6 fine, 6.40 mm, at H1"), "above 6.2 mm");
        assert_eq!(larger(0.6), None, "no class is larger than 7.2 mm");
    }
}
