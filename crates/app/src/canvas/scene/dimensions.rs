//! Measures as dimension lines: where the jaws touch, and what they read.

use super::{Feature, seen_segment};
use crate::canvas::transform::Transform;
use crate::session::{Chosen, Operation, Session};
use egui::{Pos2, Vec2};
use platewright_core::instrument::is_read_by_eye;
use platewright_core::job::{Id, Job, Measure, MeasureKind};
use platewright_core::solution::{MeasureVerdict, NextMeasure, Solution};
use platewright_core::space::{PlatePoint, PlateVec};
use platewright_core::units::{MM_PER_INCH, Unit, format_figure, format_reading};

/// A dimension line.
#[derive(Debug, Clone)]
pub(in crate::canvas) struct Dimension {
    /// The measure; `None` for the draft and the measure to take next.
    pub(in crate::canvas) id: Option<Id>,
    /// Its name, `M3`; empty for the draft and the measure to take next.
    pub(in crate::canvas) name: String,
    /// What to think of it.
    pub(in crate::canvas) state: State,
    /// It is chosen.
    pub(in crate::canvas) is_chosen: bool,
    /// From jaw to jaw.
    pub(in crate::canvas) line: Vec<Pos2>,
    /// What stands in its box; empty for none.
    pub(in crate::canvas) text: String,
}

/// What to think of a dimension.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::canvas) enum State {
    /// The others bear it out, or nothing checks it yet.
    Stands,
    /// The others contradict it.
    Disagrees,
    /// The person left it out.
    LeftOut,
    /// It is the one to take next.
    Next,
    /// It is being taken.
    Draft,
}

impl Dimension {
    /// Its ends with the direction in which the line leaves them.
    pub(in crate::canvas) fn ends(&self) -> Option<[(Pos2, Vec2); 2]> {
        let (first, last) = (*self.line.first()?, *self.line.last()?);
        let along = (last - first).normalized();
        Some([(first, along), (last, along)])
    }

    /// The place at a share of its length.
    pub(in crate::canvas) fn at_share(&self, share: f32) -> Option<Pos2> {
        let (first, last) = (self.line.first()?, self.line.last()?);
        let straight = first.lerp(*last, share);
        let nearest = |a: &&Pos2, b: &&Pos2| a.distance_sq(straight).total_cmp(&b.distance_sq(straight));
        // The line bends by a few points at most, so the nearest of its places will do where it has many.
        if self.line.len() > 8 {
            self.line.iter().min_by(nearest).map(|near| near.lerp(straight, 0.5))
        } else {
            Some(straight)
        }
    }
}

/// A length as it stands on the photo, without its unit.
pub(in crate::canvas) fn length_figure(mm: f64, inches: bool) -> String {
    if inches { format_figure(mm / MM_PER_INCH, 3) } else { format_figure(mm, 2) }
}

/// What a measure read, without its unit.
fn reading(measure: &Measure, inches: bool) -> String {
    let unit = if inches { Unit::Inch } else { Unit::Mm };
    format_reading(measure.mm, unit, is_read_by_eye(measure.sigma_mm))
}

