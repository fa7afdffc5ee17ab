//! Parts to work on: a plate on a photo in which there is something to be found.

use crate::files::LoadedPhoto;
use crate::session::{Document, Operation, Session};
use platewright_core::advice::PhotoFile;
use platewright_core::job::{Held, Hole, Id, Job, LensBeliefs, Measure, MeasureKind, Photo};
use platewright_core::space::{PhotoPoint, PhotoVec};
use std::path::PathBuf;
use std::sync::Arc;

pub(super) const SIZE: [u32; 2] = [480, 360];
/// Middles of the holes, px, and their radius.
pub(super) const HOLES: [(f64, f64); 4] = [(100.0, 90.0), (380.0, 90.0), (380.0, 270.0), (100.0, 270.0)];
pub(super) const RADIUS: f64 = 22.0;
/// A place on the face beside the holes.
pub(super) const FACE: PhotoPoint = PhotoPoint::new(240.0, 180.0);
/// Corners of the plate.
const CORNERS: [(f64, f64); 2] = [(48.0, 42.0), (432.0, 318.0)];

/// A light plate with four round holes on a dark ground, its edges spread over three pixels.
fn photo() -> image::RgbImage {
    image::RgbImage::from_fn(SIZE[0], SIZE[1], |x, y| {
        let (x, y) = (f64::from(x), f64::from(y));
        let [from, to] = CORNERS;
        let inside = (x - from.0).min(to.0 - x).min(y - from.1).min(to.1 - y);
        let beside = HOLES.map(|(cx, cy)| (x - cx).hypot(y - cy) - RADIUS).into_iter().fold(f64::INFINITY, f64::min);
        // Light, then its code value: a power of 2.2 is near enough to the curve.
        let light = 0.03 + 0.55 * (0.5 + 0.5 * (inside.min(beside) / 1.5).clamp(-1.0, 1.0));
        image::Rgb([(255.0 * light.powf(1.0 / 2.2)).round() as u8; 3])
    })
}

fn hole(index: usize) -> Hole {
    let (x, y) = HOLES[index];
    let pick = |turn: f64| PhotoPoint::new(x, y) + PhotoVec::from_angle(std::f64::consts::TAU * turn) * RADIUS;
    Hole {
        id: Id(format!("h{}", index + 1)),
        name: format!("H{}", index + 1),
        rim: vec![pick(0.05), pick(0.38), pick(0.71)],
        sigma_px: Some(0.7),
        measure_rim: true,
        group: None,
        edge_break: false,
        keep: true,
    }
}

/// The plate with its first holes, at `operation`; nothing is measured as yet.
pub(super) fn plate(holes: usize, operation: Operation) -> Session {
    let photo_of_job = Photo {
        file: "plate.png".to_owned(),
        sha256: "0".repeat(64),
        size: SIZE,
        held: Held::ByEye,
        focal_px: None,
        lens: LensBeliefs::default(),
    };
    let job = Job { holes: (0..holes).map(hole).collect(), ..Job::new(photo_of_job) };
    let loaded = LoadedPhoto {
        path: PathBuf::from("/jobs/plate.png"),
        image: Arc::new(photo()),
        exif_focal_px: Some(500.0),
        sha256: "0".repeat(64),
        file: PhotoFile::default(),
    };
    let document = Document::new(job, Some(PathBuf::from("/jobs/plate.plate.json")), Arc::new(loaded));
    let mut session = Session { document: Some(document), ..Session::default() };
    session.screen.operation = operation;
    session
}

/// The length of the plate's upper row of holes: 4 px are a mm.
pub(super) fn length() -> Measure {
    Measure {
        id: Id::from("m1"),
        kind: MeasureKind::Centres,
        between: vec![Id::from("h1"), Id::from("h2")],
        mm: 70.0,
        sigma_mm: 0.05,
        in_use: true,
    }
}
