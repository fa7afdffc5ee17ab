//! The icons, 16 by 16 points, drawn with strokes in the colour of the text beside them.

use crate::theme;
use egui::{Color32, Painter, Pos2, Rect, Response, Role, Sense, Shape, Stroke, Ui, Vec2, WidgetInfo, pos2, vec2};

/// An icon.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Icon {
    /// An operation that is not signed off yet.
    ToSign,
    /// An operation that is signed off.
    Signed,
    /// An operation whose signature a later change has taken away.
    Unsigned,
    /// The others bear it out.
    Agrees,
    /// The others contradict it.
    Disagrees,
    /// Not known, cannot tell.
    NotKnown,
    /// A check fails.
    Fails,
    /// Something to bear in mind.
    Caution,
    /// An open outline.
    Gap,
    /// Brings a thing into sight.
    Show,
    /// A photo.
    Photo,
    /// Writes a file.
    WriteFile,
    /// Joins two ends.
    Join,
    /// Far side of one hole to the far side of the other.
    FarRims,
    /// The wall between two holes.
    NearRims,
    /// Centre to centre.
    Centres,
    /// Across one hole.
    Diameter,
    /// Point to point.
    Points,
    /// Edge to edge.
    Edges,
    /// Rim to edge.
    RimToEdge,
    /// Two edges square to each other.
    Square,
    /// Points on an edge.
    Straight,
    /// A corner node.
    Corner,
    /// A smooth node.
    Smooth,
}

/// The square of an icon round `middle`.
pub fn square(middle: Pos2) -> Rect {
    Rect::from_center_size(middle, Vec2::splat(theme::ICON))
}

/// An icon as an element of its own; `name` says what it means.
pub fn show(ui: &mut Ui, icon: Icon, colour: Color32, name: &str) -> Response {
    let (rect, response) = ui.allocate_exact_size(Vec2::splat(theme::ICON), Sense::hover());
    paint(ui.painter(), rect, icon, colour);
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, name));
    response
}

/// A pen on the icon's own grid of 16 by 16.
struct Pen<'a> {
    painter: &'a Painter,
    rect: Rect,
    colour: Color32,
    scale: f32,
}

impl Pen<'_> {
    fn at(&self, x: f32, y: f32) -> Pos2 {
        self.rect.min + vec2(x, y) * self.scale
    }

    fn stroke(&self, width: f32) -> Stroke {
        Stroke::new(width * self.scale, self.colour)
    }

    fn line(&self, points: &[(f32, f32)], width: f32) {
        let points = points.iter().map(|(x, y)| self.at(*x, *y)).collect();
        self.painter.add(Shape::line(points, self.stroke(width)));
    }

    fn closed(&self, points: &[(f32, f32)], width: f32) {
        let points = points.iter().map(|(x, y)| self.at(*x, *y)).collect();
        self.painter.add(Shape::closed_line(points, self.stroke(width)));
    }

    fn dashed(&self, points: &[(f32, f32)], dash: f32, gap: f32) {
        let points: Vec<Pos2> = points.iter().map(|(x, y)| self.at(*x, *y)).collect();
        self.painter.extend(Shape::dashed_line(&points, self.stroke(theme::EDGE), dash * self.scale, gap * self.scale));
    }

    fn circle(&self, x: f32, y: f32, radius: f32) {
        self.painter.circle_stroke(self.at(x, y), radius * self.scale, self.stroke(theme::EDGE));
    }

    fn dot(&self, x: f32, y: f32, radius: f32) {
        self.painter.circle_filled(self.at(x, y), radius * self.scale, self.colour);
    }

    fn cross(&self, x: f32, y: f32, arm: f32) {
        self.line(&[(x - arm, y), (x + arm, y)], theme::EDGE);
        self.line(&[(x, y - arm), (x, y + arm)], theme::EDGE);
    }

    fn frame(&self) {
        self.closed(&[(1.5, 1.5), (14.5, 1.5), (14.5, 14.5), (1.5, 14.5)], theme::EDGE);
    }

    fn tick(&self) {
        self.line(&[(3.5, 8.5), (6.8, 11.8), (13.0, 4.4)], 2.0);
    }
}

