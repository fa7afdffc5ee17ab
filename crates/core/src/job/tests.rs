//! Job files, good and bad.

use super::*;
use crate::space::{PhotoPoint, PhotoVec, PlatePoint};
use proptest::prelude::*;

/// The example of the documentation, with a digest and with everything that its references need.
pub(super) const EXAMPLE: &str = r#"{
  "format": "platewright-job", "version": 1,
  "title": "Milk valve flange",
  "photo": {
    "file": "milk-valve-flange.jpg",
    "sha256": "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef", "size": [4000, 3000],
    "held": "by-eye",
    "focal_px": { "value": 2889.0, "sigma": 60.0 }
  },
  "holes": [
    { "id": "h1", "name": "H1", "rim": [[812.5, 640.0], [871.0, 655.5], [840.0, 702.0]],
      "measure_rim": true, "group": "studs", "edge_break": false, "keep": true },
    { "id": "h3", "name": "H3", "rim": [] },
    { "id": "h5", "name": "H5", "rim": [[2812.5, 640.0]] }
  ],
  "points": [ { "id": "p1", "name": "P1", "at": [301.0, 2204.5] }, { "id": "p2", "name": "P2", "at": [3010, 2204] } ],
  "edges": [ { "id": "e1", "name": "E1", "along": [[220.0, 330.0], [1180.0, 268.0]], "measure_edge": true } ],
  "measures": [
    { "id": "m1", "kind": "far-rims", "between": ["h1", "h5"], "mm": 231.45, "sigma_mm": 0.05 },
    { "id": "m2", "kind": "diameter", "between": ["h1"], "mm": 6.62, "sigma_mm": 0.05 },
    { "id": "m3", "kind": "points", "between": ["p1", "p2"], "mm": 187.3, "sigma_mm": 0.25, "use": true }
  ],
  "statements": [ { "id": "s1", "kind": "straight", "between": ["e1", "p1", "p2"], "sigma_mm": 0.04 } ],
  "groups": [ { "id": "studs", "fastener": "M6", "clearance": "medium", "finished_mm": 6.6, "same_size_sigma_mm": 0.03 } ],
  "contours": [
    { "id": "c1", "role": "outer", "closed": true, "follow_edge": true,
      "nodes": [ { "at": [210.0, 318.0], "kind": "corner", "next": "line" },
                 { "at": [1200.5, 260.0], "kind": "smooth", "next": "curve" } ] }
  ],
  "added": [ { "id": "a1", "kind": "hole", "at_mm": [42.0, 18.5], "diameter_mm": 4.2 } ],
  "datum": { "origin": "h1", "along": "h5" },
  "stock": { "thickness_mm": 3.0, "kerf_mm": 0.15, "kerf_in_file": false, "cut_tolerance_mm": 0.1,
             "material": "metal", "sheet_mm": [1000.0, 500.0], "copies": 3, "gap_mm": 6.0, "unit": "inch" },
  "duties": ["pressure", "guarding"],
  "tried": { "on": "printed-plate", "bar_across_mm": [80.0, 79.62], "bar_up_mm": [100.0, 99.9] },
  "trials": [ { "id": "t1", "hole": "h3", "outcome": "touched", "towards_deg": 180.0, "mm": 0.2 } ]
}"#;

/// The example as a job.
pub(crate) fn example() -> Job {
    read(EXAMPLE).unwrap()
}

/// The example with one piece of it replaced; the piece has to be there once.
fn with(piece: &str, by: &str) -> String {
    assert_eq!(EXAMPLE.matches(piece).count(), 1, "“{piece}” has to be there once");
    EXAMPLE.replace(piece, by)
}

#[track_caller]
fn check_refused(text: &str, sentence: &str) {
    assert_eq!(read(text).unwrap_err().to_string(), sentence, "what is said");
}

