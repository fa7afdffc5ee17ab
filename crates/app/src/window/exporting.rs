//! Writing files for others: at once where everything is measured, else as soon as it is, beside the window.

use super::Workbench;
use crate::command::Action;
use crate::exports::{Export, Source, WRITING};
use crate::session::Standing;
use crate::sheets::measuring_words;
use crate::work::{Finished, Wrote};
use platewright_core::job::capital;
use std::path::PathBuf;
use std::sync::Arc;

/// A file that is written once the rims are measured.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct FileToCome {
    export: Export,
    path: PathBuf,
    even_so: bool,
    /// The revision of the job that it was asked for: it is written of no other.
    revision: u64,
    is_being_written: bool,
}

impl FileToCome {
    /// What it is called in a sentence.
    pub(super) fn called(&self) -> &'static str {
        self.export.called()
    }

    /// It is under way, and comes or fails by itself.
    pub(super) fn is_being_written(&self) -> bool {
        self.is_being_written
    }
}

/// What is said to be under way while a file waits begins so.
const WAITS: &str = "Measuring the rims before";

impl Workbench {
    /// What is said to be under way while a file waits.
    pub(super) fn file_waits(&self) -> Option<String> {
        let file = self.file_to_come.as_ref()?;
        if file.is_being_written {
            return Some(format!("{WRITING} {}", file.export.called()));
        }
        let words = format!("{WAITS} {} is written", file.export.called());
        Some(measuring_words(&self.session, &words))
    }

    /// Writes the file now, or when the rims are measured.
    pub(super) fn write_to(&mut self, export: Export, path: PathBuf, even_so: bool) {
        self.session.screen.asking = None;
        self.file_to_come = None;
        self.stop_waiting();
        // What is asked for with the last edit is of the job after it.
        self.refresh(false);
        let Some(document) = &self.session.document else { return };
        let revision = document.history.revision();
        let path = export.named(path, &document.job().stock.unwrap_or_default());
        self.file_to_come = Some(FileToCome { export, path, even_so, revision, is_being_written: false });
        if self.session.to_measure().is_some() {
            self.session.screen.working = self.file_waits();
        } else {
            self.write_file();
        }
    }

    /// Writes the file that waited, once everything is measured; where that cannot be, says so.
    pub(super) fn write_when_settled(&mut self) {
        let (Some(file), Some(document)) = (&self.file_to_come, &self.session.document) else { return };
        if file.is_being_written {
            return;
        }
        let results = &self.session.results;
        let again = Action::Write.key_text().unwrap_or_default();
        let not_written = capital(file.export.called()) + " is not written";
        if file.revision != document.history.revision() {
            self.drop_file(format!("{not_written}: the job was changed meanwhile. Write it with {again}."));
        } else if results.revision != Some(file.revision) || self.session.to_measure().is_some() {
            // Another work under way says its own.
            if self.session.screen.working.as_ref().is_none_or(|words| words.starts_with(WAITS)) {
                self.session.screen.working = self.file_waits();
            }
        } else if results.standing == Standing::Unmeasured {
            let why = "measuring the rims broke off. Look at the holes, which stand on their picks";
            self.drop_file(format!("{not_written}: {why}, then write it with {again}."));
        } else {
            self.write_file();
        }
    }

    fn drop_file(&mut self, why: String) {
        self.file_to_come = None;
        self.session.screen.working = None;
        self.session.screen.error = Some(why);
        self.session.screen.answered = None;
    }

    /// Has it written of the results as they are, beside the window.
    fn write_file(&mut self) {
        let (Some(file), Some(document)) = (&mut self.file_to_come, &self.session.document) else { return };
        file.is_being_written = true;
        let (export, path, even_so) = (file.export, file.path.clone(), file.even_so);
        let (job, photo) = (document.job().clone(), Arc::clone(&document.photo));
        let (solution, checks) = (Arc::clone(&self.session.results.solution), self.session.results.checks.clone());
        let proof = self.session.settings.proof.clone();
        let started = self.work.start("write", move |_| {
            let source = Source { job: &job, solution: &solution, checks: &checks, photo: &photo, proof: &proof };
            let result = export.write(source, &path, even_so);
            let options = source.proof_options().ok().filter(|_| export == Export::Proof && result.is_ok());
            let printer = options.zip(source.tiles());
            let printer = printer.map(|(options, tiles)| proof.printer.printed(options.printer, &tiles));
            Some(Finished::Wrote(Wrote { export, path, result, printer }))
        });
        self.session.screen.working = self.file_waits();
        if let Err(error) = started {
            self.drop_file(format!("Nothing was written: {error}. Try again."));
        }
    }