/// Points of an arc round (x, y) from one angle to another, degrees clockwise from the right.
fn arc(x: f32, y: f32, radius: f32, from_deg: f32, to_deg: f32) -> Vec<(f32, f32)> {
    let steps = 24_u8;
    let step = (to_deg - from_deg) / f32::from(steps);
    let angles = (0..=steps).map(|i| (from_deg + step * f32::from(i)).to_radians());
    angles.map(|angle| (x + radius * angle.cos(), y + radius * angle.sin())).collect()
}

/// Draws `icon` in `rect`.
pub fn paint(painter: &Painter, rect: Rect, icon: Icon, colour: Color32) {
    let pen = Pen { painter, rect, colour, scale: rect.width() / theme::ICON };
    match icon {
        Icon::ToSign => pen.frame(),
        Icon::Signed => {
            pen.frame();
            pen.tick();
        }
        Icon::Unsigned => {
            pen.frame();
            pen.tick();
            pen.line(&[(1.0, 15.0), (15.5, 0.5)], 2.0);
        }
        Icon::Agrees => pen.tick(),
        Icon::Disagrees => {
            pen.line(&[(1.0, 5.6), (10.0, 5.6)], 2.6);
            pen.line(&[(6.0, 10.6), (15.0, 10.6)], 2.6);
        }
        Icon::NotKnown => {
            let mut ring = arc(8.0, 8.0, 6.3, 0.0, 360.0);
            ring.dedup();
            pen.dashed(&ring, 2.8, 2.0);
            pen.line(&[(5.4, 8.0), (10.6, 8.0)], theme::EDGE);
        }
        Icon::Fails => {
            pen.frame();
            pen.line(&[(4.8, 4.8), (11.2, 11.2)], 2.0);
            pen.line(&[(11.2, 4.8), (4.8, 11.2)], 2.0);
        }
        Icon::Caution => {
            pen.closed(&[(8.0, 1.8), (15.0, 14.2), (1.0, 14.2)], theme::EDGE);
            pen.line(&[(8.0, 6.0), (8.0, 10.2)], theme::EDGE);
            pen.dot(8.0, 12.2, 0.9);
        }
        Icon::Gap => {
            pen.line(&arc(8.0, 8.0, 6.3, 40.0, 320.0), theme::EDGE);
            pen.dot(8.0, 8.0, 1.5);
        }
        Icon::Corner => pen.closed(&[(8.0, 1.5), (14.5, 8.0), (8.0, 14.5), (1.5, 8.0)], theme::EDGE),
        Icon::Smooth => pen.circle(8.0, 8.0, 5.3),
        Icon::Show | Icon::Photo | Icon::WriteFile | Icon::Join => paint_deed(&pen, icon),
        _ => paint_measure(&pen, icon),
    }
}

fn paint_deed(pen: &Pen<'_>, icon: Icon) {
    match icon {
        Icon::Show => {
            pen.line(&[(3.0, 15.0), (3.0, 1.5), (13.5, 1.5), (11.0, 5.0), (13.5, 8.5), (3.0, 8.5)], theme::EDGE);
        }
        Icon::Photo => {
            pen.closed(&[(1.0, 2.8), (15.0, 2.8), (15.0, 13.2), (1.0, 13.2)], theme::EDGE);
            pen.line(&[(2.0, 11.5), (6.0, 6.5), (9.0, 10.0), (11.0, 8.0), (14.0, 11.5)], theme::EDGE);
        }
        Icon::WriteFile => {
            pen.line(&[(8.0, 1.5), (8.0, 10.5)], theme::EDGE);
            pen.line(&[(4.4, 7.0), (8.0, 10.6), (11.6, 7.0)], theme::EDGE);
            pen.line(&[(2.0, 14.2), (14.0, 14.2)], theme::EDGE);
        }
        _ => {
            pen.closed(&[(1.0, 6.0), (5.0, 6.0), (5.0, 10.0), (1.0, 10.0)], theme::EDGE);
            pen.closed(&[(11.0, 6.0), (15.0, 6.0), (15.0, 10.0), (11.0, 10.0)], theme::EDGE);
            pen.dashed(&[(5.5, 8.0), (10.5, 8.0)], 1.6, 1.4);
        }
    }
}

