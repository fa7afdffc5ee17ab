//! How far the figures can be trusted: the size, the photo, the room of the fasteners, the odds.

use super::tests::{check, redrawn};
use super::*;
use crate::camera::{Lens, PlateMap, Pose};
use crate::job::{Group, MeasureKind};
use crate::solution::{BoltUp, CameraFit, MeasureFit, MeasureVerdict, NextMeasure};
use crate::space::PhotoPoint;

fn next(kind: MeasureKind, between: &[&str]) -> NextMeasure {
    NextMeasure {
        kind,
        between: between.iter().map(|id| Id::from(*id)).collect(),
        expected_mm: 40.0,
        worst_sigma_before_mm: 0.1,
        worst_sigma_after_mm: 0.05,
    }
}

#[test]
fn a_size_that_nothing_checks_is_not_cut() {
    let name = "Size checked";
    check(name, |_, _| {}, Verdict::Pass, "Of 2 measures that carry the size, others check 2.", None);
    let alone = |_: &mut Job, solution: &mut Solution| {
        solution.measures.truncate(1);
        solution.measure_next = vec![next(MeasureKind::Diameter, &["h1"]), next(MeasureKind::Centres, &["h1", "h2"])];
    };
    let text = "The size rests on M1, and nothing checks it: if it is misread, the whole part is wrong by as much. Measure H1 \
                to H2.";
    check(name, alone, Verdict::Fail, text, Some("m1"));
    let loose = |_: &mut Job, solution: &mut Solution| {
        let loosely = |fit: &mut MeasureFit| {
            (fit.redundancy, fit.noticed_mm, fit.verdict) = (0.02, Some(1.46), MeasureVerdict::Unchecked);
        };
        solution.measures.iter_mut().for_each(loosely);
    };
    let text = "The size rests on M1 and M2, and nothing checks them: if one is misread, the whole part is wrong by as much. \
                Measure between two holes far apart.";
    check(name, loose, Verdict::Fail, text, Some("m1"));
    // A tight caliper on rims that were only clicked: less than a slip of the eye would be noticed.
    let tight = |job: &mut Job, solution: &mut Solution| {
        loose(job, solution);
        solution.measures[0].noticed_mm = Some(0.63);
    };
    let noticed = "A reading that carries the size would be noticed once it is 0.63 mm off.";
    check(name, tight, Verdict::Pass, noticed, None);
    // A diameter that a length checks says nothing of the length.
    let diameter = |_: &mut Job, solution: &mut Solution| {
        (solution.measures[0].redundancy, solution.measures[0].noticed_mm) = (0.004, Some(3.3));
        (solution.measures[1].fitted_mm, solution.measures[1].redundancy) = (6.6, 0.99);
    };
    let text = "The size rests on M1, and nothing checks it: if it is misread, the whole part is wrong by as much. Measure \
                between two holes far apart.";
    check(name, diameter, Verdict::Fail, text, Some("m1"));
    let left_out = |_: &mut Job, solution: &mut Solution| {
        solution.measures[0].redundancy = 0.004;
        solution.measures[1].verdict = MeasureVerdict::LeftOut;
    };
    check(name, left_out, Verdict::Fail, text, Some("m1"));
    check(name, |_, s| s.fit.scale_sigma = None, Verdict::CannotTell, "It waits for the size of the part.", None);
    check(name, |_, s| s.measures.clear(), Verdict::CannotTell, "Nothing is measured yet.", None);
}

#[test]
fn a_size_that_was_hardly_meant_is_asked_about() {
    let name = "Size meant";
    check(name, |_, _| {}, Verdict::Pass, "The part is 60.0 x 40.0 mm.", None);
    let scaled = |by: f64| {
        redrawn(move |job| {
            for node in job.contours.iter_mut().flat_map(|contour| &mut contour.nodes) {
                node.at = PhotoPoint::new(node.at.x * by, node.at.y * by);
            }
            job.added.clear();
        })
    };
    let text = "The part is 3600.0 x 2400.0 mm, more than 3 m. Is that meant? Look at the units of the measures.";
    check(name, scaled(60.0), Verdict::Warn, text, None);
    let tiny = |job: &mut Job, solution: &mut Solution| {
        scaled(0.05)(job, solution);
        solution.holes.clear();
    };
    let text = "The part is 3.0 x 2.0 mm, less than 5 mm. Is that meant? Look at the units of the measures.";
    check(name, tiny, Verdict::Warn, text, None);
    check(name, |_, s| s.fit.scale_sigma = Some(0.2), Verdict::CannotTell, "It waits for the size of the part.", None);
}

/// A camera of so many px focal length, so far off, tilted.
pub(super) fn camera(focal_px: f64, distance_mm: f64, tilt_deg: f64) -> impl FnOnce(&mut Job, &mut Solution) {
    let principal_px = PhotoPoint::new(2000.0, 1500.0);
    let pose = Pose { distance_mm, tilt_a_rad: tilt_deg.to_radians(), tilt_b_rad: 0.0 };
    let none = (0.0, 0.0);
    let camera = CameraFit {
        focal_px: (focal_px, 10.0),
        tilt_deg: (tilt_deg, 0.2),
        distance_mm: (distance_mm, 1.0),
        principal_px,
        principal_sigma_px: [1.0, 1.0],
        k1: none,
        k2: none,
        p1: none,
        p2: none,
        px_per_mm: focal_px / distance_mm,
    };
    move |_, solution| {
        solution.map = Some(PlateMap::new(Lens::pinhole(focal_px, principal_px), pose));
        solution.camera = Some(camera);
    }
}

