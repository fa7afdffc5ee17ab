//! What an empty window shows: how to take a photo that can be trusted.

use super::photo_plan;
use super::pictograms::{self, Pictogram};
use crate::command::Command;
use crate::controls::{Icon, icons, mixed, say, say_in};
use crate::session::Session;
use crate::theme::{self, Colours, Lettering};
use egui::{
    Align2, CentralPanel, Frame, Label, Margin, Rect, Role, ScrollArea, Sense, Stroke, Ui, WidgetInfo, pos2, vec2,
};

/// Widest the guide grows.
const WIDEST: f32 = 860.0;
/// Height of a pictogram's drawing.
const DRAWING: f32 = 150.0;
/// Height of the words under it.
const WORDS: f32 = 84.0;

/// What is said under a pictogram.
struct Step {
    picture: Pictogram,
    name: &'static str,
    words: &'static str,
}

const STEPS: [Step; 6] = [
    Step {
        picture: Pictogram::SquareOn,
        name: "Square on",
        words: "Hold the phone level, straight above the middle of the face.",
    },
    Step {
        picture: Pictogram::StandBack,
        name: "Stand back",
        words: "Four lengths of the part away. From near, the lens bends the edges.",
    },
    Step {
        picture: Pictogram::RoomAllRound,
        name: "Room all round",
        words: "The whole part in the middle, a fifth of the picture free on each side.",
    },
    Step {
        picture: Pictogram::SideLight,
        name: "Light from the side",
        words: "Two soft lights. No flash: it glares on metal and hides the rims.",
    },
    Step {
        picture: Pictogram::PlainPaper,
        name: "Plain paper under it",
        words: "In another colour. What lies lower than the face cannot set its scale.",
    },
    Step {
        picture: Pictogram::ThenMeasure,
        name: "Then measure",
        words: "Keep part and caliper at hand. The sheet asks for one at a time.",
    },
];

/// How to take a photo that can be trusted.
pub fn start_guide(ui: &mut Ui, session: &mut Session, _commands: &mut Vec<Command>) {
    let colours = theme::colours(ui);
    let frame = Frame::NONE.fill(colours.paper);
    CentralPanel::default().frame(frame).show(ui, |ui| {
        grid(ui, colours);
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            let room = ui.available_width();
            let side = ((room - WIDEST) / 2.0).clamp(20.0, 28.0);
            Frame::NONE.inner_margin(Margin { left: side as i8, right: side as i8, top: 26, bottom: 26 }).show(
                ui,
                |ui| {
                    ui.set_width((room - 2.0 * side).min(WIDEST));
                    ui.spacing_mut().item_spacing.y = 6.0;
                    say(ui, Lettering::Heading, "A photo that can be trusted");
                    let words = "Two minutes here are worth more than anything that can be put right later.";
                    say_in(ui, Lettering::Cell, colours.soft, words);
                    ui.add_space(18.0);
                    steps(ui);
                    ui.add_space(10.0);
                    caution(ui);
                    photo_plan::show(ui, session);
                    if drops_arrive() {
                        ui.add_space(14.0);
                        drop_invitation(ui);
                    }
                },
            );
        });
    });
}

/// Whether the window system hands over what is dropped: not where the window can only be a Wayland one.
fn drops_arrive() -> bool {
    drops_arrive_with(std::env::var_os("WAYLAND_DISPLAY").is_some(), std::env::var_os("DISPLAY").is_some())
}

fn drops_arrive_with(wayland: bool, x11: bool) -> bool {
    // Where both are there the window is a Wayland one all the same, unless Wayland fails; only X11 alone is sure.
    !wayland || (x11 && cfg!(not(target_os = "linux")))
}

/// The drawing paper's grid, faint.
fn grid(ui: &Ui, colours: &Colours) {
    let rect = ui.max_rect();
    let stroke = Stroke::new(1.0, colours.tray.gamma_multiply(0.5));
    let step = 20.0;
    let mut x = rect.left() + step;
    while x < rect.right() {
        ui.painter().vline(x, rect.y_range(), stroke);
        x += step;
    }
    let mut y = rect.top() + step;
    while y < rect.bottom() {
        ui.painter().hline(rect.x_range(), y, stroke);
        y += step;
    }
}

