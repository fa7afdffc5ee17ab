//! All observations at one set of unknowns: the square sum, its gradient and the normal matrix.

use super::layout::Layout;
use super::length::{length, skew};
use super::normal::{Normal, Row};
use super::problem::{BREAK_WIDTH, OVERLAY_SIGMA, PARALLEL_SIGMA_RAD, Prior, Problem};
use super::rim::{Misfit, direction, rim_misfit, side_misfit};
use super::state::State;
use crate::camera::{CAMERA_UNKNOWNS, View};
use crate::space::{PlatePoint, PlateVec};

/// Foot points of all picks, kept from one evaluation to the next as first guesses; the result does not depend on
/// them.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct FootPoints {
    /// For each hole's picks the direction from the centre; empty until the first evaluation.
    rims: Vec<Vec<PlateVec>>,
    /// For each edge's picks the place along the edge, mm.
    sides: Vec<Vec<f64>>,
    /// For each edge the middle of those places, mm.
    pub(super) middles: Vec<f64>,
}

impl FootPoints {
    pub(super) fn new(problem: &Problem) -> Self {
        Self {
            rims: problem.rims.iter().map(|rim| Vec::with_capacity(rim.picks.len())).collect(),
            sides: problem.sides.iter().map(|side| vec![0.0; side.picks.len()]).collect(),
            middles: vec![0.0; problem.sides.len()],
        }
    }
}

/// Normal equations of one feature's own unknowns (`N` of them, first) and the camera's, gathered before they are
/// added to the whole.
struct Block<const N: usize> {
    own: [[f64; N]; N],
    cross: [[f64; N]; CAMERA_UNKNOWNS],
    camera: [[f64; CAMERA_UNKNOWNS]; CAMERA_UNKNOWNS],
    own_gradient: [f64; N],
    camera_gradient: [f64; CAMERA_UNKNOWNS],
}

impl<const N: usize> Block<N> {
    const fn new() -> Self {
        Self {
            own: [[0.0; N]; N],
            cross: [[0.0; N]; CAMERA_UNKNOWNS],
            camera: [[0.0; CAMERA_UNKNOWNS]; CAMERA_UNKNOWNS],
            own_gradient: [0.0; N],
            camera_gradient: [0.0; CAMERA_UNKNOWNS],
        }
    }

    /// Adds an observation that is already divided by its standard deviation.
    fn add(&mut self, misfit: f64, own: &[f64; N], camera: &[f64; CAMERA_UNKNOWNS]) {
        for i in 0..N {
            self.own_gradient[i] += own[i] * misfit;
            for j in 0..=i {
                self.own[i][j] += own[i] * own[j];
            }
        }
        for i in 0..CAMERA_UNKNOWNS {
            self.camera_gradient[i] += camera[i] * misfit;
            for (sum, own) in self.cross[i].iter_mut().zip(own) {
                *sum += camera[i] * own;
            }
            for j in 0..=i {
                self.camera[i][j] += camera[i] * camera[j];
            }
        }
    }

    /// Adds it all to the whole, the feature's unknowns standing from `own_at` and the camera's from `camera_at`.
    fn scatter(&self, normal: &mut Normal, own_at: usize, camera_at: usize) {
        for i in 0..N {
            normal.gradient[own_at + i] += self.own_gradient[i];
            for j in 0..=i {
                normal.add(own_at + i, own_at + j, self.own[i][j]);
            }
        }
        for i in 0..CAMERA_UNKNOWNS {
            normal.gradient[camera_at + i] += self.camera_gradient[i];
            for j in 0..N {
                normal.add(camera_at + i, own_at + j, self.cross[i][j]);
            }
            for j in 0..=i {
                normal.add(camera_at + i, camera_at + j, self.camera[i][j]);
            }
        }
    }
}

/// One evaluation in progress.
struct Evaluation<'a> {
    problem: &'a Problem,
    state: State<'a>,
    view: View,
    normal: &'a mut Normal,
    square_sum: f64,
}

/// Fills `normal` and returns the weighted square sum of all misfits; `None` where something is not seen at all or a
/// hole has no size.
pub(super) fn evaluate(
    problem: &Problem,
    layout: &Layout,
    values: &[f64],
    feet: &mut FootPoints,
    normal: &mut Normal,
) -> Option<f64> {
    normal.clear();
    let state = State { layout, values };
    let mut evaluation = Evaluation { problem, state, view: state.view(), normal, square_sum: 0.0 };
    for rim in 0..problem.rims.len() {
        evaluation.rim(rim, &mut feet.rims[rim])?;
    }
    for spot in 0..problem.spots.len() {
        evaluation.spot(spot)?;
    }
    for side in 0..problem.sides.len() {
        feet.middles[side] = evaluation.side(side, &mut feet.sides[side])?;
    }
    evaluation.lengths(&feet.middles);
    evaluation.overlays();
    evaluation.priors();
    evaluation.square_sum.is_finite().then_some(evaluation.square_sum)
}

