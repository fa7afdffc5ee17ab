//! The legend: what the bands of the heat map and the ellipses stand for. Its place is decided before anything else's.

use super::PADDING;
use crate::canvas::heat_map::HeatKey;
use crate::canvas::scene::{Scene, Whiskers, length_figure};
use crate::theme::{Colours, Weight, font, on_photo};
use egui::{Align2, Color32, CornerRadius, Galley, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, Vec2, pos2, vec2};
use std::sync::Arc;

/// Width and height of a band's sample, points.
const SAMPLE: Vec2 = vec2(34.0, 13.0);
/// From the legend's edge to what stands in it, points.
const MARGIN: f32 = 12.0;
/// Width of what is said of the ellipses, points.
const ELLIPSES_WIDTH: f32 = 172.0;

/// Width of what is said of whiskers, but for their bar, points.
const WHISKERS_WIDTH: f32 = 236.0;

/// The legend.
#[derive(Debug)]
pub(super) struct Legend {
    pub(super) rect: Rect,
    title: Arc<Galley>,
    heat: Option<(HeatKey, Vec<Arc<Galley>>)>,
    ellipses: Option<Arc<Galley>>,
    /// What is said of whiskers, and how long their allowance is drawn.
    whiskers: Option<(Arc<Galley>, f32)>,
}

/// Where the legend is, where there is one: the lower left corner.
pub(in crate::canvas) fn legend_rect(scene: &Scene, view: Rect) -> Option<Rect> {
    let heat = scene.heat.as_ref().map(|heat| heat_width(&heat.key));
    let ellipses = scene.ellipses.as_ref().map(|_| ELLIPSES_WIDTH);
    let whiskers = scene.on_edge.whiskers.as_ref().map(|whiskers| WHISKERS_WIDTH + whiskers.allowance_length);
    let widest = [heat, ellipses, whiskers].into_iter().flatten().reduce(|one, other| one + 16.0 + other)?;
    let size = vec2(widest.max(234.0) + 2.0 * MARGIN, if heat.is_some() { 64.0 } else { 46.0 });
    Some(Align2::LEFT_BOTTOM.align_size_within_rect(size, view.shrink(MARGIN)))
}

/// Room for the samples, or for the sentence that stands instead of them.
fn heat_width(key: &HeatKey) -> f32 {
    if key.levels_mm.is_empty() { 150.0 } else { SAMPLE.x * (key.levels_mm.len() + 1) as f32 }
}

impl Legend {
    /// The legend of `scene` in `view`; `None` where nothing needs one.
    pub(super) fn new(
        scene: &Scene,
        view: Rect,
        (painter, colours): (&Painter, &Colours),
        inches: bool,
    ) -> Option<Self> {
        let rect = legend_rect(scene, view)?;
        let text = |words: &str, weight: Weight| {
            painter.layout_no_wrap(words.to_owned(), font(12.0, weight), colours.flag_ink)
        };
        let unit = if inches { "in" } else { "mm" };
        let what = if scene.heat.is_some() { "further hole" } else { "place" };
        let only_whiskers = scene.heat.is_none() && scene.ellipses.is_none();
        let title = if only_whiskers {
            "How far the cut lies off the measured edge".to_owned()
        } else {
            format!("How far off a {what} can be, ± {unit} (95 %)")
        };
        let heat = scene.heat.as_ref().map(|heat| {
            let figure = |mm: &f64| text(&length_figure(*mm, inches), Weight::Regular);
            let words = if heat.key.levels_mm.is_empty() {
                vec![text(&one_band(&heat.key, inches), Weight::Regular)]
            } else {
                heat.key.levels_mm.iter().map(figure).collect()
            };
            (heat.key.clone(), words)
        });
        let times = |factor: f64| {
            let words = if factor > 1.0 {
                format!("each place, drawn {factor}\u{d7}")
            } else {
                "each place, at true size".to_owned()
            };
            text(&words, Weight::Regular)
        };
        let ellipses = scene.ellipses.as_ref().map(|ellipses| times(ellipses.factor));
        let whiskers = scene.on_edge.whiskers.as_ref().map(|whiskers| {
            let Whiskers { factor, allowance_mm, allowance_length, .. } = whiskers;
            let allowed = length_figure(*allowance_mm, inches);
            let words = format!("drawn {factor}\u{d7}; the bar is {allowed} {unit}, allowed");
            (text(&words, Weight::Regular), *allowance_length)
        });
        Some(Self { rect, whiskers, title: text(&title, Weight::SemiBold), heat, ellipses })
    }

