//! Dimension lines with jaw bars at their ends.

use super::Lines;
use crate::canvas::scene::{Dimension, State};
use crate::theme::on_photo;
use egui::{Color32, Painter, Rect};

/// How a dimension is drawn.
struct Style {
    width: f32,
    colour: Color32,
    dashes: Option<[f32; 2]>,
    jaw: f32,
}

fn style(dimension: &Dimension) -> Style {
    let next = |colour| Style { width: 2.4, colour, dashes: Some([9.0, 5.0]), jaw: 26.0 };
    match dimension.state {
        State::Stands if dimension.is_chosen => Style { width: 2.0, colour: on_photo::BRASS, dashes: None, jaw: 26.0 },
        State::Stands => Style { width: 1.3, colour: on_photo::LIGHT, dashes: None, jaw: 18.0 },
        State::Disagrees => Style { width: 3.6, colour: on_photo::DISAGREE, dashes: None, jaw: 26.0 },
        State::LeftOut => Style { width: 1.0, colour: on_photo::LIGHT, dashes: Some([2.0, 4.0]), jaw: 12.0 },
        State::Next => next(on_photo::UNKNOWN),
        State::Draft => next(on_photo::BRASS_LIGHT),
    }
}

/// Draws them, those that stand first.
pub(in crate::canvas) fn paint(painter: &Painter, view: Rect, dimensions: &[Dimension]) {
    for front in [false, true] {
        let mut lines = Lines::new(view);
        let stands = |dimension: &&Dimension| matches!(dimension.state, State::Stands | State::LeftOut);
        for dimension in dimensions.iter().filter(|dimension| stands(dimension) != front) {
            let Style { width, colour, dashes, jaw } = style(dimension);
            match dashes {
                Some(dashes) => lines.dashed(&dimension.line, (width, colour), 1.1, dashes),
                None => lines.line(&dimension.line, width, colour, 1.1),
            }
            let Some(ends) = dimension.ends() else { continue };
            // Inside a small hole the jaws are no longer than half of what they span.
            let jaw = jaw.min(0.5 * ends[0].0.distance(ends[1].0));
            for (at, along) in ends {
                let across = along.rot90() * (jaw / 2.0);
                lines.line(&[at - across, at + across], 2.0, colour, 1.1);
            }
        }
        lines.paint(painter);
    }
}
