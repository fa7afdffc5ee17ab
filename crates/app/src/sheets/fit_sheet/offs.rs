//! How far off each one is: measures in units of what an honest reading keeps to, picks in pixels off their rims.

use super::{note, rows};
use crate::controls::{Head, link, say_in};
use crate::session::{Chosen, Session};
use crate::sheets::places;
use crate::theme::{self, Colours, Lettering};
use egui::{Align2, Color32, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, Vec2, WidgetInfo, pos2, vec2};
use platewright_core::job::{Id, Job};
use platewright_core::solution::{HoleFit, MeasureFit, MeasureVerdict};
use platewright_core::tolerance::{K95_FIGURE, W_DISAGREES};
use platewright_core::units::format_figure;
use std::sync::Arc;

/// Height of the plot of the measures, which has five lines, points.
const MEASURES_HEIGHT: f32 = 136.0;
/// Height of the plot of the picks, points.
const PICKS_HEIGHT: f32 = 96.0;
/// Room for the figures at the left, points.
const AXIS: f32 = 58.0;
/// Radius of a dot, points.
const DOT: f32 = 3.5;

/// The block, folded until it is asked for.
pub(super) fn show(ui: &mut Ui, session: &mut Session) {
    let solution = Arc::clone(&session.results.solution);
    if !solution.fit.scale_known() || solution.measures.is_empty() {
        return;
    }
    let Some(document) = &session.document else { return };
    let job = document.job().clone();
    Head::new("How far off each one is").show(ui);
    let open = session.screen.offs_open;
    let words = if open { "Hide" } else { "Show" };
    if link(ui, words, Some(&format!("{words} how far off each one is"))).clicked() {
        session.screen.offs_open = !open;
    }
    if !open {
        return;
    }
    let measures = dots_of_measures(&job, &solution.measures);
    let chosen = of_measures(ui, session, &measures);
    let picks = dots_of_picks(&job, &solution.holes);
    let of_pick = of_picks(ui, &picks);
    if let Some(id) = chosen.or(of_pick) {
        places::show(session, &id);
    }
}

/// A dot of a plot.
#[derive(Debug, Clone, PartialEq)]
struct Dot {
    id: Id,
    /// The name under its column.
    name: String,
    /// How far off, in the plot's unit.
    off: f64,
    disagrees: bool,
}

/// Measures that count and are checked, by how far off they are in units of what 19 honest readings in 20 keep to.
fn dots_of_measures(job: &Job, fits: &[MeasureFit]) -> Vec<Dot> {
    let counts = |fit: &&MeasureFit| !matches!(fit.verdict, MeasureVerdict::LeftOut | MeasureVerdict::Waits);
    let dot = |fit: &MeasureFit| Dot {
        id: fit.id.clone(),
        name: job.reading_name(&fit.id),
        off: fit.w.unwrap_or(0.0) / K95_FIGURE,
        disagrees: fit.verdict == MeasureVerdict::Disagrees,
    };
    fits.iter().filter(counts).filter(|fit| fit.w.is_some()).map(dot).collect()
}

/// Picks by how far they lie outside (+) or inside (−) their fitted rim, px.
fn dots_of_picks(job: &Job, fits: &[HoleFit]) -> Vec<Dot> {
    let dot = |fit: &HoleFit, off| {
        let name = job.feature_name(&fit.id).to_owned();
        Dot { id: fit.id.clone(), name, off, disagrees: false }
    };
    fits.iter().flat_map(|fit| fit.picks_off_px.iter().map(move |off| dot(fit, *off))).collect()
}

/// The plot's place and scale.
struct Plot {
    rect: Rect,
    /// Half of the range that is shown, in the plot's unit.
    reach: f64,
    columns: usize,
}

impl Plot {
    fn new(ui: &mut Ui, height: f32, reach: f64, columns: usize) -> Self {
        let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
        Self { rect: Rect::from_min_max(rect.min + vec2(AXIS, 2.0), rect.max - vec2(0.0, 18.0)), reach, columns }
    }

    fn y(&self, off: f64) -> f32 {
        let share = (off / self.reach).clamp(-1.0, 1.0) as f32;
        self.rect.center().y - share * (self.rect.height() / 2.0 - DOT - 2.0)
    }

    fn x(&self, column: usize) -> f32 {
        self.rect.left() + self.rect.width() * (column as f32 + 0.5) / self.columns.max(1) as f32
    }

