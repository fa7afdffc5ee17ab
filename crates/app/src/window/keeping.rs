//! Keeping unsaved work: a thread beside the window writes a copy of the job soon after each change.
//!
//! ## Invariants
//! - The thread counts the time by itself, by a clock that only runs forward: neither a window that draws no frames nor a
//!   system clock that jumps keeps a copy from being written.
//! - What is told is told in order: a job is saved after its copy is, and its copy goes after it is saved.

use super::Workbench;
use crate::files::FileError;
use crate::files::recovery::{About, Slot, not_kept_in};
use crate::session::Document;
use platewright_core::job::Job;
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, SyncSender, channel, sync_channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// A copy is written when nothing was changed for so long.
const QUIET: Duration = Duration::from_secs(1);

/// A copy is written at the latest when a change is so old.
const LONGEST: Duration = Duration::from_secs(2);

/// That no copy is kept is said again after so many that could not be written.
const SAY_AGAIN: u32 = 20;

/// What the thread is told.
enum Note {
    /// Another job is on the bench; the one before was closed on purpose.
    Hold(Option<Slot>, About),
    /// The job was changed then.
    Changed(Box<Job>, Instant),
    /// Nothing would be lost.
    Settled,
    /// A copy of this is to be there before the answer.
    Now(Box<Job>, SyncSender<()>),
    /// The job was saved to another file, or stands otherwise in its own.
    Moved(About),
    /// The window is closed on purpose.
    End,
}

/// The window's end of the thread.
#[derive(Debug)]
pub(super) struct Keeper {
    notes: Option<Sender<Note>>,
    troubles: Receiver<FileError>,
    thread: Option<JoinHandle<()>>,
    /// The revision that the thread was told of last, and whether something of it would be lost.
    told: Option<(u64, bool)>,
}

impl Keeper {
    /// Keeps copies in `folder`; without one, or where the system starts no thread, none are kept.
    pub(super) fn new(ctx: &egui::Context, folder: Option<PathBuf>) -> Self {
        let (notes, to_do) = channel();
        let (tell, troubles) = channel();
        let (ctx, tell_here) = (ctx.clone(), tell.clone());
        let thread = folder.and_then(|folder| {
            let no_thread = |error| not_kept_in(&folder, error);
            let mut copies = Copies { folder: folder.clone(), slot: None, about: None, waiting: None, failed: 0 };
            let work = move || {
                copies.run(&to_do, &|error| {
                    // The window may be gone; nobody is then left to be told.
                    if tell.send(error).is_ok() {
                        ctx.request_repaint();
                    }
                });
            };
            let started = std::thread::Builder::new().name("keep".to_owned()).spawn(work).map_err(no_thread);
            // The receiver is in hand: it cannot be gone.
            started.map_err(|error| tell_here.send(error)).ok()
        });
        Self { notes: thread.is_some().then_some(notes), troubles, thread, told: None }
    }

    /// Another job is on the bench; what was kept of the one before goes away.
    pub(super) fn hold(&mut self, slot: Option<Slot>, about: About) {
        self.told = None;
        self.tell(Note::Hold(slot, about));
    }

    /// Tells of what has changed since the last frame.
    fn look_at(&mut self, document: &Document) {
        let now = (document.history.revision(), document.would_lose_work());
        if self.told == Some(now) {
            return;
        }
        self.told = Some(now);
        self.tell(if now.1 { Note::Changed(Box::new(document.job().clone()), Instant::now()) } else { Note::Settled });
    }

    /// Has a copy of the job written before it goes on: what is being saved is never newer than what is kept.
    pub(super) fn keep_now(&mut self, document: &Document) {
        let (answer, answered) = sync_channel(1);
        self.tell(Note::Now(Box::new(document.job().clone()), answer));
        // Without a thread there is no answer, and nothing to wait for.
        let _ = answered.recv();
    }

    /// The job stands in its file as it is on the bench.
    pub(super) fn saved(&mut self, about: About) {
        self.tell(Note::Moved(about));
    }

    /// The window is closed on purpose: nothing of its job is kept.
    pub(super) fn end(&mut self) {
        self.tell(Note::End);
        self.finish();
    }

    /// A thread that is gone has nothing to keep.
    fn tell(&self, note: Note) {
        if let Some(notes) = &self.notes {
            let _ = notes.send(note);
        }
    }

    /// Waits for what is still to be written.
    fn finish(&mut self) {
        self.notes = None;
        if let Some(thread) = self.thread.take() {
            // Where it came to grief, the copy before is there.
            let _ = thread.join();
        }
    }
}

impl Drop for Keeper {
    fn drop(&mut self) {
        self.finish();
    }
}

/// What the thread has in hand.
struct Copies {
    folder: PathBuf,
    slot: Option<Slot>,
    about: Option<About>,
    waiting: Option<Waiting>,
    /// So many copies in a row could not be written.
    failed: u32,
}

/// A job that is to be written.
struct Waiting {
    job: Box<Job>,
    /// Its first change since the last copy, and its last.
    first: Instant,
    last: Instant,
}

