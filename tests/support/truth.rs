//! The rendered photos with exact truth, and the jobs that follow from their given clicks and caliper values.

use image::{DynamicImage, ImageDecoder, ImageReader, RgbImage};
use platewright_core::geom::{Cubic, Segment};
use platewright_core::job::{Belief, Hole, Id, Job, Measure, MeasureKind, NamedPoint, Photo, StraightEdge};
use platewright_core::space::{PhotoPoint, PlatePoint};
use platewright_synth::Camera;
use serde::Deserialize;
use std::path::{Path, PathBuf};

/// The public cases, by folder.
pub const CASES: [&str; 5] = [
    "01_milk_pump_cover",
    "02_baler_inspection_plate",
    "05_milk_valve_flange",
    "09_seeder_gearbox_cover",
    "11_irrigation_paper_gasket",
];

/// One photo with its truth.
#[derive(Debug)]
pub struct Case {
    /// Its folder's name.
    pub name: String,
    /// The photo.
    pub photo: PathBuf,
    truth: Truth,
}

#[derive(Debug, Deserialize)]
struct Truth {
    image: Image,
    camera: TrueCamera,
    plate: TruePlate,
    pixel_table: PixelTable,
    hand_measurements: HandMeasurements,
    hand_clicks: HandClicks,
}

#[derive(Debug, Deserialize)]
struct Image {
    upright_size: [u32; 2],
    exif_focal_length_35mm: f64,
    blur_sigma_px: f64,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
struct TrueCamera {
    fx: f64,
    cx: f64,
    cy: f64,
    k1: f64,
    k2: f64,
    p1: f64,
    p2: f64,
    #[serde(rename = "R")]
    rotation: [[f64; 3]; 3],
    t: [f64; 3],
}

#[derive(Debug, Deserialize)]
struct TruePlate {
    holes: Vec<TrueHole>,
    outline: Vec<TrueSegment>,
    outline_points: Vec<OutlinePoint>,
    openings: Vec<TrueOpening>,
}

/// Where a segment of the outline starts.
#[derive(Debug, Deserialize)]
struct OutlinePoint {
    id: String,
    starts_segment: usize,
}

/// A segment of the outline, which runs with the face on its left.
#[derive(Debug, Deserialize)]
struct TrueSegment {
    #[serde(rename = "type")]
    kind: String,
    p0: [f64; 2],
    p1: [f64; 2],
    /// Of a cubic.
    c1: Option<[f64; 2]>,
    c2: Option<[f64; 2]>,
    /// Of an arc.
    centre: Option<[f64; 2]>,
    #[serde(default)]
    radius: f64,
    #[serde(default)]
    start_angle_deg: f64,
    #[serde(default)]
    sweep_deg: f64,
}

impl TrueSegment {
    /// The place at a share of its own parameter, mm.
    fn at(&self, share: f64) -> [f64; 2] {
        let rest = 1.0 - share;
        match (self.centre, self.c1, self.c2) {
            (Some(centre), ..) => {
                let (sine, cosine) = (self.start_angle_deg + share * self.sweep_deg).to_radians().sin_cos();
                [centre[0] + self.radius * cosine, centre[1] + self.radius * sine]
            }
            (None, Some(c1), Some(c2)) => [0, 1].map(|i: usize| {
                rest.powi(3) * self.p0[i]
                    + 3.0 * rest * rest * share * c1[i]
                    + 3.0 * rest * share * share * c2[i]
                    + share.powi(3) * self.p1[i]
            }),
            _ => [0, 1].map(|i: usize| rest * self.p0[i] + share * self.p1[i]),
        }
    }
}

impl TrueSegment {
    fn piece(&self) -> TruePiece {
        let [from, to] = [self.p0, self.p1].map(PlatePoint::from);
        if let (Some(c1), Some(c2)) = (self.c1.map(PlatePoint::from), self.c2.map(PlatePoint::from)) {
            return TruePiece::Smooth(Cubic::new(from, c1 - from, c2 - to, to));
        }
        let bulge = self.centre.map_or(0.0, |_| (self.sweep_deg.to_radians() / 4.0).tan());
        TruePiece::Round(Segment::arc(from, to, bulge))
    }
}

/// An opening, which runs with the face on its right or left alike.
#[derive(Debug, Deserialize)]
struct TrueOpening {
    segments: Vec<TrueSegment>,
}

/// A piece of the true outline.
#[derive(Debug, Clone, Copy)]
pub enum TruePiece {
    /// A line or an arc.
    Round(Segment),
    /// A cubic.
    Smooth(Cubic),
}

fn cross(a: PlatePoint, b: PlatePoint) -> f64 {
    a.x * b.y - b.x * a.y
}

impl TruePiece {
    /// Where it starts.
    pub fn from(&self) -> PlatePoint {
        match self {
            Self::Round(segment) => segment.from,
            Self::Smooth(cubic) => cubic.from(),
        }
    }

