//! From an accepted hole the others of its photo: the public cases, with the camera that clicks and measures give and with
//! the poor one that is all there is after the first hole's clicks.

use image::{DynamicImage, ImageDecoder, ImageReader, RgbImage};
use platewright_core::camera::PlateMap;
use platewright_core::edge::{Offer, Picture, RimStart, SizeClass, find_rims};
use platewright_core::instrument::Instrument;
use platewright_core::job::{Hole, Job};
use platewright_core::solution::{Inputs, solve};
use platewright_core::space::{PhotoPoint, PhotoVec, PlatePoint, PlateVec};
use platewright_synth::{Camera, Look, Plate, Random, RoundHole, render};
use platewright_tests::{CASES, Case, map_of, shared_dir, skip};
use std::path::Path;

/// The photo as it stands upright.
fn upright(photo: &Path) -> RgbImage {
    let mut decoder = ImageReader::open(photo).expect("the case has its photo").into_decoder().expect("it is a JPEG");
    let orientation = decoder.orientation().expect("its EXIF is readable");
    let mut image = DynamicImage::from_decoder(decoder).expect("it decodes");
    image.apply_orientation(orientation);
    image.to_rgb8()
}

/// The camera that a job makes of its clicks, measures and beliefs.
fn map_of_job(job: &Job) -> PlateMap {
    let solution = solve(&Inputs { job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None });
    solution.map.expect("clicks make a camera")
}

/// A rim as it is seen: the middle of its ellipse and its mean radius, px.
#[derive(Debug, Clone, Copy)]
struct Seen {
    middle: PhotoPoint,
    radius_px: f64,
}

impl Seen {
    fn of(round: &[PhotoPoint]) -> Self {
        let share = 1.0 / round.len() as f64;
        let middle = round.iter().fold(PhotoPoint::default(), |sum, at| sum + PhotoVec::new(at.x, at.y) * share);
        Self { middle, radius_px: round.iter().map(|at| at.distance(middle) * share).sum() }
    }

    fn offered(map: &PlateMap, offer: &Offer) -> Self {
        let on =
            |i: u32| offer.centre + PlateVec::from_angle(f64::from(i) * std::f64::consts::TAU / 36.0) * offer.radius_mm;
        let round: Vec<_> = (0..36).map(|i| map.photo_from_plate(on(i)).expect("the camera sees its offers")).collect();
        Self::of(&round)
    }

    /// The middle within 2 px and the radius within 5 %.
    fn is(&self, truth: &Self) -> bool {
        self.middle.distance(truth.middle) < 2.0 && (self.radius_px / truth.radius_px - 1.0).abs() < 0.05
    }
}

/// What came of some searches.
#[derive(Debug, Default)]
struct Tally {
    others: usize,
    offered: usize,
    /// Of the largest number of any search.
    most_false: usize,
    /// Offers of true rims whose size class is not that of the truth.
    wrong_size: usize,
}

impl Tally {
    /// Counts one search from the hole number `accepted`; `truth` has rims as they are seen and true radii.
    fn count(&mut self, map: &PlateMap, offers: &[Offer], accepted: usize, truth: &[(Seen, f64)]) {
        let seen: Vec<Seen> = offers.iter().map(|offer| Seen::offered(map, offer)).collect();
        for (_, (rim, radius_mm)) in truth.iter().enumerate().filter(|(number, _)| *number != accepted) {
            self.others += 1;
            if let Some(found) = seen.iter().position(|offered| offered.is(rim)) {
                self.offered += 1;
                let is_like = (radius_mm / truth[accepted].1 - 1.0).abs() < 0.03;
                self.wrong_size += usize::from(is_like != (offers[found].size == SizeClass::Like));
            }
        }
        let others = || truth.iter().enumerate().filter(|(number, _)| *number != accepted).map(|(_, (rim, _))| rim);
        let wrong = seen.iter().filter(|offered| !others().any(|rim| offered.is(rim))).count();
        self.most_false = self.most_false.max(wrong);
        for offer in offers {
            check_picks(map, offer);
        }
    }
}

/// The picks lie on the offered rim, well round it.
fn check_picks(map: &PlateMap, offer: &Offer) {
    let seen = Seen::offered(map, offer);
    for (i, pick) in offer.picks.iter().enumerate() {
        // A slant that the camera does not know leaves the circle on the plate by a few hundredths.
        let off = (pick.distance(seen.middle) / seen.radius_px - 1.0).abs();
        assert!(off < 0.06, "a pick lies {off:.3} of the radius off its rim");
        let chord = pick.distance(offer.picks[(i + 1) % 3]) / seen.radius_px;
        assert!(chord > 1.0, "two picks are {chord:.2} radii apart");
    }
    for point in &offer.points {
        let off = (point.at.distance(seen.middle) / seen.radius_px - 1.0).abs();
        assert!(off < 0.08, "a point lies {off:.3} of the radius off its rim");
    }
}

/// Searches one case from every `step`th hole.
fn search(case: &Case, step: usize, is_poor: bool) -> Tally {
    let image = upright(&case.photo);
    let picture = Picture::from_srgb([image.width(), image.height()], image.as_raw()).expect("a whole picture");
    let whole = case.job();
    let truth = |hole: &Hole| {
        let [radius_mm, _] = case.true_radii_mm(&hole.id).expect("the hole is in the truth");
        (Seen::of(&case.true_rim(&hole.id)), radius_mm)
    };
    let truth: Vec<(Seen, f64)> = whole.holes.iter().map(truth).collect();
    let mut tally = Tally::default();
    for (accepted, hole) in whole.holes.iter().enumerate().step_by(step) {
        let first = Job { holes: vec![hole.clone()], points: Vec::new(), measures: Vec::new(), ..whole.clone() };
        let map = map_of_job(if is_poor { &first } else { &whole });
        let start = RimStart::from_picks(&map, &hole.rim, 2.0).expect("three clicks make a circle");
        let offers = find_rims(&picture, &map, &start, &[], &mut |_| true).expect("nobody stops it");
        tally.count(&map, &offers, accepted, &truth);
    }
    tally
}

