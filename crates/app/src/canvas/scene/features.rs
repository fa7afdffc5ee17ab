//! Holes, named points, picks and uncertainty ellipses as they are seen.

use crate::canvas::transform::Transform;
use crate::session::{Chosen, Operation, Session};
use egui::{Pos2, Rect, Vec2};
use platewright_core::job::{Hole, Id, Job};
use platewright_core::solution::{Ellipse, Solution};
use platewright_core::space::{PhotoPoint, PlatePoint, PlateVec};
use platewright_core::tolerance::K95_PLACE;
use std::f64::consts::TAU;

/// So many picks make a rim.
pub(in crate::canvas) const PICKS_OF_A_RIM: usize = 3;
/// By how much ellipses may be enlarged.
const FACTORS: [f64; 7] = [1.0, 2.0, 4.0, 10.0, 20.0, 40.0, 100.0];
/// How long the largest ellipse may be drawn, points.
const LONGEST_ELLIPSE: f64 = 160.0;
/// An ellipse longer than this says only that nothing is known yet, and is not drawn, points.
const HOPELESS_ELLIPSE: f64 = 1000.0;

/// A hole, a named point, a straight edge or something added.
#[derive(Debug, Clone)]
pub(in crate::canvas) struct Feature {
    /// Its id.
    pub(in crate::canvas) id: Id,
    /// Its name.
    pub(in crate::canvas) name: String,
    /// What its flag says beside the name; empty for nothing.
    pub(in crate::canvas) note: String,
    /// What it is.
    pub(in crate::canvas) kind: FeatureKind,
    /// Its middle.
    pub(in crate::canvas) at: Pos2,
    /// How far its rim reaches from its middle, points; 0 where it has none.
    pub(in crate::canvas) reach: f32,
    /// Its rim, closed; empty where it has none.
    pub(in crate::canvas) rim: Vec<Pos2>,
}

/// What a feature is, as far as it is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::canvas) enum FeatureKind {
    /// A hole whose rim was found.
    Hole,
    /// A hole with too few picks.
    HoleWithoutRim,
    /// A named point.
    Point,
    /// A straight edge.
    Edge,
    /// A hole or slot that was added.
    Added,
}

/// What a pick is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::canvas) enum PickOf {
    /// The rim of a hole.
    Rim,
    /// A straight edge.
    Edge,
}

/// A pick on a rim or along an edge.
#[derive(Debug, Clone)]
pub(in crate::canvas) struct PickSeen {
    /// What it is of.
    pub(in crate::canvas) of: PickOf,
    /// The hole or edge.
    pub(in crate::canvas) feature: Id,
    /// Which of its picks.
    pub(in crate::canvas) index: usize,
    /// Where it is seen.
    pub(in crate::canvas) at: Pos2,
    /// It is the one that is worked on.
    pub(in crate::canvas) is_chosen: bool,
    /// Its accessible name, `H1 first pick`.
    pub(in crate::canvas) name: String,
}

/// Uncertainty ellipses.
#[derive(Debug, Clone)]
pub(in crate::canvas) struct Ellipses {
    /// By how much they are enlarged.
    pub(in crate::canvas) factor: f64,
    /// One closed line for each hole and point.
    pub(in crate::canvas) lines: Vec<Vec<Pos2>>,
}

/// The holes and points of the job that have a place.
pub(super) fn features(job: &Job, solution: &Solution, transform: &Transform) -> Vec<Feature> {
    let holes = job.holes.iter().filter_map(|hole| {
        let fit = solution.holes.iter().find(|fit| fit.id == hole.id);
        fit.and_then(|fit| fitted(hole, fit.centre, fit.rim_diameter_mm / 2.0, transform))
            .or_else(|| without_rim(hole, transform))
    });
    let points = job.points.iter().filter_map(|point| {
        Some(Feature {
            id: point.id.clone(),
            name: point.name.clone(),
            note: String::new(),
            kind: FeatureKind::Point,
            at: transform.screen_from_photo(point.at)?,
            reach: 0.0,
            rim: Vec::new(),
        })
    });
    holes.chain(points).collect()
}