    /// The place in its middle.
    pub fn middle(&self) -> PlatePoint {
        match self {
            Self::Round(segment) => segment.point_at(0.5),
            Self::Smooth(cubic) => cubic.point_at(0.5),
        }
    }

    /// The same piece, gone along the other way.
    #[must_use]
    pub fn reversed(self) -> Self {
        match self {
            Self::Round(segment) => Self::Round(segment.reversed()),
            Self::Smooth(cubic) => {
                let levers = [1.0, 0.0].map(|t| cubic.derivative_at(t) * (1.0 / 3.0));
                Self::Smooth(Cubic::new(cubic.to(), -levers[0], levers[1], cubic.from()))
            }
        }
    }

    /// Points along it, both ends included, no chord between them off by more than `chord_mm` nor longer than `step_mm`.
    pub fn sampled(&self, chord_mm: f64, step_mm: f64) -> Vec<PlatePoint> {
        let points = match self {
            Self::Round(segment) => segment.sampled(chord_mm),
            Self::Smooth(cubic) => cubic.sampled(chord_mm),
        };
        let mut dense: Vec<PlatePoint> = points.first().copied().into_iter().collect();
        for pair in points.windows(2) {
            let parts = (pair[0].distance(pair[1]) / step_mm).ceil().max(1.0);
            dense.extend((1..=parts as usize).map(|k| pair[0].lerp(pair[1], k as f64 / parts)));
        }
        dense
    }
}

#[derive(Debug, Deserialize)]
struct TrueHole {
    id: String,
    x: f64,
    y: f64,
    d_top: f64,
    d_bore: f64,
    edge_break: f64,
}

#[derive(Debug, Deserialize)]
struct PixelTable {
    hole_rims: Vec<TrueRim>,
}

#[derive(Debug, Deserialize)]
struct TrueRim {
    id: String,
    /// u, v in px, x, y in mm.
    points: Vec<[f64; 4]>,
}

#[derive(Debug, Deserialize)]
struct HandMeasurements {
    caliper: Items,
}

#[derive(Debug, Deserialize)]
struct Items {
    items: Vec<Item>,
}

#[derive(Debug, Deserialize)]
struct Item {
    id: String,
    kind: String,
    a: serde_json::Value,
    b: Option<serde_json::Value>,
    measured_mm: f64,
    sigma_mm: f64,
    gross_error: bool,
}

#[derive(Debug, Deserialize)]
struct HandClicks {
    sigma_px: f64,
    hole_rim_clicks: Vec<RimClicks>,
    point_clicks: Vec<PointClick>,
}

#[derive(Debug, Deserialize)]
struct RimClicks {
    id: String,
    clicks: Vec<[f64; 2]>,
}

#[derive(Debug, Deserialize)]
struct PointClick {
    id: String,
    click: [f64; 2],
}

impl Case {
    /// Reads the case `name` below the folder of the shared photos and references.
    ///
    /// # Panics
    /// Where the truth file is not as its page says.
    pub fn read(shared: &Path, name: &str) -> Self {
        let folder = shared.join("photos/rendered").join(name);
        let text = std::fs::read_to_string(folder.join("truth.json")).expect("the case has its truth.json");
        let truth = serde_json::from_str(&text).expect("truth.json is as its page says");
        Self { name: name.to_owned(), photo: folder.join("photo.jpg"), truth }
    }

    /// The photo's upright pixels.
    ///
    /// # Panics
    /// Where the photo cannot be read.
    pub fn pixels(&self) -> RgbImage {
        let reader = ImageReader::open(&self.photo).expect("the case has its photo");
        let mut decoder = reader.into_decoder().expect("it is a photo");
        let orientation = decoder.orientation().expect("it says which way is up");
        let mut image = DynamicImage::from_decoder(decoder).expect("it decodes");
        image.apply_orientation(orientation);
        image.into_rgb8()
    }

