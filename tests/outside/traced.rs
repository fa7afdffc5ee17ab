//! The outline of the public cases as a whole: from rough nodes through the photo to a cut contour, against the true edge.

use platewright_core::edge::Picture;
use platewright_core::instrument::Instrument;
use platewright_core::seen::look_again;
use platewright_core::solution::{Groundwork, Inputs, solve, solve_photo};
use platewright_core::space::{PhotoPoint, PhotoVec};
use platewright_tests::{CASES, Case, shared_dir, skip, traced};

/// How far a place lies from a closed chain, px.
fn off_px(chain: &[PhotoPoint], place: PhotoPoint) -> f64 {
    let sides = chain.iter().zip(chain.iter().cycle().skip(1));
    let off = |(from, to): (&PhotoPoint, &PhotoPoint)| {
        let way = *to - *from;
        let share = ((place - *from).dot(way) / way.dot(way).max(1e-12)).clamp(0.0, 1.0);
        place.distance(from.lerp(*to, share))
    };
    sides.map(off).fold(f64::INFINITY, f64::min)
}

#[test]
#[expect(clippy::print_stdout, reason = "the figures are the point of this check")]
fn a_traced_outline_is_cut_on_its_edge() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    for name in CASES {
        let case = Case::read(&shared, name);
        let image = case.pixels();
        let picture = Picture::from_srgb([image.width(), image.height()], image.as_raw()).expect("a whole picture");
        let job = traced(&case);
        let inputs = Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None };
        let (seen, solution) = solve_photo(&inputs, &picture, &|| true).expect("nobody stops it");
        let map = solution.map.expect("the clicks and measures give a camera");
        let fit = &solution.contours[0];
        let measured = fit.measured.as_ref().expect("the outline follows the edge");
        let truth = &case.true_contours()[0];
        let places = fit.cut.sampled(0.02);
        let off: Vec<f64> = places
            .iter()
            .filter_map(|at| Some(off_px(truth, map.photo_from_plate(*at)?) / map.px_per_mm(*at)))
            .collect();
        let worst_mm = off.iter().copied().fold(0.0, f64::max);
        let rms_mm = (off.iter().map(|mm| mm * mm).sum::<f64>() / off.len() as f64).sqrt();
        println!(
            "{name}: {} nodes, {} places, {} lines and arcs, stated {:.3} mm (tolerance {:.3}, noise {:.3}), true edge \
             within {worst_mm:.3} mm, rms {rms_mm:.3} mm; {} unseen, {} suggestions, {} crossings",
            job.contours[0].nodes.len(),
            measured.places.len(),
            fit.cut.segments.len(),
            measured.worst_mm,
            measured.tolerance_mm,
            measured.noise_mm,
            measured.unseen.len(),
            measured.suggestions.len(),
            fit.crossings.len(),
        );
        let again = solve(&Inputs { seen: Some(&seen), ..inputs });
        assert_eq!(again.contours[0], *fit, "{name}: the same from the same");
        assert!(fit.cut.is_closed_exactly() && fit.cut.is_counter_clockwise(), "{name}: closed and oriented");
        assert!(fit.crossings.is_empty(), "{name}: {:?}", fit.crossings);
        // Coarse paper at a quarter of the pixels is rougher.
        let most_rms_mm = if name.starts_with("11") { 0.06 } else { 0.025 };
        assert!(rms_mm < most_rms_mm, "{name}: {rms_mm} mm rms");
        assert!(worst_mm < measured.worst_mm, "{name}: {worst_mm} mm off the true edge, and less is said");
    }
}

#[test]
fn a_node_in_hand_is_shown_with_the_digits_of_a_solve_from_nothing() {
    let Some(shared) = shared_dir() else { return skip("the photos with known truth are not beside the project") };
    let case = Case::read(&shared, "05_milk_valve_flange");
    let image = case.pixels();
    let picture = Picture::from_srgb([image.width(), image.height()], image.as_raw()).expect("a whole picture");
    let mut job = traced(&case);
    job.contours[0].nodes[6].pinned = true;
    job.contours[0].nodes[9].as_drawn = true;
    let inputs = Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None };
    let (mut seen, settled) = solve_photo(&inputs, &picture, &|| true).expect("nobody stops it");
    let map = settled.map.expect("the clicks and measures give a camera");
    let (mut in_hand, mut whole) = (Groundwork::default(), Groundwork::default());
    for step in [PhotoVec::new(1.5, -1.0), PhotoVec::new(-3.0, 0.5), PhotoVec::new(0.0, 2.0)] {
        job.contours[0].nodes[3].at = job.contours[0].nodes[3].at + step;
        seen = look_again(&job, &picture, &map, &seen);
        let inputs = Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: Some(&seen) };
        let shown = format!("{:?}", in_hand.solve_in_hand(&inputs));
        assert_eq!(shown, format!("{:?}", Groundwork::default().solve_in_hand(&inputs)), "in hand after {step:?}");
        let shown = format!("{:?}", whole.solve_again(&inputs, &|_| None));
        assert_eq!(shown, format!("{:?}", solve(&inputs)), "whole after {step:?}");
    }
    let inputs = Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None };
    let (seen, settled) = solve_photo(&inputs, &picture, &|| true).expect("nobody stops it");
    let let_go = whole.solve_again(&Inputs { seen: Some(&seen), ..inputs }, &|_| None);
    assert_eq!(format!("{let_go:?}"), format!("{settled:?}"), "let go it stands as it is measured from nothing");
}
