//! From the adjustment to the shapes that are shown, in the datum's frame.

use super::assemble::Assembled;
use super::{Ambiguity, CameraFit, EdgeFit, Ellipse, FitSummary, HoleFit, Inputs, PointFit};
use crate::adjust::{Adjusted, Feature, PlaceCovariance, Precision, Span};
use crate::camera::{CameraUnknown, RigidMove};
use crate::instrument::Instrument;
use crate::job::{Hole, Id, Job, StraightEdge};
use crate::seen::RimSeen;

/// What the results are made from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Results<'a> {
    pub(super) job: &'a Job,
    pub(super) inputs: &'a Inputs<'a>,
    pub(super) instrument: &'a Instrument,
    pub(super) assembled: &'a Assembled,
    pub(super) adjusted: &'a Adjusted<'a>,
    pub(super) datum: &'a RigidMove,
}

impl Results<'_> {
    fn ellipse(&self, feature: Feature) -> Ellipse {
        self.ellipse_of(&self.adjusted.relative().covariance(feature))
    }

    /// A covariance in the solve frame as an ellipse in the datum's.
    pub(super) fn ellipse_of(&self, covariance: &PlaceCovariance) -> Ellipse {
        let (major_mm, minor_mm, angle) = covariance.axes();
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
        let hole = |rim: usize| {
            let picks_off_px = adjusted.rim_misfits_px(rim);
            let square_sum: f64 = picks_off_px.iter().map(|off| off * off).sum();
            let rim_rms_px = (square_sum / picks_off_px.len().max(1) as f64).sqrt();
            HoleFit {
                id: self.hole_id(rim),
                centre: datum.apply(adjusted.centre(rim)),
                rim_diameter_mm: 2.0 * adjusted.rim_radius(rim),
                bore_diameter_mm: 2.0 * adjusted.bore_radius(rim),
                diameter_sigma_mm: adjusted.fitted_length(Span::Diameter(rim)).1,
                ellipse: self.ellipse(Feature::Rim(rim)),
                rim_points: self.assembled.problem.rims[rim].picks.len(),
                is_measured: matches!(self.assembled.problem.rims[rim].precision, Precision::Measured { .. }),
                rim_rms_px,
                picks_off_px,
            }
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

    pub(super) fn edges(&self) -> Vec<EdgeFit> {
        let edge = |(edge, side): (&StraightEdge, &Option<usize>)| {
            let side = (*side)?;
            let ends = self.adjusted.side_ends(side)?.map(|end| self.datum.apply(end));
            Some(EdgeFit { id: edge.id.clone(), ends, rms_px: self.adjusted.side_rms_px(side)? })
        };
        self.job.edges.iter().zip(&self.assembled.edges).filter_map(edge).collect()
    }

    /// The holes whose edge looks broken although the job does not say so.
    pub(super) fn unsaid_breaks(&self) -> Vec<Id> {
        let Some(seen) = self.inputs.seen else { return Vec::new() };
        let is_broken = |hole: &&Hole| seen.rim(hole).is_some_and(RimSeen::shows_unsaid_break);
        self.job.holes.iter().filter(is_broken).map(|hole| hole.id.clone()).collect()
    }

    /// The kept hole that is known worst, by its number, with its sigma.
    pub(super) fn worst(&self) -> Option<(usize, f64)> {
        let rims = self.assembled.problem.rims.iter().enumerate();
        rims.filter(|(_, rim)| rim.keep)
            .map(|(i, _)| (i, self.adjusted.relative().covariance(Feature::Rim(i)).major_mm()))
            .max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Relative standard deviation of the longest distance between two hole centres; with fewer than two holes that
    /// of the camera's distance.
    pub(super) fn scale_sigma(&self) -> f64 {
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
        // A single place has nothing that it could be off from.
        let problem = &self.assembled.problem;
        let places = problem.rims.iter().filter(|rim| rim.keep).count() + problem.spots.len();
        let worst = if places > 1 { self.worst() } else { None };
        FitSummary {
            dof,
            variance_factor: (dof > 0).then(|| adjusted.square_sum() / dof as f64),
            p_value: adjusted.p_value(),
            worst_sigma_mm: worst.map(|(_, sigma)| sigma),
            worst_hole: worst.map(|(rim, _)| self.hole_id(rim)),
            scale_sigma: Some(self.scale_sigma()),
            ambiguous: adjusted.other().map(|other| Ambiguity {
                hole: self.hole_id(other.rim),
                moves_mm: other.moves_mm,
                settle: adjusted.telling_positions_apart(self.instrument).and_then(|length| self.next(length)),
            }),
            termination: Some(adjusted.termination()),
        }
    }
}
