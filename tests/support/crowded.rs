//! Plates with many holes, for benchmarks and for tests of what large jobs cost.

use platewright_core::adjust::{Length, Precision, Prior, Priors, Problem, Rim, SharedError, Span};
use platewright_core::camera::View;
use platewright_core::space::{PhotoVec, PlatePoint, PlateVec};

/// The camera that sees the plate: distance and focal length as logarithms, tilts, principal point, lens.
const CAMERA: [f64; 10] = [420.0, 0.05, -0.04, 3100.0, 2010.0, 1490.0, -0.02, 0.01, 3e-4, -2e-4];

/// Standard deviations of what is believed of it.
const CAMERA_SIGMAS: [f64; 10] = [3.0, 0.087, 0.087, 0.04, 20.0, 20.0, 0.05, 0.02, 0.001, 0.001];

/// The longest length, mm: what a workshop caliper spans. Common practice, no source.
const REACH_MM: f64 = 150.0;

/// What the points of one rim share, px.
const SHARED: SharedError = SharedError { shift_px: 0.02, radius_px: 0.03 };

/// Standard deviations of a measured rim point, px, and of a caliper, mm.
const RIM_SIGMA_PX: f64 = 0.2;
const CALIPER_SIGMA_MM: f64 = 0.05;

/// Numbers that look random, the same in every run (splitmix64, Steele, Lea and Flood 2014).
struct Draws(u64);

impl Draws {
    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Evenly from 0 to 1.
    fn even(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A number below `count`.
    fn below(&mut self, count: usize) -> usize {
        (self.even() * count as f64) as usize
    }

    /// Normally about zero with standard deviation one (Box and Muller 1958).
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.even()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.even()).cos()
    }
}

/// A plate of 300 mm by 200 mm with `holes` holes in rows, `points` measured points on each rim and `lengths` caliper
/// readings between holes in reach of each other, every tenth across one hole. All have the noise that they are said to
/// have; the camera is believed as of an unknown phone held by eye.
///
/// # Panics
/// Where the camera does not see the plate, which would be a mistake in here.
pub fn crowded(holes: usize, points: usize, lengths: usize) -> Problem {
    let mut draws = Draws(holes as u64);
    let mut camera = CAMERA;
    (camera[0], camera[3]) = (CAMERA[0].ln(), CAMERA[3].ln());
    let view = View::from_unknowns(&camera);
    let believed = [300_f64.ln(), 0.0, 0.0, 3000_f64.ln(), 1999.5, 1499.5, 0.0, 0.0, 0.0, 0.0];
    let priors = Priors(std::array::from_fn(|i| Prior { value: believed[i], sigma: CAMERA_SIGMAS[i] }));
    // Rows and columns in the proportion of the plate.
    let columns = ((holes as f64 * 1.5).sqrt().ceil() as usize).max(1);
    let pitch = 300.0 / columns as f64;
    let place = |i: usize| PlatePoint::new((i % columns) as f64 * pitch - 150.0, (i / columns) as f64 * pitch - 100.0);
    let radius = |i: usize| pitch * (0.12 + 0.04 * (i % 5) as f64);
    let mut rims = Vec::with_capacity(holes);
    for i in 0..holes {
        let mut pick = |k: usize| {
            let out = PlateVec::from_angle(k as f64 * std::f64::consts::TAU / points as f64 + i as f64) * radius(i);
            let seen = view.project(place(i) + out).expect("the camera sees the plate");
            seen + PhotoVec::new(draws.normal(), draws.normal()) * RIM_SIGMA_PX
        };
        let picks = (0..points).map(&mut pick).collect();
        // As many points as a click gives are placed by hand; more are measured.
        let precision = if points > 3 {
            Precision::Measured { sigma_px: vec![RIM_SIGMA_PX; points], shared: SHARED }
        } else {
            RIM_SIGMA_PX.into()
        };
        rims.push(Rim { picks, precision, edge_break: None, keep: true });
    }
    let mut readings = Vec::with_capacity(lengths);
    while holes > 1 && readings.len() < lengths {
        let (a, b) = (draws.below(holes), draws.below(holes));
        let apart = place(a).distance(place(b));
        let (span, mm) = match readings.len() % 10 {
            0 => (Span::Diameter(a), 2.0 * radius(a)),
            _ if a == b || apart + radius(a) + radius(b) > REACH_MM => continue,
            odd if odd % 2 == 1 => (Span::FarRims(a, b), apart + radius(a) + radius(b)),
            _ => (Span::NearRims(a, b), apart - radius(a) - radius(b)),
        };
        readings.push(Length { span, mm: mm + CALIPER_SIGMA_MM * draws.normal(), sigma_mm: CALIPER_SIGMA_MM });
    }
    Problem {
        priors,
        rims,
        spots: Vec::new(),
        sides: Vec::new(),
        breaks: Vec::new(),
        sizes: 0,
        lengths: readings,
        corners: Vec::new(),
        overlays: Vec::new(),
    }
}
