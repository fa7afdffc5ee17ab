//! The measure in hand: between what, and the field for its value.

use crate::command::Command;
use crate::controls::{Button, Field, Head, Icon, left_by_escape, say, say_in};
use crate::session::{MeasureDraft, Operation, Session};
use crate::sheets::figures::{Lengths, between_words};
use crate::theme::{self, Lettering};
use egui::{Id as WidgetId, Key, Ui};
use platewright_core::job::{Edit, Id, Job, Measure, MeasureKind};

/// The identity of the field.
fn field_id() -> WidgetId {
    WidgetId::unique("draft-value")
}

/// What the person did with the field.
pub(super) enum Done {
    Typing,
    Left,
    Entered,
}

/// The measure in hand, where one is.
pub(super) fn show(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    if session.screen.operation != Operation::Measures && session.screen.draft.is_none() {
        return;
    }
    let Some(mut draft) = session.screen.draft.take() else { return };
    let Some(document) = &session.document else { return };
    let job = document.job();
    let lengths = Lengths::of(session);
    Head::new("Taking a measure").note(draft.kind.words()).show(ui);
    let done = if draft.is_complete() { value(ui, job, &mut draft, lengths) } else { features_so_far(ui, job, &draft) };
    if let Some(problem) = &draft.problem {
        say_in(ui, Lettering::Body, theme::colours(ui).disagree_text, problem);
    }
    match done {
        Done::Typing => session.screen.draft = Some(draft),
        Done::Left => {}
        Done::Entered => match read(job, &draft, lengths, session.screen.instrument.sigma_mm()) {
            Ok((name, edit)) => commands.push(Command::Edit(name, vec![edit])),
            Err(problem) => {
                session.screen.draft = Some(MeasureDraft { problem: Some(problem), focus: true, ..draft });
            }
        },
    }
}

fn features_so_far(ui: &mut Ui, job: &Job, draft: &MeasureDraft) -> Done {
    let so_far = match draft.between.first() {
        Some(first) => format!("{} to …", job.feature_name(first)),
        None => match draft.kind {
            MeasureKind::Diameter => "Click the hole on the photo.",
            MeasureKind::Points => "Click both points on the photo.",
            MeasureKind::Edges => "Click along both edges.",
            MeasureKind::RimToEdge => "Click the hole and along the edge.",
            _ => "Click both holes on the photo.",
        }
        .to_owned(),
    };
    ui.horizontal(|ui| {
        say(ui, Lettering::Strong, &so_far);
        leave_button(ui)
    })
    .inner
}

fn leave_button(ui: &mut Ui) -> Done {
    let button = Button::quiet("Leave it").key(Some("Esc".to_owned())).name("Leave the measure");
    if button.show(ui).clicked() { Done::Left } else { Done::Typing }
}

/// The width that names, field and button take on one line, points.
const ROOM_FOR_ONE_LINE: f32 = 330.0;

fn value(ui: &mut Ui, job: &Job, draft: &mut MeasureDraft, lengths: Lengths) -> Done {
    let colours = theme::colours(ui);
    let place = between_words(job, &draft.between);
    // In a narrow sheet the field stands under the names.
    let wraps = ui.available_width() < ROOM_FOR_ONE_LINE;
    let row = |ui: &mut Ui| {
        let (rect, _) = ui.allocate_exact_size(egui::vec2(theme::ICON, theme::CONTROL_HEIGHT), egui::Sense::hover());
        let square = crate::controls::icons::square(rect.center());
        crate::controls::icons::paint(ui.painter(), square, Icon::of_measure(draft.kind), colours.ink);
        say(ui, Lettering::Strong, &place);
        let name = format!("Value of {place}, {}", draft.kind.words());
        let field = Field { name: &name, unit: lengths.unit(), hint: "value", width: 110.0 };
        let MeasureDraft { text, focus, problem, .. } = draft;
        entry(ui, field_id(), &field, Typed { text, focus, problem }, "Take it")
    };
    if wraps { ui.horizontal_wrapped(row).inner } else { ui.horizontal(row).inner }
}

