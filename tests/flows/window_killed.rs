//! The workbench is killed at any moment of a day's work: every file opens, and next to nothing of the work is lost.
//!
//! A process of its own plays the person: it drives the whole window without a display, by pointer and keys, and notes the
//! job after every frame that changed it. Another kills it and looks at what it finds.
#![expect(clippy::unwrap_used, reason = "what fails here is a failed check")]
#![cfg(unix)]

mod bench;

use bench::{Bench, GIVE_UP, Shop};
use egui::{Key, Modifiers, Pos2, vec2};
use egui_kittest::kittest::Queryable as _;
use platewright::files::open_job;
use platewright::files::opening::Opening;
use platewright::files::recovery::leftovers;
use platewright_core::job::Job;
use platewright_core::space::PhotoPoint;
use platewright_synth::Random;
use serde_json::Value;
use std::fs::{self, File};
use std::io::Write as _;
use std::path::Path;
use std::process::Stdio;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// So often the work is broken off.
const KILLS: u64 = 100;
/// So many persons play side by side: most of the time they wait.
const SIDE_BY_SIDE: usize = 8;
/// The longest that somebody works before it is broken off, seconds.
const LONGEST_S: f64 = 4.5;
/// The most that may be lost, seconds of work.
const MOST_LOST_S: f64 = 5.0;

/// Where the player notes what was done, in the folder it works in.
const NOTES: &str = "notes";

/// The job as text, wherever its photo is said to lie.
fn text(job: &Job) -> String {
    let mut job = job.clone();
    job.photo.file.clear();
    serde_json::to_string(&job).unwrap()
}

/// A played person, with what is noted of the work.
struct Player {
    bench: Bench,
    random: Random,
    notes: File,
    started: Instant,
    last: String,
    named: u32,
    may_save: bool,
}

impl Player {
    /// One frame; the time is noted, with the job where it changed.
    fn frame(&mut self) {
        self.bench.harness.step();
        let now = text(self.bench.job());
        let job = if now == self.last { "" } else { now.as_str() };
        // One write for a line: a process that is killed writes it whole or not at all.
        let line = format!("{:.4}\t{job}\n", self.started.elapsed().as_secs_f64());
        self.notes.write_all(line.as_bytes()).unwrap();
        self.last = now;
        std::thread::sleep(Duration::from_millis(15));
    }

    fn frames(&mut self, number: usize) {
        (0..number).for_each(|_| self.frame());
    }

    fn key(&mut self, key: Key, modifiers: Modifiers) {
        self.bench.harness.key_press_modifiers(modifiers, key);
        self.frames(2);
    }

    fn seen(&self, x: f64, y: f64) -> Pos2 {
        let look = self.bench.session().screen.look;
        let step = (PhotoPoint::new(x, y) - look.centre) * look.zoom;
        self.bench.harness.get_by_label("Photo").rect().center() + vec2(step.x as f32, step.y as f32)
    }

    fn click(&mut self, x: f64, y: f64) {
        let at = self.seen(x, y);
        self.bench.harness.hover_at(at);
        self.frame();
        self.bench.harness.drag_at(at);
        self.frame();
        self.bench.harness.drop_at(at);
        self.frames(2);
    }

    /// Drags a node of the outline about for up to three seconds.
    fn drag(&mut self) {
        self.key(Key::Num4, Modifiers::NONE);
        let nodes = self.bench.job().contours.first().map_or(0, |contour| contour.nodes.len());
        if nodes == 0 {
            return;
        }
        let index = self.random.bits() as usize % nodes;
        let node = self.bench.job().contours[0].nodes[index].at;
        let from = self.seen(node.x, node.y);
        self.bench.harness.hover_at(from);
        self.frame();
        self.bench.harness.drag_at(from);
        self.frame();
        let end = self.started.elapsed().as_secs_f64() + self.random.between(0.2, 3.0);
        let mut at = from;
        while self.started.elapsed().as_secs_f64() < end {
            let by = vec2(self.random.between(-6.0, 6.0) as f32, self.random.between(-6.0, 6.0) as f32);
            at = from + ((at - from) * 0.8 + by);
            self.bench.harness.hover_at(at);
            self.frame();
        }
        self.bench.harness.drop_at(at);
        self.frames(2);
    }

