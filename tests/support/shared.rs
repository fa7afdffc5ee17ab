//! What lies outside the project: shared photos and figures, and the Python judges.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The project's own folder.
pub fn project_dir() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().map(Path::to_path_buf).unwrap_or_default()
}

/// The folder of shared photos and reference figures: `PLATEWRIGHT_SHARED`, or `../shared` beside the project.
pub fn shared_dir() -> Option<PathBuf> {
    let named = std::env::var_os("PLATEWRIGHT_SHARED").map(PathBuf::from);
    let beside = project_dir().parent().map(|parent| parent.join("shared"));
    named.into_iter().chain(beside).find(|folder| folder.join("photos").is_dir())
}

/// Says that a check was skipped, and why.
#[expect(clippy::print_stdout, reason = "a skipped check says so where the tests print")]
pub fn skip(reason: &str) {
    println!("skipped: {reason}");
}

/// Builds the program as the tests were built, and says where it is.
///
/// # Panics
/// Where it does not build.
pub fn built_program() -> PathBuf {
    let status = Command::new(env!("CARGO"))
        .args(["build", "--quiet", "--locked", "-p", "platewright", "--bin", "platewright"])
        .current_dir(project_dir())
        .status();
    assert!(status.is_ok_and(|status| status.success()), "the program builds");
    let tests = std::env::current_exe().expect("a running test has a place");
    tests.parent().and_then(Path::parent).expect("tests lie in a folder beside the program").join("platewright")
}

/// Runs `tests/judges/SCRIPT ARGS` with `input` on its standard input and reads the JSON that it prints; `None`, said
/// aloud, where there is no Python with the judges' libraries (`tests/run.sh` makes one and names it in
/// `PLATEWRIGHT_PYTHON`).
///
/// # Panics
/// Where the judge fails or prints no JSON.
pub fn judge(script: &str, args: &[&str], input: &str) -> Option<serde_json::Value> {
    let Some(python) = std::env::var_os("PLATEWRIGHT_PYTHON") else {
        skip("PLATEWRIGHT_PYTHON names no Python for the judges; tests/run.sh sets one up");
        return None;
    };
    let mut child = Command::new(python)
        .arg(project_dir().join("tests/judges").join(script))
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the judge starts");
    child.stdin.take().expect("the judge has a standard input").write_all(input.as_bytes()).expect("the judge reads");
    let output = child.wait_with_output().expect("the judge ends");
    assert!(output.status.success(), "{script} failed");
    Some(serde_json::from_slice(&output.stdout).expect("the judge prints JSON"))
}
