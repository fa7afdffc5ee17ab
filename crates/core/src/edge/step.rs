//! Blurred steps, fitted to the light across an edge.
//!
//! One step between two even levels, blurred by a Gaussian, is `inside + rise * Phi((off - at) / blur)` in each channel,
//! with `at` and `blur` the same in all. Where the wall of a hole or a broken edge shows, there are two: ground, wall,
//! face. The ground in a hole lies in its own shade, and the darker the nearer to the foot of the wall: where a place is
//! measured its level may slope. The levels enter linearly and are eliminated (variable projection, Golub and Pereyra 1973,
//! in Kaufman's form of 1975); what is left is a Gauss-Newton search for one or two distances.

use super::picture::Light;
use super::profile::{Bin, Profile};
use super::second::Within;

/// Where a step is and what it is like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Step {
    /// Distance from the curve, px, towards the face.
    pub(super) off_px: f64,
    /// Standard deviation of the distance from the noise alone, px (Cramér-Rao, with the levels unknown as well).
    pub(super) sigma_px: f64,
    /// Light towards the face less light away from it, by channels.
    pub(super) rise: Light,
}

impl Step {
    /// The size of the rise in all channels together.
    pub(super) fn size(&self) -> f64 {
        self.rise.iter().map(|rise| rise * rise).sum::<f64>().sqrt()
    }
}

/// Brightness and colour: groups of channels with a blur of their own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Channels {
    /// Brightness alone.
    Brightness,
    /// The two colours alone.
    Colour,
    /// All; the colours with their own blur, px.
    All { colour_blur_px: f64 },
}

impl Channels {
    /// The numbers of the channels that count.
    pub(super) fn numbers(self) -> std::ops::Range<usize> {
        match self {
            Self::Brightness => 0..1,
            Self::Colour => 1..3,
            Self::All { .. } => 0..3,
        }
    }
}

/// A fit to one profile.
#[derive(Debug, Clone, Copy)]
pub(super) struct StepFit {
    /// The step nearest the face first.
    pub(super) steps: [Option<Step>; 2],
    /// Standard deviation of the Gaussian blur, px.
    pub(super) blur_px: f64,
    /// How well the fit settles the blur, as a share of it; zero where it was given.
    pub(super) blur_sigma_share: f64,
    /// Variance of one pixel's light about the fit, mean of the channels.
    pub(super) variance: f64,
    /// The inner step was looked for where it is known to be.
    pub(super) is_known: bool,
    /// Square sum over bins and channels, weighted by pixels.
    square_sum: f64,
}

/// Rounds of a fit; four are usual.
const MAX_ROUNDS: usize = 10;

/// A step that moves by less than this in a round is found, px.
const FOUND_PX: f64 = 2e-3;

/// The farthest that a step moves in one round, px.
const LARGEST_MOVE_PX: f64 = 1.0;

/// Two steps are nearer than this many blurs only where the noise makes them so.
const APART_BLURS: f64 = 1.0;

/// A second step is believed where it takes away more than this many variances of the square sum. It has four unknowns
/// and some places to choose from; chance alone takes away 20 once in a few hundred profiles.
const BELIEVED: f64 = 20.0;

/// Standard normal distribution and its density at z. The approximation is Hastings' (Abramowitz and Stegun 7.1.26,
/// within 1.5e-7), which shares its exponential with the density.
pub(super) fn normal(z: f64) -> (f64, f64) {
    let bell = (-0.5 * z * z).exp();
    let t = 1.0 / (1.0 + 0.327_591_1 * std::f64::consts::FRAC_1_SQRT_2 * z.abs());
    let tail = 0.5
        * bell
        * t
        * (0.254_829_592 + t * (-0.284_496_736 + t * (1.421_413_741 + t * (-1.453_152_027 + t * 1.061_405_429))));
    let below = if z > 0.0 { 1.0 - tail } else { tail };
    (below, bell * 0.398_942_280_401_432_7)
}

/// What of a model is linear: an even level, one blurred step or two, at some distances, and the slope of the ground.
const LEVELS: usize = 4;

/// What is searched for: two distances, or a distance and the blur's logarithm.
const PLACES: usize = 2;

/// How far apart two steps are known to be beforehand.
#[derive(Debug, Clone, Copy)]
struct Apart {
    px: f64,
    /// What a deviation from it counts, squared, against the square sum.
    weight: f64,
}