#[test]
#[expect(clippy::print_stdout, reason = "the figures are the point of this check")]
fn one_accepted_hole_finds_the_others_of_the_public_cases() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    let step = std::env::var("PLATEWRIGHT_FIND_STEP").ok().and_then(|step| step.parse().ok()).unwrap_or(4);
    for name in CASES {
        let case = Case::read(&shared, name);
        for is_poor in [false, true] {
            let camera = if is_poor { "of one hole's clicks" } else { "of clicks and measures" };
            let tally = search(&case, step, is_poor);
            println!("{name}, camera {camera}: {tally:?}");
            assert!(tally.offered * 20 >= tally.others * 19, "{name}, camera {camera}: {tally:?}");
            assert!(tally.most_false <= 1, "{name}, camera {camera}: {tally:?}");
            assert!(tally.wrong_size * 20 <= tally.others, "{name}, camera {camera}: {tally:?}");
        }
    }
}

/// A plate of 120 mm by 90 mm on a bench with rows of holes, seen at a slant of our own renderer's camera.
struct Scene {
    look: Look,
    tilt_deg: f64,
    /// Relative unevenness of the light of brushed stripes.
    brushed: f64,
}

impl Scene {
    /// Size, bytes, camera and holes.
    fn photo(&self, seed: u64) -> ([u32; 2], Vec<u8>, Camera, Vec<RoundHole>) {
        let mut random = Random::new(seed);
        let size = [800, 600];
        let azimuth = random.between(0.0, std::f64::consts::TAU);
        let camera = Camera::looking_down(size, 750.0, 125.0, [self.tilt_deg.to_radians(), azimuth, 0.2]);
        let mut holes = Vec::new();
        for number in 0..20 {
            let (column, row) = (f64::from(number % 5), f64::from(number / 5));
            let centre =
                [column.mul_add(22.0, -44.0), row.mul_add(20.0, -30.0)].map(|at| at + random.between(-2.0, 2.0));
            let diameter = [4.5, 6.6, 6.6, 9.0, 11.0][number as usize % 5];
            holes.push(RoundHole { centre, diameter });
        }
        let outline = vec![[-60.0, -45.0], [60.0, -45.0], [60.0, 45.0], [-60.0, 45.0]];
        let plate = Plate { outline, holes: holes.clone(), thickness: 3.0 };
        let mut bytes = render(&plate, &camera, size, &self.look, seed);
        let stripes: Vec<f64> = (0..size[0] + size[1]).map(|_| 1.0 + random.normal(self.brushed)).collect();
        for (pixel, rgb) in bytes.chunks_exact_mut(3).enumerate() {
            let (x, y) = (pixel % size[0] as usize, pixel / size[0] as usize);
            for code in rgb {
                *code = (f64::from(*code) * stripes[y + x / 7]).clamp(0.0, 255.0) as u8;
            }
        }
        (size, bytes, camera, holes)
    }
}

#[test]
#[expect(clippy::print_stdout, reason = "the figures are the point of this check")]
fn our_own_photos_offer_their_holes() {
    const PHOTOS: u64 = 1;
    let dark = Look::default();
    let scenes = [
        ("dark holes in light metal", Scene { look: dark, tilt_deg: 3.0, brushed: 0.0 }),
        (
            "light holes in a dark plate",
            Scene { look: Look { metal: 0.1, bench: 0.6, wall: 0.4, ..dark }, tilt_deg: 12.0, brushed: 0.0 },
        ),
        ("faint", Scene { look: Look { metal: 0.30, bench: 0.22, wall: 0.2, ..dark }, tilt_deg: 6.0, brushed: 0.0 }),
        ("brushed", Scene { look: dark, tilt_deg: 8.0, brushed: 0.04 }),
        ("blurred", Scene { look: Look { blur_px: 2.0, noise: 0.01, ..dark }, tilt_deg: 10.0, brushed: 0.0 }),
    ];
    for (name, scene) in scenes {
        let mut tally = Tally::default();
        for seed in 1..=PHOTOS {
            let (size, bytes, camera, holes) = scene.photo(seed);
            let picture = Picture::from_srgb(size, &bytes).expect("the renderer makes whole pictures");
            let map = map_of(&camera);
            let seen = |hole: &RoundHole| {
                let on = |i: u32| {
                    PlatePoint::from(hole.centre) + PlateVec::from_angle(f64::from(i) * 0.1) * (0.5 * hole.diameter)
                };
                let round: Vec<_> = (0..63).filter_map(|i| map.photo_from_plate(on(i))).collect();
                (Seen::of(&round), 0.5 * hole.diameter)
            };
            let truth: Vec<(Seen, f64)> = holes.iter().map(seen).collect();
            let accepted = 1 + seed as usize;
            let RoundHole { centre, diameter } = holes[accepted];
            let start = RimStart { centre: PlatePoint::from(centre), radius_mm: 0.505 * diameter, reach_px: 8.0 };
            let offers = find_rims(&picture, &map, &start, &[], &mut |_| true).expect("nobody stops it");
            tally.count(&map, &offers, accepted, &truth);
        }
        println!("{name}: {tally:?}");
        assert!(tally.offered * 20 >= tally.others * 19 && tally.most_false <= 1, "{name}: {tally:?}");
    }
}
