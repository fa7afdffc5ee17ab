//! Each rule's figures on photos made by hand, against what its formula gives with pencil and paper.

use super::*;
use crate::camera::{Lens, Pose};
use crate::instrument::Instrument;
use crate::job::{Belief, Datum, Held, Hole, LensBeliefs, Measure, MeasureKind, Photo};
use crate::solution::solve_photo;
use crate::space::PlateVec;
use crate::tolerance::{K95_PLACE, OFF_FACE_MM};
use std::f64::consts::TAU;

/// A light plate with four dark holes at the corners of a rectangle of 60 x 40 mm, and how its photo is taken.
#[derive(Debug, Clone, Copy)]
pub(super) struct Taken {
    pub(super) stand_off_mm: f64,
    pub(super) px_per_mm: f64,
    pub(super) tilt_deg: f64,
    pub(super) blur_px: f64,
    pub(super) radius_mm: f64,
    /// Width of the bright rim of a broken edge, mm.
    pub(super) break_mm: f64,
    /// The face right of this plate x is as light as this, of 1 for white.
    pub(super) bright: Option<(f64, f64)>,
    pub(super) measures_rims: bool,
    pub(super) has_record: bool,
    /// How many of the six lengths between holes are measured.
    pub(super) lengths: usize,
    pub(super) held: Held,
    pub(super) jpeg_quality: Option<f64>,
}

/// From 300 mm, five lengths of the pattern, square, 10 px to the mm, sharp.
pub(super) const GOOD: Taken = Taken {
    stand_off_mm: 300.0,
    px_per_mm: 10.0,
    tilt_deg: 0.0,
    blur_px: 0.9,
    radius_mm: 4.0,
    break_mm: 0.0,
    bright: None,
    measures_rims: true,
    has_record: true,
    lengths: 6,
    held: Held::ByEye,
    jpeg_quality: Some(92.0),
};

const CORNERS: [[f64; 2]; 4] = [[-30.0, -20.0], [30.0, -20.0], [30.0, 20.0], [-30.0, 20.0]];

/// Light of the face, of a broken edge, and in a hole.
const LIGHTS: [f64; 3] = [0.5, 0.2, 0.03];

/// sRGB code of an amount of light (IEC 61966-2-1).
fn code(light: f64) -> u8 {
    let light = light.clamp(0.0, 1.0);
    let coded = if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 };
    (255.0 * coded).round() as u8
}

/// A step from 0 to 1 over the blur, by a logistic curve of the same variance as a Gaussian's.
fn risen(off_px: f64, blur_px: f64) -> f64 {
    1.0 / (1.0 + (-off_px / blur_px * std::f64::consts::PI / 3.0_f64.sqrt()).exp())
}

impl Taken {
    fn size(&self) -> [u32; 2] {
        [(86.0 * self.px_per_mm) as u32, (64.0 * self.px_per_mm) as u32]
    }

    fn focal_px(&self) -> f64 {
        self.px_per_mm * self.stand_off_mm
    }

    fn map(&self) -> PlateMap {
        let [width, height] = self.size().map(f64::from);
        let lens = Lens::pinhole(self.focal_px(), PhotoPoint::new(0.5 * (width - 1.0), 0.5 * (height - 1.0)));
        PlateMap::new(lens, Pose { tilt_b_rad: self.tilt_deg.to_radians(), ..Pose::square(self.stand_off_mm) })
    }

    fn light(&self, map: &PlateMap, at: PhotoPoint) -> f64 {
        let Some(plate) = map.plate_from_photo(at) else { return 0.0 };
        let face = match self.bright {
            Some((from_mm, light)) if plate.x > from_mm => light,
            _ => LIGHTS[0],
        };
        let off_mm = CORNERS.map(|corner| plate.distance(PlatePoint::from(corner)) - self.radius_mm);
        let nearest_mm = off_mm.into_iter().fold(f64::INFINITY, f64::min);
        let px_per_mm = map.px_per_mm(plate);
        let [edge, hole] = [LIGHTS[1], LIGHTS[2]];
        let rim = risen(nearest_mm * px_per_mm, self.blur_px);
        if self.break_mm == 0.0 {
            return hole + (face - hole) * rim;
        }
        let bore = risen((nearest_mm + self.break_mm) * px_per_mm, self.blur_px);
        hole + (edge - hole) * bore + (face - edge) * rim
    }

