//! The adjustment and what can be asked of it.

use super::Termination;
use super::chi_square;
use super::covariance::{Covariance, Relations, Relative};
use super::evaluate::{FootPoints, Joint};
use super::factor::Factor;
use super::layout::Layout;
use super::length::{length, skew};
use super::levenberg::{FINE, Goal, Minimum, ROUGH, descend};
use super::normal::Row;
use super::overlay::known_place;
use super::problem::{Feature, Length, Problem, Span};
use super::reliability::{Reading, Reliability};
use super::rim::{Circle, side_misfit};
use super::start::starts;
use super::state::State;
use super::thinned::thinned;
use crate::camera::{CameraUnknown, RigidMove, View};
use crate::space::{PlatePoint, PlateVec};

/// Another minimum whose weighted square sum is larger by less than this fits nearly as well: at a likelihood ratio
/// of e² no one would bet on either.
const NEARLY_AS_WELL: f64 = 4.0;

pub(super) type Found = Minimum<FootPoints>;

/// An adjusted problem.
#[derive(Debug, Clone)]
pub struct Adjusted<'a> {
    problem: &'a Problem,
    layout: Layout,
    minimum: Found,
    factor: Factor,
    relative: Relative,
    other: Option<(Other, Found)>,
}

/// A second solution that fits nearly as well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Other {
    /// The hole that moves most, of those that move by more than their own uncertainty.
    pub rim: usize,
    /// By how much it moves, mm.
    pub moves_mm: f64,
}

/// Finds the unknowns of smallest weighted square sum. `None` only where the picks cannot be seen by any camera that
/// was tried.
pub fn adjust(problem: &Problem) -> Option<Adjusted<'_>> {
    let layout = Layout::of(problem);
    let few = thinned(problem);
    let model = Joint { problem: few.as_ref().unwrap_or(problem), layout: &layout };
    let rough = distinct_minima(&model, starts(model.problem, &layout).collect(), ROUGH);
    let model = Joint { problem, layout: &layout };
    let minima = distinct_minima(&model, rough.into_iter().map(|minimum| minimum.values).collect(), FINE);
    best_of(problem, layout, minima)
}

/// The same from one start, the camera as believed: for comparisons of many problems that differ little, where a second
/// minimum is of no interest.
pub fn adjust_once(problem: &Problem) -> Option<Adjusted<'_>> {
    let layout = Layout::of(problem);
    let start = starts(problem, &layout).take(1).collect();
    let minima = distinct_minima(&Joint { problem, layout: &layout }, start, FINE);
    best_of(problem, layout, minima)
}

/// The lowest of some minima with its covariance, and the next that is nearly as low.
fn best_of(problem: &Problem, layout: Layout, mut minima: Vec<Found>) -> Option<Adjusted<'_>> {
    // Sorting is stable, so that of equal minima the one from the first start is kept.
    minima.sort_by(|a, b| a.square_sum.total_cmp(&b.square_sum));
    let mut minima = minima.into_iter();
    let minimum = minima.next()?;
    let factor = Factor::of(&minimum.normal)?;
    let state = State { layout: &layout, values: &minimum.values };
    let relative = Relative::of(problem, &state, &factor);
    let other = minima
        .filter(|other| other.square_sum - minimum.square_sum < NEARLY_AS_WELL)
        .filter_map(|other| {
            let there = State { layout: &layout, values: &other.values };
            Some((largest_move(problem, &relative, &state, &there)?, other))
        })
        .max_by(|(a, _), (b, _)| a.moves_mm.total_cmp(&b.moves_mm));
    Some(Adjusted { problem, layout, minimum, factor, relative, other })
}

/// The minima that the starts lead to, each once.
fn distinct_minima(model: &Joint<'_>, starts: Vec<Vec<f64>>, goal: Goal) -> Vec<Found> {
    let mut minima: Vec<Found> = Vec::new();
    for start in starts {
        minima.extend(descend(model, start, goal, &minima));
    }
    minima
}

/// The hole that moves most between two solutions, of those that move by more than one of their own sigmas.
fn largest_move(problem: &Problem, relative: &Relative, here: &State<'_>, there: &State<'_>) -> Option<Other> {
    let kept = || (0..problem.rims.len()).filter(|rim| problem.rims[*rim].keep);
    let rims = kept().map(|rim| (here.centre(rim), there.centre(rim)));
    let spots = (0..problem.spots.len()).map(|spot| (here.spot(spot), there.spot(spot)));
    // By the same places as the uncertainties that the moves are compared with.
    let aligned = best_move(&rims.chain(spots).collect::<Vec<_>>())?;
    kept()
        .map(|rim| {
            let moves_mm = here.centre(rim).distance(aligned.apply(there.centre(rim)));
            (moves_mm / relative.covariance(Feature::Rim(rim)).major_mm(), Other { rim, moves_mm })
        })
        .filter(|(sigmas, _)| *sigmas > 1.0)
        .map(|(_, other)| other)
        .max_by(|a, b| a.moves_mm.total_cmp(&b.moves_mm))
}