#[test]
fn the_documented_example_is_read() {
    let job = read(EXAMPLE).unwrap();
    assert_eq!(job.holes[0].rim[1], PhotoPoint::new(871.0, 655.5), "the second pick");
    assert!(job.holes[1].measure_rim && job.holes[1].keep, "what is left out takes its usual value");
    assert!(job.measures.iter().all(|m| m.in_use), "measures count unless it is said that they do not");
    assert_eq!(job.added[0].at_mm, Some(PlatePoint::new(42.0, 18.5)), "an added hole");
    assert_eq!(job.trials[0].outcome, Outcome::Touched, "a trial");
    let tried = job.tried.unwrap();
    assert_eq!((tried.on, tried.bar_across_mm), (TriedOn::PrintedPlate, Some([80.0, 79.62])), "what was tried");
}

#[test]
fn only_format_version_and_photo_are_needed() {
    let sha = "0".repeat(64);
    let text = format!(
        r#"{{"format":"platewright-job","version":1,"photo":{{"file":"a.jpg","sha256":"{sha}","size":[1,1]}}}}"#
    );
    let job = read(&text).unwrap();
    assert_eq!(job, Job::new(job.photo.clone()), "a job with nothing said yet");
    assert_eq!(job.photo.held, Held::ByEye, "held by eye where nothing is said");
}

#[test]
fn a_byte_order_mark_does_no_harm() {
    assert_eq!(read(&format!("\u{feff}{EXAMPLE}")), read(EXAMPLE), "the same job");
}

#[test]
fn the_example_is_written_as_documented() {
    let text = write(&read(EXAMPLE).unwrap());
    let row = r#"    { "id": "m1", "kind": "far-rims", "between": ["h1", "h5"], "mm": 231.45, "sigma_mm": 0.05 },"#;
    assert!(text.lines().any(|line| line == row), "a measure is a row: {text}");
    assert!(
        text.starts_with("{\n  \"format\": \"platewright-job\",\n  \"version\": 1,\n  \"title\""),
        "in order: {text}"
    );
    assert!(text.ends_with("}\n"), "a line break ends the file");
}

#[test]
fn what_is_no_job_is_refused() {
    check_refused("", "the file is empty");
    check_refused(" \n", "the file is empty");
    check_refused("[]", "this is no job file, which is one object in { }");
    check_refused("{}", "format: is missing: this is no job file");
    check_refused("hello", "this is not JSON (line 1, column 1: expected value)");
    check_refused(
        &with("platewright-job", "some-job"),
        "format: is “some-job”, which is not “platewright-job”: this is no job file",
    );
    check_refused(&format!("{EXAMPLE} {{}}"), "something follows the end of the job (line 37, column 3)");
}

#[test]
fn half_a_file_is_refused_wherever_it_was_cut() {
    for end in (1..EXAMPLE.len()).filter(|end| EXAMPLE.is_char_boundary(*end)) {
        let text = read(&EXAMPLE[..end]).unwrap_err().to_string();
        assert!(text.contains("the file ends in the middle (line "), "cut at {end}: {text}");
    }
    let half = &EXAMPLE[..EXAMPLE.find("871.0").unwrap()];
    check_refused(half, "holes[0].rim[1]: the file ends in the middle (line 11, column 57)");
}

#[test]
fn the_version_is_looked_at_before_the_rest() {
    let newer = with("\"version\": 1,", "\"version\": 3, \"palette\": [],");
    check_refused(&newer, "version: is version 3; this program reads up to 1; it is left untouched");
    check_refused(&with("\"version\": 1,", "\"version\": 0,"), "version: 0 is no version that was ever written");
    check_refused(&with("\"version\": 1,", "\"version\": 1.5,"), "version: 1.5 is no version that was ever written");
    check_refused(&with("\"version\": 1,", "\"version\": [1],"), "version: “[1]” is not a whole number");
    check_refused(&with("\"version\": 1,", ""), "version: is missing");
}