    fn pixels(&self) -> Vec<u8> {
        let (map, [width, height]) = (self.map(), self.size());
        let pixels = (0..height).flat_map(|y| (0..width).map(move |x| PhotoPoint::new(f64::from(x), f64::from(y))));
        pixels.flat_map(|at| [code(self.light(&map, at)); 3]).collect()
    }

    fn job(&self) -> Job {
        let mut job = Job::new(Photo {
            file: "plate.jpg".to_owned(),
            sha256: "0".repeat(64),
            size: self.size(),
            held: self.held,
            focal_px: None,
            // A lens that is known: what costs is to be the rule's own.
            lens: LensBeliefs {
                k1: Some(Belief { value: 0.0, sigma: 1e-4 }),
                k2: Some(Belief { value: 0.0, sigma: 1e-4 }),
                ..LensBeliefs::default()
            },
        });
        let map = self.map();
        for (number, corner) in CORNERS.iter().enumerate() {
            let on_rim = |i: u32| PlateVec::from_angle(0.3 + f64::from(i) * TAU / 4.0) * self.radius_mm;
            let rim = (0..4).filter_map(|i| map.photo_from_plate(PlatePoint::from(*corner) + on_rim(i)));
            job.holes.push(Hole {
                id: Id(format!("h{}", number + 1)),
                name: format!("H{}", number + 1),
                rim: rim.collect(),
                sigma_px: None,
                measure_rim: self.measures_rims,
                group: None,
                edge_break: false,
                keep: true,
            });
        }
        let pairs = [(0, 2), (1, 3), (0, 1), (2, 3), (0, 3), (1, 2)];
        for (number, (a, b)) in pairs.into_iter().take(self.lengths).enumerate() {
            let apart = PlatePoint::from(CORNERS[a]).distance(PlatePoint::from(CORNERS[b]));
            job.measures.push(Measure {
                id: Id(format!("m{}", number + 1)),
                kind: MeasureKind::FarRims,
                between: vec![job.holes[a].id.clone(), job.holes[b].id.clone()],
                mm: apart + 2.0 * (self.radius_mm - self.break_mm),
                sigma_mm: 0.05,
                in_use: true,
            });
        }
        job
    }

    /// What is said of its photo.
    pub(super) fn advice(&self) -> Vec<Advice> {
        self.advice_on(&self.job())
    }

    /// The same for a job of which something else is said.
    fn advice_on(&self, job: &Job) -> Vec<Advice> {
        let pixels = self.pixels();
        let picture = Picture::from_srgb(self.size(), &pixels).unwrap();
        let exif_focal_px = self.has_record.then(|| self.focal_px());
        let inputs = Inputs { job, exif_focal_px, instrument: Instrument::CALIPER, seen: None };
        let (seen, solution) = solve_photo(&inputs, &picture, &|| true).unwrap();
        let file = PhotoFile { clipped: Clipped::of(&picture), jpeg_quality: self.jpeg_quality };
        after(&Inputs { seen: Some(&seen), ..inputs }, &solution, &file, Some(&picture))
    }

    /// What one rule says of it.
    #[track_caller]
    pub(super) fn by(&self, name: &str) -> Advice {
        let all = self.advice();
        assert_eq!(all.len(), RULES.len(), "each rule says something: {all:?}");
        all.into_iter().find(|advice| advice.name == name).unwrap()
    }
}

/// From the middle of the pattern to a hole, mm.
const OFF_MM: f64 = 36.055_512_754_639_89;

