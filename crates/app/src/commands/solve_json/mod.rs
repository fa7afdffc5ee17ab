//! The shapes of `solve --json`: the only serialisable twins of the results. A figure that is not finite is `null`.

mod advice;
mod cut;
mod readings;
mod trial;

use crate::measuring::Measured;
use advice::AdviceReport;
use cut::{AddedReport, CutReport};
use platewright_core::adjust::Termination;
use platewright_core::check::{Check, Verdict};
use platewright_core::edge::RimMeasurement;
use platewright_core::geom::{Contour, Segment};
use platewright_core::job::{Id, Job, Meant, Role};
use platewright_core::seen::{RimSeen, Seen};
use platewright_core::solution::{
    AgreedFit, BoltUp, CameraFit, ContourFit, EdgeFit, Finding, FindingKind, FitSummary, HoleFit, MeasuredContour,
    PointFit, Unseen, Weight,
};
use platewright_core::space::PlatePoint;
use readings::{Measure, Next, Statement, SuspectsReport};
use serde::Serialize;
use trial::TrialReport;

/// All that is printed.
#[derive(Debug, Serialize)]
pub(super) struct Report<'a> {
    holes: Vec<Hole<'a>>,
    points: Vec<Point<'a>>,
    edges: Vec<Edge<'a>>,
    measures: Vec<Measure<'a>>,
    statements: Vec<Statement<'a>>,
    suspects: Vec<SuspectsReport<'a>>,
    suspect_rims: &'a [Id],
    camera: Option<Camera>,
    bolt_up: Option<BoltUpReport<'a>>,
    fit: Fit<'a>,
    measure_next: Vec<Next<'a>>,
    contours: Vec<ContourReport<'a>>,
    added: Vec<AddedReport<'a>>,
    cut: CutReport,
    checks: Vec<CheckReport<'a>>,
    advice: Vec<AdviceReport<'a>>,
    trial: Option<TrialReport<'a>>,
    findings: Vec<FindingReport<'a>>,
}

#[derive(Debug, Serialize)]
struct Hole<'a> {
    id: &'a Id,
    x_mm: f64,
    y_mm: f64,
    diameter_mm: f64,
    diameter_sigma_mm: f64,
    rim_diameter_mm: f64,
    sigma_mm: f64,
    rim_points: usize,
    rim_rms_px: f64,
    rim_measured: bool,
    /// How much of the rim gave points, degrees; `null` where it was not found.
    rim_arc_deg: Option<f64>,
    /// The share of the places round it that gave none.
    rim_rejected: Option<f64>,
    /// Why it is not to be trusted, as the end of a sentence.
    rim_doubt: Option<String>,
}

#[derive(Debug, Serialize)]
struct Point<'a> {
    id: &'a Id,
    x_mm: f64,
    y_mm: f64,
    sigma_mm: f64,
}

#[derive(Debug, Serialize)]
struct Edge<'a> {
    id: &'a Id,
    ends_mm: [[f64; 2]; 2],
    rms_px: f64,
}

#[derive(Debug, Serialize)]
struct Camera {
    focal_px: f64,
    focal_sigma_px: f64,
    tilt_deg: f64,
    tilt_sigma_deg: f64,
    distance_mm: f64,
    distance_sigma_mm: f64,
    cx: f64,
    cy: f64,
    k1: f64,
    k1_sigma: f64,
    k2: f64,
    k2_sigma: f64,
    p1: f64,
    p1_sigma: f64,
    p2: f64,
    p2_sigma: f64,
    px_per_mm: f64,
}

/// The odds that the plate goes over its fasteners.
#[derive(Debug, Serialize)]
struct BoltUpReport<'a> {
    odds: f64,
    standard_error: f64,
    worst: Option<&'a Id>,
    cutting_mm: f64,
    holes: Vec<BoltUpHoleReport<'a>>,
}

#[derive(Debug, Serialize)]
struct BoltUpHoleReport<'a> {
    id: &'a Id,
    play_mm: f64,
    in_the_way: f64,
}

#[derive(Debug, Serialize)]
struct Fit<'a> {
    dof: usize,
    variance_factor: Option<f64>,
    p_value: Option<f64>,
    worst_sigma_mm: Option<f64>,
    worst_hole: Option<&'a Id>,
    scale_sigma: Option<f64>,
    ambiguous: Option<Ambiguous<'a>>,
    termination: Option<&'static str>,
}

#[derive(Debug, Serialize)]
struct Ambiguous<'a> {
    hole: &'a Id,
    moves_mm: f64,
    settle: Option<Next<'a>>,
}

#[derive(Debug, Serialize)]
struct ContourReport<'a> {
    id: &'a Id,
    role: Role,
    keep: bool,
    closed: bool,
    length_mm: f64,
    area_mm2: Option<f64>,
    chord_mm: f64,
    /// The edge was measured along it, and how far the cut lies off it at most.
    measured: bool,
    worst_off_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    edge: Option<EdgeReport<'a>>,
    gaps_mm: Vec<f64>,
    crossings: Vec<[f64; 2]>,
    segments: Vec<SegmentReport>,
}

