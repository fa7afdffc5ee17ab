//! Where two contours come nearest to each other.

use super::{Contour, Segment};
use crate::space::PlatePoint;

/// The place of each of two contours where they come nearest to each other; `None` where one of them is empty. What holds
/// of contours that do not meet: of those that do, a place near the meeting.
pub fn closest_places(one: &Contour, other: &Contour) -> Option<(PlatePoint, PlatePoint)> {
    let mut best: Option<(PlatePoint, PlatePoint)> = None;
    let mut best_mm = f64::INFINITY;
    for a in &one.segments {
        // A piece whose box is farther off than what was found already cannot be nearer.
        let reach = best_mm.is_finite().then(|| a.bounds().grown(best_mm));
        for b in other.segments.iter().filter(|b| reach.is_none_or(|reach| reach.overlaps(&b.bounds()))) {
            let (p, q) = of_pieces(a, b);
            if p.distance(q) < best_mm {
                (best, best_mm) = (Some((p, q)), p.distance(q));
            }
        }
    }
    best
}

/// The same of two pieces. Pieces that do not meet are nearest at an end of one of them, or where both run square to the
/// way across; a way square to an arc passes through its centre.
fn of_pieces(a: &Segment, b: &Segment) -> (PlatePoint, PlatePoint) {
    let from_a = [a.from, a.to].map(|p| (p, b.nearest(p)));
    let from_b = [b.from, b.to].map(|q| (a.nearest(q), q));
    let through_a = a.centre().map(|centre| b.nearest(centre)).map(|q| (a.nearest(q), q));
    let through_b = b.centre().map(|centre| a.nearest(centre)).map(|p| (p, b.nearest(p)));
    let [first, rest @ ..] = from_a;
    let all = rest.into_iter().chain(from_b).chain(through_a).chain(through_b);
    all.fold(first, |best, pair| if pair.0.distance(pair.1) < best.0.distance(best.1) { pair } else { best })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::meeting_points;
    use crate::geom::segment::tests::any_segment;
    use proptest::prelude::*;

    fn at(x: f64, y: f64) -> PlatePoint {
        PlatePoint::new(x, y)
    }

    fn check_apart(one: &Contour, other: &Contour, mm: f64) {
        let (p, q) = closest_places(one, other).unwrap();
        assert!((p.distance(q) - mm).abs() < 1e-9, "{p:?} and {q:?} are {} mm apart, not {mm}", p.distance(q));
    }

    #[test]
    fn walls_between_shapes_are_those_of_the_drawing() {
        let square = Contour::polygon(&[at(0.0, 0.0), at(10.0, 0.0), at(10.0, 10.0), at(0.0, 10.0)]);
        check_apart(&square, &Contour::circle(at(15.0, 5.0), 3.0), 2.0);
        check_apart(&square, &Contour::circle(at(5.0, 5.0), 3.0), 2.0);
        check_apart(&square, &Contour::slot(at(5.0, 14.0), 4.0, 0.0, 4.0), 2.0);
        check_apart(&Contour::circle(at(0.0, 0.0), 10.0), &Contour::circle(at(3.0, 0.0), 5.0), 2.0);
        assert_eq!(closest_places(&square, &Contour::default()), None, "nothing has no distance");
    }

    proptest! {
        #[test]
        fn no_sampled_pair_is_nearer(a in any_segment(), b in any_segment()) {
            prop_assume!(meeting_points(&a, &b).is_empty());
            let (p, q) = of_pieces(&a, &b);
            prop_assert!(a.distance_mm(p) < 1e-7 && b.distance_mm(q) < 1e-7, "they lie on their pieces");
            let sampled = a.sampled(0.01).into_iter().map(|p| b.distance_mm(p)).fold(f64::INFINITY, f64::min);
            let straight = (0..=200).map(|k| b.distance_mm(a.point_at(f64::from(k) / 200.0))).fold(f64::INFINITY, f64::min);
            prop_assert!(p.distance(q) <= sampled.min(straight) + 1e-7, "{} over {sampled} or {straight}", p.distance(q));
        }
    }
}