/// The dimensions that are shown while measures are taken.
pub(super) fn dimensions(session: &Session, job: &Job, transform: &Transform, features: &[Feature]) -> Vec<Dimension> {
    let (screen, solution) = (&session.screen, &session.results.solution);
    if screen.operation != Operation::Measures {
        return Vec::new();
    }
    let mut seen: Vec<Dimension> = job
        .measures
        .iter()
        .enumerate()
        .filter_map(|(place, measure)| {
            let line = line(measure.kind, &measure.between, solution, transform)?;
            let fit = solution.measures.iter().find(|fit| fit.id == measure.id);
            let state = match fit.map(|fit| fit.verdict) {
                _ if !measure.in_use => State::LeftOut,
                Some(MeasureVerdict::Disagrees) => State::Disagrees,
                Some(MeasureVerdict::LeftOut) => State::LeftOut,
                _ => State::Stands,
            };
            let is_chosen = screen.chosen.as_ref() == Some(&Chosen::Measure(measure.id.clone()));
            let (name, figure) = (format!("M{}", place + 1), reading(measure, screen.inches));
            let text = if state == State::Disagrees { format!("{name} {figure}") } else { figure };
            Some(Dimension { id: Some(measure.id.clone()), name, state, is_chosen, line, text })
        })
        .collect();
    match &screen.draft {
        Some(draft) if draft.is_complete() => {
            let unit = if screen.inches { "in" } else { "mm" };
            let text = if draft.text.is_empty() { unit.to_owned() } else { draft.text.clone() };
            let line = line(draft.kind, &draft.between, solution, transform);
            seen.extend(line.map(|line| Dimension {
                id: None,
                name: String::new(),
                state: State::Draft,
                is_chosen: true,
                line,
                text,
            }));
        }
        // While an edge is picked the line from its own pick says where the next one goes.
        Some(_) if screen.picking_edge.is_some() => {}
        Some(draft) => seen.extend(reaching(draft.between.first(), screen.pointer, features, transform)),
        None => seen.extend(asked(session).and_then(|next| {
            let line = line(next.kind, &next.between, solution, transform)?;
            Some(Dimension {
                id: None,
                name: String::new(),
                state: State::Next,
                is_chosen: false,
                line,
                text: "next".to_owned(),
            })
        })),
    }
    seen
}

/// The measure that is asked for next, while none is being taken: the one that the sheet points at.
pub(super) fn asked(session: &Session) -> Option<&NextMeasure> {
    let screen = &session.screen;
    let asks = screen.operation == Operation::Measures && screen.draft.is_none() && screen.stating.is_none();
    screen.pointed_at.as_ref().or_else(|| session.asked_next()).filter(|_| asks)
}

/// From the draft's first feature to the pointer.
fn reaching(
    first: Option<&Id>,
    pointer: Option<platewright_core::space::PhotoPoint>,
    features: &[Feature],
    transform: &Transform,
) -> Option<Dimension> {
    let from = features.iter().find(|feature| Some(&feature.id) == first)?.at;
    let to = transform.screen_from_photo(pointer?)?;
    Some(Dimension {
        id: None,
        name: String::new(),
        state: State::Draft,
        is_chosen: true,
        line: vec![from, to],
        text: String::new(),
    })
}

fn line(kind: MeasureKind, between: &[Id], solution: &Solution, transform: &Transform) -> Option<Vec<Pos2>> {
    let (from, to) = jaws(kind, between, solution)?;
    let line = seen_segment(from, to, transform);
    (line.len() > 1).then_some(line)
}

/// Where the jaws touch; `None` where a feature has no place yet.
fn jaws(kind: MeasureKind, between: &[Id], solution: &Solution) -> Option<(PlatePoint, PlatePoint)> {
    match (kind, between) {
        (MeasureKind::Diameter, [hole, ..]) => {
            let (centre, radius) = place(hole, solution)?;
            let reach = PlateVec::from_angle(std::f64::consts::FRAC_PI_4) * radius;
            Some((centre - reach, centre + reach))
        }
        (MeasureKind::Edges, [a, b]) => between_edges(edge_ends(a, solution)?, edge_ends(b, solution)?),
        (MeasureKind::RimToEdge, [a, b]) => {
            let (hole, edge) = if place(a, solution).is_some() { (a, b) } else { (b, a) };
            let (centre, radius) = place(hole, solution)?;
            let foot = foot_on(edge_ends(edge, solution)?, centre)?;
            Some((centre + (foot - centre).unit()? * radius, foot))
        }
        (_, [a, b]) => {
            let ((a, radius_a), (b, radius_b)) = (place(a, solution)?, place(b, solution)?);
            let along = (b - a).unit()?;
            match kind {
                MeasureKind::FarRims => Some((a - along * radius_a, b + along * radius_b)),
                MeasureKind::NearRims => Some((a + along * radius_a, b - along * radius_b)),
                _ => Some((a, b)),
            }
        }
        _ => None,
    }
}