/// What was measured along a contour beside its worst place.
#[derive(Debug, Serialize)]
struct EdgeReport<'a> {
    /// How far the cut was allowed to lie from the places, their noise apart.
    tolerance_mm: f64,
    unseen: Vec<UnseenReport>,
    /// Numbers of the nodes that the cut passes too far off.
    far_nodes: Vec<usize>,
    agreed: Vec<AgreedReport<'a>>,
}

/// A stretch without measured places, from the piece that starts at a node.
#[derive(Debug, Serialize)]
struct UnseenReport {
    node: usize,
    length_mm: f64,
    as_drawn: bool,
}

#[derive(Debug, Serialize)]
struct AgreedReport<'a> {
    #[serde(flatten)]
    meant: &'a Meant,
    held: bool,
}

/// A line, or an arc by its ends and its bulge (tangent of a quarter of its angle, positive counter-clockwise).
#[derive(Debug, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
enum SegmentReport {
    Line { from: [f64; 2], to: [f64; 2] },
    Arc { from: [f64; 2], to: [f64; 2], bulge: f64, centre: Option<[f64; 2]>, radius_mm: Option<f64> },
}

#[derive(Debug, Serialize)]
struct CheckReport<'a> {
    name: &'a str,
    verdict: Verdict,
    about: Option<&'a Id>,
    text: &'a str,
    places: &'a [PlatePoint],
}

#[derive(Debug, Serialize)]
struct FindingReport<'a> {
    weight: Weight,
    kind: FindingKind,
    about: Option<&'a Id>,
    others: &'a [Id],
    text: &'a str,
}

impl<'a> Report<'a> {
    /// All that is known of `job`.
    pub(super) fn new(job: &'a Job, measured: &'a Measured) -> Self {
        let Measured { seen, solution, checks, advice, .. } = measured;
        Self {
            holes: solution.holes.iter().map(|fit| Hole::new(job, seen, fit)).collect(),
            points: solution.points.iter().map(Point::from).collect(),
            edges: solution.edges.iter().map(Edge::from).collect(),
            measures: solution.measures.iter().map(Measure::from).collect(),
            statements: solution.statements.iter().map(Statement::from).collect(),
            suspects: solution.suspects.iter().map(SuspectsReport::from).collect(),
            suspect_rims: &solution.suspect_rims,
            camera: solution.camera.as_ref().map(Camera::from),
            bolt_up: solution.bolt_up.as_ref().map(BoltUpReport::from),
            fit: Fit::from(&solution.fit),
            measure_next: solution.measure_next.iter().map(Next::from).collect(),
            contours: solution.contours.iter().map(|fit| ContourReport::new(job, fit)).collect(),
            added: solution.added.iter().map(AddedReport::from).collect(),
            cut: CutReport::new(job, solution),
            checks: checks.iter().map(CheckReport::from).collect(),
            advice: advice.iter().map(AdviceReport::from).collect(),
            trial: solution.trial.as_ref().map(TrialReport::from),
            findings: solution.findings.iter().map(FindingReport::from).collect(),
        }
    }
}

impl<'a> Hole<'a> {
    fn new(job: &Job, seen: &Seen, fit: &'a HoleFit) -> Self {
        let rim = job.hole(&fit.id).and_then(|hole| seen.rim(hole));
        let found = rim.and_then(|rim| rim.found.as_ref().ok());
        Self {
            id: &fit.id,
            x_mm: fit.centre.x,
            y_mm: fit.centre.y,
            diameter_mm: fit.bore_diameter_mm,
            diameter_sigma_mm: fit.diameter_sigma_mm,
            rim_diameter_mm: fit.rim_diameter_mm,
            sigma_mm: fit.sigma_mm(),
            rim_points: fit.rim_points,
            rim_rms_px: fit.rim_rms_px,
            rim_measured: fit.is_measured,
            rim_arc_deg: found.map(|rim| rim.arc_deg),
            rim_rejected: found.map(RimMeasurement::rejected_share),
            rim_doubt: rim.and_then(RimSeen::doubt),
        }
    }
}

impl<'a> From<&'a PointFit> for Point<'a> {
    fn from(fit: &'a PointFit) -> Self {
        Self { id: &fit.id, x_mm: fit.at.x, y_mm: fit.at.y, sigma_mm: fit.ellipse.major_mm }
    }
}

impl<'a> From<&'a EdgeFit> for Edge<'a> {
    fn from(fit: &'a EdgeFit) -> Self {
        Self { id: &fit.id, ends_mm: fit.ends.map(Into::into), rms_px: fit.rms_px }
    }
}

