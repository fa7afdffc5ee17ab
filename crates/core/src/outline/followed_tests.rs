//! Contours whose edge was measured, with places that are known.

use super::*;
use crate::camera::{Lens, Pose};
use crate::edge::{EdgePoint, FaceSide, FollowedPiece, Rejected, Rejection};
use crate::fair::PrimitiveKind;
use crate::job::{Id, Meant, MeantKind, Node, Piece};
use crate::solution::{Change, HoleFit};
use crate::space::PhotoVec;

/// Square over the face, 10 px to the mm, the plate's origin at (1000, 1000) in the photo.
fn map() -> PlateMap {
    PlateMap::new(Lens::pinhole(3000.0, PhotoPoint::new(1000.0, 1000.0)), Pose::square(300.0))
}

fn photo(x_mm: f64, y_mm: f64) -> PhotoPoint {
    map().photo_from_plate(PlatePoint::new(x_mm, y_mm)).unwrap()
}

/// Corners of a plate of 60 by 40 mm, counter-clockwise, each off by some px.
fn contour() -> Contour {
    let rough = [PhotoVec::new(3.0, 2.0), PhotoVec::new(-4.0, 1.0), PhotoVec::new(2.0, -3.0), PhotoVec::new(-2.0, 2.0)];
    let corners = [(-30.0, -20.0), (30.0, -20.0), (30.0, 20.0), (-30.0, 20.0)];
    let nodes = corners.into_iter().zip(rough).map(|((x, y), off)| Node::corner(photo(x, y) + off)).collect();
    Contour { closed: true, follow_edge: true, nodes, ..Contour::new(Id::from("c1"), Role::Outer) }
}

/// Between two places along the edge, mm.
const STEP_MM: f64 = 0.4;

/// Its edge with corners rounded by `radius_mm`, a place every few tenths of a mm with an unevenness of 0.1 px, as pieces from node to node.
fn seen(contour: &Contour, radius_mm: f64) -> Vec<Option<FollowedPiece>> {
    let round = |from: (f64, f64), to: (f64, f64)| {
        let corner_first = radius_mm.max(0.8);
        let (from, to) = (PlatePoint::new(from.0, from.1), PlatePoint::new(to.0, to.1));
        let (along, length) = ((to - from).unit().unwrap(), from.distance(to));
        let inward = along.perp();
        // Half of the rounding at either end, and the straight between.
        let turn = std::f64::consts::FRAC_PI_4;
        let arcs = (radius_mm * turn / STEP_MM).floor() as i32;
        let angle = |k: i32| turn * (f64::from(k) + 0.5) / f64::from(arcs.max(1));
        let mut places = Vec::new();
        for k in 0..arcs {
            let (sine, cosine) = (turn - angle(k)).sin_cos();
            let centre = from + along * radius_mm + inward * radius_mm;
            places.push(centre - inward * (radius_mm * cosine) - along * (radius_mm * sine));
        }
        let straight = ((length - 2.0 * corner_first) / STEP_MM) as i32;
        places.extend((0..straight).map(|k| from + along * (corner_first + STEP_MM * (f64::from(k) + 0.5))));
        for k in 0..arcs {
            let (sine, cosine) = angle(k).sin_cos();
            let centre = to - along * radius_mm + inward * radius_mm;
            places.push(centre - inward * (radius_mm * cosine) + along * (radius_mm * sine));
        }
        places
    };
    let corners = [(-30.0, -20.0), (30.0, -20.0), (30.0, 20.0), (-30.0, 20.0)];
    let mut number = 0_u32;
    let mut point = |at: PlatePoint| {
        number += 1;
        let uneven = PhotoVec::from_angle(f64::from(number)) * 0.1;
        EdgePoint { at: map().photo_from_plate(at).unwrap() + uneven, sigma_px: 0.1, off_px: 0.0, contrast: 0.5 }
    };
    let mut pieces = Vec::new();
    for piece in 0..contour.piece_count() {
        let points = round(corners[piece], corners[(piece + 1) % 4]).into_iter().map(&mut point).collect();
        pieces.push(contour.follows(piece).then_some(FollowedPiece { points, rejected: Vec::new() }));
    }
    pieces
}

fn fit_of(contour: &Contour, pieces: Vec<Option<FollowedPiece>>, holes: &[HoleFit]) -> ContourFit {
    let seen = ContourSeen::known(contour, FaceSide::Left, pieces);
    contour_fit(contour, Some(&seen), &map(), holes, Making { chord_mm: CUT_CHORD_MM, suggested: true })
}

