//! Lines and arcs that stand for a smooth curve.
//!
//! Model: a span of the curve, from its place and direction at one end to those at the other, is one line, one arc, or
//! two arcs that are tangent to each other (a biarc). With the ends `A`, `B`, the directions `s`, `e` and `V = B - A`,
//! the arcs meet at a place on the step between `A + k d s` and `B - d e`, where `d` solves
//! `V·V - 2 d V·(k s + e) - 2 k d² (1 - s·e) = 0` (Bolton, Biarc curves, Computer-Aided Design 7 (1975) 89-92, from
//! memory; derived from `|B - d e - A - k d s| = (k + 1) d`). `k`, the ratio of the two tangent lengths, is free.
//!
//! Spans are taken as long as the tolerance allows, from the start on, each end found by bisection. So the number of
//! pieces is small, not proven least. Cusps are ends of spans, and the contour turns there as the curve does.

use super::{Cubic, Segment, bulge_arriving, bulge_leaving};
use crate::space::{PlatePoint, PlateVec};
use crate::tolerance::{FLAT_ARC_MM, SAME_PLACE_MM, TANGENT_RAD};

/// Lines and arcs, and how far they are from the curve that they stand for.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ArcFit {
    /// From the very start of the curve to its very end, each starting where the one before ends.
    pub segments: Vec<Segment>,
    /// The largest distance found between the curve and the pieces, either way, mm.
    pub deviation_mm: f64,
}

/// Ratios of the tangent lengths, tried in this order.
const RATIOS: [f64; 7] = [1.0, 0.7, 1.43, 0.45, 2.2, 0.25, 4.0];

/// Chords of a span on which a candidate is tried, and on which it is then verified.
const TRIED: usize = 20;
const VERIFIED: usize = 64;

/// What sampling between the tried places may miss, as a share of the tolerance.
const TRIED_SHARE: f64 = 0.95;

/// Halvings of the bisection for the end of a span.
const HALVINGS: usize = 9;

/// No span is shorter than this share of the parameter, so that the search ends on any curve.
const SPAN_MIN: f64 = 1.0 / 4096.0;

/// Lines and arcs within `tolerance_mm` of a curve, tangent to each other where the curve is smooth, few, and with
/// arcs of half a turn at most. A curve of no length gives no piece.
///
/// The tolerance is verified by dense samples both ways, not proven; what was found is `deviation_mm`. A tolerance of
/// less than [`SAME_PLACE_MM`] (or not a number) is taken as that.
pub fn arcs_from_cubic(curve: &Cubic, tolerance_mm: f64) -> ArcFit {
    let tolerance_mm = tolerance_mm.max(SAME_PLACE_MM);
    let mut fit = ArcFit::default();
    if curve.polygon_mm() <= SAME_PLACE_MM {
        return fit;
    }
    let mut ends = curve.standstills();
    ends.push(1.0);
    let mut start = 0.0;
    let is_nothing = |start: f64, stop: f64| curve.part(start, stop).polygon_mm() <= SAME_PLACE_MM;
    for stop in ends {
        // A standstill at the very end of the curve (a lever of next to no length) is no end of a piece.
        if stop < 1.0 && (is_nothing(start, stop) || is_nothing(stop, 1.0)) {
            continue;
        }
        while start < stop {
            let (end, pieces, deviation_mm) = longest_span(curve, start, stop, tolerance_mm);
            fit.segments.extend(pieces);
            fit.deviation_mm = fit.deviation_mm.max(deviation_mm);
            start = end;
        }
    }
    fit
}

