//! From the adjustment to the shapes that are shown, in the datum's frame.

use super::assemble::{Assembled, Role};
use super::{Ambiguity, CameraFit, Ellipse, FitSummary, HoleFit, MeasureFit, MeasureVerdict, NextMeasure, PointFit};
use crate::adjust::{Adjusted, Feature, Reliability, Span, next_lengths};
use crate::camera::{CameraUnknown, RigidMove};
use crate::instrument::Instrument;
use crate::job::{Id, Job, Measure, MeasureKind};
use crate::tolerance::REDUNDANCY_UNCHECKED;

/// What the results are made from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Results<'a> {
    pub(super) job: &'a Job,
    pub(super) instrument: &'a Instrument,
    pub(super) assembled: &'a Assembled,
    pub(super) adjusted: &'a Adjusted<'a>,
    pub(super) datum: &'a RigidMove,
}

impl Results<'_> {
    fn ellipse(&self, feature: Feature) -> Ellipse {
        let (major_mm, minor_mm, angle) = self.adjusted.relative().covariance(feature).axes();
        // An axis has no sense of direction: half a turn is nothing.
        let turned = angle + self.datum.angle_rad();
        let major_angle_rad = turned - std::f64::consts::PI * (turned / std::f64::consts::PI).round();
        Ellipse { major_mm, minor_mm, major_angle_rad }
    }

    pub(super) fn hole_id(&self, rim: usize) -> Id {
        self.job.holes[self.assembled.hole_of_rim[rim]].id.clone()
    }

    pub(super) fn holes(&self) -> Vec<HoleFit> {
        let Self { adjusted, datum, .. } = self;
        let hole = |rim: usize| HoleFit {
            id: self.hole_id(rim),
            centre: datum.apply(adjusted.centre(rim)),
            rim_diameter_mm: 2.0 * adjusted.rim_radius(rim),
            bore_diameter_mm: 2.0 * adjusted.bore_radius(rim),
            diameter_sigma_mm: adjusted.fitted_length(Span::Diameter(rim)).1,
            ellipse: self.ellipse(Feature::Rim(rim)),
            rim_points: self.assembled.problem.rims[rim].picks.len(),
            rim_rms_px: adjusted.rim_rms_px(rim),
        };
        (0..self.assembled.problem.rims.len()).map(hole).collect()
    }

    pub(super) fn points(&self) -> Vec<PointFit> {
        let point = |(i, point): (usize, &crate::job::NamedPoint)| PointFit {
            id: point.id.clone(),
            at: self.datum.apply(self.adjusted.spot(i)),
            ellipse: self.ellipse(Feature::Spot(i)),
        };
        self.job.points.iter().enumerate().map(point).collect()
    }

    pub(super) fn measures(&self, reliability: &Reliability) -> Vec<MeasureFit> {
        let accused = |length: usize| {
            reliability.suspects.iter().any(|suspect| suspect.length == length || suspect.equally.contains(&length))
        };
        let fit = |(measure, role): (&Measure, &Role)| match *role {
            Role::Waits => waiting_fit(measure),
            Role::LeftOut(span) => self.beside(measure, span, MeasureVerdict::LeftOut),
            Role::Aside(span) => self.beside(measure, span, MeasureVerdict::Disagrees),
            Role::Counts(length) => {
                let tested = reliability.tested[length];
                let verdict = if accused(length) {
                    MeasureVerdict::Disagrees
                } else if tested.redundancy < REDUNDANCY_UNCHECKED {
                    MeasureVerdict::Unchecked
                } else {
                    MeasureVerdict::Agrees
                };
                MeasureFit {
                    fitted_mm: self.adjusted.fitted_length(self.assembled.problem.lengths[length].span).0,
                    redundancy: tested.redundancy,
                    w: tested.w,
                    noticed_mm: tested.noticed_mm,
                    verdict,
                    ..waiting_fit(measure)
                }
            }
        };
        self.job.measures.iter().zip(&self.assembled.measures).map(fit).collect()
    }

    /// A measure that does not count, beside what the others make of the same length.
    fn beside(&self, measure: &Measure, span: Span, verdict: MeasureVerdict) -> MeasureFit {
        let (fitted_mm, predicted) = self.adjusted.fitted_length(span);
        let sigma = predicted.hypot(measure.sigma_mm);
        let w = (measure.mm - fitted_mm) / sigma;
        // What the redundancy number would be if it counted.
        let redundancy = (measure.sigma_mm / sigma).powi(2);
        MeasureFit {
            fitted_mm,
            redundancy: if redundancy.is_finite() { redundancy } else { 0.0 },
            w: w.is_finite().then_some(w),
            verdict,
            ..waiting_fit(measure)
        }
    }

    pub(super) fn camera(&self) -> CameraFit {
        let view = self.adjusted.view();
        let (lens, pose) = (view.lens(), view.pose());
        let sigma = |unknown| self.adjusted.camera_sigma(unknown);
        CameraFit {
            focal_px: (lens.focal_px, lens.focal_px * sigma(CameraUnknown::LnFocal)),
            tilt_deg: (pose.tilt_rad().to_degrees(), self.adjusted.tilt_sigma_rad().to_degrees()),
            distance_mm: (pose.distance_mm, pose.distance_mm * sigma(CameraUnknown::LnDistance)),
            principal_px: lens.principal,
            principal_sigma_px: [sigma(CameraUnknown::PrincipalX), sigma(CameraUnknown::PrincipalY)],
            k1: (lens.k1, sigma(CameraUnknown::K1)),
            k2: (lens.k2, sigma(CameraUnknown::K2)),
            p1: (lens.p1, sigma(CameraUnknown::P1)),
            p2: (lens.p2, sigma(CameraUnknown::P2)),
            px_per_mm: lens.focal_px / pose.distance_mm * pose.tilt_rad().cos().max(0.0).sqrt(),
        }
    }

    /// The kept hole that is known worst, by its number, with its sigma.
    fn worst(&self) -> Option<(usize, f64)> {
        let rims = self.assembled.problem.rims.iter().enumerate();
        rims.filter(|(_, rim)| rim.keep)
            .map(|(i, _)| (i, self.adjusted.relative().covariance(Feature::Rim(i)).major_mm()))
            .max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Relative standard deviation of the longest distance between two hole centres; with fewer than two holes that
    /// of the camera's distance.
    fn scale_sigma(&self) -> f64 {
        let count = self.assembled.problem.rims.len();
        let distance = |a: usize, b: usize| self.adjusted.centre(a).distance(self.adjusted.centre(b));
        let longest = (0..count)
            .flat_map(|a| (a + 1..count).map(move |b| (a, b)))
            .max_by(|x, y| distance(x.0, x.1).total_cmp(&distance(y.0, y.1)));
        match longest.map(|(a, b)| self.adjusted.fitted_length(Span::Centres(a, b))) {
            Some((mm, sigma)) if mm > 0.0 => sigma / mm,
            _ => self.adjusted.camera_sigma(CameraUnknown::LnDistance),
        }
    }

    pub(super) fn summary(&self) -> FitSummary {
        let adjusted = self.adjusted;
        let dof = adjusted.dof();
        let worst = self.worst();
        FitSummary {
            dof,
            variance_factor: (dof > 0).then(|| adjusted.square_sum() / dof as f64),
            p_value: adjusted.p_value(),
            worst_sigma_mm: worst.map(|(_, sigma)| sigma),
            worst_hole: worst.map(|(rim, _)| self.hole_id(rim)),
            scale_sigma: Some(self.scale_sigma()),
            ambiguous: adjusted
                .other()
                .map(|other| Ambiguity { hole: self.hole_id(other.rim), moves_mm: other.moves_mm }),
            termination: Some(adjusted.termination()),
        }
    }

    pub(super) fn measure_next(&self, count: usize) -> Vec<NextMeasure> {
        let Some((_, before)) = self.worst() else { return Vec::new() };
        let next = |length: crate::adjust::NextLength| {
            let (kind, between) = self.named(length.span)?;
            Some(NextMeasure {
                kind,
                between,
                expected_mm: length.expected_mm,
                worst_sigma_before_mm: before,
                worst_sigma_after_mm: length.worst_after_mm,
            })
        };
        next_lengths(self.adjusted, self.instrument, count).into_iter().filter_map(next).collect()
    }

    /// A span in the words of the job; `None` for a statement.
    fn named(&self, span: Span) -> Option<(MeasureKind, Vec<Id>)> {
        let hole = |rim: usize| self.hole_id(rim);
        let point = |spot: usize| self.job.points[spot].id.clone();
        let edge = |side: usize| {
            let place = self.assembled.edges.iter().position(|number| *number == Some(side))?;
            Some(self.job.edges[place].id.clone())
        };
        Some(match span {
            Span::Centres(a, b) => (MeasureKind::Centres, vec![hole(a), hole(b)]),
            Span::FarRims(a, b) => (MeasureKind::FarRims, vec![hole(a), hole(b)]),
            Span::NearRims(a, b) => (MeasureKind::NearRims, vec![hole(a), hole(b)]),
            Span::Diameter(rim) => (MeasureKind::Diameter, vec![hole(rim)]),
            Span::Points(a, b) => (MeasureKind::Points, vec![point(a), point(b)]),
            Span::Sides(a, b) => (MeasureKind::Edges, vec![edge(a)?, edge(b)?]),
            Span::RimToSide(rim, side) => (MeasureKind::RimToEdge, vec![hole(rim), edge(side)?]),
            Span::SameSize(..) | Span::Square(..) | Span::OnSide(..) => return None,
        })
    }
}

/// All measures while there is no fit.
pub(super) fn waiting(job: &Job) -> Vec<MeasureFit> {
    job.measures.iter().map(waiting_fit).collect()
}

/// A measure of which the fit says nothing: the reading stands for itself.
fn waiting_fit(measure: &Measure) -> MeasureFit {
    MeasureFit {
        id: measure.id.clone(),
        measured_mm: measure.mm,
        fitted_mm: measure.mm,
        sigma_mm: measure.sigma_mm,
        redundancy: 0.0,
        w: None,
        noticed_mm: None,
        verdict: MeasureVerdict::Waits,
    }
}
