//! Outline and openings: light line over dark casing, nodes, levers, gap, hatch.

use super::Lines;
use super::lines::diamond;
use crate::canvas::scene::{FeatureKind, GapSeen, LeverSeen, Outline, Scene};
use crate::theme::on_photo;
use egui::{Painter, Pos2, Rect, Shape, Stroke, Vec2, vec2};
use platewright_core::job::NodeKind;

/// Between two lines of the hatch, points.
const HATCH_STEP: f32 = 12.0;

/// Draws outlines; with their nodes and levers where they are `worked_on`.
pub(in crate::canvas) fn paint(painter: &Painter, view: Rect, scene: &Scene, worked_on: bool) {
    let closed: Vec<Vec<Pos2>> =
        scene.outlines.iter().filter(|outline| outline.closed && outline.keep).map(Outline::loop_line).collect();
    if worked_on && !closed.is_empty() {
        let holes = scene.features.iter().filter(|feature| feature.kind == FeatureKind::Hole);
        let rims = holes.map(|feature| &feature.rim).chain(scene.added.iter().map(|added| &added.rim));
        let rims = rims.filter(|rim| !rim.is_empty()).cloned();
        let loops: Vec<Vec<Pos2>> = closed.into_iter().chain(rims).collect();
        painter.extend(hatch(&loops, view));
    }
    let mut lines = Lines::new(view);
    for outline in &scene.outlines {
        for (index, piece) in outline.pieces.iter().enumerate() {
            if worked_on && outline.chosen == Some(index) {
                lines.line(piece, 3.0, on_photo::BRASS, 1.4);
            } else if outline.keep {
                lines.line(piece, 1.7, on_photo::LIGHT, 1.4);
            } else {
                lines.dashed(piece, (1.3, on_photo::LIGHT), 1.1, [3.0, 4.0]);
            }
        }
    }
    lines.paint(painter);
    if worked_on {
        let mut marks = Lines::new(view);
        for outline in &scene.outlines {
            if let Some(reaching) = &outline.reaching {
                marks.dashed(reaching, (1.7, on_photo::BRASS_LIGHT), 1.1, [6.0, 4.0]);
            }
            paint_gap(&mut marks, outline);
            paint_handles(&mut marks, outline);
        }
        marks.paint(painter);
    }
}

/// The dashed arc over a gap, bulging outward, with a bar at each loose end.
pub(super) fn paint_gap(lines: &mut Lines, outline: &Outline) {
    let Some(GapSeen { from, to, outward, .. }) = outline.gap.filter(|_| !outline.is_tracing) else { return };
    let across = to - from;
    let bulge = (across.length() * 0.25).clamp(8.0, 60.0);
    let point = |step: u32| {
        let t = step as f32 / 24.0;
        from + across * t + outward * (bulge * 4.0 * t * (1.0 - t))
    };
    let arc: Vec<Pos2> = (0..=24).map(point).collect();
    lines.dashed(&arc, (2.2, on_photo::DISAGREE), 2.0, [6.0, 4.0]);
    for end in [from, to] {
        let bar = across.normalized().rot90() * 8.0;
        lines.line(&[end - bar, end + bar], 2.2, on_photo::DISAGREE, 2.0);
    }
}

fn paint_handles(lines: &mut Lines, outline: &Outline) {
    for &(index, at) in &outline.throughs {
        let colour = if outline.chosen == Some(index) { on_photo::BRASS } else { on_photo::BRASS_LIGHT };
        lines.disc(at, 3.2, colour, 1.4);
    }
    for lever in &outline.levers {
        paint_lever(lines, lever);
    }
    for (index, node) in outline.nodes.iter().enumerate() {
        let Some((at, kind)) = *node else { continue };
        if outline.pinned.contains(&index) {
            lines.open_ring(at, 11.0, 1.8, on_photo::BRASS_LIGHT, 1.3);
        }
        let is_chosen = outline.chosen == Some(index);
        match (kind, is_chosen) {
            (NodeKind::Corner, true) => lines.filled(diamond(at, 16.0), on_photo::BRASS, 2.2),
            (NodeKind::Corner, false) => lines.filled(diamond(at, 16.0), on_photo::LIGHT, 2.2),
            (NodeKind::Smooth, true) => lines.disc(at, 6.0, on_photo::BRASS, 2.2),
            (NodeKind::Smooth, false) => lines.ring(at, 5.0, 2.2, on_photo::LIGHT, 2.2),
        }
    }
}

