//! Opening and saving: which job is on the bench, and where it lies.

use super::Workbench;
use crate::command::Command;
use crate::files::opening::{Beside, Held, Opening, said_of_photo};
use crate::files::recovery::{self, Leftover};
use crate::files::{self, FileError, JOB_EXTENSION, OpenedJob, Problem, Saved};
use crate::preview::Preview;
use crate::session::{Asking, Document, Operation, Results, Screen};
use crate::work::{Finished, Purpose};
use std::path::{Path, PathBuf};
use std::sync::Arc;

impl Workbench {
    pub(super) fn ask_for_file(&mut self, purpose: Purpose) {
        self.session.screen.error = None;
        self.stop_waiting();
        self.session.screen.asking = Some(match purpose {
            Purpose::Open => Asking::WhatToOpen,
            Purpose::FindPhoto => Asking::WhereIsPhoto,
            Purpose::Save => Asking::WhereToSave,
            Purpose::Write(export) => Asking::WhereToWrite { export, even_so: false },
        });
        let suggested = self.suggested_path(purpose);
        self.session.screen.path_text = match &self.session.screen.held {
            // Where a photo is not is no place to begin at: what lies beside the job and may be it is, else what was typed.
            Some(Held::Photo(lost)) if purpose == Purpose::FindPhoto => {
                let begin = lost.beside.as_ref().or(lost.opening.photo.as_ref());
                begin.map_or_else(String::new, |path| path.display().to_string())
            }
            _ => suggested.display().to_string(),
        };
        let started = self
            .work
            .start("file-dialog", move |_| Some(Finished::Chose(purpose, files::dialog::ask(purpose, &suggested))));
        if let Err(error) = started {
            self.session.screen.error = Some(format!("The system's file window did not open: {error}. Type the path."));
        }
    }

    /// Nothing under way is waited for any more, nor said to be, but a file that follows.
    pub(super) fn stop_waiting(&mut self) {
        self.work.cancel();
        self.session.screen.working = self.file_waits();
    }

    fn suggested_path(&self, purpose: Purpose) -> PathBuf {
        if purpose == Purpose::FindPhoto {
            let Some(Held::Photo(lost)) = &self.session.screen.held else { return PathBuf::new() };
            return lost.looked_at.clone();
        }
        let Some(document) = &self.session.document else { return PathBuf::new() };
        let own = document.path.clone().unwrap_or_else(|| {
            let photo = document.photo.path.with_extension(&JOB_EXTENSION[1..]);
            // What is made with the guide is the person's own, and does not belong beside the demo's photo.
            let practised = self.guide.as_ref().is_some_and(|guide| guide.is_of(&self.session));
            let own_folder = self.session.places.documents.as_ref().filter(|_| practised);
            let own = own_folder.zip(photo.file_name()).map(|(folder, name)| folder.join(name));
            files::free_name(own.unwrap_or(photo))
        });
        match purpose {
            Purpose::Open | Purpose::FindPhoto => PathBuf::new(),
            Purpose::Save => own,
            Purpose::Write(export) => export.beside(&own, &document.job().stock.unwrap_or_default(), false),
        }
    }

    pub(super) fn open_demo(&mut self) {
        match files::demo_job() {
            Ok(path) => self.open(path),
            Err(error) => self.session.screen.error = Some(error.to_string()),
        }
    }

    /// Opens what is at `path`, unless work would be lost: then the person is asked.
    pub(super) fn open(&mut self, path: PathBuf) {
        let opening = Opening::file(path);
        if self.session.document.as_ref().is_some_and(Document::would_lose_work) {
            self.session.screen.to_open = Some(opening);
            self.session.screen.asking = Some(Asking::SaveBeforeOpening);
        } else {
            self.start_opening(opening);
        }
    }

    pub(super) fn start_opening(&mut self, mut opening: Opening) {
        self.session.screen.asking = None;
        self.session.screen.held = None;
        self.session.screen.error = None;
        self.session.screen.working = Some(format!("Reading {}", opening.called()));
        let own = self.session.document.as_ref().and_then(|document| document.path.as_deref());
        if own.zip(opening.path()).is_some_and(|(own, path)| files::is_same_file(own, path)) {
            // It is this window that has it open.
            opening.beside = Beside::EvenSo;
        }
        let recovery = self.session.places.recovery.clone();
        self.opening = Some((opening.clone(), self.revision()));
        let started =
            self.work.start("open", move |_| Some(Finished::Opened(Box::new(opening.open(recovery.as_deref())))));
        if let Err(error) = started {
            self.session.screen.working = None;
            self.session.screen.error = Some(format!("Nothing was opened: {error}. Try again."));
        }
    }

