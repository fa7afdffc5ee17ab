//! What is left of the sheet between two things that are cut.

use super::{Case, Rule, Verdict, doubled, holes_apart, holes_inside, openings};
use crate::export::{CutContour, CutDrawing, CutHole};
use crate::geom::{Bounds, Contour, closest_places, crossings_between};
use crate::job::Id;
use crate::space::PlatePoint;
use crate::tolerance::SAME_PLACE_MM;

/// Something that is cut, with the sheet beside it.
#[derive(Debug, Clone, Copy)]
pub(super) enum Side<'a> {
    /// A round hole.
    Hole(&'a CutHole),
    /// An opening.
    Opening(&'a CutContour),
    /// The outline.
    Outline(&'a CutContour),
}

impl<'a> Side<'a> {
    /// What it is called in a sentence.
    pub(super) fn name(self) -> &'a str {
        match self {
            Self::Hole(hole) => &hole.name,
            Self::Opening(cut) | Self::Outline(cut) => &cut.name,
        }
    }

    /// Its id in the job.
    pub(super) fn id(self) -> &'a Id {
        match self {
            Self::Hole(hole) => &hole.id,
            Self::Opening(cut) | Self::Outline(cut) => &cut.id,
        }
    }

    fn bounds(self) -> Option<Bounds> {
        match self {
            Self::Hole(hole) => Some(Bounds::around_circle(hole.centre, hole.diameter_mm / 2.0)),
            Self::Opening(cut) | Self::Outline(cut) => cut.contour.bounds(),
        }
    }
}

/// A wall: what is left between two things that are cut.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wall<'a> {
    /// What it stands between; of a hole and a contour the hole comes first.
    pub(super) between: (Side<'a>, Side<'a>),
    /// How thick it is where it is thinnest, mm.
    pub(super) mm: f64,
    /// Its middle there.
    pub(super) at: PlatePoint,
}

/// All walls thinner than `under_mm`, the thinnest first. Where nothing is left there is no wall: that holes and openings
/// run into each other or over the outline is for other rules to tell.
pub(super) fn thin_walls(cut: &CutDrawing, under_mm: f64) -> Vec<Wall<'_>> {
    let holes = cut.holes.iter().map(Side::Hole);
    let sides: Vec<(Side<'_>, Bounds)> = holes
        .chain(openings(cut).map(Side::Opening))
        .chain(cut.outline().map(Side::Outline))
        .filter_map(|side| Some((side, side.bounds()?)))
        .collect();
    let mut thin = Vec::new();
    for (k, (one, bounds)) in sides.iter().enumerate() {
        let reach = bounds.grown(under_mm);
        let near = sides[k + 1..].iter().filter(|(_, other)| reach.overlaps(other));
        thin.extend(near.filter_map(|(other, _)| wall(*one, *other)).filter(|wall| wall.mm < under_mm));
    }
    thin.sort_by(|a, b| a.mm.total_cmp(&b.mm));
    thin
}

/// Nothing that is cut runs into anything else, over the outline or lies on another, so that all walls are walls.
pub(super) fn are_all_told(case: Case<'_>) -> bool {
    let rules: [Rule; 3] = [doubled::check, holes_inside::check, holes_apart::check];
    rules.iter().flat_map(|rule| rule(case)).all(|check| check.verdict == Verdict::Pass)
}

/// What is said where they are not.
pub(super) const NOT_TOLD: &str =
    "It waits until holes and openings lie inside one outline, and none of them on or over another.";

fn wall<'a>(one: Side<'a>, other: Side<'a>) -> Option<Wall<'a>> {
    let (from, to) = match (one, other) {
        (Side::Hole(a), Side::Hole(b)) => holes(a, b)?,
        (Side::Hole(hole), Side::Opening(cut)) => hole_beside(hole, &cut.contour, false)?,
        (Side::Hole(hole), Side::Outline(cut)) => hole_beside(hole, &cut.contour, true)?,
        (Side::Opening(a), Side::Opening(b)) => contours(&a.contour, &b.contour, false)?,
        (Side::Opening(a), Side::Outline(b)) => contours(&a.contour, &b.contour, true)?,
        // Sides come in this order, and there is one outline.
        (Side::Opening(_) | Side::Outline(_), _) => return None,
    };
    Some(Wall { between: (one, other), mm: from.distance(to), at: from.lerp(to, 0.5) })
}

/// The places of two holes that are nearest to each other; `None` where they run into each other.
fn holes(a: &CutHole, b: &CutHole) -> Option<(PlatePoint, PlatePoint)> {
    let (ra, rb) = (a.diameter_mm / 2.0, b.diameter_mm / 2.0);
    let along = (b.centre - a.centre).unit()?;
    let wall = a.centre.distance(b.centre) - ra - rb;
    (wall > 0.0).then(|| (a.centre + along * ra, b.centre - along * rb))
}

/// The same of a hole and the line that it lies inside of, or outside.
fn hole_beside(hole: &CutHole, line: &Contour, inside: bool) -> Option<(PlatePoint, PlatePoint)> {
    let place = nearest(line, hole.centre)?;
    let (apart, radius) = (hole.centre.distance(place), hole.diameter_mm / 2.0);
    let along = (place - hole.centre).unit()?;
    (apart > radius && line.contains(hole.centre) == inside).then(|| (hole.centre + along * radius, place))
}

/// The same of a contour inside, or outside, of another.
fn contours(one: &Contour, other: &Contour, inside: bool) -> Option<(PlatePoint, PlatePoint)> {
    let (from, to) = closest_places(one, other)?;
    let apart = from.distance(to) > SAME_PLACE_MM && crossings_between(one, other).is_empty();
    let lies_so = apart && other.contains(one.segments.first()?.from) == inside;
    let holds = lies_so && !inside && one.contains(other.segments.first()?.from);
    (lies_so && !holds).then_some((from, to))
}

/// The place of a line that is nearest to `point`.
pub(super) fn nearest(line: &Contour, point: PlatePoint) -> Option<PlatePoint> {
    let places = line.segments.iter().map(|piece| piece.nearest(point));
    places.min_by(|a, b| a.distance(point).total_cmp(&b.distance(point)))
}
