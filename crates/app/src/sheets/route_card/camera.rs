//! What is believed of the camera's focal length and lens, beside what the fit made of it.

use crate::command::Command;
use crate::controls::{Button, Reading, link, say_in};
use crate::session::Session;
use crate::sheets::figure_field::{Figure, Typed, shortest, taken};
use crate::theme::{self, Lettering};
use egui::{Align, Layout, Ui};
use platewright_core::job::{Belief, Edit, LensBeliefs, LensTerm};
use platewright_core::solution::{BeliefSource, Believed, Inputs, beliefs, focal_unsaid, usual_term};
use platewright_core::tolerance::K95_FIGURE;
use platewright_core::units::format_figure;

/// How far off a focal length is taken to be where only its value was typed, as a share of it.
const TYPED_SHARE: f64 = 0.03;

/// What the fit made of something, with its 95 % ±.
pub(super) fn found(ui: &mut Ui, (value, sigma): (f64, f64), decimals: usize, unit: &str) {
    let (value, plus_minus) = (format_figure(value, decimals), format_figure(sigma * K95_FIGURE, decimals));
    let words = format!("found {value} ±{plus_minus}{unit}");
    say_in(ui, Lettering::Small, theme::colours(ui).ink, &words);
}

/// Value and ± in two fields side by side; what was typed into them.
fn pair(ui: &mut Ui, value: Figure<'_>, sigma: Figure<'_>) -> (Option<Typed>, Option<Typed>) {
    let both: (Reading<Typed>, Reading<Typed>) = ui
        .horizontal(|ui| {
            let width = (ui.available_width() - theme::BUTTON_GAP) / 2.0;
            (value.width(width).show(ui), sigma.width(width).show(ui))
        })
        .inner;
    (taken(ui, both.0), taken(ui, both.1))
}

/// What becomes of a belief.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Becomes {
    /// It stays as it is.
    Stays,
    /// It is no longer the person's.
    Usual,
    /// The person says this.
    Said(Belief),
}

impl Becomes {
    /// The belief to put in place of the present one, where that changes.
    fn change(self) -> Option<(Option<Belief>, &'static str)> {
        match self {
            Self::Stays => None,
            Self::Usual => Some((None, "go back to the usual for")),
            Self::Said(belief) => Some((Some(belief), "say what is believed of")),
        }
    }
}

/// What becomes of a belief by what was typed into its value and its ±.
fn belief_typed(
    typed: (Option<Typed>, Option<Typed>),
    said: Option<Belief>,
    unsaid: Belief,
    sigma_of: impl Fn(f64) -> f64,
) -> Becomes {
    match typed {
        (None, None) => Becomes::Stays,
        // Without its value a belief is none of the person's.
        (Some(Typed::Nothing), _) => Becomes::Usual,
        (Some(Typed::Number(value)), None) => {
            Becomes::Said(Belief { value, sigma: said.map_or_else(|| sigma_of(value), |said| said.sigma) })
        }
        (value, Some(sigma)) => {
            let value = value.and_then(Typed::number).unwrap_or(said.unwrap_or(unsaid).value);
            Becomes::Said(Belief { value, sigma: sigma.number().unwrap_or_else(|| sigma_of(value)) })
        }
    }
}

/// The focal length.
pub(super) fn focal(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some(document) = &session.document else { return };
    let (job, instrument) = (document.job(), session.screen.instrument.facts());
    let inputs = Inputs { job, exif_focal_px: document.photo.exif_focal_px, instrument, seen: None };
    let (said, unsaid) = (job.photo.focal_px, focal_unsaid(&inputs));
    ui.add_space(4.0);
    say_in(ui, Lettering::Body, theme::colours(ui).soft, "Focal length");
    let hints = (shortest(unsaid.belief.value, 0), shortest(unsaid.belief.sigma, 0));
    let value = Figure::number("Focal length in px", said.map(|said| said.value), 1, "px").hint(&hints.0);
    let sigma = Figure::number("Focal length, give or take, in px", said.map(|said| said.sigma), 1, "± px");
    let typed = pair(ui, value.above_zero(), sigma.hint(&hints.1).above_zero());
    let becomes = belief_typed(typed, said, unsaid.belief, |value| TYPED_SHARE * value);
    if let Some((belief, verb)) = becomes.change() {
        commands.push(Command::Edit(format!("{verb} the focal length"), vec![Edit::Focal(belief)]));
    }
    say_in(ui, Lettering::Small, theme::colours(ui).soft, &source_words(beliefs(&inputs).focal_px));
    if let Some(camera) = &session.results.solution.camera {
        found(ui, camera.focal_px, 0, " px");
    }
    let back = if unsaid.source == BeliefSource::Photo { "As the photo says" } else { "Back to the guess" };
    if said.is_some() && link(ui, back, Some(&format!("{back}, focal length"))).clicked() {
        commands.push(Command::Edit("go by the photo for the focal length".to_owned(), vec![Edit::Focal(None)]));
    }
}

fn source_words(focal: Believed) -> String {
    let share = format_figure(100.0 * focal.belief.sigma / focal.belief.value, 0);
    match focal.source {
        BeliefSource::Photo => format!("from the photo, ±{share} %"),
        BeliefSource::Usual => format!("a guess, ±{share} %"),
        BeliefSource::Person => "yours".to_owned(),
    }
}

