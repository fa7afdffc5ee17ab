//! How many measures it takes until the worst hole is good to a stated ±, by following what is said to be worth
//! measuring next and in random order.

use crate::random_job::{PHOTO_SIZE, Station, TrueHole, Truth, all_spans, camera_over, job_of, random_holes, reading};
use platewright_core::adjust::{Adjusted, Feature, Length, Problem, Span, adjust, adjust_once, next_lengths};
use platewright_core::instrument::Instrument;
use platewright_core::job::Held;
use platewright_core::solution::{Inputs, problem};
use platewright_core::space::PlatePoint;
use platewright_core::tolerance::K95_PLACE;
use platewright_synth::{Camera, Random};

/// How well the worst hole is to be known: larger axis of its 95 % ellipse, mm.
pub const WANTED_MM: f64 = 0.15;
/// Rims are measured in the picture: points on each, and their standard deviation, px.
const RIM: (usize, f64) = (12, 0.1);
/// Long side of the plates, mm; 420 mm from a camera of 3000 px focal length it fills 0.595 of the short side.
const LONG_MM: f64 = 250.0;
/// How the camera is held: 7 degrees off square.
const TILT_DEG: f64 = 7.0;

/// How many measures it took on some plates.
#[derive(Debug, Clone, Default)]
pub struct Counts(Vec<usize>);

impl Counts {
    /// The mean.
    pub fn mean(&self) -> f64 {
        self.0.iter().sum::<usize>() as f64 / self.0.len() as f64
    }

    /// The median; of an even number of counts the mean of the middle two.
    ///
    /// # Panics
    /// Where there are no counts.
    pub fn median(&self) -> f64 {
        let mut sorted = self.0.clone();
        sorted.sort_unstable();
        let (low, high) = (sorted[(sorted.len() - 1) / 2], sorted[sorted.len() / 2]);
        0.5 * (low + high) as f64
    }
}

/// Counts by suggestion and in random order, on `plates` random plates with `orders` random orders each.
///
/// # Panics
/// Where the suggestions, or all measures of a plate together, do not lead to what is wanted.
pub fn counts(plates: u64, orders: usize) -> [Counts; 2] {
    let mut random = Random::new(3_000_000);
    let (mut suggested, mut shuffled) = (Counts::default(), Counts::default());
    for seed in 0..plates {
        let bench = Bench::random(seed);
        let by_suggestion = bench.by_suggestion();
        assert!(by_suggestion.last().is_some_and(|worst| *worst <= WANTED_MM), "plate {seed}: {by_suggestion:.3?}");
        suggested.0.push(by_suggestion.len());
        for _ in 0..orders {
            shuffled.0.push(bench.in_order(&bench.shuffled(&mut random)).expect("all measures together are enough"));
        }
    }
    [suggested, shuffled]
}

/// A plate under a camera, with every reading that a caliper could give.
#[derive(Debug)]
pub struct Bench {
    unmeasured: Problem,
    readings: Vec<Length>,
}

