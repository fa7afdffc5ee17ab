//! Misreadings: who is suspected, which slip is likely, what would tell, and what a misreading would do.

use super::*;
use crate::solution::SlipKind;

#[test]
fn a_whole_millimetre_is_asked_about() {
    let mut job = job(6, ten());
    job.measures[5].mm += 1.0;
    let solution = solved(&job);
    let fit = &solution.measures[5];
    let slip = fit.slip.expect("the others know it well enough");
    assert_eq!(slip.kind, SlipKind::WholeMillimetres, "{slip:?}");
    assert!((slip.meant_mm - measure(6, MeasureKind::NearRims, 1, 3).mm).abs() < 1e-9, "what was read: {slip:?}");
    let asked = format!("Nearly 1 mm: could it have read {:.2}? Measure it again, or leave it out.", slip.meant_mm);
    assert!(solution.findings[0].text.ends_with(&asked), "{}", solution.findings[0].text);
    assert!((fit.misread_mm() - 1.0).abs() < 0.1, "by the others it is {} mm long", fit.misread_mm());
    assert_eq!(solution.suspects.len(), 1, "one explains it all: {:?}", solution.suspects);
    assert_eq!(solution.suspects[0].ids, [Id::from("m6")], "that one");
    assert!(solution.suspect_rims.is_empty(), "no rim explains it: {:?}", solution.suspect_rims);
}

#[test]
fn the_wrong_rims_are_asked_about() {
    let mut measures = ten();
    measures[2].kind = MeasureKind::NearRims;
    let solution = solved(&job(6, measures));
    let slip = solution.measures[2].slip.expect("it fits another kind");
    assert_eq!(slip.kind, SlipKind::OtherRims(MeasureKind::FarRims), "{slip:?}");
    assert!(solution.findings[0].text.contains("It fits far rims: were the jaws there?"), "{:?}", solution.findings[0]);
}

#[test]
fn one_far_and_one_near_side_are_asked_about() {
    let mut measures = ten();
    // From the far side of H5 to the near side of H2.
    measures[9].mm -= 2.0 * HOLES[1].2;
    let solution = solved(&job(6, measures));
    assert_eq!(
        solution.measures[9].slip.map(|slip| slip.kind),
        Some(SlipKind::OneRimEach),
        "{:?}",
        solution.findings[0]
    );
}

#[test]
fn two_independent_misreadings_are_two_findings() {
    let mut job = job(6, ten());
    job.measures.extend([
        measure(11, MeasureKind::FarRims, 4, 3),
        measure(12, MeasureKind::NearRims, 4, 2),
        measure(13, MeasureKind::NearRims, 0, 1),
        measure(14, MeasureKind::NearRims, 2, 3),
    ]);
    job.measures[0].mm += 0.7;
    job.measures[2].mm -= 0.6;
    let solution = solved(&job);
    let mut named: Vec<&[Id]> = solution.suspects.iter().map(|suspects| suspects.ids.as_slice()).collect();
    named.sort();
    assert_eq!(named, [[Id::from("m1")].as_slice(), [Id::from("m3")].as_slice()], "each by itself");
    let said = |name: &str| solution.findings.iter().filter(|finding| finding.text.starts_with(name)).count();
    assert_eq!((said("M1 does not agree"), said("M3 does not agree")), (1, 1), "{:?}", solution.findings);
}

#[test]
fn two_that_explain_it_equally_are_told_apart_by_a_third() {
    let mut measures = vec![measure(1, MeasureKind::FarRims, 0, 1), measure(2, MeasureKind::FarRims, 0, 1)];
    measures[1].mm += 2.0;
    let mut job = job(6, measures);
    let solution = solved(&job);
    let suspects = &solution.suspects[0];
    assert_eq!(suspects.ids.len(), 2, "both: {suspects:?}");
    let next = suspects.tell_apart.clone().expect("a further measure tells");
    let number = |id: &Id| id.0[1..].parse::<usize>().unwrap() - 1;
    let between: Vec<usize> = next.between.iter().map(number).collect();
    job.measures.push(measure(3, next.kind, between[0], *between.last().unwrap()));
    let solution = solved(&job);
    assert_eq!(
        solution.suspects[0].ids,
        [Id::from("m2")],
        "after it the misread one is named: {:?}",
        solution.suspects
    );
}

#[test]
fn what_would_slip_through_is_said_for_every_measure() {
    let solution = solved(&job(6, ten()));
    for fit in &solution.measures {
        let Some(noticed) = fit.noticed_mm else { continue };
        let effect = fit.noticed_effect.as_ref().expect("with the hole that it moves most");
        assert!(effect.mm > 0.0 && effect.mm < noticed, "{}: {noticed} mm moves {effect:?}", fit.id);
        let others = fit.by_others_mm.expect("the others say what it is");
        assert!((fit.misread_mm() - fit.off_mm() / fit.redundancy).abs() < 1e-6, "{}: {others}", fit.id);
    }
    assert!(solution.measures.iter().any(|fit| fit.noticed_mm.is_some()), "some are checked");
}

