//! What a rendered photo shows of a job, against the plate that was rendered: rims, straight edges, corners.

#![expect(clippy::unwrap_used, reason = "a check that cannot get at what it judges has failed")]

use platewright_core::check;
use platewright_core::edge::Picture;
use platewright_core::instrument::Instrument;
use platewright_core::job::{Held, Hole, Id, Job, LensBeliefs, Measure, MeasureKind, NamedPoint, Photo, StraightEdge};
use platewright_core::seen::{self, Seen};
use platewright_core::solution::{FindingKind, Inputs, Solution, Weight, solve, solve_photo};
use platewright_core::space::PhotoPoint;
use platewright_synth::{Camera, Look, Plate, Random, RoundHole, render};

const SIZE: [u32; 2] = [1400, 1100];
const HOLES: [([f64; 2], f64); 5] =
    [([-40.0, -28.0], 6.0), ([42.0, -30.0], 6.0), ([41.0, 27.0], 8.0), ([-43.0, 29.0], 8.0), ([2.0, 1.0], 30.0)];
const CORNERS: [[f64; 2]; 4] = [[-55.0, -42.0], [54.0, -40.0], [52.0, 41.0], [-56.0, 43.0]];

struct Scene {
    bytes: Vec<u8>,
    camera: Camera,
    job: Job,
}

/// A thin plate with four straight sides and five holes, seen by a lens that bends, and the picks of a careful hand.
fn scene(seed: u64) -> Scene {
    let mut camera = Camera::looking_down(SIZE, 1500.0, 150.0, [0.07, 0.8, 0.1]);
    camera.distortion = [-0.09, 0.0, 0.0, 0.0];
    let holes = HOLES.map(|(centre, diameter)| RoundHole { centre, diameter }).to_vec();
    let plate = Plate { outline: CORNERS.to_vec(), holes, thickness: 0.0 };
    let look = Look { metal: 0.6, bench: 0.08, wall: 0.08, blur_px: 0.8, noise: 0.01 };
    let bytes = render(&plate, &camera, SIZE, &look, seed);
    let mut random = Random::new(seed ^ 0x5EE7);
    let mut pick = |[x, y]: [f64; 2]| {
        let [u, v] = camera.photo_from_plate([x, y, 0.0]);
        PhotoPoint::new(u + random.normal(1.0), v + random.normal(1.0))
    };
    let mut job = Job::new(Photo {
        file: "plate.png".to_owned(),
        sha256: "0".repeat(64),
        size: SIZE,
        held: Held::ByEye,
        focal_px: None,
        lens: LensBeliefs::default(),
    });
    for (number, ([x, y], diameter)) in HOLES.into_iter().enumerate() {
        let rim =
            [0.4_f64, 2.5, 4.6].map(|angle| pick([x + diameter / 2.0 * angle.cos(), y + diameter / 2.0 * angle.sin()]));
        job.holes.push(Hole {
            id: Id(format!("h{}", number + 1)),
            name: format!("H{}", number + 1),
            rim: rim.to_vec(),
            sigma_px: Some(1.0),
            measure_rim: true,
            group: None,
            edge_break: false,
            keep: true,
        });
    }
    for side in 0..4 {
        let [from, to] = [CORNERS[side], CORNERS[(side + 1) % 4]];
        let place = |share: f64| [from[0] + (to[0] - from[0]) * share, from[1] + (to[1] - from[1]) * share];
        let mut along = vec![pick(place(0.08)), pick(place(0.93))];
        // A side may be picked from either end.
        if side % 2 == 1 {
            along.reverse();
        }
        let (id, name) = (Id(format!("e{}", side + 1)), format!("E{}", side + 1));
        job.edges.push(StraightEdge { id, name, along, sigma_px: Some(1.0), measure_edge: true });
    }
    let at = pick(CORNERS[1]);
    job.points.push(NamedPoint { id: Id::from("p1"), name: "P1".to_owned(), at, sigma_px: Some(1.0) });
    let distance = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]);
    for (id, a, b) in [("m1", 0, 1), ("m2", 1, 3), ("m3", 0, 2), ("m4", 2, 3)] {
        let ((ca, da), (cb, db)) = (HOLES[a], HOLES[b]);
        let between = vec![job.holes[a].id.clone(), job.holes[b].id.clone()];
        let mm = distance(ca, cb) + f64::midpoint(da, db);
        job.measures.push(Measure {
            id: Id::from(id),
            kind: MeasureKind::FarRims,
            between,
            mm,
            sigma_mm: 0.05,
            in_use: true,
        });
    }
    Scene { bytes, camera, job }
}

impl Scene {
    fn picture(&self) -> Picture<'_> {
        Picture::from_srgb(SIZE, &self.bytes).unwrap()
    }

    fn solved(&self, job: &Job) -> (Seen, Solution) {
        let inputs = Inputs { job, exif_focal_px: Some(1500.0), instrument: Instrument::CALIPER, seen: None };
        solve_photo(&inputs, &self.picture(), &|| true).unwrap()
    }

    fn see(&self, [x, y]: [f64; 2]) -> PhotoPoint {
        PhotoPoint::from(self.camera.photo_from_plate([x, y, 0.0]))
    }
}

