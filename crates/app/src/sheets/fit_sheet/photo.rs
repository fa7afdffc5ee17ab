//! What the photo costs: the worst first, each with its way out, and where on the photo it is.

use super::{OUT_OF_DATE, rows};
use crate::controls::{Head, Icon, icons, link, say, say_in};
use crate::session::{Judged, Session, Shown};
use crate::sheets::figures::{DASH, Lengths};
use crate::sheets::tone::Tone;
use crate::theme::{self, Lettering};
use egui::{Rect, Ui, vec2};
use platewright_core::advice::{Advice, Place, State};

/// Room for the icon before a rule's name, points.
const BESIDE_ICON: f32 = 24.0;

/// The block; nothing while the size of the part is not known, which the sheet's sentence says.
pub(super) fn show(ui: &mut Ui, session: &mut Session) {
    session.screen.photo_advice.pointed = None;
    let Judged { advice, is_fresh } = session.results.judged.clone();
    if advice.is_empty() {
        return;
    }
    ui.scope(|ui| {
        if !is_fresh {
            ui.multiply_opacity(OUT_OF_DATE);
        }
        Head::new("The photo")
            .note(if is_fresh { "adds to a hole’s ±, 95 %" } else { "out of date, working out" })
            .show(ui);
        let is_calm = !advice.iter().any(|advice| advice.state.is_costly());
        if is_calm {
            calm(ui, session, &advice);
        }
        if !is_calm || session.screen.photo_advice.is_open {
            for advice in advice.iter() {
                one(ui, session, advice);
            }
        }
    });
}

/// One sentence where no other photo would be better.
fn calm(ui: &mut Ui, session: &mut Session, all: &[Advice]) {
    let lengths = Lengths::of(session);
    let cost = |advice: &&Advice| advice.cost_mm.unwrap_or(0.0);
    let worst = all.iter().max_by(|a, b| cost(a).total_cmp(&cost(b)));
    let words = worst.map_or_else(String::new, |worst| {
        let most = lengths.plus_minus_with_unit(cost(&worst));
        let most = most.trim_start_matches('±');
        let unknown: Vec<String> =
            all.iter().filter(|a| a.state == State::NotKnown).map(|a| a.name.to_lowercase()).collect();
        if unknown.is_empty() {
            format!("No other photo is needed. The most is lost by {}: {most}.", worst.name.to_lowercase())
        } else {
            format!("Nothing is wrong with the photo as far as is known. Not judged yet: {}.", unknown.join(", "))
        }
    });
    ui.horizontal_top(|ui| {
        let colours = theme::colours(ui);
        let (rect, _) = ui.allocate_exact_size(vec2(theme::ICON, theme::ROW), egui::Sense::hover());
        let all_known = all.iter().all(|advice| advice.state != State::NotKnown);
        let (icon, colour) =
            if all_known { (Icon::Agrees, colours.agree_text) } else { (Icon::NotKnown, colours.unknown_text) };
        icons::paint(ui.painter(), icons::square(rect.center()), icon, colour);
        ui.vertical(|ui| {
            say(ui, Lettering::Body, &words);
            let is_open = &mut session.screen.photo_advice.is_open;
            let (words, name) = if *is_open {
                ("fold away", "Fold away what the photo costs")
            } else {
                ("show each", "Show each thing that the photo costs")
            };
            if link(ui, words, Some(name)).clicked() {
                *is_open = !*is_open;
            }
        });
    });
}

fn tone(state: State) -> Tone {
    match state {
        State::Good => Tone::Agrees,
        State::NotKnown => Tone::NotKnown,
        State::Costs => Tone::Caution,
        State::Stop => Tone::Fails,
    }
}

/// `0.14 mm`; never nothing where there is something.
fn cost_words(advice: &Advice, lengths: Lengths) -> String {
    let words = |mm: f64| lengths.plus_minus_with_unit(mm).trim_start_matches('±').to_owned();
    match advice.cost_mm {
        None => DASH.to_owned(),
        Some(mm) if lengths.is_nothing(mm) => "nothing".to_owned(),
        Some(mm) => words(mm),
    }
}

/// How it stands, for who cannot see the icon.
fn state_words(state: State) -> &'static str {
    match state {
        State::Good => "good",
        State::NotKnown => "not known",
        State::Costs => "costs",
        State::Stop => "costs more than there is play",
    }
}

fn one(ui: &mut Ui, session: &mut Session, advice: &Advice) {
    let name = format!(
        "{}: {}, {}. {}",
        advice.name,
        state_words(advice.state),
        cost_words(advice, Lengths::of(session)),
        advice.text
    );
    if advice.state.is_costly() {
        costly(ui, session, advice, &name);
    } else {
        good(ui, session, advice, &name);
    }
}

/// One line, whose words come where the pointer rests on it; a click shows where it is.
fn good(ui: &mut Ui, session: &mut Session, advice: &Advice, name: &str) {
    let Some(place) = advice.places.first() else {
        let rect = rows::plain(ui, name);
        let response = ui.interact(rect, ui.scope_id().with(advice.name), egui::Sense::hover());
        line(ui, session, advice, rect);
        response.on_hover_text(&advice.text);
        return;
    };
    let rows::Row { rect, response } = rows::clickable(ui, name, false);
    line(ui, session, advice, rect);
    if response.clicked() {
        session.screen.show = Some(shown(*place));
    }
    if response.hovered() || response.has_focus() {
        session.screen.photo_advice.pointed = Some(advice.name);
    }
    response.on_hover_text(&advice.text);
}

/// Icon, name and cost.
fn line(ui: &Ui, session: &Session, advice: &Advice, rect: Rect) {
    let colours = theme::colours(ui);
    let tone = tone(advice.state);
    let middle = egui::pos2(rect.left() + theme::ICON / 2.0, rect.center().y);
    icons::paint(ui.painter(), icons::square(middle), tone.icon(), tone.text(colours));
    let (lettering, colour) =
        if advice.state.is_costly() { (Lettering::Strong, tone.text(colours)) } else { (Lettering::Body, colours.ink) };
    rows::left(ui, rect, BESIDE_ICON, lettering, colour, advice.name);
    rows::right(ui, rect, rect.width(), lettering, colour, &cost_words(advice, Lengths::of(session)));
}

/// The line, then what it is and the way out.
fn costly(ui: &mut Ui, session: &mut Session, advice: &Advice, name: &str) {
    let rect = rows::plain(ui, name);
    line(ui, session, advice, rect);
    let mut is_pointed_at = ui.rect_contains_pointer(rect);
    let below = ui.horizontal_top(|ui| {
        ui.add_space(BESIDE_ICON);
        ui.vertical(|ui| {
            say(ui, Lettering::Body, &advice.text);
            say_in(ui, Lettering::Body, theme::colours(ui).soft, &advice.way_out);
            if let Some(place) = advice.places.first() {
                let response = link(ui, "show", Some(&format!("Show where: {}", advice.name.to_lowercase())));
                is_pointed_at |= response.hovered() || response.has_focus();
                if response.clicked() {
                    session.screen.show = Some(shown(*place));
                }
            }
        });
    });
    is_pointed_at |= ui.rect_contains_pointer(below.response.rect);
    if is_pointed_at {
        session.screen.photo_advice.pointed = Some(advice.name);
    }
    let rect = ui.min_rect();
    icons::dashed_level(ui.painter(), rect.left(), rect.right(), rect.bottom() + 2.0, theme::colours(ui).rule);
    ui.add_space(4.0);
}

fn shown(place: Place) -> Shown {
    Shown { at: place.at, across_px: place.across_px }
}
