//! The sheet of an empty window: open something, try the demo, go on with what was open lately.

use crate::command::{Action, Command};
use crate::controls::{Button, Field, Head, Icon, icons, say, say_in};
use crate::files::opening::Opening;
use crate::files::short_name;
use crate::session::Session;
use crate::theme::{self, Lettering};
use egui::{Id, Key, Sense, Stroke, StrokeKind, Ui, vec2};
use std::path::PathBuf;

/// The sheet.
pub(super) fn show(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let soft = theme::colours(ui).soft;
    super::left_work::show(ui, session, commands);
    say(ui, Lettering::Strong, "Start");
    ui.add_space(4.0);
    // Work that was left comes first: Enter goes on with it.
    let left = session.left.first().cloned();
    let open = if left.is_none() { Button::main("Open a photo") } else { Button::rest("Open a photo") };
    let open = open.icon(Icon::Photo).key(Action::Open.key_text()).tall();
    let opened = open.width(ui.available_width()).show(ui).clicked();
    let enter = !ui.ctx().egui_wants_keyboard_input()
        && session.screen.asking.is_none()
        && ui.input(|input| input.key_pressed(Key::Enter));
    match left.filter(|_| enter && !opened) {
        Some(left) => commands.push(Command::OpenAs(Box::new(Opening::left(left)))),
        None if opened || enter => commands.push(Command::Do(Action::Open)),
        None => {}
    }
    ui.add_space(4.0);
    let words = "JPEG, HEIC, PNG, TIFF or WebP, straight from the camera. Photos sent through a messenger come smaller and \
                 without the lens record.";
    say_in(ui, Lettering::Body, soft, words);
    ui.add_space(4.0);
    path_row(ui, session, commands);
    Head::new("No photo at hand?").show(ui);
    guide(ui, commands);
    demo(ui, commands);
    recent(ui, session, commands);
}

fn path_row(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        let width = ui.available_width() - 64.0 - theme::BUTTON_GAP;
        let name = "Where a photo or a job is";
        let field = Field { name, unit: "", hint: "or type where a photo or a job is", width };
        let response = field.show(ui, Id::unique("start-path"), &mut session.screen.start_path);
        let entered = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        let clicked = Button::rest("Open").name("Open what is typed").width(64.0).show(ui).clicked();
        let path = typed_path(&session.screen.start_path);
        if entered {
            // Where it comes to nothing, what is typed next is the path again and no keys.
            response.request_focus();
        }
        if let (true, Some(path)) = (entered || clicked, path) {
            commands.push(Command::Open(path));
        }
    });
}

/// What was typed as a path; quotes round it, as a file manager copies them, are no part of it.
pub(super) fn typed_path(text: &str) -> Option<PathBuf> {
    let text = text.trim().trim_matches(['"', '\'']);
    (!text.is_empty()).then(|| PathBuf::from(text))
}

fn guide(ui: &mut Ui, commands: &mut Vec<Command>) {
    ui.add_space(4.0);
    let words = "A guide leads through a whole job on the demo’s photo, with a caliper that reads by itself.";
    say(ui, Lettering::Body, words);
    ui.add_space(4.0);
    let button = Button::rest("A first plate in six steps").key(Action::Guide.key_text()).name("Begin the guide");
    if button.show(ui).clicked() {
        commands.push(Command::Do(Action::Guide));
    }
    ui.add_space(8.0);
}

fn demo(ui: &mut Ui, commands: &mut Vec<Command>) {
    let colours = theme::colours(ui);
    ui.add_space(4.0);
    ui.horizontal_top(|ui| {
        let (rect, _) = ui.allocate_exact_size(vec2(96.0, 96.0), Sense::hover());
        ui.painter().rect(rect, 2.0, colours.tray, Stroke::new(1.0, colours.line), StrokeKind::Inside);
        super::pictograms::paint_flange(ui, rect);
        ui.add_space(4.0);
        ui.vertical(|ui| {
            say(ui, Lettering::Strong, "Milk valve flange");
            say(ui, Lettering::Body, "Seven holes, eleven measures and an outline, to look round in.");
            ui.add_space(4.0);
            let button = Button::rest("Try the demo job").key(Action::Demo.key_text());
            if button.show(ui).clicked() {
                commands.push(Command::Do(Action::Demo));
            }
        });
    });
}

fn recent(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    if session.settings.recent.is_empty() {
        return;
    }
    Head::new("Recent jobs").show(ui);
    for path in &session.settings.recent {
        let colours = theme::colours(ui);
        let name = short_name(path);
        let stem = name.strip_suffix(".plate.json").unwrap_or(&name);
        let folder = path.parent().map(|folder| folder.display().to_string()).unwrap_or_default();
        let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 44.0), Sense::click());
        if response.hovered() {
            ui.painter().rect_filled(rect, 2.0, colours.tray);
        }
        let wrap = |text: &str, lettering: Lettering, colour| {
            let mut job = egui::text::LayoutJob::simple_singleline(text.to_owned(), lettering.font(), colour);
            job.wrap = egui::text::TextWrapping::truncate_at_width(rect.width() - 8.0);
            ui.painter().layout_job(job)
        };
        let title = wrap(stem, Lettering::Strong, colours.ink);
        let place = wrap(&folder, Lettering::Small, colours.soft);
        ui.painter().galley(rect.min + vec2(4.0, 4.0), title, colours.ink);
        ui.painter().galley(rect.min + vec2(4.0, 24.0), place, colours.soft);
        icons::dashed_level(ui.painter(), rect.left(), rect.right(), rect.bottom(), colours.rule);
        crate::controls::focus_ring(ui, &response, rect.shrink(2.0));
        response
            .widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, format!("Open the recent job {stem}")));
        if response.clicked() {
            commands.push(Command::Open(path.clone()));
        }
        response.on_hover_text(path.display().to_string());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_may_be_typed_in_quotes() {
        assert_eq!(typed_path(" \"/jobs/lid of vat.jpg\" "), Some(PathBuf::from("/jobs/lid of vat.jpg")), "no quotes");
        assert_eq!(typed_path("   "), None, "nothing typed");
    }
}
