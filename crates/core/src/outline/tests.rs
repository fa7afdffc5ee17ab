//! Contours with known answers, and the same contour seen in other ways.

use super::*;
use crate::geom::Bounds;
use crate::job::{Id, Node, NodeKind, Piece};
use crate::space::{PhotoVec, PlateVec};
use approx::assert_relative_eq;
use proptest::prelude::*;
use std::f64::consts::PI;

/// 10 px to the mm, y up: a photo taken square from straight above.
#[expect(clippy::unnecessary_wraps, reason = "the form that the outline asks for")]
fn plain(photo: PhotoPoint) -> Option<PlatePoint> {
    Some(PlatePoint::new(photo.x / 10.0, -photo.y / 10.0))
}

fn photo(x_mm: f64, y_mm: f64) -> PhotoPoint {
    PhotoPoint::new(x_mm * 10.0, -y_mm * 10.0)
}

fn node(x_mm: f64, y_mm: f64, kind: NodeKind, next: Piece) -> Node {
    Node { kind, next, ..Node::corner(photo(x_mm, y_mm)) }
}

fn corner(x_mm: f64, y_mm: f64) -> Node {
    node(x_mm, y_mm, NodeKind::Corner, Piece::Line)
}

fn contour(role: Role, closed: bool, nodes: Vec<Node>) -> Contour {
    Contour { closed, nodes, ..Contour::new(Id::from("c1"), role) }
}

fn closed(nodes: Vec<Node>) -> Contour {
    contour(Role::Outer, true, nodes)
}

fn fit(contour: &Contour) -> ContourFit {
    contour_fit_by(contour, plain, CUT_CHORD_MM)
}

#[test]
fn a_square_is_four_lines_the_way_its_role_asks() {
    let corners = vec![corner(0.0, 0.0), corner(0.0, 20.0), corner(30.0, 20.0), corner(30.0, 0.0)];
    for role in [Role::Outer, Role::Opening] {
        let fit = fit(&contour(role, true, corners.clone()));
        assert!(fit.cut.is_closed_exactly() && fit.cut.segments.len() == 4, "{role:?}: {:?}", fit.cut);
        assert_eq!(fit.cut.is_counter_clockwise(), role == Role::Outer, "{role:?}");
        assert_relative_eq!(fit.area_mm2.unwrap(), 600.0, epsilon = 1e-9);
        assert_relative_eq!(fit.length_mm, 100.0, epsilon = 1e-9);
        assert_eq!((fit.gaps, fit.crossings), (vec![], vec![]), "{role:?}");
        assert_eq!(fit.pieces.iter().map(Vec::len).collect::<Vec<_>>(), [2; 4], "lines need their ends only");
    }
}

#[test]
fn arcs_round_off_a_plate_tangent_to_its_sides() {
    // 60 x 40 with corners of radius 8: smooth nodes and arcs without a third point.
    let mut nodes = Vec::new();
    let ends = [(8.0, 0.0), (52.0, 0.0), (60.0, 8.0), (60.0, 32.0), (52.0, 40.0), (8.0, 40.0), (0.0, 32.0), (0.0, 8.0)];
    for (k, (x, y)) in ends.into_iter().enumerate() {
        nodes.push(node(x, y, NodeKind::Smooth, if k % 2 == 0 { Piece::Line } else { Piece::Arc }));
    }
    let fit = fit(&closed(nodes));
    assert_relative_eq!(fit.area_mm2.unwrap(), 2400.0 - (4.0 - PI) * 64.0, epsilon = 1e-9);
    let radii: Vec<f64> = fit.cut.segments.iter().filter_map(Segment::radius_mm).collect();
    assert!(radii.len() == 4 && radii.iter().all(|r| (r - 8.0).abs() < 1e-9), "{radii:?}");
}

#[test]
fn two_arcs_make_a_circle_and_a_large_arc_comes_in_half_turns() {
    let mut nodes = vec![node(5.0, 0.0, NodeKind::Corner, Piece::Arc), node(4.0, -3.0, NodeKind::Corner, Piece::Arc)];
    nodes[0].through = Some(photo(-5.0, 0.0));
    nodes[1].through = Some(photo(5.0 * (-0.3f64).cos(), 5.0 * (-0.3f64).sin()));
    let fit = fit(&contour(Role::Opening, true, nodes));
    assert_relative_eq!(fit.area_mm2.unwrap(), 25.0 * PI, epsilon = 1e-8);
    assert_relative_eq!(fit.length_mm, 10.0 * PI, epsilon = 1e-8);
    assert!(fit.cut.segments.len() == 3 && fit.cut.segments.iter().all(|s| s.bulge.abs() <= 1.0), "{:?}", fit.cut);
    assert_eq!(fit.crossings, [], "a circle does not meet itself");
}

