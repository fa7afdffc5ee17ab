//! A deviation beside what is allowed for it.

use crate::theme;
use egui::{Color32, Painter, Rect, Stroke, StrokeKind, Ui, pos2};

/// How the bar is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BarState {
    /// Solid, in the colour of what agrees.
    Agrees,
    /// Solid, in the colour of what disagrees.
    Disagrees,
    /// Hollow: nothing checks it.
    Unchecked,
}

/// A deviation drawn from the middle, with a tick at each end of the allowance.
#[derive(Debug, Clone, Copy)]
pub struct AllowanceBar {
    /// The deviation, in the allowance's unit.
    pub off: f64,
    /// What is allowed either way, greater than zero.
    pub allowance: f64,
    /// How it is filled.
    pub state: BarState,
}

/// The share of half the bar's width at which the allowance's ticks stand.
const TICK_SHARE: f32 = 0.55;

impl AllowanceBar {
    /// How far from the middle the bar reaches, as a share of half its width from -1 to 1, and whether it is cut off.
    fn reach(&self) -> (f32, bool) {
        let share = (self.off / self.allowance) as f32 * TICK_SHARE;
        if share.is_finite() { (share.clamp(-1.0, 1.0), share.abs() > 1.0) } else { (0.0, false) }
    }

    /// Draws it in `rect`.
    pub fn paint(&self, ui: &Ui, rect: Rect) {
        let colours = theme::colours(ui);
        let painter = ui.painter();
        let half = rect.width() / 2.0;
        let middle = rect.center();
        painter.hline(rect.x_range(), middle.y, Stroke::new(1.5, colours.rule));
        for side in [-1.0, 1.0] {
            let x = middle.x + side * half * TICK_SHARE;
            painter.vline(x, middle.y - 5.0..=middle.y + 5.0, Stroke::new(1.2, colours.soft));
        }
        let (reach, cut) = self.reach();
        let end = middle.x + reach * half;
        let bar = Rect::from_two_pos(pos2(middle.x, middle.y - 3.5), pos2(end, middle.y + 3.5));
        let colour = match self.state {
            BarState::Agrees => colours.agree,
            BarState::Disagrees => colours.disagree,
            BarState::Unchecked => colours.unknown,
        };
        match self.state {
            BarState::Agrees | BarState::Disagrees => fill(painter, bar, colour),
            BarState::Unchecked => {
                let seen = Rect::from_center_size(bar.center(), egui::vec2(bar.width().max(5.0), bar.height()));
                painter.rect_stroke(seen, 0.0, Stroke::new(1.2, colours.unknown), StrokeKind::Inside);
            }
        }
        if cut {
            let tip = pos2(end + reach.signum() * 4.0, middle.y);
            let tail =
                [pos2(end - reach.signum() * 2.0, middle.y - 6.0), pos2(end - reach.signum() * 2.0, middle.y + 6.0)];
            let triangle = vec![tail[0], tip, tail[1]];
            painter.add(egui::Shape::convex_polygon(triangle, colour, Stroke::NONE));
        }
        painter.vline(middle.x, middle.y - 6.0..=middle.y + 6.0, Stroke::new(1.5, colours.ink));
    }
}

fn fill(painter: &Painter, bar: Rect, colour: Color32) {
    painter.rect_filled(bar, 0.0, colour);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bar(off: f64) -> AllowanceBar {
        AllowanceBar { off, allowance: 0.1645, state: BarState::Agrees }
    }

    #[test]
    fn a_deviation_as_large_as_its_allowance_ends_at_the_tick() {
        assert!((bar(0.1645).reach().0 - TICK_SHARE).abs() < 1e-6, "at the tick");
        assert!((bar(-0.1645).reach().0 + TICK_SHARE).abs() < 1e-6, "at the other tick");
        assert_eq!(bar(0.98).reach(), (1.0, true), "six times the allowance is cut off at the end");
        assert!(!bar(0.2).reach().1, "a little over it is not");
    }

    #[test]
    fn a_deviation_that_is_no_number_draws_nothing() {
        assert_eq!(bar(f64::NAN).reach(), (0.0, false), "not a number");
    }
}
