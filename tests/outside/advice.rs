//! What is said of photos whose camera, blur and light are known: rendered by the tests' own camera, and the public cases.

use platewright_core::advice::{Advice, PhotoFile, State, after};
use platewright_core::edge::{Clipped, Picture, Smear, smear};
use platewright_core::instrument::Instrument;
use platewright_core::job::{Held, Hole, Id, Job, LensBeliefs, Measure, MeasureKind, Photo};
use platewright_core::solution::{Inputs, Solution, solve_photo};
use platewright_core::space::PhotoPoint;
use platewright_core::tolerance::K95_FIGURE;
use platewright_synth::{Camera, Look, Plate, RoundHole, render};
use platewright_tests::{CASES, Case, shared_dir, skip};
use std::f64::consts::{PI, TAU};

/// What is said of a photo.
struct Said {
    advice: Vec<Advice>,
    solution: Solution,
}

fn said(job: &Job, size: [u32; 2], bytes: &[u8], exif_focal_px: Option<f64>) -> Said {
    let picture = Picture::from_srgb(size, bytes).expect("a whole picture");
    let inputs = Inputs { job, exif_focal_px, instrument: Instrument::CALIPER, seen: None };
    let (seen, solution) = solve_photo(&inputs, &picture, &|| true).expect("nobody stops it");
    let file = PhotoFile { clipped: Clipped::of(&picture), jpeg_quality: None };
    let advice = after(&Inputs { seen: Some(&seen), ..inputs }, &solution, &file, Some(&picture));
    Said { advice, solution }
}

impl Said {
    #[track_caller]
    fn by(&self, name: &str) -> &Advice {
        self.advice.iter().find(|advice| advice.name == name).unwrap_or_else(|| panic!("{name}: {:?}", self.advice))
    }

    /// The figure that follows `before` in what a rule says.
    #[track_caller]
    fn figure(&self, name: &str, before: &str) -> f64 {
        let text = &self.by(name).text;
        let rest = text.split_once(before).unwrap_or_else(|| panic!("{before} in: {text}")).1;
        let end = rest.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(rest.len());
        rest[..end].trim_end_matches('.').parse().unwrap_or_else(|_| panic!("a figure after {before} in: {text}"))
    }

    #[track_caller]
    fn check(&self, name: &str, before: &str, expected: f64, within: f64) {
        let found = self.figure(name, before);
        assert!((found - expected).abs() <= within, "{name}: {found}, {expected} within {within} expected");
    }
}

const SIZE: [u32; 2] = [1200, 900];
const FOCAL_PX: f64 = 3000.0;
const DISTANCE_MM: f64 = 300.0;

fn plate() -> Plate {
    let holes = [[-40.0, -28.0], [41.0, -27.0], [39.0, 28.0], [-41.0, 27.0], [3.0, -9.0]];
    Plate {
        outline: vec![[-54.0, -40.0], [54.0, -40.0], [54.0, 40.0], [-54.0, 40.0]],
        holes: holes.map(|centre| RoundHole { centre, diameter: 8.0 }).into(),
        thickness: 0.5,
    }
}

fn camera(tilt_deg: f64) -> Camera {
    Camera::looking_down(SIZE, FOCAL_PX, DISTANCE_MM, [tilt_deg.to_radians(), 0.9, 0.05])
}

/// The job of the plate: four picks a rim, and what a caliper reads between all holes.
fn job(camera: &Camera) -> Job {
    let plate = plate();
    let mut job = Job::new(Photo {
        file: "plate.png".to_owned(),
        sha256: "0".repeat(64),
        size: SIZE,
        held: Held::Unknown,
        focal_px: None,
        lens: LensBeliefs::default(),
    });
    for (number, RoundHole { centre: [x, y], diameter }) in plate.holes.iter().enumerate() {
        let pick = |i: u32| {
            let (sine, cosine) = (0.4 + f64::from(i) * TAU / 4.0).sin_cos();
            PhotoPoint::from(camera.photo_from_plate([x + 0.5 * diameter * cosine, y + 0.5 * diameter * sine, 0.0]))
        };
        job.holes.push(Hole {
            id: Id(format!("h{}", number + 1)),
            name: format!("H{}", number + 1),
            rim: (0..4).map(pick).collect(),
            sigma_px: Some(1.0),
            measure_rim: true,
            group: None,
            edge_break: false,
            keep: true,
        });
    }
    for a in 0..plate.holes.len() {
        for b in a + 1..plate.holes.len() {
            let (one, other) = (plate.holes[a], plate.holes[b]);
            let apart = (one.centre[0] - other.centre[0]).hypot(one.centre[1] - other.centre[1]);
            job.measures.push(Measure {
                id: Id(format!("m{a}{b}")),
                kind: MeasureKind::FarRims,
                between: vec![job.holes[a].id.clone(), job.holes[b].id.clone()],
                mm: apart + f64::midpoint(one.diameter, other.diameter),
                sigma_mm: 0.05,
                in_use: true,
            });
        }
    }
    job
}

