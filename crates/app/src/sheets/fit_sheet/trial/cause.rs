//! What explains the trial, and what can be done about it.

use crate::controls::{Button, Icon, icons, mixed};
use crate::session::{Chosen, Operation, Session};
use crate::sheets::places;
use crate::sheets::tone::Tone;
use crate::theme::{self, Lettering};
use egui::{Label, Sense, Ui, vec2};
use platewright_core::job::{Id, Job};
use platewright_core::solution::{Act, Cause, NextMeasure, TrialFit, TrialVerdict};
use std::sync::Arc;

/// What a button does.
#[derive(Debug, Clone, PartialEq)]
enum Way {
    Show(Id),
    MeasureAgain(Id),
    Take(NextMeasure),
}

/// The cause in words, and its ways out; nothing while nothing was tried.
pub(super) fn show(ui: &mut Ui, session: &mut Session, job: &Job) {
    let solution = Arc::clone(&session.results.solution);
    let Some(fit) = &solution.trial else { return };
    let tone = tone(fit);
    let colours = theme::colours(ui);
    ui.add_space(4.0);
    ui.horizontal_top(|ui| {
        let (rect, _) = ui.allocate_exact_size(vec2(theme::ICON, theme::ROW), Sense::hover());
        icons::paint(ui.painter(), icons::square(rect.center()), tone.icon(), tone.text(colours));
        let explanation = format!(" {}", fit.explanation);
        let pieces = [
            (Lettering::Strong, tone.text(colours), fit.sentence.as_str()),
            (Lettering::Body, colours.ink, explanation.as_str()),
        ];
        ui.add(Label::new(mixed(&pieces)).wrap());
    });
    let ways = ways(job, fit);
    if ways.is_empty() {
        return;
    }
    let mut taken = None;
    ui.horizontal_wrapped(|ui| {
        for (words, way) in ways {
            let button = Button::rest(&words);
            let button = if matches!(way, Way::Show(_)) { button.icon(Icon::Show) } else { button };
            if button.show(ui).clicked() {
                taken = Some(way);
            }
        }
    });
    match taken {
        Some(Way::Show(id)) => places::show(session, &id),
        Some(Way::MeasureAgain(id)) => {
            session.screen.operation = Operation::Measures;
            session.screen.chosen = Some(Chosen::Measure(id.clone()));
            session.screen.retyping = Some(id);
        }
        Some(Way::Take(next)) => session.begin_measure(next),
        None => {}
    }
}

fn tone(fit: &TrialFit) -> Tone {
    match fit.verdict {
        TrialVerdict::Agrees => Tone::Agrees,
        TrialVerdict::TooFew => Tone::NotKnown,
        TrialVerdict::Explained | TrialVerdict::Unexplained => Tone::Disagrees,
    }
}

/// The buttons with their words, each once.
fn ways(job: &Job, fit: &TrialFit) -> Vec<(String, Way)> {
    let mut ways = match &fit.act {
        Some(Act::MeasureAgain(id)) => {
            vec![(format!("Measure {} again", job.reading_name(id)), Way::MeasureAgain(id.clone()))]
        }
        Some(Act::Measure(next)) => vec![(next.call(job), Way::Take(next.clone()))],
        Some(Act::SeeWhichSide(holes)) => holes.first().map(|id| show_way(job, id)).into_iter().collect(),
        Some(Act::LookAt(_) | Act::MeasureBars | Act::CheckInstrument | Act::TryAlso(_)) | None => Vec::new(),
    };
    for cause in &fit.causes {
        let (Cause::Measure { id, .. } | Cause::Hole { id, .. }) = cause else { continue };
        let way = show_way(job, id);
        if !ways.contains(&way) {
            ways.push(way);
        }
    }
    ways
}

fn show_way(job: &Job, id: &Id) -> (String, Way) {
    let is_measure = job.measures.iter().any(|measure| measure.id == *id);
    let name = if is_measure { job.reading_name(id) } else { job.feature_name(id).to_owned() };
    (format!("Show {name}"), Way::Show(id.clone()))
}
