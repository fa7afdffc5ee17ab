//! A trial fit says where the plate's holes were off.

use super::*;
use crate::job::{Outcome, Trial};
use crate::solution::TrialVerdict;

fn trial(number: usize, outcome: Outcome, offset: Option<(f64, f64)>) -> Trial {
    Trial {
        id: Id(format!("t{number}")),
        hole: Id(format!("h{number}")),
        round: 1,
        outcome,
        towards_deg: offset.map(|(towards, _)| towards),
        mm: offset.map(|(_, mm)| mm),
        at_mm: None,
    }
}

/// Four holes that went on with little play, one that touched: it moves the way that was said, by most of it.
#[test]
fn a_hole_that_touched_moves_the_way_that_was_said() {
    let mut job = job(6, vec![measure(1, MeasureKind::FarRims, 0, 1)]);
    let before = solved(&job);
    job.trials = vec![
        trial(1, Outcome::WentOn, None),
        trial(2, Outcome::WentOn, None),
        trial(4, Outcome::WentOn, None),
        trial(3, Outcome::Touched, Some((90.0, 1.2))),
    ];
    let after = solved(&job);
    let moved = after.holes[2].centre - before.holes[2].centre;
    assert!(moved.y > 0.5 && moved.y < 1.3 && moved.x.abs() < 0.4, "towards y: {moved:?}");
    let (was, is) = (before.fit.worst_sigma_mm.unwrap(), after.fit.worst_sigma_mm.unwrap());
    assert!(is < 0.5 * was, "the trial is worth a few measures: {was} then {is}");
}

#[test]
fn a_plate_that_went_on_everywhere_moves_nothing() {
    let mut job = job(6, ten());
    let before = solved(&job);
    job.trials = (1..=4).map(|number| trial(number, Outcome::WentOn, None)).collect();
    let after = solved(&job);
    for (a, b) in before.holes.iter().zip(&after.holes) {
        assert!(a.centre.distance(b.centre) < 0.02, "{}: {:?} and {:?}", a.id, a.centre, b.centre);
    }
    job.trials = vec![trial(1, Outcome::NotTried, None), trial(2, Outcome::Touched, None)];
    let same = solved(&job);
    assert_eq!(same.holes, before.holes, "what was not tried, or not told, says nothing");
}

/// Where the job says at what place the plate had its hole, a later measure does not shift what the trial said.
#[test]
fn the_place_on_the_trial_plate_is_kept() {
    let mut job = job(6, vec![measure(1, MeasureKind::FarRims, 0, 1)]);
    let printed = solved(&job);
    job.trials = (1..=4)
        .map(|number| Trial { at_mm: Some(printed.holes[number - 1].centre), ..trial(number, Outcome::WentOn, None) })
        .collect();
    let kept = solved(&job);
    job.trials.iter_mut().for_each(|trial| trial.at_mm = None);
    let derived = solved(&job);
    for (a, b) in kept.holes.iter().zip(&derived.holes) {
        assert!(a.centre.distance(b.centre) < 1e-6, "the same as long as nothing else is said");
    }
}

/// A wrong word about one hole of the trial does not accuse the measures, nor does a wrong measure accuse the trial.
#[test]
fn what_was_seen_wrongly_in_a_trial_is_named_like_a_misreading() {
    let mut job = job(6, ten());
    job.trials = (1..=6).map(|number| trial(number, Outcome::Touched, Some((0.0, 0.0)))).collect();
    job.trials[2] = trial(3, Outcome::Touched, Some((60.0, 1.5)));
    let solution = solved(&job);
    assert_eq!(solution.suspects[0].ids, [Id::from("t3")], "{:?}", solution.suspects);
    let told = &solution.findings[0];
    assert!(told.weight == Weight::Disagrees && told.text.starts_with("H3 sits "), "{told:?}");
    assert!(solution.measures.iter().all(|m| m.verdict != MeasureVerdict::Disagrees), "{:#?}", solution.measures);
    job.trials[2] = trial(3, Outcome::Touched, Some((0.0, 0.0)));
    job.measures[5].mm += 1.0;
    let places = solved(&Job { measures: ten(), ..job.clone() });
    for (trial, hole) in job.trials.iter_mut().zip(&places.holes) {
        trial.at_mm = Some(hole.centre);
    }
    let solution = solved(&job);
    let named: Vec<&[Id]> = solution.suspects.iter().map(|suspects| suspects.ids.as_slice()).collect();
    assert_eq!(named, [[Id::from("m6")].as_slice()], "{:?}", solution.findings);
}