fn fit(contour: &Contour) -> ContourFit {
    fit_of(contour, seen(contour, 6.0), &[])
}

fn lines_and_arcs(fit: &ContourFit) -> (usize, usize) {
    let arcs = fit.cut.segments.iter().filter(|segment| !segment.is_line()).count();
    (fit.cut.segments.len() - arcs, arcs)
}

#[test]
fn the_cut_lies_on_the_edge_and_not_on_the_clicks() {
    let contour = contour();
    let fit = fit(&contour);
    assert_eq!(lines_and_arcs(&fit), (4, 4), "{:?}", fit.cut);
    assert!(fit.cut.is_closed_exactly() && fit.cut.is_counter_clockwise(), "closed and oriented");
    assert!(fit.gaps.is_empty() && fit.crossings.is_empty(), "nothing is wrong with it");
    let area = 60.0 * 40.0 - (4.0 - std::f64::consts::PI) * 36.0;
    assert!((fit.area_mm2.unwrap() - area).abs() < 0.5, "{:?} and not {area}", fit.area_mm2);
    let measured = fit.measured.as_ref().unwrap();
    assert!(measured.places.len() > 200 && measured.unseen.is_empty(), "{} places", measured.places.len());
    assert!(measured.worst_mm < measured.allowance_mm(), "{} mm", measured.worst_mm);
    for place in &measured.places {
        let off_mm = place.at.distance(place.on_cut);
        assert!((off_mm - place.off_mm.abs()).abs() < 1e-6, "{place:?}");
        assert!(fit.cut.contains(place.at) == (place.off_mm < 0.0) || off_mm < 1e-9, "positive is outside: {place:?}");
    }
    assert_eq!(measured.pieces.len(), 8, "what they were found to lie on");
    let whole: f64 =
        fit.pieces.iter().map(|way| way.windows(2).map(|ends| ends[0].distance(ends[1])).sum::<f64>()).sum();
    assert!((whole - fit.length_mm).abs() < 0.1, "the ways from node to node add up: {whole} and {}", fit.length_mm);
}

#[test]
fn backwards_it_is_the_same_cut() {
    let forwards = fit(&contour());
    let mut contour = contour();
    let mut pieces = seen(&contour, 6.0);
    contour.nodes.reverse();
    pieces[..3].reverse();
    for piece in pieces.iter_mut().flatten() {
        piece.points.reverse();
    }
    let seen = ContourSeen::known(&contour, FaceSide::Right, pieces);
    let backwards =
        contour_fit(&contour, Some(&seen), &map(), &[], Making { chord_mm: CUT_CHORD_MM, suggested: false });
    assert!(backwards.cut.is_counter_clockwise(), "turned the way that its role asks");
    assert!((backwards.area_mm2.unwrap() - forwards.area_mm2.unwrap()).abs() < 1e-6, "the same area");
    let (one, other) = (backwards.measured.unwrap(), forwards.measured.unwrap());
    let mean = |places: &[crate::solution::EdgePlace]| places.iter().map(|p| p.off_mm).sum::<f64>();
    assert!((mean(&one.places) - mean(&other.places)).abs() < 1e-6, "off is away from the face either way");
}

#[test]
fn a_piece_as_drawn_starts_and_ends_where_its_neighbours_lead() {
    let mut contour = contour();
    contour.nodes[2].as_drawn = true;
    let fit = fit(&contour);
    assert!(fit.cut.closed && fit.cut.is_closed_exactly(), "{:?}", fit.cut);
    let measured = fit.measured.as_ref().unwrap();
    assert!(measured.unseen.is_empty(), "as drawn by choice is not unseen");
    assert!(measured.places.iter().all(|place| place.node != 2), "nothing was looked for there");
    // Its ends are where the arcs beside it pass its nodes.
    let top = fit.pieces[2].clone();
    assert_eq!(top.len(), 2, "a line");
    let on_rounding = |at: PlatePoint, x: f64| (at.distance(PlatePoint::new(x, 14.0)) - 6.0).abs() < 0.1;
    assert!(on_rounding(top[0], 24.0) && on_rounding(top[1], -24.0), "{top:?}");
    contour.nodes[2].next = Piece::Curve;
    assert!(self::fit(&contour).cut.is_closed_exactly(), "a curve does as well");
}