#[track_caller]
fn check_cost(advice: &Advice, expected_mm: f64, within_mm: f64, state: State) {
    let cost_mm = advice.cost_mm.unwrap();
    assert!((cost_mm - expected_mm).abs() <= within_mm, "{cost_mm} mm, expected {expected_mm}: {advice:?}");
    assert_eq!(advice.state, state, "{advice:?}");
    assert_eq!(advice.way_out.is_empty(), !state.is_costly(), "a way out where it costs: {advice:?}");
    assert!(advice.text.ends_with('.'), "a sentence: {}", advice.text);
}

#[test]
fn a_cost_is_judged_by_a_caliper_and_by_the_play() {
    for (cost_mm, stop_mm, state) in [
        (0.0, 0.25, State::Good),
        (0.099, 0.25, State::Good),
        (0.1, 0.25, State::Costs),
        (0.249, 0.25, State::Costs),
        (0.25, 0.25, State::Stop),
        (0.25, 0.3, State::Costs),
    ] {
        assert_eq!(State::of(cost_mm, stop_mm), state, "{cost_mm} where {stop_mm} stops");
    }
}

#[test]
fn a_stand_off_costs_by_similar_triangles() {
    // 0.5 mm of height, 36.06 mm off the middle.
    let from = |stand_off_mm: f64| Taken { stand_off_mm, ..GOOD }.by(stand_off::NAME);
    check_cost(&from(300.0), OFF_FACE_MM * OFF_MM / 300.0, 0.003, State::Good);
    check_cost(&from(170.0), OFF_FACE_MM * OFF_MM / 170.0, 0.005, State::Costs);
    check_cost(&from(65.0), OFF_FACE_MM * OFF_MM / 65.0, 0.01, State::Stop);
    // It costs a tenth from 0.5 * 36.06 / 0.1 = 180.3 mm, in steps of 50.
    assert!(from(170.0).way_out.contains("from 200 mm"), "{:?}", from(170.0));
}

#[test]
fn the_part_is_as_long_however_coordinates_lie() {
    // Between the far sides of opposite holes it is 2 * 36.06 + 2 * 4 = 80.11 mm, and 300 mm are 3.74 times that. A box would
    // say 68 mm along the rows of holes, and 80 along a diagonal.
    for along in ["h2", "h3", "h4"] {
        let datum = Some(Datum { origin: Id::from("h1"), along: Id::from(along) });
        let advice = GOOD.advice_on(&Job { datum, ..GOOD.job() });
        let said = advice.iter().find(|advice| advice.name == stand_off::NAME).unwrap();
        assert!(said.text.contains("3.7 lengths of the part"), "along {along}: {}", said.text);
    }
}

#[test]
fn a_measure_that_the_sheet_is_without_changes_no_cost() {
    let mut job = GOOD.job();
    job.measures[0].mm += 20.0;
    let with = GOOD.advice_on(&job);
    job.measures[0].in_use = false;
    assert_eq!(with, GOOD.advice_on(&job), "it cannot be meant, and was set aside");
}

#[test]
fn a_tilt_moves_the_foot_and_shrinks_the_far_side() {
    // Tilted about y by t, the foot lies 300 sin t along x and 300 cos t below. The worst hole is that on the far side.
    let expected = |tilt_deg: f64| {
        let (sine, cosine) = tilt_deg.to_radians().sin_cos();
        let (foot, height) = (300.0 * sine, 300.0 * cosine);
        OFF_FACE_MM * ((30.0 + foot).hypot(20.0) - OFF_MM) / height
    };
    let by = |tilt_deg| Taken { tilt_deg, ..GOOD }.by(tilt::NAME);
    check_cost(&by(0.0), 0.0, 0.01, State::Good);
    check_cost(&by(5.0), expected(5.0), 0.01, State::Good);
    check_cost(&by(16.0), expected(16.0), 0.015, State::Costs);
    check_cost(&by(30.0), expected(30.0), 0.02, State::Stop);
    assert!(by(16.0).text.starts_with("Tilted by 16."), "{}", by(16.0).text);
}