#[test]
fn a_photo_from_a_bad_place_is_told_with_what_it_costs() {
    let name = "Photo";
    check(name, |_, _| {}, Verdict::CannotTell, "The camera is not known yet.", None);
    let pass = "Tilted by 0°, from 300 mm away, 10.0 px to the mm.";
    check(name, camera(3000.0, 300.0, 0.0), Verdict::Pass, pass, None);
    // The corner of the part farthest from the axis, at (60, 40), is 72.11 mm off: 0.5 mm times 72.11 over 80.
    let text = "The camera stood 80 mm off a part of 60 mm. A rim 0.5 mm above or below the face is seen up to 0.45 mm aside. \
                Take the photo again from four lengths of the part away.";
    check(name, camera(3000.0, 80.0, 0.0), Verdict::Warn, text, None);
    let text = "The photo has 4.0 px to the mm of the part: a pick that is a pixel off is 0.25 mm off. Take it again with the \
                part larger in the picture, or measure more by hand.";
    check(name, camera(1200.0, 300.0, 0.0), Verdict::Warn, text, None);
    let tilted = {
        let mut job = super::tests::job();
        let mut solution = super::tests::solved(&job);
        camera(3000.0, 300.0, 25.0)(&mut job, &mut solution);
        all(&job, &solution).into_iter().find(|check| check.name == name).unwrap()
    };
    assert_eq!(tilted.verdict, Verdict::Warn);
    assert!(tilted.text.starts_with("The camera was tilted by 25°. A rim 0.5 mm above or below"), "{}", tilted.text);
    assert_eq!(tilted.places.len(), 1, "at the corner that is seen most from the side");
}

/// H1 is for this fastener, and cut to 6.6 mm.
fn fastened(fastener: &'static str) -> impl Fn(&mut Job, &mut Solution) {
    move |job, _| {
        let (fastener, finished_mm) = (Some(fastener.to_owned()), Some(6.6));
        job.groups = vec![Group { fastener, finished_mm, ..Group::new("studs".into()) }];
    }
}

#[test]
fn a_fastener_has_more_room_than_its_hole_may_be_off() {
    let name = "Room for error";
    let unsaid = "No fastener is said, so nothing says how much a hole may be off.";
    check(name, |_, _| {}, Verdict::CannotTell, unsaid, None);
    // H1 is good to 0.03 mm times 2.4477; M6 in 6.6 mm has 0.3 mm of room.
    check(name, fastened("M6"), Verdict::Pass, "1 fastener, each with more room than its hole may be off.", None);
    let loose = |job: &mut Job, solution: &mut Solution| {
        fastened("M6")(job, solution);
        solution.holes[0].ellipse.major_mm = 0.15;
        job.stock = serde_json::from_str(r#"{"cut_tolerance_mm": 0.1}"#).unwrap();
    };
    // 0.15 mm and the cutter's 0.1 over 1.9600 are 0.1584 mm in squares; that times 2.4477 is 0.388 mm.
    let text = "H1 is good to ±0.39 mm with the cutting, and its fastener has 0.30 mm of room. Measure more, or choose a wider \
                clearance.";
    check(name, loose, Verdict::Warn, text, Some("h1"));
    let text =
        "H1 is cut 1.40 mm smaller than M8, which does not go through. Give it a clearance, or say that it is tapped.";
    check(name, fastened("M8"), Verdict::Fail, text, Some("h1"));
    let tapped = |job: &mut Job, solution: &mut Solution| {
        fastened("M8")(job, solution);
        job.groups[0].tapped = true;
    };
    check(name, tapped, Verdict::CannotTell, unsaid, None);
    let unknown = |job: &mut Job, solution: &mut Solution| {
        fastened("M6")(job, solution);
        solution.fit.scale_sigma = None;
    };
    check(name, unknown, Verdict::CannotTell, "It waits for the size of the part.", None);
}

#[test]
fn low_odds_are_told_and_hopeless_ones_are_not_cut() {
    let name = "Bolt-up";
    let unsaid = "No fastener is said. Say which go through, and the odds follow.";
    check(name, |_, _| {}, Verdict::CannotTell, unsaid, None);
    let waits = "The odds wait for the size of the part, and for every fastener that is said to be found and known.";
    check(name, fastened("M6"), Verdict::CannotTell, waits, None);
    let odds = |odds: f64| {
        move |_: &mut Job, solution: &mut Solution| {
            let worst = Some(Id::from("h2"));
            solution.bolt_up = Some(BoltUp { odds, standard_error: 0.01, worst, holes: Vec::new(), cutting_mm: 0.1 });
            solution.measure_next = vec![next(MeasureKind::Centres, &["h1", "h2"])];
        }
    };
    check(name, odds(0.97), Verdict::Pass, "It bolts up 97 times in 100.", None);
    let text = |odds: &str| {
        format!(
            "It bolts up {odds}, and H2 is in the way most often. Measure H1 to H2, or choose a wider clearance there."
        )
    };
    check(name, odds(0.94), Verdict::Warn, &text("94 times in 100"), Some("h2"));
    check(name, odds(0.2), Verdict::Fail, &text("20 times in 100"), Some("h2"));
}
