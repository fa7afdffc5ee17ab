//! Small jobs and results made by hand, for the tests of the panels.

use crate::files::LoadedPhoto;
use crate::session::{Document, Session};
use platewright_core::advice::PhotoFile;
use platewright_core::check::{Check, Verdict};
use platewright_core::job::{
    Contour, Group, Held, Hole, Id, Job, LensBeliefs, Measure, MeasureKind, Node, Photo, Role,
};
use platewright_core::solution::{BoltUp, BoltUpHole, FitSummary, MeasureFit, MeasureVerdict, Solution};
use platewright_core::space::PhotoPoint;
use std::path::PathBuf;
use std::sync::Arc;

pub(crate) const WIDTH: u32 = 400;
pub(crate) const HEIGHT: u32 = 300;

fn empty_job() -> Job {
    let photo = Photo {
        file: "plate.png".to_owned(),
        sha256: "0".repeat(64),
        size: [WIDTH, HEIGHT],
        held: Held::ByEye,
        focal_px: None,
        lens: LensBeliefs::default(),
    };
    Job { title: "Milk valve flange".to_owned(), ..Job::new(photo) }
}

fn hole(number: usize, x: f64, y: f64, picks: usize) -> Hole {
    let rim = (0..picks).map(|pick| {
        let angle = std::f64::consts::TAU * pick as f64 / picks.max(3) as f64 + 0.2;
        PhotoPoint::new(x + 20.0 * angle.cos(), y + 20.0 * angle.sin())
    });
    Hole {
        id: Id(format!("h{number}")),
        name: format!("H{number}"),
        rim: rim.collect(),
        sigma_px: None,
        measure_rim: false,
        group: None,
        edge_break: false,
        keep: true,
    }
}

/// One hole with so many picks.
pub(crate) fn job_with_picks(picks: usize) -> Job {
    Job { holes: vec![hole(1, 200.0, 150.0, picks)], ..empty_job() }
}

fn measure(number: usize, from: &str, to: &str, mm: f64) -> Measure {
    Measure {
        id: Id(format!("m{number}")),
        kind: MeasureKind::FarRims,
        between: vec![Id::from(from), Id::from(to)],
        mm,
        sigma_mm: 0.05,
        in_use: true,
    }
}

/// Four holes and no measure.
pub(crate) fn holes_only() -> Job {
    let places = [(80.0, 70.0), (320.0, 75.0), (310.0, 230.0), (90.0, 225.0)];
    let holes = places.iter().enumerate().map(|(index, (x, y))| hole(index + 1, *x, *y, 4)).collect();
    Job { holes, ..empty_job() }
}

/// Four holes and two measures: 4 px per mm, to within the pixels.
pub(crate) fn plate() -> Job {
    Job { measures: vec![measure(1, "h1", "h2", 70.01), measure(2, "h1", "h3", 80.04)], ..holes_only() }
}

/// The same with an outline.
pub(crate) fn plate_with_outline(closed: bool) -> Job {
    let corners = [(30.0, 30.0), (370.0, 30.0), (370.0, 270.0), (30.0, 270.0)];
    let nodes = corners.map(|(x, y)| Node::corner(PhotoPoint::new(x, y))).to_vec();
    let contour = Contour { closed, nodes, ..Contour::new(Id::from("c1"), Role::Outer) };
    Job { contours: vec![contour], ..plate() }
}

/// The same with every length between two of its holes measured, so that each is checked by the others.
pub(crate) fn checked(mut job: Job) -> Job {
    job.measures.extend([
        measure(3, "h2", "h4", 78.65),
        measure(4, "h2", "h3", 48.83),
        measure(5, "h1", "h4", 48.83),
        measure(6, "h3", "h4", 65.01),
    ]);
    job
}

/// A session with `job` open over a grey photo, its results not yet computed.
pub(crate) fn session(job: Job) -> Session {
    let image = image::RgbImage::from_pixel(WIDTH, HEIGHT, image::Rgb([120, 120, 120]));
    let photo = LoadedPhoto {
        path: PathBuf::from("/jobs/plate.png"),
        image: Arc::new(image),
        exif_focal_px: Some(420.0),
        sha256: "0".repeat(64),
        file: PhotoFile::default(),
    };
    let document = Document::new(job, Some(PathBuf::from("/jobs/plate.plate.json")), Arc::new(photo));
    Session { document: Some(document), ..Session::default() }
}

/// Puts `solution` in place of what would be computed.
pub(crate) fn give_results(session: &mut Session, solution: Solution) {
    session.results.solution = Arc::new(solution);
    session.results.revision = session.document.as_ref().map(|document| document.history.revision());
}

fn fit_of(number: usize, off_mm: f64, w: f64, verdict: MeasureVerdict) -> MeasureFit {
    let measured_mm = [70.01, 80.04][number - 1];
    MeasureFit {
        id: Id(format!("m{number}")),
        measured_mm,
        fitted_mm: measured_mm - off_mm,
        sigma_mm: 0.05,
        redundancy: 0.5,
        w: Some(w),
        noticed_mm: Some(0.3),
        noticed_effect: None,
        by_others_mm: Some(measured_mm - off_mm),
        slip: None,
        verdict,
    }
}

/// Results in which both measures of [`plate`] agree and the scale is known.
pub(crate) fn agreeing() -> Solution {
    Solution {
        measures: vec![fit_of(1, 0.01, 0.3, MeasureVerdict::Agrees), fit_of(2, -0.01, -0.3, MeasureVerdict::Agrees)],
        fit: FitSummary {
            scale_sigma: Some(0.001),
            worst_sigma_mm: Some(0.1),
            worst_hole: Some(Id::from("h3")),
            ..FitSummary::default()
        },
        ..Solution::default()
    }
}

/// Results in which the second measure of [`plate`] disagrees.
pub(crate) fn disagreeing() -> Solution {
    let measures = vec![fit_of(1, 0.02, 0.5, MeasureVerdict::Agrees), fit_of(2, 0.98, 21.0, MeasureVerdict::Disagrees)];
    Solution { measures, ..agreeing() }
}

/// The odds at the first hole of [`plate`].
pub(crate) fn odds(odds: f64) -> BoltUp {
    let hole = BoltUpHole { id: Id::from("h1"), play_mm: 0.3, in_the_way: 1.0 };
    BoltUp { odds, standard_error: 0.0086, worst: Some(Id::from("h1")), holes: vec![hole], cutting_mm: 0.1 }
}

/// `job` with a fastener through its first hole.
pub(crate) fn with_fastener(mut job: Job, fastener: &str) -> Job {
    let group = Group { fastener: Some(fastener.to_owned()), ..Group::new(Id::from("g1")) };
    job.holes[0].group = Some(group.id.clone());
    job.groups.push(group);
    job
}

/// A check that found `verdict`.
pub(crate) fn check(verdict: Verdict) -> Check {
    Check {
        name: "Walls",
        verdict,
        text: "0.4 mm between H1 and H2; 1.0 mm is the least.".to_owned(),
        about: None,
        places: Vec::new(),
    }
}
