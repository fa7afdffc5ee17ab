//! The status line: the one next act, and where the pointer is.

use super::figures::Lengths;
use super::next_act::next_act;
use crate::command::{Action, Command};
use crate::controls::Button;
use crate::exports::WRITING;
use crate::session::{Session, Standing};
use crate::theme::{self, Lettering};
use egui::{
    Align, Color32, Frame, Label, Layout, Panel, Rect, RichText, Role, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo,
    vec2,
};
use platewright_core::solution::MEASURING_PARTS;
use platewright_core::units::format_figure;

/// A part of the bar that says how far something has come, points.
const PART: Vec2 = vec2(22.0, 8.0);

/// The status line.
pub fn status_line(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let colours = theme::colours(ui);
    let frame = Frame::NONE.fill(colours.paper);
    Panel::bottom("status")
        .exact_size(theme::STATUS_HEIGHT)
        .resizable(false)
        .show_separator_line(false)
        .frame(frame)
        .show(ui, |ui| {
            let whole = ui.max_rect();
            let line = whole.top() + theme::FRAME_LINE / 2.0;
            ui.painter().hline(whole.x_range(), line, Stroke::new(theme::FRAME_LINE, colours.ink));
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                ui.add_space(theme::ROUTE_MARGIN);
                where_it_is(ui, session, whole.width());
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    ui.add_space(theme::ROUTE_MARGIN);
                    progress(ui, session, commands);
                    let words = sentence(session);
                    let text = RichText::new(words).font(Lettering::Status.font()).color(colours.ink);
                    ui.add(Label::new(text).truncate());
                });
            });
        });
}

/// How far what is under way has come, as far as that is counted, and the way to stop it.
fn progress(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let screen = &session.screen;
    match &screen.working {
        Some(working) if !working.starts_with(WRITING) => {
            let stop = Button::quiet("Stop").key(Action::StepOut.key_text()).name("Stop what is under way");
            if stop.show(ui).clicked() {
                commands.push(Command::Do(Action::StepOut));
            }
            ui.add_space(8.0);
        }
        None if screen.said.is_none() && session.results.standing == Standing::Waiting => {
            bar(ui, screen.measuring_part.min(MEASURING_PARTS), MEASURING_PARTS);
            ui.add_space(8.0);
        }
        _ => {}
    }
}

/// So many parts of all, each filled once it is begun.
fn bar(ui: &mut Ui, begun: usize, all: usize) {
    let colours = theme::colours(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(PART.x * all as f32, PART.y), Sense::hover());
    for part in 0..all {
        let at = rect.min + vec2(PART.x * part as f32, 0.0);
        let one = Rect::from_min_size(at, PART - vec2(2.0, 0.0));
        if part < begun {
            ui.painter().rect_filled(one, 1.0, colours.brass);
        }
        ui.painter().rect_stroke(one, 1.0, Stroke::new(1.0, colours.line), StrokeKind::Inside);
    }
    response.widget_info(|| WidgetInfo::labeled(Role::ProgressIndicator, true, format!("Part {begun} of {all}")));
}

/// What is under way, what just happened, or the one next act.
fn sentence(session: &Session) -> String {
    let screen = &session.screen;
    match (&screen.working, &screen.said) {
        // What is being written is there whole in a moment, or not at all: there is nothing to stop.
        (Some(working), _) if working.starts_with(WRITING) => format!("{working}."),
        (Some(working), _) => format!("{}.", working.trim_end_matches('.')),
        (None, Some(said)) => said.clone(),
        (None, None) if session.results.standing == Standing::Waiting => {
            measuring_words(session, "Measuring the rims in the photo")
        }
        (None, None) => next_act(session),
    }
}

/// `Measuring the rims in the photo, part 2 of 3.`
pub(crate) fn measuring_words(session: &Session, what: &str) -> String {
    match session.screen.measuring_part.min(MEASURING_PARTS) {
        0 => format!("{what}."),
        part => format!("{what}, part {part} of {MEASURING_PARTS}."),
    }
}

/// The pointer's place, the scale there and the zoom, from right to left.
fn where_it_is(ui: &mut Ui, session: &Session, window: f32) {
    // On paper there is no place of the photo, and no scale of it.
    if session.document.is_none() || session.screen.shows_paper() {
        return;
    }
    let screen = &session.screen;
    pair(ui, "zoom", &format!("{} %", format_figure(screen.look.zoom * 100.0, 0)));
    let solution = &session.results.solution;
    let map = solution.map.as_ref().filter(|_| solution.fit.scale_known());
    let place = map.zip(screen.pointer).and_then(|(map, pointer)| Some((map, map.plate_from_photo(pointer)?)));
    match (place, screen.pointer) {
        (Some((map, plate)), _) => {
            let lengths = Lengths::of(session);
            if window >= theme::DRAWER_BELOW {
                ui.add_space(12.0);
                pair(ui, "px per mm", &format_figure(map.px_per_mm(plate), 1));
            }
            ui.add_space(12.0);
            pair(ui, "y", &lengths.with_unit(plate.y));
            pair(ui, "x", &lengths.figure(plate.x));
        }
        (None, Some(pointer)) => {
            ui.add_space(12.0);
            pair(ui, "v", &format!("{} px", format_figure(pointer.y, 1)));
            pair(ui, "u", &format_figure(pointer.x, 1));
        }
        (None, None) => {}
    }
}

/// A soft label before its figure, laid from right to left.
fn pair(ui: &mut Ui, label: &str, figure: &str) {
    let colours = theme::colours(ui);
    let text = |words: &str, lettering: Lettering, colour: Color32| {
        Label::new(RichText::new(words).font(lettering.font()).color(colour)).extend()
    };
    ui.spacing_mut().item_spacing.x = 5.0;
    ui.add(text(figure, Lettering::Strong, colours.ink));
    ui.add(text(label, Lettering::Body, colours.soft));
}
