//! From each accepted hole the others of the photo, on the public cases.

use image::{DynamicImage, ImageDecoder, ImageReader, RgbImage};
use platewright_core::camera::PlateMap;
use platewright_core::edge::{Offer, Picture, RimStart, find_rims};
use platewright_core::fit;
use platewright_core::instrument::Instrument;
use platewright_core::job::Job;
use platewright_core::solution::{Inputs, solve};
use platewright_core::space::PhotoPoint;
use platewright_tests::{CASES, Case, shared_dir, skip};
use std::path::Path;

/// The photo as it stands upright.
fn upright(photo: &Path) -> RgbImage {
    let mut decoder = ImageReader::open(photo).expect("the case has its photo").into_decoder().expect("it is a JPEG");
    let orientation = decoder.orientation().expect("its EXIF is readable");
    let mut image = DynamicImage::from_decoder(decoder).expect("it decodes");
    image.apply_orientation(orientation);
    image.to_rgb8()
}

fn map_of_job(job: &Job) -> PlateMap {
    let solution = solve(&Inputs { job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None });
    solution.map.expect("clicks make a camera")
}

/// Centre and radius of a rim in the photo, px.
fn circle(rim: &[PhotoPoint]) -> (PhotoPoint, f64) {
    let circle = fit::geometric(rim).expect("a rim is round").circle;
    (PhotoPoint::from(circle.centre), circle.radius)
}

#[test]
fn scratch() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in CASES.into_iter().filter(|name| {
        std::env::var("ONLY").is_ok_and(|only| name.starts_with(&only)) || std::env::var("ONLY").is_err()
    }) {
        let case = Case::read(&shared, name);
        let image = upright(&case.photo);
        let picture = Picture::from_srgb([image.width(), image.height()], image.as_raw()).expect("a whole picture");
        let whole = case.job();
        let truth: Vec<_> = whole.holes.iter().map(|hole| circle(&case.true_rim(&hole.id))).collect();
        for poor in [false, true] {
            let (mut found, mut all, mut false_offers) = (0, 0, 0);
            for accepted in (0..whole.holes.len()).step_by(std::env::var("STEP").map_or(1, |s| s.parse().unwrap())) {
                let job = if poor {
                    Job {
                        holes: vec![whole.holes[accepted].clone()],
                        points: vec![],
                        measures: vec![],
                        ..whole.clone()
                    }
                } else {
                    whole.clone()
                };
                let map = map_of_job(&job);
                let start = RimStart::from_picks(&map, &whole.holes[accepted].rim, 2.0).expect("picks");
                let t = std::time::Instant::now();
                let offers: Vec<Offer> = find_rims(&picture, &map, &start, &[], &mut |_| true).expect("not stopped");
                let took = t.elapsed();
                let circles: Vec<_> = offers
                    .iter()
                    .map(|o| circle(&o.measurement.points.iter().map(|p| p.at).collect::<Vec<_>>()))
                    .collect();
                let near = |a: &(PhotoPoint, f64), b: &(PhotoPoint, f64)| {
                    a.0.distance(b.0) < 2.0 + 0.01 * b.1 && (a.1 / b.1 - 1.0).abs() < 0.05
                };
                let mut miss = vec![];
                for (i, t) in truth.iter().enumerate() {
                    if i == accepted {
                        continue;
                    }
                    all += 1;
                    if circles.iter().any(|c| near(c, t)) { found += 1 } else { miss.push(whole.holes[i].id.0.clone()) }
                }
                let wrong: Vec<_> = circles
                    .iter()
                    .zip(&offers)
                    .filter(|(c, _)| !truth.iter().any(|t| near(c, t)))
                    .map(|(c, o)| (c.0.x.round(), c.0.y.round(), c.1.round(), o.measurement.verdict))
                    .collect();
                false_offers += wrong.len();
                let like: Vec<_> = offers
                    .iter()
                    .map(|o| format!("{:?} {:.1}", o.size, o.measurement.radius_mm / start.radius_mm))
                    .collect();
                println!(
                    "{name} poor {poor} from {} {took:?}: miss {miss:?} wrong {wrong:?} {}",
                    whole.holes[accepted].id.0,
                    like.len()
                );
            }
            println!("=== {name} poor {poor}: {found} of {all}, false {false_offers}");
        }
    }
}