#[test]
fn unknown_missing_and_doubled_keys_are_named() {
    check_refused(&with("\"title\"", "\"titel\""), "titel: is not a key that is known here");
    check_refused(
        &with("\"edge_break\"", "\"edge\\nbreak\""),
        "holes[0].edge\\nbreak: is not a key that is known here",
    );
    check_refused(&with("\"kind\": \"corner\", ", ""), "contours[0].nodes[0]: the key “kind” is missing");
    check_refused(
        &with("\"held\": \"by-eye\",", "\"held\": \"by-eye\", \"held\": \"unknown\","),
        "photo: the key “held” is there twice",
    );
    check_refused(
        &with("\"smooth\"", "\"round\""),
        "contours[0].nodes[1].kind: “round” is not known here; known are “corner” or “smooth”",
    );
}

#[test]
fn what_is_no_number_is_refused() {
    let sigma = |word: &str| with("\"mm\": 6.62, \"sigma_mm\": 0.05", &format!("\"mm\": 6.62, \"sigma_mm\": {word}"));
    check_refused(&sigma("NaN"), "measures[1].sigma_mm: “NaN” is not a number (line 20, column 82)");
    check_refused(&sigma("-Infinity"), "measures[1].sigma_mm: “-Infinity” is not a number (line 20, column 83)");
    check_refused(&sigma("1e999"), "measures[1].sigma_mm: the number is too large to hold (line 20, column 86)");
    check_refused(&sigma("null"), "measures[1].sigma_mm: is null, where a number belongs");
    check_refused(&sigma("\"0.05\""), "measures[1].sigma_mm: is \"0.05\", where a number belongs");
    check_refused(&sigma("1e7"), "measures[1].sigma_mm: is 1e7, which is more than anything here can be");
    check_refused(&sigma("1e-300"), "measures[1].sigma_mm: is 1e-300, which is less than anything here can be");
}

#[test]
fn lengths_and_spreads_are_more_than_nothing() {
    let more = "and it has to be more than 0";
    for (piece, by, key) in [
        ("\"mm\": 231.45", "\"mm\": 0", "measures[0].mm: is 0"),
        ("\"mm\": 231.45", "\"mm\": -1.5", "measures[0].mm: is -1.5"),
        ("\"mm\": 6.62, \"sigma_mm\": 0.05", "\"mm\": 6.62, \"sigma_mm\": 0", "measures[1].sigma_mm: is 0"),
        ("\"diameter_mm\": 4.2", "\"diameter_mm\": 0.0", "added[0].diameter_mm: is 0"),
        ("\"finished_mm\": 6.6", "\"finished_mm\": -6.6", "groups[0].finished_mm: is -6.6"),
        ("\"sigma_mm\": 0.04", "\"sigma_mm\": 0", "statements[0].sigma_mm: is 0"),
        ("\"same_size_sigma_mm\": 0.03", "\"same_size_sigma_mm\": -1", "groups[0].same_size_sigma_mm: is -1"),
        ("\"thickness_mm\": 3.0", "\"thickness_mm\": 0", "stock.thickness_mm: is 0"),
        ("1000.0, 500.0", "1000.0, 0", "stock.sheet_mm[1]: is 0"),
        ("\"value\": 2889.0", "\"value\": 0", "photo.focal_px.value: is 0"),
        ("\"sigma\": 60.0", "\"sigma\": -0.0", "photo.focal_px.sigma: is -0"),
        ("\"measure_rim\": true,", "\"sigma_px\": 0,", "holes[0].sigma_px: is 0"),
        ("\"name\": \"P1\",", "\"name\": \"P1\", \"sigma_px\": 0,", "points[0].sigma_px: is 0"),
        ("\"measure_edge\": true", "\"sigma_px\": 0", "edges[0].sigma_px: is 0"),
    ] {
        check_refused(&with(piece, by), &format!("{key}, {more}"));
    }
    let less = "and it cannot be less than 0";
    check_refused(&with("\"kerf_mm\": 0.15", "\"kerf_mm\": -0.15"), &format!("stock.kerf_mm: is -0.15, {less}"));
    check_refused(&with("\"mm\": 0.2 ", "\"mm\": -0.2 "), &format!("trials[0].mm: is -0.2, {less}"));
    check_refused(
        &with("\"mm\": 0.2 ", "\"mm\": 0.2, \"round\": 0 "),
        "trials[0].round: is 0, and the first plate that is tried is 1",
    );
    let no_printer = "tried.bar_across_mm: reads 3.13 where it should be 80, which no printer does";
    check_refused(&with("79.62", "3.13"), no_printer);
    check_refused(&with("99.9]", "0]"), &format!("tried.bar_up_mm[1]: is 0, {more}"));
    check_refused(&with("\"gap_mm\": 6.0", "\"gap_mm\": -6.0"), &format!("stock.gap_mm: is -6, {less}"));
    for n in [0, 501] {
        let said = format!("stock.copies: is {n}, and one file holds 1 to 500");
        check_refused(&with("\"copies\": 3", &format!("\"copies\": {n}")), &said);
    }
    assert!(read(&with("\"kerf_mm\": 0.15", "\"kerf_mm\": 0")).is_ok(), "a cut may have no width");
    let no_pixel = "is 0, and a photo has at least one pixel";
    check_refused(&with("[4000, 3000]", "[4000, 0]"), &format!("photo.size[1]: {no_pixel}"));
}

