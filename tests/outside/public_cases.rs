//! The public cases (rendered photos with exact truth), from clicks and caliper values alone.

use platewright_core::edge::{Offer, Picture, RimStart, find_rims};
use platewright_core::fit::geometric;
use platewright_core::instrument::Instrument;
use platewright_core::job::{Id, Job};
use platewright_core::solution::{Inputs, MeasureFit, MeasureVerdict, solve, solve_photo};
use platewright_core::space::PhotoPoint;
use platewright_tests::accuracy::{self, Holes, Row};
use platewright_tests::{CASES, Case, shared_dir, skip};

#[test]
fn clicks_and_caliper_come_near_what_the_true_camera_gives() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    let (mut covered, mut holes) = (0, 0);
    for name in CASES {
        let row = accuracy::row(&Case::read(&shared, name));
        let allowed = 1.25 * row.true_camera_mm + 0.15;
        assert!(row.clicks.centre_mm <= allowed, "{name}: {:.3} mm, {allowed:.3} allowed", row.clicks.centre_mm);
        if row.one_length_mm > 1.0 {
            assert!(
                row.clicks.centre_mm * 2.0 <= row.one_length_mm,
                "{name}: {:.3} mm is not half of one length",
                row.clicks.centre_mm
            );
        }
        covered += row.clicks.covered;
        holes += row.holes;
    }
    assert!(covered * 10 >= holes * 9, "the stated 95 % covers {covered} of {holes} holes");
}

/// The figures that are promised for measured rims, mm: of centres, of diameters of seen rims.
const PROMISED: [[f64; 2]; 5] = [[0.10, 0.06], [0.15, 0.06], [0.10, 0.06], [0.15, 0.10], [0.20, 0.06]];

#[test]
fn measured_rims_keep_what_is_promised() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    let (mut covered, mut diameters, mut holes) = (0, 0, 0);
    for (name, [centre_mm, diameter_mm]) in CASES.into_iter().zip(PROMISED) {
        let Row { rims, clicks, holes: all, .. } = accuracy::row(&Case::read(&shared, name));
        assert!(rims.centre_mm <= centre_mm, "{name}: {:.3} mm, {centre_mm} promised", rims.centre_mm);
        assert!(rims.diameter_mm <= diameter_mm, "{name}: Ø off by {:.3} mm, {diameter_mm} promised", rims.diameter_mm);
        assert!(rims.stated_mm < clicks.stated_mm, "{name}: measured rims know more than clicks");
        covered += rims.covered;
        diameters += rims.diameters_covered;
        holes += all;
    }
    assert!(covered * 10 >= holes * 9, "the stated 95 % covers {covered} of {holes} holes");
    assert!(diameters * 10 >= holes * 9, "and {diameters} of {holes} bores");
}

#[test]
fn a_broken_edge_that_nobody_spoke_of_is_seen_and_no_other() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in CASES {
        let case = Case::read(&shared, name);
        let mut job = case.job();
        let broken: Vec<Id> = job.holes.iter().filter(|hole| hole.edge_break).map(|hole| hole.id.clone()).collect();
        for hole in &mut job.holes {
            hole.edge_break = false;
        }
        let photo = case.pixels();
        let picture = Picture::from_srgb([photo.width(), photo.height()], photo.as_raw()).expect("a whole picture");
        let inputs = Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None };
        let (_, solution) = solve_photo(&inputs, &picture, &|| true).expect("nobody stops it");
        assert_eq!(solution.unsaid_breaks, broken, "{name}");
        let says_so = solution.findings.iter().any(|finding| finding.text.contains("look broken: "));
        assert_eq!(says_so, !broken.is_empty(), "{name}: and it is said");
    }
}