fn paint_measure(pen: &Pen<'_>, icon: Icon) {
    let jaw = |x: f32| pen.line(&[(x, 1.5), (x, 14.5)], theme::EDGE);
    match icon {
        Icon::FarRims => {
            pen.circle(4.5, 8.0, 2.6);
            pen.circle(11.5, 8.0, 2.6);
            jaw(1.0);
            jaw(15.0);
        }
        Icon::NearRims => {
            pen.circle(3.4, 8.0, 2.5);
            pen.circle(12.6, 8.0, 2.5);
            jaw(6.6);
            jaw(9.4);
        }
        Icon::Centres => {
            for x in [3.8, 12.2] {
                pen.circle(x, 8.0, 3.2);
                pen.cross(x, 8.0, 1.5);
            }
        }
        Icon::Diameter => {
            pen.circle(8.0, 8.0, 6.3);
            pen.line(&[(3.6, 5.0), (3.6, 11.0)], theme::EDGE);
            pen.line(&[(12.4, 5.0), (12.4, 11.0)], theme::EDGE);
            pen.line(&[(3.6, 8.0), (12.4, 8.0)], 1.0);
        }
        Icon::Edges => {
            pen.line(&[(4.6, 2.0), (4.6, 14.0)], 1.0);
            pen.line(&[(11.4, 2.0), (11.4, 14.0)], 1.0);
            pen.line(&[(1.8, 4.5), (1.8, 11.5)], theme::EDGE);
            pen.line(&[(14.2, 4.5), (14.2, 11.5)], theme::EDGE);
        }
        Icon::RimToEdge => {
            pen.circle(4.4, 8.0, 2.8);
            pen.line(&[(13.8, 2.0), (13.8, 14.0)], 1.0);
            pen.line(&[(8.0, 4.5), (8.0, 11.5)], theme::EDGE);
            pen.line(&[(11.4, 4.5), (11.4, 11.5)], theme::EDGE);
        }
        Icon::Square => {
            pen.line(&[(3.0, 1.5), (3.0, 13.0), (14.5, 13.0)], theme::EDGE);
            pen.line(&[(3.0, 8.0), (8.0, 8.0), (8.0, 13.0)], 1.0);
        }
        Icon::Straight => {
            pen.line(&[(1.0, 8.0), (15.0, 8.0)], 1.0);
            for x in [3.5, 8.0, 12.5] {
                pen.cross(x, 8.0, 2.2);
            }
        }
        _ => {
            pen.cross(3.0, 8.0, 2.4);
            pen.cross(13.0, 8.0, 2.4);
            pen.line(&[(5.0, 8.0), (11.0, 8.0)], 1.0);
        }
    }
}

impl Icon {
    /// The icon of what is said about the shape.
    pub fn of_statement(kind: platewright_core::job::StatementKind) -> Self {
        match kind {
            platewright_core::job::StatementKind::Square => Self::Square,
            platewright_core::job::StatementKind::Straight => Self::Straight,
        }
    }

    /// The icon of a kind of measure.
    pub fn of_measure(kind: platewright_core::job::MeasureKind) -> Self {
        use platewright_core::job::MeasureKind;
        match kind {
            MeasureKind::FarRims => Self::FarRims,
            MeasureKind::NearRims => Self::NearRims,
            MeasureKind::Centres => Self::Centres,
            MeasureKind::Diameter => Self::Diameter,
            MeasureKind::Points => Self::Points,
            MeasureKind::Edges => Self::Edges,
            MeasureKind::RimToEdge => Self::RimToEdge,
        }
    }
}

/// A dashed box, for what is not there yet.
pub fn dashed_box(painter: &Painter, rect: Rect, stroke: Stroke) {
    let path = [rect.left_top(), rect.right_top(), rect.right_bottom(), rect.left_bottom(), rect.left_top()];
    painter.extend(Shape::dashed_line(&path, stroke, 6.0, 4.0));
}

/// A dashed level line.
pub fn dashed_level(painter: &Painter, from_x: f32, to_x: f32, y: f32, colour: Color32) {
    let path = [pos2(from_x, y), pos2(to_x, y)];
    painter.extend(Shape::dashed_line(&path, Stroke::new(1.0, colour), 4.0, 2.5));
}
