//! All observations at one set of unknowns: each with its misfit and derivatives, and the square sum.

use super::gram::Gram;
use super::layout::{Layout, RIM_UNKNOWNS, SIDE_UNKNOWNS, SPOT_UNKNOWNS};
use super::length::{length, skew};
use super::levenberg::Model;
use super::normal::{Normal, Row};
use super::overlay::known_place;
use super::precision::{Counted, SharedError};
use super::problem::{OVERLAY_SIGMA, PARALLEL_SIGMA_RAD, Prior, Problem, Span};
use super::rim::{Circle, Middle, Misfit, side_misfit};
use super::state::State;
use super::structure::Structure;
use crate::camera::{CAMERA_UNKNOWNS, View};
use crate::space::PlateVec;
use std::sync::Arc;

/// The most unknowns that a feature of the photo has of its own.
pub(super) const OWN_UNKNOWNS: usize = 3;

/// Observations that have no error in common.
pub(super) const NOTHING_SHARED: [f64; OWN_UNKNOWNS] = [0.0; OWN_UNKNOWNS];

/// Foot points of all picks, kept from one evaluation to the next as first guesses; the result does not depend on
/// them.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct FootPoints {
    /// For the picks of one hole after the other the direction from its centre; zero until the first evaluation.
    rims: Vec<PlateVec>,
    /// For the picks of one edge after the other the place along it, mm.
    sides: Vec<f64>,
    /// For each edge the middle of those places, mm.
    pub(super) middles: Vec<f64>,
    /// How much of the square sum is the scatter of measured points about the curves that they settle. It comes with
    /// each evaluation and guesses nothing.
    pub(super) scatter: f64,
}

impl FootPoints {
    pub(super) fn new(problem: &Problem) -> Self {
        Self {
            rims: vec![PlateVec::default(); problem.rims.iter().map(|rim| rim.picks.len()).sum()],
            sides: vec![0.0; problem.sides.iter().map(|side| side.picks.len()).sum()],
            middles: vec![0.0; problem.sides.len()],
            scatter: 0.0,
        }
    }
}

/// What comes of a feature's observations together; nothing where they share no error.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Closed {
    /// By how much the shared error lowers the square sum of their misfits.
    pub(super) lowered: f64,
    /// How much of that square sum would go if nothing but they had a say in the feature's own unknowns; the rest is
    /// their scatter.
    pub(super) pulled: f64,
}

/// Where the observations go. All numbers are already divided by the observation's standard deviation.
pub(super) trait Rows {
    /// Observations of one feature and the camera follow; the feature's unknowns stand from `at`.
    fn open(&mut self, at: usize);

    /// An observation of the opened feature: misfit, derivatives by its own unknowns (zero where it has fewer), and by
    /// the camera's.
    fn add(&mut self, misfit: f64, own: &[f64; OWN_UNKNOWNS], camera: &[f64; CAMERA_UNKNOWNS]);

    /// The opened feature, which has `count` unknowns, is done with. All its observations share an error in each of these
    /// unknowns with the standard deviations `shared`, in their own units.
    fn close(&mut self, count: usize, shared: [f64; OWN_UNKNOWNS]) -> Closed;

    /// An observation of few unknowns.
    fn row(&mut self, row: &Row, misfit: f64);
}

/// The joint model of a problem.
#[derive(Debug, Clone, Copy)]
pub(super) struct Joint<'a> {
    pub(super) problem: &'a Problem,
    pub(super) layout: &'a Layout,
}

impl Model for Joint<'_> {
    type Guess = FootPoints;

    fn structure(&self) -> &Arc<Structure> {
        &self.layout.structure
    }

    fn guess(&self) -> FootPoints {
        FootPoints::new(self.problem)
    }

    fn evaluate(&self, values: &[f64], feet: &mut FootPoints, normal: &mut Normal) -> Option<f64> {
        let mut gram = Gram::new(normal, self.layout.camera);
        let square_sum = self.observe(values, feet, &mut gram)?;
        gram.finish();
        Some(square_sum)
    }
}

