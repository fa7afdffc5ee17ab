//! Small outlines with answers known by hand, hostile points, and suggestions.

use super::*;
use crate::geom::Segment;
use proptest::prelude::*;

fn at(x: f64, y: f64) -> PlatePoint {
    PlatePoint::new(x, y)
}

fn edge_point(p: PlatePoint) -> EdgePoint {
    EdgePoint { at: p, sigma_mm: 0.01, pinned: false }
}

/// Points every half millimetre along a contour, off by turns to either side, and never on a corner.
fn along(contour: &Contour, off_mm: f64) -> Vec<EdgePoint> {
    let mut points = Vec::new();
    for piece in &contour.segments {
        let count = (piece.length_mm() / 0.5).round().max(2.0) as usize;
        for k in 0..count {
            let t = (k as f64 + 0.5) / count as f64;
            let step = piece.point_at(t + 1e-6) - piece.point_at(t - 1e-6);
            // No pattern of the golden ratio repeats.
            let side = ((points.len() as f64 * 0.618_034).fract() - 0.5) * 2.0;
            let aside = step.unit().map(|s| s.perp() * (off_mm * side)).unwrap_or_default();
            points.push(edge_point(piece.point_at(t) + aside));
        }
    }
    points
}

/// A plate of 40 x 30 mm with two corners rounded by 6 mm.
fn rounded_plate() -> Contour {
    let quarter = 2f64.sqrt() - 1.0;
    let segments = vec![
        Segment::line(at(0.0, 0.0), at(34.0, 0.0)),
        Segment::arc(at(34.0, 0.0), at(40.0, 6.0), quarter),
        Segment::line(at(40.0, 6.0), at(40.0, 24.0)),
        Segment::arc(at(40.0, 24.0), at(34.0, 30.0), quarter),
        Segment::line(at(34.0, 30.0), at(0.0, 30.0)),
        Segment::line(at(0.0, 30.0), at(0.0, 0.0)),
    ];
    Contour { segments, closed: true }
}

fn kinds(faired: &Faired) -> (usize, usize) {
    let arcs = faired.primitives.iter().filter(|p| p.kind != PrimitiveKind::Line).count();
    (faired.primitives.len() - arcs, arcs)
}

#[test]
fn a_plate_with_two_round_corners_is_four_lines_and_two_arcs() {
    let truth = rounded_plate();
    let faired = fair(&along(&truth, 0.02), &Wanted::closed_outer()).unwrap();
    assert_eq!(kinds(&faired), (4, 2), "{:?}", faired.primitives);
    let tangent = faired.joins.iter().filter(|join| join.kind == JoinKind::Tangent).count();
    assert_eq!(tangent, 4, "{:?}", faired.joins);
    assert!(faired.contour.is_closed_exactly() && faired.contour.is_counter_clockwise(), "as asked");
    for piece in &truth.segments {
        assert!(faired.contour.distance_mm(piece.from) < 0.02, "{:?} is on it", piece.from);
    }
    assert!(faired.worst_mm < 0.04 && faired.left_out.is_empty(), "{} {:?}", faired.worst_mm, faired.left_out);
    for pair in faired.contour.segments.windows(2) {
        let (arrive, leave) = (pair[0].end_direction().unwrap(), pair[1].start_direction().unwrap());
        let turn = arrive.cross(leave).atan2(arrive.dot(leave)).abs();
        assert!(!(1e-6..=1.0).contains(&turn), "tangent to rounding or a corner: {turn}");
    }
}

#[test]
fn a_circle_is_a_circle_whichever_way_it_was_measured() {
    let points = along(&Contour::circle(at(100.0, -50.0), 12.5), 0.02);
    for points in [points.clone(), points.into_iter().rev().collect()] {
        let faired = fair(&points, &Wanted::closed_outer()).unwrap();
        assert_eq!((faired.contour.segments.len(), kinds(&faired)), (2, (0, 1)), "two half turns of one arc");
        assert!((faired.contour.segments[0].radius_mm().unwrap() - 12.5).abs() < 0.01, "its radius");
        assert!(faired.contour.is_counter_clockwise(), "as asked");
    }
}

#[test]
fn an_open_chain_keeps_its_ends_and_its_way() {
    let path = [Segment::line(at(0.0, 0.0), at(20.0, 0.0)), Segment::line(at(20.0, 0.0), at(30.0, 15.0))];
    let points = along(&Contour { segments: path.to_vec(), closed: false }, 0.01);
    let faired = fair(&points, &Wanted { closed: false, ..Wanted::closed_outer() }).unwrap();
    assert_eq!(kinds(&faired), (2, 0), "two lines");
    assert!(faired.joins[0].at.distance(at(20.0, 0.0)) < 0.02, "the corner is where they cross: {:?}", faired.joins);
    let (first, last) = (faired.contour.segments[0], faired.contour.segments[1]);
    assert!(first.from.distance(points[0].at) < 0.02 && last.to.distance(points[points.len() - 1].at) < 0.02, "ends");
    assert!(!faired.contour.closed, "as it came");
}