/// A model of the light across an edge at given places.
#[derive(Debug, Clone, Copy)]
enum Model {
    /// One step: its distance.
    One { at: f64, blur: f64 },
    /// One step: its distance and the logarithm of its blur.
    OneOfAnyBlur { at: f64, ln_blur: f64 },
    /// Two steps: the distances of the outer and the inner, and what is known of the way between.
    Two { outer: f64, inner: f64, blur: f64, known: Option<Apart> },
}

impl Model {
    /// How many levels and places it has.
    const fn counts(&self) -> (usize, usize) {
        match self {
            Self::One { .. } => (2, 1),
            Self::OneOfAnyBlur { .. } => (2, 2),
            Self::Two { .. } => (3, 2),
        }
    }

    /// Which level the derivative by each place is multiplied with.
    const fn level_of(&self, place: usize) -> usize {
        match self {
            Self::Two { .. } => 1 + place,
            _ => 1,
        }
    }

    /// The same places with another blur.
    const fn blurred(self, blur: f64) -> Self {
        match self {
            Self::One { at, .. } => Self::One { at, blur },
            Self::OneOfAnyBlur { .. } => self,
            Self::Two { outer, inner, known, .. } => Self::Two { outer, inner, blur, known },
        }
    }

    /// Where the ground begins, px.
    const fn foot_px(&self) -> f64 {
        match self {
            Self::One { at, .. } | Self::OneOfAnyBlur { at, .. } => *at,
            Self::Two { inner, .. } => *inner,
        }
    }

    fn moved(self, step: [f64; PLACES]) -> Self {
        let [a, b] = step.map(|change| change.clamp(-LARGEST_MOVE_PX, LARGEST_MOVE_PX));
        match self {
            Self::One { at, blur } => Self::One { at: at + a, blur },
            Self::OneOfAnyBlur { at, ln_blur } => {
                Self::OneOfAnyBlur { at: at + a, ln_blur: (ln_blur + b).clamp(-3.0, 3.0) }
            }
            Self::Two { outer, inner, blur, known } => Self::Two { outer: outer + a, inner: inner + b, blur, known },
        }
    }
}

/// Light beside an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ground {
    /// Of one level: where it is asked how many steps there are, a slope would explain away what a second one shows.
    Even,
    /// Growing lighter or darker away from the foot of the edge.
    Sloping,
}

/// How much the ground's light changes a px beforehand, in standard deviations of one pixel's light: in the shade of a hole it
/// does by half as much to twice as much. Rims and outlines of the rendered photos come out alike from 0.7 to 1.4.
const SLOPE: f64 = 1.0;

/// The light of the ground away from the foot of an edge, less that at the foot, for a slope of one.
#[derive(Debug, Clone, Copy)]
struct Ramp {
    /// Where the ground begins, px. It stays where a fit begins: what a few tenths of a px change is nothing against the slope.
    foot_px: f64,
}

impl Ramp {
    /// What a slope of one counts, squared, against the square sum.
    const WEIGHT: f64 = 1.0 / (SLOPE * SLOPE);

    fn of(ground: Ground, model: &Model) -> Option<Self> {
        (ground == Ground::Sloping).then(|| Self { foot_px: model.foot_px() })
    }

    /// At a distance, blurred: what is left of `min(off, 0)` under a Gaussian.
    fn light(self, off: f64, blur: f64) -> f64 {
        let z = (off - self.foot_px) / blur;
        let (below, density) = normal(z);
        blur * (z * (1.0 - below) - density)
    }
}

/// A model with its levels solved for.
struct Solved {
    square_sum: f64,
    /// Levels by channels.
    levels: [Light; LEVELS],
    /// Normal matrix of the places, the levels eliminated.
    matrix: [[f64; PLACES]; PLACES],
    gradient: [f64; PLACES],
}

/// Solves for the levels of the channels and gives the normal equations of the places; `None` where the bins do not
/// settle the levels.
fn solve(bins: &[Bin], model: &Model, ramp: Option<Ramp>, channels: Channels) -> Option<Solved> {
    let mut solved = solve_channels(bins, model, ramp, channels)?;
    if let Model::Two { outer, inner, known: Some(Apart { px, weight }), .. } = *model {
        let off = outer - inner - px;
        solved.square_sum += weight * off * off;
        for (k, sign) in [1.0, -1.0].into_iter().enumerate() {
            solved.gradient[k] -= sign * weight * off;
            solved.matrix[k][k] += weight;
            solved.matrix[k][1 - k] -= weight;
        }
    }
    Some(solved)
}

