//! What is written of a job for others than this program, one row each: its name, its ending, what it looks like, and who
//! writes it.

mod proof_settings;
mod report_photos;

pub use proof_settings::{PaperPrinter, ProofSettings};
pub use report_photos::ReportPhotos;

use crate::commands::cut::{self, Drawn};
use crate::commands::proof_plate::{self, Asked, PlateFormat};
use crate::commands::report::{self, Reported};
use crate::commands::{flatten, proof};
use crate::files::{self, LoadedPhoto};
use crate::printing::Plex;
use crate::session::{Operation, Session};
use platewright_core::check::Check;
use platewright_core::export::{CutDrawing, CutFormat, PlateOptions, WrongName};
use platewright_core::job::{Job, Stock, capital};
use platewright_core::paper::{Page, Paper, PrinterScale, ProofOptions, TileLayout, plate_page, proof_pages};
use platewright_core::solution::Solution;
use std::path::{Path, PathBuf};

/// What is said to be under way while a file is written begins so.
pub const WRITING: &str = "Writing";

/// A file for others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Export {
    /// The part at 1:1 on paper.
    Proof,
    /// The part as a solid to print.
    Plate(PlateFormat),
    /// The cut file.
    Cut(CutFormat),
    /// The drawing that goes with the cut file.
    Drawing,
    /// The inspection report.
    Report,
    /// The photo at true scale.
    Flat,
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
    /// The photo.
    pub photo: &'a LoadedPhoto,
    /// How proofs are made here.
    pub proof: &'a ProofSettings,
}

/// What the list says of a file: its name, what it is for, what it is called in a sentence, and its ending.
struct Row {
    words: &'static str,
    hint: &'static str,
    called: &'static str,
    extension: &'static str,
}

impl Export {
    /// All of them, in the order of the screen.
    pub const ALL: [Self; 9] = [
        Self::Proof,
        Self::Plate(PlateFormat::ThreeMf),
        Self::Plate(PlateFormat::Stl),
        Self::Cut(CutFormat::Dxf),
        Self::Cut(CutFormat::DxfR12),
        Self::Cut(CutFormat::Svg),
        Self::Drawing,
        Self::Report,
        Self::Flat,
    ];

    fn row(self) -> Row {
        let row = |words, hint, called, extension| Row { words, hint, called, extension };
        match self {
            Self::Proof => {
                row("Paper proof, PDF", "1:1, to be laid on and tried; card is stiffer than paper", "the proof", "pdf")
            }
            Self::Plate(PlateFormat::ThreeMf) => {
                row("Printed plate, 3MF", "a template to try on: soft when warm, not for use", "the proof plate", "3mf")
            }
            Self::Plate(PlateFormat::Stl) => {
                row("Printed plate, STL", "the same; it holds no unit, so open it in mm", "the proof plate", "stl")
            }
            Self::Cut(CutFormat::Dxf) => row("Cut file, DXF", "R2000: what most shops take", "the cut file", "dxf"),
            Self::Cut(CutFormat::DxfR12) => {
                row("Cut file, DXF R12", "for old controls; its name says the unit", "the cut file", "dxf")
            }
            Self::Cut(CutFormat::Svg) => row("Cut file, SVG", "true size, for laser cutters", "the cut file", "svg"),
            Self::Drawing => row("Drawing, PDF", "goes to the shop with the cut file", "the drawing", "pdf"),
            Self::Report => {
                row("Inspection report, PDF", "what is known of every hole, and what it rests on", "the report", "pdf")
            }
            Self::Flat => row("Flat photo, PNG", "the face square-on, with its px per mm", "the flat photo", "png"),
        }
    }

