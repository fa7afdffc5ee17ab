//! The Platewright workbench.

use std::process::ExitCode;

fn main() -> ExitCode {
    // Neither is locked: while the window is open, other threads may have something to say too.
    ExitCode::from(platewright::run(std::env::args_os(), &mut std::io::stdout(), &mut std::io::stderr()))
}
