//! The rigid move that brings all holes best over their fasteners, with proof.
//!
//! Hole i is off by `v_i = e_i + t + r a_i` after a shift t and a turn r, where `a_i` is its arm: how it moves per unit
//! of turn. Sought is the smallest level `l` with `|v_i| <= l + c_i` for all: a second-order cone program in four unknowns,
//! solved by the primal-dual interior-point method with Nesterov and Todd's scaling and Mehrotra's corrector (Alizadeh and
//! Goldfarb 2003).
//!
//! Its dual has a meaning on the bench: forces `f_i` at the holes that hold each other in balance (no resultant, no
//! moment), of sum of sizes one. No rigid move does work against them, so no move gets the level below
//! `sum(f_i · e_i - c_i |f_i|)`. Every step here keeps such forces, so every step has both an upper and a lower bound.

use super::cone::{Scaling, Vec3, add, determinant, dot, inverse_of_longest_step, length, product, quotient};

/// One hole over its fastener.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Ring {
    /// What it is off by, mm.
    pub(super) off: [f64; 2],
    /// How it moves per unit of turn.
    pub(super) arm: [f64; 2],
    /// How far it may be off, mm.
    pub(super) play: f64,
}

impl Ring {
    /// What it is off by after a move.
    pub(super) fn moved(&self, [x, y, turn]: Vec3) -> [f64; 2] {
        [self.off[0] + x + turn * self.arm[0], self.off[1] + y + turn * self.arm[1]]
    }

    /// Off minus play after a move: positive where it does not go on.
    pub(super) fn excess(&self, by: Vec3) -> f64 {
        let [x, y] = self.moved(by);
        length(x, y) - self.play
    }
}

/// The largest excess after a move; minus infinity for no rings.
pub(super) fn worst(rings: &[Ring], by: Vec3) -> f64 {
    rings.iter().map(|ring| ring.excess(by)).fold(f64::NEG_INFINITY, f64::max)
}

/// The move of least square sum.
pub(super) fn least_squares(rings: &[Ring]) -> Vec3 {
    let share = 1.0 / rings.len() as f64;
    let (mut off, mut arm) = ([0.0; 2], [0.0; 2]);
    for ring in rings {
        for k in 0..2 {
            off[k] += share * ring.off[k];
            arm[k] += share * ring.arm[k];
        }
    }
    let (mut along, mut square) = (0.0, 0.0);
    for ring in rings {
        let from_mean = [ring.arm[0] - arm[0], ring.arm[1] - arm[1]];
        along -= from_mean[0] * ring.off[0] + from_mean[1] * ring.off[1];
        square += from_mean[0] * from_mean[0] + from_mean[1] * from_mean[1];
    }
    let turn = if square > 0.0 { along / square } else { 0.0 };
    [-off[0] - turn * arm[0], -off[1] - turn * arm[1], turn]
}

/// What the largest excess of the best move lies between.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bracket {
    /// The best move found.
    pub(super) by: Vec3,
    /// The largest excess after it.
    pub(super) upper: f64,
    /// No move has a smaller one.
    pub(super) lower: f64,
}

/// A ring in the course of the search.
#[derive(Debug, Clone, Copy, Default)]
struct Cone {
    ring: Ring,
    /// Level plus play, and what it is off by: how far the ring is from standing in the way.
    slack: Vec3,
    /// Size and direction of the force; the direction is that of the slack's, turned round.
    force: Vec3,
    /// Determinants of the two, positive inside.
    inside: [f64; 2],
    scaling: Scaling,
    scaled: Vec3,
    /// What the scaled steps have to come to together.
    aim: Vec3,
    slack_step: Vec3,
    force_step: Vec3,
}

/// Rounds of the search; seven or eight are usual, and each closes most of what is open.
const MAX_ROUNDS: usize = 60;

/// How near a step goes to the rim of a cone, as a share.
const NEAR_RIM: f64 = 0.99;

/// A pivot below this share of its diagonal is rounding: the holes have no say on that unknown.
const NO_PIVOT: f64 = 1e-14;

/// The search, with what it needs to keep so that many can follow each other without allocation.
#[derive(Debug, Default)]
pub(super) struct Search {
    cones: Vec<Cone>,
}