#[test]
fn what_no_plate_and_no_cutter_is_like_is_refused_with_the_limit() {
    for (piece, by, said) in [
        ("\"kerf_mm\": 0.15", "\"kerf_mm\": 500", "stock.kerf_mm: is 500 mm, and no kerf is wider than 10 mm"),
        (
            "\"cut_tolerance_mm\": 0.1",
            "\"cut_tolerance_mm\": 2000",
            "stock.cut_tolerance_mm: is 2000 mm, and no cutter is farther off than 10 mm",
        ),
        (
            "\"thickness_mm\": 3.0",
            "\"thickness_mm\": 3e3",
            "stock.thickness_mm: is 3000 mm, and no sheet is thicker than 1000 mm",
        ),
        ("1000.0, 500.0", "1000.0, 50001.0", "stock.sheet_mm[1]: is 50001 mm, and no sheet is longer than 50000 mm"),
        (
            "\"gap_mm\": 6.0",
            "\"gap_mm\": 6000",
            "stock.gap_mm: is 6000 mm, and no copies lie farther apart than 1000 mm",
        ),
        (
            "\"finished_mm\": 6.6",
            "\"finished_mm\": 32000",
            "groups[0].finished_mm: is 32000 mm, and no hole is wider than 10000 mm",
        ),
        (
            "\"diameter_mm\": 4.2",
            "\"diameter_mm\": 32000",
            "added[0].diameter_mm: is 32000 mm, and no hole is wider than 10000 mm",
        ),
        ("\"mm\": 6.62", "\"mm\": 32000", "measures[1].mm: is 32000 mm, and no hole is wider than 10000 mm"),
        ("\"mm\": 231.45", "\"mm\": 231450", "measures[0].mm: is 231450 mm, and no part is longer than 50000 mm"),
        (
            "\"fastener\": \"M6\"",
            "\"fastener\": \"banana\"",
            "groups[0].fastener: “banana” is no fastener: a size has a figure in it, as M6, #10 and 1/4 in have",
        ),
    ] {
        check_refused(&with(piece, by), said);
    }
    // What is rare is taken all the same: a size that the standards do not hold, a plate and a bore of several metres.
    for (piece, by) in [
        ("\"fastener\": \"M6\"", "\"fastener\": \"M42\""),
        ("1000.0, 500.0", "12000.0, 3000.0"),
        ("\"finished_mm\": 6.6", "\"finished_mm\": 4500"),
        ("\"kerf_mm\": 0.15", "\"kerf_mm\": 10"),
        ("\"mm\": 231.45", "\"mm\": 11800"),
    ] {
        assert!(read(&with(piece, by)).is_ok(), "{by}: {:?}", read(&with(piece, by)));
    }
}