#[test]
fn a_trial_plate_whose_places_are_known_says_how_large_the_part_is() {
    let mut job = job(6, Vec::new());
    job.trials = (1..=6).map(|number| trial(number, Outcome::WentOn, None)).collect();
    for (trial, (x, y, _)) in job.trials.iter_mut().zip(HOLES) {
        trial.at_mm = Some(PlatePoint::new(x, y));
    }
    let solution = solved(&job);
    assert!(solution.fit.scale_known(), "{:?}", solution.fit);
    assert!(solution.findings.iter().all(|finding| !finding.text.starts_with("Scale")), "{:?}", solution.findings);
    let across = solution.holes[0].centre.distance(solution.holes[2].centre);
    let truth = (HOLES[0].0 - HOLES[2].0).hypot(HOLES[0].1 - HOLES[2].1);
    assert!((across - truth).abs() < 1.0, "{across} mm, not {truth}");
}

/// A hole that would not go, nobody knows which way, is no place; with a way and a figure it is one.
#[test]
fn what_would_not_go_counts_once_it_is_said_how_far() {
    let mut job = job(6, ten());
    job.trials = (1..=5).map(|number| trial(number, Outcome::WentOn, None)).collect();
    let five = solved(&job);
    job.trials.push(trial(6, Outcome::WouldNotGo, None));
    assert_eq!(solved(&job).holes, five.holes, "nobody knows which way");
    job.trials[5] = trial(6, Outcome::WouldNotGo, Some((0.0, 0.6)));
    let said = solved(&job);
    job.trials[5] = trial(6, Outcome::Touched, Some((0.0, 0.6)));
    assert_eq!(said.holes, solved(&job).holes, "the same as a hole that touched");
    assert!(said.holes[5].centre.distance(five.holes[5].centre) > 0.005, "it moves");
}

/// A print that is known to be small by its bars had its holes nearer to each other than it was drawn.
#[test]
fn the_check_bars_say_how_large_the_print_was() {
    use crate::job::{Tried, TriedOn};
    let mut job = job(6, Vec::new());
    job.trials = (1..=6).map(|number| trial(number, Outcome::WentOn, None)).collect();
    for (trial, (x, y, _)) in job.trials.iter_mut().zip(HOLES) {
        trial.at_mm = Some(PlatePoint::new(x, y));
    }
    let across = |job: &Job| {
        let holes = solved(job).holes;
        holes[0].centre.distance(holes[2].centre)
    };
    let as_drawn = across(&job);
    let bars = |on| Some(Tried { on, bar_across_mm: Some([100.0, 98.0]), bar_up_mm: Some([100.0, 98.0]), print: None });
    job.tried = bars(TriedOn::Paper);
    let ratio = across(&job) / as_drawn;
    assert!((ratio - 0.98).abs() < 2e-3, "{ratio}");
    job.tried = bars(TriedOn::CutPlate);
    assert!((across(&job) / as_drawn - 1.0).abs() < 2e-3, "a cut plate has no bars");
}

/// A plate that was off and one made after it that went on: each lay in its own way and had its holes elsewhere, and each says
/// what it showed of the part. As one plate they would contradict each other.
#[test]
fn a_second_plate_lies_on_its_own_and_both_tell() {
    let mut job = job(6, ten());
    let truth: Vec<PlatePoint> = solved(&job).holes.iter().map(|hole| hole.centre).collect();
    // The first had H3 0.8 mm too far right; the second, turned and shifted as it was drawn, had it in its place.
    let first = |number: usize| match number {
        3 => {
            Trial { at_mm: Some(truth[2] + PlateVec::new(0.8, 0.0)), ..trial(3, Outcome::Touched, Some((180.0, 0.8))) }
        }
        other => Trial { at_mm: Some(truth[other - 1]), ..trial(other, Outcome::WentOn, None) },
    };
    let second = |number: usize| {
        let turned = PlatePoint::new(40.0 - truth[number - 1].y, truth[number - 1].x);
        let id = Id(format!("second{number}"));
        Trial { id, round: 2, at_mm: Some(turned), ..trial(number, Outcome::WentOn, None) }
    };
    job.trials = (1..=6).map(first).chain((1..=6).map(second)).collect();
    let both = solved(&job);
    assert!(both.suspects.is_empty(), "{:?}", both.suspects);
    assert_eq!(both.trial.map(|fit| fit.verdict), Some(TrialVerdict::Agrees), "the last went on");
    for (hole, truth) in both.holes.iter().zip(&truth) {
        assert!(hole.centre.distance(*truth) < 0.05, "{}: {:?} and {truth:?}", hole.id, hole.centre);
    }
    let one = solved(&Job { trials: job.trials[..6].to_vec(), ..job.clone() });
    let (one, both) = (one.fit.worst_sigma_mm.unwrap(), both.fit.worst_sigma_mm.unwrap());
    assert!(both < one, "two plates tell more than one: {both} and {one}");
    job.trials.iter_mut().for_each(|trial| trial.round = 1);
    let as_one = solved(&job).fit.p_value;
    assert!(as_one.is_some_and(|chance| chance < 1e-3), "they were not one plate: {as_one:?}");
}

