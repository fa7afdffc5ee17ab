//! What is designed on top: in the file, by edits, and what does not hold together.

use super::tests::example;
use super::*;
use crate::space::{PlatePoint, PlateVec};

/// The example with one more entry of `added`, read from a file.
fn with_added(entry: &str) -> Result<Job, String> {
    let mut tree: serde_json::Value = serde_json::from_str(super::tests::EXAMPLE).unwrap();
    let entry: serde_json::Value = serde_json::from_str(entry).unwrap();
    tree["added"].as_array_mut().unwrap().push(entry);
    read(&tree.to_string()).map_err(|error| error.to_string())
}

#[track_caller]
fn check_refused(entry: &str, sentence: &str) {
    assert_eq!(with_added(entry).unwrap_err(), sentence);
}

#[test]
fn every_kind_of_place_and_size_is_read_and_written_the_same() {
    for entry in [
        r#"{ "id": "a2", "name": "Drain", "kind": "hole", "at_mm": [1.5, -2.0], "tapped": "M6" }"#,
        r#"{ "id": "a2", "kind": "hole", "placed": { "offset": { "from": "h1", "by_mm": [10.0, 0.5] } }, "group": "studs" }"#,
        r#"{ "id": "a2", "kind": "hole", "placed": { "between": { "a": "h1", "b": "p1" } } }"#,
        r#"{ "id": "a2", "kind": "hole", "placed": { "between": { "a": "h1", "b": "a1", "share": 1.25 } }, "diameter_mm": 4.0 }"#,
        r#"{ "id": "a2", "kind": "hole", "placed": { "between": { "a": "h1", "b": "h5", "distance_mm": 30.0 } } }"#,
        r#"{ "id": "a2", "kind": "hole", "placed": { "circle": { "about": "h1", "n": 6, "radius_mm": 20.0, "first_deg": 15.0 } } }"#,
        r#"{ "id": "a2", "kind": "slot", "placed": { "circle": { "about_mm": [5.0, 6.0], "n": 3, "radius_mm": 20.0, "first_deg": 0.0 } }, "diameter_mm": 4.0, "length_mm": 9.0, "angle_deg": 90.0 }"#,
        r#"{ "id": "a2", "kind": "slot", "at_mm": [1.0, 2.0], "length_mm": 9.0, "towards": "p2" }"#,
    ] {
        let job = with_added(entry).unwrap_or_else(|error| panic!("{entry}: {error}"));
        let text = write(&job);
        assert_eq!(read(&text), Ok(job), "{entry}");
        let squeezed: String = text.split_whitespace().collect();
        assert!(squeezed.contains(&entry.split_whitespace().collect::<String>()), "as it was said: {text}");
    }
}

