//! The photo, as shot and flat, and everything that is drawn and done on it.

use crate::command::Command;
use crate::session::Session;

/// What the canvas keeps between frames: the photo's tiles on the graphics card.
#[derive(Debug, Default)]
pub struct Canvas {}

impl Canvas {
    /// The photo is another one.
    pub fn forget_photo(&mut self) {}

    /// Draws the photo and takes what is done on it.
    pub fn show(&mut self, _ui: &mut egui::Ui, _session: &mut Session, _commands: &mut Vec<Command>) {}
}