/// The rigid move of the second places that brings them nearest to the first, by least squares.
pub(crate) fn best_move(pairs: &[(PlatePoint, PlatePoint)]) -> Option<RigidMove> {
    let share = 1.0 / pairs.len() as f64;
    let zero = PlateVec::default();
    let from_zero = |p: &PlatePoint| *p - PlatePoint::default();
    let (to, from) =
        pairs.iter().fold((zero, zero), |(to, from), (a, b)| (to + from_zero(a) * share, from + from_zero(b) * share));
    let (dot, cross) = pairs.iter().fold((0.0, 0.0), |(dot, cross), (a, b)| {
        let (a, b) = (from_zero(a) - to, from_zero(b) - from);
        (dot + b.dot(a), cross + b.cross(a))
    });
    let turn = RigidMove::new(cross.atan2(dot), zero);
    let shift = to - turn.turn(from);
    (!pairs.is_empty()).then(|| RigidMove::new(turn.angle_rad(), shift))
}

impl Adjusted<'_> {
    pub(super) fn state(&self) -> State<'_> {
        State { layout: &self.layout, values: &self.minimum.values }
    }

    pub(super) fn layout(&self) -> &Layout {
        &self.layout
    }

    pub(super) fn values(&self) -> &[f64] {
        &self.minimum.values
    }

    pub(super) fn factor(&self) -> &Factor {
        &self.factor
    }

    /// The covariance of all unknowns.
    pub(super) fn covariance(&self) -> Covariance {
        Covariance { size: self.layout.size, entries: self.factor.inverse() }
    }

    /// Covariances of some holes after the best rigid move with every unknown.
    pub(super) fn relations(&self, covariance: &Covariance, rims: &[usize]) -> Relations {
        Relations::of(self.problem, &self.state(), covariance, rims)
    }

    /// What was adjusted.
    pub fn problem(&self) -> &Problem {
        self.problem
    }

    /// The camera.
    pub fn view(&self) -> View {
        self.state().view()
    }

    /// A hole's centre.
    pub fn centre(&self, rim: usize) -> PlatePoint {
        self.state().centre(rim)
    }

    /// Radius of the rim that is seen, mm.
    pub fn rim_radius(&self, rim: usize) -> f64 {
        self.state().rim_radius(rim)
    }

    /// Radius of the bore that jaws touch, mm.
    pub fn bore_radius(&self, rim: usize) -> f64 {
        self.state().bore_radius(self.problem, rim)
    }

    /// A named point's place.
    pub fn spot(&self, spot: usize) -> PlatePoint {
        self.state().spot(spot)
    }

    /// How the search ended.
    pub fn termination(&self) -> Termination {
        self.minimum.termination
    }

    /// Weighted square sum of all misfits, without the scatter of measured points about the curve that they settle.
    ///
    /// Their standard deviations come from that scatter, so that it tests nothing; but they are so many that what little
    /// it is off would hide what everything else has to say.
    pub fn square_sum(&self) -> f64 {
        (self.minimum.square_sum - self.minimum.guess.scatter).max(0.0)
    }

    /// Observations and beliefs less unknowns. The measured points of a rim count as three, the unknowns that they settle,
    /// those of a straight edge as two.
    pub fn dof(&self) -> usize {
        self.problem.observations_tested().saturating_sub(self.layout.size)
    }

    /// Chance of a larger square sum if every stated standard deviation is right; `None` without redundancy.
    pub fn p_value(&self) -> Option<f64> {
        (self.dof() > 0).then(|| chi_square::survival(self.square_sum(), self.dof()))
    }

    /// A second solution that fits nearly as well and moves a hole by more than its uncertainty.
    pub fn other(&self) -> Option<Other> {
        self.other.as_ref().map(|(other, _)| *other)
    }

    /// A span in that second solution, mm; `None` where there is none.
    pub(super) fn length_in_other(&self, span: Span) -> Option<f64> {
        let (_, minimum) = self.other.as_ref()?;
        let state = State { layout: &self.layout, values: &minimum.values };
        Some(length(self.problem, &state, &minimum.guess.middles, span).0)
    }

    /// Covariances after the best rigid move.
    pub fn relative(&self) -> &Relative {
        &self.relative
    }

    /// Standard deviation of one of the camera's unknowns.
    pub fn camera_sigma(&self, unknown: CameraUnknown) -> f64 {
        let mut row = Row::new();
        row.add(self.layout.camera + unknown as usize, 1.0);
        self.sigma(&row)
    }

    /// Standard deviation of the tilt (angle between the optical axis and the face's normal), radians, by its
    /// derivatives; where the tilt is zero and has none, the mean of both turns.
    pub fn tilt_sigma_rad(&self) -> f64 {
        let pose = *self.view().pose();
        let (a, b) = (pose.tilt_a_rad, pose.tilt_b_rad);
        let (by_a, by_b) = (a.sin() * b.cos(), a.cos() * b.sin());
        let sine = pose.tilt_rad().sin();
        let at = self.layout.camera;
        let [at_a, at_b] = [at + CameraUnknown::TiltA as usize, at + CameraUnknown::TiltB as usize];
        if sine < 1e-9 {
            let sigma = self.camera_sigma(CameraUnknown::TiltA).hypot(self.camera_sigma(CameraUnknown::TiltB));
            return sigma * std::f64::consts::FRAC_1_SQRT_2;
        }
        let mut row = Row::new();
        row.add(at_a, by_a / sine);
        row.add(at_b, by_b / sine);
        self.sigma(&row)
    }

    /// How far each of a hole's picks lies outside (+) or inside (-) its rim, px; a pick that is not seen is left out.
    pub fn rim_misfits_px(&self, rim: usize) -> Vec<f64> {
        let (state, view) = (self.state(), self.view());
        let circle = Circle { centre: state.centre(rim), radius: state.rim_radius(rim) };
        self.problem.rims[rim].picks.iter().filter_map(|pick| circle.misfit_px(&view, *pick)).collect()
    }

    /// Where a straight edge's outermost picks lie, brought square on to its line; `None` where they are not on the face.
    pub fn side_ends(&self, side: usize) -> Option<[PlatePoint; 2]> {
        let ((normal, offset), view) = (self.state().side(side), self.view());
        let along: Option<Vec<f64>> = self.problem.sides[side]
            .picks
            .iter()
            .map(|pick| Some(normal.perp().dot(view.back_project(*pick)? - PlatePoint::default())))
            .collect();
        let (least, most) = along?
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), along| (least.min(*along), most.max(*along)));
        let place = |along: f64| PlatePoint::default() + normal * offset + normal.perp() * along;
        least.is_finite().then(|| [place(least), place(most)])
    }

    /// Root mean square of a straight edge's picks from its line, px.
    pub fn side_rms_px(&self, side: usize) -> Option<f64> {
        let ((normal, offset), view) = (self.state().side(side), self.view());
        let picks = &self.problem.sides[side].picks;
        let misfits: Option<Vec<f64>> = picks
            .iter()
            .map(|pick| {
                let mut along = normal.perp().dot(view.back_project(*pick)? - PlatePoint::default());
                Some(side_misfit(&view, normal, offset, *pick, &mut along)?.px)
            })
            .collect();
        Some((misfits?.iter().map(|px| px * px).sum::<f64>() / picks.len().max(1) as f64).sqrt())
    }

    fn feet(&self) -> &FootPoints {
        &self.minimum.guess
    }

    pub(super) fn length(&self, span: Span) -> (f64, Row) {
        length(self.problem, &self.state(), &self.feet().middles, span)
    }

    /// The sine of the angle between two straight edges.
    pub(super) fn skew(&self, a: usize, b: usize) -> f64 {
        skew(&self.state(), a, b).0
    }

    fn sigma(&self, row: &Row) -> f64 {
        self.factor.variance(row).sqrt()
    }

    /// What the fit makes of a length, mm, and its standard deviation.
    pub fn fitted_length(&self, span: Span) -> (f64, f64) {
        let (mm, row) = self.length(span);
        (mm, self.sigma(&row))
    }

    /// How much the lengths and known places check each other.
    pub fn reliability(&self) -> Reliability {
        let length = |each: &Length| {
            let (mm, row) = self.length(each.span);
            Reading { row, off_mm: each.mm - mm, sigma_mm: each.sigma_mm }
        };
        let mut readings: Vec<Reading> = self.problem.lengths.iter().map(length).collect();
        let state = self.state();
        for (number, overlay) in self.problem.overlays.iter().enumerate() {
            for known in &overlay.places {
                let rows = known_place(&state, number, known);
                readings.extend(rows.map(|(off, row)| Reading { row, off_mm: -off, sigma_mm: known.sigma_mm }));
            }
        }
        Reliability::of(&readings, self.problem.lengths.len(), &self.factor)
    }
}
