//! What the outline may have been meant to be: figures and relations that the points do not speak against.
//!
//! Each is tested by itself with the standard deviation of the fit (two-sided, 95 %), and carried out as a further fit in
//! which it is held, so that neighbours follow. The person accepts one at a time.

use super::agree::held;
use super::curve::Curve;
use super::joint::covariance;
use super::{EdgePoint, Faired, Fit};
use crate::geom::Contour;
use crate::space::{PlatePoint, PlateVec};
use crate::tolerance::K95_FIGURE;
use nalgebra::Vector3;
use std::f64::consts::FRAC_PI_2;

/// A hole that an arc may have been drawn about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoundThing {
    /// Its centre.
    pub centre: PlatePoint,
    /// Standard deviation of either coordinate, mm.
    pub sigma_mm: f64,
}

/// What may have been meant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SuggestionKind {
    /// Two arcs, by the numbers of their primitives, have this radius.
    EqualRadii {
        /// The arcs.
        arcs: (usize, usize),
        /// Their radius, mm.
        radius_mm: f64,
    },
    /// An arc has the centre of a hole.
    Concentric {
        /// The arc.
        arc: usize,
        /// The hole's number among those that were given.
        hole: usize,
    },
    /// Two lines are parallel.
    Parallel {
        /// The lines.
        lines: (usize, usize),
    },
    /// Two lines are at right angles.
    Square {
        /// The lines.
        lines: (usize, usize),
    },
    /// The radius of an arc is a whole figure.
    RoundRadius {
        /// The arc.
        arc: usize,
        /// The radius, mm.
        radius_mm: f64,
    },
    /// Two parallel lines are a whole figure apart.
    RoundDistance {
        /// The lines.
        lines: (usize, usize),
        /// The distance, mm.
        mm: f64,
    },
}

/// Something that may be accepted, with what it changes.
#[derive(Debug, Clone)]
pub struct Suggestion {
    /// What.
    pub kind: SuggestionKind,
    /// How far the largest change moves the contour, mm.
    pub moves_mm: f64,
    /// The largest distance of a point that takes part from the contour that results, mm.
    pub worst_mm: f64,
    /// The contour that results.
    pub contour: Contour,
}

/// Steps that radii and distances are rounded to, mm, the coarser first.
const ROUND_STEPS_MM: [f64; 2] = [1.0, 0.5];
/// Rounding means something where the figure is known to this share of the step.
const KNOWN_SHARE: f64 = 0.25;
/// Directions are compared where they are known to this, rad (half a degree).
const DIRECTION_KNOWN_RAD: f64 = 0.0087;
/// Two radii are compared where each is known to this share.
const RADIUS_KNOWN_SHARE: f64 = 0.1;
/// A suggestion that moves nothing by this much is true already, mm.
const CHANGES_NOTHING_MM: f64 = 1e-6;
/// No more than this many primitives are compared with each other.
const COMPARED: usize = 60;

/// What may have been meant, where the points allow it, beside what is `agreed` already: in the order of what it is about.
/// `points` are those that `faired` came from, without anything agreed; a suggestion names primitives by their numbers in it.
pub fn suggestions(
    points: &[EdgePoint],
    faired: &Faired,
    holes: &[RoundThing],
    agreed: &[SuggestionKind],
) -> Vec<Suggestion> {
    let fit = &faired.fit;
    let count = fit.pieces.runs.len();
    if count > COMPARED {
        return Vec::new();
    }
    let known: Vec<Known> = (0..count).map(|k| Known::of(fit, k)).collect();
    let mut found = Vec::new();
    for k in 0..count {
        found.extend(rounded_radius(k, &known[k]));
        found.extend(holes.iter().enumerate().filter_map(|(number, hole)| concentric(k, &known[k], number, hole)));
        for other in k + 1..count {
            found.extend(equal_radii((k, &known[k]), (other, &known[other])));
            found.extend(directions((k, &known[k]), (other, &known[other])));
        }
    }
    let held_now = if agreed.is_empty() { None } else { held(points, faired, holes, agreed) };
    let now = held_now.as_ref().unwrap_or(faired);
    let allowed_mm = faired.tolerance_mm.max(K95_FIGURE * fit.chain.noise_mm);
    let carried = found.into_iter().map(|kind| kind.renamed(|k| faired.run_number(k))).filter_map(|kind| {
        let kinds: Vec<SuggestionKind> = agreed.iter().copied().chain([kind]).collect();
        let after = held(points, faired, holes, &kinds)?;
        let moves_mm = moved_mm(&now.contour, &after.contour);
        (moves_mm > CHANGES_NOTHING_MM && moves_mm <= 2.0 * allowed_mm).then(|| Suggestion {
            kind: kind.as_held(&after),
            moves_mm,
            worst_mm: after.worst_mm,
            contour: after.contour,
        })
    });
    carried.collect()
}