#[test]
fn pinned_places_stay() {
    let mut points = along(&rounded_plate(), 0.02);
    let pinned = 20;
    points[pinned] =
        EdgePoint { at: points[pinned].at + crate::space::PlateVec::new(0.0, 0.1), pinned: true, ..points[pinned] };
    let faired = fair(&points, &Wanted::closed_outer()).unwrap();
    let join = faired.joins.iter().find(|join| join.kind == JoinKind::Pinned).unwrap();
    assert_eq!(join.at, points[pinned].at, "to the last digit");
    assert!(faired.contour.segments.iter().any(|s| s.from == points[pinned].at), "a piece starts there");
}

#[test]
fn a_pinned_corner_beside_dirt_stays() {
    // Nine points of dirt end where the pinned corner is.
    for from in [24, 26, 28, 30] {
        for off_mm in [0.15, 0.3, 0.8] {
            let mut points = along(&rounded_plate(), 0.02);
            let corner = points.len() - 60;
            let place = at(0.0, 30.0);
            points.insert(corner, EdgePoint { at: place, sigma_mm: 0.0, pinned: true });
            for k in 0..9 {
                let dirt = &mut points[corner + 1 + from - 24 + k];
                dirt.at = dirt.at + crate::space::PlateVec::new(off_mm, 0.0);
            }
            let faired = fair(&points, &Wanted::closed_outer()).unwrap();
            let is_end = faired.contour.segments.iter().any(|piece| piece.from == place);
            assert!(is_end, "{from} {off_mm}: a piece starts there: {:?}", faired.joins);
        }
    }
}

#[test]
fn one_run_takes_over_what_others_were_held_to() {
    use joint::{Hold, Tie};
    let points = along(&rounded_plate(), 0.02);
    let mut pieces = fair(&points, &Wanted::closed_outer()).unwrap().fit.pieces;
    let (place, last) = (at(3.0, 4.0), pieces.runs.len() - 1);
    let members = [last - 2, last - 1, last];
    pieces.ties[last] = Tie::Through(place);
    pieces.holds = vec![(last, Hold::Distance(place, 0.0)), (0, Hold::Bend(0.0))];
    pieces.take_over(last - 2, &members);
    pieces.remove(last);
    pieces.remove(last - 1);
    assert_eq!(pieces.ties[last - 2], Tie::Through(place), "its end is where theirs was");
    assert_eq!(
        pieces.holds,
        [(last - 2, Hold::Distance(place, 0.0)), (0, Hold::Bend(0.0))],
        "and it is held as they were"
    );
}

#[test]
fn a_corner_is_no_farther_beyond_a_gap_than_the_gap_is_wide() {
    // Two sides of 30 degrees, hidden for the last 20 mm: they would cross 19 mm beyond their last points.
    let (sine, cosine) = 15f64.to_radians().sin_cos();
    let side = |sign: f64, k: i32| at(-cosine, sign * sine).lerp(at(0.0, 0.0), -19.0 - 0.5 * f64::from(k));
    let points: Vec<_> =
        (0..60).rev().map(|k| edge_point(side(-1.0, k))).chain((0..60).map(|k| edge_point(side(1.0, k)))).collect();
    let faired = fair(&points, &Wanted { closed: false, ..Wanted::closed_outer() }).unwrap();
    let farthest = faired.contour.segments.iter().map(|piece| piece.to.x).fold(f64::NEG_INFINITY, f64::max);
    assert!(farthest < -15.0, "the gap of 10 mm is led across, not on to the tip: {farthest}");
}

#[test]
fn suggestions_say_what_was_drawn() {
    let points = along(&rounded_plate(), 0.02);
    let faired = fair(&points, &Wanted::closed_outer()).unwrap();
    let hole = RoundThing { centre: at(34.0, 6.0), sigma_mm: 0.02 };
    let far = RoundThing { centre: at(34.3, 6.0), sigma_mm: 0.02 };
    let found = suggestions(&points, &faired, &[far, hole], &[]);
    let has = |is: &dyn Fn(&SuggestionKind) -> bool| found.iter().filter(|s| is(&s.kind)).count();
    assert_eq!(
        has(&|s| matches!(s, SuggestionKind::RoundRadius { radius_mm, .. } if (*radius_mm - 6.0).abs() < 1e-9)),
        2,
        "{found:?}"
    );
    assert_eq!(has(&|s| matches!(s, SuggestionKind::EqualRadii { .. })), 1, "{found:?}");
    assert_eq!(has(&|s| matches!(s, SuggestionKind::Concentric { hole: 1, .. })), 1, "{found:?}");
    assert_eq!(has(&|s| matches!(s, SuggestionKind::Concentric { hole: 0, .. })), 0, "0.3 mm off is no centre");
    assert_eq!(has(&|s| matches!(s, SuggestionKind::Parallel { .. })), 2, "{found:?}");
    assert_eq!(has(&|s| matches!(s, SuggestionKind::Square { .. })), 4, "{found:?}");
    assert_eq!(
        has(&|s| matches!(s, SuggestionKind::RoundDistance { mm, .. } if [30.0, 40.0].contains(mm))),
        2,
        "{found:?}"
    );
    for suggestion in &found {
        assert!(suggestion.contour.is_closed_exactly() && suggestion.moves_mm < 0.1, "{suggestion:?}");
    }
    let radius = found.iter().find(|s| matches!(s.kind, SuggestionKind::RoundRadius { .. })).unwrap();
    let is_six = |s: &Segment| s.radius_mm().is_some_and(|r| (r - 6.0).abs() < 1e-6);
    assert!(radius.contour.segments.iter().any(is_six), "the radius is held: {:?}", radius.contour);
}