impl Evaluation<'_> {
    fn rim(&mut self, number: usize, feet: &mut Vec<PlateVec>) -> Option<()> {
        let rim = &self.problem.rims[number];
        let (centre, radius) = (self.state.centre(number), self.state.rim_radius(number));
        // NaN is refused as well.
        if radius.partial_cmp(&0.0) != Some(std::cmp::Ordering::Greater) {
            return None;
        }
        let weight = 1.0 / rim.sigma_px;
        let mut block = Block::<3>::new();
        for (i, pick) in rim.picks.iter().enumerate() {
            if feet.len() == i {
                feet.push(direction(&self.view, centre, *pick)?);
            }
            let Misfit { px, by_normal, by_camera } = rim_misfit(&self.view, centre, radius, *pick, &mut feet[i])?;
            let by = by_normal * weight;
            self.square_sum += (px * weight).powi(2);
            block.add(px * weight, &[by * feet[i].x, by * feet[i].y, by], &by_camera.map(|by| by * weight));
        }
        block.scatter(self.normal, self.state.layout.rims[number], self.state.layout.camera);
        Some(())
    }

    fn spot(&mut self, number: usize) -> Option<()> {
        let spot = &self.problem.spots[number];
        let seen = self.view.project_with_derivatives(self.state.spot(number))?;
        let (off, weight) = (spot.pick - seen.at, 1.0 / spot.sigma_px);
        let mut block = Block::<2>::new();
        for (axis, off) in [off.x, off.y].into_iter().enumerate() {
            self.square_sum += (off * weight).powi(2);
            let own = seen.by_plate[axis].map(|by| -by * weight);
            block.add(off * weight, &own, &seen.by_camera[axis].map(|by| -by * weight));
        }
        block.scatter(self.normal, self.state.layout.spots[number], self.state.layout.camera);
        Some(())
    }

    /// Returns the middle of the picks along the edge, mm.
    fn side(&mut self, number: usize, feet: &mut [f64]) -> Option<f64> {
        let side = &self.problem.sides[number];
        let (normal, offset) = self.state.side(number);
        let weight = 1.0 / side.sigma_px;
        let mut block = Block::<2>::new();
        let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
        for (pick, along) in side.picks.iter().zip(feet) {
            let Misfit { px, by_normal, by_camera } = side_misfit(&self.view, normal, offset, *pick, along)?;
            let by = by_normal * weight;
            self.square_sum += (px * weight).powi(2);
            // A turn moves the foot point against the normal by its place along the edge.
            block.add(px * weight, &[-by * *along, by], &by_camera.map(|by| by * weight));
            (least, most) = (least.min(*along), most.max(*along));
        }
        block.scatter(self.normal, self.state.layout.sides[number], self.state.layout.camera);
        Some(0.5 * (least + most))
    }

    fn lengths(&mut self, middles: &[f64]) {
        for each in &self.problem.lengths {
            let (mm, row) = length(self.problem, &self.state, middles, each.span);
            self.row(&row, mm - each.mm, each.sigma_mm);
            if let super::problem::Span::Sides(a, b) = each.span {
                let (sine, row) = skew(&self.state, a, b);
                self.row(&row, sine, PARALLEL_SIGMA_RAD);
            }
        }
    }

    fn overlays(&mut self) {
        for (number, overlay) in self.problem.overlays.iter().enumerate() {
            let (lies, at) = (self.state.overlay(number), self.state.layout.overlay(number));
            for known in &overlay.places {
                let (place, from) = (self.state.place(known.feature), self.state.layout.place(known.feature));
                let (off, by_turn) = (place - lies.apply(known.at), lies.turn(known.at - PlatePoint::default()).perp());
                for (axis, off, by_turn) in [(0, off.x, by_turn.x), (1, off.y, by_turn.y)] {
                    let mut row = Row::new();
                    row.add(from + axis, 1.0);
                    row.add(at + axis, -1.0);
                    row.add(at + 2, -by_turn);
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
        for i in 0..self.problem.breaks {
            self.prior(self.state.layout.breaks + i, BREAK_WIDTH);
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
        let (mut whitened, weight) = (Row::new(), 1.0 / sigma);
        for (at, by) in row.entries() {
            whitened.add(at, by * weight);
        }
        self.square_sum += (misfit * weight).powi(2);
        self.normal.add_row(&whitened, misfit * weight);
    }
}