    /// Puts what was read on the bench, unless something was done meanwhile on the job that lies there: then the person is
    /// asked first.
    pub(super) fn take_opened(&mut self, opened: OpenedJob) {
        let asked = self.opening.take().filter(|(_, revision)| *revision != self.revision());
        match asked.filter(|_| self.session.document.as_ref().is_some_and(Document::would_lose_work)) {
            Some((opening, _)) => {
                self.session.screen.to_open = Some(opening);
                self.session.screen.asking = Some(Asking::SaveBeforeOpening);
            }
            None => self.put_on_bench(opened),
        }
    }

    fn revision(&self) -> Option<u64> {
        self.session.document.as_ref().map(|document| document.history.revision())
    }

    /// Asks what is to be settled before something is opened.
    pub(super) fn ask_before_opening(&mut self, held: Held) {
        let asks_for_photo = matches!(held, Held::Photo(_));
        self.session.screen.held = Some(held);
        if asks_for_photo {
            self.ask_for_file(Purpose::FindPhoto);
        } else {
            self.session.screen.asking = Some(Asking::Held);
        }
    }

    /// Says why something was not opened; a recent job that is gone is none any more.
    pub(super) fn say_what_failed(&mut self, opening: &Opening, error: &FileError) {
        let mut said = error.to_string();
        let is_gone = |path: &&Path| matches!(error.problem, Problem::NoSuchFile) && !files::is_there(path);
        if opening.path().filter(is_gone).is_some_and(|path| self.session.settings.forget(path)) {
            said.push_str(" It is no longer among the recent jobs.");
            self.keep_settings();
        }
        self.session.screen.error = Some(said);
        self.ask_again();
        // Another window may have gone on with what was left.
        self.look_for_left();
    }

    /// Asks anew what was answered with a path that came to nothing; the path stands there as it was typed.
    pub(super) fn ask_again(&mut self) {
        if let Some(asking) = self.session.screen.answered.take() {
            self.session.screen.asking = Some(asking);
        }
    }

    pub(super) fn throw_away(&mut self, leftover: &Leftover) {
        match leftover.throw_away() {
            Ok(()) => {
                self.session.screen.said = Some(format!("The unsaved work on {} is thrown away.", leftover.title));
            }
            Err(error) => self.session.screen.error = Some(error.to_string()),
        }
        self.look_for_left();
    }

    fn look_for_left(&mut self) {
        self.session.left = self.session.places.recovery.as_deref().map(recovery::leftovers).unwrap_or_default();
    }

    /// Goes on with the file that the person chose in the system's window.
    pub(super) fn take_chosen(&mut self, purpose: Purpose, path: Option<PathBuf>) {
        let Some(path) = path else { return };
        self.session.screen.asking = None;
        let held = self.session.screen.held.take();
        self.send(match purpose {
            Purpose::FindPhoto => match held {
                Some(Held::Photo(lost)) => Command::OpenAs(Box::new(lost.with(path))),
                _ => return,
            },
            Purpose::Open => Command::Open(path),
            Purpose::Save => Command::SaveTo(path),
            Purpose::Write(export) => {
                let stock = self.session.document.as_ref().and_then(|document| document.job().stock);
                let named = export.named(path.clone(), &stock.unwrap_or_default());
                if named != path && files::is_there(&named) {
                    // The system asked about another name: what would be replaced is said in our own question.
                    self.session.screen.path_text = named.display().to_string();
                    self.session.screen.asking = Some(Asking::WhereToWrite { export, even_so: false });
                    return;
                }
                Command::WriteTo { export, path, even_so: false }
            }
        });
    }

