//! What else the person should know: findings that the sheet's sentence does not say already.

use crate::command::Command;
use crate::controls::{Head, icons, link, say_in};
use crate::session::{Operation, Session};
use crate::sheets::tone::Tone;
use crate::sheets::verdict::{Offer, verdict};
use crate::sheets::{places, standing};
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::{Edit, Id};
use platewright_core::solution::{Finding, FindingKind, NextMeasure};

/// The block.
pub(super) fn show(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let rest: Vec<Finding> = not_said_yet(session);
    if rest.is_empty() {
        return;
    }
    Head::new("Also").show(ui);
    let colours = theme::colours(ui);
    let (mut show, mut take) = (None, None);
    for (index, finding) in rest.iter().enumerate() {
        ui.push_id(index, |ui| {
            ui.horizontal_top(|ui| {
                let tone = Tone::of_finding(finding.weight);
                let (rect, _) = ui.allocate_exact_size(egui::vec2(theme::ICON, theme::ROW), egui::Sense::hover());
                icons::paint(ui.painter(), icons::square(rect.center()), tone.icon(), tone.text(colours));
                ui.vertical(|ui| {
                    say_in(ui, Lettering::Body, colours.ink, &finding.text);
                    let settle = settle(session, finding);
                    if let Some(next) = &settle {
                        let name = standing::job(session).map(|job| next.call(job)).unwrap_or_default();
                        if link(ui, &name, None).clicked() {
                            take = Some(next.clone());
                        }
                    } else if let Some(about) = &finding.about {
                        let name =
                            standing::job(session).map_or_else(String::new, |job| job.feature_name(about).to_owned());
                        if link(ui, "show", Some(&format!("Show {name}"))).clicked() {
                            show = Some(about.clone());
                        }
                        if finding.kind == FindingKind::BrokenEdges && link(ui, "say that it is so", None).clicked() {
                            commands.push(say_broken(session));
                        }
                    }
                });
            });
        });
    }
    if let Some(next) = take {
        session.begin_measure(next);
    }
    if let Some(id) = show {
        places::show(session, &id);
    }
}

/// Says so of all of them, in one step.
pub(super) fn say_broken(session: &Session) -> Command {
    let holes = session.results.solution.unsaid_breaks.iter();
    let edits = holes.map(|hole| Edit::EdgeBroken { hole: hole.clone(), broken: true }).collect();
    Command::Edit("say that edges are broken".to_owned(), edits)
}

/// The measure that settles what a finding is about: which of two positions of the camera is the right one.
fn settle(session: &Session, finding: &Finding) -> Option<NextMeasure> {
    let ambiguity = session.results.solution.fit.ambiguous.as_ref()?;
    ambiguity.settle.clone().filter(|_| finding.kind == FindingKind::UnsettledTilt)
}

/// The findings without those that the sentence or the table say: what the sentence is about, measures that disagree,
/// a scale that is not known.
fn not_said_yet(session: &Session) -> Vec<Finding> {
    let said = verdict(session);
    let measures = &session.results.solution.measures;
    let suspects = &session.results.solution.suspects;
    let of_reading =
        |id: &Id| measures.iter().any(|m| m.id == *id) || suspects.iter().any(|group| group.ids.contains(id));
    let of_measure = |finding: &Finding| finding.about.as_ref().is_some_and(of_reading);
    let scale_known = session.results.solution.fit.scale_known();
    let breaks_said = said.as_ref().is_some_and(|said| said.offers.contains(&Offer::SayBroken));
    let in_sentence = |finding: &Finding| {
        if breaks_said && finding.kind == FindingKind::BrokenEdges {
            return true;
        }
        // Operation 50 says it under the trial.
        if finding.kind == FindingKind::TrialCause && session.screen.operation == Operation::Proof {
            return true;
        }
        said.as_ref().is_some_and(|said| finding.text.starts_with(said.sentence.trim_end_matches('.')))
    };
    let findings = session.results.solution.findings.iter();
    let rest = findings.filter(|finding| {
        !(in_sentence(finding) || of_measure(finding) || (!scale_known && finding.kind == FindingKind::UnknownSize))
    });
    rest.cloned().collect()
}
