//! Labels on the screen.

use super::{Flag, GapBox, Labels, PADDING, Value};
use crate::canvas::layers::Lines;
use crate::canvas::scene::State;
use crate::theme::{Colours, on_photo};
use egui::{CornerRadius, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, pos2};

/// Corners of flags and boxes, points.
const CORNER: CornerRadius = CornerRadius::same(2);

impl Labels {
    /// Draws them.
    pub(in crate::canvas) fn paint(&self, painter: &Painter, colours: &Colours) {
        let mut lines = Lines::new(painter.clip_rect());
        for flag in &self.flags {
            lines.line(&flag.place.leader, 1.2, on_photo::LIGHT, 1.0);
        }
        if let Some(gap) = &self.gap {
            lines.line(&[nearest_on_edge(gap.rect, gap.leader_to), gap.leader_to], 1.3, on_photo::DISAGREE, 1.1);
        }
        lines.paint(painter);
        for value in &self.heat {
            value.paint(painter);
        }
        for flag in &self.flags {
            flag.paint(painter, colours);
        }
        for value in &self.values {
            value.paint(painter, colours);
        }
        if let Some(gap) = &self.gap {
            gap.paint(painter, colours);
        }
        if let Some(legend) = &self.legend {
            legend.paint(painter, colours);
        }
    }
}

fn nearest_on_edge(rect: Rect, to: Pos2) -> Pos2 {
    to.clamp(rect.min, rect.max)
}

impl Flag {
    fn paint(&self, painter: &Painter, colours: &Colours) {
        let rect = self.place.rect;
        painter.rect(rect, CORNER, colours.flag, Stroke::new(1.2, self.edge), StrokeKind::Inside);
        if self.place.is_tab {
            let hovered =
                painter.ctx().input(|input| input.pointer.hover_pos().is_some_and(|at| rect.expand(6.0).contains(at)));
            if hovered {
                let open = Rect::from_center_size(rect.center(), self.galley.size() + 2.0 * PADDING);
                painter.rect(open, CORNER, colours.flag, Stroke::new(1.2, self.edge), StrokeKind::Inside);
                painter.galley(open.min + PADDING, self.galley.clone(), colours.flag_ink);
            }
        } else {
            painter.galley(rect.min + PADDING, self.galley.clone(), colours.flag_ink);
        }
    }
}

impl Value {
    fn paint(&self, painter: &Painter, colours: &Colours) {
        let width = match self.state {
            State::Draft | State::Disagrees | State::Next => 2.0,
            _ if self.is_chosen => 2.0,
            State::Stands | State::LeftOut => 1.2,
        };
        painter.rect(self.rect, CORNER, colours.flag, Stroke::new(width, self.edge), StrokeKind::Inside);
        let at = self.rect.center() - self.galley.size() / 2.0;
        painter.galley(at, self.galley.clone(), colours.flag_ink);
        if self.state == State::LeftOut {
            let y = self.rect.center().y;
            let ends = vec![pos2(self.rect.left() + 4.0, y), pos2(self.rect.right() - 4.0, y)];
            painter.add(Shape::line(ends, Stroke::new(1.5, colours.soft)));
        }
    }
}

impl GapBox {
    fn paint(&self, painter: &Painter, colours: &Colours) {
        painter.rect(self.rect, CORNER, colours.flag, Stroke::new(2.0, colours.disagree), StrokeKind::Inside);
        let x = self.rect.left() + self.galley.size().x + 2.0 * PADDING.x;
        let divide = vec![pos2(x, self.rect.top() + 1.0), pos2(x, self.rect.bottom() - 1.0)];
        painter.add(Shape::line(divide, Stroke::new(1.2, colours.disagree)));
        let y = self.rect.center().y - self.galley.size().y / 2.0;
        painter.galley(pos2(self.rect.left() + PADDING.x, y), self.galley.clone(), colours.flag_ink);
        painter.galley(pos2(x + PADDING.x, y), self.join.clone(), colours.flag_ink);
    }
}