/// Square to both edges, in the middle of what lies opposite.
fn between_edges([from, to]: [PlatePoint; 2], other: [PlatePoint; 2]) -> Option<(PlatePoint, PlatePoint)> {
    let along = (to - from).unit()?;
    let share = |place: PlatePoint| (place - from).dot(along);
    let (own_end, [one, two]) = (share(to), other.map(share));
    let middle = 0.5 * (one.min(two).max(0.0) + one.max(two).min(own_end));
    let start = from + along * middle;
    Some((start, foot_on(other, start)?))
}

/// The foot of a place on the line through two ends.
fn foot_on([from, to]: [PlatePoint; 2], place: PlatePoint) -> Option<PlatePoint> {
    let along = (to - from).unit()?;
    Some(from + along * (place - from).dot(along))
}

/// The ends of an edge on the plate.
fn edge_ends(id: &Id, solution: &Solution) -> Option<[PlatePoint; 2]> {
    solution.edges.iter().find(|edge| edge.id == *id).map(|edge| edge.ends)
}

/// A feature's place and the radius that the jaws touch, mm.
fn place(id: &Id, solution: &Solution) -> Option<(PlatePoint, f64)> {
    let hole = solution.holes.iter().find(|hole| hole.id == *id).map(|hole| (hole.centre, hole.bore_diameter_mm / 2.0));
    hole.or_else(|| solution.points.iter().find(|point| point.id == *id).map(|point| (point.at, 0.0)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use platewright_core::solution::{Ellipse, HoleFit};

    fn hole(id: &str, x: f64, diameter_mm: f64) -> HoleFit {
        HoleFit {
            id: id.into(),
            centre: PlatePoint::new(x, 0.0),
            rim_diameter_mm: diameter_mm + 1.0,
            bore_diameter_mm: diameter_mm,
            diameter_sigma_mm: 0.01,
            ellipse: Ellipse::default(),
            rim_points: 3,
            is_measured: false,
            rim_rms_px: 0.1,
            picks_off_px: Vec::new(),
        }
    }

    #[test]
    fn dimension_lines_end_where_the_jaws_touch() {
        let solution = Solution { holes: vec![hole("h1", 0.0, 8.0), hole("h2", 50.0, 6.0)], ..Solution::default() };
        let between = [Id::from("h1"), Id::from("h2")];
        let x = |kind| jaws(kind, &between, &solution).map(|(from, to)| (from.x, to.x));
        assert_eq!(x(MeasureKind::FarRims), Some((-4.0, 53.0)), "the far sides of both bores");
        assert_eq!(x(MeasureKind::NearRims), Some((4.0, 47.0)), "the wall");
        assert_eq!(x(MeasureKind::Centres), Some((0.0, 50.0)), "the centres");
        let (from, to) = jaws(MeasureKind::Diameter, &between[..1], &solution).unwrap();
        assert!((from.distance(to) - 8.0).abs() < 1e-12, "across the bore");
        assert_eq!(x(MeasureKind::Edges), None, "these are no edges");
    }

    #[test]
    fn between_edges_it_runs_square_to_them_in_the_middle_of_what_lies_opposite() {
        let at = PlatePoint::new;
        let (from, to) = between_edges([at(0.0, 0.0), at(10.0, 0.0)], [at(16.0, 5.0), at(4.0, 5.0)]).unwrap();
        assert!(from.distance(at(7.0, 0.0)) < 1e-12, "half way from 4 to 10: {from:?}");
        assert!(to.distance(at(7.0, 5.0)) < 1e-12, "opposite it: {to:?}");
    }

    #[test]
    fn lengths_are_shown_in_the_unit_that_is_worked_in() {
        assert_eq!(length_figure(94.184, false), "94.18");
        assert_eq!(length_figure(25.4, true), "1.000");
    }
}
