//! Opening and saving: which job is on the bench, and where it lies.

use super::Workbench;
use crate::command::Command;
use crate::files::{self, OpenedJob};
use crate::preview::Preview;
use crate::session::{Asking, Document, Operation, Results, Screen};
use crate::work::{Finished, Purpose};
use platewright_core::job::History;
use std::path::PathBuf;
use std::sync::Arc;

impl Workbench {
    pub(super) fn ask_for_file(&mut self, purpose: Purpose) {
        self.session.screen.error = None;
        self.stop_waiting();
        self.session.screen.asking = Some(match purpose {
            Purpose::Open => Asking::WhatToOpen,
            Purpose::Save => Asking::WhereToSave,
            Purpose::Write(export) => Asking::WhereToWrite { export, even_so: false },
        });
        self.session.screen.path_text = self.suggested_path(purpose).display().to_string();
        let suggested = self.suggested_path(purpose);
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
        let Some(document) = &self.session.document else { return PathBuf::new() };
        let own = document.path.clone().unwrap_or_else(|| {
            let photo = &document.photo.path;
            photo.with_extension("plate.json")
        });
        match purpose {
            Purpose::Open => PathBuf::new(),
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
        if self.session.document.as_ref().is_some_and(Document::would_lose_work) {
            self.session.screen.to_open = Some(path);
            self.session.screen.asking = Some(Asking::SaveBeforeOpening);
        } else {
            self.start_opening(path);
        }
    }

    pub(super) fn start_opening(&mut self, path: PathBuf) {
        self.session.screen.asking = None;
        self.session.screen.working = Some(format!("Reading {}", files::short_name(&path)));
        let started =
            self.work.start("open", move |_| Some(Finished::Opened(Box::new(files::open_job_or_photo(&path)))));
        if let Err(error) = started {
            self.session.screen.working = None;
            self.session.screen.error = Some(format!("Nothing was opened: {error}. Try again."));
        }
    }

    /// Goes on with the file that the person chose in the system's window.
    pub(super) fn take_chosen(&mut self, purpose: Purpose, path: Option<PathBuf>) {
        let Some(path) = path else { return };
        self.session.screen.asking = None;
        self.send(match purpose {
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
        let OpenedJob { job, path, photo, is_new } = opened;
        let operation = if is_new { Operation::Holes } else { Operation::Measures };
        if let Some(path) = &path {
            self.session.settings.opened(path);
            self.keep_settings();
        }
        self.session.document = Some(Document {
            saved: (!is_new).then(|| job.clone()),
            history: History::new(job),
            path,
            photo: Arc::new(photo),
        });
        self.session.results = Results::default();
        // Revisions begin anew: an answer about the job before would be taken for one about this.
        self.measuring.forget();
        self.file_to_come = None;
        let screen = &self.session.screen;
        self.session.screen =
            Screen { operation, inches: screen.inches, instrument: screen.instrument, ..Screen::default() };
        self.canvas.forget_photo();
        self.preview = Preview::default();
    }

    pub(super) fn keep_settings(&mut self) {
        if let Err(error) = self.session.settings.save() {
            self.session.screen.said = Some(error.to_string());
        }
    }

    pub(super) fn save_to(&mut self, path: PathBuf) {
        self.session.screen.asking = None;
        self.stop_waiting();
        let Some(document) = &mut self.session.document else { return };
        let path = files::with_job_extension(path);
        match files::save_job(document.job(), &document.photo.path, &path) {
            Ok(photo_file) => {
                document.history.photo_lies_at(&photo_file);
                document.saved = Some(document.job().clone());
                document.path = Some(path.clone());
                self.session.screen.said = Some(format!("Saved to {}.", path.display()));
                self.session.settings.opened(&path);
                self.keep_settings();
            }
            Err(error) => self.session.screen.error = Some(error.to_string()),
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
        let opened = OpenedJob { job: samples::holes_only(), path: None, photo, is_new: false };
        bench.take_in(Finished::Opened(Box::new(Ok(opened))));
        assert!(bench.measuring.collect().is_none(), "it belongs to the job before");
    }
}
