//! From a job to its solution: what is found, what is said, and what must never happen.

mod added;
mod causes;
mod doubted;
mod groundwork;
mod misreadings;
mod odds;
mod statements;
mod trials;

use super::{Inputs, MeasureVerdict, Solution, Weight, solve, solve_photo};
use crate::camera::{Lens, PlateMap, Pose};
use crate::edge::Picture;
use crate::instrument::Instrument;
use crate::job::{
    Datum, Held, Hole, Id, Job, LensBeliefs, Measure, MeasureKind, NamedPoint, Photo, Statement, StatementKind,
    StraightEdge,
};
use crate::space::{PhotoPoint, PhotoVec, PlatePoint, PlateVec};
use proptest::prelude::*;

/// Centres and rim radii of the plate, mm.
const HOLES: [(f64, f64, f64); 6] = [
    (-60.0, -40.0, 4.5),
    (62.0, -38.0, 4.5),
    (58.0, 41.0, 6.0),
    (-57.0, 44.0, 6.0),
    (2.0, 3.0, 17.0),
    (25.0, 5.0, 3.3),
];
const SIZE: [u32; 2] = [4000, 3000];
const FOCAL: f64 = 4100.0;

/// The camera that took the picture: tilted by a few degrees, which nobody told.
fn camera() -> PlateMap {
    let lens = Lens { k1: -0.02, ..Lens::pinhole(FOCAL, PhotoPoint::new(2010.0, 1490.0)) };
    PlateMap::new(lens, Pose { distance_mm: 330.0, tilt_a_rad: 0.06, tilt_b_rad: -0.04 })
}

/// Picks are off by up to a px, each time the same.
fn pick(seen: PhotoPoint, number: usize) -> PhotoPoint {
    let turn = number as f64 * 2.4;
    seen + PhotoVec::new(turn.sin(), (1.7 * turn).cos())
}

fn hole(number: usize) -> Hole {
    let (x, y, r) = HOLES[number];
    let rim = (0..4).map(|k| PlatePoint::new(x, y) + PlateVec::from_angle(0.3 + f64::from(k) * 1.6) * r);
    let rim = rim.enumerate().map(|(k, p)| pick(camera().photo_from_plate(p).unwrap(), 4 * number + k)).collect();
    let id = Id(format!("h{}", number + 1));
    let name = format!("H{}", number + 1);
    Hole { id, name, rim, sigma_px: None, measure_rim: true, group: None, edge_break: false, keep: true }
}

/// A measure with the true length, its standard deviation that of a caliper.
fn measure(number: usize, kind: MeasureKind, a: usize, b: usize) -> Measure {
    let ((ax, ay, ar), (bx, by, br)) = (HOLES[a], HOLES[b]);
    let apart = (ax - bx).hypot(ay - by);
    let mm = match kind {
        MeasureKind::FarRims => apart + ar + br,
        MeasureKind::NearRims => apart - ar - br,
        MeasureKind::Diameter => 2.0 * ar,
        _ => apart,
    };
    let mut between = vec![Id(format!("h{}", a + 1)), Id(format!("h{}", b + 1))];
    between.truncate(if kind == MeasureKind::Diameter { 1 } else { 2 });
    Measure { id: Id(format!("m{number}")), kind, between, mm, sigma_mm: 0.05, in_use: true }
}

fn job(holes: usize, measures: Vec<Measure>) -> Job {
    let photo = Photo {
        file: "flange.jpg".to_owned(),
        sha256: "0".repeat(64),
        size: SIZE,
        held: Held::ByEye,
        focal_px: None,
        lens: LensBeliefs::default(),
    };
    Job { holes: (0..holes).map(hole).collect(), measures, ..Job::new(photo) }
}

/// Ten measures that check each other.
fn ten() -> Vec<Measure> {
    use MeasureKind::{Diameter, FarRims, NearRims};
    let list = [
        (FarRims, 0, 1),
        (FarRims, 1, 2),
        (FarRims, 2, 3),
        (FarRims, 3, 0),
        (NearRims, 0, 2),
        (NearRims, 1, 3),
        (NearRims, 0, 4),
        (NearRims, 2, 4),
        (Diameter, 4, 4),
        (FarRims, 4, 1),
    ];
    list.into_iter().enumerate().map(|(i, (kind, a, b))| measure(i + 1, kind, a, b)).collect()
}

