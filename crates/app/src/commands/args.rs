//! The arguments of the program.

use super::proof_plate::{Asked, PlateFormat};
use platewright_core::paper::Paper;
use platewright_core::units::{Unit, parse_length_mm};
use std::path::{Path, PathBuf};

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
        /// The file to write: .dxf or .svg for the cutter, .pdf for the drawing that goes with it
        #[arg(short, long, value_name = "FILE.dxf", value_parser = cut_file)]
        output: PathBuf,
        /// Write DXF R12, for old controls; it cannot say its unit, so the name has to
        #[arg(long)]
        r12: bool,
        /// Write it although a check fails, and mark it
        #[arg(long)]
        even_so: bool,
    },
    /// Write the part at 1:1, to be printed and tried on
    Proof {
        /// The job file
        job: PathBuf,
        /// The file to write: .pdf on paper, .3mf or .stl as a plate to print
        #[arg(short, long, value_name = "FILE", value_parser = proof_file)]
        output: PathBuf,
        /// The paper; else A4
        #[arg(long, value_enum)]
        paper: Option<ProofPaper>,
        /// What the check bar across reads on a print that was made without this; it should be 100 mm
        #[arg(long, value_name = "MM", value_parser = length_mm)]
        bar_across: Option<f64>,
        /// What the check bar up reads on a print that was made without this; it should be 100 mm
        #[arg(long, value_name = "MM", value_parser = length_mm)]
        bar_up: Option<f64>,
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
    /// Write the inspection report: what is known of the part, and how well
    Report {
        /// The job file
        job: PathBuf,
        /// The file to write, .pdf
        #[arg(short, long, value_name = "FILE.pdf", value_parser = report_file)]
        output: PathBuf,
        /// The paper
        #[arg(long, value_enum, default_value_t = ReportPaper::A4)]
        paper: ReportPaper,
    },
}

/// Paper that reports are printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(super) enum ReportPaper {
    /// 210 by 297 mm
    A4,
    /// 8.5 by 11 inches
    Letter,
}

impl From<ReportPaper> for Paper {
    fn from(paper: ReportPaper) -> Self {
        match paper {
            ReportPaper::A4 => Self::A4,
            ReportPaper::Letter => Self::Letter,
        }
    }
}

/// Paper that proofs are printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(super) enum ProofPaper {
    /// 210 by 297 mm
    A4,
    /// 8.5 by 11 inches
    Letter,
    /// 297 by 420 mm
    A3,
}

impl From<ProofPaper> for Paper {
    fn from(paper: ProofPaper) -> Self {
        match paper {
            ProofPaper::A4 => Self::A4,
            ProofPaper::Letter => Self::Letter,
            ProofPaper::A3 => Self::A3,
        }
    }
}

/// A length as it is typed, mm.
fn length_mm(text: &str) -> Result<f64, String> {
    parse_length_mm(text, Unit::Mm).map_err(|error| error.to_string())
}

impl Args {
    /// What was asked for that does not go together.
    pub(super) fn contradiction(&self) -> Option<&'static str> {
        match &self.command {
            Some(Command::Cut { output, r12: true, .. }) if file_of(output, &["dxf"]).is_none() => {
                Some("R12 is a release of DXF, so with --r12 the name ends in .dxf.")
            }
            Some(Command::Proof { output, paper, bar_across, bar_up, plate, .. }) => {
                let is_plate = PlateFormat::of(output).is_some();
                if !is_plate && plate.is_said() {
                    return Some(
                        "Paper is no plate, so with --thickness, --shrink and --hole-allowance the name ends in .3mf or .stl.",
                    );
                }
                let of_paper = paper.is_some() || bar_across.is_some() || bar_up.is_some();
                let text =
                    "A plate is printed on no paper, so with --paper, --bar-across and --bar-up the name ends in .pdf.";
                (is_plate && of_paper).then_some(text)
            }
            _ => None,
        }
    }

    /// The file that a command is to write.
    pub(super) fn output(&self) -> Option<&Path> {
        match self.command.as_ref()? {
            Command::Solve { .. } => None,
            Command::Cut { output, .. }
            | Command::Proof { output, .. }
            | Command::Flatten { output, .. }
            | Command::Report { output, .. } => Some(output),
        }
    }

    /// A bare word that is no file: most likely a command misspelt, or one that there is not.
    pub(super) fn mistaken_command(&self) -> Option<&str> {
        let word = self.job.as_ref()?.to_str()?;
        let is_word = !word.is_empty() && word.bytes().all(|b| b.is_ascii_alphanumeric() || matches!(b, b'-' | b'_'));
        (is_word && !self.job.as_ref()?.exists()).then_some(word)
    }
}

fn cut_file(text: &str) -> Result<PathBuf, String> {
    let said = "the cut file is a DXF or an SVG, and its drawing a PDF, so the name ends in .dxf, .svg or .pdf";
    file(text, &["dxf", "svg", "pdf"]).ok_or_else(|| said.to_owned())
}

fn report_file(text: &str) -> Result<PathBuf, String> {
    file(text, &["pdf"]).ok_or_else(|| "the report is a PDF, so its name ends in .pdf".to_owned())
}

fn proof_file(text: &str) -> Result<PathBuf, String> {
    file(text, &["pdf", "3mf", "stl"]).ok_or_else(|| "the name of a proof ends in .pdf, .3mf or .stl".to_owned())
}

fn png_file(text: &str) -> Result<PathBuf, String> {
    file(text, &["png"]).ok_or_else(|| "the true-scale photo is a PNG, so its name ends in .png".to_owned())
}

/// A path that ends in one of these, whatever its case.
fn file(text: &str, extensions: &[&str]) -> Option<PathBuf> {
    file_of(Path::new(text), extensions).map(Path::to_path_buf)
}

fn file_of<'a>(path: &'a Path, extensions: &[&str]) -> Option<&'a Path> {
    let extension = path.extension()?;
    extensions.iter().any(|known| extension.eq_ignore_ascii_case(known)).then_some(path)
}