    /// Draws it.
    pub(super) fn paint(&self, painter: &Painter, colours: &Colours) {
        let edge = Stroke::new(1.2, colours.flag_ink);
        painter.rect(self.rect, CornerRadius::same(2), colours.flag, edge, StrokeKind::Inside);
        painter.galley(self.rect.min + vec2(MARGIN, 5.0), self.title.clone(), colours.flag_ink);
        let mut left = self.rect.left() + MARGIN;
        if let Some((key, words)) = &self.heat {
            paint_samples(painter, pos2(left, self.rect.top() + 26.0), (key, words), colours);
            left += heat_width(key) + 16.0;
        }
        if let Some(words) = &self.ellipses {
            let middle = pos2(left + 16.0, self.rect.top() + if self.heat.is_some() { 36.0 } else { 33.0 });
            let side = |index: u32| {
                let angle = index as f32 * std::f32::consts::TAU / 36.0;
                middle + Vec2::angled(angle) * vec2(16.0, 7.0)
            };
            let ring: Vec<Pos2> = (0..=36).map(side).collect();
            painter.extend(Shape::dashed_line(&ring, Stroke::new(1.6, colours.brass), 4.0, 2.5));
            painter.galley(middle + vec2(26.0, -words.size().y / 2.0), words.clone(), colours.flag_ink);
            left += ELLIPSES_WIDTH + 16.0;
        }
        if let Some((words, length)) = &self.whiskers {
            let start = pos2(left, self.rect.top() + if self.heat.is_some() { 36.0 } else { 33.0 });
            let end = start + vec2(*length, 0.0);
            painter.line_segment([start, end], Stroke::new(2.4, colours.brass));
            for at in [start, end] {
                painter.line_segment([at - vec2(0.0, 4.0), at + vec2(0.0, 4.0)], Stroke::new(1.3, colours.flag_ink));
            }
            painter.galley(end + vec2(8.0, -words.size().y / 2.0), words.clone(), colours.flag_ink);
        }
    }
}

/// What is said where no step falls on the face.
fn one_band(key: &HeatKey, inches: bool) -> String {
    let (least, most) = (length_figure(key.range_mm.0, inches), length_figure(key.range_mm.1, inches));
    if least == most { format!("±{most} everywhere") } else { format!("±{least} to ±{most}") }
}

/// The bands side by side over light metal, each step's figure under the line that it stands for.
fn paint_samples(painter: &Painter, at: Pos2, (key, words): (&HeatKey, &[Arc<Galley>]), colours: &Colours) {
    if key.levels_mm.is_empty() {
        if let Some(words) = words.first() {
            painter.galley(at + vec2(0.0, 2.0), words.clone(), colours.flag_ink);
        }
        return;
    }
    for index in 0..=key.levels_mm.len() {
        let sample = Rect::from_min_size(at + vec2(SAMPLE.x * index as f32, 0.0), SAMPLE);
        painter.rect_filled(sample, 0.0, on_photo::METAL);
        painter.rect_filled(sample, 0.0, on_photo::heat(index));
    }
    let whole = Rect::from_min_size(at, vec2(heat_width(key), SAMPLE.y));
    painter.rect_stroke(whole, 0.0, Stroke::new(1.0, colours.flag_ink), StrokeKind::Inside);
    for (index, figure) in words.iter().enumerate() {
        let x = at.x + SAMPLE.x * (index + 1) as f32;
        let divide = [pos2(x, at.y), pos2(x, at.y + SAMPLE.y)];
        painter.extend(Shape::dashed_line(&divide, Stroke::new(1.3, on_photo::HEAT_LINE), 4.0, 2.0));
        painter.galley(pos2(x - figure.size().x / 2.0, at.y + SAMPLE.y + 1.0), figure.clone(), colours.flag_ink);
    }
}

/// A value on a line between two bands.
#[derive(Debug)]
pub(super) struct HeatValue {
    pub(super) rect: Rect,
    pub(super) galley: Arc<Galley>,
}

/// Points of the line that a value may stand on, the best first.
const TRIED: [f32; 15] = [0.5, 0.42, 0.58, 0.35, 0.65, 0.28, 0.72, 0.22, 0.78, 0.16, 0.84, 0.1, 0.9, 0.06, 0.94];

impl HeatValue {
    /// What stands on the lines, and where each may stand.
    pub(super) fn wanted(scene: &Scene, painter: &Painter, inches: bool) -> Vec<(Vec<Pos2>, Arc<Galley>)> {
        let Some(heat) = &scene.heat else { return Vec::new() };
        let of_level = |(step, level): (usize, &f64)| {
            // Longest first: a level's other lines are short beside it.
            let (_, line) = heat.lines.iter().find(|(of, _)| *of == step)?;
            let words = format!("±{}", length_figure(*level, inches));
            let galley = painter.layout_no_wrap(words, font(12.5, Weight::SemiBold), on_photo::HEAT_LINE);
            let last = line.len() - 1;
            let places = TRIED.iter().map(|share| line[(share * last as f32).round() as usize]).collect();
            Some((places, galley))
        };
        heat.key.levels_mm.iter().enumerate().filter_map(of_level).collect()
    }

    /// Draws it on a light halo.
    pub(super) fn paint(&self, painter: &Painter) {
        let at = self.rect.min + PADDING / 2.0;
        for step in 0..8 {
            let halo = at + Vec2::angled(step as f32 * std::f32::consts::TAU / 8.0) * 2.0;
            painter.galley_with_override_text_color(halo, self.galley.clone(), on_photo::HEAT_HALO);
        }
        painter.galley(at, self.galley.clone(), Color32::PLACEHOLDER);
    }
}
