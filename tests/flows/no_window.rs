//! A machine that has no display, or no graphics: one sentence with the way out, and exit code 1.
#![expect(clippy::unwrap_used, reason = "what fails here is a failed check")]
#![cfg(target_os = "linux")]

use platewright_tests::{built_program, skip};
use std::io::{BufRead as _, BufReader};
use std::process::{Command, Stdio};

/// The program with an account of its own, told to open its window.
fn program(folder: &tempfile::TempDir) -> Command {
    let mut program = Command::new(built_program());
    for name in ["HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_DATA_HOME"] {
        program.env(name, folder.path());
    }
    program.env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY").env_remove("WAYLAND_SOCKET").stdin(Stdio::null());
    program
}

#[track_caller]
fn check_said(program: &mut Command, sentence: &str) {
    let out = program.output().unwrap();
    let said = String::from_utf8_lossy(&out.stderr);
    let last = said.lines().last().unwrap_or_default();
    assert_eq!((last, out.status.code()), (sentence, Some(1)), "all that was said: {said}");
}

#[test]
fn without_a_display_the_commands_are_named() {
    let folder = tempfile::tempdir().unwrap();
    let sentence = "There is no display to open a window on. Use ‘platewright solve JOB’ and ‘platewright cut JOB -o \
                    FILE.dxf’, which need none.";
    check_said(&mut program(&folder), sentence);
}

#[test]
fn without_graphics_what_to_install_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let started = Command::new("Xvfb")
        .args(["-displayfd", "1", "-noreset", "-nolisten", "tcp", "-screen", "0", "800x600x24", "-extension", "GLX"])
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn();
    let Ok(mut server) = started else { return skip("there is no Xvfb here; tests/run.sh installs it") };
    let mut number = String::new();
    BufReader::new(server.stdout.take().unwrap()).read_line(&mut number).unwrap();
    let mut program = program(&folder);
    program.env("DISPLAY", format!(":{}", number.trim()));
    // No driver is found by either way to one.
    program.env("__EGL_VENDOR_LIBRARY_DIRS", "/nonexistent").env("LIBGL_DRIVERS_PATH", "/nonexistent");
    let sentence = "The display has no graphics driver that draws with OpenGL. Install one (on Debian: \
                    libgl1-mesa-dri), or use ‘platewright solve JOB’, which needs none.";
    let checked = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| check_said(&mut program, sentence)));
    server.kill().unwrap();
    server.wait().unwrap();
    checked.unwrap();
}