impl SuggestionKind {
    /// The primitives that it is about.
    pub fn pieces(self) -> Vec<usize> {
        match self {
            Self::EqualRadii { arcs: (k, j), .. }
            | Self::Parallel { lines: (k, j) }
            | Self::Square { lines: (k, j) }
            | Self::RoundDistance { lines: (k, j), .. } => vec![k, j],
            Self::Concentric { arc, .. } | Self::RoundRadius { arc, .. } => vec![arc],
        }
    }

    /// With the radius that it comes to.
    fn as_held(self, after: &Faired) -> Self {
        match self {
            Self::EqualRadii { arcs, radius_mm } => {
                let curve = after.fit.pieces.curves.get(after.run_number(arcs.0));
                let radius_mm = curve.and_then(Curve::radius_mm).unwrap_or(radius_mm);
                Self::EqualRadii { arcs, radius_mm }
            }
            other => other,
        }
    }

    pub(super) fn renamed(self, name: impl Fn(usize) -> usize) -> Self {
        let both = |(a, b): (usize, usize)| (name(a).min(name(b)), name(a).max(name(b)));
        match self {
            Self::EqualRadii { arcs, radius_mm } => Self::EqualRadii { arcs: both(arcs), radius_mm },
            Self::Concentric { arc, hole } => Self::Concentric { arc: name(arc), hole },
            Self::Parallel { lines } => Self::Parallel { lines: both(lines) },
            Self::Square { lines } => Self::Square { lines: both(lines) },
            Self::RoundRadius { arc, radius_mm } => Self::RoundRadius { arc: name(arc), radius_mm },
            Self::RoundDistance { lines, mm } => Self::RoundDistance { lines: both(lines), mm },
        }
    }
}

/// What is known of one primitive.
pub(super) struct Known {
    pub(super) bend: f64,
    pub(super) radius_mm: f64,
    pub(super) radius_sigma_mm: f64,
    pub(super) centre: Option<PlatePoint>,
    /// How the centre moves along the normal and along the curve with (aside, turn, bend).
    pub(super) centre_rows: [Vector3<f64>; 2],
    pub(super) covariance: nalgebra::Matrix3<f64>,
    pub(super) at: PlatePoint,
    pub(super) along: PlateVec,
    pub(super) direction_sigma_rad: f64,
    pub(super) aside_sigma_mm: f64,
}

impl Known {
    pub(super) fn of(fit: &Fit, k: usize) -> Self {
        let (run, curve) = (&fit.pieces.runs[k], &fit.pieces.curves[k]);
        // Held at the middle of its points, where the place and the direction of a line are told apart.
        let curve = curve.held_at(fit.chain.at(usize::midpoint(run.first, run.last)));
        let unknown = nalgebra::Matrix3::identity() * 1e6;
        let covariance = covariance(&fit.chain, run, &curve, fit.tolerance_mm).unwrap_or(unknown);
        let bend = curve.bend;
        let radius_mm = curve.radius_mm().unwrap_or(f64::INFINITY);
        Self {
            bend,
            radius_mm,
            radius_sigma_mm: covariance[(2, 2)].sqrt() * radius_mm * radius_mm,
            centre: curve.centre(),
            centre_rows: [Vector3::new(1.0, 0.0, -1.0 / (bend * bend)), Vector3::new(0.0, -1.0 / bend, 0.0)],
            covariance,
            at: curve.at,
            along: curve.along,
            direction_sigma_rad: covariance[(1, 1)].sqrt(),
            aside_sigma_mm: covariance[(0, 0)].sqrt(),
        }
    }

    pub(super) fn is_arc(&self) -> bool {
        self.bend != 0.0
    }
}

impl Fit {
    pub(super) fn first_point(&self) -> Option<usize> {
        self.pieces.runs.first().map(|run| self.chain.point(run.first).given)
    }
}

/// The coarsest whole figure within the noise, where the noise leaves it a meaning.
fn whole_figure(value: f64, sigma: f64) -> Option<f64> {
    ROUND_STEPS_MM.into_iter().find_map(|step| {
        let whole = (value / step).round() * step;
        let is_near = (value - whole).abs() <= K95_FIGURE * sigma && sigma <= KNOWN_SHARE * step;
        (is_near && whole > 0.0).then_some(whole)
    })
}