#[test]
fn statements_are_about_what_they_can_be_about() {
    let between = |ids: &str| with("[\"e1\", \"p1\", \"p2\"]", ids);
    check_refused(
        &between("[\"e1\"]"),
        "statements[0].between: names 1, and a straight edge needs itself and at least one point",
    );
    check_refused(&between("[\"e1\", \"p1\", \"p1\"]"), "statements[0].between[2]: names “p1” twice");
    check_refused(&between("[\"p1\", \"p2\"]"), "statements[0].between[0]: “p1” is a point, where an edge belongs");
    check_refused(
        &with("\"straight\"", "\"square\""),
        "statements[0].between: names 3, and a square corner needs two edges",
    );
}

#[test]
fn ids_are_unique_in_the_whole_job() {
    check_refused(&with("\"id\": \"h3\"", "\"id\": \"h1\""), "holes[1].id: “h1” is also the id of holes[0]");
    check_refused(&with("\"id\": \"p2\"", "\"id\": \"h3\""), "points[1].id: “h3” is also the id of holes[1]");
    check_refused(&with("\"id\": \"t1\"", "\"id\": \"studs\""), "trials[0].id: “studs” is also the id of groups[0]");
    check_refused(&with("\"id\": \"a1\"", "\"id\": \"\""), "added[0].id: is empty");
}

#[test]
fn references_lead_to_what_they_should() {
    let nothing = "nothing here has the id “x9”";
    for (piece, by, key) in [
        ("\"group\": \"studs\"", "\"group\": \"x9\"", "holes[0].group"),
        ("[\"h1\", \"h5\"]", "[\"h1\", \"x9\"]", "measures[0].between[1]"),
        ("\"origin\": \"h1\"", "\"origin\": \"x9\"", "datum.origin"),
        ("\"along\": \"h5\"", "\"along\": \"x9\"", "datum.along"),
        ("\"hole\": \"h3\"", "\"hole\": \"x9\"", "trials[0].hole"),
    ] {
        check_refused(&with(piece, by), &format!("{key}: {nothing}"));
    }
    check_refused(
        &with("\"group\": \"studs\"", "\"group\": \"p1\""),
        "holes[0].group: “p1” is a point, where a group belongs",
    );
    let datum_on_edge = with("\"origin\": \"h1\"", "\"origin\": \"e1\"");
    check_refused(&datum_on_edge, "datum.origin: “e1” is an edge, where a hole or a point belongs");
    let one_place = with("\"along\": \"h5\"", "\"along\": \"h1\"");
    check_refused(&one_place, "datum.along: is the origin itself, and x has to run towards another place");
}

#[test]
fn a_measure_lies_between_what_its_kind_says() {
    let far = |between: &str| with("[\"h1\", \"h5\"]", between);
    let needs = "names 1, and a measure of this kind needs 2";
    check_refused(&far("[\"h1\"]"), &format!("measures[0].between: {needs}"));
    check_refused(&far("[\"h1\", \"h1\"]"), "measures[0].between: goes from “h1” to itself");
    check_refused(&far("[\"h1\", \"p1\"]"), "measures[0].between[1]: “p1” is a point, where a hole belongs");
    let across = with("\"between\": [\"h1\"]", "\"between\": [\"h1\", \"h3\"]");
    check_refused(&across, "measures[1].between: names 2, and a measure of this kind needs 1");
    let rim_to_edge = |between: &str| {
        with("\"far-rims\", \"between\": [\"h1\", \"h5\"]", &format!("\"rim-to-edge\", \"between\": {between}"))
    };
    assert!(read(&rim_to_edge("[\"h1\", \"e1\"]")).is_ok(), "hole first");
    assert!(read(&rim_to_edge("[\"e1\", \"h1\"]")).is_ok(), "edge first");
    check_refused(&rim_to_edge("[\"h1\", \"h5\"]"), "measures[0].between: needs one hole and one edge");
}

