//! Random plates, random cameras, and jobs of which everything is drawn from its own stated standard deviations.
//!
//! The photo is taken by synth's camera, which shares no code with the core's.

use platewright_core::adjust::Span;
use platewright_core::instrument::Instrument;
use platewright_core::job::{Belief, Held, Hole, Id, Job, LensBeliefs, Measure, MeasureKind, NamedPoint, Photo};
use platewright_core::space::{PhotoPoint, PlatePoint, PlateVec};
use platewright_synth::{Camera, Random};
use std::f64::consts::TAU;

/// Width and height of the photo, px.
pub const PHOTO_SIZE: [u32; 2] = [4000, 3000];
/// Focal length that the photo says of itself, px, and its relative standard deviation.
const FOCAL: (f64, f64) = (3000.0, 0.04);
/// The core's own beliefs about a lens that nothing is known of (principal point in px; k1, k2, p1, p2), written down
/// again: were they changed there, this would notice.
const LENS_SIGMA: [f64; 6] = [20.0, 20.0, 0.05, 0.02, 0.001, 0.001];
/// Width of a broken edge and its standard deviation, mm, as the core believes.
const BREAK_WIDTH: (f64, f64) = (0.5, 0.4);
/// The least metal between two holes, mm.
const WALL_MM: f64 = 3.0;

/// A hole as it truly is, mm.
#[derive(Debug, Clone, Copy)]
pub struct TrueHole {
    /// Its centre in the frame of the camera's axis.
    pub centre: PlatePoint,
    /// Radius of the rim that is seen.
    pub rim_radius: f64,
    /// Width of the broken edge; 0 where it is not broken.
    pub break_width: f64,
}

impl TrueHole {
    /// Radius that jaws touch, mm.
    pub fn bore_radius(&self) -> f64 {
        self.rim_radius - self.break_width
    }
}

/// What is true of a plate and of the camera that looks at it.
#[derive(Debug, Clone)]
pub struct Truth {
    /// The camera.
    pub camera: Camera,
    /// Angle between its axis and the face's normal, degrees.
    pub tilt_deg: f64,
    /// The holes.
    pub holes: Vec<TrueHole>,
    /// Named points, mm.
    pub points: Vec<PlatePoint>,
}

impl Truth {
    /// What a length truly is, mm.
    ///
    /// # Panics
    /// For spans with straight edges, which these plates do not have, and for statements.
    pub fn length(&self, span: Span) -> f64 {
        let apart = |a: usize, b: usize| self.holes[a].centre.distance(self.holes[b].centre);
        let bore = |a: usize| self.holes[a].bore_radius();
        match span {
            Span::Centres(a, b) => apart(a, b),
            Span::FarRims(a, b) => apart(a, b) + bore(a) + bore(b),
            Span::NearRims(a, b) => apart(a, b) - bore(a) - bore(b),
            Span::Diameter(a) => 2.0 * bore(a),
            Span::Points(a, b) => self.points[a].distance(self.points[b]),
            _ => panic!("these plates have no straight edges, and no statement is a reading"),
        }
    }

    /// Where a place of the face is in the photo, px.
    fn seen(&self, place: PlatePoint) -> PhotoPoint {
        let [x, y] = self.camera.photo_from_plate([place.x, place.y, 0.0]);
        PhotoPoint::new(x, y)
    }

    /// Picks on the rim of a hole, evenly round from a random start, each off by `sigma_px` either way.
    fn rim_picks(&self, hole: usize, count: usize, sigma_px: f64, random: &mut Random) -> Vec<PhotoPoint> {
        let TrueHole { centre, rim_radius, .. } = self.holes[hole];
        let start = random.between(0.0, TAU);
        let pick = |k: usize| {
            let angle = start + TAU * k as f64 / count as f64;
            click(self.seen(centre + PlateVec::from_angle(angle) * rim_radius), sigma_px, random)
        };
        (0..count).map(pick).collect()
    }
}

/// A job with what is true of it.
#[derive(Debug, Clone)]
pub struct RandomJob {
    /// What the person said.
    pub job: Job,
    /// What they do not know.
    pub truth: Truth,
    /// The spans of the job's measures, in its order.
    pub spans: Vec<Span>,
}

/// How a camera is held over a plate.
#[derive(Debug, Clone, Copy)]
pub struct Station {
    /// Share of the photo's short side that the plate's long side fills.
    pub fills: f64,
    /// Turn about the plate's x, radians.
    pub tilt_a: f64,
    /// Turn about the plate's y, radians.
    pub tilt_b: f64,
}

