//! Every rule calls a good photo good and a bad one costly, and says what it cannot know; where it cannot, it is said why.

use super::tests::{GOOD, Taken};
use super::*;
use crate::job::Held;

/// What leads to an outcome, or why nothing does.
enum Case3 {
    By(Taken),
    Never(&'static str),
}
use Case3::{By, Never};

/// A rule by its name: a photo of which it says nothing, one that costs, one of which it cannot tell.
struct Row(&'static str, Taken, Taken, Case3);

const CLICKED: Taken = Taken { measures_rims: false, ..GOOD };

const CAMERA_KNOWN: &str = "where the size is known, so is where the camera stood";

const ROWS: [Row; 9] = [
    Row(stand_off::NAME, GOOD, Taken { stand_off_mm: 100.0, ..GOOD }, Never(CAMERA_KNOWN)),
    Row(tilt::NAME, GOOD, Taken { tilt_deg: 25.0, ..GOOD }, Never(CAMERA_KNOWN)),
    Row(scale::NAME, GOOD, Taken { px_per_mm: 4.0, ..CLICKED }, Never(CAMERA_KNOWN)),
    Row(blur::NAME, GOOD, Taken { px_per_mm: 4.0, radius_mm: 1.1, blur_px: 2.0, ..GOOD }, By(CLICKED)),
    Row(glare::NAME, GOOD, Taken { bright: Some((30.0, 3.0)), px_per_mm: 5.0, ..GOOD }, By(CLICKED)),
    Row(
        clipped::NAME,
        GOOD,
        Taken { bright: Some((30.0, 3.0)), px_per_mm: 3.0, ..CLICKED },
        Never("every pixel of the photo is at hand"),
    ),
    Row(height::NAME, GOOD, Taken { break_mm: 0.6, ..GOOD }, Never("what the job does not know it says as an if")),
    Row(
        focal::NAME,
        GOOD,
        // Three lengths leave one way open in which four clicked holes may lie, and that rests on how the far side shrinks.
        Taken { has_record: false, held: Held::Unknown, lengths: 3, tilt_deg: 20.0, stand_off_mm: 68.8, ..CLICKED },
        Never("that a file says nothing is known"),
    ),
    Row(file::NAME, GOOD, Taken { has_record: false, px_per_mm: 5.0, ..CLICKED }, Never("every file has a size")),
];

#[test]
fn every_rule_has_both_outcomes() {
    assert_eq!(ROWS.len(), RULES.len(), "a row for each rule");
    for Row(name, good, costly, untold) in &ROWS {
        let found = good.by(name);
        assert_eq!(found.state, State::Good, "{found:?}");
        let found = costly.by(name);
        assert!(found.state.is_costly() && !found.way_out.is_empty(), "{found:?}");
        assert!(found.hole.is_some() && found.cost_mm.is_some_and(f64::is_finite), "{found:?}");
        assert!(found.places.iter().all(|place| place.at.is_finite() && place.across_px > 0.0), "{found:?}");
        match untold {
            By(taken) => {
                let found = taken.by(name);
                assert_eq!((found.state, found.cost_mm), (State::NotKnown, None), "{found:?}");
            }
            Never(why) => assert!(why.len() > 20, "{name}: why not"),
        }
    }
}
