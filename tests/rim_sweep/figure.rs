//! The outcomes as a picture: scatter above, bias below, a pair of panels for each sweep.
//!
//! Plain SVG with whole tenths of a pixel: the same outcomes give the same bytes.

use crate::outcome::{Errors, Outcome};
use crate::sweeps::Sweep;
use std::fmt::Write as _;

const WIDTH: f64 = 960.0;
const HEAD: f64 = 92.0;
const COLUMNS: usize = 3;
/// From one pair of panels to the next.
const CELL: [f64; 2] = [306.0, 326.0];
/// Of a panel, px: left edge in its cell, width, heights of scatter and bias, and the gap between these.
const LEFT: f64 = 54.0;
const PANEL: f64 = 238.0;
const SCATTER: f64 = 150.0;
const GAP: f64 = 20.0;
const BIAS: f64 = 84.0;

const PAPER: &str = "#f5f1e8";
const SHEET: &str = "#fffdf6";
const INK: &str = "#20282d";
const SOFT: &str = "#565e60";
const RULE: &str = "#cfc6b4";
/// Of the centre and the radius; their marks differ too.
const CENTRE: &str = "#1f3f73";
const RADIUS: &str = "#a8752a";

/// From values to places along an axis.
struct Axis {
    from: f64,
    to: f64,
    is_logarithmic: bool,
    /// Where the ends lie, px.
    ends: [f64; 2],
}

impl Axis {
    fn place(&self, value: f64) -> f64 {
        let scaled = |value: f64| if self.is_logarithmic { value.ln() } else { value };
        let share = (scaled(value) - scaled(self.from)) / (scaled(self.to) - scaled(self.from));
        self.ends[0] + share * (self.ends[1] - self.ends[0])
    }
}

/// What both kinds of panel share over all sweeps, so that heights may be compared.
struct Ranges {
    scatter: [f64; 2],
    bias: f64,
}

impl Ranges {
    fn of(measured: &[(Sweep, Vec<Outcome>)]) -> Self {
        let outcomes = || measured.iter().flat_map(|(_, outcomes)| outcomes);
        let scatters = || {
            outcomes().flat_map(|o| [o.centre.scatter_px, o.radius.scatter_px, o.bound.centre_px, o.bound.radius_px])
        };
        let bias = |errors: &Errors| errors.bias_px.abs() + 2.0 * errors.bias_sigma_px;
        let widest = outcomes().flat_map(|o| [bias(&o.centre), bias(&o.radius)]).fold(0.01, f64::max);
        Self {
            scatter: [
                round_ticks().rev().find(|tick| scatters().all(|value| value >= *tick)).unwrap_or(1e-4),
                round_ticks().find(|tick| scatters().all(|value| value <= *tick)).unwrap_or(1.0),
            ],
            bias: (widest * 100.0).ceil() / 100.0,
        }
    }
}

/// 1, 2 and 5 of each decade from 0.0001 to 1 px.
fn round_ticks() -> impl DoubleEndedIterator<Item = f64> {
    (-4..=0).flat_map(|decade| [1.0, 2.0, 5.0].map(|digit| digit * 10_f64.powi(decade)))
}

/// The figure of all sweeps.
pub(crate) fn svg(measured: &[(Sweep, Vec<Outcome>)]) -> String {
    let rows = measured.len().div_ceil(COLUMNS);
    let height = HEAD + rows as f64 * CELL[1] + 8.0;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{WIDTH}\" height=\"{height}\" viewBox=\"0 0 {WIDTH} {height}\" \
         font-family=\"IBM Plex Sans, Helvetica, Arial, sans-serif\" font-size=\"12\" fill=\"{INK}\">\n\
         <rect width=\"{WIDTH}\" height=\"{height}\" fill=\"{PAPER}\"/>\n"
    );
    legend(&mut out);
    let ranges = Ranges::of(measured);
    for (number, (sweep, outcomes)) in measured.iter().enumerate() {
        let (column, row) = ((number % COLUMNS) as f64, (number / COLUMNS) as f64);
        let corner = [14.0 + column * CELL[0] + LEFT, HEAD + row * CELL[1]];
        panels(&mut out, &ranges, sweep, outcomes, corner);
    }
    out.push_str("</svg>\n");
    out
}

fn legend(out: &mut String) {
    text(out, [24.0, 28.0], "start", "17\" font-weight=\"600", INK, "Measured rims against rims that are known");
    text(
        out,
        [24.0, 48.0],
        "start",
        "12",
        SOFT,
        "Rendered photos of one hole; radius 40 px, tilt 5°, blur 0.8 px, contrast 40 %, noise 0.01 where nothing else is said",
    );
    mark(out, true, [30.0, 69.0]);
    text(out, [40.0, 73.0], "start", "12", INK, "centre, one coordinate");
    mark(out, false, [206.0, 69.0]);
    text(out, [216.0, 73.0], "start", "12", INK, "radius");
    for (from, colour) in [(286.0, CENTRE), (310.0, RADIUS)] {
        line(out, [from, 69.0], [from + 20.0, 69.0], colour, 1.5);
    }
    text(out, [338.0, 73.0], "start", "12", INK, "least scatter that is possible (Cramér-Rao bound)");
    line(out, [666.0, 63.0], [666.0, 75.0], SOFT, 1.0);
    text(out, [674.0, 73.0], "start", "12", INK, "bias ± two of its standard deviations");
}

