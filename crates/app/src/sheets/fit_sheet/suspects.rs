//! What does not fit, where the head of the sheet has no room for all of it: one entry for each misreading, and those
//! that cannot be told apart as one entry with the measure that would tell.

use super::next;
use crate::controls::{Head, icons, link, say_in};
use crate::session::Session;
use crate::sheets::tone::Tone;
use crate::sheets::{places, standing, verdict};
use crate::theme::{self, Lettering};
use egui::Ui;
use platewright_core::job::Id;
use platewright_core::solution::NextMeasure;

/// An entry.
#[derive(Debug, Clone, PartialEq)]
struct Entry {
    about: Id,
    text: String,
    tell_apart: Option<NextMeasure>,
}

/// The entries but for the one that the sheet's sentence is about.
fn entries(session: &Session) -> Vec<Entry> {
    let solution = &session.results.solution;
    let head = verdict::verdict(session);
    let at_the_head = head.as_ref().and_then(verdict::Verdict::subject);
    let others = solution.suspects.iter().filter(|suspects| at_the_head.is_none_or(|id| !suspects.ids.contains(id)));
    let told = others.filter_map(|suspects| {
        let about = suspects.ids.first()?.clone();
        let finding = solution.findings.iter().find(|finding| finding.about.as_ref() == Some(&about))?;
        let (text, _) = finding.text.split_once(" Measure").unwrap_or((&finding.text, ""));
        Some(Entry { about, text: text.to_owned(), tell_apart: suspects.tell_apart.clone() })
    });
    told.collect()
}

/// The block.
pub(super) fn show(ui: &mut Ui, session: &mut Session) {
    let entries = entries(session);
    if entries.is_empty() {
        return;
    }
    let Some(document) = &session.document else { return };
    let job = document.job().clone();
    let colours = theme::colours(ui);
    let count = format!("{} besides", standing::in_words(entries.len()));
    Head::new("Does not agree either").note(&count).show(ui);
    let (mut show, mut take) = (None, None);
    for (index, entry) in entries.iter().enumerate() {
        ui.push_id(index, |ui| {
            ui.horizontal_top(|ui| {
                let (rect, _) = ui.allocate_exact_size(egui::vec2(theme::ICON, theme::ROW), egui::Sense::hover());
                let tone = Tone::Disagrees;
                icons::paint(ui.painter(), icons::square(rect.center()), tone.icon(), tone.text(colours));
                ui.vertical(|ui| {
                    say_in(ui, Lettering::Body, colours.disagree_text, &entry.text);
                    match &entry.tell_apart {
                        Some(next) if link(ui, &next::to_tell_which(&job, next), None).clicked() => {
                            take = Some(next.clone());
                        }
                        Some(_) => {}
                        None => {
                            let name = job.reading_name(&entry.about);
                            if link(ui, &format!("Show {name}"), None).clicked() {
                                show = Some(entry.about.clone());
                            }
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;
    use platewright_core::solution::{Finding, Suspects, Weight};

    #[test]
    fn each_misreading_after_the_first_is_an_entry_of_its_own() {
        let mut session = samples::session(samples::plate());
        let mut solution = samples::disagreeing();
        for name in ["m2", "m1"] {
            let id = Id::from(name);
            let text =
                format!("{} does not agree with the rest: it is 0.98 mm long. Measure it again.", name.to_uppercase());
            solution.findings.push(Finding::new(Weight::Disagrees, Some(id.clone()), text));
            solution.suspects.push(Suspects { ids: vec![id], tell_apart: None });
        }
        samples::give_results(&mut session, solution);
        let found = entries(&session);
        assert_eq!(found.len(), 1, "the first is the sentence: {found:?}");
        assert_eq!(found[0].text, "M1 does not agree with the rest: it is 0.98 mm long.", "without the call");
    }

    #[test]
    fn what_is_most_suspect_is_told_even_where_the_sentence_is_about_another() {
        let mut session = samples::session(samples::plate());
        let mut solution = samples::disagreeing();
        for (id, text) in [("s1", "E1 and E2 are not square: 2.10 mm off in 100."), ("m2", "M2 does not agree.")] {
            let about = Some(Id::from(id));
            solution.findings.push(Finding::new(Weight::Disagrees, about, text.to_owned()));
            solution.suspects.push(Suspects { ids: vec![id.into()], tell_apart: None });
        }
        samples::give_results(&mut session, solution);
        let found = entries(&session);
        let about: Vec<&Id> = found.iter().map(|entry| &entry.about).collect();
        assert_eq!(about, [&Id::from("s1")], "the sentence is about M2: {found:?}");
    }
}