/// The bars are those of the last print: what an earlier one had is as large as the job says.
#[test]
fn the_bars_of_a_later_print_do_not_stretch_an_earlier_one() {
    use crate::job::Tried;
    let mut job = job(6, Vec::new());
    job.trials = (1..=6).map(|number| trial(number, Outcome::WentOn, None)).collect();
    for (trial, (x, y, _)) in job.trials.iter_mut().zip(HOLES) {
        trial.at_mm = Some(PlatePoint::new(x, y));
    }
    let as_drawn = solved(&job).holes[2].centre;
    job.trials.push(Trial { id: "again".into(), round: 2, ..trial(1, Outcome::NotTried, None) });
    let bar = Some([100.0, 98.0]);
    job.tried = Some(Tried { bar_across_mm: bar, bar_up_mm: bar, ..Tried::default() });
    assert!(solved(&job).holes[2].centre.distance(as_drawn) < 1e-6, "they are of the second");
    job.trials.pop();
    assert!(solved(&job).holes[2].centre.distance(as_drawn) > 0.5, "of the first they would be");
}

/// What is said of a mirrored proof is said as it is seen on it.
#[test]
fn a_cause_is_told_as_on_a_mirrored_proof() {
    let mut job = job(6, ten());
    job.trials = (1..=6).map(|number| trial(number, Outcome::Touched, Some((0.0, 0.0)))).collect();
    job.trials[2] = trial(3, Outcome::Touched, Some((-90.0, 1.5)));
    let sentence = |job: &Job| solved(job).trial.unwrap().sentence;
    assert!(sentence(&job).ends_with("too far up."), "{}", sentence(&job));
    job.design.mirrored = true;
    assert!(sentence(&job).ends_with("too far down on the proof, which is mirrored."), "{}", sentence(&job));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever is said of a trial, at however many holes and however often: never a panic, and no figure that is none.
    #[test]
    fn nonsense_about_a_trial_stays_finite(
        said in prop::collection::vec(
            (0_usize..6, 0_usize..4, prop::option::of(-720.0..720.0), prop::option::of(0.0..2000.0),
             prop::option::of((-1000.0..1000.0, -1000.0..1000.0)), 1_u32..4),
            0..9,
        ),
        measures in 0_usize..10,
        fastener in prop::option::of("(M6|M8|stud)"),
        bars in prop::option::of(0.5..2.0),
    ) {
        use crate::job::{Group, Tried};
        let mut job = job(6, ten().into_iter().take(measures).collect());
        job.groups = vec![Group { fastener, ..Group::new("g".into()) }];
        job.holes.iter_mut().for_each(|hole| hole.group = Some("g".into()));
        job.tried = bars.map(|reads: f64| Tried { bar_up_mm: Some([1.0, reads]), ..Tried::default() });
        for (number, (hole, outcome, towards_deg, mm, at, round)) in said.into_iter().enumerate() {
            let outcome = [Outcome::WentOn, Outcome::Touched, Outcome::WouldNotGo, Outcome::NotTried][outcome];
            let at_mm = at.map(|(x, y)| PlatePoint::new(x, y));
            let id = Id(format!("t{number}"));
            let hole = Id(format!("h{}", hole + 1));
            job.trials.push(Trial { id, hole, round, outcome, towards_deg, mm, at_mm });
        }
        if let Some(fit) = solved(&job).trial {
            prop_assert!(!fit.sentence.is_empty() && !fit.text().contains("NaN") && !fit.text().contains("inf"), "{fit:?}");
        }
    }
}