    /// What it is called.
    pub fn words(self) -> &'static str {
        self.row().words
    }

    /// What it is for, in a line.
    pub fn hint(self) -> &'static str {
        self.row().hint
    }

    /// What it is called in a sentence.
    pub fn called(self) -> &'static str {
        self.row().called
    }

    /// The ending of its files, without the dot.
    pub fn extension(self) -> &'static str {
        self.row().extension
    }

    /// It goes to a cutter: nothing that fails a check does, unless it is asked for even so.
    pub fn is_cut(self) -> bool {
        matches!(self, Self::Cut(_) | Self::Drawing)
    }

    /// It lies on pages that can be shown; else the photo shows it.
    pub fn has_pages(self) -> bool {
        self != Self::Flat
    }

    /// The operation that it belongs to.
    pub fn operation(self) -> Operation {
        match self {
            Self::Proof | Self::Plate(_) => Operation::Proof,
            Self::Cut(_) | Self::Drawing | Self::Report | Self::Flat => Operation::Cut,
        }
    }

    /// The path of a file of it beside `beside` (the job, or the photo), under its name.
    pub fn beside(self, beside: &Path, stock: &Stock, fails: bool) -> PathBuf {
        let name = files::short_name(beside);
        let job = name.strip_suffix(files::JOB_EXTENSION);
        let stem = job.unwrap_or_else(|| name.rsplit_once('.').map_or(name.as_str(), |(stem, _)| stem));
        let stem = match self {
            Self::Proof => format!("{stem}-proof"),
            Self::Plate(_) => format!("{stem}-proof-plate"),
            Self::Drawing => format!("{stem}-drawing"),
            Self::Report => format!("{stem}-report"),
            Self::Flat => format!("{stem}-flat"),
            Self::Cut(format) => format.file_stem(stem, stock),
        };
        // Nobody takes a file that fails for one that passed.
        let fails = if fails && self.is_cut() { "-fails" } else { "" };
        beside.with_file_name(format!("{stem}{fails}.{}", self.extension()))
    }

    /// The path that is written where `path` was typed or chosen: with its ending, and with what its name has to say.
    pub fn named(self, path: PathBuf, stock: &Stock) -> PathBuf {
        let path = files::with_extension_of(path, self.extension());
        let Self::Cut(format) = self else { return path };
        let stem = path.file_stem().unwrap_or_default().to_string_lossy();
        match format.wrong_name(&stem, stock) {
            Some(WrongName::Lacks { name, .. }) => path.with_file_name(format!("{name}.{}", self.extension())),
            _ => path,
        }
    }

    /// Writes it to `path`, although a check fails where `even_so` holds.
    ///
    /// # Errors
    /// One sentence, or a sentence and a list: why nothing was written. What stood at `path` is then as it was.
    pub fn write(self, of: Source<'_>, path: &Path, even_so: bool) -> Result<(), String> {
        let Source { job, solution, photo, .. } = of;
        let written = match self {
            Self::Cut(format) => {
                return cut::write(job, solution, format, path, even_so).map_err(|error| error.to_string());
            }
            Self::Drawing => {
                let written = cut::write_drawing(of.drawn(CutFormat::Dxf), of.report_paper(), path, even_so);
                return written.map_err(|error| error.to_string());
            }
            Self::Proof => proof::write(job, solution, &of.proof_options()?, path).map(drop),
            Self::Plate(format) => proof_plate::write(job, solution, of.plate_options(), format, path).map(drop),
            Self::Report => report::write(of.reported(), of.report_paper(), path).map(drop),
            Self::Flat => flatten::write(job, solution, photo, None, path).map(drop),
        };
        written.map_err(|error| error.to_string())
    }

    /// What it looks like, page by page; none where the photo shows it.
    ///
    /// # Errors
    /// One sentence: why there is nothing to show.
    pub fn pages(self, session: &Session, photos: &mut ReportPhotos) -> Result<Vec<Page>, String> {
        let of = Source::of(session).ok_or("Open a photo or a job first.")?;
        if !of.solution.fit.scale_known() {
            return Err("The size of the part is not known yet. Measure between two holes, under 30.".to_owned());
        }
        let plex = Plex::new().map_err(|error| format!("The typeface cannot be read: {error}."))?;
        let drawing = CutDrawing::from_solution(of.job, of.solution);
        let sentence = |refused: String| format!("{}.", capital(&refused));
        match self {
            Self::Proof => {
                proof_pages(&drawing, &of.proof_options()?, &plex).map_err(|refused| sentence(refused.to_string()))
            }
            Self::Plate(_) => {
                let plate = proof_plate::plate(of.job, of.solution, &of.plate_options()).map_err(sentence)?;
                Ok(vec![plate_page(&plate, Paper::A4, &plex)])
            }
            Self::Report => {
                let seen = photos.of(of.photo, of.job);
                Ok(report::pages(of.reported(), seen, of.report_paper(), &plex))
            }
            Self::Flat => Ok(Vec::new()),
            Self::Cut(_) | Self::Drawing => {
                let format = if let Self::Cut(format) = self { format } else { CutFormat::Dxf };
                let pages = cut::pages(of.drawn(format), of.report_paper(), &plex);
                let nothing = "There is nothing to cut yet. Draw an outline under 40, or click a hole under 20.";
                if pages.is_empty() { Err(nothing.to_owned()) } else { Ok(pages) }
            }
        }
    }
}