/// The example with something agreed of its contour.
fn agreed(meant: &str) -> String {
    with("\"follow_edge\": true,", &format!("\"follow_edge\": true, \"agreed\": [{meant}],"))
}

#[test]
fn what_was_agreed_of_a_contour_names_what_its_kind_says() {
    let read_back = |text: &str| write(&read(text).unwrap());
    let parallel = r#"{ "kind": "parallel", "of": [[200.0, 300.0], [900.0, 280.0]] }"#;
    assert!(read_back(&agreed(parallel)).contains(parallel), "it stands on a line of its own");
    let concentric = r#"{ "kind": "concentric", "of": [[200.0, 300.0]], "hole": "h1" }"#;
    let mut job = read(&agreed(concentric)).unwrap();
    assert_eq!(job.contours[0].agreed[0].hole, Some(Id::from("h1")), "it names its hole");
    job.added.clear();
    job.apply(Edit::Remove("h1".into())).unwrap();
    assert!(job.contours[0].agreed.is_empty(), "it goes with its hole");
    let one = r#"{ "kind": "parallel", "of": [[200.0, 300.0]] }"#;
    check_refused(&agreed(one), "contours[0].agreed[0].of: names 1, and this kind needs 2");
    let no_hole = r#"{ "kind": "concentric", "of": [[200.0, 300.0]] }"#;
    check_refused(&agreed(no_hole), "contours[0].agreed[0].hole: is missing, and this kind needs one");
    let point = r#"{ "kind": "concentric", "of": [[200.0, 300.0]], "hole": "p1" }"#;
    check_refused(&agreed(point), "contours[0].agreed[0].hole: “p1” is a point, where a hole belongs");
    let no_figure = r#"{ "kind": "round-radius", "of": [[200.0, 300.0]] }"#;
    check_refused(&agreed(no_figure), "contours[0].agreed[0].mm: is missing, and this kind needs a figure");
    let figure = r#"{ "kind": "square", "of": [[200.0, 300.0], [4.0, 5.0]], "mm": 3.0 }"#;
    check_refused(&agreed(figure), "contours[0].agreed[0].mm: is there, and this kind has no figure");
    let nothing = r#"{ "kind": "round-radius", "of": [[200.0, 300.0]], "mm": 0.0 }"#;
    check_refused(&agreed(nothing), "contours[0].agreed[0].mm: is 0, and it has to be more than 0");
}

#[test]
fn the_digest_and_the_clearance_are_looked_at() {
    check_refused(
        &with("\"sha256\": \"0123", "\"sha256\": \"012"),
        "photo.sha256: “012456789abcdef0123456789abcdef012345678…” is not 64 hex digits",
    );
    check_refused(
        &with("\"clearance\": \"medium\"", "\"clearance\": \"snug\""),
        "groups[0].clearance: “snug” is not known here; known are fine, medium, coarse, close, normal, loose",
    );
    check_refused(&with("\"milk-valve-flange.jpg\"", "\"\""), "photo.file: is empty");
}

#[test]
fn shapes_that_do_not_fit_are_named_in_plain_words() {
    check_refused(&with("[301.0, 2204.5]", "[301.0]"), "points[0].at: is length 1, where a pair of numbers belongs");
    check_refused(
        &with("[301.0, 2204.5]", "[301.0, 2204.5, 1]"),
        "points[0].at: holds more than belongs here (line 16, column 65)",
    );
    check_refused(
        &with("[4000, 3000]", "[4000, -3000]"),
        "photo.size[1]: is -3000, where a whole number of 0 or more belongs",
    );
    check_refused(
        &with("\"measure_rim\": true", "\"measure_rim\": 1"),
        "holes[0].measure_rim: is 1, where true or false belongs",
    );
    check_refused(
        &with("\"datum\": { \"origin\": \"h1\", \"along\": \"h5\" }", "\"datum\": 5"),
        "datum: is 5, where an object in { } belongs",
    );
    check_refused(&with("\"rim\": []", "\"rim\": {}"), "holes[1].rim: is an object in { }, where a list belongs");
}

