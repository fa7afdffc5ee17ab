//! From fitted curves to a contour that hangs together, and what is told about it.

use super::joint::{Pieces, Tie};
use super::{EdgePoint, Faired, Fit, Join, Primitive, PrimitiveKind};
use crate::geom::{Contour, Segment};
use crate::space::PlatePoint;
use std::f64::consts::TAU;

/// How often a run without length is let go.
const DROPS: usize = 12;

/// The ends of every run, and how it meets the next.
struct Ends {
    starts: Vec<PlatePoint>,
    stops: Vec<PlatePoint>,
    joins: Vec<Join>,
}

impl Fit {
    /// The contour and its figures.
    pub(super) fn assembled(mut self, given: &[EdgePoint]) -> Option<Faired> {
        let mut ends = self.ends();
        for _ in 0..DROPS {
            let Some(backward) = (0..self.pieces.runs.len()).find(|&k| self.runs_backward(k, &ends)) else { break };
            let run = self.pieces.runs[backward];
            if !self.let_go(backward, (run.last + 1 - run.first) / 2) {
                break;
            }
            self.settle()?;
            self.move_ends();
            self.settle()?;
            self.tie_tangents()?;
            ends = self.ends();
        }
        let (contour, spans) = self.contour(&ends);
        let deviations = self.deviations(given, &contour, &spans);
        let mut took_part = vec![false; given.len()];
        self.chain.points.iter().for_each(|p| took_part[p.given] = true);
        let is_kept = |k: &usize| took_part[*k];
        let worst_mm = (0..given.len()).filter(is_kept).map(|k| deviations[k].abs()).fold(0.0, f64::max);
        let left_out = Self::left_out(given, &took_part);
        let primitives = (0..self.pieces.runs.len())
            .map(|k| self.primitive(k, &deviations, &contour.segments[spans[k].0..][..spans[k].1], spans[k]))
            .collect();
        let is_finite = contour.segments.iter().all(|s| s.from.is_finite() && s.to.is_finite() && s.bulge.is_finite());
        if !is_finite || contour.is_empty() || !self.passes_pins(&contour) {
            return None;
        }
        let asked = self.counter_clockwise.filter(|_| self.chain.closed);
        let is_against = asked.map_or(self.chain.turned, |asked| contour.is_counter_clockwise() != asked);
        let (tolerance_mm, noise_mm, joins) = (self.tolerance_mm, self.chain.noise_mm, ends.joins);
        let faired =
            Faired { contour, primitives, joins, tolerance_mm, noise_mm, worst_mm, deviations, left_out, fit: self };
        Some(if is_against { faired.reversed() } else { faired })
    }

    /// Every pinned place is the end of a piece.
    fn passes_pins(&self, contour: &Contour) -> bool {
        let is_end = |at: PlatePoint| contour.segments.iter().any(|piece| piece.from == at || piece.to == at);
        self.chain.points.iter().filter(|point| point.pinned).all(|point| is_end(point.at))
    }

    fn ends(&self) -> Ends {
        let pieces = &self.pieces;
        let n = pieces.runs.len();
        let foot = |k: usize, point: usize| {
            let place = self.chain.at(point);
            if self.chain.point(point).pinned { place } else { pieces.curves[k].foot(place) }
        };
        let mut starts: Vec<_> = (0..n).map(|k| foot(k, pieces.runs[k].first)).collect();
        let mut stops: Vec<_> = (0..n).map(|k| foot(k, pieces.runs[k].last)).collect();
        let mut joins = Vec::new();
        for (k, next) in pieces.joins(&self.chain) {
            let (kind, stop, start) = self.meeting(k, next);
            (stops[k], starts[next]) = (stop, start);
            joins.push(Join { kind, at: stop });
        }
        Ends { starts, stops, joins }
    }

    /// The run `k` would have to be gone along against its direction.
    fn runs_backward(&self, k: usize, ends: &Ends) -> bool {
        if self.pieces.runs.len() < 2 {
            return false;
        }
        let curve = &self.pieces.curves[k];
        let (start, stop) = (ends.starts[k], ends.stops[k]);
        if curve.bend == 0.0 {
            (stop - start).dot(curve.along) <= 0.0
        } else {
            self.sweep_rad(k, ends) * curve.bend <= 0.0
        }
    }

    /// Angle from the start of the run `k` to its end, with the whole turns that its points tell.
    fn sweep_rad(&self, k: usize, ends: &Ends) -> f64 {
        let (run, curve) = (&self.pieces.runs[k], &self.pieces.curves[k]);
        let (a, b) = (curve.direction_at(ends.starts[k]), curve.direction_at(ends.stops[k]));
        let turn = a.cross(b).atan2(a.dot(b));
        let steps = (run.first..run.last).map(|p| {
            let (a, b) = (curve.direction_at(self.chain.at(p)), curve.direction_at(self.chain.at(p + 1)));
            a.cross(b).atan2(a.dot(b))
        });
        let told: f64 = steps.sum();
        turn + TAU * ((told - turn) / TAU).round()
    }