#[test]
fn the_face_is_known_best_among_the_holes() {
    let solution = solved(&job(6, ten()));
    let face = solution.face.expect("with a camera");
    let at = |x: f64, y: f64| face.plus_minus_mm(PlatePoint::new(x, y)).unwrap();
    let (middle, outside) = (at(60.0, 40.0), at(260.0, 240.0));
    assert!(middle < 0.5 && outside > 1.5 * middle, "±{middle} mm inside, ±{outside} mm far outside");
}

#[test]
fn inches_typed_as_mm_are_set_aside_wherever_they_are() {
    for (a, b) in [(0, 5), (1, 5), (2, 3), (0, 1), (4, 5)] {
        for kind in [MeasureKind::NearRims, MeasureKind::FarRims] {
            let mut measures = ten();
            let right = measure(11, kind, a, b);
            if measures.iter().any(|other| other.kind == kind && other.between == right.between) {
                continue;
            }
            measures.push(Measure { mm: (right.mm / 25.4 * 1000.0).round() / 1000.0, ..right });
            let solution = solved(&job(6, measures));
            let name = format!("H{} to H{}, {}", a + 1, b + 1, kind.words());
            assert!(solution.findings[0].text.starts_with("M11 "), "{name}: {:#?}", solution.findings);
            let slip = solution.measures[10].slip.map(|slip| slip.kind);
            assert_eq!(slip, Some(SlipKind::InchesForMm), "{name}: {:?}", solution.findings[0]);
        }
    }
}

#[test]
fn what_nothing_checks_is_checked_by_the_measure_that_is_named() {
    let mut job = job(6, ten());
    let at = |y: f64| camera().photo_from_plate(PlatePoint::new(-80.0, y)).unwrap();
    // An edge that was picked badly: only a measure to it says where it is.
    job.edges = vec![StraightEdge {
        id: "e1".into(),
        name: "E1".to_owned(),
        along: vec![at(-50.0), at(0.0), at(50.0)],
        sigma_px: Some(20.0),
        measure_edge: true,
    }];
    let to_edge = |id: &str, hole: usize| Measure {
        id: id.into(),
        kind: MeasureKind::RimToEdge,
        between: vec![Id(format!("h{}", hole + 1)), "e1".into()],
        mm: HOLES[hole].0 + 80.0 - HOLES[hole].2,
        sigma_mm: 0.05,
        in_use: true,
    };
    job.measures.push(to_edge("m11", 0));
    let solution = solved(&job);
    assert_eq!(solution.measures[10].verdict, MeasureVerdict::Unchecked, "{:?}", solution.measures[10]);
    let told = solution.findings.iter().find(|finding| finding.text.starts_with("Nothing checks "));
    let told = told.unwrap_or_else(|| panic!("{:#?}", solution.findings));
    let named = told.text.split("Measure ").last().unwrap().trim_end_matches('.');
    let number =
        named.split(|c: char| !c.is_ascii_alphanumeric()).find_map(|word| word.strip_prefix('H')?.parse().ok());
    let hole: usize = number.unwrap_or_else(|| panic!("a hole is named: {}", told.text));
    assert!(named.contains("E1"), "only one to the edge would: {}", told.text);
    job.measures.push(to_edge("m12", hole - 1));
    let after = solved(&job).measures[10].redundancy;
    assert!(after > 0.1, "and it does: {after}");
}

#[test]
fn a_focal_length_far_from_the_photo_s_own_is_doubted() {
    let mut job = job(6, ten());
    let doubted =
        |job: &Job| solved(job).findings.iter().any(|f| f.text.starts_with("The focal length is said to be "));
    assert!(!doubted(&job), "nothing is said of it");
    job.photo.focal_px = Some(crate::job::Belief { value: 4000.0, sigma: 60.0 });
    assert!(!doubted(&job), "it is as the photo says, within 4 %");
    job.photo.focal_px = Some(crate::job::Belief { value: 100.0, sigma: 4.0 });
    assert!(doubted(&job), "it is not");
}

#[test]
fn a_rim_on_another_edge_is_named_beside_the_measures_that_it_lets_down() {
    let mut job = job(6, ten());
    assert!(solved(&job).suspect_rims.is_empty(), "all is well");
    for pick in &mut job.holes[4].rim {
        *pick = *pick + PhotoVec::new(12.0, 9.0);
    }
    let solution = solved(&job);
    assert_eq!(solution.suspect_rims, [job.holes[4].id.clone()], "{:#?}", solution.findings);
    let told = "Or look at the rim of H5: that would explain it as well.";
    assert!(solution.findings[0].text.ends_with(told), "{}", solution.findings[0].text);
}
