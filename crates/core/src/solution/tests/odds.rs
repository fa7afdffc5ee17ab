//! The odds on a whole job: what they rest on, and what makes them better.

use super::*;
use crate::job::{Group, Stock};

/// Studs in the first four holes.
fn with_studs(mut job: Job, fastener: &str, finished_mm: f64) -> Job {
    let group =
        Group { fastener: Some(fastener.to_owned()), finished_mm: Some(finished_mm), ..Group::new("studs".into()) };
    job.groups = vec![group];
    for hole in &mut job.holes[..4] {
        hole.group = Some("studs".into());
    }
    job
}

#[test]
fn without_a_fastener_there_are_no_odds() {
    assert_eq!(solved(&job(6, ten())).bolt_up, None, "nothing is said of what goes through");
    let unknown = with_studs(job(6, ten()), "the old ones", 9.0);
    assert_eq!(solved(&unknown).bolt_up, None, "nor is that a fastener of the standards");
}

#[test]
fn odds_that_leave_a_fastener_out_are_not_given() {
    let studs = with_studs(job(6, ten()), "M8", 9.0);
    let mut unfound = studs.clone();
    unfound.holes[3].rim.truncate(2);
    assert_eq!(solved(&unfound).bolt_up, None, "the hole of one stud is not found");
    let mut nameless = studs;
    nameless.groups.push(Group { fastener: Some("M9".to_owned()), ..Group::new("odd".into()) });
    nameless.holes[3].group = Some("odd".into());
    let solution = solved(&nameless);
    assert_eq!(solution.bolt_up, None, "one stud is of no standard");
    let text = "‘M9’ at H4 is no fastener that the standards hold. Type M1.6 to M36, or #4 to 1\u{a0}in.";
    says(&solution, Weight::Caution, text);
    nameless.holes[3].keep = false;
    assert!(solved(&nameless).bolt_up.is_some(), "a hole that the part does not have needs none");
}

#[test]
fn more_room_and_more_measures_make_better_odds() {
    let odds = |job: Job, finished: f64| solved(&with_studs(job, "M8", finished)).bolt_up.unwrap();
    let (tight, wide) = (odds(job(6, ten()), 8.3), odds(job(6, ten()), 10.0));
    assert!(tight.odds < wide.odds && wide.odds > 0.99, "{} with 0.15 mm of play, {} with 1 mm", tight.odds, wide.odds);
    let few = odds(job(6, ten()[..2].to_vec()), 9.0);
    let many = odds(job(6, ten()), 9.0);
    assert!(few.odds < many.odds, "{} with two measures, {} with ten", few.odds, many.odds);
    assert_eq!(many.holes.len(), 4, "the holes with studs");
    assert!((many.holes[0].play_mm - 0.5).abs() < 1e-12, "M8 in 9.0: {:?}", many.holes[0]);
    assert!(many.worst.is_some() && many.standard_error > 0.0, "{many:?}");
}

#[test]
fn a_hole_smaller_than_its_stud_never_goes_on() {
    let bolt_up = solved(&with_studs(job(6, ten()), "M10", 9.0)).bolt_up.unwrap();
    assert!(bolt_up.odds.abs() < 1e-12, "{bolt_up:?}");
    assert!(bolt_up.holes.iter().all(|hole| hole.play_mm < 0.0), "{bolt_up:?}");
}

#[test]
fn the_cutter_counts() {
    let stock = |tolerance| Stock { cut_tolerance_mm: Some(tolerance), ..Stock::default() };
    let odds = |tolerance: f64| {
        let job = Job { stock: Some(stock(tolerance)), ..with_studs(job(6, ten()), "M8", 9.0) };
        solved(&job).bolt_up.unwrap().odds
    };
    assert!(odds(0.0) > odds(0.8) + 0.05, "{} with a perfect cutter, {} with ±0.8 mm", odds(0.0), odds(0.8));
}

#[test]
fn while_nobody_knows_how_large_it_is_there_are_no_odds() {
    assert_eq!(
        solved(&with_studs(job(6, Vec::new()), "M8", 9.0)).bolt_up,
        None,
        "without any measure there is no size"
    );
}