#[test]
fn what_was_not_seen_is_as_drawn_and_said() {
    let contour = contour();
    let mut pieces = seen(&contour, 6.0);
    let lost = pieces[1].as_mut().unwrap();
    let points = std::mem::take(&mut lost.points);
    lost.rejected = points.iter().map(|p| Rejected { at: Some(p.at), reason: Rejection::Glare }).collect();
    let fit = fit_of(&contour, pieces.clone(), &[]);
    assert!(fit.cut.is_closed_exactly(), "{:?}", fit.cut);
    let unseen = fit.measured.unwrap().unseen;
    assert_eq!((unseen.len(), unseen[0].node, unseen[0].as_drawn), (1, 1, true), "{unseen:?}");
    assert_eq!(unseen[0].reason, Some(Rejection::Glare), "and why");
    // Ten millimetres of the same side hidden: the line leads across.
    let partly = pieces[1].as_mut().unwrap();
    let (hidden, left): (Vec<_>, Vec<_>) = points.into_iter().partition(|p| (p.at.y - 1000.0).abs() < 50.0);
    partly.points = left;
    partly.rejected = hidden.iter().map(|p| Rejected { at: Some(p.at), reason: Rejection::OffCurve }).collect();
    let fit = fit_of(&contour, pieces.clone(), &[]);
    assert_eq!(lines_and_arcs(&fit), (4, 4), "{:?}", fit.cut);
    let unseen = fit.measured.unwrap().unseen;
    assert_eq!((unseen.len(), unseen[0].as_drawn, unseen[0].reason), (1, false, Some(Rejection::OffCurve)));
    assert!((unseen[0].length_mm() - 10.4).abs() < 1.0, "{unseen:?}");
    for piece in pieces.iter_mut().flatten() {
        piece.points.clear();
    }
    let fit = fit_of(&contour, pieces, &[]);
    let nothing = fit.measured.unwrap();
    assert_eq!((nothing.places.len(), nothing.unseen.len()), (0, 4), "nothing was seen");
    assert_eq!(fit.cut.segments.len(), 4, "it is as it was drawn");
}

#[test]
fn a_pinned_node_is_passed_through() {
    let mut contour = contour();
    contour.nodes[0].at = photo(-30.0, -20.0);
    contour.nodes[0].pinned = true;
    let fit = fit_of(&contour, seen(&contour, 0.0), &[]);
    let at = map().plate_from_photo(contour.nodes[0].at).unwrap();
    assert!(fit.cut.segments.iter().any(|segment| segment.from == at), "to the last bit: {:?}", fit.cut);
    assert!(fit.cut.is_closed_exactly(), "and closed");
}

#[test]
fn suggestions_are_taken_and_refused_one_by_one() {
    let mut contour = contour();
    let hole = HoleFit {
        id: Id::from("h1"),
        centre: PlatePoint::new(24.0, 14.0),
        rim_diameter_mm: 6.0,
        bore_diameter_mm: 6.0,
        diameter_sigma_mm: 0.01,
        ellipse: crate::solution::Ellipse { major_mm: 0.02, minor_mm: 0.02, major_angle_rad: 0.0 },
        rim_points: 80,
        is_measured: true,
        rim_rms_px: 0.1,
        picks_off_px: Vec::new(),
    };
    let solved = |contour: &Contour| fit_of(contour, seen(contour, 6.0), std::slice::from_ref(&hole));
    let all = solved(&contour).measured.unwrap().suggestions;
    let find = |kind: MeantKind| all.iter().find(|suggestion| suggestion.meant.kind == kind).cloned();
    let radius = find(MeantKind::RoundRadius).expect("radii of 6 mm");
    assert!(matches!(&radius.change, Change::Radius { to_mm, .. } if (to_mm - 6.0).abs() < 1e-9), "{radius:?}");
    assert!(radius.moves_mm < 0.1 && radius.worst_mm < 0.1 && radius.pieces.len() == 1, "{radius:?}");
    let concentric = find(MeantKind::Concentric).expect("the hole is in the corner's middle");
    assert_eq!(concentric.meant.hole, Some(Id::from("h1")), "it names the hole");
    assert!(find(MeantKind::Square).is_some() && find(MeantKind::Parallel).is_some(), "{all:#?}");

    contour.agreed = vec![radius.meant.clone(), concentric.meant.clone()];
    let taken = solved(&contour);
    let measured = taken.measured.as_ref().unwrap();
    assert!(measured.agreed.iter().all(|agreed| agreed.is_held && agreed.pieces.len() == 1), "{:?}", measured.agreed);
    let radii = |fit: &ContourFit| {
        let kinds = fit.measured.as_ref().unwrap().pieces.iter().map(|piece| piece.kind).collect::<Vec<_>>();
        kinds
            .into_iter()
            .filter(|kind| matches!(kind, PrimitiveKind::Arc { radius_mm, .. } if (radius_mm - 6.0).abs() < 1e-6))
            .count()
    };
    assert_eq!(radii(&taken), 1, "held to its figure");
    assert!(measured.suggestions.iter().all(|s| s.meant.kind != MeantKind::Concentric), "not suggested any more");

    contour.agreed.clear();
    contour.refused = vec![radius.meant.clone()];
    let left = solved(&contour).measured.unwrap().suggestions;
    assert_eq!(left.len(), all.len() - 1, "one less");
    let of_nothing = Meant { of: vec![photo(0.0, 0.0)], ..radius.meant };
    contour.agreed = vec![of_nothing];
    let agreed = solved(&contour).measured.unwrap().agreed;
    assert!(!agreed[0].is_held && agreed[0].pieces.is_empty(), "its piece is gone: {agreed:?}");
}

