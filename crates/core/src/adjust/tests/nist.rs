//! The very loop that adjusts a plate, on the regression problems of NIST (Statistical Reference Datasets): parameters,
//! standard deviations and square sum to six digits and more, from both starts. Derivatives are by dual numbers.

use crate::adjust::Termination;
use crate::adjust::factor::Factor;
use crate::adjust::levenberg::{FINE, Minimum, Model, descend};
use crate::adjust::normal::{Normal, Row};
use crate::adjust::structure::Structure;
use serde::Deserialize;
use std::ops::{Add, Div, Mul, Neg, Sub};
use std::sync::Arc;

/// The most parameters of a set.
const MOST: usize = 8;

/// A number with its derivatives by the parameters.
#[derive(Debug, Clone, Copy)]
struct Dual {
    value: f64,
    by: [f64; MOST],
}

impl Dual {
    const fn constant(value: f64) -> Self {
        Self { value, by: [0.0; MOST] }
    }

    fn parameter(number: usize, value: f64) -> Self {
        let mut by = [0.0; MOST];
        by[number] = 1.0;
        Self { value, by }
    }

    /// A function of it, by the function's value and derivative.
    fn of(self, value: f64, derivative: f64) -> Self {
        Self { value, by: self.by.map(|by| derivative * by) }
    }

    fn exp(self) -> Self {
        let value = self.value.exp();
        self.of(value, value)
    }

    fn ln(self) -> Self {
        self.of(self.value.ln(), 1.0 / self.value)
    }

    fn atan(self) -> Self {
        self.of(self.value.atan(), 1.0 / (1.0 + self.value * self.value))
    }

    fn pow(self, exponent: Self) -> Self {
        (self.ln() * exponent).exp()
    }
}

impl Add for Dual {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { value: self.value + other.value, by: std::array::from_fn(|i| self.by[i] + other.by[i]) }
    }
}

impl Neg for Dual {
    type Output = Self;
    fn neg(self) -> Self {
        self.of(-self.value, -1.0)
    }
}

impl Sub for Dual {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Mul for Dual {
    type Output = Self;
    #[expect(clippy::suspicious_arithmetic_impl, reason = "the derivative of a product is a sum")]
    fn mul(self, other: Self) -> Self {
        let by = std::array::from_fn(|i| self.by[i] * other.value + self.value * other.by[i]);
        Self { value: self.value * other.value, by }
    }
}

impl Div for Dual {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        self * other.of(1.0 / other.value, -1.0 / (other.value * other.value))
    }
}

/// What the model of the set `name` says at `x` for the parameters `b`.
fn curve(name: &str, b: &[Dual], x: f64) -> Dual {
    let (one, x) = (Dual::constant(1.0), Dual::constant(x));
    let polynomial = |c: &[Dual]| c.iter().rev().fold(Dual::constant(0.0), |sum, c| sum * x + *c);
    let bell = |height: Dual, middle: Dual, width: Dual| {
        let off = (x - middle) / width;
        height * (-(off * off)).exp()
    };
    let decay = |height: Dual, rate: Dual| height * (-(rate * x)).exp();
    match name {
        "Misra1a" | "BoxBOD" => b[0] * (one - (-(b[1] * x)).exp()),
        "Bennett5" => b[0] * (b[1] + x).pow(-(one / b[2])),
        "Thurber" | "Hahn1" => polynomial(&b[..4]) / polynomial(&[one, b[4], b[5], b[6]]),
        "MGH09" => b[0] * (x * x + x * b[1]) / (x * x + x * b[2] + b[3]),
        "Eckerle4" => bell(b[0] / b[1], b[2], Dual::constant(2_f64.sqrt()) * b[1]),
        "Gauss1" => decay(b[0], b[1]) + bell(b[2], b[3], b[4]) + bell(b[5], b[6], b[7]),
        "DanWood" => b[0] * x.pow(b[1]),
        "Roszman1" => b[0] - b[1] * x - (b[2] / (x - b[3])).atan() / Dual::constant(std::f64::consts::PI),
        "Lanczos3" => decay(b[0], b[1]) + decay(b[2], b[3]) + decay(b[4], b[5]),
        "Rat43" => b[0] / (one + (b[1] - b[2] * x).exp()).pow(one / b[3]),
        "Norris" => b[0] + b[1] * x,
        _ => panic!("{name} is no set of these"),
    }
}