fn solved(job: &Job) -> Solution {
    let solution =
        solve(&Inputs { job, exif_focal_px: Some(1.02 * FOCAL), instrument: Instrument::CALIPER, seen: None });
    assert_finite(&solution);
    solution
}

fn assert_finite(solution: &Solution) {
    let places =
        solution.holes.iter().map(|h| (h.centre, h.ellipse)).chain(solution.points.iter().map(|p| (p.at, p.ellipse)));
    for (at, ellipse) in places {
        assert!(at.is_finite() && ellipse.major_mm.is_finite() && ellipse.minor_mm >= 0.0, "{at:?} {ellipse:?}");
    }
    for hole in &solution.holes {
        let figures = [hole.rim_diameter_mm, hole.bore_diameter_mm, hole.diameter_sigma_mm, hole.rim_rms_px];
        assert!(figures.iter().all(|figure| figure.is_finite()), "{hole:?}");
    }
    for m in &solution.measures {
        let figures = [m.fitted_mm, m.redundancy, m.w.unwrap_or(0.0), m.noticed_mm.unwrap_or(0.0)];
        assert!(figures.iter().all(|figure| figure.is_finite()), "{m:?}");
    }
    let fit = &solution.fit;
    let figures = [fit.variance_factor, fit.p_value, fit.worst_sigma_mm, fit.scale_sigma];
    assert!(figures.iter().flatten().all(|figure| figure.is_finite()), "{fit:?}");
}

fn says(solution: &Solution, weight: Weight, text: &str) {
    let found = solution.findings.iter().any(|finding| finding.weight == weight && finding.text == text);
    assert!(found, "'{text}' is not among {:#?}", solution.findings);
}

/// Distances between all hole centres: what remains of them when shifts and turns do not matter.
fn distances(solution: &Solution, order: &[usize]) -> Vec<f64> {
    let at = |i: usize| solution.holes[order[i]].centre;
    (0..order.len()).flat_map(|i| (0..i).map(move |j| (i, j))).map(|(i, j)| at(i).distance(at(j))).collect()
}

#[test]
fn holes_come_out_where_they_are() {
    let solution = solved(&job(6, ten()));
    for (i, a) in solution.holes.iter().enumerate() {
        for (j, b) in solution.holes.iter().enumerate().take(i) {
            let ((ax, ay, _), (bx, by, _)) = (HOLES[i], HOLES[j]);
            let off = a.centre.distance(b.centre) - (ax - bx).hypot(ay - by);
            let within = 3.0 * (a.sigma_mm() + b.sigma_mm());
            assert!(off.abs() < within, "{} to {} is {off} mm off, good to {within}", a.id, b.id);
        }
        assert!((a.rim_diameter_mm - 2.0 * HOLES[i].2).abs() < 0.25, "{} is {} mm wide", a.id, a.rim_diameter_mm);
        assert!(a.plus_minus_mm() < 0.4, "{} is good to {} mm", a.id, a.plus_minus_mm());
    }
    assert!(solution.fit.scale_known(), "ten measures fix the scale");
    assert!(solution.measures.iter().all(|m| m.verdict != MeasureVerdict::Disagrees), "{:#?}", solution.measures);
}

#[test]
fn the_datum_is_kept() {
    let mut job = job(6, ten());
    let solution = solved(&job);
    assert!(solution.holes[0].centre.distance(PlatePoint::default()) < 1e-12, "the first hole at the origin");
    assert!(solution.holes[1].centre.y.abs() < 1e-12, "the second along x");
    assert!(solution.holes[3].centre.y > 50.0, "y up as the camera sees it");
    job.datum = Some(Datum { origin: "h5".into(), along: "h3".into() });
    let solution = solved(&job);
    assert!(solution.holes[4].centre.distance(PlatePoint::default()) < 1e-12, "what the job says");
    assert!(solution.holes[2].centre.y.abs() < 1e-12 && solution.holes[2].centre.x > 60.0, "x runs to it");
    let map = solution.map.unwrap();
    let seen = map.photo_from_plate(solution.holes[2].centre).unwrap();
    assert!(seen.distance(camera().photo_from_plate(PlatePoint::new(58.0, 41.0)).unwrap()) < 2.0, "and the map agrees");
}