impl<'a> Source<'a> {
    /// What the window holds; `None` in an empty one.
    pub fn of(session: &'a Session) -> Option<Self> {
        let document = session.document.as_ref()?;
        Some(Self {
            job: document.job(),
            solution: &session.results.solution,
            checks: &session.results.checks,
            photo: &document.photo,
            proof: &session.settings.proof,
        })
    }

    /// How the proof is printed.
    ///
    /// # Errors
    /// Where a check bar was misread.
    pub fn proof_options(&self) -> Result<ProofOptions, String> {
        let ProofSettings { paper, grid, centre_crosses, .. } = *self.proof;
        let not_checked = proof::failing(self.checks);
        let options = ProofOptions { paper, printer: PrinterScale::TRUE, grid, centre_crosses, not_checked };
        // What lies across an upright sheet lies up a lying one: the printer feeds both the same way. The correction has a
        // say in how sheets lie, so the one is taken with which they lie as it supposes.
        let drawing = CutDrawing::from_solution(self.job, self.solution);
        let plex = Plex::new().map_err(|error| format!("The typeface cannot be read: {error}."))?;
        let with = |lies: bool| {
            let printer =
                self.proof.printer.next(lies).map_err(|refused| format!("{}.", capital(&refused.to_string())));
            printer.map(|printer| ProofOptions { printer, ..options.clone() })
        };
        let (upright, lying) = (with(false)?, with(true)?);
        let lies =
            |options: &ProofOptions| TileLayout::new(&drawing, options, &plex).is_ok_and(|tiles| tiles.is_lying());
        Ok(if lies(&lying) && lies(&upright) { lying } else { upright })
    }

    /// What the printed plate is made to.
    pub fn plate_options(&self) -> PlateOptions {
        let ProofSettings { plate_mm: thickness, shrink_percent: shrink, hole_allowance_mm: hole_allowance, .. } =
            *self.proof;
        Asked { thickness, shrink, hole_allowance }.options(self.job)
    }

    fn drawn(&self, format: CutFormat) -> Drawn<'_> {
        let Self { job, solution, checks, .. } = *self;
        Drawn { job, solution, checks, format }
    }

    fn reported(&self) -> Reported<'_> {
        let Self { job, solution, checks, photo, .. } = *self;
        Reported { job, solution, checks, photo }
    }

    /// A report is read, and so lies on a sheet that is read: never on a card or a poster.
    fn report_paper(&self) -> Paper {
        if self.proof.paper == Paper::Letter { Paper::Letter } else { Paper::A4 }
    }

    /// How the proof lies on its sheets; `None` where there is none.
    pub fn tiles(&self) -> Option<TileLayout> {
        let drawing = CutDrawing::from_solution(self.job, self.solution);
        TileLayout::new(&drawing, &self.proof_options().ok()?, &Plex::new().ok()?).ok()
    }
}
