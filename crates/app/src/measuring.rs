//! Measuring in the photo what the job points at, beside the window: one thread works on the newest request and drops
//! what is older.

use crate::files::LoadedPhoto;
use platewright_core::advice::{self, Advice};
use platewright_core::check::{self, Check};
use platewright_core::instrument::Instrument;
use platewright_core::job::Job;
use platewright_core::seen::Seen;
use platewright_core::solution::{Inputs, Solution, solve, solve_photo};
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};

/// A job whose rims and edges are to be measured in its photo.
#[derive(Debug, Clone)]
pub struct Request {
    /// The job.
    pub job: Job,
    /// Which of its revisions that is.
    pub revision: u64,
    /// Its photo.
    pub photo: Arc<LoadedPhoto>,
    /// What the next measures are taken with.
    pub instrument: Instrument,
}

/// What was measured, and what follows from it.
#[derive(Debug, Clone)]
pub struct Measured {
    /// The revision of the job that it belongs to.
    pub revision: u64,
    /// What the next measures were supposed to be taken with.
    pub instrument: Instrument,
    /// What the photo shows.
    pub seen: Arc<Seen>,
    /// What follows from that and the job.
    pub solution: Arc<Solution>,
    /// What must hold before anything is cut.
    pub checks: Vec<Check>,
    /// What the photo costs.
    pub advice: Arc<[Advice]>,
}

impl Request {
    /// Measures; `None` where `go_on` says no before it is done.
    pub fn measure(&self, go_on: &dyn Fn() -> bool) -> Option<Measured> {
        let Self { job, photo, instrument, .. } = self;
        let inputs = Inputs { job, exif_focal_px: photo.exif_focal_px, instrument: *instrument, seen: None };
        let picture = photo.picture();
        let (seen, solution) = match &picture {
            Some(picture) => solve_photo(&inputs, picture, go_on)?,
            None => (Seen::default(), solve(&inputs)),
        };
        let checks = check::all(job, &solution);
        let advice =
            advice::after(&Inputs { seen: Some(&seen), ..inputs }, &solution, &photo.file, picture.as_ref()).into();
        Some(Measured {
            revision: self.revision,
            instrument: *instrument,
            seen: Arc::new(seen),
            solution: Arc::new(solution),
            checks,
            advice,
        })
    }
}

/// Measuring came to grief; what is known of the job stands on its picks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unmeasured {
    /// The revision of the job that was to be measured.
    pub revision: u64,
    /// What the next measures were supposed to be taken with.
    pub instrument: Instrument,
}

/// What comes of a request.
pub type Answer = Result<Measured, Unmeasured>;

/// How a request is measured: as [`Request::measure`] does.
type Measure = fn(&Request, &dyn Fn() -> bool) -> Option<Measured>;

/// The thread that measures, from the first request on.
#[derive(Debug)]
pub struct Measuring {
    requests: Option<Sender<(u64, Request)>>,
    sender: Sender<(u64, Answer)>,
    answers: Receiver<(u64, Answer)>,
    newest: Arc<AtomicU64>,
    part: Arc<AtomicUsize>,
    ctx: egui::Context,
    measure: Measure,
}

impl Measuring {
    /// Nothing under way. `ctx` is woken by every answer.
    pub fn new(ctx: egui::Context) -> Self {
        Self::by(ctx, Request::measure)
    }

    pub(crate) fn by(ctx: egui::Context, measure: Measure) -> Self {
        let (sender, answers) = channel();
        let (newest, part) = (Arc::new(AtomicU64::new(0)), Arc::new(AtomicUsize::new(0)));
        Self { requests: None, sender, answers, newest, part, ctx, measure }
    }

    /// Asks for a measurement; an older request is no longer answered.
    ///
    /// # Errors
    /// Where the system starts no thread.
    pub fn ask(&mut self, request: Request) -> io::Result<()> {
        let number = self.forget();
        let unheard = match &self.requests {
            Some(requests) => requests.send((number, request)).err().map(|unheard| unheard.0),
            None => Some((number, request)),
        };
        // The first request, or one after the thread has come to grief.
        if let Some(request) = unheard {
            let requests = self.start()?;
            // It listens: it was started just now.
            let _ = requests.send(request);
            self.requests = Some(requests);
        }
        Ok(())
    }

    /// No request is answered any more; the number of the next one.
    pub fn forget(&self) -> u64 {
        self.newest.fetch_add(1, Ordering::Relaxed) + 1
    }

