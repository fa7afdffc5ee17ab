//! Lines on the photo, each over its dark casing, so that they can be read on any photo.

use crate::theme::on_photo;
use egui::{Color32, Painter, Pos2, Rect, Shape, Stroke, Vec2, vec2};

/// Lines of one layer: all casings are drawn before all lines, so that crossing lines do not cut each other.
#[derive(Debug)]
pub(in crate::canvas) struct Lines {
    view: Rect,
    casing: Vec<Shape>,
    over: Vec<Shape>,
}

impl Lines {
    /// No lines yet; those that do not reach into `view` are left out.
    pub(in crate::canvas) fn new(view: Rect) -> Self {
        Self { view: view.expand(8.0), casing: Vec::new(), over: Vec::new() }
    }

    fn is_out_of_sight(&self, points: &[Pos2]) -> bool {
        points.len() < 2 || !Rect::from_points(points).intersects(self.view)
    }

    /// An open line; `casing` is how far the casing reaches beyond it on each side.
    pub(in crate::canvas) fn line(&mut self, points: &[Pos2], width: f32, colour: Color32, casing: f32) {
        if !self.is_out_of_sight(points) {
            self.case(points, width, casing);
            self.over.push(Shape::line(points.to_vec(), Stroke::new(width, colour)));
        }
    }

    /// A closed line.
    pub(in crate::canvas) fn closed(&mut self, points: &[Pos2], width: f32, colour: Color32, casing: f32) {
        if !self.is_out_of_sight(points) {
            let under = Stroke::new(width + 2.0 * casing, on_photo::CASING);
            self.casing.push(Shape::closed_line(points.to_vec(), under));
            self.over.push(Shape::closed_line(points.to_vec(), Stroke::new(width, colour)));
        }
    }

    /// A dashed line over an unbroken casing.
    pub(in crate::canvas) fn dashed(
        &mut self,
        points: &[Pos2],
        (width, colour): (f32, Color32),
        casing: f32,
        [dash, gap]: [f32; 2],
    ) {
        if !self.is_out_of_sight(points) {
            self.case(points, width, casing);
            Shape::dashed_line_many(points, Stroke::new(width, colour), dash, gap, &mut self.over);
        }
    }

    /// An upright cross, `across` points wide.
    pub(in crate::canvas) fn cross(&mut self, at: Pos2, across: f32, width: f32, colour: Color32, casing: f32) {
        for arm in [vec2(across / 2.0, 0.0), vec2(0.0, across / 2.0)] {
            self.line(&[at - arm, at + arm], width, colour, casing);
        }
    }

    /// A filled shape with its casing; the corners go round it.
    pub(in crate::canvas) fn filled(&mut self, corners: Vec<Pos2>, colour: Color32, casing: f32) {
        if !self.is_out_of_sight(&corners) {
            self.casing.push(Shape::closed_line(corners.clone(), Stroke::new(2.0 * casing, on_photo::CASING)));
            self.over.push(Shape::convex_polygon(corners, colour, Stroke::NONE));
        }
    }

    /// A hollow ring with its inside darkened, so that it stands out from what it lies on.
    pub(in crate::canvas) fn ring(&mut self, at: Pos2, radius: f32, width: f32, colour: Color32, casing: f32) {
        if self.view.contains(at) {
            self.casing.push(Shape::circle_filled(at, radius + width / 2.0 + casing, on_photo::CASING));
            self.over.push(Shape::circle_stroke(at, radius, Stroke::new(width, colour)));
        }
    }

    /// A hollow ring with nothing inside.
    pub(in crate::canvas) fn open_ring(&mut self, at: Pos2, radius: f32, width: f32, colour: Color32, casing: f32) {
        if self.view.expand(radius).contains(at) {
            let under = Stroke::new(width + 2.0 * casing, on_photo::CASING);
            self.casing.push(Shape::circle_stroke(at, radius, under));
            self.over.push(Shape::circle_stroke(at, radius, Stroke::new(width, colour)));
        }
    }

    /// A filled disc.
    pub(in crate::canvas) fn disc(&mut self, at: Pos2, radius: f32, colour: Color32, casing: f32) {
        if self.view.expand(radius).contains(at) {
            self.casing.push(Shape::circle_filled(at, radius + casing, on_photo::CASING));
            self.over.push(Shape::circle_filled(at, radius, colour));
        }
    }

    /// Draws them.
    pub(in crate::canvas) fn paint(self, painter: &Painter) {
        painter.extend(self.casing);
        painter.extend(self.over);
    }

    fn case(&mut self, points: &[Pos2], width: f32, casing: f32) {
        let mut under = points.to_vec();
        let last = under.len() - 1;
        under[0] -= (points[1] - points[0]).normalized() * casing;
        under[last] += (points[last] - points[last - 1]).normalized() * casing;
        self.casing.push(Shape::line(under, Stroke::new(width + 2.0 * casing, on_photo::CASING)));
    }
}

/// The four corners of a square standing on its tip, `across` points from tip to tip.
pub(in crate::canvas) fn diamond(at: Pos2, across: f32) -> Vec<Pos2> {
    let half = across / 2.0;
    [vec2(half, 0.0), vec2(0.0, half), vec2(-half, 0.0), vec2(0.0, -half)].map(|step: Vec2| at + step).to_vec()
}