/// The longest span found from `start`, up to `stop`: where it ends, its pieces, how far they are off.
fn longest_span(curve: &Cubic, start: f64, stop: f64, tolerance_mm: f64) -> (f64, Vec<Segment>, f64) {
    let fits = |end: f64| Span::new(curve, start, end, TRIED).pieces(tolerance_mm * TRIED_SHARE);
    let mut end = stop;
    if fits(end).is_none() {
        let (mut low, mut high) = (start, stop);
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(low, high);
            if fits(middle).is_some() { low = middle } else { high = middle }
        }
        end = low.max(start + SPAN_MIN).min(stop);
    }
    loop {
        let span = Span::new(curve, start, end, VERIFIED);
        let last = end - start <= SPAN_MIN;
        match span.pieces(tolerance_mm) {
            Some(pieces) => {
                let deviation_mm = span.deviation_mm(&pieces);
                if last || deviation_mm <= tolerance_mm {
                    return (end, pieces, deviation_mm);
                }
            }
            // The shortest span is a line, whatever the curve does on it.
            None if last => {
                let line = Segment::line(span.from(), span.to());
                return (end, vec![line], span.deviation_mm(&[line]));
            }
            None => {}
        }
        end = (start + (end - start) * 0.8).max(start + SPAN_MIN).min(stop);
    }
}

/// A part of a curve, with places along it.
struct Span {
    part: Cubic,
    places: Vec<PlatePoint>,
}

impl Span {
    fn new(curve: &Cubic, start: f64, end: f64, chords: usize) -> Self {
        let part = curve.part(start, end);
        let places = (0..=chords).map(|k| part.point_at(k as f64 / chords as f64)).collect();
        Self { part, places }
    }

    fn from(&self) -> PlatePoint {
        self.part.from()
    }

    fn to(&self) -> PlatePoint {
        self.part.to()
    }

    /// A line, an arc or a biarc within the tolerance of the places; `None` where none is.
    fn pieces(&self, tolerance_mm: f64) -> Option<Vec<Segment>> {
        let (from, to) = (self.from(), self.to());
        let start = self.part.start_direction()?;
        let end = self.part.end_direction()?;
        let near =
            |pieces: &[Segment], mm: f64| self.places.iter().all(|&p| pieces.iter().any(|s| s.distance_mm(p) <= mm));
        let along = (to - from).unit()?;
        let line = [Segment::line(from, to)];
        if turn_rad(start, along) <= TANGENT_RAD && turn_rad(along, end) <= TANGENT_RAD && near(&line, FLAT_ARC_MM) {
            return Some(line.to_vec());
        }
        if let Some(arc) = single_arc(from, start, end, to).filter(|&arc| near(&[arc], tolerance_mm)) {
            return Some(vec![arc]);
        }
        let biarcs = RATIOS.into_iter().filter_map(|ratio| biarc(from, start, end, to, ratio));
        biarcs.into_iter().find(|pair| near(pair, tolerance_mm)).map(|pair| pair.to_vec())
    }

    /// The largest distance between the places and the pieces, both ways, mm.
    fn deviation_mm(&self, pieces: &[Segment]) -> f64 {
        let to_pieces = |p: PlatePoint| pieces.iter().map(|s| s.distance_mm(p)).fold(f64::INFINITY, f64::min);
        let chords = (self.places.len() - 1) as f64;
        let to_curve = |p: PlatePoint| {
            let distances = self.places.iter().map(|q| q.distance(p)).enumerate();
            let nearest = distances.min_by(|a, b| a.1.total_cmp(&b.1)).map_or(0, |(k, _)| k);
            self.part.distance_near(p, nearest as f64 / chords, 1.0 / chords)
        };
        let curve_off = self.places.iter().map(|&p| to_pieces(p));
        let on_pieces = pieces.iter().flat_map(|s| (1..16).map(|k| s.point_at(f64::from(k) / 16.0)));
        curve_off.chain(on_pieces.map(to_curve)).fold(0.0, f64::max)
    }
}

/// Angle between two directions, rad.
fn turn_rad(one: PlateVec, other: PlateVec) -> f64 {
    one.cross(other).atan2(one.dot(other)).abs()
}

/// One arc between the ends that has both directions to within [`TANGENT_RAD`].
fn single_arc(from: PlatePoint, start: PlateVec, end: PlateVec, to: PlatePoint) -> Option<Segment> {
    // Half the misfit at each end, rather than all of it at one.
    let bulge = f64::midpoint(bulge_leaving(from, start, to)?, bulge_arriving(from, to, end)?);
    let arc = Segment::arc(from, to, bulge).without_flat_arc();
    let tangent = turn_rad(start, arc.start_direction()?).max(turn_rad(end, arc.end_direction()?)) <= TANGENT_RAD;
    (tangent && bulge.abs() <= 1.0).then_some(arc)
}