impl Bench {
    fn new(truth: &Truth, random: &mut Random) -> Self {
        let job = job_of(truth, Held::ByEye, RIM.0, RIM.1, random);
        let unmeasured =
            problem(&Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None });
        let reached = |span: &Span| {
            let enters = |hole: usize| 2.0 * truth.holes[hole].bore_radius() >= Instrument::CALIPER.jaws_mm;
            truth.length(*span) <= Instrument::CALIPER.reach_mm
                && match span {
                    Span::FarRims(a, b) | Span::NearRims(a, b) => enters(*a) && enters(*b),
                    Span::Diameter(a) => enters(*a),
                    _ => false,
                }
        };
        let readings = all_spans(truth)
            .into_iter()
            .filter(reached)
            .map(|span| {
                let measure = reading(truth, 0, span, random);
                Length { span, mm: measure.mm, sigma_mm: measure.sigma_mm }
            })
            .collect();
        Self { unmeasured, readings }
    }

    /// The plate of eight holes, 250 mm long, seen from 420 mm at 7 degrees by a camera that is as it says.
    pub fn of_eight_holes() -> Self {
        let places = [
            (-115.0, -70.0, 4.5),
            (0.0, -72.0, 4.5),
            (114.0, -69.0, 4.5),
            (116.0, 3.0, 5.5),
            (113.0, 71.0, 4.5),
            (2.0, 70.0, 4.5),
            (-114.0, 72.0, 4.5),
            (-30.0, 8.0, 20.0),
        ];
        let holes = places
            .map(|(x, y, rim_radius)| TrueHole { centre: PlatePoint::new(x, y), rim_radius, break_width: 0.0 })
            .to_vec();
        let (tilt, azimuth) = (TILT_DEG.to_radians(), 0.7_f64);
        let camera = Camera::looking_down(PHOTO_SIZE, 3000.0, 420.0, [tilt, azimuth, 0.0]);
        Self::new(&Truth { camera, tilt_deg: TILT_DEG, holes, points: Vec::new() }, &mut Random::new(420))
    }

    /// A plate of the same length with eight holes anywhere, tilted by as much in any direction, its lens drawn from
    /// the beliefs.
    fn random(seed: u64) -> Self {
        let mut random = Random::new(2_000_000 + seed);
        let sides = [LONG_MM, random.between(0.5, 1.0) * LONG_MM];
        let holes = random_holes(sides, Some(8), &mut random);
        let azimuth = random.between(0.0, std::f64::consts::TAU);
        let tilt = TILT_DEG.to_radians();
        let station = Station { fills: 0.595, tilt_a: tilt * azimuth.cos(), tilt_b: tilt * azimuth.sin() };
        let camera = camera_over(LONG_MM, station, &mut random);
        Self::new(&Truth { camera, tilt_deg: TILT_DEG, holes, points: Vec::new() }, &mut random)
    }

    /// The ± of the worst hole after each measure, by following the suggestions until it is as wanted; one that is out
    /// of the caliper's reach is passed over for the next.
    ///
    /// # Panics
    /// Where the plate is not solved.
    pub fn by_suggestion(&self) -> Vec<f64> {
        let mut problem = self.unmeasured.clone();
        let mut worst = Vec::new();
        loop {
            let adjusted = adjust(&problem).expect("a plate of measured rims is solved");
            if !problem.lengths.is_empty() {
                worst.push(worst_mm(&adjusted));
            }
            if worst.last().is_some_and(|worst| *worst <= WANTED_MM) {
                return worst;
            }
            let suggested = next_lengths(&adjusted, &Instrument::CALIPER, self.readings.len());
            let taken =
                suggested.iter().find_map(|next| self.readings.iter().find(|reading| reading.span == next.span));
            let Some(taken) = taken else { return worst };
            problem.lengths.push(*taken);
        }
    }

    /// How many measures it takes in an order; `None` where all of them are not enough. The ± only shrinks with each
    /// measure, so the number is found by doubling and then by halving.
    ///
    /// # Panics
    /// Where the plate is not solved.
    fn in_order(&self, order: &[usize]) -> Option<usize> {
        let enough = |count: usize| {
            let mut problem = self.unmeasured.clone();
            problem.lengths.extend(order[..count].iter().map(|i| self.readings[*i]));
            worst_mm(&adjust_once(&problem).expect("a plate of measured rims is solved")) <= WANTED_MM
        };
        let (mut few, mut many) = (0, 4.min(order.len()));
        while !enough(many) {
            if many == order.len() {
                return None;
            }
            (few, many) = (many, (2 * many).min(order.len()));
        }
        while many - few > 1 {
            let middle = usize::midpoint(few, many);
            if enough(middle) { many = middle } else { few = middle }
        }
        Some(many)
    }

    /// All readings between two holes in random order. Diameters say hardly anything of places: with them a random order
    /// would be beaten too easily.
    fn shuffled(&self, random: &mut Random) -> Vec<usize> {
        let between = |i: &usize| !matches!(self.readings[*i].span, Span::Diameter(_));
        let mut order: Vec<usize> = (0..self.readings.len()).filter(between).collect();
        for last in (1..order.len()).rev() {
            order.swap(last, random.between(0.0, (last + 1) as f64) as usize);
        }
        order
    }
}

fn worst_mm(adjusted: &Adjusted<'_>) -> f64 {
    let rims = adjusted.problem().rims.iter().enumerate().filter(|(_, rim)| rim.keep);
    K95_PLACE * rims.map(|(i, _)| adjusted.relative().covariance(Feature::Rim(i)).major_mm()).fold(0.0, f64::max)
}