fn fitted(hole: &Hole, centre: PlatePoint, radius_mm: f64, transform: &Transform) -> Option<Feature> {
    let at = transform.screen_from_plate(centre)?;
    let rim = circle(centre, radius_mm, transform)?;
    let reach = rim.iter().map(|point| point.distance(at)).fold(0.0, f32::max);
    let (id, name) = (hole.id.clone(), hole.name.clone());
    let note = if hole.keep { String::new() } else { "not cut".to_owned() };
    Some(Feature { id, name, note, kind: FeatureKind::Hole, at, reach, rim })
}

fn without_rim(hole: &Hole, transform: &Transform) -> Option<Feature> {
    let count = hole.rim.len() as f64;
    let (x, y) = hole.rim.iter().fold((0.0, 0.0), |(x, y), pick| (x + pick.x / count, y + pick.y / count));
    let at = transform.screen_from_photo(PhotoPoint::new(x, y)).filter(|_| !hole.rim.is_empty())?;
    let (id, name) = (hole.id.clone(), hole.name.clone());
    let note = match PICKS_OF_A_RIM.saturating_sub(hole.rim.len()) {
        0 => "no rim".to_owned(),
        1 => "1 more pick".to_owned(),
        more => format!("{more} more picks"),
    };
    Some(Feature { id, name, note, kind: FeatureKind::HoleWithoutRim, at, reach: 0.0, rim: Vec::new() })
}

/// A circle on the plate, with as many sides as its size on the screen asks for; `None` where a part is not seen.
pub(in crate::canvas) fn circle(centre: PlatePoint, radius_mm: f64, transform: &Transform) -> Option<Vec<Pos2>> {
    let at = transform.screen_from_plate(centre)?;
    let edge = transform.screen_from_plate(centre + PlateVec::new(radius_mm, 0.0))?;
    // The sagitta of a side stays under a tenth of a point.
    let sides = (7.0 * at.distance(edge).max(1.0).sqrt()).clamp(24.0, 360.0) as u32;
    let angle = |side: u32| TAU * f64::from(side) / f64::from(sides);
    (0..sides).map(|side| transform.screen_from_plate(centre + PlateVec::from_angle(angle(side)) * radius_mm)).collect()
}

/// The picks of rims: all while holes are picked, else none.
pub(super) fn picks(session: &Session, job: &Job, transform: &Transform) -> Vec<PickSeen> {
    if session.screen.operation != Operation::Holes {
        return Vec::new();
    }
    let seen = |hole: &Hole, index: usize, at: PhotoPoint| {
        let is_last_placed = session.screen.picking.as_ref() == Some(&hole.id) && index + 1 == hole.rim.len();
        let chosen = Chosen::RimPick { hole: hole.id.clone(), index };
        Some(PickSeen {
            of: PickOf::Rim,
            feature: hole.id.clone(),
            index,
            at: transform.screen_from_photo(at).filter(|at| transform.rect.expand(12.0).contains(*at))?,
            is_chosen: is_last_placed || session.screen.chosen.as_ref() == Some(&chosen),
            name: format!("{} {} pick", hole.name, ordinal(index)),
        })
    };
    let of_hole = |hole| move |(index, &at): (usize, &PhotoPoint)| seen(hole, index, at);
    job.holes.iter().flat_map(|hole| hole.rim.iter().enumerate().filter_map(of_hole(hole))).collect()
}

/// The number of a part counted from 0, as a word.
pub(in crate::canvas) fn ordinal(index: usize) -> String {
    const WORDS: [&str; 9] = ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth"];
    WORDS.get(index).map_or_else(|| format!("{}th", index + 1), |word| (*word).to_owned())
}