/// What is typed into a row of its own, with what goes with it.
pub(super) struct Typed<'a> {
    pub(super) text: &'a mut String,
    /// The field is to take the keyboard.
    pub(super) focus: &'a mut bool,
    /// What is wrong with the text, until it changes.
    pub(super) problem: &'a mut Option<String>,
}

/// A field with the button that takes its text: Enter does it too, Esc leaves it.
pub(super) fn entry(ui: &mut Ui, id: WidgetId, field: &Field<'_>, typed: Typed<'_>, words: &str) -> Done {
    let Typed { text, focus, problem } = typed;
    let escaped = left_by_escape(ui, id);
    let response = field.show(ui, id, text);
    // After the field, so that the key that opened it is not typed into it.
    if std::mem::take(focus) {
        response.request_focus();
    }
    if response.changed() {
        *problem = None;
    }
    if escaped {
        return Done::Left;
    }
    let entered = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
    let button = Button::main(words).key(Some("Enter".to_owned()));
    if button.show(ui).clicked() || entered { Done::Entered } else { Done::Typing }
}

/// The measure as an edit with the step's name, or what is wrong with it as a sentence.
fn read(job: &Job, draft: &MeasureDraft, lengths: Lengths, sigma_mm: f64) -> Result<(String, Edit), String> {
    let mm = platewright_core::units::parse_length_mm(&draft.text, lengths.typed())
        .map_err(|problem| format!("{}.", platewright_core::job::capital(&problem.to_string())))?;
    if let [first, second] = draft.between.as_slice()
        && first == second
    {
        return Err("A measure lies between two different things. Click another one.".to_owned());
    }
    let id: Id = job.free_id("m");
    let name = format!("measure {}", between_words(job, &draft.between));
    let measure = Measure { id, kind: draft.kind, between: draft.between.clone(), mm, sigma_mm, in_use: true };
    Ok((name, Edit::AddMeasure(measure)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;

    fn draft(text: &str) -> MeasureDraft {
        let between = vec![Id::from("h2"), Id::from("h4")];
        MeasureDraft { between, text: text.to_owned(), ..MeasureDraft::new(MeasureKind::FarRims) }
    }

    fn read_as(text: &str, inches: bool) -> Result<f64, String> {
        let mut session = samples::session(samples::plate());
        session.screen.inches = inches;
        let (_, edit) = read(&samples::plate(), &draft(text), Lengths::of(&session), 0.25)?;
        match edit {
            Edit::AddMeasure(measure) => Ok(measure.mm),
            other => Err(format!("{other:?}")),
        }
    }

    #[test]
    fn inches_and_their_fractions_are_read() {
        // 9 7/8 in is 9.875 times 25.4 mm exactly (international inch, 1959).
        assert!((read_as("9 7/8 in", false).unwrap() - 250.825).abs() < 1e-9, "a fraction with its unit");
        assert!((read_as("9 7/8", true).unwrap() - 250.825).abs() < 1e-9, "the unit of the screen");
        assert!((read_as("94,18", false).unwrap() - 94.18).abs() < 1e-9, "a decimal comma");
    }

    #[test]
    fn what_is_no_length_is_said_in_a_sentence() {
        let problem = read_as("about nine", false).unwrap_err();
        assert!(problem.ends_with('.'), "{problem}");
        assert!(read_as("", false).is_err(), "nothing typed");
    }

    #[test]
    fn a_measure_from_a_hole_to_itself_is_refused() {
        let between = vec![Id::from("h2"), Id::from("h2")];
        let same = MeasureDraft { between, ..draft("12") };
        let lengths = Lengths::of(&samples::session(samples::plate()));
        assert!(read(&samples::plate(), &same, lengths, 0.05).is_err(), "two different things");
    }
}