/// [`solve`] by the bins alone.
fn solve_channels(bins: &[Bin], model: &Model, ramp: Option<Ramp>, channels: Channels) -> Option<Solved> {
    match channels {
        Channels::Brightness => solve_group::<0, 1>(bins, model, ramp),
        Channels::Colour => solve_group::<1, 2>(bins, model, ramp),
        Channels::All { colour_blur_px } => {
            let mut all = solve_group::<0, 1>(bins, model, ramp)?;
            let colour = solve_group::<1, 2>(bins, &model.blurred(colour_blur_px), ramp)?;
            all.square_sum += colour.square_sum;
            for k in 0..PLACES {
                all.gradient[k] += colour.gradient[k];
                for l in 0..PLACES {
                    all.matrix[k][l] += colour.matrix[k][l];
                }
            }
            for (level, other) in all.levels.iter_mut().zip(colour.levels) {
                (level[1], level[2]) = (other[1], other[2]);
            }
            Some(all)
        }
    }
}

/// [`solve`] for the `N` channels from number `FIRST` on, which share one blur.
fn solve_group<const FIRST: usize, const N: usize>(bins: &[Bin], model: &Model, ramp: Option<Ramp>) -> Option<Solved> {
    match *model {
        Model::One { at, blur } => {
            let columns = |off: f64| {
                let (below, density) = normal((off - at) / blur);
                ([1.0, below], [-density / blur])
            };
            let Some(ramp) = ramp else { return solve_sized::<FIRST, N, 2, 1>(bins, model, 0.0, columns) };
            solve_sized::<FIRST, N, 3, 1>(bins, model, Ramp::WEIGHT, |off| {
                let ([even, step], slopes) = columns(off);
                ([even, step, ramp.light(off, blur)], slopes)
            })
        }
        Model::OneOfAnyBlur { at, ln_blur } => {
            let blur = ln_blur.exp();
            solve_sized::<FIRST, N, 2, 2>(bins, model, 0.0, |off| {
                let z = (off - at) / blur;
                let (below, density) = normal(z);
                ([1.0, below], [-density / blur, -density * z])
            })
        }
        Model::Two { outer, inner, blur, .. } => {
            let columns = |off: f64| {
                let (below_outer, density_outer) = normal((off - outer) / blur);
                let (below_inner, density_inner) = normal((off - inner) / blur);
                ([1.0, below_outer, below_inner], [-density_outer / blur, -density_inner / blur])
            };
            let Some(ramp) = ramp else { return solve_sized::<FIRST, N, 3, 2>(bins, model, 0.0, columns) };
            solve_sized::<FIRST, N, 4, 2>(bins, model, Ramp::WEIGHT, |off| {
                let ([even, outer, inner], slopes) = columns(off);
                ([even, outer, inner, ramp.light(off, blur)], slopes)
            })
        }
    }
}

