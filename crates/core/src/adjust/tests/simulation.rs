//! Jobs with known truth and known noise: what comes out must scatter as it says it does.

use super::{Draws, held_camera};
use crate::adjust::evaluate::Joint;
use crate::adjust::factor::Factor;
use crate::adjust::layout::Layout;
use crate::adjust::levenberg::{FINE, descend};
use crate::adjust::start::starts;
use crate::adjust::{
    Adjusted, BREAK_WIDTH, Feature, Length, Priors, Problem, Rim, Span, Spot, Termination, adjust, next_lengths,
};
use crate::camera::View;
use crate::instrument::Instrument;
use crate::space::{PhotoVec, PlatePoint, PlateVec};

pub(super) const HOLES: [(f64, f64, f64); 7] = [
    (-70.0, -45.0, 4.5),
    (72.0, -38.0, 4.5),
    (66.0, 47.0, 6.0),
    (-61.0, 52.0, 6.0),
    (3.0, 8.0, 20.0),
    (20.0, -50.0, 3.0),
    (-30.0, 5.0, 3.3),
];

const POINT: (f64, f64) = (85.0, 5.0);

const SPANS: [Span; 12] = [
    Span::FarRims(0, 1),
    Span::FarRims(1, 2),
    Span::NearRims(2, 3),
    Span::FarRims(3, 0),
    Span::Centres(0, 2),
    Span::NearRims(1, 3),
    Span::Diameter(4),
    Span::Diameter(0),
    Span::NearRims(4, 5),
    Span::FarRims(4, 1),
    Span::FarRims(5, 3),
    Span::NearRims(6, 2),
];

/// Beliefs as usual, but for the distance, which is drawn like the rest.
fn priors() -> Priors {
    let sigmas = [0.1, 0.09, 0.09, 0.04, 20.0, 20.0, 0.05, 0.02, 0.001, 0.001];
    let mut priors = held_camera();
    for (prior, sigma) in priors.0.iter_mut().zip(sigmas) {
        prior.sigma = sigma;
    }
    priors
}

pub(super) struct Simulated {
    pub(super) problem: Problem,
    truth: Vec<PlatePoint>,
}

/// A job of which everything is drawn from its own standard deviations, `noise` times over.
pub(super) fn simulate(seed: u64, noise: f64) -> Simulated {
    let mut draws = Draws(seed);
    let priors = priors();
    let camera = priors.0.map(|prior| prior.value + noise * prior.sigma * draws.normal());
    let view = View::from_unknowns(&camera);
    let width = BREAK_WIDTH.value + noise * BREAK_WIDTH.sigma * draws.normal();
    let click = |draws: &mut Draws, sigma: f64| PhotoVec::new(draws.normal(), draws.normal()) * (noise * sigma);
    let mut rims = Vec::new();
    for (i, (x, y, r)) in HOLES.iter().enumerate() {
        let turn = draws.even();
        let pick = |k: u8| PlatePoint::new(*x, *y) + PlateVec::from_angle(turn + f64::from(k) * 1.5) * *r;
        let picks = (0..4).map(|k| view.project(pick(k)).unwrap() + click(&mut draws, 1.5)).collect();
        rims.push(Rim { picks, precision: 1.5.into(), edge_break: (i < 2).then_some(0), keep: true });
    }
    let point = PlatePoint::new(POINT.0, POINT.1);
    let spots = vec![Spot { pick: view.project(point).unwrap() + click(&mut draws, 1.0), sigma_px: 1.0 }];
    let bore = |i: usize| HOLES[i].2 - if i < 2 { width } else { 0.0 };
    let centres: Vec<_> = HOLES.iter().map(|(x, y, _)| PlatePoint::new(*x, *y)).collect();
    let length = |span: Span| {
        let mm = match span {
            Span::FarRims(a, b) => centres[a].distance(centres[b]) + bore(a) + bore(b),
            Span::NearRims(a, b) => centres[a].distance(centres[b]) - bore(a) - bore(b),
            Span::Centres(a, b) => centres[a].distance(centres[b]),
            Span::Diameter(a) => 2.0 * bore(a),
            _ => unreachable!("no other span is used here"),
        };
        Length { span, mm: mm + noise * 0.05 * draws.normal(), sigma_mm: 0.05 }
    };
    let lengths = SPANS.into_iter().map(length).collect();
    let problem = Problem {
        priors,
        rims,
        spots,
        sides: Vec::new(),
        breaks: vec![BREAK_WIDTH],
        sizes: 0,
        lengths,
        corners: Vec::new(),
        overlays: Vec::new(),
    };
    Simulated { problem, truth: centres.into_iter().chain([point]).collect() }
}