/// Coordinates, with many that are whole or tiny among them.
fn figure() -> impl Strategy<Value = f64> {
    prop_oneof![
        -1e6..1e6_f64,
        -10.0..10.0_f64,
        (-100..100_i32).prop_map(f64::from),
        Just(f64::MIN_POSITIVE),
        Just(-0.0)
    ]
}

fn length() -> impl Strategy<Value = f64> {
    prop_oneof![1e-9..1e6_f64, 0.01..10.0_f64]
}

/// A length of a part, a hole or a sheet: none is too long.
fn part_length() -> impl Strategy<Value = f64> {
    1e-9..1e4_f64
}

/// A kerf, or how far off a cutter is.
fn cut_length() -> impl Strategy<Value = f64> {
    1e-9..10.0_f64
}

fn photo_point() -> impl Strategy<Value = PhotoPoint> {
    (figure(), figure()).prop_map(|(x, y)| PhotoPoint::new(x, y))
}

fn photo_vec() -> impl Strategy<Value = PhotoVec> {
    (figure(), figure()).prop_map(|(x, y)| PhotoVec::new(x, y))
}

fn belief() -> impl Strategy<Value = Belief> {
    (length(), length()).prop_map(|(value, sigma)| Belief { value, sigma })
}

fn photo() -> impl Strategy<Value = Photo> {
    let lens = (proptest::option::of(belief()), proptest::option::of(belief())).prop_map(|(k1, p2)| LensBeliefs {
        k1,
        p2,
        ..LensBeliefs::default()
    });
    let held = prop_oneof![Just(Held::ByEye), Just(Held::Levelled), Just(Held::Unknown)];
    (".+", "[0-9a-fA-F]{64}", [1_u32.., 1_u32..], held, proptest::option::of(belief()), lens)
        .prop_map(|(file, sha256, size, held, focal_px, lens)| Photo { file, sha256, size, held, focal_px, lens })
}

fn node() -> impl Strategy<Value = Node> {
    let kind = prop_oneof![Just(NodeKind::Corner), Just(NodeKind::Smooth)];
    let next = prop_oneof![Just(Piece::Line), Just(Piece::Arc), Just(Piece::Curve)];
    let place = proptest::option::of(photo_point());
    let levers = (proptest::option::of(photo_vec()), proptest::option::of(photo_vec()));
    (photo_point(), kind, next, place, levers, any::<[bool; 2]>()).prop_map(
        |(at, kind, next, through, (lever_in, lever_out), [pinned, as_drawn])| Node {
            at,
            kind,
            next,
            through,
            lever_in,
            lever_out,
            pinned,
            as_drawn,
        },
    )
}

/// Something meant about holes and lines that are there.
fn meant() -> impl Strategy<Value = Meant> {
    let kinds = [
        MeantKind::EqualRadii,
        MeantKind::Concentric,
        MeantKind::Parallel,
        MeantKind::Square,
        MeantKind::RoundRadius,
        MeantKind::RoundDistance,
    ];
    (proptest::sample::select(kinds.to_vec()), photo_point(), photo_point(), length()).prop_map(
        |(kind, one, other, mm)| Meant {
            kind,
            of: [one, other][..kind.pieces()].to_vec(),
            hole: (kind == MeantKind::Concentric).then(|| Id::from("h0")),
            mm: kind.has_figure().then_some(mm),
        },
    )
}

/// A hole without its id.
fn hole() -> impl Strategy<Value = Hole> {
    let rim = proptest::collection::vec(photo_point(), 0..6);
    (any::<String>(), rim, proptest::option::of(length()), any::<[bool; 4]>()).prop_map(
        |(name, rim, sigma_px, [measure_rim, grouped, edge_break, keep])| Hole {
            id: Id(String::new()),
            name,
            rim,
            sigma_px,
            measure_rim,
            group: grouped.then(|| Id::from("g")),
            edge_break,
            keep,
        },
    )
}