/// The 95 % ellipses of holes and points, while measures are taken and the scale is known.
pub(super) fn ellipses(session: &Session, transform: &Transform) -> Option<Ellipses> {
    let (screen, solution) = (&session.screen, &session.results.solution);
    if screen.operation != Operation::Measures || !screen.ellipses || !session.results.is_plus_minus_known() {
        return None;
    }
    let holes = solution.holes.iter().map(|hole| (hole.centre, hole.ellipse));
    let all: Vec<_> = holes.chain(solution.points.iter().map(|point| (point.at, point.ellipse))).collect();
    let map = transform.map?;
    let scale = transform.points_per_mm().unwrap_or_else(|| {
        let middle = all.first().map_or(PlatePoint::default(), |(at, _)| *at);
        transform.look.zoom * map.px_per_mm(middle)
    });
    let longest_mm = all.iter().map(|(_, ellipse)| 2.0 * K95_PLACE * ellipse.major_mm).fold(0.0, f64::max);
    let longest = longest_mm * scale;
    if longest <= 0.0 || longest > HOPELESS_ELLIPSE {
        return None;
    }
    let factor = factor(longest);
    let lines = all.iter().map(|(at, ellipse)| ellipse_line(*at, *ellipse, factor, transform));
    Some(Ellipses { factor, lines: lines.filter(|line| in_sight(line, transform.rect)).collect() })
}

/// The largest enlargement that keeps an ellipse of `length` points within its limit.
fn factor(length: f64) -> f64 {
    FACTORS.into_iter().rfind(|factor| length * factor <= LONGEST_ELLIPSE).unwrap_or(FACTORS[0])
}

fn ellipse_line(at: PlatePoint, ellipse: Ellipse, factor: f64, transform: &Transform) -> Vec<Pos2> {
    const SIDES: u32 = 72;
    let major = PlateVec::from_angle(ellipse.major_angle_rad) * (ellipse.major_mm * K95_PLACE * factor);
    let minor = PlateVec::from_angle(ellipse.major_angle_rad).perp() * (ellipse.minor_mm * K95_PLACE * factor);
    let point = |side: u32| {
        let (sin, cos) = (TAU * f64::from(side) / f64::from(SIDES)).sin_cos();
        at + major * cos + minor * sin
    };
    super::seen_line((0..=SIDES).map(point), transform)
}

fn in_sight(line: &[Pos2], view: Rect) -> bool {
    Rect::from_points(line).expand(4.0).intersects(view)
}

impl Feature {
    /// Whether any of it may be in `view`.
    pub(in crate::canvas) fn is_in_sight(&self, view: Rect) -> bool {
        Rect::from_center_size(self.at, Vec2::splat(2.0 * self.reach + 24.0)).intersects(view)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::{Standing, View};
    use crate::sheets::samples;
    use egui::{Rect, vec2};

    #[test]
    fn the_largest_ellipse_is_40_to_160_points_long_where_a_factor_does_it() {
        for length in [0.4, 0.9, 1.6, 3.0, 7.0, 12.0, 55.0, 160.0] {
            let drawn = length * factor(length);
            assert!((40.0..=160.0).contains(&drawn), "{length} is drawn {drawn} long");
        }
        assert!((factor(400.0) - 1.0).abs() < 1e-12, "too large already: not enlarged");
    }

    #[test]
    fn no_ellipse_is_drawn_while_rims_wait_to_be_measured() {
        let mut session = samples::session(samples::plate());
        session.screen.operation = Operation::Measures;
        session.refresh();
        let rect = Rect::from_min_size(Pos2::ZERO, vec2(400.0, 300.0));
        let transform = Transform::new(rect, session.screen.look, View::AsShot, session.results.solution.map);
        assert!(ellipses(&session, &transform).is_some(), "nothing waits");
        session.results.standing = Standing::Waiting;
        assert!(ellipses(&session, &transform).is_none(), "they would be others once the rims are measured");
    }

    #[test]
    fn picks_are_counted_in_words() {
        assert_eq!(ordinal(0), "first");
        assert_eq!(ordinal(11), "12th");
    }
}