#[test]
fn the_whole_part_is_turned_and_given_land_in_the_file() {
    let mut job = example();
    job.apply(Edit::DesignAs(Design { mirrored: true, land_mm: 3.0, opening_land_mm: 0.0 })).unwrap();
    let text = write(&job);
    assert!(text.contains(r#""design": { "mirrored": true, "land_mm": 3.0 }"#), "what is usual is not written: {text}");
    assert_eq!(read(&text).unwrap(), job);
    job.apply(Edit::DesignAs(Design::default())).unwrap();
    assert!(!write(&job).contains("design"), "nothing is said of it");
    let bad = Edit::DesignAs(Design { land_mm: f64::NAN, ..Design::default() });
    assert_eq!(job.apply(bad).unwrap_err().to_string(), "design.land_mm: is not a number");
}

#[test]
fn what_has_no_place_or_two_is_refused() {
    check_refused(
        r#"{"id": "a2", "kind": "hole"}"#,
        "added[1]: has neither “at_mm” nor “placed”, and one of them says where it is",
    );
    check_refused(
        r#"{"id": "a2", "kind": "hole", "at_mm": [0, 0], "placed": {"between": {"a": "h1", "b": "h5"}}}"#,
        "added[1]: has both “at_mm” and “placed”, and one is enough",
    );
    check_refused(
        r#"{"id": "a2", "kind": "hole", "placed": {"offset": {"from": "h9", "by_mm": [1, 2]}}}"#,
        "added[1].placed.offset.from: nothing here has the id “h9”",
    );
    check_refused(
        r#"{"id": "a2", "kind": "hole", "placed": {"offset": {"from": "e1", "by_mm": [1, 2]}}}"#,
        "added[1].placed.offset.from: “e1” is an edge, where a hole or a point or an added feature belongs",
    );
    check_refused(
        r#"{"id": "a2", "kind": "hole", "placed": {"between": {"a": "h1", "b": "h1"}}}"#,
        "added[1].placed.between: goes from “h1” to itself",
    );
    check_refused(
        r#"{"id": "a2", "kind": "hole", "placed": {"between": {"a": "h1", "b": "h5", "share": 0.1, "distance_mm": 3}}}"#,
        "added[1].placed.between: has both “share” and “distance_mm”, and one is enough",
    );
    check_refused(
        r#"{"id": "a2", "kind": "hole", "placed": {"circle": {"n": 3, "radius_mm": 4}}}"#,
        "added[1].placed.circle: needs either “about” or “about_mm”",
    );
    check_refused(
        r#"{"id": "a2", "kind": "hole", "placed": {"circle": {"about": "h1", "n": 0, "radius_mm": 4}}}"#,
        "added[1].placed.circle.n: is 0, and a circle holds from 1 to 360",
    );
    check_refused(
        r#"{"id": "a2", "kind": "hole", "placed": {"circle": {"about": "h1", "n": 3, "radius_mm": 0}}}"#,
        "added[1].placed.circle.radius_mm: is 0, and it has to be more than 0",
    );
    check_refused(
        r#"{"id": "a2", "kind": "hole", "placed": {"spiral": {}}}"#,
        "added[1].placed: “spiral” is not known here; known are “offset”, “between”, “circle”",
    );
    check_refused(
        r#"{"id": "a2", "kind": "hole", "placed": {"offset": {"from": "h1", "by_mm": [1, 2], "turn": 1}}}"#,
        "added[1].placed.offset.turn: is not a key that is known here",
    );
}

#[test]
fn sizes_and_slots_that_cannot_be_are_refused() {
    check_refused(
        r#"{"id": "a2", "kind": "hole", "at_mm": [0, 0], "diameter_mm": 5, "tapped": "M6"}"#,
        "added[1]: has both “diameter_mm” and “tapped”, and one is enough",
    );
    check_refused(
        r#"{"id": "a2", "kind": "hole", "at_mm": [0, 0], "tapped": "M7"}"#,
        "added[1].tapped: no drill for “M7” is known here; known are M3, M4, M5, M6, M8, M10, M12, M14, M16, M18, M20, M22, M24",
    );
    check_refused(
        r#"{"id": "a2", "kind": "slot", "at_mm": [0, 0], "tapped": "M6", "length_mm": 9}"#,
        "added[1].tapped: a slot cannot be tapped",
    );
    check_refused(
        r#"{"id": "a2", "kind": "hole", "at_mm": [0, 0], "length_mm": 9}"#,
        "added[1].length_mm: belongs to a slot, and this is a hole",
    );
    check_refused(
        r#"{"id": "a2", "kind": "slot", "at_mm": [0, 0]}"#,
        "added[1]: the key “length_mm” is missing: a slot has a length",
    );
    check_refused(
        r#"{"id": "a2", "kind": "slot", "at_mm": [0, 0], "length_mm": 9, "angle_deg": 3, "towards": "h1"}"#,
        "added[1]: has both “angle_deg” and “towards”, and one is enough",
    );
    check_refused(
        r#"{"id": "a2", "kind": "hole", "at_mm": [0, 0], "group": "h1"}"#,
        "added[1].group: “h1” is a hole, where a group belongs",
    );
}

/// A hole beside a feature.
fn beside(id: &str, from: &str) -> Added {
    let offset = Offset { from: from.into(), by_mm: PlateVec::new(1.0, 2.0) };
    Added::new(id.into(), AddedKind::Hole, Placed::Offset(offset))
}

#[test]
fn nothing_is_placed_by_itself() {
    let mut job = example();
    job.apply(Edit::PutAdded(Box::new(beside("a2", "h1")))).unwrap();
    job.apply(Edit::PutAdded(Box::new(beside("a3", "a2")))).unwrap();
    let before = job.clone();
    let refused = job.apply(Edit::PutAdded(Box::new(beside("a2", "a3")))).unwrap_err().to_string();
    assert_eq!(refused, "added[1]: “a2” is placed by itself in the end, and so it has no place");
    assert_eq!(job, before, "a refused edit leaves the job as it was");
    let refused = job.apply(Edit::PutAdded(Box::new(beside("a4", "a4")))).unwrap_err().to_string();
    assert_eq!(refused, "added[3]: “a4” is placed by itself in the end, and so it has no place");
}

#[test]
fn what_rests_on_a_removed_feature_goes_with_it() {
    let mut job = example();
    for (id, from) in [("a2", "h3"), ("a3", "a2"), ("a4", "p1")] {
        job.apply(Edit::PutAdded(Box::new(beside(id, from)))).unwrap();
    }
    let ids = |job: &Job| job.added.iter().map(|added| added.id.0.clone()).collect::<Vec<_>>();
    let mut rest = job.clone();
    rest.apply(Edit::Remove("h3".into())).unwrap();
    assert_eq!(ids(&rest), ["a1", "a4"], "a3 stood beside a2, and a2 beside H3");
    job.apply(Edit::Remove("a2".into())).unwrap();
    assert_eq!(ids(&job), ["a1", "a4"], "and so it goes with a2 alone");
    let sized = Added { group: Some("studs".into()), ..job.added[1].clone() };
    job.apply(Edit::PutAdded(Box::new(sized))).unwrap();
    job.apply(Edit::Remove("studs".into())).unwrap();
    assert_eq!(job.added[1].group, None, "its size is gone, it is not");
}

#[test]
fn a_long_chain_is_looked_at_link_by_link_and_too_many_are_refused() {
    let mut job = example();
    let first = job.added.len();
    job.added.extend((first..MOST_ADDED).map(|k| {
        // By both before it: as many ways lead back as there are numbers in a Fibonacci sequence.
        let base = |back: usize| if k < first + back { Id::from("h1") } else { Id(format!("b{}", k - back)) };
        let (a, b) = if k == first { (Id::from("h1"), Id::from("h5")) } else { (base(1), base(2)) };
        let between = Between { a, b, share: None, distance_mm: None };
        Added::new(Id(format!("b{k}")), AddedKind::Hole, Placed::Between(between))
    }));
    validate(&job).unwrap();
    job.added.push(beside("a2", "h1"));
    let refused = "added: is 1001 holes and slots, those on circles counted, and 1000 are the most";
    assert_eq!(validate(&job).unwrap_err().to_string(), refused);
    job.added.truncate(first);
    let circle = OnCircle { about: Some("h1".into()), about_mm: None, n: 333, radius_mm: 9.0, first_deg: 0.0 };
    for id in ["b1", "b2", "b3"] {
        job.added.push(Added::new(id.into(), AddedKind::Hole, Placed::Circle(circle.clone())));
    }
    validate(&job).unwrap();
    job.added.push(beside("a2", "h1"));
    assert_eq!(validate(&job).unwrap_err().to_string(), refused, "one and three circles of 333, and one more");
}

#[test]
fn where_coordinates_start_stays_while_something_lies_by_them() {
    let mut job = example();
    for edit in [Edit::Remove("h1".into()), Edit::Remove("h5".into()), Edit::DatumAt(None)] {
        let before = job.clone();
        let refused = job.apply(edit).unwrap_err().to_string();
        let sentence = "A1 lies by coordinates, and this takes away where they start: \
                        choose another place for that first, or remove A1";
        assert_eq!(refused, sentence);
        assert_eq!(job, before, "a refused edit leaves the job as it was");
    }
    // What goes with the hole moves no more, and what lies by features alone does not move at all.
    let between = Between { a: "p1".into(), b: "p2".into(), share: None, distance_mm: None };
    for added in [Added::new("a1".into(), AddedKind::Hole, Placed::Between(between)), beside("a2", "h1")] {
        job.apply(Edit::PutAdded(Box::new(added))).unwrap();
    }
    job.apply(Edit::Remove("h1".into())).unwrap();
    assert_eq!((job.datum, job.added.len()), (None, 1));
}

#[test]
fn what_lies_by_coordinates_is_told_from_what_does_not() {
    let between = |kind, towards: Option<&str>| {
        let between = Between { a: "p1".into(), b: "p2".into(), share: None, distance_mm: None };
        Added { towards: towards.map(Id::from), ..Added::new("a2".into(), kind, Placed::Between(between)) }
    };
    assert!(!between(AddedKind::Hole, None).lies_by_coordinates(), "on a line");
    assert!(!between(AddedKind::Slot, Some("h1")).lies_by_coordinates(), "and pointing to a hole");
    assert!(between(AddedKind::Slot, None).lies_by_coordinates(), "its angle is told from x");
    assert!(beside("a2", "h1").lies_by_coordinates(), "so is a step");
    assert!(example().added[0].lies_by_coordinates(), "and a place");
}

#[test]
fn added_features_have_names_of_their_own() {
    let mut job = example();
    assert_eq!(job.placed_name(&"a1".into()), "A1", "its id, where nothing is said");
    job.apply(Edit::Rename { feature: "a1".into(), name: "Drain".to_owned() }).unwrap();
    assert_eq!(
        (job.placed_name(&"a1".into()), job.added[0].at_mm),
        ("Drain".to_owned(), Some(PlatePoint::new(42.0, 18.5)))
    );
    let taken = job.apply(Edit::Rename { feature: "h1".into(), name: "Drain".to_owned() });
    assert_eq!(taken, Err(EditRefused::NameTaken("Drain".to_owned())));
    let taken = job.apply(Edit::Rename { feature: "a1".into(), name: "H1".to_owned() });
    assert_eq!(taken, Err(EditRefused::NameTaken("H1".to_owned())));
}

#[test]
fn an_opening_is_left_out_and_an_outline_is_not() {
    let mut job = example();
    let keep = |keep| Edit::KeepContour { contour: "c1".into(), keep };
    let refused = job.apply(keep(false)).unwrap_err().to_string();
    assert_eq!(refused, "contours[0].keep: is false, and only an opening can be left out");
    job.apply(Edit::ContourRole { contour: "c1".into(), role: Role::Opening }).unwrap();
    job.apply(keep(false)).unwrap();
    assert_eq!(read(&write(&job)).unwrap(), job, "it stays left out in the file");
    job.apply(Edit::ContourRole { contour: "c1".into(), role: Role::Outer }).unwrap();
    assert!(job.contours[0].keep, "made the outline, it is part of the part");
}