#[derive(Debug, Deserialize)]
struct Sets {
    sets: Vec<Set>,
}

#[derive(Debug, Deserialize)]
struct Set {
    name: String,
    starts: [Vec<f64>; 2],
    certified: Vec<f64>,
    sd: Vec<f64>,
    rss: f64,
    x: Vec<f64>,
    y: Vec<f64>,
}

impl Set {
    fn all() -> Vec<Self> {
        serde_json::from_str::<Sets>(include_str!("nist_strd.json")).unwrap().sets
    }

    fn dof(&self) -> f64 {
        (self.x.len() - self.certified.len()) as f64
    }
}

/// A set as a model, its observations with a standard deviation of the right power of ten: an adjustment is always told
/// how well things are measured.
struct Regression<'a> {
    set: &'a Set,
    sigma: f64,
    structure: Arc<Structure>,
}

impl<'a> Regression<'a> {
    fn of(set: &'a Set) -> Self {
        let sigma = 10_f64.powf((set.rss / set.dof()).sqrt().log10().floor());
        Self { set, sigma, structure: Arc::new(Structure::dense(set.certified.len())) }
    }

    fn from(&self, start: usize) -> Minimum<()> {
        descend(self, self.set.starts[start].clone(), FINE, &[]).unwrap()
    }
}

impl Model for Regression<'_> {
    type Guess = ();

    fn structure(&self) -> &Arc<Structure> {
        &self.structure
    }

    fn guess(&self) {}

    fn evaluate(&self, values: &[f64], (): &mut (), normal: &mut Normal) -> Option<f64> {
        normal.clear();
        let parameters: Vec<Dual> = values.iter().enumerate().map(|(i, value)| Dual::parameter(i, *value)).collect();
        let mut square_sum = 0.0;
        for (x, y) in self.set.x.iter().zip(&self.set.y) {
            let fitted = curve(&self.set.name, &parameters, *x);
            let misfit = (fitted.value - y) / self.sigma;
            let mut row = Row::new();
            for (i, by) in fitted.by.iter().take(values.len()).enumerate() {
                row.add(i, by / self.sigma);
            }
            square_sum += misfit * misfit;
            normal.add_row(&row, misfit);
        }
        square_sum.is_finite().then_some(square_sum)
    }
}

fn digits(ours: f64, certified: f64) -> f64 {
    -((ours - certified) / certified).abs().max(1e-16).log10()
}

fn check(set: &Set, start: usize) {
    let model = Regression::of(set);
    let found = model.from(start);
    let place = format!("{} from start {}", set.name, start + 1);
    assert_eq!(found.termination, Termination::Converged, "{place}");
    let rss = found.square_sum * model.sigma.powi(2);
    assert!(digits(rss, set.rss) > 6.0, "{place}: square sum {rss} against {}", set.rss);
    let covariance = Factor::of(&found.normal).unwrap().inverse();
    let count = set.certified.len();
    for i in 0..count {
        let (value, certified) = (found.values[i], set.certified[i]);
        assert!(digits(value, certified) > 6.0, "{place}: parameter {i} {value} against {certified}");
        let sd = (covariance[i * count + i] * found.square_sum / set.dof()).sqrt();
        assert!(digits(sd, set.sd[i]) > 6.0, "{place}: sd {i} {sd} against {}", set.sd[i]);
    }
}

/// From its first start `BoxBOD` leads away: the rate grows without end and the curve becomes flat. MINPACK ends there as
/// well. It is not called a minimum.
const LEADS_AWAY: (&str, usize) = ("BoxBOD", 0);

#[test]
fn every_set_is_reached_from_both_starts() {
    let sets = Set::all();
    assert_eq!(sets.len(), 13, "twelve that are not linear, and Norris");
    for set in &sets {
        for start in (0..2).filter(|start| (set.name.as_str(), *start) != LEADS_AWAY) {
            check(set, start);
        }
    }
}

#[test]
fn where_a_start_leads_away_that_is_said() {
    let sets = Set::all();
    let set = sets.iter().find(|set| set.name == LEADS_AWAY.0).unwrap();
    let found = Regression::of(set).from(LEADS_AWAY.1);
    assert_ne!(found.termination, Termination::Converged, "flat country is no minimum: {:?}", found.values);
}