/// [`solve_group`] for a model of `L` levels and `P` places; `columns` gives the columns of the levels and the derivatives of
/// the steps by the places, at a distance, and `last_weight` is what the last level's square counts. Sizes that are known
/// beforehand make this loop, the room's innermost, twice as fast.
fn solve_sized<const FIRST: usize, const N: usize, const L: usize, const P: usize>(
    bins: &[Bin],
    model: &Model,
    last_weight: f64,
    columns: impl Fn(f64) -> ([f64; L], [f64; P]),
) -> Option<Solved> {
    let (mut normal, mut right) = ([[0.0; L]; L], [[0.0; N]; L]);
    let (mut cross, mut by_light) = ([[0.0; P]; L], [[0.0; N]; P]);
    let mut own = [[0.0; P]; P];
    let mut light_squares = 0.0;
    for bin in bins {
        let (columns, slopes) = columns(bin.off_px);
        let light: [f64; N] = std::array::from_fn(|c| bin.light[FIRST + c]);
        for i in 0..L {
            let weighted = bin.count * columns[i];
            for j in 0..=i {
                normal[i][j] += weighted * columns[j];
            }
            for k in 0..P {
                cross[i][k] += weighted * slopes[k];
            }
            for (sum, light) in right[i].iter_mut().zip(light) {
                *sum += weighted * light;
            }
        }
        for k in 0..P {
            let weighted = bin.count * slopes[k];
            for l in 0..=k {
                own[k][l] += weighted * slopes[l];
            }
            for (sum, light) in by_light[k].iter_mut().zip(light) {
                *sum += weighted * light;
            }
        }
        light_squares += bin.count * light.iter().map(|light| light * light).sum::<f64>();
    }
    normal[L - 1][L - 1] += last_weight;
    let lower = cholesky(normal)?;
    let solved = solve_columns(&lower, right);
    let projected = solve_columns(&lower, cross);
    let explained: f64 =
        (0..L).flat_map(|i| (0..N).map(move |c| (i, c))).map(|(i, c)| solved[i][c] * right[i][c]).sum();
    let (mut matrix, mut gradient) = ([[0.0; PLACES]; PLACES], [0.0; PLACES]);
    for k in 0..P {
        let rise = solved[model.level_of(k)];
        for l in 0..=k {
            let beside = solved[model.level_of(l)];
            let both: f64 = (0..N).map(|c| rise[c] * beside[c]).sum();
            let taken: f64 = (0..L).map(|i| cross[i][k] * projected[i][l]).sum();
            matrix[k][l] = both * (own[k][l] - taken);
            matrix[l][k] = matrix[k][l];
        }
        for c in 0..N {
            let taken: f64 = (0..L).map(|i| cross[i][k] * solved[i][c]).sum();
            gradient[k] += rise[c] * (by_light[k][c] - taken);
        }
    }
    let mut all = [[0.0; 3]; LEVELS];
    for (all, solved) in all.iter_mut().zip(solved) {
        all[FIRST..FIRST + N].copy_from_slice(&solved);
    }
    Some(Solved { square_sum: (light_squares - explained).max(0.0), levels: all, matrix, gradient })
}

/// The lower triangle whose product with its transpose is `matrix`; `None` where there is none.
fn cholesky<const L: usize>(mut matrix: [[f64; L]; L]) -> Option<[[f64; L]; L]> {
    for i in 0..L {
        for j in 0..=i {
            let taken: f64 = (0..j).map(|k| matrix[i][k] * matrix[j][k]).sum();
            let left = matrix[i][j] - taken;
            // Columns that are alike to a millionth settle no levels.
            if i == j && left <= 1e-6 * matrix[i][i] {
                return None;
            }
            matrix[i][j] = if i == j { left.sqrt() } else { left / matrix[j][j] };
        }
    }
    Some(matrix)
}

/// Solves for each column of the right-hand sides, in place.
fn solve_columns<const L: usize, const M: usize>(lower: &[[f64; L]; L], mut right: [[f64; M]; L]) -> [[f64; M]; L] {
    for i in 0..L {
        for k in 0..i {
            let (above, row) = (right[k], &mut right[i]);
            row.iter_mut().zip(above).for_each(|(value, above)| *value -= lower[i][k] * above);
        }
        right[i].iter_mut().for_each(|value| *value /= lower[i][i]);
    }
    for i in (0..L).rev() {
        for k in i + 1..L {
            let (below, row) = (right[k], &mut right[i]);
            row.iter_mut().zip(below).for_each(|(value, below)| *value -= lower[k][i] * below);
        }
        right[i].iter_mut().for_each(|value| *value /= lower[i][i]);
    }
    right
}

/// Inverse of the places' normal matrix; `None` where they are not settled.
fn inverse(matrix: &[[f64; PLACES]; PLACES], places: usize, damping: f64) -> Option<[[f64; PLACES]; PLACES]> {
    let (a, b) = (matrix[0][0] * (1.0 + damping), matrix[1][0]);
    let c = if places == 2 { matrix[1][1] * (1.0 + damping) } else { 1.0 };
    let determinant = a * c - b * b;
    let settled = a > 0.0 && c > 0.0 && determinant > 1e-9 * a * c;
    settled.then(|| [[c / determinant, -b / determinant], [-b / determinant, a / determinant]])
}

/// A fitted model.
struct Fitted {
    model: Model,
    solved: Solved,
    cofactor: [f64; PLACES],
    /// Values beyond the unknowns.
    spare: f64,
}