impl Waiting {
    fn due(&self) -> Instant {
        (self.last + QUIET).min(self.first + LONGEST)
    }
}

impl Copies {
    /// Does what it is told until the window is gone. What waits then is written: the window may have come to grief.
    fn run(&mut self, notes: &Receiver<Note>, tell: &dyn Fn(FileError)) {
        loop {
            let note = match &self.waiting {
                None => notes.recv().map_err(RecvTimeoutError::from),
                Some(waiting) => notes.recv_timeout(waiting.due().saturating_duration_since(Instant::now())),
            };
            let is_over = matches!(note, Err(RecvTimeoutError::Disconnected) | Ok(Note::End));
            if let Ok(note) = note {
                let done = self.take_in(note);
                self.tell(done, tell);
            }
            let is_due = self.waiting.as_ref().is_some_and(|waiting| waiting.due() <= Instant::now());
            if is_due || is_over {
                let done = self.write();
                self.tell(done, tell);
            }
            if is_over {
                return;
            }
        }
    }

    /// Says that no copy is kept, and again now and then until one is kept: what was said is gone with the next click.
    fn tell(&mut self, done: Result<Done, FileError>, tell: &dyn Fn(FileError)) {
        match done {
            Ok(Done::Written) => self.failed = 0,
            Ok(Done::Nothing) => {}
            Err(error) => {
                if self.failed.is_multiple_of(SAY_AGAIN) {
                    tell(error);
                }
                self.failed = self.failed.saturating_add(1);
            }
        }
    }

    fn take_in(&mut self, note: Note) -> Result<Done, FileError> {
        match note {
            Note::Hold(slot, about) => {
                self.waiting = None;
                let before = std::mem::replace(&mut self.slot, slot);
                self.about = Some(about.clone());
                let ended = before.map_or(Ok(()), Slot::end);
                // Work that was left may be saved elsewhere from now on.
                self.slot.as_ref().map_or(Ok(()), |slot| slot.describe(&about))?;
                ended?;
            }
            Note::Changed(job, at) => {
                let first = self.waiting.as_ref().map_or(at, |waiting| waiting.first);
                self.waiting = Some(Waiting { job, first, last: at });
            }
            Note::Settled => {
                self.waiting = None;
                self.slot.as_ref().map_or(Ok(()), Slot::clear)?;
            }
            Note::Now(job, answer) => {
                let now = Instant::now();
                self.waiting = Some(Waiting { job, first: now, last: now });
                let done = self.write();
                // Whoever asked goes on either way: saving is worth more than a copy.
                let _ = answer.send(());
                return done;
            }
            Note::Moved(about) => {
                self.waiting = None;
                self.about = Some(about.clone());
                if let Some(slot) = &self.slot {
                    slot.clear()?;
                    slot.describe(&about)?;
                }
            }
            Note::End => {
                self.waiting = None;
                self.slot.take().map_or(Ok(()), Slot::end)?;
            }
        }
        Ok(Done::Nothing)
    }

    /// Writes what waits. What cannot be written waits on, and is tried again.
    fn write(&mut self) -> Result<Done, FileError> {
        let (Some(waiting), Some(about)) = (&mut self.waiting, &self.about) else { return Ok(Done::Nothing) };
        (waiting.first, waiting.last) = (Instant::now(), Instant::now());
        // Somebody may have emptied the folder.
        if self.slot.as_ref().is_none_or(|slot| !slot.is_there()) {
            self.slot = Some(Slot::new(&self.folder, about)?);
        }
        if let Some(slot) = &self.slot {
            slot.keep(&waiting.job)?;
        }
        self.waiting = None;
        Ok(Done::Written)
    }
}

/// What was done about a copy.
enum Done {
    Written,
    Nothing,
}