    pub(super) fn put_on_bench(&mut self, opened: OpenedJob) {
        let OpenedJob { job, saved, in_file, path, photo, is_new, is_left, slot } = opened;
        let operation = if is_new { Operation::Holes } else { Operation::Measures };
        let back = is_left.then(|| "The unsaved work is back. Save it to keep it.".to_owned());
        let said = said_of_photo(saved.as_ref(), &job).or(back);
        let document = Document { saved, in_file, is_left, ..Document::new(job, path, Arc::new(photo)) };
        self.keeper.hold(slot, document.about());
        let mut kept = Ok(());
        if let Some(path) = &document.path {
            self.session.settings.opened(path);
            kept = self.write_settings();
        }
        self.session.document = Some(document);
        self.guide.take_if(|guide| !is_new || !guide.is_of(&self.session));
        self.look_for_left();
        self.session.results = Results::default();
        // Revisions begin anew: an answer about the job before would be taken for one about this.
        self.measuring.forget();
        self.file_to_come = None;
        let screen = &self.session.screen;
        self.session.screen =
            Screen { operation, inches: screen.inches, instrument: screen.instrument, ..Screen::default() };
        let left = self.session.left.first().map(|leftover| {
            format!("Unsaved work on {} is kept: start Platewright without a job to go on with it.", leftover.title)
        });
        self.session.screen.said = said.or(kept.err()).or(left);
        self.canvas.forget_photo();
        self.preview = Preview::default();
    }

    /// Writes the settings, where they are kept at all; or the sentence why not.
    fn write_settings(&self) -> Result<(), String> {
        let Some(file) = &self.session.places.settings else { return Ok(()) };
        self.session.settings.save_to(file).map_err(|error| error.to_string())
    }

    pub(super) fn keep_settings(&mut self) {
        if let Err(said) = self.write_settings() {
            self.session.screen.said = Some(said);
        }
    }

    /// Saves the job at `path`; where another has written to its own file meanwhile, the person is asked first.
    pub(super) fn save_to(&mut self, path: PathBuf) {
        let path = files::with_job_extension(path);
        let Some(document) = &self.session.document else { return };
        let is_own = document.path.as_ref().is_some_and(|own| files::is_same_file(own, &path));
        if is_own && files::has_changed(&path, document.in_file.as_ref()) {
            self.session.screen.asking = Some(Asking::FileChanged);
            return;
        }
        self.save(&path);
    }

    pub(super) fn save_over(&mut self) {
        if let Some(path) = self.session.document.as_ref().and_then(|document| document.path.clone()) {
            self.save(&path);
        }
    }

    fn save(&mut self, path: &Path) {
        self.session.screen.asking = None;
        self.stop_waiting();
        let Some(document) = &mut self.session.document else { return };
        if document.would_lose_work() {
            self.keeper.keep_now(document);
        }
        match files::save_job(document.job(), &document.photo.path, path) {
            Ok(Saved { photo_file, in_file }) => {
                document.history.photo_lies_at(&photo_file);
                document.saved = Some(document.job().clone());
                document.in_file = Some(in_file);
                document.path = Some(path.to_path_buf());
                self.keeper.saved(document.about());
                self.session.screen.error = None;
                self.session.screen.answered = None;
                self.session.screen.said = Some(format!("Saved to {}.", path.display()));
                self.session.settings.opened(path);
                self.keep_settings();
            }
            Err(error) => {
                self.session.screen.error = Some(error.to_string());
                self.ask_again();
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;
    use std::sync::atomic::{AtomicBool, Ordering};
    use std::time::{Duration, Instant};

    #[test]
    fn what_was_measured_of_the_job_before_is_not_taken_for_the_new_one() {
        let ctx = egui::Context::default();
        let mut job = samples::plate();
        for hole in &mut job.holes {
            hole.measure_rim = true;
        }
        let mut session = samples::session(job);
        session.refresh();
        let request = session.to_measure().expect("its rims are to be measured");
        let photo = (*request.photo).clone();
        let mut bench = Workbench::new(&ctx, session, None);
        let answered = Arc::new(AtomicBool::new(false));
        let woken = Arc::clone(&answered);
        ctx.set_request_repaint_callback(move |_| woken.store(true, Ordering::Relaxed));
        bench.measuring.ask(request).expect("a thread starts");
        let started = Instant::now();
        while !answered.load(Ordering::Relaxed) {
            assert!(started.elapsed() < Duration::from_mins(2), "no answer came");
            std::thread::yield_now();
        }
        let opened = OpenedJob::new(samples::holes_only(), photo);
        bench.take_in(Finished::Opened(Box::new(Ok(opened))));
        assert!(bench.measuring.collect().is_none(), "it belongs to the job before");
    }
}