#[test]
fn the_order_of_things_does_not_matter() {
    let plain = job(6, ten());
    let mut turned_about = plain.clone();
    turned_about.holes.reverse();
    turned_about.measures.rotate_left(3);
    for hole in &mut turned_about.holes {
        hole.rim.reverse();
    }
    for measure in &mut turned_about.measures {
        measure.between.reverse();
    }
    let here = distances(&solved(&plain), &[0, 1, 2, 3, 4, 5]);
    let there = distances(&solved(&turned_about), &[5, 4, 3, 2, 1, 0]);
    for (a, b) in here.iter().zip(&there) {
        assert!((a - b).abs() < 1e-8, "{a} mm and {b} mm");
    }
}

#[test]
fn a_photo_turned_by_a_quarter_gives_the_same_part() {
    let plain = job(6, ten());
    let mut turned = plain.clone();
    turned.photo.size = [SIZE[1], SIZE[0]];
    for p in turned.holes.iter_mut().flat_map(|hole| &mut hole.rim) {
        *p = PhotoPoint::new(f64::from(SIZE[1] - 1) - p.y, p.x);
    }
    let (here, there) = (solved(&plain), solved(&turned));
    for (a, b) in here.holes.iter().zip(&there.holes) {
        assert!(a.centre.distance(b.centre) < 1e-8, "{:?} and {:?}", a.centre, b.centre);
        assert!((a.sigma_mm() - b.sigma_mm()).abs() < 1e-7, "known equally well");
    }
}

/// Two clicks on one pixel are one place, whichever two. Some make a matrix that rounding lets pass for regular.
#[test]
fn a_double_click_makes_no_hole() {
    let ends = [(1_607.872_221_6, 2_184.042_447_5), (1_744.253_952_3, 2_185.892_587_2)];
    for pick in [[0, 0, 1], [0, 1, 0], [1, 0, 0], [1, 1, 0]] {
        let mut job = job(6, ten());
        job.holes[0].rim = pick.map(|end| PhotoPoint::new(ends[end].0, ends[end].1)).to_vec();
        let solution = solved(&job);
        assert_eq!(solution.holes.len(), 5, "H1 is not found");
        let text = "H1 is no circle yet: its picks are too close together or in a line. Spread them.";
        says(&solution, Weight::NotKnown, text);
        assert!(solution.suspects.is_empty(), "and no measure is blamed for it: {:?}", solution.suspects);
    }
}

#[test]
fn without_a_measure_sizes_are_not_known() {
    let solution = solved(&job(6, Vec::new()));
    assert!(!solution.fit.scale_known(), "nothing says how large it is");
    says(&solution, Weight::NotKnown, "Scale: no measure so far. Sizes are not known until one is taken.");
    assert!(!solution.measure_next.is_empty(), "what to measure is said");
}

#[test]
fn one_measure_does_not_fix_the_tilt() {
    let solution = solved(&job(6, vec![measure(1, MeasureKind::FarRims, 0, 1)]));
    let within = 2.447_746_830_680_816 * solution.fit.worst_sigma_mm.unwrap();
    assert!(within > 1.0, "five degrees of tilt are not known away: {within}");
    let start = format!("One measure does not fix the tilt: the worst hole is good to ±{within:.2} mm only. Measure H");
    assert!(solution.findings.iter().any(|f| f.text.starts_with(&start)), "{:#?}", solution.findings);
    assert_eq!(solution.measures[0].verdict, MeasureVerdict::Unchecked, "nothing checks a single measure");
    assert_eq!(solution.measures[0].w, None, "nor is there anything to test");
    let next = &solution.measure_next[0];
    assert!(next.worst_sigma_after_mm < 0.8 * next.worst_sigma_before_mm, "a second one helps: {next:?}");
}

#[test]
fn a_misreading_is_named() {
    let mut job = job(6, ten());
    job.measures[5].mm += 1.0;
    let solution = solved(&job);
    assert_eq!(solution.measures[5].verdict, MeasureVerdict::Disagrees, "{:#?}", solution.measures[5]);
    let disagreeing = solution.measures.iter().filter(|m| m.verdict == MeasureVerdict::Disagrees).count();
    assert_eq!(disagreeing, 1, "and only the one");
    let finding = &solution.findings[0];
    assert_eq!((finding.weight, &finding.about), (Weight::Disagrees, &Some("m6".into())), "first of all");
    assert!(finding.text.starts_with("M6 does not agree with the rest: it is ") && finding.text.contains(" mm long."));
    let told: f64 = finding.text.split_whitespace().nth(9).unwrap().parse().unwrap();
    assert!((told - 1.0).abs() < 0.1, "by about as much as it is: {}", finding.text);
    job.measures[5].in_use = false;
    let solution = solved(&job);
    assert_eq!(solution.measures[5].verdict, MeasureVerdict::LeftOut, "left out");
    assert!((solution.measures[5].off_mm() - 1.0).abs() < 0.2, "still compared");
    assert!(solution.measures.iter().all(|m| m.verdict != MeasureVerdict::Disagrees), "the rest agree");
}

