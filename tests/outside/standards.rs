//! The tables of fasteners and holes against the reference data, figure by figure.

use platewright_core::standards::{Fastener, HoleClass, clearance_hole_mm, tapping_drill_mm};
use platewright_core::units::MM_PER_INCH;
use platewright_tests::{shared_dir, skip};
use serde_json::Value;

/// Sizes of the reference data that the tables do not go down to.
const TOO_SMALL: [&str; 7] = ["M1", "M1.2", "M1.4", "#0", "#1", "#2", "#3"];

fn data(file: &str) -> Option<Value> {
    let Some(shared) = shared_dir() else {
        skip("the reference figures are not beside the project");
        return None;
    };
    let text =
        std::fs::read_to_string(shared.join("references/data").join(file)).expect("the reference data can be read");
    Some(serde_json::from_str(&text).expect("the reference data is JSON"))
}

fn figure(value: &Value) -> f64 {
    value.as_f64().expect("a figure")
}

/// The fastener of that name; `None` for one that is too small.
fn fastener(name: &str) -> Option<Fastener> {
    let found = Fastener::parse(name);
    assert_eq!(found.is_none(), TOO_SMALL.contains(&name), "{name} is in the tables");
    found
}

#[track_caller]
fn check(what: &str, found: Option<f64>, mm: f64) {
    assert!(found.is_some_and(|found| (found - mm).abs() < 1e-9), "{what}: {found:?}, not {mm}");
}

#[test]
fn iso_273_is_that_of_the_reference_data() {
    let Some(data) = data("iso273.json") else { return };
    let mut compared = 0;
    for (name, row) in data["holes"].as_object().expect("holes by fastener") {
        let Some(fastener) = fastener(name) else { continue };
        check(name, Some(fastener.diameter_mm()), name[1..].parse().expect("M and its diameter"));
        for class in [HoleClass::Fine, HoleClass::Medium, HoleClass::Coarse] {
            let found = clearance_hole_mm(fastener, class);
            if name == "M7" && class == HoleClass::Coarse {
                assert_eq!(found, None, "M7 coarse is in doubt");
            } else {
                check(&format!("{name} {}", class.name()), found, figure(&row[class.name()]));
                compared += 1;
            }
        }
    }
    assert_eq!(compared, 21 * 3 - 1, "every size was compared");
}

#[test]
fn asme_b18_2_8_is_that_of_the_reference_data() {
    let Some(data) = data("asme_b18_2_8.json") else { return };
    let mut compared = 0;
    for row in data["sizes"].as_array().expect("sizes") {
        let name = row["size"].as_str().expect("a name");
        // The data calls one inch by the figure alone, which is no size to the reader.
        let Some(fastener) = fastener(if name == "1" { "1 in" } else { name }) else { continue };
        check(name, Some(fastener.diameter_mm()), figure(&row["nominal"]) * MM_PER_INCH);
        for class in [HoleClass::Close, HoleClass::Normal, HoleClass::Loose] {
            let mm = figure(&row[class.name()]) * MM_PER_INCH;
            check(&format!("{name} {}", class.name()), clearance_hole_mm(fastener, class), mm);
            compared += 1;
        }
    }
    assert_eq!(compared, 14 * 3, "every size was compared");
}

#[test]
fn iso_2306_is_that_of_the_reference_data() {
    let Some(data) = data("iso262_2306.json") else { return };
    let rows = data["coarse"].as_object().expect("drills by fastener");
    for (name, row) in rows {
        let fastener = fastener(name).expect("all of them are in the tables");
        check(name, tapping_drill_mm(fastener), figure(&row["tap_drill"]));
        // The drill leaves a thread: it is about the diameter less the pitch, ISO 2306's own rule of rounding.
        let rule = fastener.diameter_mm() - figure(&row["pitch"]);
        assert!((figure(&row["tap_drill"]) - rule).abs() <= 0.051, "{name}: {rule}");
    }
    let drilled = Fastener::all().filter(|fastener| tapping_drill_mm(*fastener).is_some()).count();
    assert_eq!(drilled, rows.len(), "no drill beyond those of the data");
}
