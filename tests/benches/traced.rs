//! How long a frame takes while a node of a followed outline is dragged: its two pieces followed anew, and all that follows
//! from it; its two parts by themselves; and what may have been meant, which is asked for when the node is let go.

use criterion::{Criterion, criterion_group, criterion_main};
use platewright_core::check;
use platewright_core::edge::Picture;
use platewright_core::export::CutDrawing;
use platewright_core::instrument::Instrument;
use platewright_core::job::Job;
use platewright_core::seen::{Seen, look_again};
use platewright_core::solution::{Groundwork, Inputs, Solution, solve, solve_photo};
use platewright_core::space::{PhotoPoint, PhotoVec};
use platewright_tests::{Case, shared_dir, skip, traced};
use std::hint::black_box;

/// The cases with the longest edges, in px.
const LONGEST: [&str; 2] = ["01_milk_pump_cover", "09_seeder_gearbox_cover"];

/// The node that is dragged, round a circle of so many px, by so many radians a frame.
const NODE: usize = 3;
const ROUND_PX: f64 = 4.0;
const STEP_RAD: f64 = 0.35;

/// An outline with a node in hand, as the window holds it.
struct InHand<'a> {
    job: Job,
    picture: Picture<'a>,
    seen: Seen,
    groundwork: Groundwork,
    solution: Solution,
    middle: PhotoPoint,
    frames: u32,
}

impl<'a> InHand<'a> {
    fn new(job: Job, picture: Picture<'a>) -> Self {
        let inputs = Inputs { seen: None, ..inputs(&job, None) };
        let (seen, solution) = solve_photo(&inputs, &picture, &|| true).expect("nobody stops it");
        let middle = job.contours[0].nodes[NODE].at;
        Self { job, picture, seen, groundwork: Groundwork::default(), solution, middle, frames: 0 }
    }

    fn places(&self) -> usize {
        self.solution.contours[0].measured.as_ref().map_or(0, |measured| measured.places.len())
    }

    fn move_node(&mut self) {
        self.frames += 1;
        let place = self.middle + PhotoVec::from_angle(STEP_RAD * f64::from(self.frames)) * ROUND_PX;
        self.job.contours[0].nodes[NODE].at = place;
    }

    fn follow(&mut self) {
        let map = self.solution.map.as_ref().expect("the clicks and measures give a camera");
        self.seen = look_again(black_box(&self.job), &self.picture, map, &self.seen);
    }

    fn solve(&mut self) {
        self.solution = self.groundwork.solve_in_hand(black_box(&inputs(&self.job, Some(&self.seen))));
    }

    /// All that is computed in a frame.
    fn frame(&mut self) {
        self.move_node();
        self.follow();
        self.solve();
        let cut = CutDrawing::as_seen(&self.job, &self.solution);
        black_box(check::all_of(&self.job, &self.solution, &cut));
    }
}

fn inputs<'a>(job: &'a Job, seen: Option<&'a Seen>) -> Inputs<'a> {
    Inputs { job, exif_focal_px: None, instrument: Instrument::CALIPER, seen }
}

fn dragging(criterion: &mut Criterion) {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in LONGEST {
        let case = Case::read(&shared, name);
        let image = case.pixels();
        let picture = Picture::from_srgb([image.width(), image.height()], image.as_raw()).expect("a whole picture");
        let mut in_hand = InHand::new(traced(&case), picture);
        let name = format!("{name}, {} places", in_hand.places());
        criterion.bench_function(&format!("{name}: a frame"), |bencher| bencher.iter(|| in_hand.frame()));
        criterion.bench_function(&format!("{name}: follow beside a node"), |bencher| {
            bencher.iter(|| {
                in_hand.move_node();
                in_hand.follow();
            });
        });
        // From nothing: a contour that is as it was would be taken over.
        criterion.bench_function(&format!("{name}: solve in hand"), |bencher| {
            bencher.iter(|| {
                in_hand.groundwork = Groundwork::default();
                in_hand.solve();
            });
        });
        criterion.bench_function(&format!("{name}: solve with suggestions"), |bencher| {
            bencher.iter(|| solve(black_box(&inputs(&in_hand.job, Some(&in_hand.seen)))));
        });
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = dragging
}
criterion_main!(benches);