    /// The job of the given clicks and caliper values; a planted misreading is left out, broken edges are declared, as
    /// are holes of one size (their edge breaks are then one unknown).
    pub fn job(&self) -> Job {
        let truth = &self.truth;
        let size = truth.image.upright_size;
        let diagonal = f64::from(size[0]).hypot(f64::from(size[1]));
        // CIPA DCG-001: 35 mm equivalents are of the diagonal, 43.27 mm; 4 % stands for the other convention.
        let focal = truth.image.exif_focal_length_35mm * diagonal / 43.2666;
        let mut job = Job::new(Photo {
            file: self.photo.display().to_string(),
            sha256: "0".repeat(64),
            size,
            held: platewright_core::job::Held::ByEye,
            focal_px: Some(Belief { value: focal, sigma: 0.04 * focal }),
            lens: platewright_core::job::LensBeliefs::default(),
        });
        job.holes = truth.hand_clicks.hole_rim_clicks.iter().map(|clicks| self.hole(clicks)).collect();
        job.points = truth.hand_clicks.point_clicks.iter().map(|click| self.point(click)).collect();
        job.edges = self.edges();
        job.measures = self.items().filter(|item| !item.gross_error).filter_map(|item| measure(item, &job)).collect();
        job
    }

    /// The same job with the planted misreading among its measures, and the misreading's id; `None` where none was
    /// planted in what can be computed.
    pub fn job_with_misreading(&self) -> Option<(Job, Id)> {
        let mut job = self.job();
        let misread = self.items().filter(|item| item.gross_error).find_map(|item| measure(item, &job))?.id;
        job.measures = self.items().filter_map(|item| measure(item, &job)).collect();
        Some((job, misread))
    }

    fn items(&self) -> impl Iterator<Item = &Item> {
        self.truth.hand_measurements.caliper.items.iter()
    }

    fn hole(&self, clicks: &RimClicks) -> Hole {
        let broken = self.truth.plate.holes.iter().any(|hole| hole.id == clicks.id && hole.edge_break > 0.0);
        Hole {
            id: Id(clicks.id.clone()),
            name: clicks.id.clone(),
            rim: clicks.clicks.iter().map(|c| PhotoPoint::new(c[0], c[1])).collect(),
            sigma_px: Some(self.truth.hand_clicks.sigma_px),
            measure_rim: true,
            group: None,
            edge_break: broken,
            keep: true,
        }
    }

    /// The straight sides between which jaws were held and both of whose ends were clicked.
    fn edges(&self) -> Vec<StraightEdge> {
        let truth = &self.truth;
        let across = self.items().filter(|item| item.kind == ACROSS_EDGES).flat_map(Item::features);
        let mut ids: Vec<&str> = across.collect();
        ids.sort_unstable();
        ids.dedup();
        let edge = |id: &str| {
            let number: usize = id.strip_prefix('S')?.parse().ok()?;
            let start = |number: usize| {
                let number = number % truth.plate.outline.len();
                let point = truth.plate.outline_points.iter().find(|point| point.starts_segment == number)?;
                let click = truth.hand_clicks.point_clicks.iter().find(|click| click.id == point.id)?;
                Some(PhotoPoint::new(click.click[0], click.click[1]))
            };
            Some(StraightEdge {
                id: Id::from(id),
                name: id.to_owned(),
                along: vec![start(number)?, start(number + 1)?],
                sigma_px: Some(truth.hand_clicks.sigma_px),
                measure_edge: true,
            })
        };
        ids.into_iter().filter_map(edge).collect()
    }

    fn point(&self, click: &PointClick) -> NamedPoint {
        NamedPoint {
            id: Id(click.id.clone()),
            name: click.id.clone(),
            at: PhotoPoint::new(click.click[0], click.click[1]),
            sigma_px: Some(self.truth.hand_clicks.sigma_px),
        }
    }

    /// Standard deviation of the lens's blur, px, without the pixels' own.
    pub fn blur_px(&self) -> f64 {
        self.truth.image.blur_sigma_px
    }

    /// The camera that took the photo.
    pub fn camera(&self) -> Camera {
        let c = &self.truth.camera;
        Camera {
            focal_px: c.fx,
            principal_px: [c.cx, c.cy],
            distortion: [c.k1, c.k2, c.p1, c.p2],
            rotation: c.rotation,
            translation: c.t,
        }
    }

    /// Points of the rim of the hole `id`, px, in order round it; none of a hole that is not in the truth.
    pub fn true_rim(&self, id: &Id) -> Vec<PhotoPoint> {
        let rims = self.truth.pixel_table.hole_rims.iter().filter(|rim| rim.id == id.0);
        rims.flat_map(|rim| &rim.points).map(|p| PhotoPoint::new(p[0], p[1])).collect()
    }