/// What each place is off by after the best rigid move of the fit onto the truth.
fn errors(adjusted: &Adjusted<'_>, truth: &[PlatePoint]) -> Vec<PlateVec> {
    let count = HOLES.len();
    let fitted: Vec<_> = (0..count).map(|i| adjusted.centre(i)).chain([adjusted.spot(0)]).collect();
    let middle = |of: &[PlatePoint]| {
        let share = 1.0 / of.len() as f64;
        of.iter().fold(PlatePoint::default(), |sum, p| sum + PlateVec::new(p.x, p.y) * share)
    };
    let (to, from) = (middle(&fitted), middle(truth));
    let (dot, cross) = truth
        .iter()
        .zip(&fitted)
        .fold((0.0, 0.0), |(dot, cross), (a, b)| (dot + (*a - from).dot(*b - to), cross + (*a - from).cross(*b - to)));
    // The truth is turned into the frame of the fit, in which the covariances are.
    let turn = PlateVec::new(dot, cross).unit().unwrap();
    let turned = |v: PlateVec| PlateVec::new(turn.x * v.x - turn.y * v.y, turn.y * v.x + turn.x * v.y);
    fitted.iter().zip(truth).map(|(fit, truth)| (*fit - to) - turned(*truth - from)).collect()
}

#[test]
fn without_noise_the_truth_comes_out() {
    for seed in 0..5 {
        let simulated = simulate(seed, 0.0);
        let adjusted = adjust(&simulated.problem).unwrap();
        assert_eq!(adjusted.termination(), Termination::Converged, "it comes to rest");
        assert!(adjusted.square_sum() < 1e-16, "nothing is off: {}", adjusted.square_sum());
        for (i, error) in errors(&adjusted, &simulated.truth).iter().enumerate() {
            assert!(error.length() < 1e-9, "place {i} is off by {error:?}");
        }
    }
}

#[test]
fn errors_scatter_as_the_covariance_says() {
    let runs = 200;
    let (mut whole, mut places, mut covered) = (0.0, 0.0, 0);
    for seed in 0..runs {
        let simulated = simulate(1000 + seed, 1.0);
        let adjusted = adjust(&simulated.problem).unwrap();
        whole += adjusted.square_sum() / adjusted.dof() as f64;
        for (i, error) in errors(&adjusted, &simulated.truth).iter().enumerate() {
            let feature = if i < HOLES.len() { Feature::Rim(i) } else { Feature::Spot(0) };
            let c = adjusted.relative().covariance(feature);
            let det = c.xx * c.yy - c.xy * c.xy;
            let square = (c.yy * error.x * error.x - 2.0 * c.xy * error.x * error.y + c.xx * error.y * error.y) / det;
            places += square / 2.0;
            covered += usize::from(square < crate::tolerance::K95_PLACE.powi(2));
        }
    }
    let runs = runs as f64;
    let (whole, places) = (whole / runs, places / (8.0 * runs));
    let covered = covered as f64 / (8.0 * runs);
    assert!((whole - 1.0).abs() < 0.05, "square sum over degrees of freedom: {whole}");
    assert!((places - 1.0).abs() < 0.10, "normalised square errors of places: {places}");
    assert!((covered - 0.95).abs() < 0.02, "share inside the 95 % ellipse: {covered}");
}

#[test]
fn every_start_ends_at_the_same_digits() {
    let problem = simulate(77, 1.0).problem;
    let layout = Layout::of(&problem);
    let model = Joint { problem: &problem, layout: &layout };
    let minima: Vec<_> = starts(&problem, &layout).filter_map(|start| descend(&model, start, FINE, &[])).collect();
    let best = minima.iter().min_by(|a, b| a.square_sum.total_cmp(&b.square_sum)).unwrap();
    let covariance = Factor::of(&best.normal).unwrap().inverse();
    let same = minima.iter().filter(|other| other.square_sum - best.square_sum < 1e-6);
    let mut count = 0;
    for other in same {
        count += 1;
        for (i, (a, b)) in best.values.iter().zip(&other.values).enumerate() {
            let sigma = covariance[i * layout.size + i].sqrt();
            assert!((a - b).abs() < 1e-6 * sigma, "unknown {i}: {a} and {b} with standard deviation {sigma}");
        }
    }
    assert!(count >= 3, "most starts lead to the same minimum, {count} did");
}

#[test]
fn the_next_length_brings_what_it_promises() {
    // A length that reads exactly as expected changes nothing but the covariance, so the promise must be kept.
    let mut problem = simulate(3, 1.0).problem;
    problem.lengths.truncate(2);
    let adjusted = adjust(&problem).unwrap();
    let next = next_lengths(&adjusted, &Instrument::CALIPER, 5);
    assert_eq!(next.len(), 5, "five are offered");
    for pair in next.windows(2) {
        assert!(pair[0].worst_after_mm <= pair[1].worst_after_mm, "best first");
    }
    for offer in next {
        let mut longer = problem.clone();
        longer.lengths.push(Length { span: offer.span, mm: offer.expected_mm, sigma_mm: 0.05 });
        let again = adjust(&longer).unwrap();
        let worst =
            (0..HOLES.len()).map(|i| again.relative().covariance(Feature::Rim(i)).major_mm()).fold(0.0, f64::max);
        let promised = offer.worst_after_mm;
        // With two lengths left, the millionth of a standard deviation that a search leaves changes as much as this.
        assert!((worst / promised - 1.0).abs() < 1e-5, "{:?}: {promised} promised, {worst} kept", offer.span);
    }
}

