//! The panels round the photo: title, status, route card, fit sheet, start, questions. They read the session and send
//! commands; they compute nothing.

use crate::command::Command;
use crate::session::Session;
use egui::Ui;

/// The title block.
pub fn title_bar(_ui: &mut Ui, _session: &Session, _commands: &mut Vec<Command>) {}
/// The status line.
pub fn status_line(_ui: &mut Ui, _session: &Session) {}
/// The route card.
pub fn route_card(_ui: &mut Ui, _session: &mut Session, _commands: &mut Vec<Command>) {}
/// The fit sheet.
pub fn fit_sheet(_ui: &mut Ui, _session: &mut Session, _commands: &mut Vec<Command>) {}
/// How to take a photo that can be trusted.
pub fn start_guide(_ui: &mut Ui, _session: &mut Session, _commands: &mut Vec<Command>) {}
/// What is asked over the window.
pub fn questions(_ui: &mut Ui, _session: &mut Session, _commands: &mut Vec<Command>) {}