#[test]
fn few_px_to_the_mm_cost_half_of_what_clicks_are_good_to() {
    // Four clicks of 1.5 px put a centre to 1.5 sqrt(2/4) px; of four holes after the best move (three unknowns of eight) a
    // part is left. Half of it goes away with twice the px, so that a click's part bounds it.
    let by = |px_per_mm: f64| Taken { px_per_mm, measures_rims: false, ..GOOD }.by(scale::NAME);
    let bound = |px_per_mm: f64| 0.5 * K95_PLACE * 1.5 * 0.5_f64.sqrt() / px_per_mm;
    for (px_per_mm, state) in [(20.0, State::Good), (5.0, State::Costs), (2.0, State::Stop)] {
        let advice = by(px_per_mm);
        let cost_mm = advice.cost_mm.unwrap();
        assert!(cost_mm < bound(px_per_mm) && cost_mm > 0.3 * bound(px_per_mm), "{cost_mm}: {advice:?}");
        assert_eq!(advice.state, state, "{advice:?}");
    }
    assert!(by(5.0).text.starts_with("5.0 px to the mm") && by(5.0).text.contains("0.020 mm"), "{}", by(5.0).text);
    assert_eq!(GOOD.by(scale::NAME).state, State::Good, "measured rims need no more");
}

#[test]
fn blur_costs_what_the_root_of_its_width_takes_away() {
    let by = |blur_px: f64| Taken { blur_px, ..GOOD }.by(blur::NAME);
    check_cost(&by(0.9), 0.0, 0.002, State::Good);
    let wide = by(2.5);
    assert_eq!(wide.state, State::Good, "rims of 40 px bear it: {wide:?}");
    assert!(wide.text.starts_with("An edge is spread over 5.") || wide.text.starts_with("An edge is spread over 4."));
    assert!(wide.cost_mm.unwrap() > 0.0, "{wide:?}");
    // 4.4 px in radius are under three blurs: the holes stand on their clicks, 1.5 px each at 4 px to the mm.
    let together = Taken { px_per_mm: 4.0, radius_mm: 1.1, blur_px: 2.0, ..GOOD }.by(blur::NAME);
    assert_eq!(together.state, State::Stop, "{together:?}");
}

#[test]
fn glare_that_hides_half_of_a_rim_is_found_where_it_is() {
    // Right of x = 30 the face is three times as light as white: half of the rims of H2 and H3.
    let glaring = Taken { bright: Some((30.0, 3.0)), px_per_mm: 5.0, ..GOOD };
    let advice = glaring.by(glare::NAME);
    assert!(advice.text.contains("of the rim of H") && advice.text.contains("one more"), "{advice:?}");
    assert!(advice.state.is_costly(), "{advice:?}");
    let map = glaring.map();
    for place in &advice.places {
        let plate = map.plate_from_photo(place.at).unwrap();
        assert!((plate.x - 32.0).abs() < 2.0 && (plate.y.abs() - 20.0).abs() < 1.0, "beside H2 or H3: {plate:?}");
    }
    assert_eq!(advice.places.len(), 2, "two rims");
    assert_eq!(GOOD.by(glare::NAME).text, "No rim is lost in glare.");
}

