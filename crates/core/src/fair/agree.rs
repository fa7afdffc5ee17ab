//! Figures and relations that were agreed, all held at once.
//!
//! What hangs together is given one value: arcs of one radius, lines that are parallel or square, lines at round
//! distances. One that contradicts those before it is left out.

use super::joint::Hold;
use super::suggest::{Known, RoundThing, SuggestionKind, weighted};
use super::{EdgePoint, Faired, Fit};
use crate::space::{PlatePoint, PlateVec};
use std::f64::consts::{FRAC_PI_2, PI};

/// What is held is held to this, mm or rad.
const HELD_TO: f64 = 1e-6;

/// The contour with everything of `agreed` held that can be, and which of it is. Primitives go by their numbers in
/// `faired`, which came from `points`.
pub fn agreed(
    points: &[EdgePoint],
    faired: &Faired,
    holes: &[RoundThing],
    agreed: &[SuggestionKind],
) -> (Faired, Vec<bool>) {
    let (mut best, mut kept, mut is_held) = (faired.clone(), Vec::new(), Vec::new());
    for kind in agreed {
        kept.push(*kind);
        match held(points, faired, holes, &kept) {
            Some(held) => best = held,
            None => {
                kept.pop();
            }
        }
        is_held.push(kept.last() == Some(kind));
    }
    (best, is_held)
}

/// The contour with all of `kinds` held; `None` where that cannot be.
pub(super) fn held(
    points: &[EdgePoint],
    faired: &Faired,
    holes: &[RoundThing],
    kinds: &[SuggestionKind],
) -> Option<Faired> {
    let count = faired.fit.pieces.runs.len();
    let own: Vec<SuggestionKind> = kinds.iter().map(|kind| kind.renamed(|k| faired.run_number(k))).collect();
    if own.iter().any(|kind| kind.pieces().into_iter().any(|k| k >= count)) {
        return None;
    }
    let mut fit = faired.fit.clone();
    let holds = Holds::new(&fit, &own).all(&own, holes)?;
    fit.pieces.holds.extend(holds);
    fit.settle()?;
    let held = fit.assembled(points)?;
    // Making it hang together may have let a run go, and then moves the others.
    let is_whole = held.fit.pieces.runs.len() == count;
    (is_whole && own.iter().all(|kind| is_true(&held.fit, kind, holes))).then_some(held)
}

impl Faired {
    /// The number of a primitive's run in the fit, which stands in an order of its own, and the other way round.
    pub(super) fn run_number(&self, primitive: usize) -> usize {
        let count = self.fit.pieces.runs.len();
        let is_reversed = self.primitives.first().map(|p| p.from_point) != self.fit.first_point();
        if is_reversed && primitive < count { count - 1 - primitive } else { primitive }
    }
}

/// Whether a fit has a figure or a relation.
fn is_true(fit: &Fit, kind: &SuggestionKind, holes: &[RoundThing]) -> bool {
    let curves = &fit.pieces.curves;
    let radius = |k: usize| curves[k].radius_mm().unwrap_or(f64::INFINITY);
    let is_near = |a: f64, b: f64| (a - b).abs() < HELD_TO * (1.0 + b.abs());
    let turn = |(k, j): (usize, usize)| {
        let (one, other) = (curves[k].along, curves[j].along);
        one.cross(other).atan2(one.dot(other))
    };
    let is_multiple = |angle: f64, of: f64| (angle - of * (angle / of).round()).abs() < HELD_TO;
    match *kind {
        SuggestionKind::EqualRadii { arcs: (k, j), .. } => is_near(radius(k), radius(j)),
        SuggestionKind::Concentric { arc, hole } => {
            let centre = curves[arc].centre().zip(holes.get(hole));
            centre.is_some_and(|(centre, hole)| centre.distance(hole.centre) < 10.0 * HELD_TO)
        }
        SuggestionKind::Parallel { lines } => is_multiple(turn(lines), PI),
        SuggestionKind::Square { lines } => is_multiple(turn(lines) + FRAC_PI_2, PI),
        SuggestionKind::RoundRadius { arc, radius_mm } => is_near(radius(arc), radius_mm),
        SuggestionKind::RoundDistance { lines: (k, j), mm } => {
            let apart = curves[k].along.cross(curves[j].at - curves[k].at).abs();
            is_multiple(turn((k, j)), PI) && is_near(apart, mm)
        }
    }
}

/// Primitives that hang together, and what each is known by.
struct Holds {
    known: Vec<Known>,
    /// For each primitive the arcs of its radius, and the lines of its direction, by their least number; a line with the
    /// quarter turns from that one's direction to its own.
    radius_of: Vec<usize>,
    direction_of: Vec<(usize, f64)>,
}

impl Holds {
    fn new(fit: &Fit, kinds: &[SuggestionKind]) -> Self {
        let count = fit.pieces.runs.len();
        let mut holds = Self {
            known: (0..count).map(|k| Known::of(fit, k)).collect(),
            radius_of: (0..count).collect(),
            direction_of: (0..count).map(|k| (k, 0.0)).collect(),
        };
        for kind in kinds {
            match *kind {
                SuggestionKind::EqualRadii { arcs: (k, j), .. } => holds.join_radii(k, j),
                SuggestionKind::Parallel { lines: (k, j) } | SuggestionKind::RoundDistance { lines: (k, j), .. } => {
                    holds.join_directions(k, j, 0.0);
                }
                SuggestionKind::Square { lines: (k, j) } => holds.join_directions(k, j, 1.0),
                SuggestionKind::Concentric { .. } | SuggestionKind::RoundRadius { .. } => {}
            }
        }
        holds
    }