#[test]
fn smooth_nodes_on_a_circle_give_the_circle() {
    let nodes = (0..8).map(|k| f64::from(k) * PI / 4.0);
    let nodes = nodes.map(|a| node(30.0 * a.cos(), 30.0 * a.sin(), NodeKind::Smooth, Piece::Curve)).collect();
    let fit = fit(&closed(nodes));
    for p in fit.cut.sampled(0.001) {
        let off = (p - PlatePoint::default()).length() - 30.0;
        assert!(off.abs() < 0.005, "off by {off}");
    }
    assert!(fit.cut.segments.len() <= 8, "one arc for each piece: {}", fit.cut.segments.len());
}

#[test]
fn a_curve_is_tangent_to_the_line_or_arc_before_it_whatever_its_lever_says() {
    let mut nodes = vec![
        corner(0.0, 0.0),
        node(40.0, 0.0, NodeKind::Smooth, Piece::Curve),
        node(60.0, 30.0, NodeKind::Smooth, Piece::Arc),
        corner(0.0, 50.0),
    ];
    nodes[2].through = Some(photo(40.0, 52.0));
    for lever_out in [None, Some(PhotoVec::new(100.0, -40.0))] {
        nodes[1].lever_out = lever_out;
        let fit = fit(&closed(nodes.clone()));
        for (place, role) in [((40.0, 0.0), "line into curve"), ((60.0, 30.0), "curve into arc")] {
            let place = PlatePoint::new(place.0, place.1);
            let before = fit.cut.segments.iter().find(|s| s.to.distance(place) < 1e-9).unwrap();
            let after = fit.cut.segments.iter().find(|s| s.from.distance(place) < 1e-9).unwrap();
            let turn = before.end_direction().unwrap().cross(after.start_direction().unwrap());
            assert!(turn.abs() < 2e-3, "{role} with lever {lever_out:?} turns by {turn}");
        }
    }
}

#[test]
fn levers_are_steps_from_their_node() {
    let mut nodes = vec![node(0.0, 0.0, NodeKind::Corner, Piece::Curve), corner(30.0, 0.0), corner(15.0, -30.0)];
    nodes[0].lever_out = Some(PhotoVec::new(0.0, -200.0));
    nodes[1].lever_in = Some(PhotoVec::new(0.0, -200.0));
    let fit = fit(&closed(nodes));
    // The middle of the cubic is 3/4 of the levers above its chord.
    let top = fit.cut.bounds().unwrap().max.y;
    assert_relative_eq!(top, 15.0, epsilon = CUT_CHORD_MM);
    assert!(fit.chord_mm > 0.0 && fit.chord_mm <= CUT_CHORD_MM, "{}", fit.chord_mm);
}

#[test]
fn an_open_contour_shows_its_gap_and_one_whose_ends_meet_has_none() {
    let mut nodes = vec![corner(0.0, 0.0), corner(30.0, 0.0), corner(30.0, 20.0), corner(0.0, 4.6)];
    let open = fit(&contour(Role::Outer, false, nodes.clone()));
    assert!(!open.cut.closed && open.area_mm2.is_none() && open.cut.segments.len() == 3, "{open:?}");
    assert_relative_eq!(open.gaps[0].width_mm(), 4.6, epsilon = 1e-12);
    assert!(open.pieces[3].is_empty(), "nothing leads on from the last node");
    nodes.push(corner(0.0, 0.0));
    let met = fit(&contour(Role::Outer, false, nodes));
    assert!(met.cut.is_closed_exactly() && met.gaps.is_empty() && met.area_mm2.is_some(), "{met:?}");
}

#[test]
fn a_node_that_is_not_reached_leaves_a_gap() {
    let square = closed(vec![corner(0.0, 0.0), corner(30.0, 0.0), corner(30.0, 20.0), corner(0.0, 20.0)]);
    let fit = contour_fit_by(&square, |p| plain(p).filter(|plate| plate.x < 20.0 || plate.y > 10.0), 0.05);
    assert_eq!((fit.nodes.len(), fit.cut.segments.len(), fit.cut.closed), (3, 2, false), "{fit:?}");
    assert_eq!(
        fit.gaps,
        [Gap { from: PlatePoint::new(0.0, 0.0), to: PlatePoint::new(30.0, 20.0) }],
        "round the lost one"
    );
    let none = contour_fit_by(&square, |_| Some(PlatePoint::new(f64::NAN, 0.0)), f64::NAN);
    assert!(none.cut.is_empty() && none.gaps.is_empty() && none.nodes.is_empty(), "{none:?}");
}