    /// Radii of the hole `id` where it meets the face and below its edge break, mm.
    pub fn true_radii_mm(&self, id: &Id) -> Option<[f64; 2]> {
        let hole = self.truth.plate.holes.iter().find(|hole| hole.id == id.0)?;
        Some([0.5 * hole.d_top, 0.5 * hole.d_bore])
    }

    /// Where the hole `id` truly is.
    pub fn true_centre(&self, id: &Id) -> Option<PlatePoint> {
        let hole = self.truth.plate.holes.iter().find(|hole| hole.id == id.0)?;
        Some(PlatePoint::new(hole.x, hole.y))
    }

    /// The outline of the face and its openings as they are seen, px: closed chains of points less than a hundredth of a pixel
    /// off the true curves. The outline is the first and runs with the face on its left.
    pub fn true_contours(&self) -> Vec<Vec<PhotoPoint>> {
        let outline = std::iter::once(&self.truth.plate.outline);
        let openings = self.truth.plate.openings.iter().map(|opening| &opening.segments);
        outline.chain(openings).map(|segments| self.seen(segments, 400)).collect()
    }

    /// The true corners of the outline and the middles of its segments, in order round it, px.
    pub fn true_nodes(&self) -> Vec<PhotoPoint> {
        self.seen(&self.truth.plate.outline, 2)
    }

    /// Places of the segments in the photo, so many each.
    fn seen(&self, segments: &[TrueSegment], count: u32) -> Vec<PhotoPoint> {
        let camera = self.camera();
        let shares = || (0..count).map(|i| f64::from(i) / f64::from(count));
        let places = segments.iter().flat_map(|segment| shares().map(|share| segment.at(share)));
        places.map(|[x, y]| PhotoPoint::from(camera.photo_from_plate([x, y, 0.0]))).collect()
    }

    /// The pieces of the true outline, with the face on their left.
    pub fn true_outline(&self) -> Vec<TruePiece> {
        self.truth.plate.outline.iter().map(TrueSegment::piece).collect()
    }

    /// The outline and then the openings, each as pieces with the face on their left.
    pub fn true_outlines(&self) -> Vec<Vec<TruePiece>> {
        let opening = |opening: &TrueOpening| {
            let pieces: Vec<TruePiece> = opening.segments.iter().map(TrueSegment::piece).collect();
            let next = pieces.iter().cycle().skip(1);
            let twice_area: f64 = pieces.iter().zip(next).map(|(a, b)| cross(a.from(), b.from())).sum();
            if twice_area > 0.0 { pieces.into_iter().rev().map(TruePiece::reversed).collect() } else { pieces }
        };
        std::iter::once(self.true_outline()).chain(self.truth.plate.openings.iter().map(opening)).collect()
    }

    /// Ends of the straight sides of the outline, in order round it, each with the face on the left of its way.
    pub fn true_sides(&self) -> Vec<[PlatePoint; 2]> {
        let lines = self.truth.plate.outline.iter().filter(|segment| segment.kind == "line");
        lines.map(|segment| [segment.p0, segment.p1].map(PlatePoint::from)).collect()
    }

    /// True centres of the job's holes, in its order.
    ///
    /// # Panics
    /// Where a clicked hole is not in the truth.
    pub fn true_centres(&self, job: &Job) -> Vec<PlatePoint> {
        job.holes.iter().map(|hole| self.true_centre(&hole.id).expect("every clicked hole has its truth")).collect()
    }
}

/// What the files call the way between two straight sides.
const ACROSS_EDGES: &str = "across_parallel_edges";

impl Item {
    /// What it was held between.
    fn features(&self) -> impl Iterator<Item = &str> {
        [Some(&self.a), self.b.as_ref()].into_iter().flatten().filter_map(|id| id.as_str())
    }
}

/// As a measure of the job; `None` where its edges have no clicks.
fn measure(item: &Item, job: &Job) -> Option<Measure> {
    let kind = match item.kind.as_str() {
        "far_rims" => MeasureKind::FarRims,
        "near_rims" => MeasureKind::NearRims,
        "hole_diameter" => MeasureKind::Diameter,
        "corner_to_corner" => MeasureKind::Points,
        ACROSS_EDGES => MeasureKind::Edges,
        _ => return None,
    };
    let between: Vec<Id> = item.features().map(Id::from).collect();
    let is_clicked = |id: &Id| job.edges.iter().any(|edge| edge.id == *id);
    if kind == MeasureKind::Edges && !between.iter().all(is_clicked) {
        return None;
    }
    Some(Measure {
        id: Id(item.id.clone()),
        kind,
        between,
        mm: item.measured_mm,
        sigma_mm: item.sigma_mm,
        in_use: true,
    })
}