#[test]
fn an_open_contour_ends_beside_its_nodes() {
    let mut contour = contour();
    contour.closed = false;
    let fit = fit(&contour);
    assert!(!fit.cut.closed && fit.area_mm2.is_none(), "it is open");
    let gap = fit.gaps[0];
    let on_rounding = |at: PlatePoint, y: f64| (at.distance(PlatePoint::new(-24.0, y)) - 6.0).abs() < 0.1;
    assert!(on_rounding(gap.from, 14.0) && on_rounding(gap.to, -14.0), "beside its last node and its first: {gap:?}");
}

/// The plate with sharp corners and a keyway of 3 mm in its lower side, clicked at every corner; within it `found` gives the
/// places that were measured on each of its three sides.
fn keyway(found: &[&[(f64, f64)]; 3]) -> ContourFit {
    let mut contour = contour();
    let mut pieces = seen(&contour, 0.0);
    let corners = [(-1.5, -20.0), (-1.5, -17.0), (1.5, -17.0), (1.5, -20.0)];
    contour.nodes.splice(1..1, corners.map(|(x, y)| Node::corner(photo(x, y))));
    let below = pieces.remove(0).unwrap().points;
    let place = |(x, y): &(f64, f64)| EdgePoint { at: photo(*x, *y), sigma_px: 0.1, off_px: 0.0, contrast: 0.5 };
    let beside = |is_left: bool| {
        let at = |point: &&EdgePoint| if is_left { point.at.x < 983.0 } else { point.at.x > 1017.0 };
        below.iter().filter(at).copied().collect::<Vec<_>>()
    };
    let mut way = vec![beside(true)];
    way.extend(found.iter().map(|places| places.iter().map(place).collect()));
    way.push(beside(false));
    let new = way.into_iter().map(|points| Some(FollowedPiece { points, rejected: Vec::new() }));
    pieces.splice(0..0, new);
    fit_of(&contour, pieces, &[])
}

#[test]
fn a_keyway_too_small_to_be_measured_is_cut_as_drawn_and_said() {
    let fit = keyway(&[&[], &[], &[]]);
    let bottom = PlatePoint::new(0.0, -17.0);
    assert!(fit.cut.distance_mm(bottom) < 0.1 && fit.cut.is_closed_exactly(), "{:?}", fit.cut);
    let measured = fit.measured.as_ref().unwrap();
    let lost: Vec<usize> = measured.unseen.iter().filter(|unseen| unseen.as_drawn).map(|unseen| unseen.node).collect();
    assert_eq!(lost, [1, 2, 3], "its three sides: {:?}", measured.unseen);
}

#[test]
fn nodes_that_the_cut_does_not_pass_are_told() {
    // One place of dirt on each side, off the way by itself: the line below leads across.
    let fit = keyway(&[&[(-1.0, -19.9)], &[(0.1, -20.3)], &[(1.1, -20.1)]]);
    assert!(fit.cut.distance_mm(PlatePoint::new(0.0, -17.0)) > 2.0, "straight across: {:?}", fit.cut);
    let far = fit.measured.unwrap().far_nodes;
    let bottom: Vec<_> = far.iter().filter(|far| [2, 3].contains(&far.node)).collect();
    assert!(bottom.len() == 2 && bottom.iter().all(|far| (far.off_mm - 3.0).abs() < 0.5), "{far:?}");
    let near = self::fit(&contour()).measured.unwrap();
    assert!(
        near.far_nodes.iter().all(|far| far.off_mm > 1.2),
        "12 px are what a click may be off: {:?}",
        near.far_nodes
    );
}