    /// Picks the rim of a hole.
    fn pick(&mut self) {
        self.key(Key::Num2, Modifiers::NONE);
        let (x, y) = (self.random.between(200.0, 400.0), self.random.between(180.0, 280.0));
        for (dx, dy) in [(18.0, 0.0), (-9.0, 15.6), (-9.0, -15.6)] {
            self.click(x + dx, y + dy);
        }
    }

    /// Types another name of the part.
    fn name(&mut self) {
        self.key(Key::Num1, Modifiers::NONE);
        self.named += 1;
        self.bench.harness.get_by_label("Name of the part").focus();
        self.frames(2);
        self.bench.harness.key_combination_modifiers(Modifiers::COMMAND, &[Key::A]);
        let name = format!("Flange {}", self.named);
        self.bench.harness.get_by_label("Name of the part").type_text(&name);
        self.frames(2);
        self.key(Key::Enter, Modifiers::NONE);
    }

    /// Looks at the work for up to a second and a half.
    fn rest(&mut self) {
        let end = self.started.elapsed().as_secs_f64() + self.random.between(0.0, 1.5);
        while self.started.elapsed().as_secs_f64() < end {
            self.frame();
        }
    }

    fn work(&mut self) {
        self.key(Key::Escape, Modifiers::NONE);
        match self.random.bits() % 8 {
            0 | 1 => self.drag(),
            2 => self.pick(),
            3 | 4 => self.name(),
            5 => self.key(Key::Z, Modifiers::COMMAND),
            6 if self.may_save => self.key(Key::S, Modifiers::COMMAND),
            _ => self.rest(),
        }
    }
}

#[test]
#[ignore = "it plays the person in a process of its own, which the check below kills"]
fn somebody_works() {
    let Some(shop) = Shop::played() else { return };
    let seed: u64 = fs::read_to_string(shop.folder.join("seed")).unwrap().parse().unwrap();
    let may_save = is_saved_job(seed);
    let bench = shop.bench(if may_save { shop.job() } else { shop.photo() });
    let notes = File::create(shop.folder.join(NOTES)).unwrap();
    let (random, started, last) = (Random::new(seed), Instant::now(), String::new());
    let mut player = Player { bench, random, notes, started, last, named: 0, may_save };
    // Where nobody kills it, it ends by itself.
    while player.started.elapsed() < GIVE_UP {
        player.work();
    }
}

/// Every fourth works on a photo that is never saved.
fn is_saved_job(seed: u64) -> bool {
    !seed.is_multiple_of(4)
}

/// What was noted: the time of every frame, s, and the jobs with the time of the frame that made them.
struct Notes {
    end_s: f64,
    jobs: Vec<(f64, String)>,
}

impl Notes {
    fn read(folder: &Path) -> Self {
        let text = fs::read_to_string(folder.join(NOTES)).unwrap_or_default();
        // The last line may have been cut off.
        let whole = text.rfind('\n').map_or("", |end| &text[..end]);
        let lines: Vec<(f64, &str)> = whole
            .lines()
            .map(|line| line.split_once('\t').unwrap())
            .map(|(time, job)| (time.parse().unwrap(), job))
            .collect();
        let end_s = lines.last().map_or(0.0, |(time, _)| *time);
        let jobs = lines.into_iter().filter(|(_, job)| !job.is_empty()).map(|(time, job)| (time, job.to_owned()));
        Self { end_s, jobs: jobs.collect() }
    }

    /// How much work is missing in `found`, s: from the first change that it lacks to the end. `None` where it was never
    /// noted.
    fn lost_s(&self, found: &str) -> Option<f64> {
        let at = self.jobs.iter().rposition(|(_, job)| job == found)?;
        Some(self.jobs.get(at + 1).map_or(0.0, |(time, _)| self.end_s - time))
    }

    /// `found` is one change further than what was noted last: it was kept before it could be noted.
    fn is_next(&self, found: &str) -> bool {
        let (found, last): (Value, Value) =
            (serde_json::from_str(found).unwrap(), serde_json::from_str(&self.jobs.last().unwrap().1).unwrap());
        let (found, last) = (found.as_object().unwrap(), last.as_object().unwrap());
        let keys = found.keys().chain(last.keys().filter(|key| !found.contains_key(*key)));
        keys.filter(|key| found.get(*key) != last.get(*key)).count() == 1
    }
}

