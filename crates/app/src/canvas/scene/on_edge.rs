//! How the cut lies to the measured edge, as it is seen: whiskers, stretches that were not seen, places where a contour
//! meets itself, and the pieces that the pointer is on in the sheet.

use super::seen_line;
use crate::canvas::transform::Transform;
use crate::session::{Operation, Session};
use egui::{Pos2, Rect};
use platewright_core::solution::{EdgePlace, MeasuredContour};

/// Between two whiskers along the edge, points.
const APART: f32 = 11.0;
/// How many times as long as true whiskers may be drawn.
const FACTORS: [f64; 5] = [10.0, 20.0, 50.0, 100.0, 200.0];
/// The length that the allowance is drawn near, points.
const ALLOWANCE_LENGTH: f64 = 18.0;

/// A whisker: from the cut to the measured edge, drawn longer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::canvas) struct Whisker {
    /// On the cut.
    pub(in crate::canvas) from: Pos2,
    /// Towards the measured edge.
    pub(in crate::canvas) to: Pos2,
    /// The place lies farther off than is allowed.
    pub(in crate::canvas) is_over: bool,
}

/// Whiskers with the factor that they are drawn longer by.
#[derive(Debug, Clone, Default, PartialEq)]
pub(in crate::canvas) struct Whiskers {
    pub(in crate::canvas) all: Vec<Whisker>,
    pub(in crate::canvas) factor: f64,
    /// How far off a place may lie, mm, and how long that is drawn, points.
    pub(in crate::canvas) allowance_mm: f64,
    pub(in crate::canvas) allowance_length: f32,
}

/// How the cut lies to the measured edge.
#[derive(Debug, Clone, Default)]
pub(in crate::canvas) struct OnEdge {
    pub(in crate::canvas) whiskers: Option<Whiskers>,
    /// Ends of stretches where no edge was seen.
    pub(in crate::canvas) unseen: Vec<[Pos2; 2]>,
    /// Where contours meet themselves.
    pub(in crate::canvas) crossings: Vec<Pos2>,
    /// Pieces that the pointer is on in the sheet.
    pub(in crate::canvas) pointed: Vec<Vec<Pos2>>,
}

/// What is seen of it; nothing but where the outline is worked on, or cut.
pub(super) fn on_edge(session: &Session, transform: &Transform) -> OnEdge {
    let screen = &session.screen;
    if !matches!(screen.operation, Operation::Outline | Operation::Cut) {
        return OnEdge::default();
    }
    let contours = &session.results.solution.contours;
    let measured = || contours.iter().filter_map(|fit| fit.measured.as_ref());
    let seen = |plate| transform.screen_from_plate(plate);
    let unseen = measured().flat_map(|measured| &measured.unseen);
    let pointed = screen.pointed_pieces.iter().flat_map(|(id, pieces)| {
        let fit = contours.iter().find(|fit| fit.id == *id).and_then(|fit| fit.measured.as_ref());
        let lines = fit.into_iter().flat_map(move |measured| pieces.iter().filter_map(|k| measured.pieces.get(*k)));
        lines.map(|piece| seen_line(piece.along.iter().copied(), transform))
    });
    OnEdge {
        whiskers: screen.whiskers.then(|| whiskers(measured(), transform)).flatten(),
        unseen: unseen.filter_map(|unseen| Some([seen(unseen.from)?, seen(unseen.to)?])).collect(),
        crossings: contours.iter().flat_map(|fit| &fit.crossings).filter_map(|crossing| seen(crossing.at)).collect(),
        pointed: pointed.collect(),
    }
}

/// The whiskers in sight, one for each stretch of the edge: that of the place farthest off; `None` while nothing is measured.
fn whiskers<'a>(
    measured: impl Iterator<Item = &'a MeasuredContour> + Clone,
    transform: &Transform,
) -> Option<Whiskers> {
    let allowance_mm = measured.clone().map(MeasuredContour::allowance_mm).fold(0.0, f64::max);
    let first = measured.clone().find_map(|measured| measured.places.first())?;
    let scale = scale(first, transform)?;
    let length = |factor: f64| allowance_mm * scale * factor;
    let misfit = |factor: f64| (length(factor) / ALLOWANCE_LENGTH).ln().abs();
    let factor = FACTORS.into_iter().min_by(|a, b| misfit(*a).total_cmp(&misfit(*b)))?;
    let view = transform.rect.expand(ALLOWANCE_LENGTH as f32);
    let all = measured.flat_map(|measured| along(measured, transform, view, factor)).collect();
    Some(Whiskers { all, factor, allowance_mm, allowance_length: length(factor) as f32 })
}