#[test]
fn nodes_at_the_same_place_count_once() {
    let mut nodes = vec![corner(0.0, 0.0), corner(30.0, 0.0), corner(30.0, 0.0), corner(15.0, 20.0), corner(0.0, 0.0)];
    nodes[1].next = Piece::Curve;
    let fit = fit(&closed(nodes));
    assert!(fit.cut.is_closed_exactly() && fit.cut.segments.len() == 3, "{:?}", fit.cut);
    assert_relative_eq!(fit.area_mm2.unwrap(), 300.0, epsilon = 1e-9);
    for few in [vec![], vec![corner(1.0, 1.0)], vec![corner(1.0, 1.0), corner(1.0, 1.0)]] {
        let fit = contour_fit_by(&closed(few), plain, 0.05);
        assert!(fit.cut.is_empty() && fit.gaps.is_empty() && fit.area_mm2.is_none(), "{fit:?}");
    }
}

#[test]
fn a_crossing_names_the_pieces_by_their_nodes() {
    let bow = closed(vec![corner(0.0, 0.0), corner(20.0, 20.0), corner(20.0, 0.0), corner(0.0, 20.0)]);
    let fit = fit(&bow);
    assert_eq!(fit.crossings.len(), 1, "{:?}", fit.crossings);
    assert_eq!(fit.crossings[0].pieces, (0, 2), "the two diagonals");
    assert!(fit.crossings[0].at.distance(PlatePoint::new(10.0, 10.0)) < 1e-9, "in the middle");
}

#[test]
fn a_lever_of_next_to_no_length_makes_no_piece_of_no_length() {
    let at = [(-978.395_060_109_330_3, 500.0), (354.607_699_214_670_96, -756.345_426_528_045_3)];
    let [mut first, second] = at.map(|(x, y)| Node { at: PhotoPoint::new(x, y), ..corner(0.0, 0.0) });
    first.next = Piece::Curve;
    first.lever_out = Some(PhotoVec::new(0.0, 1e-9));
    let fit = fit(&contour(Role::Outer, false, vec![first, second]));
    assert!(fit.cut.segments.iter().all(|s| s.length_mm() > 0.0), "{:?}", fit.cut);
}

prop_compose! {
    fn any_node(angle: f64)(
        r in 20.0..45.0f64, kind in 0..2u8, next in 0..3u8, through in prop::option::of((-8.0..8.0f64, -8.0..8.0f64)),
        lever in prop::option::of((-1.0..1.0f64, 2.0..10.0f64)),
    ) -> Node {
        let (x, y) = (r * angle.cos(), r * angle.sin());
        let kind = if kind == 0 { NodeKind::Corner } else { NodeKind::Smooth };
        let mut node = node(x, y, kind, [Piece::Line, Piece::Arc, Piece::Curve][usize::from(next)]);
        let ahead = angle + 0.35;
        node.through = through.filter(|_| node.next == Piece::Arc)
            .map(|(dx, dy)| photo(r * ahead.cos() + dx * 0.2, r * ahead.sin() + dy * 0.2));
        node.lever_out = lever.map(|(turn, length)| {
            let along = PhotoVec::from_angle(-(angle + PI / 2.0 + turn * 0.5));
            along * (length * 10.0)
        });
        node
    }
}

fn any_contour() -> impl Strategy<Value = Contour> {
    (3..9usize).prop_flat_map(|n| {
        let nodes: Vec<_> = (0..n).map(|k| any_node(2.0 * PI * k as f64 / n as f64)).collect();
        nodes.prop_map(closed)
    })
}

/// The same contour, gone round the other way.
fn reversed(contour: &Contour) -> Contour {
    let n = contour.nodes.len();
    let nodes = (0..n).rev().map(|k| {
        let (here, before) = (&contour.nodes[k], &contour.nodes[(k + n - 1) % n]);
        Node {
            next: before.next,
            through: before.through,
            lever_in: here.lever_out,
            lever_out: here.lever_in,
            ..here.clone()
        }
    });
    Contour { nodes: nodes.collect(), ..contour.clone() }
}

/// The largest distance from either contour to the other.
fn hausdorff_mm(a: &CutContour, b: &CutContour) -> f64 {
    let to = |a: &CutContour, b: &CutContour| a.sampled(0.01).into_iter().map(|p| b.distance_mm(p)).fold(0.0, f64::max);
    to(a, b).max(to(b, a))
}

