//! Every rule gives each verdict that it can give; where it cannot give one it is said why.

use super::tests::{job, redrawn, solved, stock};
use super::trust_tests::camera;
use super::*;
use crate::job::{Group, MeasureKind, Outcome, Trial};
use crate::solution::{Ambiguity, BoltUp, Cause, MeasureVerdict, NextMeasure, TrialFit, TrialVerdict};

/// What leads to a verdict, or why nothing does.
enum Case3 {
    By(fn(&mut Job, &mut Solution)),
    Never(&'static str),
}
use Case3::{By, Never};

/// A rule by the name of its checks: what it passes, what it warns of or fails, what it cannot tell.
struct Row(&'static str, Case3, Case3, Case3);

const ROWS: [Row; 26] = [
    Row("One outline", By(as_it_is), By(no_contour), Never("a job has an outline or it has none")),
    Row("Closed", By(as_it_is), By(open), By(no_contour)),
    Row("No crossing", By(as_it_is), By(crossed), By(no_contour)),
    Row("Nothing twice", By(as_it_is), By(hole_twice), By(nothing)),
    Row("On the edge", Never("it takes a measured edge: on_edge is passed in tests.rs"), By(follows), By(as_it_is)),
    Row("Land", By(as_it_is), By(wide_land), By(open_with_land)),
    Row("Holes found", By(as_it_is), By(lost_hole), Never("a hole of the job is in the cut or it is not")),
    Row("Holes inside", By(as_it_is), By(hole_outside), By(open)),
    Row("Holes apart", By(as_it_is), By(holes_meet), Never("what has no place is told as not found")),
    Row("Edge distance", By(small_bolt), By(large_bolt), By(as_it_is)),
    Row("Walls", By(thin_sheet), By(thick_sheet), By(as_it_is)),
    Row("Gasket land", By(metal), By(poor_gasket), By(as_it_is)),
    Row("Small holes", By(thin_sheet), By(thick_sheet), By(as_it_is)),
    Row("Corners", By(no_opening), By(wide_kerf), By(as_it_is)),
    Row(
        "Kerf",
        By(as_it_is),
        By(kerf_in_file),
        Never("without a word the shop allows for it, and unsaid in the file it fails"),
    ),
    Row("Copies apart", By(as_it_is), By(near_copies), By(copies_of_unsaid_kerf)),
    Row("Fits the sheet", By(large_sheet), By(small_sheet), By(as_it_is)),
    Row("Size meant", By(as_it_is), By(huge), By(no_scale)),
    Row("Size known", By(as_it_is), By(no_scale), Never("a size that nobody knows must not be cut: it fails")),
    Row("Size checked", By(as_it_is), By(one_measure), By(no_scale)),
    Row("Tilt settled", By(good_photo), By(two_cameras), By(as_it_is)),
    Row("Measures agree", By(as_it_is), By(misread), By(unchecked)),
    Row("Photo", By(good_photo), By(near_photo), By(as_it_is)),
    Row("Room for error", By(small_bolt), By(large_bolt), By(as_it_is)),
    Row("Bolt-up", By(good_odds), By(poor_odds), By(as_it_is)),
    Row("Trial", By(went_on), By(hole_off), By(half_tried)),
];

fn verdicts(rule: Rule, name: &str, change: fn(&mut Job, &mut Solution)) -> Vec<Verdict> {
    let mut job = job();
    let mut solution = solved(&job);
    change(&mut job, &mut solution);
    solution.added = super::tests::added_of(&job, &solution);
    let cut = CutDrawing::as_seen(&job, &solution);
    let checks = rule(Case { job: &job, solution: &solution, cut: &cut });
    assert!(!checks.is_empty(), "{name} always says something");
    for check in &checks {
        assert_eq!(check.name, name, "the rows stand in the order of the rules");
        assert!(check.text.ends_with(['.', '?']), "a sentence: {}", check.text);
        assert!(check.places.iter().all(|place| place.is_finite()), "{check:?}");
    }
    checks.iter().map(|check| check.verdict).collect()
}

#[test]
fn every_rule_gives_every_verdict_that_it_can() {
    assert_eq!(ROWS.len(), RULES.len(), "a row for each rule");
    for (rule, Row(name, pass, wrong, untold)) in RULES.into_iter().zip(&ROWS) {
        let given = |case: &Case3, wanted: &[Verdict]| match case {
            By(change) => {
                let found = verdicts(rule, name, *change);
                assert!(found.iter().any(|verdict| wanted.contains(verdict)), "{name}: {found:?}, not {wanted:?}");
                if wanted == [Verdict::Pass] {
                    assert_eq!(found, [Verdict::Pass], "{name} passes with one check and no other");
                }
            }
            Never(why) => assert!(why.len() > 20, "{name}: why not"),
        };
        given(pass, &[Verdict::Pass]);
        given(wrong, &[Verdict::Warn, Verdict::Fail]);
        given(untold, &[Verdict::CannotTell]);
    }
}

fn as_it_is(_: &mut Job, _: &mut Solution) {}

fn no_contour(job: &mut Job, solution: &mut Solution) {
    job.contours.clear();
    solution.contours.clear();
}

fn nothing(job: &mut Job, solution: &mut Solution) {
    no_contour(job, solution);
    (job.holes, job.added, job.datum) = (Vec::new(), Vec::new(), None);
    solution.holes.clear();
}

fn open(job: &mut Job, solution: &mut Solution) {
    redrawn(|job| job.contours[0].closed = false)(job, solution);
}

fn open_with_land(job: &mut Job, solution: &mut Solution) {
    open(job, solution);
    job.design.land_mm = 2.0;
}

fn wide_land(job: &mut Job, _: &mut Solution) {
    job.design.land_mm = 30.0;
}

fn crossed(job: &mut Job, solution: &mut Solution) {
    redrawn(|job| job.contours[0].nodes.swap(1, 2))(job, solution);
}

fn follows(job: &mut Job, _: &mut Solution) {
    job.contours[0].follow_edge = true;
}

fn lost_hole(_: &mut Job, solution: &mut Solution) {
    solution.holes.truncate(1);
}

fn move_added(job: &mut Job, x: f64, y: f64) {
    job.added[0].at_mm = Some(PlatePoint::new(x, y));
}

fn hole_outside(job: &mut Job, _: &mut Solution) {
    move_added(job, 10.0, 48.0);
}

fn holes_meet(job: &mut Job, _: &mut Solution) {
    move_added(job, 13.0, 14.0);
}

fn hole_twice(job: &mut Job, _: &mut Solution) {
    move_added(job, 10.0, 10.0);
    job.added[0].diameter_mm = Some(6.6);
}

fn bolt(job: &mut Job, fastener: &str) {
    let (fastener, finished_mm) = (Some(fastener.to_owned()), Some(6.6));
    job.groups = vec![Group { fastener, finished_mm, ..Group::new("studs".into()) }];
}

fn small_bolt(job: &mut Job, _: &mut Solution) {
    bolt(job, "M6");
}

fn large_bolt(job: &mut Job, _: &mut Solution) {
    bolt(job, "M8");
}

fn thin_sheet(job: &mut Job, solution: &mut Solution) {
    stock(r#"{"thickness_mm": 2}"#)(job, solution);
}

fn thick_sheet(job: &mut Job, solution: &mut Solution) {
    stock(r#"{"thickness_mm": 8}"#)(job, solution);
}

fn metal(job: &mut Job, solution: &mut Solution) {
    stock(r#"{"material": "metal"}"#)(job, solution);
}

fn poor_gasket(job: &mut Job, solution: &mut Solution) {
    stock(r#"{"material": "gasket"}"#)(job, solution);
    job.added[0].diameter_mm = Some(1.5);
}

fn no_opening(_: &mut Job, solution: &mut Solution) {
    solution.contours.truncate(1);
}

fn wide_kerf(job: &mut Job, solution: &mut Solution) {
    stock(r#"{"kerf_mm": 1.5}"#)(job, solution);
}

fn kerf_in_file(job: &mut Job, solution: &mut Solution) {
    stock(r#"{"kerf_mm": 0.15, "kerf_in_file": true}"#)(job, solution);
}

fn near_copies(job: &mut Job, solution: &mut Solution) {
    stock(r#"{"kerf_mm": 0.3, "copies": 2, "gap_mm": 0.3}"#)(job, solution);
}

fn copies_of_unsaid_kerf(job: &mut Job, solution: &mut Solution) {
    stock(r#"{"copies": 2}"#)(job, solution);
}

fn large_sheet(job: &mut Job, solution: &mut Solution) {
    stock(r#"{"sheet_mm": [500, 500]}"#)(job, solution);
}

fn small_sheet(job: &mut Job, solution: &mut Solution) {
    stock(r#"{"sheet_mm": [50, 50]}"#)(job, solution);
}

fn huge(job: &mut Job, solution: &mut Solution) {
    redrawn(|job| job.contours[0].nodes[2].at.x = 40_000.0)(job, solution);
}

fn no_scale(_: &mut Job, solution: &mut Solution) {
    solution.fit.scale_sigma = None;
}

fn one_measure(_: &mut Job, solution: &mut Solution) {
    solution.measures.truncate(1);
}

fn misread(_: &mut Job, solution: &mut Solution) {
    solution.measures[0].verdict = MeasureVerdict::Disagrees;
}

fn unchecked(_: &mut Job, solution: &mut Solution) {
    solution.measures.iter_mut().for_each(|fit| fit.verdict = MeasureVerdict::Unchecked);
}

fn good_photo(job: &mut Job, solution: &mut Solution) {
    camera(3000.0, 300.0, 2.0)(job, solution);
}

fn near_photo(job: &mut Job, solution: &mut Solution) {
    camera(3000.0, 70.0, 2.0)(job, solution);
}

fn two_cameras(_: &mut Job, solution: &mut Solution) {
    let settle = NextMeasure {
        kind: MeasureKind::Centres,
        between: vec!["h1".into(), "h2".into()],
        expected_mm: 40.0,
        worst_sigma_before_mm: 0.1,
        worst_sigma_after_mm: 0.05,
    };
    solution.fit.ambiguous = Some(Ambiguity { hole: "h2".into(), moves_mm: 0.8, settle: Some(settle) });
}

fn odds(solution: &mut Solution, odds: f64) {
    let worst = Some(Id::from("h1"));
    solution.bolt_up = Some(BoltUp { odds, standard_error: 0.01, worst, holes: Vec::new(), cutting_mm: 0.1 });
}

fn good_odds(_: &mut Job, solution: &mut Solution) {
    odds(solution, 0.99);
}

fn poor_odds(_: &mut Job, solution: &mut Solution) {
    odds(solution, 0.6);
}

fn tried(job: &mut Job, outcomes: [Outcome; 2]) {
    bolt(job, "M6");
    for (number, outcome) in outcomes.into_iter().enumerate() {
        let (id, hole) = (Id(format!("t{number}")), job.holes[number].id.clone());
        job.holes[number].group = Some("studs".into());
        job.trials.push(Trial { id, hole, round: 1, outcome, towards_deg: None, mm: None, at_mm: None });
    }
}

fn trial_fit(verdict: TrialVerdict, causes: Vec<Cause>) -> TrialFit {
    let (sentence, explanation) = ("H2 sits 0.40 mm too far up.".to_owned(), "Look at the rim of H2.".to_owned());
    TrialFit { verdict, causes, leaves_more: false, act: None, sentence, explanation }
}

fn went_on(job: &mut Job, _: &mut Solution) {
    tried(job, [Outcome::WentOn; 2]);
}

fn hole_off(job: &mut Job, solution: &mut Solution) {
    tried(job, [Outcome::WentOn, Outcome::Touched]);
    let cause = Cause::Hole { id: "h2".into(), sits: None, at_least_mm: 0.4 };
    solution.trial = Some(trial_fit(TrialVerdict::Explained, vec![cause]));
}

fn half_tried(job: &mut Job, _: &mut Solution) {
    tried(job, [Outcome::WentOn, Outcome::NotTried]);
}

/// What touched stops the cut until it is explained and settled, whatever explains it; of two plates the last counts.
#[test]
fn a_trial_that_contradicts_stops_the_cut_until_it_is_settled() {
    let of = |verdict: Option<TrialVerdict>, causes: &[Cause], outcomes| {
        let (mut job, mut solution) = (job(), solved(&job()));
        tried(&mut job, outcomes);
        solution.trial = verdict.map(|verdict| trial_fit(verdict, causes.to_vec()));
        (job, solution)
    };
    let verdict_of = |(job, solution): &(Job, Solution)| {
        let checks = all(job, solution);
        let of_trial: Vec<_> = checks.iter().filter(|check| check.name == "Trial").collect();
        assert_eq!(of_trial.len(), 1, "{of_trial:?}");
        assert_eq!(may_cut(&checks), of_trial[0].verdict != Verdict::Fail, "{checks:?}");
        of_trial[0].verdict
    };
    let touched = [Outcome::WentOn, Outcome::Touched];
    let measure = Cause::Measure { id: "m1".into(), long_mm: Some(0.4) };
    for causes in [[measure], [Cause::Whole { small: None }]] {
        let explained = of(Some(TrialVerdict::Explained), &causes, touched);
        assert_eq!(verdict_of(&explained), Verdict::Fail, "{causes:?} is not settled");
        let went_on = of(Some(TrialVerdict::Explained), &causes, [Outcome::WentOn; 2]);
        assert_eq!(verdict_of(&went_on), Verdict::Fail, "what went on is not what is cut now");
    }
    for verdict in [Some(TrialVerdict::Unexplained), Some(TrialVerdict::TooFew), None] {
        assert_eq!(verdict_of(&of(verdict, &[], touched)), Verdict::Fail, "{verdict:?} explains nothing");
    }
    let within = of(Some(TrialVerdict::Agrees), &[], touched);
    assert_eq!(verdict_of(&within), Verdict::Pass, "within the play");
    let would_not_go = of(None, &[], [Outcome::WentOn, Outcome::WouldNotGo]);
    assert_eq!(verdict_of(&would_not_go), Verdict::Fail, "nothing explains it");
    let unsuspected = of(Some(TrialVerdict::Agrees), &[], [Outcome::WentOn, Outcome::WouldNotGo]);
    assert_eq!(verdict_of(&unsuspected), Verdict::Fail, "it did not fit, whatever was known");
    let (mut again, solution) = would_not_go;
    for trial in again.trials.clone() {
        let id = again.free_id("t");
        again.trials.push(Trial { id, round: 2, outcome: Outcome::WentOn, ..trial });
    }
    assert_eq!(verdict_of(&(again, solution)), Verdict::Pass, "the second plate went on");
    let untried = (job(), solved(&job()));
    assert_eq!(verdict_of(&untried), Verdict::CannotTell, "nothing was tried, and nothing is blocked");
}