fn steps(ui: &mut Ui) {
    let width = ui.available_width();
    let columns = match width {
        w if w >= 640.0 => 3,
        w if w >= 420.0 => 2,
        _ => 1,
    };
    let share = width / columns as f32;
    for (row, steps) in STEPS.chunks(columns).enumerate() {
        let (whole, _) = ui.allocate_exact_size(vec2(width, DRAWING + WORDS), Sense::hover());
        for (column, step) in steps.iter().enumerate() {
            let left = whole.left() + share * column as f32;
            let place = Rect::from_min_max(pos2(left, whole.top()), pos2(left + share - 24.0, whole.bottom()));
            one(ui, step, row * columns + column + 1, place);
        }
    }
}

fn one(ui: &Ui, step: &Step, number: usize, place: Rect) {
    let colours = theme::colours(ui);
    let drawing = Rect::from_min_size(place.min, vec2(place.width(), DRAWING));
    pictograms::paint(ui, step.picture, drawing);
    let painter = ui.painter();
    let name_y = drawing.bottom() + 18.0;
    let number_at = pos2(place.left(), name_y);
    painter.text(number_at, Align2::LEFT_CENTER, number.to_string(), Lettering::Number.font(), colours.brass_text);
    let name_at = pos2(place.left() + 23.0, name_y);
    painter.text(name_at, Align2::LEFT_CENTER, step.name, Lettering::Name.font(), colours.ink);
    let mut job = mixed(&[(Lettering::Body, colours.ink, step.words)]);
    job.wrap.max_width = place.width() - 23.0;
    let words = painter.layout_job(job);
    painter.galley(pos2(name_at.x, name_y + 12.0), words, colours.ink);
    let response = ui.interact(place, ui.scope_id().with(step.name), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Figure, true, format!("{number} {}: {}", step.name, step.words)));
}

fn caution(ui: &mut Ui) {
    let colours = theme::colours(ui);
    let frame =
        Frame::NONE.fill(colours.sheet).stroke(Stroke::new(1.2, colours.caution)).corner_radius(3).inner_margin(16.0);
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.horizontal_top(|ui| {
            icons::show(ui, Icon::Caution, colours.caution, "Caution");
            ui.add_space(6.0);
            let lead = "Measure only what is at rest, cold and isolated. ";
            let rest = "A cover that holds pressure, vacuum, fuel or heat, or that guards a machine, is a safety part: its \
                        material, thickness and sealing are for someone qualified, under the local rules.";
            let pieces = [(Lettering::Strong, colours.ink, lead), (Lettering::Body, colours.ink, rest)];
            ui.vertical(|ui| ui.add(Label::new(mixed(&pieces)).wrap()));
        });
    });
}

fn drop_invitation(ui: &mut Ui) {
    let colours = theme::colours(ui);
    let words = "Drop a photo or a job anywhere in this window";
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 50.0), Sense::hover());
    icons::dashed_box(ui.painter(), rect.shrink(1.0), Stroke::new(theme::EDGE, colours.line));
    let galley = ui.painter().layout_no_wrap(words.to_owned(), Lettering::Cell.font(), colours.soft);
    let left = rect.center().x - galley.size().x / 2.0 - 14.0;
    icons::paint(ui.painter(), icons::square(pos2(left, rect.center().y)), Icon::Photo, colours.soft);
    ui.painter().galley(pos2(left + 18.0, rect.center().y - galley.size().y / 2.0), galley, colours.soft);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, words));
}

#[cfg(test)]
mod tests {
    use super::drops_arrive_with;

    #[test]
    fn dropping_is_invited_only_where_drops_arrive() {
        assert!(drops_arrive_with(false, true), "X11 hands drops over");
        assert!(!drops_arrive_with(true, false), "Wayland does not");
    }
}
