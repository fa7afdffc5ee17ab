//! What is written of a job for others than this program, one row each: name, ending, and who writes it.

use crate::commands::cut;
use crate::files;
use crate::session::Operation;
use platewright_core::export::CutFormat;
use platewright_core::job::{Job, Stock};
use platewright_core::solution::Solution;
use std::path::{Path, PathBuf};

/// A file for others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Export {
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
}

impl Export {
    /// All of them, in the order of the screen.
    pub const ALL: [Self; 3] = [Self::Cut(CutFormat::Dxf), Self::Cut(CutFormat::DxfR12), Self::Cut(CutFormat::Svg)];

    /// What it is called.
    pub fn words(self) -> &'static str {
        match self {
            Self::Cut(CutFormat::Dxf) => "Cut file, DXF",
            Self::Cut(CutFormat::DxfR12) => "Cut file, DXF for old controls",
            Self::Cut(CutFormat::Svg) => "Cut file, SVG",
        }
    }

    /// What it is called in a sentence.
    pub fn called(self) -> &'static str {
        match self {
            Self::Cut(_) => "the cut file",
        }
    }

    /// The ending of its files, without the dot.
    pub fn extension(self) -> &'static str {
        match self {
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
            Self::Cut(_) => Operation::Cut,
        }
    }

    /// The path of a file of it beside `beside` (the job, or the photo), under its name.
    pub fn beside(self, beside: &Path, stock: &Stock, fails: bool) -> PathBuf {
        let name = files::short_name(beside);
        let job = name.strip_suffix(files::JOB_EXTENSION);
        let stem = job.unwrap_or_else(|| name.rsplit_once('.').map_or(name.as_str(), |(stem, _)| stem));
        let stem = match self {
            Self::Cut(format) => format.file_stem(stem, stock),
        };
        // Nobody takes a file that fails for one that passed.
        let fails = if fails && self.is_cut() { "-fails" } else { "" };
        beside.with_file_name(format!("{stem}{fails}.{}", self.extension()))
    }

    /// Writes it to `path`, although a check fails where `even_so` holds; what it assumed, as a sentence for the person.
    ///
    /// # Errors
    /// One sentence, or a sentence and a list: why nothing was written. What stood at `path` is then as it was.
    pub fn write(self, of: Source<'_>, path: &Path, even_so: bool) -> Result<(), String> {
        match self {
            Self::Cut(format) => {
                cut::write(of.job, of.solution, format, path, even_so).map_err(|error| error.to_string())
            }
        }
    }
}