/// Points of the screen for each mm at a place.
fn scale(place: &EdgePlace, transform: &Transform) -> Option<f64> {
    let step = platewright_core::space::PlateVec::new(1.0, 0.0);
    let (here, there) = (transform.screen_from_plate(place.at)?, transform.screen_from_plate(place.at + step)?);
    Some(f64::from(here.distance(there)))
}

fn along(measured: &MeasuredContour, transform: &Transform, view: Rect, factor: f64) -> Vec<Whisker> {
    let allowance_mm = measured.allowance_mm();
    let mut all: Vec<(Whisker, f64)> = Vec::new();
    let mut start: Option<Pos2> = None;
    for place in measured.places.iter().filter(|place| place.took_part) {
        let Some(from) = transform.screen_from_plate(place.on_cut).filter(|from| view.contains(*from)) else {
            continue;
        };
        let off_mm = place.off_mm.abs();
        let begins = start.is_none_or(|start| start.distance(from) >= APART);
        if begins {
            start = Some(from);
        } else if all.last().is_some_and(|(_, known_mm)| *known_mm >= off_mm) {
            continue;
        }
        let Some(to) = transform.screen_from_plate(place.on_cut + (place.at - place.on_cut) * factor) else { continue };
        let whisker = (Whisker { from, to, is_over: off_mm > allowance_mm }, off_mm);
        match all.last_mut() {
            Some(last) if !begins => *last = whisker,
            _ => all.push(whisker),
        }
    }
    all.into_iter().map(|(whisker, _)| whisker).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::{Look, View};
    use egui::{pos2, vec2};
    use platewright_core::camera::{Lens, PlateMap, Pose};
    use platewright_core::space::{PhotoPoint, PlatePoint};

    /// 2,000 places every tenth of a mm along a line, 0.01 mm off but one that is 0.3 mm off, at 10 px to the mm.
    fn measured() -> MeasuredContour {
        let place = |k: i32| {
            let off_mm = if k == 1000 { 0.3 } else { 0.01 };
            let on_cut = PlatePoint::new(0.1 * f64::from(k) - 100.0, 0.0);
            let at = PlatePoint::new(on_cut.x, off_mm);
            EdgePlace { at, on_cut, off_mm, node: 0, took_part: true }
        };
        MeasuredContour {
            places: (0..2000).map(place).collect(),
            tolerance_mm: 0.05,
            noise_mm: 0.01,
            worst_mm: 0.3,
            pieces: Vec::new(),
            unseen: Vec::new(),
            far_nodes: Vec::new(),
            agreed: Vec::new(),
            suggestions: Vec::new(),
        }
    }

    fn transform(zoom: f64) -> Transform {
        let map = PlateMap::new(Lens::pinhole(3000.0, PhotoPoint::new(2000.0, 1500.0)), Pose::square(300.0));
        let rect = Rect::from_min_size(pos2(0.0, 0.0), vec2(900.0, 700.0));
        Transform::new(rect, Look { centre: PhotoPoint::new(2000.0, 1500.0), zoom }, View::AsShot, Some(map))
    }

    #[test]
    fn whiskers_stand_eleven_points_apart_and_the_worst_is_kept() {
        let measured = measured();
        let seen = whiskers(std::iter::once(&measured), &transform(0.4)).unwrap();
        // 200 mm at 4 points to the mm, every 11 points, of which the worst of each stretch may stand nearer.
        assert!((60..=80).contains(&seen.all.len()), "{}", seen.all.len());
        assert_eq!(
            seen.all.iter().filter(|whisker| whisker.is_over).count(),
            1,
            "the one that is far off is among them"
        );
        let longest = seen.all.iter().map(|w| w.from.distance(w.to)).fold(0.0, f32::max);
        assert!((f64::from(longest) - 0.3 * 4.0 * seen.factor).abs() < 0.1, "{longest} at {}", seen.factor);
        assert!((9.0..36.0).contains(&seen.allowance_length), "{}", seen.allowance_length);
    }

    #[test]
    fn what_is_out_of_sight_has_no_whisker() {
        let measured = measured();
        let seen = whiskers(std::iter::once(&measured), &transform(4.0)).unwrap();
        // 900 points and a margin at 40 points to the mm: a place every 4 points.
        assert!(seen.all.len() <= 86, "{}", seen.all.len());
        assert!(seen.factor < 50.0, "drawn less long where the photo is large: {}", seen.factor);
    }
}
