//! The first plate in six steps, on the demo's photo. Each step ends by being done.
//!
//! ## Invariants
//! - The guide does nothing by itself: which step it is follows from the job, so that undo leads back and nobody has to
//!   press 'next'. Only that a cut file was written is kept, as the job does not know it.

mod practice;

pub use practice::{DrawnHole, Practice};

use crate::session::{Document, Operation, Session};
use platewright_core::job::{Id, Job, MeasureKind};
use platewright_core::solution::{MeasureVerdict, said_fastener};
use platewright_core::space::{PhotoPoint, PhotoVec};
use platewright_core::units::{MM_PER_INCH, format_figure};
use std::path::{Path, PathBuf};

/// So many holes let the tilt be known.
const ENOUGH_HOLES: usize = 4;

/// A typed value that is further from what the practice caliper reads was read or typed wrongly, mm.
const SAME_MM: f64 = 0.3;

/// A step of the guide.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// A first hole.
    Hole,
    /// The other holes.
    Others,
    /// Lengths by hand.
    Measures,
    /// What goes through the holes.
    Fasteners,
    /// The outline.
    Outline,
    /// The cut file.
    Cut,
}

impl Step {
    /// All of them, in their order.
    pub const ALL: [Self; 6] = [Self::Hole, Self::Others, Self::Measures, Self::Fasteners, Self::Outline, Self::Cut];

    /// Its place among them, from 1.
    pub fn number(self) -> usize {
        Self::ALL.iter().position(|step| *step == self).map_or(1, |at| at + 1)
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Hole => "Take one hole",
            Self::Others => "Find the others",
            Self::Measures => "Measure by hand",
            Self::Fasteners => "Say what goes through",
            Self::Outline => "Take the outline",
            Self::Cut => "Write the cut file",
        }
    }
}

/// The guide, under way.
#[derive(Debug, Clone, PartialEq)]
pub struct Guide {
    photo: PathBuf,
    practice: Practice,
    wrote_cut: bool,
}

impl Guide {
    /// The guide on the demo's photo at `photo`, whose plate measures what `practice` says.
    pub fn new(photo: PathBuf, practice: Practice) -> Self {
        Self { photo, practice, wrote_cut: false }
    }

    /// Its photo.
    pub fn photo(&self) -> &Path {
        &self.photo
    }

    /// It is about the job that is open.
    pub fn is_of(&self, session: &Session) -> bool {
        session.document.as_ref().is_some_and(|document| document.photo.path == self.photo)
    }

    /// A cut file was written.
    pub fn wrote_cut(&mut self) {
        self.wrote_cut = true;
    }

    /// The first step that is not done; `None` at the end.
    pub fn step(&self, session: &Session) -> Option<Step> {
        Step::ALL.into_iter().find(|step| !self.is_done(*step, session))
    }

    fn is_done(&self, step: Step, session: &Session) -> bool {
        let Some(job) = session.document.as_ref().map(Document::job) else { return false };
        let solution = &session.results.solution;
        match step {
            Step::Hole => !solution.holes.is_empty(),
            Step::Others => solution.holes.len() >= ENOUGH_HOLES,
            Step::Measures => {
                let is_checked = |verdict| !matches!(verdict, MeasureVerdict::Unchecked | MeasureVerdict::Disagrees);
                let all = solution.measures.iter().all(|measure| is_checked(measure.verdict));
                all && job.measures.len() > 1 && solution.fit.scale_known()
            }
            Step::Fasteners => said(job) >= ENOUGH_HOLES,
            Step::Outline => job.contours.iter().any(|contour| contour.closed),
            Step::Cut => self.wrote_cut,
        }
    }

    /// What is done in `step`, in a sentence or two; what the practice caliper reads among them.
    pub fn words(&self, step: Step, session: &Session) -> String {
        let text = match step {
            Step::Hole => {
                "Click three times on the rim of one of the large bolt holes, well apart. Your clicks only say where: the \
                 rim itself is measured in the photo."
            }
            Step::Others => {
                "Press F: rims like it are offered on the photo and on the sheet. Tick all of them, then add them with A."
            }
            Step::Measures => return self.words_of_measures(session),
            Step::Fasteners => return words_of_fasteners(session),
            Step::Outline => {
                "Press P and click on the bare face, away from holes and edge. Read what is offered, and take it with \
                 Enter."
            }
            Step::Cut if session.screen.operation != Operation::Cut => {
                "Press 6. Before metal is cut, the proof under 5 is printed at 1:1 and tried on; for practice it may be \
                 left out."
            }
            Step::Cut => {
                "Read what the checks say, then write the file with Ctrl E and Enter. Where a check fails, the sheet says \
                 the way out."
            }
        };
        text.to_owned()
    }

