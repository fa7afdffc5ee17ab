//! The same work without a window.
//!
//! Exit codes: 0 done; 1 the work is refused or failed, with the reason as one sentence on standard error; 2 wrong
//! usage.

mod args;
pub mod cut;
pub mod flatten;
pub mod proof;
pub mod proof_plate;
pub mod report;
mod solve;
mod solve_json;
mod verdict;

use crate::files::{self, OpenedJob};
use crate::measuring::{Measured, Request};
use crate::window;
use args::{Args, Command, ProofPaper};
use clap::Parser as _;
use platewright_core::instrument::Instrument;
use platewright_core::job::Job;
use std::ffi::OsString;
use std::io::{self, Write};
use std::path::PathBuf;
use std::sync::Arc;

/// The work is done.
pub const DONE: u8 = 0;
/// The work is refused or failed.
pub const FAILED: u8 = 1;
/// The command is not one that there is.
pub const WRONG_USAGE: u8 = 2;

/// Why a command without a window failed: one sentence, or a sentence and its list.
#[derive(Debug, thiserror::Error)]
pub enum CommandError {
    /// A file could not be read or written.
    #[error(transparent)]
    File(#[from] crate::files::FileError),
    /// The cut file is refused.
    #[error("{}{}", .0, way_out(.0))]
    Cut(#[from] cut::CutRefused),
    /// What the check bars are said to read puts no printer right.
    #[error(transparent)]
    Bars(#[from] platewright_core::paper::BarRefused),
    /// What was computed could not be printed.
    #[error("the result could not be printed: {0}")]
    Print(#[from] io::Error),
    /// The window did not open.
    #[error("{0}")]
    Window(String),
}

/// What else can be done, for who cuts without a window.
fn way_out(refused: &cut::CutRefused) -> &'static str {
    match refused {
        cut::CutRefused::Checks(_) => "\nMend the job, or say --even-so to have the file written and marked.",
        cut::CutRefused::File(_) => "",
    }
}

/// Carries out the program's arguments, the first being its own name; the exit code.
pub fn run(args: impl IntoIterator<Item = OsString>, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    let args = match Args::try_parse_from(args) {
        Ok(args) => args,
        // Help and version are asked for; they are no mistake.
        Err(said) if !said.use_stderr() => return printed(out, &said.render().to_string(), DONE),
        Err(said) => return printed(err, &said.render().to_string(), WRONG_USAGE),
    };
    if let Some(word) = args.mistaken_command() {
        let text = format!("There is no command and no file “{word}”. Try ‘platewright --help’.\n");
        return printed(err, &text, WRONG_USAGE);
    }
    if let Some(text) = args.contradiction() {
        return printed(err, &format!("{text}\n"), WRONG_USAGE);
    }
    match carry_out(args, out) {
        Ok(()) => DONE,
        // Whoever reads the output has gone (‘platewright solve job | head’); nobody is left to be told.
        Err(CommandError::Print(error)) if error.kind() == io::ErrorKind::BrokenPipe => FAILED,
        Err(error) => printed(err, &format!("{error}\n"), FAILED),
    }
}

fn carry_out(args: Args, out: &mut dyn Write) -> Result<(), CommandError> {
    let replaces = args.output().is_some_and(files::is_there);
    work(args, out)?;
    if replaces {
        writeln!(out, "It took the place of a file of that name.")?;
    }
    Ok(())
}

fn work(args: Args, out: &mut dyn Write) -> Result<(), CommandError> {
    match args.command {
        Some(Command::Solve { job, json }) => solve::run(&job, json, out),
        Some(Command::Cut { job, output, r12, even_so }) => cut::run(&job, &output, r12, even_so, out),
        Some(Command::Proof { job, output, paper, bar_across, bar_up, plate }) => {
            if proof_plate::PlateFormat::of(&output).is_some() {
                return proof_plate::run(&job, &output, plate, out);
            }
            let bars_mm = [bar_across, bar_up].map(|bar| bar.unwrap_or(proof::BARS_MM));
            let printed = proof::Printed { paper: paper.unwrap_or(ProofPaper::A4).into(), bars_mm };
            proof::run(&job, &output, printed, out)
        }
        Some(Command::Report { job, output, paper }) => report::run(&job, &output, paper.into(), out),
        Some(Command::Flatten { job, output, px_per_mm }) => flatten::run(&job, &output, px_per_mm, out),
        None => open_window(args.job, args.frame_times),
    }
}

/// Why nothing is made at true scale.
const SIZE_NOT_KNOWN: &str = "nothing says how large the part is; measure between two holes";

/// Measures in the photo what a job points at, and computes what follows.
fn measured(opened: OpenedJob) -> io::Result<(Job, Measured)> {
    let photo = Arc::new(opened.photo);
    let request = Request { job: opened.job, revision: 0, photo, instrument: Instrument::CALIPER };
    let measured = request.measure(&|| true).ok_or_else(|| io::Error::other("the measuring was stopped"))?;
    Ok((request.job, measured))
}

fn open_window(job: Option<PathBuf>, frame_times: bool) -> Result<(), CommandError> {
    window::open(job, frame_times).map_err(CommandError::Window)
}

/// Prints `text`; `code`, or that of a failure where nothing can be printed.
fn printed(to: &mut dyn Write, text: &str, code: u8) -> u8 {
    match to.write_all(text.as_bytes()).and_then(|()| to.flush()) {
        Ok(()) => code,
        Err(_gone) => code.max(FAILED),
    }
}
