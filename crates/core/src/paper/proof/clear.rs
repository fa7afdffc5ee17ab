//! Room for text between the lines of a drawing.

use crate::export::{CutDrawing, CutHole};
use crate::geom::Bounds;
use crate::space::{PlatePoint, PlateVec};

/// How far the chords that stand for arcs may lie from them, mm: less than a line is wide.
const CHORD_MM: f64 = 0.05;

/// The lines that text is kept clear of, in the datum's frame.
#[derive(Debug)]
pub(super) struct Lines<'a> {
    chords: Vec<[PlatePoint; 2]>,
    holes: &'a [CutHole],
}

impl<'a> Lines<'a> {
    /// Those of what is cut.
    pub(super) fn of(drawing: &'a CutDrawing) -> Self {
        let contours = drawing.outer.iter().chain(&drawing.openings);
        let pieces = contours.flat_map(|cut| &cut.contour.segments);
        let chords = pieces.flat_map(|piece| {
            let points = piece.sampled(CHORD_MM);
            points.windows(2).map(|pair| [pair[0], pair[1]]).collect::<Vec<_>>()
        });
        Self { chords: chords.collect(), holes: &drawing.holes }
    }

    /// A contour leads through the box.
    pub(super) fn cross(&self, text: Bounds) -> bool {
        self.chords.iter().any(|[from, to]| clipped(text, *from, *to).is_some())
    }

    /// The rim of a hole leads through the box, or its cross does.
    pub(super) fn meet_hole(&self, text: Bounds) -> bool {
        self.holes.iter().any(|hole| {
            let radius = hole.diameter_mm / 2.0;
            let nearest = PlatePoint::new(
                hole.centre.x.clamp(text.min.x, text.max.x),
                hole.centre.y.clamp(text.min.y, text.max.y),
            );
            let corners =
                [text.min, text.max, PlatePoint::new(text.min.x, text.max.y), PlatePoint::new(text.max.x, text.min.y)];
            let farthest = corners.into_iter().map(|corner| corner.distance(hole.centre)).fold(0.0, f64::max);
            let reaches_rim = nearest.distance(hole.centre) <= radius && farthest >= radius;
            let arm = radius + super::CROSS_BEYOND_MM;
            let on_cross = [PlateVec::new(arm, 0.0), PlateVec::new(0.0, arm)]
                .iter()
                .any(|arm| clipped(text, hole.centre - *arm, hole.centre + *arm).is_some());
            reaches_rim || on_cross
        })
    }
}

/// The part of a line that lies inside a box; `None` where none does (Liang and Barsky 1984, from memory).
pub(super) fn clipped(sides: Bounds, from: PlatePoint, to: PlatePoint) -> Option<[PlatePoint; 2]> {
    let step = to - from;
    let mut share = [0.0_f64, 1.0];
    let slabs = [(from.x, step.x, sides.min.x, sides.max.x), (from.y, step.y, sides.min.y, sides.max.y)];
    for (start, step, low, high) in slabs {
        if step == 0.0 {
            if start < low || start > high {
                return None;
            }
            continue;
        }
        let [enter, leave] = [(low - start) / step, (high - start) / step];
        share = [share[0].max(enter.min(leave)), share[1].min(enter.max(leave))];
    }
    (share[0] <= share[1]).then(|| share.map(|t| from + step * t))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_clipped_line_is_the_part_that_lies_inside(
            from in prop::array::uniform2(-9.0..9.0f64),
            to in prop::array::uniform2(-9.0..9.0f64),
        ) {
            let sides = Bounds { min: PlatePoint::new(-3.0, -2.0), max: PlatePoint::new(3.0, 2.0) };
            let (from, to) = (PlatePoint::from(from), PlatePoint::from(to));
            let inside = |p: PlatePoint| p.x.abs() <= 3.0 + 1e-9 && p.y.abs() <= 2.0 + 1e-9;
            let kept = clipped(sides, from, to);
            for k in 0..=100 {
                let p = from.lerp(to, f64::from(k) / 100.0);
                if p.x.abs() <= 3.0 && p.y.abs() <= 2.0 {
                    let [a, b] = kept.unwrap();
                    prop_assert!((p.distance(a) + p.distance(b) - a.distance(b)).abs() < 1e-9, "{p:?} is between the ends");
                }
            }
            if let Some([a, b]) = kept {
                prop_assert!(inside(a) && inside(b));
            }
        }
    }
}
