//! Rims and edges that the photo does not show well enough.

use super::{FOCAL, job};
use crate::edge::Picture;
use crate::instrument::Instrument;
use crate::job::{Id, Job, Photo};
use crate::seen::Seen;
use crate::solution::{FindingKind, Inputs, solve, solve_photo, unless_unseen};

#[test]
fn many_rims_that_cannot_be_measured_are_one_finding_that_is_about_all_of_them() {
    let job = job(6, Vec::new());
    let grey = vec![120; 400 * 300 * 3];
    let job = Job { photo: Photo { size: [400, 300], ..job.photo.clone() }, ..job };
    let picture = Picture::from_srgb(job.photo.size, &grey).unwrap();
    let inputs = Inputs { job: &job, exif_focal_px: Some(FOCAL), instrument: Instrument::CALIPER, seen: None };
    let (_, solution) = solve_photo(&inputs, &picture, &|| true).unwrap();
    let doubted: Vec<_> = solution.findings.iter().filter(|f| f.kind == FindingKind::DoubtedEdges).collect();
    let [only] = doubted.as_slice() else { panic!("one for all: {doubted:#?}") };
    let start = format!("H1, H2, H3 and {} more stand on their picks alone", job.holes.len() - 3);
    assert!(only.text.starts_with(&start), "{}", only.text);
    let about: Vec<&Id> = only.all_about().collect();
    assert_eq!(about, job.holes.iter().map(|hole| &hole.id).collect::<Vec<_>>(), "every one can be gone to");
}

#[test]
fn where_no_camera_sees_what_was_measured_that_is_said() {
    let job = job(4, Vec::new());
    let seen = Seen { no_camera: true, ..Seen::default() };
    let inputs = Inputs { job: &job, exif_focal_px: Some(FOCAL), instrument: Instrument::CALIPER, seen: Some(&seen) };
    let solution = solve(&inputs);
    let said = solution.findings.iter().filter(|f| f.text.starts_with("No camera sees all the edges"));
    assert_eq!(said.count(), 1, "{:#?}", solution.findings);
    let kept = unless_unseen(Seen::default(), true, true);
    assert_eq!(kept, Seen::default(), "what is seen is kept");
    assert!(unless_unseen(Seen::default(), true, false).no_camera, "the picks are seen, and the edges are not");
    assert!(!unless_unseen(Seen::default(), false, false).no_camera, "where nothing is seen, nothing is lost");
}