/// The holes of a case as the program itself finds them from one that was clicked, with the case's own names.
fn found_from(case: &Case, first: usize, picture: &Picture<'_>) -> Job {
    let whole = case.job();
    let clicked = &whole.holes[first];
    let alone = Job { holes: vec![clicked.clone()], points: Vec::new(), measures: Vec::new(), ..whole.clone() };
    let inputs = Inputs { job: &alone, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None };
    let (_, solution) = solve_photo(&inputs, picture, &|| true).expect("nobody stops it");
    let map = solution.map.expect("one hole makes a camera");
    let start = RimStart::from_picks(&map, &clicked.rim, 2.0).expect("three clicks make a circle");
    let offers = find_rims(picture, &map, &start, &[], &mut |_| true).expect("nobody stops it");
    let middle = |picks: &[PhotoPoint]| PhotoPoint::from(geometric(picks).expect("three places").circle.centre);
    let mut job = whole.clone();
    for hole in job.holes.iter_mut().filter(|hole| hole.id != clicked.id) {
        let rim = case.true_rim(&hole.id);
        let near = |offer: &&Offer| middle(&offer.picks).distance(middle(&rim)) < 5.0;
        if let Some(offer) = offers.iter().find(near) {
            hole.rim = offer.picks.to_vec();
            hole.sigma_px = Some(1.5);
        }
    }
    job
}

#[test]
fn rims_that_were_found_are_measured_as_well_as_those_that_were_clicked() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for (name, [centre_mm, diameter_mm]) in CASES.into_iter().zip(PROMISED) {
        let case = Case::read(&shared, name);
        let photo = case.pixels();
        let picture = Picture::from_srgb([photo.width(), photo.height()], photo.as_raw()).expect("a whole picture");
        for first in [0, 3] {
            let job = found_from(&case, first, &picture);
            let Holes { centre_mm: centre, diameter_mm: diameter, covered, .. } =
                accuracy::with_rims(&case, &job, &picture);
            if name.starts_with("11") {
                // What stands on picks there stands on those of the search, which knows ragged rims no better than a hand.
                assert!(covered + 1 >= job.holes.len(), "{name} from hole {first}: the ± covers {covered} holes");
                continue;
            }
            assert!(centre <= centre_mm, "{name} from hole {first}: {centre:.3} mm, {centre_mm} promised");
            assert!(diameter <= diameter_mm, "{name} from {first}: Ø off by {diameter:.3} mm, {diameter_mm} promised");
        }
    }
}

/// The baselines themselves are those that the photos' page gives, so that the comparison above means something.
#[test]
fn the_baselines_are_those_of_the_photos_page() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    let true_camera = [0.20, 0.31, 0.12, 0.43, 0.26];
    for (name, published) in CASES.into_iter().zip(true_camera) {
        let row = accuracy::row(&Case::read(&shared, name));
        assert!(
            (row.true_camera_mm - published).abs() < 0.011,
            "{name}: {:.3} against {published}",
            row.true_camera_mm
        );
    }
}

#[test]
fn with_one_measure_the_program_says_that_it_does_not_know() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    let mut job = Case::read(&shared, "02_baler_inspection_plate").job();
    job.measures.truncate(1);
    let solution = solve(&Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None });
    let worst = solution.fit.worst_sigma_mm.map(|sigma| sigma * platewright_core::tolerance::K95_PLACE);
    assert!(worst.is_some_and(|worst| worst > 1.0), "one measure and a hand-held photo: ±{worst:?} mm");
    assert!(!solution.findings.is_empty(), "and it says so");
}

#[test]
fn the_planted_misreading_is_named_and_nothing_else_is() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    let accused = |job: &Job| -> Vec<Id> {
        let solution = solve(&Inputs { job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None });
        let disagrees = |measure: &&MeasureFit| measure.verdict == MeasureVerdict::Disagrees;
        solution.measures.iter().filter(disagrees).map(|measure| measure.id.clone()).collect()
    };
    let mut planted = Vec::new();
    for name in CASES {
        let case = Case::read(&shared, name);
        assert_eq!(accused(&case.job()), [], "{name}: nothing is wrong");
        if let Some((job, misread)) = case.job_with_misreading() {
            assert_eq!(accused(&job), [misread], "{name}: one reading is wrong");
            planted.push(name);
        }
    }
    assert_eq!(planted, ["11_irrigation_paper_gasket"], "as the photos' page says");
}