impl Workbench {
    /// Has what was changed kept, and says where that cannot be.
    pub(super) fn keep(&mut self) {
        if let Some(error) = self.keeper.troubles.try_iter().last() {
            self.session.screen.said = Some(error.to_string());
        }
        if let Some(document) = &self.session.document {
            self.keeper.look_at(document);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::JOB_EXTENSION;
    use crate::files::recovery::leftovers;
    use crate::sheets::samples;
    use platewright_core::job::Edit;
    use std::path::Path;

    /// The copies in `folder`, by the names of their parts, whoever keeps them.
    fn copies(folder: &Path) -> Vec<String> {
        let entries = std::fs::read_dir(folder).into_iter().flatten().map(|entry| entry.unwrap().path());
        let copies = entries.filter(|path| path.to_str().is_some_and(|path| path.ends_with(JOB_EXTENSION)));
        let title = |path: std::path::PathBuf| match crate::files::read_job(&path) {
            Ok(job) => Some(job.title),
            // The thread that keeps them took it away since the folder was read.
            Err(_) if !path.exists() => None,
            Err(error) => panic!("{error}"),
        };
        copies.filter_map(title).collect()
    }

    fn until(what: &str, holds: impl Fn() -> bool) {
        let started = Instant::now();
        while !holds() {
            assert!(started.elapsed() < Duration::from_mins(2), "waited in vain until {what}");
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    fn name(document: &mut Document, title: &str) {
        document.history.apply("name it", Edit::Title(title.to_owned())).unwrap();
    }

    /// A keeper of a job that was just opened.
    fn keeper(folder: &Path) -> (Keeper, Document) {
        let mut keeper = Keeper::new(&egui::Context::default(), Some(folder.to_path_buf()));
        let document = samples::session(samples::plate()).document.unwrap();
        keeper.hold(None, document.about());
        keeper.look_at(&document);
        (keeper, document)
    }

    #[test]
    fn a_copy_waits_for_quiet_but_never_longer_than_the_longest() {
        let first = Instant::now();
        let due = |last_ms: u64| {
            let last = first + Duration::from_millis(last_ms);
            Waiting { job: Box::new(samples::plate()), first, last }.due() - first
        };
        assert_eq!(due(0), Duration::from_secs(1), "a second after the only change");
        assert_eq!(due(700), Duration::from_millis(1700), "a second after the last");
        // A drag that never rests.
        assert_eq!(due(1999), Duration::from_secs(2), "but two seconds after the first at the latest");
    }

    #[test]
    fn a_change_is_kept_and_one_that_is_taken_back_is_not() {
        let folder = tempfile::tempdir().unwrap();
        let (mut keeper, mut document) = keeper(folder.path());
        name(&mut document, "Vat lid");
        keeper.look_at(&document);
        until("a copy is there", || copies(folder.path()) == ["Vat lid"]);
        assert_eq!(leftovers(folder.path()), [], "it is held");
        document.history.undo();
        keeper.look_at(&document);
        until("the copy is gone", || copies(folder.path()).is_empty());
        document.history.redo();
        keeper.look_at(&document);
        until("it is there again", || copies(folder.path()) == ["Vat lid"]);
        keeper.end();
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0, "closed on purpose, nothing is left");
    }

    #[test]
    fn a_drag_that_never_rests_is_kept() {
        let folder = tempfile::tempdir().unwrap();
        let (mut keeper, mut document) = keeper(folder.path());
        let started = Instant::now();
        for step in 0.. {
            document.history.apply_in_hand("drag", Edit::Title(format!("Lid {step}"))).unwrap();
            keeper.look_at(&document);
            if !copies(folder.path()).is_empty() {
                break;
            }
            assert!(started.elapsed() < Duration::from_mins(2), "no copy while it is dragged");
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    #[test]
    fn a_window_that_comes_to_grief_leaves_its_last_change() {
        let folder = tempfile::tempdir().unwrap();
        let (mut keeper, mut document) = keeper(folder.path());
        name(&mut document, "Vat lid");
        keeper.look_at(&document);
        drop(keeper);
        let left: Vec<String> = leftovers(folder.path()).into_iter().map(|leftover| leftover.title).collect();
        assert_eq!(left, ["Vat lid"], "however young it was");
    }

    #[test]
    fn what_is_saved_is_kept_first_and_then_no_more() {
        let folder = tempfile::tempdir().unwrap();
        let (mut keeper, mut document) = keeper(folder.path());
        name(&mut document, "Vat lid");
        keeper.look_at(&document);
        keeper.keep_now(&document);
        assert_eq!(copies(folder.path()), ["Vat lid"], "there before it is saved");
        keeper.saved(document.about());
        until("the copy is gone", || copies(folder.path()).is_empty());
    }

    #[test]
    fn a_folder_that_cannot_be_written_is_said_once_and_tried_again() {
        let folder = tempfile::tempdir().unwrap();
        let recovery = folder.path().join("recovery");
        std::fs::write(&recovery, b"no folder").unwrap();
        let (mut keeper, mut document) = keeper(&recovery);
        for title in ["One", "Two"] {
            name(&mut document, title);
            keeper.look_at(&document);
            keeper.keep_now(&document);
        }
        let said: Vec<String> = keeper.troubles.try_iter().map(|error| error.to_string()).collect();
        assert_eq!(said.len(), 1, "once: {said:?}");
        assert!(said[0].contains("no copy of unsaved work is kept here"), "{said:?}");
        std::fs::remove_file(&recovery).unwrap();
        until("a copy is there after all", || copies(&recovery) == ["Two"]);
    }

    #[test]
    fn copies_go_on_in_a_folder_that_somebody_has_emptied() {
        let folder = tempfile::tempdir().unwrap();
        let recovery = folder.path().join("recovery");
        let (mut keeper, mut document) = keeper(&recovery);
        name(&mut document, "One");
        keeper.look_at(&document);
        keeper.keep_now(&document);
        std::fs::remove_dir_all(&recovery).unwrap();
        name(&mut document, "Two");
        keeper.look_at(&document);
        until("a copy is there again", || copies(&recovery) == ["Two"]);
    }
}