    /// The pieces, and for each run which of them are its own: the first, and how many.
    fn contour(&self, ends: &Ends) -> (Contour, Vec<(usize, usize)>) {
        let Pieces { runs, curves, .. } = &self.pieces;
        let closed = self.chain.closed;
        if let ([curve], true) = (curves.as_slice(), closed)
            && let (Some(centre), Some(radius_mm), Tie::Free) = (curve.centre(), curve.radius_mm(), self.pieces.ties[0])
        {
            return (Contour::circle(centre, radius_mm).oriented(curve.bend > 0.0), vec![(0, 2)]);
        }
        let (mut segments, mut spans) = (Vec::new(), Vec::new());
        for (k, curve) in curves.iter().enumerate() {
            let bulge = if curve.bend == 0.0 { 0.0 } else { (self.sweep_rad(k, ends) / 4.0).tan() };
            let whole = Segment::arc(ends.starts[k], ends.stops[k], bulge);
            let own = whole.in_half_turns();
            spans.push((segments.len(), own.len()));
            segments.extend(own);
            let next = if k + 1 < runs.len() { Some(k + 1) } else { closed.then_some(0) };
            if let Some(start) = next.map(|next| ends.starts[next]).filter(|&start| start != ends.stops[k]) {
                segments.push(Segment::line(ends.stops[k], start));
            }
        }
        (Contour { segments, closed }, spans)
    }

    /// Signed distances of all given points from the pieces of their run and its neighbours.
    fn deviations(&self, given: &[EdgePoint], contour: &Contour, spans: &[(usize, usize)]) -> Vec<f64> {
        let n = self.chain.len();
        let mut run_of = vec![None; given.len()];
        for (k, run) in self.pieces.runs.iter().enumerate() {
            for point in run.first..=run.last {
                run_of[self.chain.point(point % n).given] = Some(k);
            }
        }
        let runs = spans.len();
        let mut last = run_of.iter().rev().flatten().next().copied().unwrap_or(0);
        let off = |(number, point): (usize, &EdgePoint)| {
            last = run_of[number].unwrap_or(last);
            if !point.at.is_finite() {
                return f64::NAN;
            }
            let side = self.pieces.curves[last].off_mm(point.at).signum();
            let (from, count) = if runs > 2 {
                let (before, after) = (spans[(last + runs - 1) % runs], spans[(last + 1) % runs]);
                let total = contour.segments.len();
                (before.0, (after.0 + after.1 + total - before.0 - 1) % total + 1)
            } else {
                (0, contour.segments.len())
            };
            let near = contour.segments.iter().cycle().skip(from).take(count);
            near.map(|s| s.distance_mm(point.at)).fold(f64::INFINITY, f64::min) * side
        };
        given.iter().enumerate().map(off).collect()
    }

    /// Points that took no part though they are places of their own.
    fn left_out(given: &[EdgePoint], took_part: &[bool]) -> Vec<usize> {
        let is_repeat = |k: usize| k > 0 && given[k].at == given[k - 1].at;
        (0..given.len()).filter(|&k| !took_part[k] && !is_repeat(k)).collect()
    }

    fn primitive(&self, k: usize, deviations: &[f64], own: &[Segment], segments: (usize, usize)) -> Primitive {
        let (run, curve) = (&self.pieces.runs[k], &self.pieces.curves[k]);
        let number = |point: usize| self.chain.point(point).given;
        let off = || (run.first..=run.last).map(|p| deviations[number(p)].abs());
        let count = (run.last + 1 - run.first) as f64;
        let kind = match curve.centre().zip(curve.radius_mm()) {
            Some((centre, radius_mm)) => PrimitiveKind::Arc { centre, radius_mm },
            None => PrimitiveKind::Line,
        };
        Primitive {
            kind,
            from_point: number(run.first),
            to_point: number(run.last),
            rms_mm: (off().map(|d| d * d).sum::<f64>() / count).sqrt(),
            worst_mm: off().fold(0.0, f64::max),
            length_mm: own.iter().map(Segment::length_mm).sum(),
            segments,
        }
    }
}

impl Faired {
    /// The same, gone round the other way.
    fn reversed(mut self) -> Self {
        let total = self.contour.segments.len();
        self.contour = self.contour.reversed();
        self.primitives.reverse();
        for p in &mut self.primitives {
            std::mem::swap(&mut p.from_point, &mut p.to_point);
            p.segments.0 = total - p.segments.0 - p.segments.1;
        }
        self.joins.reverse();
        if self.contour.closed && !self.joins.is_empty() {
            // The join that closes comes last again.
            self.joins.rotate_left(1);
        }
        self.deviations.iter_mut().for_each(|d| *d = -*d);
        self
    }
}
