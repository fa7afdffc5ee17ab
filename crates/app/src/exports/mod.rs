//! What is written of a job for others than this program, one row each: its name, its ending, what it looks like, and who
//! writes it.

mod proof_settings;

pub use proof_settings::{PaperPrinter, ProofSettings};

use crate::commands::{cut, proof};
use crate::files;
use crate::printing::Plex;
use crate::session::{Operation, Session};
use platewright_core::check::Check;
use platewright_core::export::{CutDrawing, CutFormat};
use platewright_core::job::{Job, Stock};
use platewright_core::paper::{CutSource, Page, Paper, ProofOptions, TileLayout, cut_pages, proof_pages};
use platewright_core::solution::Solution;
use std::path::{Path, PathBuf};

/// A file for others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Export {
    /// The part at 1:1 on paper.
    Proof,
    /// The cut file.
    Cut(CutFormat),
}

/// What a file is written of.
#[derive(Debug, Clone, Copy)]
pub struct Source<'a> {
    /// The job.
    pub job: &'a Job,
    /// What follows from it.
    pub solution: &'a Solution,
    /// What the checks say.
    pub checks: &'a [Check],
    /// How proofs are made here.
    pub proof: &'a ProofSettings,
}

impl Export {
    /// All of them, in the order of the screen.
    pub const ALL: [Self; 4] =
        [Self::Proof, Self::Cut(CutFormat::Dxf), Self::Cut(CutFormat::DxfR12), Self::Cut(CutFormat::Svg)];

    /// What it is called.
    pub fn words(self) -> &'static str {
        match self {
            Self::Proof => "Paper proof, PDF",
            Self::Cut(CutFormat::Dxf) => "Cut file, DXF",
            Self::Cut(CutFormat::DxfR12) => "Cut file, DXF R12",
            Self::Cut(CutFormat::Svg) => "Cut file, SVG",
        }
    }

    /// What it is for, in a line.
    pub fn hint(self) -> &'static str {
        match self {
            Self::Proof => "1:1, to be laid on and tried; card is stiffer than paper",
            Self::Cut(CutFormat::Dxf) => "R2000: what most shops take",
            Self::Cut(CutFormat::DxfR12) => "for old controls; its name says the unit",
            Self::Cut(CutFormat::Svg) => "true size, for laser cutters",
        }
    }

    /// What it is called in a sentence.
    pub fn called(self) -> &'static str {
        match self {
            Self::Proof => "the proof",
            Self::Cut(_) => "the cut file",
        }
    }

    /// The ending of its files, without the dot.
    pub fn extension(self) -> &'static str {
        match self {
            Self::Proof => "pdf",
            Self::Cut(format) => format.extension(),
        }
    }

    /// It goes to a cutter: nothing that fails a check does, unless it is asked for even so.
    pub fn is_cut(self) -> bool {
        matches!(self, Self::Cut(_))
    }

    /// The operation that it belongs to.
    pub fn operation(self) -> Operation {
        match self {
            Self::Proof => Operation::Proof,
            Self::Cut(_) => Operation::Cut,
        }
    }

    /// The path of a file of it beside `beside` (the job, or the photo), under its name.
    pub fn beside(self, beside: &Path, stock: &Stock, fails: bool) -> PathBuf {
        let name = files::short_name(beside);
        let job = name.strip_suffix(files::JOB_EXTENSION);
        let stem = job.unwrap_or_else(|| name.rsplit_once('.').map_or(name.as_str(), |(stem, _)| stem));
        let stem = match self {
            Self::Proof => format!("{stem}-proof"),
            Self::Cut(format) => format.file_stem(stem, stock),
        };
        // Nobody takes a file that fails for one that passed.
        let fails = if fails && self.is_cut() { "-fails" } else { "" };
        beside.with_file_name(format!("{stem}{fails}.{}", self.extension()))
    }

    /// Writes it to `path`, although a check fails where `even_so` holds.
    ///
    /// # Errors
    /// One sentence, or a sentence and a list: why nothing was written. What stood at `path` is then as it was.
    pub fn write(self, of: Source<'_>, path: &Path, even_so: bool) -> Result<(), String> {
        let Source { job, solution, .. } = of;
        match self {
            Self::Proof => {
                proof::write(job, solution, &of.proof_options()?, path).map(drop).map_err(|error| error.to_string())
            }
            Self::Cut(format) => cut::write(job, solution, format, path, even_so).map_err(|error| error.to_string()),
        }
    }

    /// What it looks like, page by page.
    ///
    /// # Errors
    /// One sentence: why there is nothing to show.
    pub fn pages(self, session: &Session) -> Result<Vec<Page>, String> {
        let document = session.document.as_ref().ok_or("Open a photo or a job first.")?;
        if !session.results.solution.fit.scale_known() {
            return Err("The size of the part is not known yet. Measure between two holes, under 30.".to_owned());
        }
        let of = Source {
            job: document.job(),
            solution: &session.results.solution,
            checks: &session.results.checks,
            proof: &session.settings.proof,
        };
        let plex = Plex::new().map_err(|error| format!("The typeface cannot be read: {error}."))?;
        let drawing = CutDrawing::from_solution(of.job, of.solution);
        let sentence = |refused: String| format!("{}.", platewright_core::job::capital(&refused));
        match self {
            Self::Proof => {
                proof_pages(&drawing, &of.proof_options()?, &plex).map_err(|refused| sentence(refused.to_string()))
            }
            Self::Cut(format) => {
                let Source { job, solution, checks, .. } = of;
                let source = CutSource { job, solution, checks, drawing: &drawing, format };
                let pages = cut_pages(&source, Paper::A4, &plex);
                let nothing = "There is nothing to cut yet. Draw an outline under 40, or click a hole under 20.";
                if pages.is_empty() { Err(nothing.to_owned()) } else { Ok(pages) }
            }
        }
    }
}

impl Source<'_> {
    /// How the proof is printed.
    ///
    /// # Errors
    /// Where a check bar was misread.
    pub fn proof_options(&self) -> Result<ProofOptions, String> {
        let printer = self.proof.printer.next();
        let printer =
            printer.map_err(|refused| format!("{}.", platewright_core::job::capital(&refused.to_string())))?;
        let ProofSettings { paper, grid, centre_crosses, .. } = *self.proof;
        Ok(ProofOptions { paper, printer, grid, centre_crosses, not_checked: proof::failing(self.checks) })
    }

    /// How the proof lies on its sheets; `None` where there is none.
    pub fn tiles(&self) -> Option<TileLayout> {
        let drawing = CutDrawing::from_solution(self.job, self.solution);
        TileLayout::new(&drawing, &self.proof_options().ok()?, &Plex::new().ok()?).ok()
    }
}