    /// A level line with its words at the left.
    fn level(&self, ui: &Ui, off: f64, words: &str, (stroke, dashed): (Stroke, bool)) {
        let y = self.y(off);
        let ends = [pos2(self.rect.left(), y), pos2(self.rect.right(), y)];
        if dashed {
            ui.painter().extend(Shape::dashed_line(&ends, stroke, 4.0, 3.0));
        } else {
            ui.painter().line_segment(ends, stroke);
        }
        let at = pos2(self.rect.left() - 6.0, y);
        ui.painter().text(at, Align2::RIGHT_CENTER, words, Lettering::Small.font(), theme::colours(ui).soft);
    }

    /// The names under the columns, as many as have room.
    fn names(&self, ui: &Ui, names: &[&str]) {
        let room = self.rect.width() / self.columns.max(1) as f32;
        let every = (26.0 / room).ceil().max(1.0) as usize;
        for (column, name) in names.iter().enumerate().step_by(every) {
            let at = pos2(self.x(column), self.rect.bottom() + 9.0);
            let font = Lettering::Small.font();
            ui.painter().text(at, Align2::CENTER_CENTER, *name, font, theme::colours(ui).soft);
        }
    }

    /// A dot with what it says; whether it was clicked.
    fn dot(&self, ui: &Ui, dot: &Dot, at: Pos2, key: usize, spoken: &str, chosen: bool) -> bool {
        let colours = theme::colours(ui);
        let id = ui.scope_id().with((&spoken, key));
        let response = ui.interact(Rect::from_center_size(at, Vec2::splat(theme::TARGET)), id, Sense::click());
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, spoken));
        paint_dot(ui, at, dot, (self.reach, chosen || response.hovered()), colours);
        crate::controls::focus_ring(ui, &response, Rect::from_center_size(at, Vec2::splat(14.0)));
        response.on_hover_text(spoken).clicked()
    }
}

/// Round where it agrees, square where it disagrees; with a tip where it lies beyond the plot.
fn paint_dot(ui: &Ui, at: Pos2, dot: &Dot, (reach, large): (f64, bool), colours: &Colours) {
    let radius = if large { DOT + 1.5 } else { DOT };
    let colour: Color32 = if dot.disagrees { colours.disagree } else { colours.ink };
    if dot.disagrees {
        ui.painter().rect_filled(Rect::from_center_size(at, Vec2::splat(2.0 * radius)), 0.0, colour);
    } else {
        ui.painter().circle_filled(at, radius, colour);
    }
    if dot.off.abs() > reach {
        let out = if dot.off > 0.0 { -1.0 } else { 1.0 };
        let tip = at + vec2(0.0, out * (radius + 5.0));
        let base = at.y + out * (radius + 1.0);
        let corners = vec![tip, pos2(at.x - 4.0, base), pos2(at.x + 4.0, base)];
        ui.painter().add(Shape::convex_polygon(corners, colour, Stroke::NONE));
    }
}

/// The plot of the measures; the one that was clicked.
fn of_measures(ui: &mut Ui, session: &Session, dots: &[Dot]) -> Option<Id> {
    if dots.is_empty() {
        note(ui, "Nothing checks the measures yet, so that none shows how far off it is.");
        return None;
    }
    let colours = theme::colours(ui);
    let label = say_in(ui, Lettering::SmallStrong, colours.ink, "Measures, in units of what they may be off");
    rows::describe(
        label,
        "Of honest readings 19 in 20 lie between the inner lines, and 999 in 1000 between the outer ones. Beyond those \
         a measure disagrees.",
    );
    let limit = W_DISAGREES / K95_FIGURE;
    let plot = Plot::new(ui, MEASURES_HEIGHT, 1.35 * limit, dots.len());
    let thin = |colour| Stroke::new(1.0, colour);
    plot.level(ui, 0.0, "0", (thin(colours.line), false));
    for side in [-1.0, 1.0] {
        let sign = if side > 0.0 { "+" } else { "\u{2212}" };
        plot.level(ui, side, &format!("{sign}1"), (thin(colours.line), true));
        plot.level(ui, side * limit, "1 in 1000", (thin(colours.disagree), true));
    }
    plot.names(ui, &dots.iter().map(|dot| dot.name.as_str()).collect::<Vec<_>>());
    let mut clicked = None;
    for (column, dot) in dots.iter().enumerate() {
        let at = pos2(plot.x(column), plot.y(dot.off));
        let side = if dot.off > 0.0 { "long" } else { "short" };
        let amount = format_figure(dot.off.abs(), 1);
        let spoken = format!("{}: {amount} times what it may be off, {side}", dot.name);
        let chosen = session.screen.chosen == Some(Chosen::Measure(dot.id.clone()));
        if plot.dot(ui, dot, at, column, &spoken, chosen) {
            clicked = Some(dot.id.clone());
        }
    }
    clicked
}