impl Joint<'_> {
    /// Hands all observations to `rows`, always in the same order, and returns the weighted square sum of the misfits;
    /// `None` where something is not seen at all or a hole has no size.
    pub(super) fn observe(&self, values: &[f64], feet: &mut FootPoints, rows: &mut impl Rows) -> Option<f64> {
        let Self { problem, layout } = *self;
        let state = State { layout, values };
        let mut evaluation = Evaluation { problem, state, view: state.view(), rows, square_sum: 0.0, scatter: 0.0 };
        let mut rest = &mut feet.rims[..];
        for (number, rim) in problem.rims.iter().enumerate() {
            let (own, others) = rest.split_at_mut(rim.picks.len());
            evaluation.rim(number, own)?;
            rest = others;
        }
        for spot in 0..problem.spots.len() {
            evaluation.spot(spot)?;
        }
        let mut rest = &mut feet.sides[..];
        for (number, side) in problem.sides.iter().enumerate() {
            let (own, others) = rest.split_at_mut(side.picks.len());
            feet.middles[number] = evaluation.side(number, own)?;
            rest = others;
        }
        evaluation.lengths(&feet.middles);
        evaluation.corners(&feet.middles);
        evaluation.overlays();
        evaluation.priors();
        feet.scatter = evaluation.scatter;
        evaluation.square_sum.is_finite().then_some(evaluation.square_sum)
    }
}

/// One evaluation in progress.
struct Evaluation<'a, R> {
    problem: &'a Problem,
    state: State<'a>,
    view: View,
    rows: &'a mut R,
    square_sum: f64,
    scatter: f64,
}