/// The kind of a measure typed wrong, which moves its length by a whole diameter: every one is named alone, and the part
/// is shown as it is without it, to the last digit.
#[test]
fn a_measure_of_the_wrong_kind_is_set_aside_and_said() {
    for wrong in [0, 2, 4, 9] {
        let mut measures = ten();
        let kind = measures[wrong].kind;
        measures[wrong].kind = if kind == MeasureKind::FarRims { MeasureKind::NearRims } else { MeasureKind::FarRims };
        let bent = solved(&job(6, measures.clone()));
        let sentence = format!("M{} cannot be meant", wrong + 1);
        assert!(bent.findings[0].text.starts_with(&sentence), "{sentence}: {:?}", bent.findings);
        let accused = bent.measures.iter().filter(|fit| fit.verdict == MeasureVerdict::Disagrees);
        assert_eq!(accused.map(|fit| &fit.id).collect::<Vec<_>>(), [&measures[wrong].id], "and no other is accused");
        measures[wrong].in_use = false;
        let without = solved(&job(6, measures));
        assert_eq!(bent.holes, without.holes, "M{} does not bend the part", wrong + 1);
    }
}

#[test]
fn two_measures_that_contradict_each_other_are_both_named() {
    let mut measures = vec![measure(1, MeasureKind::FarRims, 0, 1), measure(2, MeasureKind::FarRims, 0, 1)];
    measures[1].mm += 2.0;
    let solution = solved(&job(6, measures));
    // The same two holes, so that the kind has to be said.
    let text = "M1 and M2 explain the misfit equally well. Measure the near rims of H1 and H2 to tell which.";
    assert_eq!(solution.findings[0].text, text);
    assert!(solution.measures.iter().all(|m| m.verdict == MeasureVerdict::Disagrees), "neither is believed");
}

/// Nobody reads fifty accusations, and few of them would be right.
#[test]
fn of_many_contradictions_the_first_few_are_told() {
    let mut measures: Vec<Measure> = (0..5).flat_map(|_| ten()).collect();
    for (place, measure) in measures.iter_mut().enumerate() {
        measure.id = Id(format!("m{place}"));
        measure.mm += 4.0 * (2.4 * place as f64).sin();
    }
    let solution = solved(&job(6, measures));
    let told = solution.findings.iter().filter(|finding| finding.weight == Weight::Disagrees).count();
    assert!((2..=10).contains(&told), "{:#?}", solution.findings);
    let besides = solution.suspects.len() - 4;
    let text = format!("{besides} more do not agree either. Settle these first, and most of the rest may follow.");
    says(&solution, Weight::Disagrees, &text);
}

#[test]
fn one_hole_alone_is_not_called_good() {
    let mut job = job(1, vec![measure(1, MeasureKind::Diameter, 0, 0)]);
    job.measures.push(Measure { id: "m2".into(), ..job.measures[0].clone() });
    let solution = solved(&job);
    assert_eq!(solution.fit.worst_sigma_mm, None, "there is nothing that it could be off from");
    let text = "H1 alone lies nowhere: it takes a second hole to say how well they lie to each other.";
    says(&solution, Weight::NotKnown, text);
}