/// A brass bar from the node to a crosspiece of 8 by 14 points.
fn paint_lever(lines: &mut Lines, lever: &LeverSeen) {
    let along = (lever.to - lever.from).normalized();
    lines.line(&[lever.from, lever.to], 3.4, on_photo::BRASS, 1.4);
    let across = along.rot90() * 7.0;
    let half = along * 4.0;
    let corner = |a: f32, b: f32| lever.to + half * a + across * b;
    lines.filled(
        vec![corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)],
        on_photo::BRASS,
        1.4,
    );
}

/// Lines at 45 degrees inside `loops`, by the even-odd rule. They hang on the first loop, so that they pan with it.
fn hatch(loops: &[Vec<Pos2>], view: Rect) -> Vec<Shape> {
    let along = vec2(1.0, -1.0).normalized();
    let across = along.rot90();
    let Some(anchor) = loops.first().and_then(|line| line.first()) else { return Vec::new() };
    let phase = across.dot(anchor.to_vec2()).rem_euclid(HATCH_STEP);
    let corners = [view.left_top(), view.right_top(), view.left_bottom(), view.right_bottom()];
    let reach = corners.map(|corner| across.dot(corner.to_vec2()));
    let (least, most) = reach.iter().fold((f32::MAX, f32::MIN), |(a, b), &r| (a.min(r), b.max(r)));
    let mut rows: Vec<Vec<f32>> = vec![Vec::new(); ((most - least) / HATCH_STEP).ceil().max(0.0) as usize + 1];
    let first = ((least - phase) / HATCH_STEP).ceil();
    let row_at = |index: usize| phase + (first + index as f32) * HATCH_STEP;
    for line in loops {
        for (a, b) in line.iter().zip(line.iter().cycle().skip(1)) {
            add_crossings(&mut rows, [*a, *b], along, (row_at(0), across));
        }
    }
    let (stroke, casing) = (Stroke::new(1.0, on_photo::HATCH), Stroke::new(2.4, on_photo::HATCH_CASING));
    let mut shapes = Vec::new();
    for (index, mut crossings) in rows.into_iter().enumerate() {
        crossings.sort_by(f32::total_cmp);
        let at = |t: f32| (across * row_at(index) + along * t).to_pos2();
        for pair in crossings.as_chunks::<2>().0 {
            let ends = vec![at(pair[0]), at(pair[1])];
            if Rect::from_points(&ends).intersects(view) {
                shapes.push(Shape::line(ends.clone(), casing));
                shapes.push(Shape::line(ends, stroke));
            }
        }
    }
    shapes
}

/// Adds where a side crosses the rows, as a way along the row.
fn add_crossings(rows: &mut [Vec<f32>], [a, b]: [Pos2; 2], along: Vec2, (start, across): (f32, Vec2)) {
    let height = |point: Pos2| (across.dot(point.to_vec2()) - start) / HATCH_STEP;
    let (low, high) = if height(a) <= height(b) { (a, b) } else { (b, a) };
    let (from, to) = (height(low).ceil().max(0.0), height(high).ceil().min(rows.len() as f32));
    let mut row = from;
    while row < to {
        let t = (row - height(low)) / (height(high) - height(low));
        rows[row as usize].push(along.dot(low.lerp(high, t).to_vec2()));
        row += 1.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    #[test]
    fn the_hatch_fills_the_inside_and_leaves_openings_clear() {
        let square = |at: f32, side: f32| {
            vec![pos2(at, at), pos2(at + side, at), pos2(at + side, at + side), pos2(at, at + side)]
        };
        let view = Rect::from_min_size(pos2(0.0, 0.0), vec2(400.0, 400.0));
        let shapes = hatch(&[square(100.0, 200.0), square(160.0, 80.0)], view);
        assert!(shapes.len() > 40, "{} lines with their casings", shapes.len());
        let mut length = 0.0;
        for shape in shapes.iter().step_by(2) {
            let Shape::Path(path) = shape else { panic!("a line") };
            let (a, b) = (path.points[0], path.points[1]);
            let middle = a.lerp(b, 0.5);
            let outer = Rect::from_min_size(pos2(100.0, 100.0), vec2(200.0, 200.0));
            let inner = Rect::from_min_size(pos2(160.0, 160.0), vec2(80.0, 80.0));
            assert!(outer.contains(middle) && !inner.shrink(0.01).contains(middle), "{a:?} to {b:?}");
            length += a.distance(b);
        }
        // Area over spacing is the length of all lines together.
        let expected = (200.0 * 200.0 - 80.0 * 80.0) / HATCH_STEP;
        assert!((length / expected - 1.0).abs() < 0.05, "{length} for {expected}");
    }
}
