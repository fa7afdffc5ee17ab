//! Networks of distances alone, against GNU Gama 2.33 and an independent numpy adjustment that agrees with it.
//!
//! `networks.json` holds seven published networks (F. Krumm, Geodetic Network Adjustment Examples, University of
//! Stuttgart, revision 3.5, 2020, who names the book that each is from), of hundreds of metres and more, in m, and five
//! of plates of 180 mm, in mm (distances drawn once by numpy, the wrong ones 0.30 mm too long). For each place: where the
//! search starts and, unless it is held, coordinates and standard deviations; without held places these are by inner
//! constraints. For each distance: its two places, the reading, its standard deviation; adjusted less observed;
//! redundancy number; standardised misfit of Gama's sign, `null` below a redundancy of 0.001, where Gama's is rounding.
//! Standard deviations and standardised misfits are those before any scaling by the variance factor.
//!
//! Places are named points whose picks say nothing, or everything where they are held.

use super::held_camera;
use crate::adjust::{Adjusted, Feature, Length, Problem, Span, Spot, adjust};
use crate::camera::{CAMERA_UNKNOWNS, RigidMove, View};
use crate::instrument::Instrument;
use crate::space::{PlatePoint, PlateVec};
use serde::Deserialize;

/// From, to, reading, standard deviation, correction, redundancy number, standardised misfit.
type Distance = (usize, usize, f64, f64, f64, f64, Option<f64>);

#[derive(Deserialize)]
struct Network {
    name: String,
    places: Vec<Place>,
    distances: Vec<Distance>,
}

#[derive(Deserialize)]
struct Place {
    start: [f64; 2],
    adjusted: Option<[f64; 2]>,
    sigma: Option<[f64; 2]>,
}

impl Network {
    /// All of them, scaled to the size of a plate.
    fn all() -> Vec<Self> {
        let networks: Vec<Self> = serde_json::from_str(include_str!("networks.json")).unwrap();
        networks.into_iter().map(Self::scaled).collect()
    }

    fn scaled(mut self) -> Self {
        let farthest = self.places.iter().flat_map(|place| place.start).fold(0.0, |far: f64, x| far.max(x.abs()));
        let by = if farthest > 200.0 { 100.0 / farthest } else { 1.0 };
        for place in &mut self.places {
            let pairs = [Some(&mut place.start), place.adjusted.as_mut(), place.sigma.as_mut()];
            pairs.into_iter().flatten().flatten().for_each(|figure| *figure *= by);
        }
        for distance in &mut self.distances {
            for figure in [&mut distance.2, &mut distance.3, &mut distance.4] {
                *figure *= by;
            }
        }
        self
    }

    fn named(name: &str) -> Self {
        Self::all().into_iter().find(|network| network.name == name).unwrap()
    }

    fn is_free(&self) -> bool {
        self.places.iter().all(|place| place.adjusted.is_some())
    }

    fn problem(&self) -> Problem {
        let priors = held_camera();
        let view = View::from_unknowns(&priors.0.map(|prior| prior.value));
        let largest_sigma = self.distances.iter().map(|d| d.3).fold(0.0, f64::max);
        let spot = |place: &Place| {
            let pick = view.project(PlatePoint::from(place.start)).unwrap();
            // Ten px are one mm: a pick is worth nothing beside a distance, or a distance beside a pick.
            let sigma_px = if place.adjusted.is_some() { 3e5 * largest_sigma } else { 0.03 * largest_sigma };
            Spot { pick, sigma_px }
        };
        let length = |d: &Distance| Length { span: Span::Points(d.0, d.1), mm: d.2, sigma_mm: d.3 };
        Problem {
            priors,
            rims: Vec::new(),
            spots: self.places.iter().map(spot).collect(),
            sides: Vec::new(),
            breaks: Vec::new(),
            sizes: 0,
            corners: Vec::new(),
            overlays: Vec::new(),
            lengths: self.distances.iter().map(length).collect(),
        }
    }

    fn check_distances(&self, adjusted: &Adjusted<'_>) {
        let reliability = adjusted.reliability();
        for (tested, &(from, to, reading, sigma, correction, redundancy, w)) in
            reliability.tested.iter().zip(&self.distances)
        {
            let name = format!("{}: {from} to {to}", self.name);
            let ours = adjusted.fitted_length(Span::Points(from, to)).0 - reading;
            assert!((ours - correction).abs() < 2e-3 * sigma, "{name}: corrected by {ours} against {correction}");
            let ours = tested.redundancy;
            assert!((ours - redundancy).abs() < 2e-5, "{name}: redundancy {ours} against {redundancy}");
            match (tested.w, w) {
                (Some(ours), Some(w)) => assert!((ours + w).abs() < 2e-3 * w.abs().max(1.0), "{name}: {ours}, -({w})"),
                (ours, w) => assert_eq!(ours, w, "{name}: tested by both or by none"),
            }
        }
    }