#[test]
fn unfinished_features_are_said() {
    let mut job = job(6, ten());
    job.holes[2].rim.truncate(2);
    job.holes[3].rim =
        vec![PhotoPoint::new(100.0, 100.0), PhotoPoint::new(110.0, 100.0), PhotoPoint::new(120.0, 100.0)];
    job.edges.push(StraightEdge {
        id: "e1".into(),
        name: "E1".to_owned(),
        along: vec![PhotoPoint::new(10.0, 10.0)],
        sigma_px: None,
        measure_edge: true,
    });
    let on_it = |name: &str| NamedPoint {
        id: name.into(),
        name: name.to_uppercase(),
        at: PhotoPoint::new(900.0, 900.0),
        sigma_px: None,
    };
    job.points = vec![on_it("p1"), on_it("p2")];
    let between = vec!["e1".into(), "p1".into(), "p2".into()];
    let kind = StatementKind::Straight;
    job.statements = vec![Statement { id: "s1".into(), kind, between, sigma_mm: 0.05, in_use: true }];
    let solution = solved(&job);
    says(&solution, Weight::NotKnown, "H3 has two picks; a third makes it a hole.");
    says(&solution, Weight::NotKnown, "S1 waits until E1 can be fitted; it does not count so far.");
    says(
        &solution,
        Weight::NotKnown,
        "H4 is no circle yet: its picks are too close together or in a line. Spread them.",
    );
    says(&solution, Weight::NotKnown, "E1 is no edge yet; two picks well apart make it one.");
    assert_eq!(solution.holes.len(), 4, "the others are fitted");
    assert_eq!(solution.measures[1].verdict, MeasureVerdict::Waits, "H2 to H3 waits");
    says(&solution, Weight::NotKnown, "M2 waits until H2 and H3 can be fitted; it does not count so far.");
}

#[test]
fn a_broken_edge_is_told_from_the_bore() {
    let mut job = job(6, ten());
    for hole in &mut job.holes[..4] {
        hole.edge_break = true;
        hole.group = Some("studs".into());
    }
    // Jaws that reach 0.4 mm less on either side: the bores are smaller than the rims that are seen.
    for (i, by) in [(0, -0.8), (1, -0.8), (2, -0.8), (3, -0.8), (4, 0.8), (5, 0.8), (6, 0.4), (7, 0.4), (9, -0.4)] {
        job.measures[i].mm += by;
    }
    let solution = solved(&job);
    let widths = solution.holes[..4].iter().map(|h| 0.5 * (h.rim_diameter_mm - h.bore_diameter_mm));
    for width in widths {
        assert!((width - 0.4).abs() < 0.1, "the width of the break comes out, shared by the group: {width}");
    }
    let whole = &solution.holes[4];
    assert!((whole.rim_diameter_mm - whole.bore_diameter_mm).abs() < 1e-12, "no break, no difference");
}

#[test]
fn edges_and_points_are_measured_as_well() {
    let mut job = job(6, ten());
    let edge = |number: usize, x: f64| StraightEdge {
        id: Id(format!("e{number}")),
        name: format!("E{number}"),
        along: [-50.0, 0.0, 50.0].map(|y| camera().photo_from_plate(PlatePoint::new(x, y)).unwrap()).to_vec(),
        sigma_px: None,
        measure_edge: true,
    };
    job.edges = vec![edge(1, -80.0), edge(2, 85.0)];
    let corner = |number: usize, y: f64| NamedPoint {
        id: Id(format!("p{number}")),
        name: format!("P{number}"),
        at: camera().photo_from_plate(PlatePoint::new(85.0, y)).unwrap(),
        sigma_px: None,
    };
    job.points = vec![corner(1, -60.0), corner(2, 60.0)];
    for (id, kind, between, mm) in [
        ("m11", MeasureKind::Edges, ["e1", "e2"], 165.0),
        ("m12", MeasureKind::RimToEdge, ["h1", "e1"], 15.5),
        ("m13", MeasureKind::RimToEdge, ["e2", "h3"], 21.0),
        ("m14", MeasureKind::Points, ["p1", "p2"], 120.0),
    ] {
        let between = between.map(Id::from).to_vec();
        job.measures.push(Measure { id: id.into(), kind, between, mm, sigma_mm: 0.05, in_use: true });
    }
    let solution = solved(&job);
    for m in &solution.measures[10..] {
        assert!(m.off_mm().abs() < 0.15, "{m:?}");
        assert!(matches!(m.verdict, MeasureVerdict::Agrees | MeasureVerdict::Unchecked), "{m:?}");
    }
    assert_eq!(solution.points.len(), 2, "points are fitted");
}

#[test]
fn nothing_gives_nothing() {
    let solution = solved(&job(0, Vec::new()));
    assert!(solution.map.is_none() && solution.camera.is_none() && solution.findings.is_empty(), "{solution:#?}");
}