impl<R: Rows> Evaluation<'_, R> {
    fn rim(&mut self, number: usize, feet: &mut [PlateVec]) -> Option<()> {
        let rim = &self.problem.rims[number];
        let circle = Circle { centre: self.state.centre(number), radius: self.state.rim_radius(number) };
        // NaN is refused as well.
        if circle.radius.partial_cmp(&0.0) != Some(std::cmp::Ordering::Greater) {
            return None;
        }
        let middle = Middle::of(&self.view, circle.centre)?;
        for (pick, foot) in rim.picks.iter().zip(&mut *feet) {
            if *foot == PlateVec::default() {
                *foot = middle.direction(*pick);
            }
        }
        self.rows.open(self.state.layout.rims[number]);
        let (mut sum, precision) = (0.0, &rim.precision);
        let weight = |pick: usize| 1.0 / precision.sigma_px(pick);
        circle.misfits(&self.view, weight, &rim.picks, feet, |off, own, camera| {
            let Counted { share, square } = precision.counted(off);
            sum += square;
            if share < 1.0 {
                self.rows.add(off * share, &own.map(|by| by * share), &camera.map(|by| by * share));
            } else {
                self.rows.add(off, own, camera);
            }
        })?;
        let SharedError { shift_px, radius_px } = precision.shared();
        let shared_mm = [shift_px, shift_px, radius_px].map(|px| px / middle.px_per_mm());
        self.close(RIM_UNKNOWNS, shared_mm, sum);
        Some(())
    }

    /// Closes a feature whose observations have the square sum `sum` by themselves.
    fn close(&mut self, count: usize, shared: [f64; OWN_UNKNOWNS], sum: f64) {
        let Closed { lowered, pulled } = self.rows.close(count, shared);
        self.square_sum += sum - lowered;
        if shared != NOTHING_SHARED {
            self.scatter += sum - pulled;
        }
    }

    fn spot(&mut self, number: usize) -> Option<()> {
        let spot = &self.problem.spots[number];
        let seen = self.view.project_with_derivatives(self.state.spot(number))?;
        let (off, weight) = (spot.pick - seen.at, 1.0 / spot.sigma_px);
        self.rows.open(self.state.layout.spots[number]);
        for (axis, off) in [off.x, off.y].into_iter().enumerate() {
            self.square_sum += (off * weight).powi(2);
            let [by_x, by_y] = seen.by_plate[axis].map(|by| -by * weight);
            self.rows.add(off * weight, &[by_x, by_y, 0.0], &seen.by_camera[axis].map(|by| -by * weight));
        }
        self.rows.close(SPOT_UNKNOWNS, NOTHING_SHARED);
        Some(())
    }

    /// Returns the middle of the picks along the edge, mm.
    fn side(&mut self, number: usize, feet: &mut [f64]) -> Option<f64> {
        let side = &self.problem.sides[number];
        let (normal, offset) = self.state.side(number);
        self.rows.open(self.state.layout.sides[number]);
        let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
        let (mut most_px_per_mm, mut sum) = (0.0_f64, 0.0);
        for (number, (pick, along)) in side.picks.iter().zip(feet).enumerate() {
            let Misfit { px, by_normal, by_camera } = side_misfit(&self.view, normal, offset, *pick, along)?;
            let weight = 1.0 / side.precision.sigma_px(number);
            let Counted { share, square } = side.precision.counted(px * weight);
            let weight = weight * share;
            let by = by_normal * weight;
            most_px_per_mm = most_px_per_mm.max(by_normal.abs());
            sum += square;
            // A turn moves the foot point against the normal by its place along the edge.
            self.rows.add(px * weight, &[-by * *along, by, 0.0], &by_camera.map(|by| by * weight));
            (least, most) = (least.min(*along), most.max(*along));
        }
        let shift_mm = side.precision.shared().shift_px / most_px_per_mm;
        let shared_mm = if shift_mm.is_finite() { [0.0, shift_mm, 0.0] } else { NOTHING_SHARED };
        self.close(SIDE_UNKNOWNS, shared_mm, sum);
        Some(0.5 * (least + most))
    }

    fn lengths(&mut self, middles: &[f64]) {
        for each in &self.problem.lengths {
            let (mm, row) = length(self.problem, &self.state, middles, each.span);
            self.row(&row, mm - each.mm, each.sigma_mm);
            if let Span::Sides(a, b) = each.span {
                let (sine, row) = skew(&self.state, a, b);
                self.row(&row, sine, PARALLEL_SIGMA_RAD);
            }
        }
    }

    fn corners(&mut self, middles: &[f64]) {
        for corner in &self.problem.corners {
            for side in corner.sides {
                let (mm, row) = length(self.problem, &self.state, middles, Span::OnSide(corner.spot, side));
                self.row(&row, mm, corner.sigma_mm);
            }
        }
    }

    fn overlays(&mut self) {
        for (number, overlay) in self.problem.overlays.iter().enumerate() {
            for known in &overlay.places {
                for (off, row) in known_place(&self.state, number, known) {
                    self.row(&row, off, known.sigma_mm);
                }
            }
        }
    }

    fn priors(&mut self) {
        let camera = self.state.layout.camera;
        for (i, prior) in self.problem.priors.0.iter().enumerate() {
            self.prior(camera + i, *prior);
        }
        for (i, width) in self.problem.breaks.iter().enumerate() {
            self.prior(self.state.layout.breaks + i, *width);
        }
        for number in 0..self.problem.overlays.len() {
            for (i, sigma) in OVERLAY_SIGMA.into_iter().enumerate() {
                self.prior(self.state.layout.overlay(number) + i, Prior { value: 0.0, sigma });
            }
        }
    }

    fn prior(&mut self, at: usize, prior: Prior) {
        let mut row = Row::new();
        row.add(at, 1.0);
        self.row(&row, self.state.values[at] - prior.value, prior.sigma);
    }

    fn row(&mut self, row: &Row, misfit: f64, sigma: f64) {
        let weight = 1.0 / sigma;
        self.square_sum += (misfit * weight).powi(2);
        self.rows.row(&row.times(weight), misfit * weight);
    }
}