    fn check_places(&self, adjusted: &Adjusted<'_>) {
        let scale = self.distances.iter().map(|d| d.3).fold(f64::INFINITY, f64::min);
        let plain = adjusted.plain();
        let moved = if self.is_free() { self.onto_published(adjusted) } else { RigidMove::default() };
        for (i, place) in self.places.iter().enumerate() {
            let (Some(published), Some(sigma)) = (place.adjusted, place.sigma) else { continue };
            let ours = moved.apply(adjusted.spot(i));
            let off = ours.distance(PlatePoint::from(published));
            assert!(off < 2e-3 * scale, "{}: place {i} at {ours:?} against {published:?}", self.name);
            let variances = if self.is_free() {
                let covariance = adjusted.relative().covariance(Feature::Spot(i));
                [covariance.xx, covariance.yy]
            } else {
                let at = CAMERA_UNKNOWNS + 2 * i;
                [plain.covariance[at][at], plain.covariance[at + 1][at + 1]]
            };
            for (ours, theirs) in variances.map(f64::sqrt).into_iter().zip(sigma) {
                assert!((ours / theirs - 1.0).abs() < 1e-3, "{}: place {i}: ± {ours}, {theirs}", self.name);
            }
        }
    }

    /// The best rigid move of ours onto the published places.
    fn onto_published(&self, adjusted: &Adjusted<'_>) -> RigidMove {
        let zero = PlatePoint::default();
        let pairs: Vec<(PlateVec, PlateVec)> = (0..self.places.len())
            .map(|i| (adjusted.spot(i) - zero, PlatePoint::from(self.places[i].adjusted.unwrap()) - zero))
            .collect();
        let share = 1.0 / pairs.len() as f64;
        let from = pairs.iter().fold(PlateVec::default(), |sum, (a, _)| sum + *a * share);
        let to = pairs.iter().fold(PlateVec::default(), |sum, (_, b)| sum + *b * share);
        let dot: f64 = pairs.iter().map(|(a, b)| (*a - from).dot(*b - to)).sum();
        let cross: f64 = pairs.iter().map(|(a, b)| (*a - from).cross(*b - to)).sum();
        let turn = RigidMove::new(cross.atan2(dot), PlateVec::default());
        RigidMove::new(turn.angle_rad(), to - turn.turn(from))
    }
}

#[test]
fn places_distances_and_reliability_are_the_published() {
    let networks = Network::all();
    assert_eq!(networks.len(), 12, "all are there");
    for network in networks {
        let problem = network.problem();
        let adjusted = adjust(&problem).unwrap();
        network.check_distances(&adjusted);
        network.check_places(&adjusted);
    }
}

#[test]
fn a_misreading_among_all_distances_is_named() {
    let network = Network::named("plate8_full_blunder");
    let suspects = adjust(&network.problem()).unwrap().reliability().suspects;
    assert_eq!(suspects.len(), 1, "one misreading explains it all");
    assert_eq!((suspects[0].reading, suspects[0].equally.len()), (9, 0), "it is the one from place 1 to place 4");
}

#[test]
fn two_distances_that_cannot_be_told_apart_are_both_named() {
    let problem = Network::named("plate8_weak_blunder").problem();
    let adjusted = adjust(&problem).unwrap();
    let suspects = adjusted.reliability().suspects;
    assert_eq!(suspects.len(), 1, "one misreading explains it all");
    let mut both = suspects[0].equally.clone();
    both.push(suspects[0].reading);
    both.sort_unstable();
    assert_eq!(both, [8, 9], "place 0 to 4 and place 2 to 6 explain it equally well (correlation 0.99998)");
    // What decides is a distance that one of the two explanations moves and the other does not.
    let instrument = Instrument { sigma_mm: 0.03, reach_mm: 300.0, jaws_mm: 0.0 };
    let telling = adjusted.telling_readings_apart(&instrument, both[0], both[1]);
    let telling = telling.expect("one of the distances not yet taken tells");
    let predicted = [both[0], both[1]].map(|without| adjusted.length_without(telling.span, without).unwrap());
    let apart = (predicted[0].0 - predicted[1].0).abs();
    assert!(apart > 3.0 * 0.03, "the two explanations differ by {apart} mm there: {telling:?}");
}

#[test]
fn nothing_is_accused_where_nothing_was_misread() {
    for name in ["flange6_fixedab", "plate8_full_clean", "plate8_weak_clean"] {
        let problem = Network::named(name).problem();
        assert_eq!(adjust(&problem).unwrap().reliability().suspects, [], "{name}");
    }
}

/// Baarda's 4.13 standard deviations over the root of the redundancy number: 0.163 to 0.228 mm on the flange (numpy).
#[test]
fn the_smallest_misreading_noticed_is_the_published() {
    let problem = Network::named("flange6_fixedab").problem();
    let tested = adjust(&problem).unwrap().reliability().tested;
    let noticed: Vec<f64> = tested.iter().filter_map(|tested| tested.noticed_mm).collect();
    let least = noticed.iter().copied().fold(f64::INFINITY, f64::min);
    let most = noticed.iter().copied().fold(0.0, f64::max);
    assert!((least - 0.163).abs() < 1e-3 && (most - 0.228).abs() < 1e-3, "from {least} to {most} mm");
}