impl Search {
    /// Searches from the least-squares move `start` of these rings until `is_enough` of what has been found, or until nothing gets better.
    pub(super) fn run(&mut self, rings: &[Ring], start: Vec3, is_enough: impl Fn(&Bracket) -> bool) -> Bracket {
        let mut at = [start[0], start[1], start[2], self.begin(rings, start)];
        let mut found = Bracket { by: start, upper: worst(rings, start), lower: self.lower() };
        let mut open = self.open();
        for _ in 0..MAX_ROUNDS {
            if is_enough(&found) {
                break;
            }
            let Some(step) = self.step() else { break };
            for (unknown, by) in at.iter_mut().zip(step) {
                *unknown += by;
            }
            let by = [at[0], at[1], at[2]];
            // The slacks follow the unknowns, so that rounding does not pile up.
            let mut is_sound = true;
            for cone in &mut self.cones {
                let [x, y] = cone.ring.moved(by);
                cone.slack = [at[3] + cone.ring.play, x, y];
                cone.inside = [determinant(cone.slack), determinant(cone.force)];
                is_sound &=
                    cone.slack[0] > 0.0 && cone.force[0] > 0.0 && cone.inside.iter().all(|inside| *inside > 0.0);
            }
            let upper = worst(rings, by);
            if upper < found.upper {
                (found.by, found.upper) = (by, upper);
            }
            found.lower = found.lower.max(self.lower());
            let still_open = self.open();
            if !is_sound || still_open >= open {
                break;
            }
            open = still_open;
        }
        found
    }

    /// The share of the forces that each ring carries at the end of the last search; they come to one.
    pub(super) fn forces(&self) -> impl Iterator<Item = f64> {
        self.cones.iter().map(|cone| cone.force[0])
    }

    /// Slacks and forces well inside their cones, and the level. What is off after least squares is in balance like
    /// forces, so that it makes forces to begin with.
    fn begin(&mut self, rings: &[Ring], start: Vec3) -> f64 {
        let largest = rings.iter().fold(0.0, |most: f64, ring| {
            let [x, y] = ring.moved(start);
            most.max(length(x, y))
        });
        let level = worst(rings, start) + 0.5 * largest.max(f64::MIN_POSITIVE);
        let share = 1.0 / rings.len() as f64;
        let by = if largest > 0.0 { share / (1.5 * largest) } else { 0.0 };
        self.cones.clear();
        self.cones.extend(rings.iter().map(|ring| {
            let [x, y] = ring.moved(start);
            let (slack, force) = ([level + ring.play, x, y], [share, -by * x, -by * y]);
            let inside = [determinant(slack), determinant(force)];
            Cone { ring: *ring, slack, force, inside, ..Cone::default() }
        }));
        level
    }

    /// What lies between the level and the bound by the forces, mm.
    fn open(&self) -> f64 {
        self.cones.iter().map(|cone| dot(cone.slack, cone.force)).sum()
    }

    /// What no move gets below, by the forces at hand; they are in balance but for rounding.
    fn lower(&self) -> f64 {
        let (mut work, mut sum) = (0.0, 0.0);
        for Cone { ring, force, .. } in &self.cones {
            work -= ring.off[0] * force[1] + ring.off[1] * force[2] + ring.play * force[0];
            sum += force[0];
        }
        work / sum
    }

    /// One step with predictor and corrector; it moves the forces and gives the step of the unknowns. `None` where
    /// rounding leaves no direction.
    fn step(&mut self) -> Option<[f64; 4]> {
        let share = 1.0 / self.cones.len() as f64;
        let mut normal = [[0.0; 4]; 4];
        let (mean_open, mut imbalance) = (self.open() * share, [0.0, 0.0, 0.0, 1.0]);
        for cone in &mut self.cones {
            let [slack_size, force_size] = cone.inside.map(f64::sqrt);
            cone.scaling = Scaling::of(cone.slack, slack_size, cone.force, force_size);
            cone.scaled = cone.scaling.times(cone.force);
            cone.aim = cone.scaled.map(|x| -x);
            add_square(&mut normal, &cone.scaling.inverse_square(), cone.ring.arm);
            add_transposed(&mut imbalance, cone.force, cone.ring.arm, -1.0);
        }
        let factor = factor(normal)?;

        // The predictor aims at no gap at all. Its right side, forces and their imbalance, is (0, 0, 0, -1).
        let predicted = solve(&factor, [0.0, 0.0, 0.0, -1.0]);
        let reach = self.directions(predicted).min(1.0);
        let short = 1.0 - reach;
        let aimed = mean_open * short * short * short;

        // The corrector aims at a smaller gap, the same for all, and undoes what the predictor's product left over.
        let mut right = imbalance.map(|x| -x);
        for cone in &mut self.cones {
            let left = product(cone.scaling.divide(cone.slack_step), cone.scaling.times(cone.force_step));
            let size = (cone.inside[0] * cone.inside[1]).sqrt();
            let aim = quotient(cone.scaled, size, [aimed - left[0], -left[1], -left[2]]);
            cone.aim = add(aim, cone.scaled, -1.0);
            add_transposed(&mut right, cone.scaling.divide(cone.aim), cone.ring.arm, 1.0);
        }
        let step = solve(&factor, right);
        let length = (NEAR_RIM * self.directions(step)).min(1.0);
        if !(length > 0.0 && step.iter().all(|x| x.is_finite())) {
            return None;
        }
        for cone in &mut self.cones {
            cone.force = add(cone.force, cone.force_step, length);
        }
        Some(step.map(|x| x * length))
    }