    /// Says that a file is there, or why it is not.
    pub(super) fn say_what_was_written(&mut self, Wrote { export, path, result, printer }: Wrote) {
        self.file_to_come = None;
        self.session.screen.working = None;
        match result {
            Ok(()) => {
                if let Some(guide) = self.guide.as_mut().filter(|_| export.is_cut()) {
                    guide.wrote_cut();
                }
                self.session.screen.answered = None;
                let said = capital(export.called());
                self.session.screen.said = Some(format!("{said} is written: {}.", path.display()));
                if let Some(printer) = printer {
                    self.session.settings.proof.printer = printer;
                }
            }
            Err(error) => {
                self.session.screen.error = Some(error);
                self.ask_again();
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::command::Command;
    use crate::measuring::{Measured, Measuring, Request};
    use crate::sheets::samples;
    use platewright_core::export::CutFormat;
    use platewright_core::job::{Edit, Job};
    use std::sync::atomic::{AtomicBool, Ordering};
    use std::time::{Duration, Instant};

    const CUT: Export = Export::Cut(CutFormat::Dxf);

    /// A plate whose rims are to be measured.
    fn plate() -> Job {
        let mut job = samples::plate_with_outline(true);
        for hole in &mut job.holes {
            hole.measure_rim = true;
        }
        job
    }

    fn bench(ctx: &egui::Context, measure: fn(&Request, &dyn Fn() -> bool) -> Option<Measured>) -> Workbench {
        let mut bench = Workbench::new(ctx, samples::session(plate()), None);
        bench.measuring = Measuring::by(ctx.clone(), measure);
        bench
    }

    fn frame(bench: &mut Workbench) {
        for finished in bench.work.collect() {
            bench.take_in(finished);
        }
        bench.take_in_measured();
        bench.refresh(false);
        bench.write_when_settled();
    }

    /// Frames until `holds`; what never comes is a failure.
    fn until(bench: &mut Workbench, holds: impl Fn(&Workbench) -> bool) {
        let started = Instant::now();
        while !holds(bench) {
            assert!(started.elapsed() < Duration::from_mins(2), "waited in vain");
            std::thread::sleep(Duration::from_millis(2));
            frame(bench);
        }
    }

    #[test]
    fn the_cut_file_follows_when_the_rims_are_measured() {
        static MAY_ANSWER: AtomicBool = AtomicBool::new(false);
        fn when_it_may(request: &Request, go_on: &dyn Fn() -> bool) -> Option<Measured> {
            while go_on() && !MAY_ANSWER.load(Ordering::Relaxed) {
                std::thread::sleep(Duration::from_millis(1));
            }
            request.measure(go_on)
        }
        let (ctx, folder) = (egui::Context::default(), tempfile::tempdir().unwrap());
        let path = folder.path().join("plate.dxf");
        let mut bench = bench(&ctx, when_it_may);
        bench.carry_out(&ctx, Command::WriteTo { export: CUT, path: path.clone(), even_so: true });
        frame(&mut bench);
        let working = bench.session.screen.working.clone().unwrap_or_default();
        assert!(working.starts_with(WAITS), "it is said that it waits: {working}");
        assert!(!path.exists(), "nothing is written before the rims are measured");
        MAY_ANSWER.store(true, Ordering::Relaxed);
        until(&mut bench, |bench| bench.file_to_come.is_none());
        let screen = &bench.session.screen;
        assert!(path.exists() && screen.working.is_none() && screen.error.is_none(), "{:?}", screen.error);
        assert!(screen.said.as_ref().is_some_and(|said| said.starts_with("The cut file is written")), "it is said");
    }

    #[test]
    fn a_cut_file_that_waits_is_not_written_of_another_job_nor_when_it_is_stopped_nor_by_picks() {
        fn never(_: &Request, go_on: &dyn Fn() -> bool) -> Option<Measured> {
            while go_on() {
                std::thread::sleep(Duration::from_millis(1));
            }
            None
        }
        fn trip(_: &Request, _: &dyn Fn() -> bool) -> Option<Measured> {
            panic!("it trips over this photo")
        }
        let (ctx, folder) = (egui::Context::default(), tempfile::tempdir().unwrap());
        let path = folder.path().join("plate.dxf");
        let cut = Command::WriteTo { export: CUT, path: path.clone(), even_so: true };
        let mut changed = bench(&ctx, never);
        changed.carry_out(&ctx, cut.clone());
        changed.carry_out(&ctx, Command::Edit("name it".to_owned(), vec![Edit::Title("Lid".to_owned())]));
        frame(&mut changed);
        let error = changed.session.screen.error.clone().unwrap_or_default();
        assert!(error.contains("changed meanwhile") && changed.file_to_come.is_none(), "{error}");
        let mut stopped = bench(&ctx, never);
        stopped.carry_out(&ctx, cut.clone());
        stopped.carry_out(&ctx, Command::Do(Action::StepOut));
        assert!(stopped.file_to_come.is_none() && stopped.session.screen.working.is_none(), "stopped");
        let mut tripped = bench(&ctx, trip);
        tripped.carry_out(&ctx, cut.clone());
        until(&mut tripped, |bench| bench.file_to_come.is_none());
        let error = tripped.session.screen.error.clone().unwrap_or_default();
        assert!(error.contains("broke off"), "{error}");
        assert!(!path.exists(), "none of them was written");
        tripped.carry_out(&ctx, cut);
        until(&mut tripped, |bench| bench.file_to_come.is_none());
        assert!(path.exists(), "whoever knows that the holes stand on their picks may have it");
    }
}
