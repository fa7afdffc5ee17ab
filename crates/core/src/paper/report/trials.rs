//! What a trial fit showed.

use super::ReportSource;
use super::flow::{BODY, Flow};
use super::sign::Sign;
use super::table::{self, Row, figures, short, words};
use crate::job::{Outcome, Trial};
use crate::solution::TrialVerdict;
use crate::units::format_figure;

pub(super) fn set(source: &ReportSource<'_>, flow: &mut Flow<'_>) {
    let trials = &source.job.trials;
    if trials.is_empty() {
        return;
    }
    let seen = if source.job.design.mirrored { ", seen as in the photo" } else { "" };
    flow.head("After the trial", &format!("the way the plate has to move, from x towards y{seen}"));
    let rounds = source.job.last_round();
    let of_round = |trial: &Trial| if rounds > 1 { format!(", round {}", trial.round) } else { String::new() };
    let none = || "–".to_owned();
    let rows: Vec<Row> = trials
        .iter()
        .map(|trial| {
            Row::new([
                format!("{}{}", source.job.feature_name(&trial.hole), of_round(trial)),
                in_words(trial.outcome).to_owned(),
                trial.mm.map_or_else(none, |mm| format_figure(mm, 2)),
                trial.towards_deg.map_or_else(none, |deg| format!("{}°", format_figure(deg, 0))),
            ])
        })
        .collect();
    if let Some(fit) = &source.solution.trial {
        let sign = match fit.verdict {
            TrialVerdict::Agrees => Sign::Agrees,
            TrialVerdict::TooFew => Sign::NotKnown,
            TrialVerdict::Explained | TrialVerdict::Unexplained => Sign::Disagrees,
        };
        flow.signed_paragraph(sign, &fit.text(), BODY);
        flow.down(1.0);
    }
    table::set(flow, &[words("Hole"), short("what happened"), figures("by mm"), figures("towards")], &rows);
}

const fn in_words(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::WentOn => "went on",
        Outcome::Touched => "touched",
        Outcome::WouldNotGo => "would not go",
        Outcome::NotTried => "not tried",
    }
}