#[test]
fn what_is_cut_off_counts_by_area_and_costs_where_a_clicked_rim_runs() {
    // Of the box round the holes (68 x 48 mm) all right of x = 20 is white, 14 mm of 68, less a little for the holes.
    let clicked =
        |px_per_mm| Taken { bright: Some((30.0, 3.0)), measures_rims: false, px_per_mm, ..GOOD }.by(clipped::NAME);
    // Half a circle of places off by 0.674 * 0.9 px is off by 2/24 of the sum of 11 or 12 of their directions.
    let sum: f64 = (-5..=5).map(|i| (f64::from(i) * TAU / 24.0).cos()).sum();
    let expected = |px_per_mm: f64| 2.0 / 24.0 * sum * 0.674_49 * 0.9 / px_per_mm;
    check_cost(&clicked(5.0), expected(5.0), 0.01, State::Good);
    check_cost(&clicked(3.0), expected(3.0), 0.01, State::Costs);
    let elsewhere = Taken { bright: Some((20.0, 3.0)), ..GOOD };
    let far = Taken { bright: Some((31.0, 3.0)), radius_mm: 0.9, ..elsewhere }.by(clipped::NAME);
    check_cost(&far, 0.0, 1e-9, State::Good);
    // Holes of 0.9 mm: the box is 61.8 x 41.8 mm, less four discs; none of the 0.9 mm beyond 30 lies right of 31.
    assert!(far.text.starts_with("Nothing of the face is cut off"), "{far:?}");
    let strip = Taken { bright: Some((20.0, 3.0)), measures_rims: false, ..GOOD }.by(clipped::NAME);
    // 14 mm of 68 mm are white: 14 * 48 less two discs (100.5 mm²) of 68 * 48 less four (201 mm²) are 18.7 %.
    let share: f64 = strip.text.split(' ').next().unwrap().parse().unwrap();
    assert!((share - 18.7).abs() < 1.5, "tiles of 1.6 mm: {strip:?}");
}

#[test]
fn a_broken_edge_that_nobody_spoke_of_puts_the_size_out() {
    let broken = Taken { break_mm: 0.6, ..GOOD }.by(height::NAME);
    // Jaws read two breaks less over the longest length, the diagonal of 72.11 mm and two bores of 3.4: 36.06 * 1.2 / 78.9.
    check_cost(&broken, OFF_MM * 1.2 / 78.91, 0.08, State::Stop);
    assert_eq!(broken.places.len(), 4, "at every hole: {broken:?}");
    let flat = GOOD.by(height::NAME);
    check_cost(&flat, 0.0, 1e-9, State::Good);
    // 36.06 mm over 300.
    assert!(flat.text.contains("is 0.12 mm off"), "{flat:?}");
}

#[test]
fn a_record_that_is_lost_costs_where_the_tilt_rests_on_it() {
    assert!(GOOD.by(focal::NAME).text.starts_with("The file says how long the lens was, 3000 px"));
    let lost = Taken { has_record: false, ..GOOD }.by(focal::NAME);
    check_cost(&lost, 0.0, 0.02, State::Good);
    assert!(lost.text.contains("a guess"), "{lost:?}");
}

#[test]
fn a_file_made_smaller_costs_what_its_pixels_would_have_told() {
    let clicked = Taken { measures_rims: false, px_per_mm: 5.0, ..GOOD };
    check_cost(&clicked.by(file::NAME), K95_PLACE * 0.006 / 5.0, 1e-4, State::Good);
    let reduced = Taken { has_record: false, ..clicked }.by(file::NAME);
    assert!(reduced.state.is_costly() && reduced.text.contains("made smaller on its way"), "{reduced:?}");
    // Packed at 10 its steps are 500 % of the standard's, 6.25 times those at 60: 0.19 px, at 5 px to the mm 0.092 mm.
    let packed = Taken { jpeg_quality: Some(10.0), ..clicked }.by(file::NAME);
    check_cost(&packed, K95_PLACE * 0.03 * 6.25 / 5.0, 0.002, State::Good);
    let hard = Taken { jpeg_quality: Some(8.0), ..clicked }.by(file::NAME);
    check_cost(&hard, K95_PLACE * 0.03 * 7.8125 / 5.0, 0.002, State::Costs);
}

#[test]
fn what_costs_most_comes_first() {
    let all = Taken { stand_off_mm: 65.0, tilt_deg: 8.0, ..GOOD }.advice();
    let rank: Vec<(State, f64)> = all.iter().map(|advice| (advice.state, advice.cost_mm.unwrap_or(0.0))).collect();
    assert!(rank.windows(2).all(|pair| pair[0] >= pair[1]), "{rank:?}");
    assert_eq!(all[0].name, stand_off::NAME, "{:?}", all[0]);
}

#[test]
fn nothing_is_said_before_the_size_is_known() {
    assert_eq!(Taken { lengths: 0, ..GOOD }.advice(), Vec::new(), "no mm would mean anything");
}