    /// How many parts of the request under way are begun; 0 while there is none.
    pub fn part(&self) -> usize {
        self.part.load(Ordering::Relaxed)
    }

    /// The answer to the newest request, once it is there.
    pub fn collect(&self) -> Option<Answer> {
        let newest = self.newest.load(Ordering::Relaxed);
        self.answers.try_iter().filter(|(number, _)| *number == newest).map(|(_, answer)| answer).last()
    }

    fn start(&self) -> io::Result<Sender<(u64, Request)>> {
        let (requests, received) = channel::<(u64, Request)>();
        let (sender, newest, ctx) = (self.sender.clone(), Arc::clone(&self.newest), self.ctx.clone());
        let (measure, part) = (self.measure, Arc::clone(&self.part));
        std::thread::Builder::new().name("measuring".to_owned()).spawn(move || {
            while let Ok((number, request)) = received.recv() {
                part.store(0, Ordering::Relaxed);
                let go_on = || {
                    part.fetch_add(1, Ordering::Relaxed);
                    ctx.request_repaint();
                    newest.load(Ordering::Relaxed) == number
                };
                // A photo that the measuring trips over must not leave the window waiting for ever. Nothing that was half
                // done outlives the call.
                let answer = match catch_unwind(AssertUnwindSafe(|| measure(&request, &go_on))) {
                    Ok(Some(measured)) => Ok(measured),
                    Ok(None) => continue,
                    Err(_) => Err(Unmeasured { revision: request.revision, instrument: request.instrument }),
                };
                part.store(0, Ordering::Relaxed);
                // The window may be gone by then; the answer is then wanted by nobody.
                if sender.send((number, answer)).is_err() {
                    break;
                }
                ctx.request_repaint();
            }
        })?;
        Ok(requests)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::{Session, Standing};
    use crate::sheets::samples;
    use platewright_core::job::Edit;
    use platewright_core::space::PhotoVec;
    use std::time::{Duration, Instant};

    /// Four dark holes on a light plate, where the sample's picks say.
    fn session() -> Session {
        let mut job = samples::plate();
        for hole in &mut job.holes {
            hole.measure_rim = true;
        }
        let mut session = samples::session(job);
        let document = session.document.as_mut().expect("it is open");
        let mut photo = (*document.photo).clone();
        photo.image = Arc::new(image::RgbImage::from_fn(samples::WIDTH, samples::HEIGHT, |x, y| {
            let inside = |(cx, cy): (f64, f64)| 20.0 - (f64::from(x) - cx).hypot(f64::from(y) - cy);
            let places = [(80.0, 70.0), (320.0, 75.0), (310.0, 230.0), (90.0, 225.0)];
            let deepest = places.map(inside).into_iter().fold(f64::NEG_INFINITY, f64::max);
            let level = 40.0 + 160.0 * (0.5 - 0.5 * deepest.clamp(-1.5, 1.5) / 1.5);
            image::Rgb([level as u8; 3])
        }));
        document.photo = Arc::new(photo);
        session
    }

    fn request(revision: u64) -> Request {
        let document = session().document.expect("it is open");
        Request {
            job: document.job().clone(),
            revision,
            photo: Arc::clone(&document.photo),
            instrument: Instrument::CALIPER,
        }
    }

    /// Waits for an answer; a thread that never answers is a failure.
    fn answer(measuring: &Measuring) -> Answer {
        let started = Instant::now();
        while started.elapsed() < Duration::from_mins(2) {
            if let Some(answer) = measuring.collect() {
                return answer;
            }
            std::thread::sleep(Duration::from_millis(2));
        }
        panic!("no answer came");
    }

    #[test]
    fn the_rims_are_measured_and_settle_their_holes() {
        let request = request(7);
        let by_picks = solve(&Inputs {
            job: &request.job,
            exif_focal_px: request.photo.exif_focal_px,
            instrument: Instrument::CALIPER,
            seen: None,
        });
        let measured = request.measure(&|| true).expect("nobody stops it");
        assert_eq!(measured.revision, 7, "it says what it belongs to");
        assert!(measured.solution.holes.iter().all(|hole| hole.is_measured), "every rim was measured");
        for (hole, by_picks) in measured.solution.holes.iter().zip(&by_picks.holes) {
            assert!(hole.plus_minus_mm() < by_picks.plus_minus_mm(), "{}: it is known better than by picks", hole.id.0);
        }
    }

    #[test]
    fn who_takes_a_drag_back_gets_what_was_measured_before_it() {
        let mut session = session();
        session.refresh();
        let request = session.to_measure().expect("its rims are to be measured");
        session.take_measured(request.measure(&|| true).expect("nobody stops it"));
        let before = Arc::clone(&session.results.solution);
        assert!(before.holes.iter().all(|hole| hole.is_measured), "all are measured");
        let document = session.document.as_mut().expect("it is open");
        let hole = document.job().holes[0].clone();
        let to = hole.rim[0] + PhotoVec::new(0.5, -0.4);
        let moved = Edit::MoveRimPick { hole: hole.id, index: 0, to };
        document.history.apply("move a pick", moved).expect("it may be moved");
        session.refresh();
        assert_ne!(session.results.standing, Standing::Settled, "its camera is not known yet");
        session.document.as_mut().expect("it is open").history.undo();
        session.refresh();
        assert_eq!(session.results.standing, Standing::Settled, "nothing is left to measure");
        assert!(session.results.solution.holes.iter().all(|hole| hole.is_measured), "no hole stands on its picks");
        assert_eq!(session.results.solution.holes, before.holes, "the same figures");
    }

    #[test]
    fn who_stops_it_gets_nothing() {
        assert!(request(1).measure(&|| false).is_none(), "stopped before it began");
    }

    #[test]
    fn only_the_newest_request_is_answered() {
        let mut measuring = Measuring::new(egui::Context::default());
        for revision in 1..=20 {
            measuring.ask(request(revision)).expect("a thread starts");
        }
        assert_eq!(answer(&measuring).expect("it is measured").revision, 20, "the others were dropped");
        assert!(measuring.collect().is_none(), "and none comes after it");
    }

    #[test]
    fn who_comes_to_grief_says_so_and_measures_the_next_request() {
        fn trip_over_odd_ones(request: &Request, go_on: &dyn Fn() -> bool) -> Option<Measured> {
            assert!(request.revision.is_multiple_of(2), "this one is odd");
            request.measure(go_on)
        }
        let mut measuring = Measuring::by(egui::Context::default(), trip_over_odd_ones);
        measuring.ask(request(1)).expect("a thread starts");
        let unmeasured = Unmeasured { revision: 1, instrument: Instrument::CALIPER };
        assert_eq!(answer(&measuring).expect_err("it tripped"), unmeasured, "it says of which revision");
        measuring.ask(request(2)).expect("it goes on");
        assert_eq!(answer(&measuring).expect("it is measured").revision, 2, "the thread lives");
    }

    #[test]
    fn a_job_that_cannot_be_measured_stands_on_its_picks_until_it_is_changed() {
        let mut session = session();
        session.refresh();
        assert_eq!(session.results.standing, Standing::Waiting, "its rims are to be measured");
        let request = session.to_measure().expect("its rims are to be measured");
        let unmeasured = Unmeasured { revision: request.revision, instrument: request.instrument };
        session.take_unmeasured(Unmeasured { revision: 99, ..unmeasured });
        assert_eq!(session.results.standing, Standing::Waiting, "that was another revision");
        session.take_unmeasured(unmeasured);
        assert_eq!(session.results.standing, Standing::Unmeasured, "nothing is waited for");
        assert!(session.screen.said.as_ref().is_some_and(|said| said.contains("picks")), "{:?}", session.screen.said);
        assert!(session.to_measure().is_none(), "it is not tried again and again");
        let document = session.document.as_mut().expect("it is open");
        let (first, others) = (document.job().holes[0].clone(), document.job().holes[1..].to_vec());
        let leave = others.into_iter().map(|hole| Edit::MeasureRim { hole: hole.id, measure: false });
        document.history.apply_all("measure one rim", leave).expect("they may be left");
        session.refresh();
        assert_eq!(session.results.standing, Standing::Waiting, "{} is left to the thread", first.name);
        assert!(session.to_measure().is_some(), "a change tries again");
    }

    #[test]
    fn what_is_forgotten_is_not_answered() {
        let mut measuring = Measuring::new(egui::Context::default());
        measuring.ask(request(1)).expect("a thread starts");
        measuring.forget();
        measuring.ask(request(2)).expect("it goes on");
        assert_eq!(answer(&measuring).expect("it is measured").revision, 2, "the first was forgotten");
    }
}
