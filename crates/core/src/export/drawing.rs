//! What is to be cut, before it is put into a format.

use crate::geom::{Bounds, Contour, OffsetRefused, contours_beside};
use crate::job::{Id, Job, Role};
use crate::solution::{ContourFit, Solution, finished_mm, is_tapped, said_fastener};
use crate::space::PlatePoint;

/// What is to be cut, in the datum's frame, mm.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CutDrawing {
    /// The part's name.
    pub title: String,
    /// Outlines of the part: one, if all is well.
    pub outer: Vec<CutContour>,
    /// Openings in it, slots among them.
    pub openings: Vec<CutContour>,
    /// Round holes at their finished size.
    pub holes: Vec<CutHole>,
    /// What land made of contours that it was asked of.
    pub lands: Vec<Land>,
    /// Lines of text that go with the drawing: units, and what failed where it was written even so.
    pub notes: Vec<String>,
}

/// A contour to be cut.
#[derive(Debug, Clone, PartialEq)]
pub struct CutContour {
    /// Its id in the job.
    pub id: Id,
    /// What it is called in a sentence: `the outline`, `opening c2`, `A1`.
    pub name: String,
    /// Lines and arcs, as they are cut.
    pub contour: Contour,
}

/// A round hole at its finished size.
#[derive(Debug, Clone, PartialEq)]
pub struct CutHole {
    /// Its id in the job.
    pub id: Id,
    /// Its name on screen.
    pub name: String,
    /// Its centre.
    pub centre: PlatePoint,
    /// Its finished diameter, mm.
    pub diameter_mm: f64,
}

/// What land made of a contour.
#[derive(Debug, Clone, PartialEq)]
pub struct Land {
    /// The contour's id in the job.
    pub id: Id,
    /// What the contour is called in a sentence.
    pub name: String,
    /// What it goes round.
    pub role: Role,
    /// Material that was left beside it, mm; less than 0: taken off.
    pub land_mm: f64,
    /// How many contours came of it, or why none could.
    pub made: Result<usize, OffsetRefused>,
}

impl CutDrawing {
    /// The note that says unit and scale.
    pub const SCALE_NOTE: &str = "mm, 1:1";

    /// What a job asks to be cut, as far as it is known, seen from the side that is cut.
    pub fn from_solution(job: &Job, solution: &Solution) -> Self {
        let seen = Self::as_seen(job, solution);
        if job.design.mirrored { seen.mirrored() } else { seen }
    }

    /// The same seen as in the photo, whatever side is cut: contours that have a piece and are kept, with their land; kept
    /// holes that were found (at the finished size of their group, else its standard hole, else the size that was
    /// measured); and what is added and has a place and a size.
    pub fn as_seen(job: &Job, solution: &Solution) -> Self {
        let mut drawing =
            Self { title: job.title.clone(), notes: vec![Self::SCALE_NOTE.to_owned()], ..Self::default() };
        for fit in solution.contours.iter().filter(|fit| !fit.cut.is_empty() && is_kept(job, fit)) {
            drawing.push(job, fit);
        }
        drawing.holes = holes(job, solution);
        for added in &solution.added {
            let Some(diameter_mm) = added.diameter_mm else { continue };
            let (id, name) = (added.id.clone(), added.name.clone());
            match added.rim().filter(|_| added.slot.is_some()) {
                Some(rim) => drawing.openings.push(CutContour { id, name, contour: rim.reversed() }),
                None => drawing.holes.push(CutHole { id, name, centre: added.at, diameter_mm }),
            }
        }
        let groups = job.holes.iter().filter(|hole| hole.keep && is_tapped(job, hole));
        let holes = groups.filter_map(|hole| Some((hole.name.clone(), said_fastener(job, hole)?)));
        let added = job.added.iter().filter_map(|added| Some((added.shown_name(), added.tapped.as_deref()?)));
        drawing.notes.extend(holes.chain(added).map(|(name, thread)| format!("{name}: tap {thread}")));
        drawing
    }

    fn push(&mut self, job: &Job, fit: &ContourFit) {
        let (land_mm, outward) = match fit.role {
            Role::Outer => (job.design.land_mm, 1.0),
            Role::Opening => (job.design.opening_land_mm, -1.0),
        };
        let name = match fit.role {
            Role::Outer => "the outline".to_owned(),
            Role::Opening => format!("opening {}", fit.id),
        };
        let mut cut = vec![fit.cut.clone()];
        if land_mm != 0.0 {
            let made = contours_beside(&fit.cut, outward * land_mm);
            let (id, name) = (fit.id.clone(), name.clone());
            self.lands.push(Land {
                id,
                name,
                role: fit.role,
                land_mm,
                made: made.as_ref().map(Vec::len).map_err(|e| *e),
            });
            // Where there is nothing beside it the contour itself is shown, and the check on land says why.
            cut = made.unwrap_or(cut);
        }
        let list = if fit.role == Role::Outer { &mut self.outer } else { &mut self.openings };
        list.extend(cut.into_iter().map(|contour| CutContour { id: fit.id.clone(), name: name.clone(), contour }));
    }

    /// The same seen from the other side.
    fn mirrored(mut self) -> Self {
        for cut in self.outer.iter_mut().chain(&mut self.openings) {
            cut.contour = cut.contour.mirrored();
        }
        for hole in &mut self.holes {
            hole.centre = hole.centre.mirrored();
        }
        self.notes.push("seen from the other side of the photo".to_owned());
        self
    }

    /// The one closed outline; `None` while there is none, or more than one.
    pub fn outline(&self) -> Option<&CutContour> {
        let mut outlines = self.outer.iter().filter(|cut| cut.contour.closed);
        outlines.next().filter(|_| outlines.next().is_none())
    }

    /// The box around everything that is cut; `None` where nothing is.
    pub fn bounds(&self) -> Option<Bounds> {
        let contours = self.outer.iter().chain(&self.openings).filter_map(|cut| cut.contour.bounds());
        let holes = self.holes.iter().map(|hole| Bounds::around_circle(hole.centre, hole.diameter_mm / 2.0));
        contours.chain(holes).reduce(Bounds::union)
    }
}

/// An outline is always cut; an opening may be left out.
fn is_kept(job: &Job, fit: &ContourFit) -> bool {
    fit.role == Role::Outer || job.contour(&fit.id).is_none_or(|contour| contour.keep)
}

fn holes(job: &Job, solution: &Solution) -> Vec<CutHole> {
    let found = job.holes.iter().filter(|hole| hole.keep).filter_map(|hole| {
        let fit = solution.holes.iter().find(|fit| fit.id == hole.id)?;
        Some(CutHole {
            id: hole.id.clone(),
            name: hole.name.clone(),
            centre: fit.centre,
            diameter_mm: finished_mm(job, hole, fit.bore_diameter_mm),
        })
    });
    found.collect()
}