/// Searches for the places from those of `model`, by Levenberg and Marquardt's method.
fn fit(profile: &Profile, mut model: Model, channels: Channels, ground: Ground) -> Option<Fitted> {
    let bins = profile.bins();
    let (levels, places) = model.counts();
    let ramp = Ramp::of(ground, &model);
    let mut solved = solve(bins, &model, ramp, channels)?;
    let mut damping = 1e-3;
    for _ in 0..MAX_ROUNDS {
        let by = inverse(&solved.matrix, places, damping)?;
        let step = by.map(|row| row[0] * solved.gradient[0] + row[1] * solved.gradient[1]);
        let next_model = model.moved(step);
        match solve(bins, &next_model, ramp, channels) {
            Some(next) if next.square_sum <= solved.square_sum * (1.0 + 1e-9) => {
                (model, solved) = (next_model, next);
                damping *= 0.1;
            }
            _ => damping *= 10.0,
        }
        if step.iter().all(|change| change.abs() < FOUND_PX) {
            break;
        }
    }
    let by = inverse(&solved.matrix, places, 0.0)?;
    // Each channel has its own levels; the places are common. A slope counts as none: what is known of it is a value as well.
    let spare = channels.numbers().len() as f64 * (bins.len() as f64 - levels as f64) - places as f64;
    (spare > 0.0).then_some(Fitted { model, solved, cofactor: [by[0][0], by[1][1]], spare })
}

impl Fitted {
    fn step(&self, place: usize, off_px: f64, variance: f64) -> Option<Step> {
        let rise = self.solved.levels[self.model.level_of(place)];
        let sigma_px = (self.cofactor[place] * variance).sqrt();
        (off_px.is_finite() && sigma_px.is_finite()).then_some(Step { off_px, sigma_px, rise })
    }
}

/// What is known before a profile is fitted.
#[derive(Debug, Clone, Copy)]
pub(super) struct Expected {
    /// Standard deviation of the blur of brightness, px.
    pub(super) blur_px: f64,
    /// The channels that count.
    pub(super) channels: Channels,
    /// Variance of one pixel's light about a good fit, as the other profiles have told it.
    pub(super) variance: f64,
    /// What the light beside the edge may be like.
    pub(super) ground: Ground,
}

/// How many values the variance told by the other profiles is worth against a profile's own.
const EXPECTED_VALUES: f64 = 20.0;

impl Expected {
    /// A profile's own variance, steadied by that of the others.
    fn variance(&self, fitted: &Fitted) -> f64 {
        (fitted.solved.square_sum + EXPECTED_VALUES * self.variance) / (fitted.spare + EXPECTED_VALUES)
    }
}

/// One step with its own blur, from a first guess of both. `None` where the profile settles none.
pub(super) fn free_step(profile: &Profile, at: f64, blur_px: f64, channels: Channels) -> Option<StepFit> {
    let found = fit(profile, Model::OneOfAnyBlur { at, ln_blur: blur_px.ln() }, channels, Ground::Even)?;
    let Model::OneOfAnyBlur { at, ln_blur } = found.model else { return None };
    let square_sum = found.solved.square_sum;
    let variance = square_sum / found.spare;
    let blur_sigma_share = (found.cofactor[1] * variance).sqrt();
    let steps = [found.step(0, at, variance), None];
    Some(StepFit { steps, blur_px: ln_blur.exp(), blur_sigma_share, variance, is_known: false, square_sum })
}

/// One step with the blur that is known. `None` where the profile settles none.
pub(super) fn one_step(profile: &Profile, at: f64, expected: &Expected) -> Option<StepFit> {
    let blur = expected.blur_px;
    let found = fit(profile, Model::One { at, blur }, expected.channels, expected.ground)?;
    let Model::One { at, .. } = found.model else { return None };
    let variance = expected.variance(&found);
    let steps = [found.step(0, at, variance), None];
    let square_sum = found.solved.square_sum;
    Some(StepFit { steps, blur_px: blur, blur_sigma_share: 0.0, variance, is_known: false, square_sum })
}

fn two_steps(profile: &Profile, outer: f64, inner: f64, known: Option<Apart>, expected: &Expected) -> Option<StepFit> {
    let blur = expected.blur_px;
    let found = fit(profile, Model::Two { outer, inner, blur, known }, expected.channels, expected.ground)?;
    let Model::Two { outer, inner, .. } = found.model else { return None };
    let (first, last) = (profile.bins().first()?.off_px, profile.bins().last()?.off_px);
    let is_apart = known.is_some() || outer - inner >= APART_BLURS * blur;
    let variance = expected.variance(&found);
    let steps = [found.step(0, outer, variance), found.step(1, inner, variance)];
    (is_apart && inner > first && outer < last).then_some(StepFit {
        steps,
        blur_px: blur,
        blur_sigma_share: 0.0,
        variance,
        is_known: known.is_some(),
        square_sum: found.solved.square_sum,
    })
}