#[test]
fn rims_edges_and_corners_are_where_the_plate_has_them() {
    let scene = scene(11);
    let (seen, solution) = scene.solved(&scene.job);
    assert!(solution.holes.iter().all(|hole| hole.is_measured), "every rim is measured: {:?}", solution.findings);
    let map = solution.map.unwrap();
    for (hole, (centre, _)) in solution.holes.iter().zip(HOLES) {
        let off = map.photo_from_plate(hole.centre).unwrap().distance(scene.see(centre));
        assert!(off < 0.08, "{}: its centre is off by {off} px", hole.id.0);
    }
    for (side, edge) in scene.job.edges.iter().enumerate() {
        let measured = seen.side(edge).unwrap().serves();
        let points = measured.unwrap_or_else(|| panic!("{}: {:?}", edge.name, seen.side(edge).unwrap().doubt())).at;
        let [from, to] = [CORNERS[side], CORNERS[(side + 1) % 4]];
        // By the true camera, since the lens bends the side in the photo.
        let off = |point: &PhotoPoint| {
            let [x, y] = scene.camera.plate_from_photo([point.x, point.y], 0.0);
            let length = (to[0] - from[0]).hypot(to[1] - from[1]);
            ((x - from[0]) * (to[1] - from[1]) - (y - from[1]) * (to[0] - from[0])) / length * 10.0
        };
        let mean = points.iter().map(off).sum::<f64>() / points.len() as f64;
        assert!(mean.abs() < 0.06, "{}: off by {mean} px on average", edge.name);
    }
    let corner = seen.corner(&scene.job.points[0], &scene.job).unwrap();
    assert_eq!(corner.edges, ["e1", "e2"].map(Id::from), "the edges that cross there");
    let off = map.photo_from_plate(solution.points[0].at).unwrap().distance(scene.see(CORNERS[1]));
    assert!(off < 0.15, "the corner is off by {off} px");
    let picked = scene.job.points[0].at.distance(scene.see(CORNERS[1]));
    assert!(off < picked, "the pick itself is off by {picked} px");
}

#[test]
fn what_was_seen_does_not_answer_for_picks_that_were_moved() {
    let scene = scene(12);
    let (seen, solution) = scene.solved(&scene.job);
    let mut moved = scene.job.clone();
    moved.holes[0].rim[1].x += 1.0;
    moved.edges[2].along[0].y += 1.0;
    assert!(seen.rim(&moved.holes[0]).is_none() && seen.rim(&moved.holes[1]).is_some(), "the moved hole alone");
    assert!(seen.side(&moved.edges[2]).is_none() && seen.side(&moved.edges[1]).is_some(), "the moved edge alone");
    assert_eq!(seen.unseen(&moved), 2, "both are to be looked for");
    let again = seen::look_again(&moved, &scene.picture(), &solution.map.unwrap(), &seen);
    assert_eq!(again.unseen(&moved), 0, "and are found again");
    assert_eq!(again.rim(&moved.holes[1]), seen.rim(&moved.holes[1]), "the others are as they were");
    moved.holes[1].measure_rim = false;
    assert!(again.rim(&moved.holes[1]).is_none(), "by its picks, says the person");
}

#[test]
fn two_holes_and_no_measure_are_measured_by_a_camera_that_is_nearly_unknown() {
    let scene = scene(13);
    for holes in 1..=3 {
        let mut job = scene.job.clone();
        job.holes.truncate(holes);
        (job.measures, job.edges, job.points) = (Vec::new(), Vec::new(), Vec::new());
        let (seen, _) = scene.solved(&job);
        for rim in &seen.rims {
            assert!(rim.serves().is_some(), "{} of {holes}: {:?}", rim.id.0, rim.doubt());
        }
    }
}

#[test]
fn the_same_photo_and_job_give_the_same_digits() {
    let scene = scene(14);
    let (seen, solution) = scene.solved(&scene.job);
    let (again, solved_again) = scene.solved(&scene.job);
    assert_eq!(seen, again, "what was seen");
    assert_eq!(solution.holes, solved_again.holes, "and what follows");
}

#[test]
fn a_point_that_was_picked_far_from_a_corner_is_none_however_careless_the_pick_is_said_to_be() {
    let scene = scene(15);
    let mut job = scene.job.clone();
    job.points[0].sigma_px = Some(1e6);
    let (seen, _) = scene.solved(&job);
    assert!(seen.corner(&job.points[0], &job).is_some(), "near the corner it is that corner");
    job.points[0].at.x += 40.0;
    let (seen, _) = scene.solved(&job);
    assert!(seen.corner(&job.points[0], &job).is_none(), "40 px beside it, it is another place");
}

#[test]
fn where_a_misread_measure_bends_the_measured_rims_off_their_holes_no_figure_stands() {
    let scene = scene(11);
    let (seen, solution) = scene.solved(&scene.job);
    assert!(solution.fits_together(), "read well, all fits: {:?}", solution.findings);
    let mut job = scene.job.clone();
    job.measures.truncate(2);
    job.measures[1].mm *= 1.2;
    let inputs = Inputs { job: &job, exif_focal_px: Some(1500.0), instrument: Instrument::CALIPER, seen: Some(&seen) };
    let solution = solve(&inputs);
    let rms_px = solution.holes.iter().map(|hole| hole.rim_rms_px).fold(0.0, f64::max);
    assert!(rms_px > 3.0, "the rims are bent: {rms_px} px");
    assert!(!solution.fits_together(), "and that is said: {:#?}", solution.findings);
    let bent = solution.findings.iter().find(|finding| finding.kind == FindingKind::BentRims).unwrap();
    assert_eq!(bent.weight, Weight::Disagrees, "{}", bent.text);
    assert!(bent.text.starts_with("The fit bends the rim"), "{}", bent.text);
    assert!(bent.text.contains("A hand measure is misread") && bent.text.contains("M2 again."), "{}", bent.text);
    let checks = check::all(&job, &solution);
    let said = checks.iter().find(|check| check.text == bent.text).unwrap();
    assert_eq!((said.name, said.verdict), ("Measures agree", check::Verdict::Fail), "nothing is cut from it");
}
