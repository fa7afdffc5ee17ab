//! The demo job gives its expected results and its expected cut file.
#![expect(clippy::unwrap_used, reason = "what fails here is a failed check")]

mod program;

use platewright_tests::{judge, project_dir};
use program::platewright;
use serde_json::Value;
use std::fs;

fn demo(name: &str) -> String {
    project_dir().join("demo").join(name).display().to_string()
}

/// Figures agree to a millionth of a mm (or of what they are in), everything else exactly.
fn same(ours: &Value, expected: &Value, at: &str) {
    match (ours, expected) {
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            assert!((a - b).abs() <= 1e-6 * b.abs().max(1.0), "{at}: {a} here, {b} expected");
        }
        (Value::Array(a), Value::Array(b)) => {
            assert_eq!(a.len(), b.len(), "{at}: as many entries");
            a.iter().zip(b).enumerate().for_each(|(i, (a, b))| same(a, b, &format!("{at}[{i}]")));
        }
        (Value::Object(a), Value::Object(b)) => {
            assert!(a.keys().eq(b.keys()), "{at}: the same keys");
            a.iter().for_each(|(key, value)| same(value, &b[key], &format!("{at}.{key}")));
        }
        (a, b) => assert_eq!(a, b, "{at}"),
    }
}

#[test]
fn the_demo_solves_to_its_expected_results() {
    let ran = platewright(["solve", &demo("milk-valve-flange.plate.json"), "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let expected = fs::read_to_string(demo("expected/milk-valve-flange.solve.json")).unwrap();
    same(&serde_json::from_str(&ran.out).unwrap(), &serde_json::from_str(&expected).unwrap(), "demo");
}

#[test]
fn the_demo_is_cut_as_expected() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("flange.dxf").display().to_string();
    let ran = platewright(["cut", &demo("milk-valve-flange.plate.json"), "-o", &path]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let Some(ours) = judge("dxf_judge.py", &[&path], "") else { return };
    let expected = judge("dxf_judge.py", &[&demo("expected/milk-valve-flange.dxf")], "").unwrap();
    same(&ours, &expected, "cut file");
    for list in ["audit_errors", "audit_fixes", "recover_errors", "recover_fixes"] {
        assert_eq!(ours[list].as_array().map(Vec::len), Some(0), "{list} by ezdxf");
    }
    assert_eq!(ours["valid"], true, "shapely finds the part valid");
    assert_eq!(ours["circles"].as_array().map(Vec::len), Some(7), "seven holes");
}