prop_compose! {
    /// A whole job that holds together.
    fn job()(
        title in any::<String>(),
        photo in photo(),
        mut holes in proptest::collection::vec(hole(), 2..5),
        points in proptest::collection::vec((any::<String>(), photo_point(), proptest::option::of(length())), 0..3),
        readings in proptest::collection::vec((part_length(), length(), any::<bool>()), 0..4),
        contours in proptest::collection::vec(
            (proptest::collection::vec(node(), 0..4), any::<[bool; 3]>(), proptest::collection::vec(meant(), 0..3)), 0..3
        ),
        stock in proptest::option::of(
            (proptest::option::of(cut_length()), proptest::option::of(cut_length()), any::<bool>())
        ),
        trial in proptest::option::of((figure(), length())),
        with_datum in any::<bool>(),
    ) -> Job {
        let mut job = Job::new(photo);
        for (i, hole) in holes.iter_mut().enumerate() {
            hole.id = Id(format!("h{i}"));
        }
        job.title = title;
        job.holes = holes;
        job.points = points.into_iter().enumerate()
            .map(|(i, (name, at, sigma_px))| NamedPoint { id: Id(format!("p{i}")), name, at, sigma_px }).collect();
        job.measures = readings.into_iter().enumerate().map(|(i, (mm, sigma_mm, in_use))| Measure {
            id: Id(format!("m{i}")),
            kind: MeasureKind::FarRims,
            between: vec![Id::from("h0"), Id::from("h1")],
            mm,
            sigma_mm,
            in_use,
        }).collect();
        job.groups = vec![Group { fastener: Some("M6".to_owned()), ..Group::new(Id::from("g")) }];
        job.contours = contours.into_iter().enumerate().map(|(i, (nodes, [outer, closed, follow_edge], agreed))| Contour {
            id: Id(format!("c{i}")),
            role: if outer { Role::Outer } else { Role::Opening },
            closed,
            follow_edge,
            keep: outer || !follow_edge,
            nodes,
            refused: agreed.iter().take(1).cloned().collect(),
            agreed,
        }).collect();
        job.stock = stock.map(|(thickness_mm, kerf_mm, kerf_in_file)| Stock {
            thickness_mm, kerf_mm, kerf_in_file, ..Stock::default()
        });
        job.tried = trial.map(|(_, mm)| Tried {
            on: TriedOn::CutPlate, bar_across_mm: Some([mm, mm]), bar_up_mm: None, print: Some(3),
        });
        job.trials = trial.into_iter().map(|(towards, mm)| Trial {
            id: Id::from("t"), hole: Id::from("h1"), round: 2, outcome: Outcome::Touched, towards_deg: Some(towards), mm: Some(mm),
            at_mm: None,
        }).collect();
        job.datum = with_datum.then(|| Datum { origin: Id::from("h0"), along: Id::from("h1") });
        job
    }
}

proptest! {
    #[test]
    fn a_job_that_was_written_is_read_back_the_same(job in job()) {
        let text = write(&job);
        prop_assert_eq!(read(&text), Ok(job.clone()), "{}", text);
        prop_assert_eq!(write(&job), text, "the same bytes again");
    }

    #[test]
    fn a_damaged_file_never_brings_the_reader_down(
        at in 0..EXAMPLE.len(), drop in 0_usize..12, put in "([\\[\\]{}\",:0-9.eE+-]|null|NaN|true|\\PC){0,4}",
    ) {
        let end = (at + drop).min(EXAMPLE.len());
        let text = format!("{}{put}{}", &EXAMPLE[..at], &EXAMPLE[end..]);
        if let Err(error) = read(&text) {
            let said = error.to_string();
            prop_assert!(!said.chars().any(char::is_control), "one line: {:?}", said);
            prop_assert!(said.chars().count() < 400, "one sentence: {}", said);
        }
    }
}