/// Round holes at random places of a plate, its middle at (0, 0): 4 to 10 of them, or as many as said.
pub fn random_holes(sides: [f64; 2], count: Option<usize>, random: &mut Random) -> Vec<TrueHole> {
    let count = count.unwrap_or_else(|| random.between(4.0, 11.0) as usize);
    let mut holes: Vec<TrueHole> = Vec::with_capacity(count);
    while holes.len() < count {
        // Mostly bolt holes, now and then an opening.
        let rim_radius =
            if random.unit() < 0.2 { random.between(0.04, 0.12) * sides[0] } else { random.between(2.0, 6.0) };
        let [x, y] = sides.map(|side| (0.5 * side - rim_radius - WALL_MM) * random.between(-1.0, 1.0));
        let centre = PlatePoint::new(x, y);
        let clear = |other: &TrueHole| centre.distance(other.centre) > rim_radius + other.rim_radius + WALL_MM;
        if holes.iter().all(clear) {
            holes.push(TrueHole { centre, rim_radius, break_width: 0.0 });
        }
    }
    holes
}

/// The camera at a station over a plate whose long side is `long_mm`; its lens drawn from the beliefs.
pub fn camera_over(long_mm: f64, station: Station, random: &mut Random) -> Camera {
    let focal_px = FOCAL.0 * random.normal(FOCAL.1).exp();
    let [cx, cy, k1, k2, p1, p2] = LENS_SIGMA.map(|sigma| random.normal(sigma));
    let middle = PHOTO_SIZE.map(|side| (f64::from(side) - 1.0) / 2.0);
    let short = f64::from(PHOTO_SIZE[1]);
    let distance = focal_px * long_mm / (station.fills * short);
    let (sa, ca) = station.tilt_a.sin_cos();
    let (sb, cb) = station.tilt_b.sin_cos();
    Camera {
        focal_px,
        principal_px: [middle[0] + cx, middle[1] + cy],
        distortion: [k1, k2, p1, p2],
        // Rx(a) Ry(b) diag(1, -1, -1), written out.
        rotation: [[cb, 0.0, -sb], [sa * sb, -ca, sa * cb], [-ca * sb, -sa, -ca * cb]],
        translation: [0.0, 0.0, distance],
    }
}

/// A plate, a camera and a job drawn from `seed`: the camera from the beliefs of how it was held, four to eight picks
/// a hole, and `measures` (by least and most) of all kinds that round holes and points have.
pub fn random_job(seed: u64, measures: [usize; 2]) -> RandomJob {
    let mut random = Random::new(seed);
    let random = &mut random;
    let held = match random.unit() {
        x if x < 0.6 => Held::ByEye,
        x if x < 0.8 => Held::Levelled,
        _ => Held::Unknown,
    };
    let truth = random_truth(held, random);
    let picks = random.between(4.0, 9.0) as usize;
    let sigma_px = random.between(0.5, 2.0);
    let mut job = job_of(&truth, held, picks, sigma_px, random);
    let count = random.between(measures[0] as f64, (measures[1] + 1) as f64) as usize;
    let spans = random_spans(&truth, count, random);
    job.measures = spans.iter().enumerate().map(|(i, span)| reading(&truth, i, *span, random)).collect();
    RandomJob { job, truth, spans }
}

/// A plate of random size with holes and points, shifted and turned at random under a camera held as said.
fn random_truth(held: Held, random: &mut Random) -> Truth {
    let long = random.between(60.0, 250.0);
    let sides = [long, random.between(0.5, 1.0) * long];
    let mut holes = random_holes(sides, None, random);
    let points = (0..random.between(0.0, 4.0) as usize)
        .map(|_| {
            let [x, y] = sides.map(|side| 0.5 * side * random.between(-1.0, 1.0));
            PlatePoint::new(x, y)
        })
        .collect::<Vec<_>>();
    let broken = random.unit() < 0.3;
    for hole in &mut holes {
        if broken && random.unit() < 0.4 {
            hole.break_width = BREAK_WIDTH.0 + random.normal(BREAK_WIDTH.1);
        }
    }
    let tilt_sigma = match held {
        Held::ByEye => 5.0_f64,
        Held::Levelled => 1.0,
        Held::Unknown => 15.0,
    }
    .to_radians();
    let (tilt_a, tilt_b) = (random.normal(tilt_sigma), random.normal(tilt_sigma));
    let station = Station { fills: random.between(0.5, 0.9), tilt_a, tilt_b };
    let camera = camera_over(long, station, random);
    let (turn, shift) = (random.between(0.0, TAU), [0; 2].map(|_| 0.1 * long * random.between(-1.0, 1.0)));
    let (s, c) = turn.sin_cos();
    let moved = |p: PlatePoint| PlatePoint::new(c * p.x - s * p.y + shift[0], s * p.x + c * p.y + shift[1]);
    let holes = holes.into_iter().map(|hole| TrueHole { centre: moved(hole.centre), ..hole }).collect();
    let points = points.into_iter().map(moved).collect();
    Truth { camera, tilt_deg: (tilt_a.cos() * tilt_b.cos()).acos().to_degrees(), holes, points }
}

