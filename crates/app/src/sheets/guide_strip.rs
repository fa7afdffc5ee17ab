//! The guide's strip over the photo: the step, what is done in it, and the six boxes.

use super::sign_off::SignOff;
use crate::command::{Action, Command};
use crate::controls::{Button, icons, mixed, say};
use crate::guide::{Guide, Step};
use crate::session::Session;
use crate::theme::{self, Lettering};
use egui::{Align, Frame, Label, Layout, Margin, Panel, Role, Sense, Stroke, Ui, WidgetInfo, vec2};

/// Width for the six boxes and the button.
const RIGHT: f32 = 176.0;

/// The strip.
pub fn guide_strip(ui: &mut Ui, session: &Session, guide: &Guide, commands: &mut Vec<Command>) {
    let colours = theme::colours(ui);
    let frame = Frame::NONE.fill(colours.sheet).inner_margin(Margin::symmetric(theme::ROUTE_MARGIN as i8, 8));
    Panel::top("guide").resizable(false).show_separator_line(false).frame(frame).show(ui, |ui| {
        let whole = ui.max_rect();
        let step = guide.step(session);
        ui.horizontal_top(|ui| {
            let room = ui.available_width() - RIGHT - theme::BUTTON_GAP;
            ui.allocate_ui_with_layout(vec2(room, 0.0), Layout::top_down(Align::Min), |ui| {
                ui.set_width(room);
                ui.set_min_height(lines(room) * theme::ROW);
                words(ui, session, guide, step);
            });
            ui.with_layout(Layout::right_to_left(Align::Min), |ui| {
                ui.vertical(|ui| {
                    boxes(ui, step);
                    ui.add_space(4.0);
                    let leave = if step.is_some() { "Leave the guide" } else { "Put the guide away" };
                    if Button::quiet(leave).key(Action::Guide.key_text()).width(RIGHT).show(ui).clicked() {
                        commands.push(Command::Do(Action::Guide));
                    }
                });
            });
        });
        let bottom = ui.min_rect().bottom() + 8.0 - theme::FRAME_LINE / 2.0;
        let sides = whole.expand2(vec2(theme::ROUTE_MARGIN, 0.0)).x_range();
        ui.painter().hline(sides, bottom, Stroke::new(theme::FRAME_LINE, colours.brass));
    });
}

/// So many lines are kept for the words, that the photo below may lie still from step to step.
fn lines(width: f32) -> f32 {
    if width < 560.0 { 4.0 } else { 3.0 }
}

fn words(ui: &mut Ui, session: &Session, guide: &Guide, step: Option<Step>) {
    let colours = theme::colours(ui);
    let Some(step) = step else {
        say(ui, Lettering::Sentence, "That was a whole job.");
        let text = "Name the part under 10 and save it with Ctrl S, or open a photo of your own with Ctrl O.";
        say(ui, Lettering::Body, text);
        return;
    };
    let number = format!("{} ", step.number());
    let of = format!("of {}  ", Step::ALL.len());
    let pieces = [
        (Lettering::Number, colours.brass_text, number.as_str()),
        (Lettering::Small, colours.soft, of.as_str()),
        (Lettering::Name, colours.ink, step.name()),
    ];
    let head = ui.add(Label::new(mixed(&pieces)));
    let name = format!("Guide, step {} of {}: {}", step.number(), Step::ALL.len(), step.name());
    head.widget_info(|| WidgetInfo::labeled(Role::Heading, true, name.as_str()));
    say(ui, Lettering::Body, &guide.words(step, session));
}

/// A box for each step, ticked where it is done.
fn boxes(ui: &mut Ui, step: Option<Step>) {
    let colours = theme::colours(ui);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        let done = step.map_or(Step::ALL.len(), |step| step.number() - 1);
        ui.add_space(RIGHT - (theme::ICON + 6.0) * Step::ALL.len() as f32);
        for number in 1..=Step::ALL.len() {
            let sign = if number <= done { SignOff::Signed } else { SignOff::ToSign };
            let colour = if number <= done { colours.agree } else { colours.line };
            let (rect, _) = ui.allocate_exact_size(vec2(theme::ICON, theme::ICON), Sense::hover());
            icons::paint(ui.painter(), rect, sign.icon(), colour);
        }
    });
}