/// What was found after one kill.
#[derive(Debug, Default, Clone, Copy)]
struct Found {
    lost_s: f64,
    had_copy: bool,
    was_ahead: bool,
    changes: usize,
}

/// Has somebody work, kills them, and looks at what is left.
fn kill_one(seed: u64) -> Found {
    let folder = tempfile::tempdir().unwrap();
    let shop = Shop::made_in(folder.path());
    fs::write(shop.folder.join("seed"), seed.to_string()).unwrap();
    let mut player = shop.player("somebody_works").stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap();
    let started = Instant::now();
    while Notes::read(&shop.folder).jobs.is_empty() {
        assert!(started.elapsed() < GIVE_UP, "nobody began to work");
        assert!(player.try_wait().unwrap().is_none(), "the player came to grief");
        std::thread::sleep(Duration::from_millis(5));
    }
    std::thread::sleep(Duration::from_secs_f64(Random::new(seed ^ 0xA5A5).between(0.0, LONGEST_S)));
    player.kill().unwrap();
    assert!(player.wait().unwrap().code().is_none(), "{seed}: it was killed, and did not end by itself");

    let notes = Notes::read(&shop.folder);
    let on_disk = open_job(&shop.job()).unwrap_or_else(|error| panic!("{seed}: the job opens: {error}"));
    let recovery = shop.places().recovery.unwrap();
    let left = leftovers(&recovery);
    assert!(left.len() <= 1, "{seed}: one window leaves one copy: {left:?}");
    let had_copy = !left.is_empty();
    let found = match left.into_iter().next() {
        Some(left) => {
            let opened = Opening::left(left).open(Some(&recovery)).unwrap_or_else(|why| panic!("{seed}: {why:?}"));
            assert_eq!(opened.path.is_some(), is_saved_job(seed), "{seed}: with its file, where it has one");
            opened.job
        }
        None if is_saved_job(seed) => on_disk.job,
        None => Opening::file(shop.photo()).open(None).unwrap().job,
    };
    let found = text(&found);
    let was_ahead = notes.lost_s(&found).is_none();
    assert!(!was_ahead || notes.is_next(&found), "{seed}: a job that never was: {found}");
    Found { lost_s: notes.lost_s(&found).unwrap_or(0.0), had_copy, was_ahead, changes: notes.jobs.len() }
}

#[test]
fn a_window_killed_at_any_moment_loses_next_to_nothing() {
    let (next, found) = (AtomicU64::new(0), Mutex::new(Vec::new()));
    std::thread::scope(|scope| {
        for _ in 0..SIDE_BY_SIDE {
            scope.spawn(|| {
                loop {
                    let seed = next.fetch_add(1, Ordering::Relaxed);
                    if seed >= KILLS {
                        return;
                    }
                    let one = kill_one(seed);
                    found.lock().unwrap().push((seed, one));
                }
            });
        }
    });
    let found = found.into_inner().unwrap();
    assert_eq!(found.len() as u64, KILLS, "every one was looked at");
    let (worst, worst_s) =
        found.iter().map(|(seed, one)| (*seed, one.lost_s)).max_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
    let count = |holds: fn(&Found) -> bool| found.iter().filter(|(_, one)| holds(one)).count();
    let (copies, lost, ahead) = (count(|f| f.had_copy), count(|f| f.lost_s > 0.0), count(|f| f.was_ahead));
    let changes: usize = found.iter().map(|(_, one)| one.changes).sum();
    let mean_s = found.iter().map(|(_, one)| one.lost_s).sum::<f64>() / KILLS as f64;
    println!(
        "{KILLS} kills over {changes} changes: {copies} copies found; work lost {lost} times, {mean_s:.2} s on average, \
         {worst_s:.2} s at worst (seed {worst}); {ahead} kept before they were noted"
    );
    assert!(worst_s < MOST_LOST_S, "{worst_s} s of work lost, seed {worst}");
    assert!(copies > 5 && KILLS as usize - copies > 5, "both were seen, work left and none: {copies}");
    assert!(ahead < 20, "most were noted: {ahead}");
}
