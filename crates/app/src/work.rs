//! Work that takes longer than a frame: reading photos, asking the system for a file. Each piece runs in its own
//! thread and hands one result back; a result that nobody waits for any more is dropped by its number.

use crate::exports::{Export, PaperPrinter};
use crate::files::OpenedJob;
use crate::files::opening::NotOpened;
use crate::offers::Offers;
use crate::proposal::Proposal;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};

/// What came back.
#[derive(Debug)]
pub enum Finished {
    /// A job or a photo was read.
    Opened(Box<Result<OpenedJob, NotOpened>>),
    /// Rims were looked for.
    FoundOthers(Offers),
    /// An outline was looked for.
    Proposed(Proposal),
    /// A file for others was written, or not.
    Wrote(Wrote),
    /// The person chose a file, or none.
    Chose(Purpose, Option<PathBuf>),
}

/// How writing a file for others ended.
#[derive(Debug)]
pub struct Wrote {
    /// What it is.
    pub export: Export,
    /// Where.
    pub path: PathBuf,
    /// That it is there, or one sentence why not.
    pub result: Result<(), String>,
    /// What is known of the printer from now on, where it was a proof.
    pub printer: Option<PaperPrinter>,
}

/// What a file was asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// To open it.
    Open,
    /// To take it for the photo of the job that is being opened.
    FindPhoto,
    /// To save the job there.
    Save,
    /// To write a file for others there.
    Write(Export),
}

/// The pieces under way.
#[derive(Debug)]
pub struct Work {
    sender: Sender<(u64, Finished)>,
    receiver: Receiver<(u64, Finished)>,
    newest: Arc<AtomicU64>,
    ctx: egui::Context,
}

impl Work {
    /// Nothing under way. `ctx` is woken by every result.
    pub fn new(ctx: egui::Context) -> Self {
        let (sender, receiver) = channel();
        Self { sender, receiver, newest: Arc::new(AtomicU64::new(0)), ctx }
    }

    /// Starts `job`; whatever was under way is no longer waited for. The job may ask what it is given whether to go on.
    ///
    /// # Errors
    /// Where the system starts no thread.
    pub fn start(
        &self,
        name: &str,
        job: impl FnOnce(&dyn Fn() -> bool) -> Option<Finished> + Send + 'static,
    ) -> std::io::Result<()> {
        let number = self.cancel();
        let (newest, sender, ctx) = (Arc::clone(&self.newest), self.sender.clone(), self.ctx.clone());
        std::thread::Builder::new().name(name.to_owned()).spawn(move || {
            let Some(finished) = job(&|| newest.load(Ordering::Relaxed) == number) else { return };
            // The window may be gone by then; its result is then wanted by nobody.
            if sender.send((number, finished)).is_ok() {
                ctx.request_repaint();
            }
        })?;
        Ok(())
    }

    /// Stops waiting for what is under way; the number of what comes next.
    pub fn cancel(&self) -> u64 {
        self.newest.fetch_add(1, Ordering::Relaxed) + 1
    }

    /// The results that came in and are still wanted.
    pub fn collect(&self) -> Vec<Finished> {
        let newest = self.newest.load(Ordering::Relaxed);
        self.receiver.try_iter().filter(|(number, _)| *number == newest).map(|(_, finished)| finished).collect()
    }
}