fn photo(camera: &Camera, look: &Look) -> Vec<u8> {
    render(&plate(), camera, SIZE, look, 5)
}

#[test]
fn a_planted_tilt_is_found() {
    for tilt_deg in [0.0, 6.0, 18.0] {
        let camera = camera(tilt_deg);
        let said = said(&job(&camera), SIZE, &photo(&camera, &Look::default()), Some(FOCAL_PX));
        // Ten lengths of 0.05 mm settle the tilt of this plate to a few tenths of a degree.
        said.check("Tilt", "Tilted by ", tilt_deg, 1.0);
        assert_eq!(said.by("Tilt").state.is_costly(), tilt_deg > 10.0, "{:?}", said.by("Tilt"));
        let height_mm = DISTANCE_MM * tilt_deg.to_radians().cos();
        said.check("Stand-off", "From ", height_mm, 0.01 * height_mm);
        let cosine = tilt_deg.to_radians().cos();
        let px_per_mm = said.figure("Size in the picture", "");
        // Ten px to the mm on the axis, the cosine less one way; farther off and nearer by an eighth at most.
        assert!((px_per_mm / (10.0 * cosine) - 1.0).abs() < 0.25, "{px_per_mm} px to the mm at {tilt_deg}°");
    }
}

#[test]
fn a_planted_blur_is_found() {
    let camera = camera(0.0);
    for blur_px in [0.7, 1.4, 2.2] {
        let look = Look { blur_px, ..Look::default() };
        let said = said(&job(&camera), SIZE, &photo(&camera, &look), Some(FOCAL_PX));
        // The pixel's own square adds a twelfth to the variance.
        let expected = 2.0 * blur_px.hypot((1.0_f64 / 12.0).sqrt());
        said.check("Sharpness", "spread over ", expected, 0.1 * expected + 0.05);
        assert!(!said.by("Sharpness").text.contains("moved"), "it did not: {:?}", said.by("Sharpness"));
    }
}

/// The photo of a camera that moved so far, in linear light.
fn moved(bytes: &[u8], [x, y]: [usize; 2]) -> Vec<u8> {
    let linear = |code: u8| (f64::from(code) / 255.0).powf(2.2);
    let steps = x.max(y);
    let [width, height] = SIZE.map(|side| side as usize);
    let at = |column: usize, row: usize| linear(bytes[(row.min(height - 1) * width + column.min(width - 1)) * 3]);
    let mut smeared = Vec::with_capacity(bytes.len());
    for row in 0..height {
        for column in 0..width {
            let sum: f64 = (0..steps).map(|step| at(column + x * step / steps, row + y * step / steps)).sum();
            let code = ((sum / steps as f64).powf(1.0 / 2.2) * 255.0).round() as u8;
            smeared.extend([code; 3]);
        }
    }
    smeared
}