    /// Sets the steps of slacks and forces that go with a step of the unknowns; gives the longest share of them that stays
    /// in all cones.
    fn directions(&mut self, step: [f64; 4]) -> f64 {
        let mut inverse: f64 = 0.0;
        for cone in &mut self.cones {
            let arm = cone.ring.arm;
            cone.slack_step = [step[3], step[0] + step[2] * arm[0], step[1] + step[2] * arm[1]];
            cone.force_step = cone.scaling.divide(add(cone.aim, cone.scaling.divide(cone.slack_step), -1.0));
            let [slack, force] = cone.inside;
            inverse = inverse.max(inverse_of_longest_step(cone.slack, slack, cone.slack_step));
            inverse = inverse.max(inverse_of_longest_step(cone.force, force, cone.force_step));
        }
        1.0 / inverse
    }
}

/// Adds `factor B' a`, where B takes (x, y, turn, level) to the slack of a ring with this arm.
fn add_transposed(sum: &mut [f64; 4], a: Vec3, arm: [f64; 2], factor: f64) {
    sum[0] += factor * a[1];
    sum[1] += factor * a[2];
    sum[2] += factor * (a[1] * arm[0] + a[2] * arm[1]);
    sum[3] += factor * a[0];
}

/// Adds `B' M B` for a symmetric M, below the diagonal only.
fn add_square(sum: &mut [[f64; 4]; 4], m: &[Vec3; 3], arm: [f64; 2]) {
    // M B has the columns M1, M2, M·(0, arm) and M0.
    let turned: Vec3 = std::array::from_fn(|i| m[i][1] * arm[0] + m[i][2] * arm[1]);
    sum[0][0] += m[1][1];
    sum[1][0] += m[2][1];
    sum[1][1] += m[2][2];
    sum[2][0] += turned[1];
    sum[2][1] += turned[2];
    sum[2][2] += turned[1] * arm[0] + turned[2] * arm[1];
    sum[3][0] += m[0][1];
    sum[3][1] += m[0][2];
    sum[3][2] += turned[0];
    sum[3][3] += m[0][0];
}

/// Cholesky's factor; a row without a pivot of its own is left zero, and its unknown stays where it is. `None` for what
/// is not finite.
fn factor(mut a: [[f64; 4]; 4]) -> Option<[[f64; 4]; 4]> {
    for i in 0..4 {
        for j in 0..i {
            let above: f64 = (0..j).map(|k| a[i][k] * a[j][k]).sum();
            a[i][j] = if a[j][j] > 0.0 { (a[i][j] - above) / a[j][j] } else { 0.0 };
        }
        let diagonal = a[i][i];
        let pivot = diagonal - (0..i).map(|k| a[i][k] * a[i][k]).sum::<f64>();
        if !pivot.is_finite() {
            return None;
        }
        a[i][i] = if pivot > NO_PIVOT * diagonal { pivot.sqrt() } else { 0.0 };
    }
    Some(a)
}

fn solve(l: &[[f64; 4]; 4], mut x: [f64; 4]) -> [f64; 4] {
    let divided = |value: f64, pivot: f64| if pivot > 0.0 { value / pivot } else { 0.0 };
    for i in 0..4 {
        let known: f64 = (0..i).map(|k| l[i][k] * x[k]).sum();
        x[i] = divided(x[i] - known, l[i][i]);
    }
    for i in (0..4).rev() {
        let known: f64 = (i + 1..4).map(|k| l[k][i] * x[k]).sum();
        x[i] = divided(x[i] - known, l[i][i]);
    }
    x
}