/// How well the way between an edge and one that is only tried within it is known, as a share of it, and at best, px.
const APART_SHARE: f64 = 0.25;
const APART_PX: f64 = 0.05;

/// Two steps that lie so far apart to within `sigma_px`, the outer near `outer`.
fn steps_apart(profile: &Profile, outer: f64, apart_px: f64, sigma_px: f64, expected: &Expected) -> Option<StepFit> {
    let known = Apart { px: apart_px, weight: expected.variance / (sigma_px * sigma_px) };
    two_steps(profile, outer, outer - apart_px, Some(known), expected)
}

/// By how many variances two steps so far apart, one after the other, fit better than one near `at`.
pub(super) fn gains<const N: usize>(
    profile: &Profile,
    at: f64,
    apart_px: [f64; N],
    expected: &Expected,
) -> Option<[f64; N]> {
    let one = one_step(profile, at, expected)?;
    Some(apart_px.map(|apart_px| {
        let two = steps_apart(profile, at, apart_px, APART_PX.hypot(APART_SHARE * apart_px), expected);
        two.map_or(0.0, |two| ((one.square_sum - two.square_sum) / expected.variance).max(0.0))
    }))
}

/// The square sum that two steps at given places leave, and the light of the ground, the wall and the face by them.
pub(super) fn between(profile: &Profile, [outer, inner]: [f64; 2], expected: &Expected) -> Option<(f64, [Light; 3])> {
    let model = Model::Two { outer, inner, blur: expected.blur_px, known: None };
    let Solved { square_sum, levels: [ground, to_face, to_wall, _], .. } =
        solve(profile.bins(), &model, Ramp::of(expected.ground, &model), expected.channels)?;
    let wall = std::array::from_fn(|c| ground[c] + to_wall[c]);
    Some((square_sum, [ground, wall, std::array::from_fn(|c| wall[c] + to_face[c])]))
}

/// An edge is looked for so far from where it is known to be, px.
const KNOWN_PX: f64 = 1.5;

/// Two steps whose places are known; `None` where the profile shows them elsewhere.
fn known_two(profile: &Profile, outer: f64, within: &Within, expected: &Expected) -> Option<StepFit> {
    let inner = within.off_px;
    let two = steps_apart(profile, outer, outer - inner, within.sigma_px, expected)?;
    let [Some(outer_step), Some(inner_step)] = two.steps else { return None };
    let is_there = (outer_step.off_px - outer).abs() < KNOWN_PX && (inner_step.off_px - inner).abs() < KNOWN_PX;
    is_there.then_some(two)
}

/// Where a second step may start from, seen from the first, in blurs: thin slivers, and walls that show well.
const SECOND_AT_BLURS: [f64; 6] = [-1.5, -2.8, -4.2, 1.5, 2.8, 4.2];

/// Below this many times the expected variance one step is enough: [`BELIEVED`] over the values of a profile and those
/// that the expected variance is worth would be half as much again.
const NO_SECOND: f64 = 1.25;

/// The step or the two steps that the profile shows near `at`, with a blur that is known and where there is an inner edge
/// with its place. `None` where it shows none.
pub(super) fn steps(profile: &Profile, at: f64, within: Option<Within>, expected: &Expected) -> Option<StepFit> {
    if let Some(two) = within.and_then(|within| known_two(profile, at, &within, expected)) {
        return Some(two);
    }
    let one = one_step(profile, at, expected);
    // One step that leaves hardly more than the noise has no room for a second to be believed.
    if let Some(one) = one.filter(|one| one.variance < NO_SECOND * expected.variance) {
        return Some(one);
    }
    let start = one.and_then(|fit| fit.steps[0]).map_or(at, |step| step.off_px);
    let blur = expected.blur_px;
    let two = SECOND_AT_BLURS
        .iter()
        .filter_map(|blurs| {
            let second = start + blurs * blur;
            let (outer, inner) = (start.max(second), start.min(second));
            let model = Model::Two { outer, inner, blur, known: None };
            let ramp = Ramp::of(expected.ground, &model);
            Some((solve(profile.bins(), &model, ramp, expected.channels)?.square_sum, outer, inner))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .and_then(|(_, outer, inner)| two_steps(profile, outer, inner, None, expected));
    match (one, two) {
        (Some(one), Some(two)) if one.square_sum - two.square_sum > BELIEVED * two.variance => Some(two),
        (None, two) => two,
        (one, _) => one,
    }
}