#[test]
fn odd_jobs_stay_finite() {
    let one = job(1, vec![measure(1, MeasureKind::Diameter, 0, 0)]);
    assert_eq!(solved(&one).holes.len(), 1, "one hole");
    let two = job(2, vec![measure(1, MeasureKind::Centres, 0, 1)]);
    assert_eq!(solved(&two).holes.len(), 2, "two holes");
    let mut twins = job(4, ten());
    twins.holes[1].rim = twins.holes[0].rim.clone();
    solved(&twins);
    let mut doubled = job(6, ten());
    for hole in &mut doubled.holes {
        hole.rim.push(hole.rim[0]);
        hole.rim.push(hole.rim[0]);
    }
    solved(&doubled);
    let mut pairs = job(6, ten());
    pairs.holes[0].rim = vec![pairs.holes[0].rim[0]; 3];
    pairs.holes[1].rim[1] = pairs.holes[1].rim[0];
    pairs.holes[1].rim.truncate(3);
    solved(&pairs);
    let mut wild = job(6, ten());
    wild.holes[2].rim[1] = PhotoPoint::new(-5000.0, 9000.0);
    wild.measures[3].mm = 2.0;
    wild.measures[4].mm = 9000.0;
    let wild = solved(&wild);
    assert!(wild.findings.iter().any(|finding| finding.weight == Weight::Disagrees), "{:#?}", wild.findings);
    let mut dropped = job(6, ten());
    dropped.holes.iter_mut().for_each(|hole| hole.keep = false);
    assert_eq!(solved(&dropped).fit.worst_hole, None, "nothing is kept, so nothing is worst");
}

#[test]
fn the_same_job_gives_the_same_digits() {
    let job = job(6, ten());
    let (once, again) = (solved(&job), solved(&job));
    assert_eq!((once.holes, once.measures, once.fit), (again.holes, again.measures, again.fit), "to the last bit");
}

proptest! {
    /// Picks anywhere, measures of any size between anything: never a panic, never a NaN.
    #[test]
    fn nonsense_stays_finite(
        picks in prop::collection::vec(prop::collection::vec((-500.0..4500.0, -500.0..3500.0), 0..6), 0..5),
        readings in prop::collection::vec((0_usize..4, 0_usize..6, 0_usize..6, 0.01..2000.0, 0.001..5.0), 0..8),
        held in 0..3,
    ) {
        use MeasureKind::{Centres, Diameter, FarRims, NearRims};
        let mut job = job(picks.len(), Vec::new());
        job.photo.held = [Held::ByEye, Held::Levelled, Held::Unknown][usize::try_from(held).unwrap_or(0)];
        for (hole, picks) in job.holes.iter_mut().zip(&picks) {
            hole.rim = picks.iter().map(|(x, y)| PhotoPoint::new(*x, *y)).collect();
        }
        for (i, (kind, a, b, mm, sigma_mm)) in readings.into_iter().enumerate() {
            let kind = [Centres, FarRims, NearRims, Diameter][kind];
            job.measures.push(Measure { mm, sigma_mm, ..measure(i, kind, a, b) });
        }
        solved(&job);
    }
}

#[test]
fn a_hole_that_is_not_in_the_fit_is_not_said_to_stand_on_its_picks() {
    let mut job = job(3, Vec::new());
    job.holes[1].rim = vec![PhotoPoint::new(900.0, 900.0); 3];
    job.photo.size = [400, 300];
    let grey = vec![120; 400 * 300 * 3];
    let picture = Picture::from_srgb(job.photo.size, &grey).unwrap();
    let inputs = Inputs { job: &job, exif_focal_px: Some(FOCAL), instrument: Instrument::CALIPER, seen: None };
    let (_, solution) = solve_photo(&inputs, &picture, &|| true).unwrap();
    let of = |id: &Id| {
        let about = solution.findings.iter().filter(|finding| finding.about.as_ref() == Some(id));
        about.map(|finding| finding.text.as_str()).collect::<Vec<_>>()
    };
    let [alone, no_circle] = [of(&job.holes[0].id), of(&job.holes[1].id)];
    assert!(alone.iter().any(|text| text.starts_with("H1 stands on its picks alone")), "nothing is there: {alone:?}");
    assert!(no_circle.iter().all(|text| !text.contains("stands on")), "it stands on nothing yet: {no_circle:?}");
    assert!(no_circle.iter().any(|text| text.starts_with("H2 is no circle yet")), "that is said: {no_circle:?}");
}