#[test]
fn a_planted_smear_is_found_with_its_way() {
    let camera = camera(0.0);
    let sharp = photo(&camera, &Look::default());
    let job = job(&camera);
    for (by, angle_deg) in [([5, 0], 0.0), ([0, 6], 90.0), ([4, 4], 45.0)] {
        let length_px = (by[0] as f64).hypot(by[1] as f64);
        let bytes = moved(&sharp, by);
        let said = said(&job, SIZE, &bytes, Some(FOCAL_PX));
        said.check("Sharpness", "moved by about ", length_px, 0.4 * length_px);
        assert!(said.by("Sharpness").way_out.is_empty() || said.by("Sharpness").way_out.contains("Lean the phone"));
        let picture = Picture::from_srgb(SIZE, &bytes).expect("a whole picture");
        let map = said.solution.map.expect("a camera");
        // The bar begins at the pixel and goes on from there: the plate is seen half of it aside.
        let [x, y] = by.map(|px| 0.5 * px as f64);
        let seen = |[u, v]: [f64; 2]| PhotoPoint::new(u - x, v - y);
        let place = |hole: &RoundHole| {
            let [cx, cy] = hole.centre;
            let at = map.plate_from_photo(seen(camera.photo_from_plate([cx, cy, 0.0]))).expect("it is on the plate");
            (at, 0.5 * hole.diameter)
        };
        let rims: Vec<_> = plate().holes.iter().map(place).collect();
        let Smear { angle_rad, .. } = smear(&picture, &map, &rims).expect("it is smeared");
        let off = (angle_rad.to_degrees() - angle_deg + 90.0).rem_euclid(180.0) - 90.0;
        assert!(off.abs() < 20.0, "{} degrees, {angle_deg} expected", angle_rad / PI * 180.0);
    }
}

#[test]
fn a_planted_patch_of_white_is_found_with_its_share_and_place() {
    let camera = camera(0.0);
    let mut bytes = photo(&camera, &Look::default());
    // 240 x 160 px of the face, away from every rim.
    let (left, top, width, height) = (480, 560, 240, 160);
    for row in top..top + height {
        bytes[(row * SIZE[0] as usize + left) * 3..][..width * 3].fill(255);
    }
    let said = said(&job(&camera), SIZE, &bytes, Some(FOCAL_PX));
    let advice = said.by("Clipped areas");
    // The box round the five rims is 90 x 64 mm at 10 px to the mm, less their discs.
    let face = 90.0 * 64.0 - 5.0 * PI * 16.0;
    let expected = 100.0 * (width * height) as f64 / 100.0 / face;
    said.check("Clipped areas", "", expected, 0.06 * expected);
    assert_eq!((advice.state, advice.cost_mm), (State::Good, Some(0.0)), "none of it at a rim: {advice:?}");
    let place = advice.places.first().expect("it is shown");
    let middle = PhotoPoint::new(left as f64 + 0.5 * width as f64, top as f64 + 0.5 * height as f64);
    assert!(place.at.distance(middle) < 16.0, "to a tile: {place:?}");
}

#[test]
fn what_is_said_of_the_public_cases_is_true_of_their_cameras() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in CASES {
        let case = Case::read(&shared, name);
        let (job, photo) = (case.job(), case.pixels());
        let said = said(&job, [photo.width(), photo.height()], photo.as_raw(), None);
        let camera = case.camera();
        // The camera stands at minus the turned-back t; its height is that along the face's normal.
        let column = camera.rotation.map(|row| row[2]);
        let height_mm = -column.iter().zip(camera.translation).map(|(r, t)| r * t).sum::<f64>();
        // The photo tells focal length over stand-off, and either by the record of the lens alone: to the fit's own ±.
        let (_, sigma_mm) = said.solution.camera.expect("a camera").distance_mm;
        said.check("Stand-off", "From ", height_mm.abs(), K95_FIGURE * sigma_mm + 1.0);
        said.check("Tilt", "Tilted by ", (-camera.rotation[2][2]).acos().to_degrees(), 0.7);
        // To a fifth: the sharper places of each rim tell it, and the paper of the last case is ragged.
        let spread_px = 2.0 * case.blur_px().hypot((1.0_f64 / 12.0).sqrt());
        said.check("Sharpness", "spread over ", spread_px, 0.2 * spread_px);
        assert!(!said.by("Sharpness").text.contains("moved"), "{name}: {:?}", said.by("Sharpness"));
        assert!(!said.by("Glare").state.is_costly(), "{name}: {:?}", said.by("Glare"));
        let map = said.solution.map.expect("a camera");
        let least =
            said.solution.holes.iter().map(|hole| map.least_px_per_mm(hole.centre)).fold(f64::INFINITY, f64::min);
        said.check("Size in the picture", "", least, 0.051);
    }
}
