//! What the paper printer makes of the check bars: typed back, the next print is put right, each direction on its own.

use super::trial::read_of;
use super::{note, rows, table_head};
use crate::command::Command;
use crate::controls::{Icon, Reading, link, say, say_in};
use crate::exports::PaperPrinter;
use crate::session::Session;
use crate::sheets::figure_field::{Figure, Typed, taken};
use crate::sheets::figures::Lengths;
use crate::theme::{self, Lettering};
use egui::{Align2, Ui};
use platewright_core::job::{Edit, TriedOn, capital};

/// Where the columns end, as shares of the width.
const ENDS: [f32; 2] = [0.42, 0.74];

/// The block.
pub(super) fn show(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    table_head(ui, "Your printer", "bars of the last print");
    let lengths = Lengths::of(session);
    let width = ui.available_width();
    let columns = [
        ("", 0.0, Align2::LEFT_CENTER),
        ("should be", ENDS[0] * width, Align2::RIGHT_CENTER),
        ("reads", ENDS[1] * width, Align2::RIGHT_CENTER),
        ("next print", width, Align2::RIGHT_CENTER),
    ];
    rows::column_heads(ui, &columns);
    let mut now = session.settings.proof.printer;
    if let Some((bars_mm, lay)) = session.screen.shown_bars.filter(|_| now.number == 0 && now.reads_mm == [None; 2]) {
        // Nothing was printed from here: what is read is of a proof as it is shown.
        (now.bars_mm, now.lay) = (bars_mm, lay);
    }
    let mut after = now;
    let next = now.next(now.lay);
    for (k, words) in ["Bar across", "Bar up"].into_iter().enumerate() {
        let factor = next.as_ref().ok().map(|scale| [scale.across, scale.up][k]);
        let reading = row(ui, words, &now, k, lengths, factor);
        if let Some(typed) = taken(ui, reading) {
            after.reads_mm[k] = typed.number();
        }
    }
    let forgotten = PaperPrinter { number: now.number, bars_mm: now.bars_mm, lay: now.lay, ..PaperPrinter::default() };
    if now != forgotten && link(ui, "another printer", Some("Forget what put this printer right")).clicked() {
        after = forgotten;
    }
    if after != now {
        session.settings.proof.printer = after;
        tell_the_trial(session, &after, commands);
    }
    match next {
        Err(refused) => {
            let words = format!("{}.", capital(&refused.to_string()));
            say_in(ui, Lettering::Body, theme::colours(ui).disagree_text, &words);
        }
        Ok(_) if now.reads_mm.iter().any(Option::is_some) => advice(ui, &now),
        Ok(scale) => {
            let with = match scale.words() {
                Some(words) => format!("The last print was put right by {words}. "),
                None => String::new(),
            };
            note(ui, &format!("{with}Print at 100 %, lay a ruler on both bars, and type what they read."));
        }
    }
}

fn row(
    ui: &mut Ui,
    words: &str,
    now: &PaperPrinter,
    k: usize,
    lengths: Lengths,
    factor: Option<f64>,
) -> Reading<Typed> {
    let width = ui.available_width();
    let name = format!("{words} reads");
    let row = ui.horizontal(|ui| {
        let left = ui.cursor().left();
        say(ui, Lettering::Body, words);
        let should = lengths.figure(now.bars_mm[k]);
        let at = |share: f32| egui::pos2(left + share * width, ui.max_rect().center().y);
        let colours = theme::colours(ui);
        ui.painter().text(at(ENDS[0]), Align2::RIGHT_CENTER, should, Lettering::Body.font(), colours.ink);
        let field = 84.0;
        ui.add_space((left + ENDS[1] * width - field - ui.cursor().left()).max(0.0));
        let reading = Figure::length(&name, now.reads_mm[k], lengths).hint("unread").width(field).show(ui);
        let factor = factor.map_or_else(|| "–".to_owned(), |factor| format!("× {factor:.4}"));
        let end = egui::pos2(left + width, ui.max_rect().center().y);
        let colours = theme::colours(ui);
        ui.painter().text(end, Align2::RIGHT_CENTER, factor, Lettering::Body.font(), colours.ink);
        reading
    });
    row.inner
}

/// What was tried on paper was as large as its bars: a trial that is entered knows it. Bars of a print that was made after
/// the one that was tried are none of its.
fn tell_the_trial(session: &Session, printer: &PaperPrinter, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let job = document.job();
    let known = job.tried.unwrap_or_default();
    // Where nobody knows which print it was, the first bars that are read are taken for its own.
    let is_its_own = match known.print {
        Some(print) => print == printer.number,
        None => known.bars() == [None; 2],
    };
    if job.trials.is_empty() || known.on != TriedOn::Paper || !is_its_own {
        return;
    }
    let tried = read_of(printer);
    if tried != known {
        commands.push(Command::Edit("say how the check bars read".to_owned(), vec![Edit::TriedAs(Some(tried))]));
    }
}

/// How far off the last print was.
fn advice(ui: &mut Ui, printer: &PaperPrinter) {
    let off = [0, 1].map(|k| printer.reads_mm[k].map_or(0.0, |reads| reads - printer.bars_mm[k]));
    let worst = usize::from(off[0].abs() < off[1].abs());
    let (mm, bar) = (off[worst], printer.bars_mm[worst]);
    if mm.abs() < 0.005 {
        let both = printer.reads_mm.iter().all(Option::is_some);
        return note(ui, if both { "The last print came out true." } else { "True this way. Read the other bar too." });
    }
    let way = if mm < 0.0 { "short" } else { "long" };
    let words =
        format!("The last print came out {:.2} mm {way} over {bar:.0}. Print again: it is put right.", mm.abs());
    ui.horizontal_top(|ui| {
        let (rect, _) = ui.allocate_exact_size(egui::vec2(theme::ICON, theme::ROW), egui::Sense::hover());
        let colour = theme::colours(ui).caution;
        crate::controls::icons::paint(
            ui.painter(),
            crate::controls::icons::square(rect.center()),
            Icon::Caution,
            colour,
        );
        ui.vertical(|ui| say(ui, Lettering::Body, &words));
    });
}