#[test]
fn a_misfit_over_its_redundancy_is_what_leaving_the_length_out_shows() {
    let problem = simulate(11, 1.0).problem;
    let adjusted = adjust(&problem).unwrap();
    let reliability = adjusted.reliability();
    for (i, tested) in reliability.tested.iter().enumerate().filter(|(_, tested)| tested.redundancy > 0.05) {
        let mut without = problem.clone();
        let left_out = without.lengths.remove(i);
        let (predicted, _) = adjust(&without).unwrap().fitted_length(left_out.span);
        let (fitted, _) = adjusted.fitted_length(left_out.span);
        let (shown, told) = (left_out.mm - predicted, (left_out.mm - fitted) / tested.redundancy);
        assert!((shown - told).abs() < 0.02 + 0.03 * shown.abs(), "length {i}: {shown} shown, {told} told");
    }
}

#[test]
fn a_thousand_holes_are_no_trouble() {
    let mut problem = simulate(1, 0.0).problem;
    let view = View::from_unknowns(&priors().0.map(|prior| prior.value));
    for i in 0..1000 {
        let centre = PlatePoint::new(f64::from(i % 40) * 4.0 - 80.0, f64::from(i / 40) * 4.0 - 50.0);
        let pick = |k: u8| view.project(centre + PlateVec::from_angle(f64::from(k) * 2.0)).unwrap();
        problem.rims.push(Rim {
            picks: (0..4).map(pick).collect(),
            precision: 1.5.into(),
            edge_break: None,
            keep: i < 50,
        });
    }
    let adjusted = adjust(&problem).unwrap();
    assert_eq!(adjusted.termination(), Termination::Converged, "it comes to rest");
    assert!(adjusted.relative().covariance(Feature::Rim(900)).major_mm().is_finite(), "and knows every place");
}

#[test]
fn two_tilts_that_fit_are_both_known_until_a_further_length_decides() {
    // Three lengths between three holes leave the sign of the tilt open: the fourth hole lies elsewhere by the other.
    let mut problem = simulate(1, 0.0).problem;
    // From far away both signs look nearly alike.
    problem.priors.0[0].value = 2000_f64.ln();
    problem.priors.0[3].value = 20_000_f64.ln();
    let mut camera = problem.priors.0.map(|prior| prior.value);
    (camera[1], camera[2]) = (0.3, -0.22);
    (problem.priors.0[1].sigma, problem.priors.0[2].sigma) = (0.26, 0.26);
    let view = View::from_unknowns(&camera);
    problem.rims.truncate(4);
    problem.spots.clear();
    problem.breaks = Vec::new();
    for (rim, (x, y, r)) in problem.rims.iter_mut().zip(HOLES) {
        let pick = |k: u8| PlatePoint::new(x, y) + PlateVec::from_angle(f64::from(k) * 1.5) * r;
        rim.picks = (0..4).map(|k| view.project(pick(k)).unwrap()).collect();
        rim.edge_break = None;
    }
    let centre = |i: usize| PlatePoint::new(HOLES[i].0, HOLES[i].1);
    let length =
        |a: usize, b: usize| Length { span: Span::Centres(a, b), mm: centre(a).distance(centre(b)), sigma_mm: 0.05 };
    problem.lengths = vec![length(0, 1), length(1, 2), length(2, 0)];
    let far = Instrument { reach_mm: 1000.0, ..Instrument::CALIPER };
    let adjusted = adjust(&problem).unwrap();
    let other = adjusted.other().expect("the other tilt fits as well");
    assert!(other.moves_mm > 0.5, "and puts a hole elsewhere: {other:?}");
    let telling = adjusted.telling_positions_apart(&far).expect("a length would tell");
    let (Span::FarRims(_, to) | Span::NearRims(_, to)) = telling.span else { panic!("between rims: {telling:?}") };
    assert_eq!(to, 3, "to the hole that moves: {telling:?}");
    problem.lengths.extend([length(3, 0), length(3, 1), length(3, 2)]);
    let adjusted = adjust(&problem).unwrap();
    assert_eq!(adjusted.other(), None, "the fourth hole decides");
    let pose = *adjusted.view().pose();
    assert!(pose.tilt_a_rad > 0.2 && pose.tilt_b_rad < -0.1, "for the tilt that it was: {pose:?}");
}
