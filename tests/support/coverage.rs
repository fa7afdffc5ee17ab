//! How often the 95 % statements hold on random jobs.

use crate::random_job::{RandomJob, random_job};
use platewright_core::adjust::{Adjusted, Feature, Span, adjust};
use platewright_core::instrument::Instrument;
use platewright_core::solution::{Inputs, problem};
use platewright_core::space::{PlatePoint, PlateVec};
use platewright_core::tolerance::{K95_FIGURE, K95_PLACE};

/// How many statements were made, and how many of them hold.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Share {
    /// Statements that hold.
    pub hold: usize,
    /// Statements.
    pub of: usize,
}

impl Share {
    pub(crate) fn count(&mut self, holds: bool) {
        self.hold += usize::from(holds);
        self.of += 1;
    }

    fn join(&mut self, other: Self) {
        self.hold += other.hold;
        self.of += other.of;
    }

    /// Per cent that hold.
    pub fn percent(self) -> f64 {
        100.0 * self.hold as f64 / self.of.max(1) as f64
    }
}

/// The statements of some jobs.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Coverage {
    /// Jobs.
    pub jobs: usize,
    /// Places of kept holes in their 95 % ellipses, after the best rigid move over all kept features.
    pub places: Share,
    /// Diameters of bores within ±.
    pub diameters: Share,
    /// A true length within the ± that the fit gives it without that measure.
    pub lengths: Share,
}

impl Coverage {
    fn join(&mut self, other: Self) {
        self.jobs += other.jobs;
        self.places.join(other.places);
        self.diameters.join(other.diameters);
        self.lengths.join(other.lengths);
    }
}

/// A class of jobs with its coverage.
#[derive(Debug, Clone, Copy)]
pub struct Class {
    /// What the jobs have in common.
    pub name: &'static str,
    /// Whether a job belongs, by its number of measures and its tilt in degrees.
    belongs: fn(usize, f64) -> bool,
    /// What came of them.
    pub coverage: Coverage,
}

/// The statements of `jobs` random jobs with one to twelve measures: all together first, then by class.
///
/// # Panics
/// Where a job is not solved.
pub fn coverage(jobs: u64) -> Vec<Class> {
    let class = |name, belongs| Class { name, belongs, coverage: Coverage::default() };
    let mut classes = vec![
        class("all jobs", |_, _| true),
        class("1 or 2 measures", |measures, _| measures <= 2),
        class("3 to 5 measures", |measures, _| (3..=5).contains(&measures)),
        class("6 to 12 measures", |measures, _| measures >= 6),
        class("tilt under 3°", |_, tilt| tilt < 3.0),
        class("tilt 3° to 10°", |_, tilt| (3.0..10.0).contains(&tilt)),
        class("tilt over 10°", |_, tilt| tilt >= 10.0),
    ];
    for seed in 0..jobs {
        let random = random_job(seed, [1, 12]);
        let coverage = of_job(&random);
        for class in &mut classes {
            if (class.belongs)(random.spans.len(), random.truth.tilt_deg) {
                class.coverage.join(coverage);
            }
        }
    }
    classes
}

/// The statements of one job.
fn of_job(random: &RandomJob) -> Coverage {
    let RandomJob { job, truth, spans } = random;
    let whole = problem(&Inputs { job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None });
    assert_eq!(whole.rims.len(), truth.holes.len(), "every hole is a circle");
    let adjusted = adjust(&whole).expect("a random job is solved");
    let mut coverage = Coverage { jobs: 1, ..Coverage::default() };
    for (rim, error) in errors(&adjusted, random) {
        let c = adjusted.relative().covariance(Feature::Rim(rim));
        let square = (c.yy * error.x * error.x - 2.0 * c.xy * error.x * error.y + c.xx * error.y * error.y)
            / (c.xx * c.yy - c.xy * c.xy);
        coverage.places.count(square < K95_PLACE * K95_PLACE);
    }
    for rim in 0..truth.holes.len() {
        let (mm, sigma) = adjusted.fitted_length(Span::Diameter(rim));
        coverage.diameters.count((mm - truth.length(Span::Diameter(rim))).abs() < K95_FIGURE * sigma);
    }
    // Alone a measure has no others.
    for (number, span) in spans.iter().enumerate().filter(|_| spans.len() > 1) {
        let mut without = whole.clone();
        without.lengths.remove(number);
        let (mm, sigma) = adjust(&without).expect("the rest is solved").fitted_length(*span);
        coverage.lengths.count((mm - truth.length(*span)).abs() < K95_FIGURE * sigma);
    }
    coverage
}

/// What each kept hole is off by after the best rigid move of the truth onto the fit over all kept holes and points.
fn errors(adjusted: &Adjusted<'_>, random: &RandomJob) -> Vec<(usize, PlateVec)> {
    let RandomJob { job, truth, .. } = random;
    let kept: Vec<usize> = (0..truth.holes.len()).filter(|i| job.holes[*i].keep).collect();
    let points = 0..truth.points.len();
    let fitted: Vec<_> =
        kept.iter().map(|i| adjusted.centre(*i)).chain(points.clone().map(|i| adjusted.spot(i))).collect();
    let true_places: Vec<_> =
        kept.iter().map(|i| truth.holes[*i].centre).chain(points.map(|i| truth.points[i])).collect();
    let middle = |of: &[PlatePoint]| {
        let share = 1.0 / of.len() as f64;
        of.iter().fold(PlatePoint::default(), |sum, p| sum + PlateVec::new(p.x, p.y) * share)
    };
    let (to, from) = (middle(&fitted), middle(&true_places));
    let (dot, cross) = true_places
        .iter()
        .zip(&fitted)
        .fold((0.0, 0.0), |(dot, cross), (a, b)| (dot + (*a - from).dot(*b - to), cross + (*a - from).cross(*b - to)));
    // The truth is turned into the frame of the fit, in which the covariances are.
    let turn = PlateVec::from_angle(cross.atan2(dot));
    let turned = |v: PlateVec| PlateVec::new(turn.x * v.x - turn.y * v.y, turn.y * v.x + turn.x * v.y);
    let off = fitted.iter().zip(&true_places).map(|(fit, truth)| (*fit - to) - turned(*truth - from));
    kept.iter().copied().zip(off).collect()
}