#[test]
fn open_ends_that_lead_on_unseen_are_told() {
    let mut contour = contour();
    contour.nodes[3].as_drawn = true;
    let mut pieces = seen(&contour, 0.0);
    // Of the lower side, which starts the run, the first 15 mm are hidden.
    pieces[0].as_mut().unwrap().points.retain(|point| point.at.x > 850.0);
    let unseen = fit_of(&contour, pieces, &[]).measured.unwrap().unseen;
    assert!(unseen.iter().any(|unseen| unseen.node == 0 && (unseen.length_mm() - 15.0).abs() < 1.0), "{unseen:?}");
}

#[test]
fn a_gap_of_less_px_hides_a_feature_of_the_part_as_well() {
    let contour = contour();
    let mut pieces = seen(&contour, 0.0);
    // 3.8 mm, which is 38 px.
    pieces[0].as_mut().unwrap().points.retain(|point| (point.at.x - 1000.0).abs() > 18.0);
    let unseen = fit_of(&contour, pieces, &[]).measured.unwrap().unseen;
    assert_eq!(unseen.len(), 1, "{unseen:?}");
    assert!((3.0..4.5).contains(&unseen[0].length_mm()) && !unseen[0].as_drawn, "{unseen:?}");
}

#[test]
fn two_places_that_agree_are_no_dirt() {
    let contour = contour();
    let mut pieces = seen(&contour, 0.0);
    let points = &mut pieces[0].as_mut().unwrap().points;
    points[60].at = points[60].at + PhotoVec::new(0.0, -100.0);
    let single = fit_of(&contour, pieces.clone(), &[]).measured.unwrap();
    assert!(single.worst_mm < single.allowance_mm(), "one place by itself is dirt: {} mm", single.worst_mm);
    let points = &mut pieces[0].as_mut().unwrap().points;
    points[61].at = PhotoPoint::new(points[61].at.x, points[60].at.y);
    let pair = fit_of(&contour, pieces, &[]).measured.unwrap();
    assert!((pair.worst_mm - 10.0).abs() < 0.2, "two are a part of the edge: {} mm", pair.worst_mm);
}

#[test]
fn a_sharp_tip_is_not_trusted_far_beyond_its_last_places() {
    // A wedge of 20 degrees, 60 mm long, its tip rounded by 0.4 mm: the metal ends 1.9 mm before the lines cross.
    let (sine, cosine) = 10f64.to_radians().sin_cos();
    let corners = [(0.0, 0.0), (60.0 * cosine, -60.0 * sine), (60.0 * cosine, 60.0 * sine)];
    let tip = 0.4 / sine - 0.4;
    let clicked = [(tip, 0.0), corners[1], corners[2]];
    let nodes = clicked.map(|(x, y)| Node::corner(photo(x, y))).to_vec();
    let contour = Contour { closed: true, follow_edge: true, nodes, ..Contour::new(Id::from("c1"), Role::Outer) };
    let wedge = |tip_px: f64| {
        let pieces = (0..3).map(|piece| {
            let ends = [corners[piece], corners[(piece + 1) % 3]].map(|(x, y)| photo(x, y));
            let length = ends[0].distance(ends[1]);
            let before = [tip_px, 12.0, 12.0];
            let (first, last) = (before[piece], before[(piece + 1) % 3]);
            let count = ((length - first - last) / 5.0) as usize;
            let share = |k: usize| (first + 5.0 * k as f64) / length;
            let uneven = |k: usize| PhotoVec::from_angle((k + 7 * piece) as f64) * 0.1;
            let at = |k: usize| ends[0].lerp(ends[1], share(k)) + uneven(k);
            let point = |k| EdgePoint { at: at(k), sigma_px: 0.1, off_px: 0.0, contrast: 0.5 };
            // The last ones end as far before the tip as the first start behind it.
            Some(FollowedPiece { points: (0..count).map(point).collect(), rejected: Vec::new() })
        });
        fit_of(&contour, pieces.collect(), &[])
    };
    // Places end 1 mm before the rounding starts.
    let rounded = wedge(10.0 * 0.4 * cosine / sine + 10.0);
    assert!(rounded.cut.distance_mm(PlatePoint::new(0.0, 0.0)) < 0.2, "the lines cross: {:?}", rounded.cut);
    let rounded = rounded.measured.unwrap();
    assert!(rounded.worst_mm > 1.9, "the tip may stand out: {} mm", rounded.worst_mm);
    // Places that go on to 1.2 mm before the tip leave less room than a click has.
    let sharp = wedge(12.0).measured.unwrap();
    assert!(sharp.worst_mm < sharp.allowance_mm(), "{} mm", sharp.worst_mm);
}
