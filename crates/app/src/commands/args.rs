//! The arguments of the program.

use super::proof_plate::Asked;
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
        /// The file to write, .dxf
        #[arg(short, long, value_name = "FILE.dxf", value_parser = dxf_file)]
        output: PathBuf,
        /// Write it although a check fails, and mark it
        #[arg(long)]
        even_so: bool,
    },
    /// Write a plate to print and try on
    Proof {
        /// The job file
        job: PathBuf,
        /// The file to write, .3mf or .stl
        #[arg(short, long, value_name = "FILE.3mf|.stl", value_parser = plate_file)]
        output: PathBuf,
        #[command(flatten)]
        plate: Asked,
    },
    /// Write the photo at true scale
    Flatten {
        /// The job file
        job: PathBuf,
        /// The file to write, .png
        #[arg(short, long, value_name = "FILE.png", value_parser = png_file)]
        output: PathBuf,
        /// Its scale; else about the photo's own
        #[arg(long, value_name = "N")]
        px_per_mm: Option<f64>,
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

fn dxf_file(text: &str) -> Result<PathBuf, String> {
    file(text, &["dxf"]).ok_or_else(|| "the cut file is a DXF, so its name ends in .dxf".to_owned())
}

fn plate_file(text: &str) -> Result<PathBuf, String> {
    file(text, &["3mf", "stl"])
        .ok_or_else(|| "a proof plate is a 3MF or an STL, so its name ends in .3mf or .stl".to_owned())
}

fn png_file(text: &str) -> Result<PathBuf, String> {
    file(text, &["png"]).ok_or_else(|| "the true-scale photo is a PNG, so its name ends in .png".to_owned())
}

/// A path that ends in one of these, whatever its case.
fn file(text: &str, extensions: &[&str]) -> Option<PathBuf> {
    let path = PathBuf::from(text);
    let extension = path.extension()?;
    extensions.iter().any(|known| extension.eq_ignore_ascii_case(known)).then_some(path)
}