/// The plot of the picks, a column for each hole; the hole whose dot was clicked.
fn of_picks(ui: &mut Ui, dots: &[Dot]) -> Option<Id> {
    let most = dots.iter().map(|dot| dot.off.abs()).fold(0.0, f64::max);
    if dots.is_empty() {
        return None;
    }
    let colours = theme::colours(ui);
    ui.add_space(6.0);
    let label = say_in(ui, Lettering::SmallStrong, colours.ink, "Picks off their rims, px of the photo");
    rows::describe(label, "Above the line outside the fitted rim, below it inside. Three picks fit any rim.");
    let mut names: Vec<&str> = dots.iter().map(|dot| dot.name.as_str()).collect();
    names.dedup();
    // A round figure that holds all of them.
    let reach = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0].into_iter().find(|round| *round >= most);
    let reach = reach.unwrap_or(most);
    let plot = Plot::new(ui, PICKS_HEIGHT, 1.1 * reach, names.len());
    let thin = |colour| Stroke::new(1.0, colour);
    plot.level(ui, 0.0, "0", (thin(colours.line), false));
    for side in [-1.0, 1.0] {
        let sign = if side > 0.0 { "+" } else { "\u{2212}" };
        let figure = format_figure(reach, usize::from(reach < 1.0));
        plot.level(ui, side * reach, &format!("{sign}{figure} px"), (thin(colours.line), true));
    }
    plot.names(ui, &names);
    let mut clicked = None;
    for (key, dot) in dots.iter().enumerate() {
        let column = names.iter().position(|name| *name == dot.name).unwrap_or(0);
        let of_hole = dots.iter().filter(|other| other.id == dot.id).count();
        let place = dots[..key].iter().filter(|other| other.id == dot.id).count();
        // Side by side, so that equal ones are both seen.
        let spread = (plot.rect.width() / plot.columns as f32 * 0.6).min(30.0);
        let beside = if of_hole > 1 { (place as f32 / (of_hole - 1) as f32 - 0.5) * spread } else { 0.0 };
        let side = if dot.off > 0.0 { "outside" } else { "inside" };
        let spoken = format!("{} pick {}: {} px {side}", dot.name, place + 1, format_figure(dot.off.abs(), 2));
        if plot.dot(ui, dot, pos2(plot.x(column) + beside, plot.y(dot.off)), 1000 + key, &spoken, false) {
            clicked = Some(dot.id.clone());
        }
    }
    clicked
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::samples;
    use platewright_core::instrument::Instrument;
    use platewright_core::solution::{Inputs, solve};
    use platewright_core::space::PhotoPoint;

    #[test]
    fn a_measure_at_its_limit_lies_on_the_outer_line() {
        let mut fits = samples::disagreeing().measures;
        fits[1].w = Some(W_DISAGREES);
        fits[0].w = None;
        let dots = dots_of_measures(&samples::plate(), &fits);
        assert_eq!(dots.len(), 1, "what nothing checks has no place in the plot");
        assert!((dots[0].off * K95_FIGURE - W_DISAGREES).abs() < 1e-12, "in units of the inner line: {}", dots[0].off);
        assert!(dots[0].disagrees, "marked");
    }

    #[test]
    fn every_pick_of_a_found_hole_has_its_dot() {
        let mut job = samples::plate();
        let first = job.holes[0].rim[0];
        job.holes[0].rim.push(PhotoPoint::new(first.x + 1.2, first.y));
        let solution =
            solve(&Inputs { job: &job, exif_focal_px: Some(420.0), instrument: Instrument::CALIPER, seen: None });
        let dots = dots_of_picks(&job, &solution.holes);
        let own: Vec<f64> = dots.iter().filter(|dot| dot.id == job.holes[0].id).map(|dot| dot.off).collect();
        assert_eq!(own.len(), job.holes[0].rim.len(), "a dot for each pick");
        assert!(own.iter().any(|off| *off > 0.0) && own.iter().any(|off| *off < 0.0), "on both sides: {own:?}");
    }
}