#[test]
fn what_is_agreed_is_held_together() {
    let points = along(&rounded_plate(), 0.02);
    let faired = fair(&points, &Wanted::closed_outer()).unwrap();
    let free = suggestions(&points, &faired, &[], &[]);
    // Everything at once but for what is said twice: two figures of 6, the equal radii, all directions and distances.
    let all: Vec<SuggestionKind> = free.iter().map(|suggestion| suggestion.kind).collect();
    let (held, is_held) = agreed(&points, &faired, &[], &all);
    assert!(is_held.iter().all(|is_held| *is_held), "they do not contradict each other: {all:?} {is_held:?}");
    let radii: Vec<f64> = held.contour.segments.iter().filter_map(Segment::radius_mm).collect();
    assert!(radii.iter().all(|radius| (radius - 6.0).abs() < 1e-5), "{radii:?}");
    assert!(suggestions(&points, &faired, &[], &all).is_empty(), "nothing is left to suggest");
    assert!(held.contour.is_closed_exactly() && held.worst_mm < faired.worst_mm + 0.1, "{}", held.worst_mm);
    let SuggestionKind::RoundRadius { arc, .. } =
        *all.iter().find(|kind| matches!(kind, SuggestionKind::RoundRadius { .. })).unwrap()
    else {
        unreachable!("it was found as one")
    };
    let other = SuggestionKind::RoundRadius { arc, radius_mm: 6.5 };
    let radius = SuggestionKind::RoundRadius { arc, radius_mm: 6.0 };
    assert_eq!(agreed(&points, &faired, &[], &[radius, other]).1, [true, false], "one arc has one radius");
}

#[test]
fn too_little_gives_none() {
    let wanted = Wanted::closed_outer();
    let nothing = [at(f64::NAN, 1.0), at(1.0, f64::INFINITY), at(1.0, 2.0), at(3.0, 4.0)].map(edge_point);
    assert!(fair(&nothing, &wanted).is_none(), "two places");
    assert!(fair(&[], &wanted).is_none(), "no places");
    assert!(fair(&[edge_point(at(3.0, 4.0)); 50], &wanted).is_none(), "one place");
}

#[test]
fn crossing_chains_are_answered() {
    let eight: Vec<_> = (0..400)
        .map(|k| f64::from(k) / 400.0 * std::f64::consts::TAU)
        .map(|t| edge_point(at(30.0 * t.sin(), 15.0 * (2.0 * t).sin())))
        .collect();
    let faired = fair(&eight, &Wanted::closed_outer()).unwrap();
    assert!(faired.contour.is_closed_exactly() && faired.worst_mm < 0.1, "{}", faired.worst_mm);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn anything_is_answered_without_a_panic(
        places in prop::collection::vec((-50.0..50.0f64, -50.0..50.0f64, 0u8..20), 0..60),
        closed: bool,
        tolerance_mm in prop::sample::select(vec![0.0, 0.05, 5.0, f64::NAN]),
    ) {
        let points: Vec<_> = places.into_iter().map(|(x, y, what)| EdgePoint {
            at: if what == 0 { at(f64::NAN, y) } else if what == 1 { at(1.0, 1.0) } else { at(x, y) },
            sigma_mm: if what == 2 { -1.0 } else { 0.01 * f64::from(what) },
            pinned: what == 3,
        }).collect();
        let wanted = Wanted { closed, tolerance_mm, counter_clockwise: Some(true) };
        if let Some(faired) = fair(&points, &wanted) {
            prop_assert!(faired.contour.segments.iter().all(|s| s.from.is_finite() && s.to.is_finite()));
            prop_assert!(!closed || faired.contour.is_closed_exactly());
            prop_assert_eq!(faired.deviations.len(), points.len());
            suggestions(&points, &faired, &[RoundThing { centre: at(0.0, 0.0), sigma_mm: 0.1 }], &[]);
        }
    }
}