fn rounded_radius(arc: usize, known: &Known) -> Option<SuggestionKind> {
    let radius_mm = whole_figure(known.radius_mm, known.radius_sigma_mm).filter(|_| known.is_arc())?;
    Some(SuggestionKind::RoundRadius { arc, radius_mm })
}

/// Tested along both axes of the centre's own uncertainty, which is much longer along the middle of a short arc.
fn concentric(arc: usize, known: &Known, number: usize, hole: &RoundThing) -> Option<SuggestionKind> {
    let off = known.centre? - hole.centre;
    let [rise, side] = &known.centre_rows;
    let hole_variance = hole.sigma_mm * hole.sigma_mm;
    let covariance = &known.covariance;
    let xx = (rise.transpose() * covariance * rise)[0] + hole_variance;
    let yy = (side.transpose() * covariance * side)[0] + hole_variance;
    let xy = (rise.transpose() * covariance * side)[0];
    let (x, y) = (off.dot(known.along.perp()), off.dot(known.along));
    let square = (yy * x * x - 2.0 * xy * x * y + xx * y * y) / (xx * yy - xy * xy);
    // 5.991: the 0.95 quantile of chi-square with two degrees of freedom. A centre known no better than a quarter of
    // the radius agrees with anything near.
    let is_known = xx.max(yy).sqrt() <= KNOWN_SHARE * known.radius_mm;
    (square <= 5.991 && is_known).then_some(SuggestionKind::Concentric { arc, hole: number })
}

fn equal_radii((k, one): (usize, &Known), (j, other): (usize, &Known)) -> Option<SuggestionKind> {
    let is_known = |known: &Known| known.is_arc() && known.radius_sigma_mm <= RADIUS_KNOWN_SHARE * known.radius_mm;
    let sigma = one.radius_sigma_mm.hypot(other.radius_sigma_mm);
    if !(is_known(one) && is_known(other) && (one.radius_mm - other.radius_mm).abs() <= K95_FIGURE * sigma) {
        return None;
    }
    let radii = [one, other].map(|known| (known.radius_mm, known.radius_sigma_mm));
    Some(SuggestionKind::EqualRadii { arcs: (k, j), radius_mm: weighted(radii)? })
}

/// The mean of some figures, each by the inverse of its variance; `None` of none.
pub(super) fn weighted(figures: impl IntoIterator<Item = (f64, f64)>) -> Option<f64> {
    let weighed = figures.into_iter().map(|(value, sigma)| (value, (sigma * sigma).max(1e-24).recip()));
    let (sum, weight) = weighed.fold((0.0, 0.0), |(sum, all), (value, weight)| (sum + value * weight, all + weight));
    (weight > 0.0).then(|| sum / weight)
}

/// Parallel or square, and a whole figure apart.
fn directions((k, one): (usize, &Known), (j, other): (usize, &Known)) -> Vec<SuggestionKind> {
    let is_known = |known: &Known| !known.is_arc() && known.direction_sigma_rad <= DIRECTION_KNOWN_RAD;
    if !(is_known(one) && is_known(other)) {
        return Vec::new();
    }
    let sigma = one.direction_sigma_rad.hypot(other.direction_sigma_rad);
    let angle = one.along.cross(other.along).atan2(one.along.dot(other.along));
    let lines = (k, j);
    // The nearest whole number of quarter turns, and what is missing to it.
    let quarters = (angle / FRAC_PI_2).round();
    let missing = angle - quarters * FRAC_PI_2;
    if missing.abs() > K95_FIGURE * sigma {
        return Vec::new();
    }
    if quarters.rem_euclid(2.0) > 0.5 {
        return vec![SuggestionKind::Square { lines }];
    }
    let mut found = vec![SuggestionKind::Parallel { lines }];
    let apart = 0.5 * (one.along.cross(other.at - one.at).abs() + other.along.cross(other.at - one.at).abs());
    let sigma_mm = one.aside_sigma_mm.hypot(other.aside_sigma_mm);
    found.extend(whole_figure(apart, sigma_mm).map(|mm| SuggestionKind::RoundDistance { lines, mm }));
    found
}

/// The largest distance between two contours, by places along both.
fn moved_mm(one: &Contour, other: &Contour) -> f64 {
    let from = |a: &Contour, b: &Contour| {
        let places = a.segments.iter().flat_map(|s| (0..8).map(|k| s.point_at(f64::from(k) / 8.0)));
        places.map(|p| b.distance_mm(p)).fold(0.0, f64::max)
    };
    from(one, other).max(from(other, one))
}