/// The job of a photo with its holes and points picked and nothing measured yet; one hole in ten is not kept.
pub fn job_of(truth: &Truth, held: Held, picks: usize, sigma_px: f64, random: &mut Random) -> Job {
    let mut job = Job::new(Photo {
        file: "plate.jpg".into(),
        sha256: "0".repeat(64),
        size: PHOTO_SIZE,
        held,
        focal_px: Some(Belief { value: FOCAL.0, sigma: FOCAL.1 * FOCAL.0 }),
        lens: LensBeliefs::default(),
    });
    for (i, hole) in truth.holes.iter().enumerate() {
        job.holes.push(Hole {
            id: Id(format!("h{i}")),
            name: format!("H{i}"),
            rim: truth.rim_picks(i, picks, sigma_px, random),
            sigma_px: Some(sigma_px),
            measure_rim: false,
            group: None,
            edge_break: hole.break_width != 0.0,
            // Three are always kept, so that there is something to move rigidly.
            keep: i < 3 || random.unit() > 0.1,
        });
    }
    for (i, point) in truth.points.iter().enumerate() {
        job.points.push(NamedPoint {
            id: Id(format!("p{i}")),
            name: format!("P{i}"),
            at: click(truth.seen(*point), sigma_px, random),
            sigma_px: Some(sigma_px),
        });
    }
    job
}

/// All lengths that could be taken by hand.
pub fn all_spans(truth: &Truth) -> Vec<Span> {
    let pairs = |count: usize| (0..count).flat_map(move |a| (a + 1..count).map(move |b| (a, b)));
    let holes = truth.holes.len();
    pairs(holes)
        .flat_map(|(a, b)| [Span::FarRims(a, b), Span::NearRims(a, b), Span::Centres(a, b)])
        .chain((0..holes).map(Span::Diameter))
        .chain(pairs(truth.points.len()).map(|(a, b)| Span::Points(a, b)))
        .collect()
}

/// `count` different lengths, every kind as likely as the next; the first is never a diameter, which no one would take
/// alone.
fn random_spans(truth: &Truth, count: usize, random: &mut Random) -> Vec<Span> {
    let kind = |span: &Span| match span {
        Span::FarRims(..) => 0,
        Span::NearRims(..) => 1,
        Span::Centres(..) => 2,
        Span::Points(..) => 3,
        _ => 4,
    };
    let mut left = all_spans(truth);
    let mut spans = Vec::with_capacity(count);
    while spans.len() < count {
        let wanted = random.between(0.0, if spans.is_empty() { 3.0 } else { 5.0 }) as i32;
        let of_kind: Vec<usize> = (0..left.len()).filter(|i| kind(&left[*i]) == wanted).collect();
        if !of_kind.is_empty() {
            spans.push(left.remove(of_kind[random.between(0.0, of_kind.len() as f64) as usize]));
        }
    }
    spans
}

/// One reading: by caliper within its reach, else by rule; centres always by rule.
pub fn reading(truth: &Truth, number: usize, span: Span, random: &mut Random) -> Measure {
    let mm = truth.length(span);
    let by_caliper = mm <= Instrument::CALIPER.reach_mm && !matches!(span, Span::Centres(..));
    let Instrument { sigma_mm, .. } = if by_caliper { Instrument::CALIPER } else { Instrument::RULE };
    let holes = |a: usize, b: usize| vec![Id(format!("h{a}")), Id(format!("h{b}"))];
    let (kind, between) = match span {
        Span::Centres(a, b) => (MeasureKind::Centres, holes(a, b)),
        Span::FarRims(a, b) => (MeasureKind::FarRims, holes(a, b)),
        Span::NearRims(a, b) => (MeasureKind::NearRims, holes(a, b)),
        Span::Diameter(a) => (MeasureKind::Diameter, vec![Id(format!("h{a}"))]),
        Span::Points(a, b) => (MeasureKind::Points, vec![Id(format!("p{a}")), Id(format!("p{b}"))]),
        _ => unreachable!("its true length was asked for before"),
    };
    Measure { id: Id(format!("m{number}")), kind, between, mm: mm + random.normal(sigma_mm), sigma_mm, in_use: true }
}

fn click(at: PhotoPoint, sigma_px: f64, random: &mut Random) -> PhotoPoint {
    PhotoPoint::new(at.x + random.normal(sigma_px), at.y + random.normal(sigma_px))
}
