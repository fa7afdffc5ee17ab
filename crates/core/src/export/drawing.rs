//! What is to be cut, before it is put into a format.

use crate::geom::{Bounds, Contour};
use crate::job::{AddedKind, Id, Job, Role};
use crate::solution::{Solution, finished_mm};
use crate::space::PlatePoint;

/// What is to be cut, in the datum's frame, mm.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CutDrawing {
    /// The part's name.
    pub title: String,
    /// Outlines of the part: one, if all is well.
    pub outer: Vec<Contour>,
    /// Openings in it.
    pub openings: Vec<Contour>,
    /// Round holes at their finished size.
    pub holes: Vec<CutHole>,
    /// Lines of text that go with the drawing: units, and what failed where it was written even so.
    pub notes: Vec<String>,
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

impl CutDrawing {
    /// What a job asks to be cut, as far as it is known: contours that have a piece, kept holes that were found (at the
    /// finished size of their group, else its standard hole, else the size that was measured), and added holes.
    pub fn from_solution(job: &Job, solution: &Solution) -> Self {
        let contours = |role: Role| {
            let of_role = solution.contours.iter().filter(|fit| fit.role == role && !fit.cut.is_empty());
            of_role.map(|fit| fit.cut.clone()).collect()
        };
        Self {
            title: job.title.clone(),
            outer: contours(Role::Outer),
            openings: contours(Role::Opening),
            holes: cut_holes(job, solution),
            notes: vec!["mm, 1:1".to_owned()],
        }
    }

    /// The box around everything that is cut; `None` where nothing is.
    pub fn bounds(&self) -> Option<Bounds> {
        let contours = self.outer.iter().chain(&self.openings).filter_map(Contour::bounds);
        let holes = self.holes.iter().map(|hole| Bounds::around_circle(hole.centre, hole.diameter_mm / 2.0));
        contours.chain(holes).reduce(Bounds::union)
    }
}

fn cut_holes(job: &Job, solution: &Solution) -> Vec<CutHole> {
    let found = job.holes.iter().filter(|hole| hole.keep).filter_map(|hole| {
        let fit = solution.holes.iter().find(|fit| fit.id == hole.id)?;
        Some(CutHole {
            id: hole.id.clone(),
            name: hole.name.clone(),
            centre: fit.centre,
            diameter_mm: finished_mm(job, hole, fit.bore_diameter_mm),
        })
    });
    let added = job.added.iter().map(|added| match added.kind {
        AddedKind::Hole => CutHole {
            id: added.id.clone(),
            name: added.id.0.to_uppercase(),
            centre: added.at_mm,
            diameter_mm: added.diameter_mm,
        },
    });
    found.chain(added).collect()
}