/// Two tangent arcs between the ends with these directions; `None` where one would be more than half a turn.
fn biarc(from: PlatePoint, start: PlateVec, end: PlateVec, to: PlatePoint, ratio: f64) -> Option<[Segment; 2]> {
    let across = to - from;
    let square = across.dot(across);
    let along = across.dot(start * ratio + end);
    let turn = 2.0 * ratio * (1.0 - start.dot(end));
    // The stable form of the positive root: nothing is subtracted while the span runs forward.
    let length = square / (along + (along * along + turn * square).sqrt());
    let meet_of = |d: f64| (from + start * (ratio * d)).lerp(to - end * d, ratio / (1.0 + ratio));
    let meet = meet_of(length);
    if !(length.is_finite() && meet.is_finite()) || meet == from || meet == to {
        return None;
    }
    let first = Segment::arc(from, meet, bulge_leaving(from, start, meet)?);
    let second = Segment::arc(meet, to, bulge_arriving(meet, to, end)?);
    (first.bulge.abs() <= 1.0 && second.bulge.abs() <= 1.0)
        .then(|| [first.without_flat_arc(), second.without_flat_arc()])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Contour;
    use crate::geom::cubic::tests::any_cubic;
    use crate::tolerance::CUT_CHORD_MM;
    use proptest::prelude::*;

    fn cubic(points: [(f64, f64); 4]) -> Cubic {
        let [a, b, c, d] = points.map(|(x, y)| PlatePoint::new(x, y));
        Cubic::new(a, b - a, c - d, d)
    }

    /// Distance from the curve to the pieces and back, by samples much finer than the fit's own.
    fn deviation_by_samples(curve: &Cubic, pieces: &[Segment]) -> f64 {
        let along: Vec<PlatePoint> = (0..=4000).map(|k| curve.point_at(f64::from(k) / 4000.0)).collect();
        let held = Contour { segments: pieces.to_vec(), closed: false };
        let to_pieces = along.iter().map(|&p| held.distance_mm(p)).fold(0.0, f64::max);
        let chords: Vec<Segment> = along.windows(2).map(|w| Segment::line(w[0], w[1])).collect();
        let polyline = Contour { segments: chords, closed: false };
        let back = held.segments.iter().flat_map(|s| (0..=20).map(|k| s.point_at(f64::from(k) / 20.0)));
        back.map(|p| polyline.distance_mm(p)).fold(to_pieces, f64::max)
    }

    #[test]
    fn a_quarter_circle_is_one_arc() {
        // The usual cubic of a quarter circle, lever 0.5522847 of the radius: off by 2.7e-4 of it.
        let k = 20.0 * 0.552_284_75;
        let fit = arcs_from_cubic(&cubic([(20.0, 0.0), (20.0, k), (k, 20.0), (0.0, 20.0)]), CUT_CHORD_MM);
        assert_eq!(fit.segments.len(), 1, "{:?}", fit.segments);
        assert!((fit.segments[0].radius_mm().unwrap() - 20.0).abs() < 1e-9, "the circle itself");
        assert!((fit.deviation_mm - 20.0 * 2.73e-4).abs() < 1e-4, "{}", fit.deviation_mm);
    }

    #[test]
    fn a_straight_curve_is_one_line_and_one_that_runs_back_is_three() {
        let straight = arcs_from_cubic(&cubic([(0.0, 0.0), (1.0, 1.0), (7.0, 7.0), (9.0, 9.0)]), CUT_CHORD_MM);
        assert_eq!(straight.segments, [Segment::line(PlatePoint::new(0.0, 0.0), PlatePoint::new(9.0, 9.0))]);
        let back = arcs_from_cubic(&cubic([(0.0, 0.0), (20.0, 0.0), (-10.0, 0.0), (10.0, 0.0)]), CUT_CHORD_MM);
        assert_eq!(back.segments.len(), 3, "forth, back and forth: {:?}", back.segments);
        assert!(back.deviation_mm < 1e-6, "on the line");
    }

    #[test]
    fn few_pieces_do() {
        let wave = cubic([(0.0, 0.0), (40.0, 30.0), (60.0, -30.0), (100.0, 0.0)]);
        let fit = arcs_from_cubic(&wave, CUT_CHORD_MM);
        assert!(fit.segments.len() <= 10, "{} pieces", fit.segments.len());
        let fine = arcs_from_cubic(&wave, 0.001);
        assert!(fine.segments.len() <= 4 * fit.segments.len(), "a 50th of the tolerance: third root 3.7");
    }

    #[test]
    fn degenerate_curves_end_and_have_no_nan() {
        let curves = [
            [(1.0, 1.0); 4],
            [(0.0, 0.0), (0.0, 0.0), (10.0, 0.0), (10.0, 0.0)],
            [(0.0, 0.0), (0.0, 0.0), (0.0, 0.0), (10.0, 3.0)],
            [(0.0, 0.0), (10.0, 3.0), (10.0, 3.0), (10.0, 3.0)],
            [(0.0, 0.0), (10.0, 10.0), (-10.0, 10.0), (0.0, 0.0)],
            [(0.0, 0.0), (30.0, 20.0), (-20.0, 20.0), (10.0, 0.0)],
            [(0.0, 0.0), (10.0, 10.0), (0.0, 10.0), (10.0, 0.0)],
            [(0.0, 0.0), (20.0, 10.0), (-10.0, 10.0), (10.0, 0.0)],
            [(0.0, 0.0), (1e-7, 0.0), (1e-7, 1e-7), (0.0, 1e-7)],
            [(0.0, 0.0), (1e-4, 0.0), (1e-4, 1e-4), (0.0, 1e-4)],
            [(0.0, 0.0), (1e5, 0.0), (-1e5, 1e-3), (0.0, 1e-3)],
            [(0.0, 0.0), (5.0, 0.0), (5.0, 0.0), (0.0, 0.0)],
        ];
        for points in curves {
            let curve = cubic(points);
            let fit = arcs_from_cubic(&curve, CUT_CHORD_MM);
            assert!(fit.segments.iter().all(|s| s.from.is_finite() && s.bulge.is_finite()), "{points:?}");
            assert!(fit.segments.windows(2).all(|w| w[0].to == w[1].from), "{points:?} hangs together");
            assert!(fit.segments.iter().all(|s| s.from != s.to), "{points:?} has no piece of no length");
            assert!(fit.deviation_mm <= CUT_CHORD_MM, "{points:?} is off by {}", fit.deviation_mm);
            assert!(fit.segments.len() < 60, "{points:?} took {}", fit.segments.len());
            if let Some((first, last)) = fit.segments.first().zip(fit.segments.last()) {
                assert_eq!((first.from, last.to), (curve.from(), curve.to()), "{points:?} keeps its ends");
            }
        }
    }

    proptest! {
        #[test]
        fn pieces_keep_the_tolerance_and_the_tangent(curve in any_cubic(), tolerance_mm in 0.01..0.2) {
            let fit = arcs_from_cubic(&curve, tolerance_mm);
            let off = deviation_by_samples(&curve, &fit.segments);
            prop_assert!(off <= tolerance_mm * 1.02, "{off} over {tolerance_mm}");
            prop_assert!(off <= fit.deviation_mm * 1.05 + 1e-4, "said {}, is {off}", fit.deviation_mm);
            prop_assert_eq!(fit.segments[0].from, curve.from());
            prop_assert_eq!(fit.segments[fit.segments.len() - 1].to, curve.to());
            let still = curve.standstills();
            for pair in fit.segments.windows(2) {
                prop_assert_eq!(pair[0].to, pair[1].from);
                let turn = turn_rad(pair[0].end_direction().unwrap(), pair[1].start_direction().unwrap());
                let at_cusp = still.iter().any(|&t| curve.point_at(t).distance(pair[0].to) < 1e-9);
                prop_assert!(at_cusp || turn <= 2.0 * TANGENT_RAD, "turns by {turn}");
            }
            prop_assert!(fit.segments.iter().all(|s| s.bulge.abs() <= 1.0));
        }
    }
}
