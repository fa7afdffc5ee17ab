//! What is on this machine beside the project: shared photos, and Python with the judges' packages.

use serde_json::Value;
use std::ffi::OsStr;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The project's folder.
pub fn project_dir() -> PathBuf {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR"));
    tests.parent().unwrap_or(tests).to_path_buf()
}

/// The folder with shared photos and references: `PLATEWRIGHT_SHARED`, or `shared` beside the project; `None` where
/// there is none.
pub fn shared_dir() -> Option<PathBuf> {
    let named = std::env::var_os("PLATEWRIGHT_SHARED").filter(|value| !value.is_empty()).map(PathBuf::from);
    let folder = named.unwrap_or_else(|| project_dir().join("../shared"));
    folder.is_dir().then_some(folder)
}

/// The Python that has the judges' packages: `PLATEWRIGHT_PYTHON`, or the one that `tests/run.sh` sets up; `None` where
/// there is none.
pub fn python() -> Option<PathBuf> {
    let named = std::env::var_os("PLATEWRIGHT_PYTHON").filter(|value| !value.is_empty()).map(PathBuf::from);
    let python = named.unwrap_or_else(|| project_dir().join(".venv/bin/python"));
    python.is_file().then_some(python)
}

/// Says that a check was not made, and why. Nextest and `cargo test -- --nocapture` show it.
pub fn skip(reason: &str) {
    println!("skipped: {reason}");
}

/// Runs the judge `tests/judges/<script>` with `args`, with `input` as JSON on its standard input where it wants some,
/// and returns what it prints. `None`, and said so, where there is no Python for it.
///
/// # Panics
/// Where the judge cannot be run, fails, or prints no JSON: the check that asked cannot be made then.
pub fn run_judge(script: &str, args: &[&OsStr], input: Option<&Value>) -> Option<Value> {
    let Some(python) = python() else {
        skip("there is no Python with the judges' packages; run tests/run.sh");
        return None;
    };
    let path = project_dir().join("tests/judges").join(script);
    let mut judge = Command::new(python)
        .arg(path)
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap_or_else(|error| panic!("{script} did not start: {error}"));
    // The judges read all of their input before they print, so this cannot wait for itself.
    if let (Some(mut stdin), Some(input)) = (judge.stdin.take(), input) {
        let sent = stdin.write_all(input.to_string().as_bytes());
        sent.unwrap_or_else(|error| panic!("{script} did not take its input: {error}"));
    }
    let out = judge.wait_with_output().unwrap_or_else(|error| panic!("{script} did not end: {error}"));
    let said = String::from_utf8_lossy(&out.stderr);
    assert!(out.status.success(), "{script} failed: {said}");
    match serde_json::from_slice(&out.stdout) {
        Ok(value) => Some(value),
        Err(error) => panic!("{script} printed no JSON ({error}): {}", String::from_utf8_lossy(&out.stdout)),
    }
}
