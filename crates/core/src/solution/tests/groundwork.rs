//! What is taken over from one solve to the next gives the digits of a solve from nothing.

use super::*;
use crate::edge::{EdgePoint, FaceSide, FollowedPiece};
use crate::job::{Contour, Meant, MeantKind, Node, Role};
use crate::seen::{ContourSeen, Seen};
use crate::solution::Groundwork;

/// Corners of the plate, counter-clockwise, mm.
const CORNERS: [(f64, f64); 5] = [(-80.0, -60.0), (80.0, -60.0), (80.0, 60.0), (0.0, 75.0), (-80.0, 60.0)];

fn seen_at(x: f64, y: f64) -> PhotoPoint {
    camera().photo_from_plate(PlatePoint::new(x, y)).unwrap()
}

/// The plate's outline from rough nodes: one is pinned, one piece is as drawn, and two sides are agreed to be square.
fn outline() -> Contour {
    let node = |(number, (x, y)): (usize, (f64, f64))| Node::corner(pick(seen_at(x, y), number));
    let mut nodes: Vec<Node> = CORNERS.into_iter().enumerate().map(node).collect();
    nodes[1].pinned = true;
    nodes[3].as_drawn = true;
    let of = vec![seen_at(0.0, -60.0), seen_at(80.0, 10.0)];
    let agreed = vec![Meant { kind: MeantKind::Square, of, hole: None, mm: None }];
    Contour { closed: true, follow_edge: true, nodes, agreed, ..Contour::new("outline".into(), Role::Outer) }
}

/// An opening that is as drawn.
fn opening() -> Contour {
    let corners = [(20.0, 20.0), (35.0, 22.0), (30.0, 33.0)];
    let nodes = corners.into_iter().map(|(x, y)| Node::corner(seen_at(x, y))).collect();
    Contour { closed: true, nodes, ..Contour::new("opening".into(), Role::Opening) }
}

/// What is measured along the outline; how it scatters follows from the nodes, as where it is measured does.
fn seen_along(contour: &Contour) -> Seen {
    let piece = |number: usize| {
        let ends = [number, (number + 1) % CORNERS.len()];
        let [(from_x, from_y), (to_x, to_y)] = ends.map(|end| CORNERS[end]);
        let point = |step: u32| {
            let share = (f64::from(step) + 0.5) / 300.0;
            let at = seen_at(from_x + share * (to_x - from_x), from_y + share * (to_y - from_y));
            let scatter = PhotoVec::from_angle(f64::from(step) + contour.nodes[ends[0]].at.x) * 0.1;
            EdgePoint { at: at + scatter, sigma_px: 0.1, off_px: 0.0, contrast: 0.5 }
        };
        FollowedPiece { points: (4..296).map(point).collect(), rejected: Vec::new() }
    };
    let pieces = (0..CORNERS.len()).map(|number| contour.follows(number).then(|| piece(number)));
    let contours = vec![ContourSeen::known(contour, FaceSide::Left, pieces.collect())];
    Seen { contours, ..Seen::default() }
}

fn traced() -> Job {
    Job { contours: vec![outline(), opening()], ..job(6, ten()) }
}

/// Solves both in hand and whole, from what is kept and from nothing.
fn assert_same(kept: &mut [Groundwork; 2], inputs: &Inputs<'_>, what: &str) {
    let solved = |[in_hand, whole]: &mut [Groundwork; 2]| {
        [in_hand.solve_in_hand(inputs), whole.solve_again(inputs, &|_| None)].map(|solution| format!("{solution:?}"))
    };
    let ([in_hand, whole], nothing) = (solved(kept), solved(&mut [Groundwork::default(), Groundwork::default()]));
    assert!(in_hand == nothing[0], "{what}, in hand:\n{in_hand}\nand from nothing:\n{}", nothing[0]);
    assert!(whole == nothing[1], "{what}, whole:\n{whole}\nand from nothing:\n{}", nothing[1]);
}

fn inputs<'a>(job: &'a Job, seen: &'a Seen) -> Inputs<'a> {
    Inputs { job, exif_focal_px: Some(1.02 * FOCAL), instrument: Instrument::CALIPER, seen: Some(seen) }
}

#[test]
fn a_node_in_hand_takes_over_all_else() {
    let (mut job, mut kept) = (traced(), <[Groundwork; 2]>::default());
    for step in 0..4 {
        for node in [0, 1, 3] {
            job.contours[0].nodes[node].at = job.contours[0].nodes[node].at + PhotoVec::from_angle(f64::from(step));
            let seen = seen_along(&job.contours[0]);
            assert_same(&mut kept, &inputs(&job, &seen), &format!("node {node} at step {step}"));
        }
        job.contours[1].nodes[0].at = job.contours[1].nodes[0].at + PhotoVec::from_angle(f64::from(step));
        let seen = seen_along(&job.contours[0]);
        assert_same(&mut kept, &inputs(&job, &seen), &format!("the opening at step {step}"));
    }
    let measured = kept[0].solve_in_hand(&inputs(&job, &seen_along(&job.contours[0]))).contours[0].measured.clone();
    let measured = measured.expect("it is made of what was measured");
    assert!(measured.places.len() > 900, "of all of it: {} places", measured.places.len());
    let sides: Vec<usize> = measured.agreed.iter().map(|agreed| agreed.pieces.len()).collect();
    assert_eq!(sides, [2], "both sides: {:?}", measured.agreed);
}

type Change = fn(&mut Job);

#[test]
fn what_is_out_of_date_is_made_anew() {
    let (mut job, mut kept) = (traced(), <[Groundwork; 2]>::default());
    assert_same(&mut kept, &inputs(&job, &seen_along(&job.contours[0])), "the first");
    let changes: [(&str, Change); 9] = [
        ("a measure", |job| job.measures[2].mm += 0.1),
        ("a pick", |job| job.holes[1].rim[0].x += 0.7),
        ("the datum", |job| job.datum = Some(Datum { origin: "h2".into(), along: "h3".into() })),
        ("what was agreed", |job| job.contours[0].agreed.clear()),
        ("a pin", |job| job.contours[0].nodes[1].pinned = false),
        ("the opening's role", |job| job.contours[1].keep = false),
        ("a contour less", |job| job.contours.truncate(1)),
        ("the title", |job| job.title.push_str(" two")),
        ("the holes are gone", |job| job.holes.clear()),
    ];
    for (what, change) in changes {
        change(&mut job);
        let seen = seen_along(&job.contours[0]);
        assert_same(&mut kept, &inputs(&job, &seen), what);
        assert_same(&mut kept, &Inputs { seen: None, ..inputs(&job, &seen) }, &format!("{what}, nothing seen"));
        assert_same(&mut kept, &inputs(&job, &Seen { no_camera: true, ..Seen::default() }), "no camera");
        assert_same(&mut kept, &Inputs { exif_focal_px: None, ..inputs(&job, &seen) }, "a photo that says nothing");
        let instrument = Instrument { sigma_mm: 0.25, ..Instrument::CALIPER };
        assert_same(&mut kept, &Inputs { instrument, ..inputs(&job, &seen) }, "another instrument");
    }
}