    /// A measure that was typed otherwise than the practice caliper reads, and what it reads, mm.
    fn misread(&self, session: &Session) -> Option<(String, f64)> {
        let job = session.document.as_ref().map(Document::job)?;
        job.measures.iter().filter(|measure| measure.in_use).find_map(|measure| {
            let mm = self.practice.reading(measure.kind, &centres(job, &measure.between))?;
            ((mm - measure.mm).abs() > SAME_MM).then(|| (job.reading_name(&measure.id), mm))
        })
    }

    fn words_of_measures(&self, session: &Session) -> String {
        let Some(job) = session.document.as_ref().map(Document::job) else { return String::new() };
        let length = |mm: f64| {
            if session.screen.inches {
                format!("{} in", format_figure(mm / MM_PER_INCH, 3))
            } else {
                format!("{} mm", format_figure(mm, 2))
            }
        };
        if let Some((name, mm)) = self.misread(session) {
            return format!(
                "{name} is not what the caliper reads there: that is {}. Type it into the row of {name} on the sheet. On a \
                 part of your own, the sheet finds such a slip once enough measures check each other.",
                length(mm)
            );
        }
        let screen = &session.screen;
        let draft = screen.draft.as_ref().filter(|draft| draft.is_complete());
        let (kind, between) = match (draft, session.asked_next()) {
            (Some(draft), _) => (draft.kind, &draft.between),
            (None, Some(next)) => (next.kind, &next.between),
            (None, None) => return "Press 3 and choose what is measured.".to_owned(),
        };
        let Some(mm) = self.practice.reading(kind, &centres(job, between)) else {
            return "The practice caliper measures holes: from hole to hole, or across one. Press T for the measure that \
                    helps most."
                .to_owned();
        };
        let names: Vec<&str> = between.iter().map(|id| job.feature_name(id)).collect();
        let pair = names.join(" and ");
        let place = match kind {
            MeasureKind::FarRims => format!("between the far sides of {pair}"),
            MeasureKind::NearRims => format!("between the near sides of {pair}"),
            MeasureKind::Diameter => format!("across {pair}"),
            _ => format!("from centre to centre of {pair}"),
        };
        let begin = if draft.is_some() { "Type" } else { "Press T and type" };
        let taken = match job.measures.len() {
            0 => "One measure gives the size, a few more check it.".to_owned(),
            _ => "Go on until every measure is checked by the others.".to_owned(),
        };
        format!("{begin} what the caliper reads {place}, then press Enter. Here it reads {}. {taken}", length(mm))
    }
}

/// Where holes are on the photo by their picks: what is computed of them may be bent by a slip.
fn centres(job: &Job, ids: &[Id]) -> Vec<PhotoPoint> {
    let picks = ids.iter().filter_map(|id| job.hole(id)).map(|hole| &hole.rim).filter(|rim| !rim.is_empty());
    let middle = |rim: &Vec<PhotoPoint>| {
        let sum = rim.iter().fold(PhotoVec::default(), |sum, pick| sum + (*pick - PhotoPoint::default()));
        PhotoPoint::default() + sum * (1.0 / rim.len() as f64)
    };
    picks.map(middle).collect()
}

/// How many holes have a fastener.
fn said(job: &Job) -> usize {
    job.holes.iter().filter(|hole| said_fastener(job, hole).is_some()).count()
}

fn words_of_fasteners(session: &Session) -> String {
    let job = session.document.as_ref().map(Document::job);
    let begin = if session.screen.operation == Operation::Holes { "Choose" } else { "Press 2, choose" };
    if job.map_or(0, said) == 0 {
        return format!(
            "{begin} one of the two large bolt holes. On the card at the left, group it with the hole like it and take the \
             fastener that its size suggests."
        );
    }
    format!(
        "{begin} one of the two holes at the top and do the same. Nothing goes through the others. The stamp above says the \
         odds of bolting up."
    )
}