/// Checks that `other`, brought back by `back`, is the same contour as `one`, within what two fits may differ.
fn check_same(one: &ContourFit, other: &ContourFit, back: impl Fn(PlatePoint) -> PlatePoint, mirrored: bool) {
    let turned = other
        .cut
        .segments
        .iter()
        .map(|s| Segment::arc(back(s.from), back(s.to), if mirrored { -s.bulge } else { s.bulge }));
    let held = CutContour { segments: turned.collect(), closed: other.cut.closed };
    let apart = hausdorff_mm(&one.cut, &held);
    assert!(apart <= 2.0 * CUT_CHORD_MM, "{apart} apart");
    let slack = CUT_CHORD_MM * one.length_mm;
    assert!(
        (one.area_mm2.unwrap() - other.area_mm2.unwrap()).abs() <= slack,
        "{:?} {:?}",
        one.area_mm2,
        other.area_mm2
    );
    assert!((one.length_mm - other.length_mm).abs() <= 0.01 * one.length_mm, "{} {}", one.length_mm, other.length_mm);
    assert!(other.cut.is_closed_exactly(), "closed to the last bit");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]
    #[test]
    fn the_same_contour_seen_in_other_ways_is_the_same(contour in any_contour(), angle in 0.0..6.0f64, start in 0..8usize) {
        let one = fit(&contour);
        prop_assert!(one.cut.is_closed_exactly() && one.cut.is_counter_clockwise());
        prop_assert!(one.cut.segments.iter().all(|s| s.from.is_finite() && s.bulge.abs() <= 1.0));
        prop_assert!(one.chord_mm <= CUT_CHORD_MM);

        let about = |p: PlatePoint, angle: f64| {
            let (x, y) = (PlateVec::from_angle(angle), PlateVec::from_angle(angle).perp());
            PlatePoint::default() + x * p.x + y * p.y
        };
        let turned = contour_fit_by(&contour, |p| plain(p).map(|q| about(q, angle)), CUT_CHORD_MM);
        check_same(&one, &turned, |p| about(p, -angle), false);

        let flip = |p: PlatePoint| PlatePoint::new(-p.x, p.y);
        let mirrored = contour_fit_by(&contour, |p| plain(p).map(flip), CUT_CHORD_MM);
        check_same(&one, &mirrored, flip, true);

        check_same(&one, &fit(&reversed(&contour)), |p| p, false);

        let mut rotated = contour.clone();
        rotated.nodes.rotate_left(start % contour.nodes.len());
        check_same(&one, &fit(&rotated), |p| p, false);
    }

    #[test]
    fn the_cut_stays_by_the_drawn_pieces(contour in any_contour()) {
        let fit = fit(&contour);
        for p in fit.pieces.iter().flatten() {
            let off = fit.cut.distance_mm(*p);
            prop_assert!(off <= CUT_CHORD_MM * 1.02, "{off} off");
        }
        let drawn = Bounds::around(fit.pieces.iter().flatten().copied()).unwrap();
        let cut = fit.cut.bounds().unwrap();
        prop_assert!((drawn.size() - cut.size()).length() < 4.0 * CUT_CHORD_MM);
    }
}

fn wild_number() -> impl Strategy<Value = f64> {
    prop_oneof![-1e3..1e3f64, Just(0.0), Just(1e-9), Just(500.0), -1e9..1e9f64, Just(f64::NAN), Just(f64::INFINITY)]
}

prop_compose! {
    fn wild_node()(
        at in (wild_number(), wild_number()), smooth: bool, next in 0..3usize,
        through in prop::option::of((wild_number(), wild_number())),
        lever_in in prop::option::of((wild_number(), wild_number())),
        lever_out in prop::option::of((wild_number(), wild_number())),
    ) -> Node {
        let step = |(x, y)| PhotoVec::new(x, y);
        Node {
            at: PhotoPoint::new(at.0, at.1),
            kind: if smooth { NodeKind::Smooth } else { NodeKind::Corner },
            next: [Piece::Line, Piece::Arc, Piece::Curve][next],
            through: through.map(|(x, y)| PhotoPoint::new(x, y)),
            lever_in: lever_in.map(step),
            lever_out: lever_out.map(step),
            pinned: false,
            as_drawn: false,
        }
    }
}

proptest! {
    #[test]
    fn nothing_that_is_drawn_breaks_it(nodes in prop::collection::vec(wild_node(), 0..7), ring: bool) {
        let fit = fit(&contour(Role::Outer, ring, nodes));
        prop_assert!(fit.cut.segments.iter().all(|s| s.from.is_finite() && s.to.is_finite() && s.bulge.abs() <= 1.0));
        prop_assert!(fit.cut.segments.iter().all(|s| s.length_mm() > 0.0), "no piece of no length");
        prop_assert!(!fit.cut.closed || fit.cut.is_closed_exactly());
        prop_assert!(fit.length_mm.is_finite() && fit.chord_mm.is_finite() && fit.area_mm2.is_none_or(f64::is_finite));
        prop_assert!(fit.pieces.iter().flatten().all(|p| p.is_finite()));
        prop_assert!(fit.cut.closed || fit.nodes.len() < 2 || !fit.gaps.is_empty() || fit.cut.is_empty());
    }
}
