//! Rulers in mm or inches along the upper and the left edge of the flat view.

use super::transform::Transform;
use crate::theme::{Colours, RULER, Weight, font};
use egui::epaint::TextShape;
use egui::{Align2, Painter, Rect, Shape, Stroke, Ui, pos2, vec2};
use platewright_core::space::PlatePoint;
use platewright_core::units::{MM_PER_INCH, format_figure};

/// Least distance between two figures, points.
const FIGURES_APART: f64 = 56.0;
/// Least distance between two ticks, points.
const TICKS_APART: f64 = 5.0;

/// The part of `whole` that is left for the photo beside the rulers.
pub(super) fn beside(whole: Rect) -> Rect {
    Rect::from_min_max(whole.min + vec2(RULER, RULER), whole.max)
}

/// The figures of a ruler and its ticks: how far apart, in the unit.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Steps {
    figure: f64,
    tick: f64,
    decimals: usize,
}

/// Steps of 1, 2 or 5 times a power of ten that leave room for the figures.
fn steps(points_per_unit: f64) -> Steps {
    let room = FIGURES_APART / points_per_unit;
    let power = 10_f64.powf(room.log10().floor());
    let figure = [1.0, 2.0, 5.0, 10.0].map(|n| n * power).into_iter().find(|step| *step >= room);
    let figure = figure.unwrap_or(10.0 * power);
    let fine_enough = |parts: &f64| figure / parts * points_per_unit >= TICKS_APART;
    let tick = figure / [10.0, 5.0, 2.0].into_iter().find(fine_enough).unwrap_or(1.0);
    let decimals = (-figure.log10().floor()).clamp(0.0, 6.0) as usize;
    Steps { figure, tick, decimals }
}

/// Draws both rulers; without figures while the scale is not known.
pub(super) fn paint(ui: &Ui, whole: Rect, transform: &Transform, colours: &Colours, inches: bool, scale_known: bool) {
    let (Some(points_per_mm), Some(corner)) =
        (transform.points_per_mm(), transform.plate_from_screen(transform.rect.left_top()))
    else {
        return;
    };
    let painter = ui.painter_at(whole);
    let top = Rect::from_min_max(whole.min, pos2(whole.right(), whole.top() + RULER));
    let left = Rect::from_min_max(whole.min, pos2(whole.left() + RULER, whole.bottom()));
    for strip in [top, left] {
        painter.rect_filled(strip, 0.0, colours.paper);
    }
    let unit = if inches { MM_PER_INCH } else { 1.0 };
    if scale_known {
        let steps = steps(points_per_mm * unit);
        paint_top(&painter, top, transform, corner, unit, steps, colours);
        paint_left(&painter, left, transform, corner, unit, steps, colours);
    } else {
        let at = pos2(transform.rect.left() + 8.0, top.center().y);
        let text = "mm are shown once a measure gives the scale";
        painter.text(at, Align2::LEFT_CENTER, text, font(11.5, Weight::Regular), colours.soft);
    }
    let edge = Stroke::new(1.0, colours.line);
    painter.add(Shape::line(vec![pos2(whole.left(), top.bottom()), pos2(whole.right(), top.bottom())], edge));
    painter.add(Shape::line(vec![pos2(left.right(), whole.top()), pos2(left.right(), whole.bottom())], edge));
    let square = Rect::from_min_size(whole.min, vec2(RULER, RULER)).shrink(0.5);
    painter.rect_filled(square, 0.0, colours.paper);
    let name = if inches { "in" } else { "mm" };
    painter.text(square.center(), Align2::CENTER_CENTER, name, font(11.5, Weight::Regular), colours.soft);
}

/// The ticks from `start` to `end`, with the figure of every one that has one.
fn ticks(start: f64, end: f64, steps: Steps) -> impl Iterator<Item = (f64, Option<String>)> {
    let (first, last) = ((start / steps.tick).ceil() as i64, (end / steps.tick).floor() as i64);
    let every = (steps.figure / steps.tick).round() as i64;
    (first..=last).map(move |index| {
        let value = index as f64 * steps.tick;
        (value, (index % every == 0).then(|| format_figure(value, steps.decimals)))
    })
}

fn paint_top(
    painter: &Painter,
    strip: Rect,
    transform: &Transform,
    corner: PlatePoint,
    unit: f64,
    steps: Steps,
    colours: &Colours,
) {
    let Some(end) = transform.plate_from_screen(transform.rect.right_top()) else { return };
    for (value, figure) in ticks(corner.x / unit, end.x / unit, steps) {
        let Some(at) = transform.screen_from_plate(PlatePoint::new(value * unit, corner.y)) else { continue };
        let length = if figure.is_some() { 9.0 } else { 5.0 };
        let ends = vec![pos2(at.x, strip.bottom() - length), pos2(at.x, strip.bottom())];
        painter.add(Shape::line(ends, Stroke::new(1.0, colours.soft)));
        if let Some(figure) = figure {
            let galley = painter.layout_no_wrap(figure, font(11.5, Weight::Regular), colours.soft);
            let place = pos2(at.x - galley.size().x / 2.0, strip.top() + 1.0);
            let right = place.x + galley.size().x;
            if place.x > transform.rect.left() && right < strip.right() {
                painter.galley(place, galley, colours.soft);
            }
        }
    }
}

fn paint_left(
    painter: &Painter,
    strip: Rect,
    transform: &Transform,
    corner: PlatePoint,
    unit: f64,
    steps: Steps,
    colours: &Colours,
) {
    let Some(end) = transform.plate_from_screen(transform.rect.left_bottom()) else { return };
    for (value, figure) in ticks(end.y / unit, corner.y / unit, steps) {
        let Some(at) = transform.screen_from_plate(PlatePoint::new(corner.x, value * unit)) else { continue };
        let length = if figure.is_some() { 9.0 } else { 5.0 };
        let ends = vec![pos2(strip.right() - length, at.y), pos2(strip.right(), at.y)];
        painter.add(Shape::line(ends, Stroke::new(1.0, colours.soft)));
        if let Some(figure) = figure {
            let galley = painter.layout_no_wrap(figure, font(11.5, Weight::Regular), colours.soft);
            // Turned a quarter to the left, its start is its lower end.
            let half = galley.size().x / 2.0;
            let place = pos2(strip.left() + 1.0, at.y + half);
            if at.y - half > transform.rect.top() && place.y < strip.bottom() {
                let text = TextShape::new(place, galley, colours.soft).with_angle(-std::f32::consts::FRAC_PI_2);
                painter.add(text);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_and_ticks_keep_apart_at_every_scale() {
        for scale in [0.013, 0.2, 1.0, 3.7, 8.0, 21.0, 55.0, 400.0] {
            let steps = steps(scale);
            assert!(steps.figure * scale >= FIGURES_APART - 1e-9, "{scale}: figures {} apart", steps.figure * scale);
            assert!(steps.tick * scale >= TICKS_APART - 1e-9, "{scale}: ticks {} apart", steps.tick * scale);
            assert!(steps.figure * scale <= 2.6 * FIGURES_APART, "{scale}: figures are not lost");
        }
    }

    #[test]
    fn every_figure_stands_at_its_own_tick() {
        let steps = steps(8.0);
        let all: Vec<_> = ticks(-12.0, 31.0, steps).collect();
        let figures: Vec<_> = all.iter().filter_map(|(value, figure)| figure.as_ref().map(|f| (*value, f))).collect();
        assert_eq!(figures.len(), 5, "from -10 to 30: {figures:?}");
        assert_eq!(figures[0], (-10.0, &"\u{2212}10".to_owned()), "with a true minus sign");
    }
}
