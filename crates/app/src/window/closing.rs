//! Closing without losing anything, and files dropped on the window.

use super::Workbench;
use crate::command::Command;
use crate::session::{Asking, Document};

impl Workbench {
    /// Holds the window open while there is something to save.
    pub(super) fn watch_closing(&mut self, ctx: &egui::Context) {
        let closing = ctx.input(|input| input.viewport().close_requested());
        let unsaved = self.session.document.as_ref().is_some_and(Document::would_lose_work);
        if !closing {
            return;
        }
        if unsaved && !self.close_anyway {
            ctx.send_viewport_cmd(egui::ViewportCommand::CancelClose);
            self.session.screen.asking = Some(Asking::SaveBeforeClosing);
        } else {
            self.keeper.end();
        }
    }

    /// Closes, saved or not.
    pub(super) fn close_anyway(&mut self, ctx: &egui::Context) {
        self.close_anyway = true;
        ctx.send_viewport_cmd(egui::ViewportCommand::Close);
    }

    /// Opens what was dropped on the window.
    pub(super) fn take_dropped(&mut self, ctx: &egui::Context) {
        let dropped = ctx.input(|input| input.raw.dropped_files.clone());
        if let Some(path) = dropped.first().map(|file| file.path().to_path_buf()) {
            self.send(Command::Open(path));
        }
    }
}