/// A term's name in words, the decimals of its figures, and the unit of its place.
fn term_words(term: LensTerm) -> (&'static str, &'static str, usize, &'static str) {
    match term {
        LensTerm::Cx => ("cx", "middle, across", 1, " px"),
        LensTerm::Cy => ("cy", "middle, down", 1, " px"),
        LensTerm::K1 => ("k1", "bend", 4, ""),
        LensTerm::K2 => ("k2", "bend at the edge", 4, ""),
        LensTerm::P1 => ("p1", "lean, down", 5, ""),
        LensTerm::P2 => ("p2", "lean, across", 5, ""),
    }
}

/// The lens, folded away until it is asked for.
pub(super) fn lens(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    ui.add_space(4.0);
    let open = session.screen.lens_open;
    let Some(document) = &session.document else { return };
    let said = document.job().photo.lens;
    let number = LensTerm::ALL.iter().filter(|term| said.term(**term).is_some()).count();
    let state = if number == 0 { "as usual".to_owned() } else { format!("{number} of 6 yours") };
    let words = format!("Lens, {state}");
    let name = if open { format!("{words}: fold it away") } else { format!("{words}: show it") };
    if Button::quiet(&words).name(name).chosen(open).width(ui.available_width()).show(ui).clicked() {
        session.screen.lens_open = !open;
    }
    if !open {
        return;
    }
    let order = [LensTerm::K1, LensTerm::K2, LensTerm::P1, LensTerm::P2, LensTerm::Cx, LensTerm::Cy];
    for term in order {
        of_term(ui, session, commands, term);
    }
    if number > 0 && link(ui, "All as usual", Some("All of the lens as usual")).clicked() {
        let edit = Edit::Lens(LensBeliefs::default());
        commands.push(Command::Edit("put the lens back to the usual".to_owned(), vec![edit]));
    }
}

fn of_term(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>, term: LensTerm) {
    let Some(document) = &session.document else { return };
    let photo = &document.job().photo;
    let (said, usual) = (photo.lens.term(term), usual_term(photo.size, term));
    let (sign, words, decimals, unit) = term_words(term);
    let put = |(belief, verb): (Option<Belief>, &str)| {
        Command::Edit(format!("{verb} {sign}"), vec![Edit::Lens(photo.lens.with_term(term, belief))])
    };
    ui.add_space(6.0);
    ui.horizontal(|ui| {
        say_in(ui, Lettering::Body, theme::colours(ui).ink, sign);
        say_in(ui, Lettering::Small, theme::colours(ui).soft, words);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if said.is_some() && link(ui, "As usual", Some(&format!("{sign} as usual"))).clicked() {
                commands.extend(Becomes::Usual.change().map(put));
            }
        });
    });
    let hints = (shortest(usual.value, decimals), shortest(usual.sigma, decimals));
    let names = (format!("{sign}, {words}"), format!("{sign}, give or take"));
    let value = Figure::number(&names.0, said.map(|said| said.value), decimals, unit.trim_start()).hint(&hints.0);
    let sigma = Figure::number(&names.1, said.map(|said| said.sigma), decimals, "±").hint(&hints.1);
    let typed = pair(ui, value, sigma.above_zero());
    commands.extend(belief_typed(typed, said, usual, |_| usual.sigma).change().map(put));
    if let Some(camera) = &session.results.solution.camera {
        found(ui, camera.term(term), decimals, unit);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const USUAL: Belief = Belief { value: 0.0, sigma: 0.05 };

    fn typed(value: Option<f64>, sigma: Option<f64>, said: Option<Belief>) -> Becomes {
        belief_typed((value.map(Typed::Number), sigma.map(Typed::Number)), said, USUAL, |_| USUAL.sigma)
    }

    #[test]
    fn what_was_not_typed_of_a_belief_stays() {
        assert_eq!(typed(None, None, None), Becomes::Stays, "nothing typed");
        assert_eq!(typed(Some(-0.1), None, None), Becomes::Said(Belief { value: -0.1, ..USUAL }), "the usual ±");
        assert_eq!(typed(None, Some(0.01), None), Becomes::Said(Belief { sigma: 0.01, ..USUAL }), "the usual value");
        let said = Belief { value: -0.1, sigma: 0.02 };
        assert_eq!(typed(Some(-0.2), None, Some(said)), Becomes::Said(Belief { value: -0.2, ..said }), "its own ±");
        assert_eq!(typed(None, Some(0.01), Some(said)), Becomes::Said(Belief { sigma: 0.01, ..said }), "its own value");
    }

    #[test]
    fn an_emptied_value_goes_back_to_the_usual() {
        let said = Some(Belief { value: -0.1, sigma: 0.02 });
        let emptied = belief_typed((Some(Typed::Nothing), None), said, USUAL, |_| USUAL.sigma);
        assert_eq!(emptied, Becomes::Usual, "the usual one again");
    }

    #[test]
    fn it_is_said_where_a_focal_length_comes_from() {
        let focal = |source| Believed { belief: Belief { value: 3000.0, sigma: 120.0 }, source };
        assert_eq!(source_words(focal(BeliefSource::Photo)), "from the photo, ±4 %");
        assert_eq!(source_words(focal(BeliefSource::Person)), "yours");
    }
}
