//! Work that takes longer than a frame: reading photos, asking the system for a file. Each piece runs in its own
//! thread and hands one result back; a result that nobody waits for any more is dropped by its number.

use crate::files::{FileError, OpenedJob};
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, Sender, channel};

/// What came back.
#[derive(Debug)]
pub enum Finished {
    /// A job or a photo was read.
    Opened(Box<Result<OpenedJob, FileError>>),
    /// The person chose a file, or none.
    Chose(Purpose, Option<PathBuf>),
}

/// What a file was asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// To open it.
    Open,
    /// To save the job there.
    Save,
    /// To write the cut file there.
    Cut,
}

/// The pieces under way.
#[derive(Debug)]
pub struct Work {
    sender: Sender<(u64, Finished)>,
    receiver: Receiver<(u64, Finished)>,
    newest: u64,
    ctx: egui::Context,
}

impl Work {
    /// Nothing under way. `ctx` is woken by every result.
    pub fn new(ctx: egui::Context) -> Self {
        let (sender, receiver) = channel();
        Self { sender, receiver, newest: 0, ctx }
    }

    /// Starts `job`; whatever was under way is no longer waited for.
    ///
    /// # Errors
    /// Where the system starts no thread.
    pub fn start(&mut self, name: &str, job: impl FnOnce() -> Finished + Send + 'static) -> std::io::Result<()> {
        self.newest += 1;
        let (number, sender, ctx) = (self.newest, self.sender.clone(), self.ctx.clone());
        std::thread::Builder::new().name(name.to_owned()).spawn(move || {
            // The window may be gone by then; its result is then wanted by nobody.
            if sender.send((number, job())).is_ok() {
                ctx.request_repaint();
            }
        })?;
        Ok(())
    }

    /// Stops waiting for what is under way.
    pub fn cancel(&mut self) {
        self.newest += 1;
    }

    /// The results that came in and are still wanted.
    pub fn collect(&mut self) -> Vec<Finished> {
        self.receiver.try_iter().filter(|(number, _)| *number == self.newest).map(|(_, finished)| finished).collect()
    }
}
