//! What is added to the part, and the part as it is cut.

use super::SegmentReport;
use platewright_core::export::{CutContour, CutDrawing, CutHole};
use platewright_core::job::{AddedKind, Id, Job};
use platewright_core::solution::{AddedFit, Solution};
use serde::Serialize;

/// An added hole or slot, where it lies in the datum's frame.
#[derive(Debug, Serialize)]
pub(super) struct AddedReport<'a> {
    id: &'a Id,
    number: usize,
    name: &'a str,
    kind: AddedKind,
    x_mm: f64,
    y_mm: f64,
    diameter_mm: Option<f64>,
    length_mm: Option<f64>,
    angle_deg: Option<f64>,
    sigma_mm: f64,
}

/// What is cut, seen from the side that is cut.
#[derive(Debug, Serialize)]
pub(super) struct CutReport {
    mirrored: bool,
    outer: Vec<CutContourReport>,
    openings: Vec<CutContourReport>,
    holes: Vec<CutHoleReport>,
}

#[derive(Debug, Serialize)]
struct CutContourReport {
    id: Id,
    closed: bool,
    length_mm: f64,
    area_mm2: f64,
    segments: Vec<SegmentReport>,
}

#[derive(Debug, Serialize)]
struct CutHoleReport {
    id: Id,
    name: String,
    x_mm: f64,
    y_mm: f64,
    diameter_mm: f64,
}

impl<'a> From<&'a AddedFit> for AddedReport<'a> {
    fn from(fit: &'a AddedFit) -> Self {
        Self {
            id: &fit.id,
            number: fit.number,
            name: &fit.name,
            kind: if fit.slot.is_some() { AddedKind::Slot } else { AddedKind::Hole },
            x_mm: fit.at.x,
            y_mm: fit.at.y,
            diameter_mm: fit.diameter_mm,
            length_mm: fit.slot.map(|slot| slot.length_mm),
            angle_deg: fit.slot.map(|slot| slot.angle_rad.to_degrees()),
            sigma_mm: fit.ellipse.major_mm,
        }
    }
}

impl CutReport {
    pub(super) fn new(job: &Job, solution: &Solution) -> Self {
        let drawing = CutDrawing::from_solution(job, solution);
        Self {
            mirrored: job.design.mirrored,
            outer: drawing.outer.into_iter().map(CutContourReport::from).collect(),
            openings: drawing.openings.into_iter().map(CutContourReport::from).collect(),
            holes: drawing.holes.into_iter().map(CutHoleReport::from).collect(),
        }
    }
}

impl From<CutContour> for CutContourReport {
    fn from(CutContour { id, contour, .. }: CutContour) -> Self {
        Self {
            id,
            closed: contour.closed && contour.is_closed_exactly(),
            length_mm: contour.length_mm(),
            area_mm2: contour.signed_area_mm2().abs(),
            segments: contour.segments.iter().map(SegmentReport::from).collect(),
        }
    }
}

impl From<CutHole> for CutHoleReport {
    fn from(CutHole { id, name, centre, diameter_mm }: CutHole) -> Self {
        Self { id, name, x_mm: centre.x, y_mm: centre.y, diameter_mm }
    }
}