/// The pair of panels of one sweep, with the upper left corner of the upper one.
fn panels(out: &mut String, ranges: &Ranges, sweep: &Sweep, outcomes: &[Outcome], [x0, y0]: [f64; 2]) {
    let [low, high] = ranges.scatter;
    let upper = Axis { from: low, to: high, is_logarithmic: true, ends: [y0 + SCATTER, y0] };
    let top = y0 + SCATTER + GAP;
    let lower = Axis { from: -ranges.bias, to: ranges.bias, is_logarithmic: false, ends: [top + BIAS, top] };
    let values = || sweep.taken.iter().map(|taken| taken.at);
    let across = Axis {
        from: values().fold(f64::INFINITY, f64::min),
        to: values().fold(f64::NEG_INFINITY, f64::max),
        is_logarithmic: sweep.is_logarithmic,
        ends: [x0 + 14.0, x0 + PANEL - 14.0],
    };
    for (axis, top, height) in [(&upper, y0, SCATTER), (&lower, top, BIAS)] {
        writeln!(out, "<rect x=\"{x0:.1}\" y=\"{top:.1}\" width=\"{PANEL}\" height=\"{height}\" fill=\"{SHEET}\"/>")
            .expect("a string takes all");
        let ticks: Vec<f64> = if axis.is_logarithmic {
            round_ticks().filter(|tick| (low..=high).contains(tick)).collect()
        } else {
            vec![axis.from, 0.0, axis.to]
        };
        for tick in ticks {
            let y = axis.place(tick);
            line(out, [x0, y], [x0 + PANEL, y], RULE, 1.0);
            text(out, [x0 - 6.0, y + 4.0], "end", "11", SOFT, &signed(tick));
        }
    }
    turned(out, [x0 - 44.0, y0 + 0.5 * SCATTER], "scatter, px");
    turned(out, [x0 - 44.0, top + 0.5 * BIAS], "bias, px");
    for value in values() {
        let x = across.place(value);
        line(out, [x, top + BIAS], [x, top + BIAS + 4.0], SOFT, 1.0);
        text(out, [x, top + BIAS + 17.0], "middle", "11", SOFT, &value.to_string());
    }
    text(out, [x0 + 0.5 * PANEL, top + BIAS + 36.0], "middle", "12.5", INK, sweep.axis);
    for (is_centre, colour) in [(true, CENTRE), (false, RADIUS)] {
        let of = |outcome: &Outcome| {
            let Outcome { centre, radius, bound, .. } = outcome;
            let (errors, bound) = if is_centre { (centre, bound.centre_px) } else { (radius, bound.radius_px) };
            (errors.scatter_px, bound, errors.bias_px, errors.bias_sigma_px)
        };
        let bound: Vec<String> = values()
            .zip(outcomes)
            .map(|(value, outcome)| format!("{:.1},{:.1}", across.place(value), upper.place(of(outcome).1)))
            .collect();
        writeln!(
            out,
            "<polyline points=\"{}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"1.5\"/>",
            bound.join(" ")
        )
        .expect("a string takes all");
        // Side by side, so that neither covers the other.
        let beside = if is_centre { -3.0 } else { 3.0 };
        for (value, outcome) in values().zip(outcomes) {
            let (scatter, _, bias, sigma) = of(outcome);
            let x = across.place(value) + beside;
            mark(out, is_centre, [x, upper.place(scatter)]);
            line(out, [x, lower.place(bias - 2.0 * sigma)], [x, lower.place(bias + 2.0 * sigma)], colour, 1.0);
            mark(out, is_centre, [x, lower.place(bias)]);
        }
    }
}

/// With a true minus.
fn signed(value: f64) -> String {
    value.to_string().replace('-', "\u{2212}")
}

fn mark(out: &mut String, is_centre: bool, [x, y]: [f64; 2]) {
    if is_centre {
        writeln!(out, "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"3.2\" fill=\"{CENTRE}\"/>").expect("a string takes all");
    } else {
        let (x, y) = (x - 2.8, y - 2.8);
        writeln!(out, "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"5.6\" height=\"5.6\" fill=\"{RADIUS}\"/>")
            .expect("a string takes all");
    }
}

fn line(out: &mut String, [x1, y1]: [f64; 2], [x2, y2]: [f64; 2], colour: &str, width: f64) {
    writeln!(
        out,
        "<line x1=\"{x1:.1}\" y1=\"{y1:.1}\" x2=\"{x2:.1}\" y2=\"{y2:.1}\" stroke=\"{colour}\" stroke-width=\"{width}\"/>"
    )
    .expect("a string takes all");
}

fn text(out: &mut String, [x, y]: [f64; 2], anchor: &str, size: &str, colour: &str, words: &str) {
    writeln!(
        out,
        "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\" font-size=\"{size}\" fill=\"{colour}\">{words}</text>"
    )
    .expect("a string takes all");
}

fn turned(out: &mut String, [x, y]: [f64; 2], words: &str) {
    writeln!(
        out,
        "<text transform=\"translate({x:.1} {y:.1}) rotate(-90)\" text-anchor=\"middle\" fill=\"{SOFT}\">{words}</text>"
    )
    .expect("a string takes all");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_lie_at_their_share_of_an_axis() {
        let axis = Axis { from: 0.001, to: 0.1, is_logarithmic: true, ends: [200.0, 100.0] };
        assert!((axis.place(0.01) - 150.0).abs() < 1e-9, "half way by decades");
        let axis = Axis { is_logarithmic: false, from: -0.02, to: 0.02, ends: [10.0, 90.0] };
        assert!((axis.place(0.01) - 70.0).abs() < 1e-9, "three quarters of the way");
    }

    #[test]
    fn ticks_are_one_two_and_five() {
        let ticks: Vec<String> = round_ticks().skip(3).take(4).map(signed).collect();
        assert_eq!(ticks, ["0.001", "0.002", "0.005", "0.01"], "from a thousandth");
    }
}