impl From<&CameraFit> for Camera {
    fn from(fit: &CameraFit) -> Self {
        Self {
            focal_px: fit.focal_px.0,
            focal_sigma_px: fit.focal_px.1,
            tilt_deg: fit.tilt_deg.0,
            tilt_sigma_deg: fit.tilt_deg.1,
            distance_mm: fit.distance_mm.0,
            distance_sigma_mm: fit.distance_mm.1,
            cx: fit.principal_px.x,
            cy: fit.principal_px.y,
            k1: fit.k1.0,
            k1_sigma: fit.k1.1,
            k2: fit.k2.0,
            k2_sigma: fit.k2.1,
            p1: fit.p1.0,
            p1_sigma: fit.p1.1,
            p2: fit.p2.0,
            p2_sigma: fit.p2.1,
            px_per_mm: fit.px_per_mm,
        }
    }
}

impl<'a> From<&'a BoltUp> for BoltUpReport<'a> {
    fn from(bolt_up: &'a BoltUp) -> Self {
        let BoltUp { odds, standard_error, worst, holes, cutting_mm } = bolt_up;
        let holes = holes.iter().map(|hole| BoltUpHoleReport {
            id: &hole.id,
            play_mm: hole.play_mm,
            in_the_way: hole.in_the_way,
        });
        Self {
            odds: *odds,
            standard_error: *standard_error,
            worst: worst.as_ref(),
            cutting_mm: *cutting_mm,
            holes: holes.collect(),
        }
    }
}

impl<'a> From<&'a FitSummary> for Fit<'a> {
    fn from(fit: &'a FitSummary) -> Self {
        Self {
            dof: fit.dof,
            variance_factor: fit.variance_factor,
            p_value: fit.p_value,
            worst_sigma_mm: fit.worst_sigma_mm,
            worst_hole: fit.worst_hole.as_ref(),
            scale_sigma: fit.scale_sigma,
            ambiguous: fit.ambiguous.as_ref().map(|two| Ambiguous {
                hole: &two.hole,
                moves_mm: two.moves_mm,
                settle: two.settle.as_ref().map(Next::from),
            }),
            termination: fit.termination.map(|end| match end {
                Termination::Converged => "converged",
                Termination::IterationLimit => "iteration-limit",
                Termination::NoBetterStep => "no-better-step",
                Termination::NotSeen => "not-seen",
            }),
        }
    }
}

impl<'a> ContourReport<'a> {
    /// Closed means here that the job says so and nothing is left open.
    fn new(job: &Job, fit: &'a ContourFit) -> Self {
        let said = job.contour(&fit.id);
        let is_joined = said.is_some_and(|contour| contour.closed);
        let Contour { segments, closed } = &fit.cut;
        let measured = fit.measured.as_ref().filter(|measured| !measured.places.is_empty());
        Self {
            id: &fit.id,
            role: fit.role,
            keep: said.is_none_or(|contour| contour.keep),
            closed: is_joined && *closed && fit.gaps.is_empty(),
            length_mm: fit.length_mm,
            area_mm2: fit.area_mm2,
            chord_mm: fit.chord_mm,
            measured: measured.is_some(),
            worst_off_mm: measured.map(|measured| measured.worst_mm),
            edge: fit.measured.as_ref().map(EdgeReport::from),
            gaps_mm: fit.gaps.iter().map(platewright_core::geom::Gap::width_mm).collect(),
            crossings: fit.crossings.iter().map(|crossing| crossing.at.into()).collect(),
            segments: segments.iter().map(SegmentReport::from).collect(),
        }
    }
}

impl<'a> From<&'a MeasuredContour> for EdgeReport<'a> {
    fn from(measured: &'a MeasuredContour) -> Self {
        let unseen = |unseen: &Unseen| UnseenReport {
            node: unseen.node,
            length_mm: unseen.length_mm(),
            as_drawn: unseen.as_drawn,
        };
        let agreed = |agreed: &'a AgreedFit| AgreedReport { meant: &agreed.meant, held: agreed.is_held };
        Self {
            tolerance_mm: measured.tolerance_mm,
            unseen: measured.unseen.iter().map(unseen).collect(),
            far_nodes: measured.far_nodes.iter().map(|far| far.node).collect(),
            agreed: measured.agreed.iter().map(agreed).collect(),
        }
    }
}

impl From<&Segment> for SegmentReport {
    fn from(segment: &Segment) -> Self {
        let (from, to) = (segment.from.into(), segment.to.into());
        if segment.is_line() {
            return Self::Line { from, to };
        }
        Self::Arc {
            from,
            to,
            bulge: segment.bulge,
            centre: segment.centre().map(Into::into),
            radius_mm: segment.radius_mm(),
        }
    }
}

impl<'a> From<&'a Check> for CheckReport<'a> {
    fn from(check: &'a Check) -> Self {
        Self {
            name: check.name,
            verdict: check.verdict,
            about: check.about.as_ref(),
            text: &check.text,
            places: &check.places,
        }
    }
}

impl<'a> From<&'a Finding> for FindingReport<'a> {
    fn from(finding: &'a Finding) -> Self {
        let Finding { weight, kind, about, others, text } = finding;
        Self { weight: *weight, kind: *kind, about: about.as_ref(), others, text }
    }
}
