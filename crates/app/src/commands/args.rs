//! The arguments of the program.

use std::path::PathBuf;

/// One photo and a few hand measures become a cut file that bolts up.
#[derive(Debug, clap::Parser)]
#[command(name = "platewright", version, args_conflicts_with_subcommands = true, disable_help_subcommand = true)]
pub(super) struct Args {
    /// A job or a photo to open in the window.
    pub(super) job: Option<PathBuf>,
    /// Print how long the window's frames took when it closes
    #[arg(long)]
    pub(super) frame_times: bool,
    /// What to do without a window.
    #[command(subcommand)]
    pub(super) command: Option<Command>,
}

/// What is done without a window.
#[derive(Debug, clap::Subcommand)]
pub(super) enum Command {
    /// Compute everything and print what is known
    Solve {
        /// The job file
        job: PathBuf,
        /// Print one JSON object instead of tables
        #[arg(long)]
        json: bool,
    },
    /// Write the cut file; refused while a check fails
    Cut {
        /// The job file
        job: PathBuf,
        /// The file to write, .dxf or .svg
        #[arg(short, long, value_name = "FILE.dxf", value_parser = cut_file)]
        output: PathBuf,
        /// Write DXF R12, for old controls; it cannot say its unit, so the name has to
        #[arg(long)]
        r12: bool,
        /// Write it although a check fails, and mark it
        #[arg(long)]
        even_so: bool,
    },
}

impl Args {
    /// A bare word that is no file: most likely a command misspelt, or one that there is not.
    pub(super) fn mistaken_command(&self) -> Option<&str> {
        let word = self.job.as_ref()?.to_str()?;
        let is_word = !word.is_empty() && word.bytes().all(|b| b.is_ascii_alphanumeric() || matches!(b, b'-' | b'_'));
        (is_word && !self.job.as_ref()?.exists()).then_some(word)
    }
}

/// A path that ends in `.dxf` or `.svg`, whatever its case.
fn cut_file(text: &str) -> Result<PathBuf, String> {
    let path = PathBuf::from(text);
    let ends_in = |wanted: &str| path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case(wanted));
    if ends_in("dxf") || ends_in("svg") {
        Ok(path)
    } else {
        Err("the cut file is a DXF or an SVG, so its name ends in .dxf or .svg".to_owned())
    }
}