    fn join_radii(&mut self, k: usize, j: usize) {
        let (one, other) = (self.radius_of[k], self.radius_of[j]);
        for of in &mut self.radius_of {
            if *of == other {
                *of = one;
            }
        }
    }

    fn join_directions(&mut self, k: usize, j: usize, quarters: f64) {
        let ((one, turned), (other, other_turned)) = (self.direction_of[k], self.direction_of[j]);
        if one == other {
            return;
        }
        let missing = turned + quarters - other_turned;
        for (of, by) in &mut self.direction_of {
            if *of == other {
                (*of, *by) = (one, *by + missing);
            }
        }
    }

    /// What each primitive is held to; `None` where one is not of the sort that it would have to be.
    fn all(&self, kinds: &[SuggestionKind], holes: &[RoundThing]) -> Option<Vec<(usize, Hold)>> {
        let mut holds = Vec::new();
        let count = self.known.len();
        for first in 0..count {
            let arcs: Vec<usize> = (0..count).filter(|k| self.radius_of[*k] == first).collect();
            let figure = kinds.iter().find_map(|kind| match kind {
                SuggestionKind::RoundRadius { arc, radius_mm } if arcs.contains(arc) => Some(*radius_mm),
                _ => None,
            });
            if figure.is_none() && arcs.len() < 2 {
                continue;
            }
            let known = || arcs.iter().map(|k| (self.known[*k].radius_mm, self.known[*k].radius_sigma_mm));
            let radius_mm = figure.or_else(|| weighted(known()))?;
            for k in arcs {
                if !self.known[k].is_arc() {
                    return None;
                }
                holds.push((k, Hold::Bend(self.known[k].bend.signum() / radius_mm)));
            }
        }
        for kind in kinds {
            if let SuggestionKind::Concentric { arc, hole } = kind {
                self.known[*arc].centre?;
                holds.push((*arc, Hold::Centre(holes.get(*hole)?.centre)));
            }
        }
        for first in 0..count {
            let lines: Vec<usize> = (0..count).filter(|k| self.direction_of[*k].0 == first).collect();
            if lines.len() > 1 {
                holds.extend(self.lines(&lines, kinds)?);
            }
        }
        Some(holds)
    }

    /// What lines of one direction, and those square to them, are held to.
    fn lines(&self, lines: &[usize], kinds: &[SuggestionKind]) -> Option<Vec<(usize, Hold)>> {
        if lines.iter().any(|k| self.known[*k].is_arc()) {
            return None;
        }
        let angle = |k: usize| self.known[k].along.angle_rad() - self.direction_of[k].1 * FRAC_PI_2;
        let first = angle(*lines.first()?);
        let missing = |k: usize| {
            let by = angle(k) - first;
            (by - PI * (by / PI).round(), self.known[k].direction_sigma_rad)
        };
        let common = first + weighted(lines.iter().map(|k| missing(*k)))?;
        let direction = |k: usize| PlateVec::from_angle(common + self.direction_of[k].1 * FRAC_PI_2);
        let mut holds: Vec<(usize, Hold)> = lines.iter().map(|k| (*k, Hold::Direction(direction(*k)))).collect();
        // Lines at round distances: how far each lies from the first of those that hang together.
        let mut waiting: Vec<(usize, usize, f64)> = kinds
            .iter()
            .filter_map(|kind| match *kind {
                SuggestionKind::RoundDistance { lines: (k, j), mm } if lines.contains(&k) => Some((k, j, mm)),
                _ => None,
            })
            .collect();
        while let Some((start, ..)) = waiting.first().copied() {
            let normal = direction(start).perp();
            let aside = |k: usize| normal.dot(self.known[k].at - PlatePoint::default());
            let mut placed = vec![(start, 0.0)];
            loop {
                let at = |k: usize| placed.iter().find(|(other, _)| *other == k).map(|(_, at)| *at);
                let next = waiting.iter().position(|(k, j, _)| at(*k).is_some() || at(*j).is_some());
                let Some(next) = next else { break };
                let (k, j, mm) = waiting.swap_remove(next);
                let step = mm * (aside(j) - aside(k)).signum();
                match (at(k), at(j)) {
                    (Some(place), None) => placed.push((j, place + step)),
                    (None, Some(place)) => placed.push((k, place - step)),
                    _ => {}
                }
            }
            let shift = weighted(placed.iter().map(|(k, at)| (aside(*k) - at, self.known[*k].aside_sigma_mm)))?;
            let on = |(k, at): (usize, f64)| {
                let off = at + shift - aside(k);
                (k, Hold::Distance(self.known[k].at + normal * off, 0.0))
            };
            holds.extend(placed.into_iter().map(on));
        }
        Some(holds)
    }
}
