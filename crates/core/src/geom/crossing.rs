//! Where lines and arcs meet: crossings, touches, and stretches that lie on each other.
//!
//! Two pieces meet at a place where both come nearer than [`SAME_PLACE_MM`]. Neighbours share an end, and that is not a
//! meeting; whether they meet elsewhere too is worked out from the shared end, so that a tangent join, where the two
//! run beside each other for a while, is not taken for one. A neighbour that doubles back is one.

use super::{Contour, Segment};
use crate::space::PlatePoint;
use crate::tolerance::SAME_PLACE_MM;

/// A place where a contour meets itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Where; the middle of a stretch that is gone along twice.
    pub at: PlatePoint,
    /// The two pieces, by their numbers from 0.
    pub pieces: (usize, usize),
}

/// Every place where a contour meets itself, in the order of its pieces.
pub fn contour_crossings(contour: &Contour) -> Vec<Crossing> {
    let pieces = &contour.segments;
    let mut found = Vec::new();
    for (i, j) in pairs_in_reach(pieces) {
        let shared = [(j, i), (i, j)]
            .into_iter()
            .filter(|&(a, b)| (a + 1) % pieces.len() == b && pieces[a].to == pieces[b].from)
            .map(|(a, _)| pieces[a].to);
        let shared: Vec<PlatePoint> = shared.collect();
        let places = if shared.is_empty() {
            meeting_points(&pieces[i], &pieces[j])
        } else {
            neighbour_meetings(&pieces[i], &pieces[j], &shared)
        };
        found.extend(places.into_iter().map(|at| Crossing { at, pieces: (i, j) }));
    }
    found.sort_by_key(|crossing| crossing.pieces);
    found
}

/// Every place where two contours meet; `pieces` are the numbers in the one and in the other.
pub fn crossings_between(one: &Contour, other: &Contour) -> Vec<Crossing> {
    let mut found = Vec::new();
    for (i, a) in one.segments.iter().enumerate() {
        let reach = a.bounds().grown(SAME_PLACE_MM);
        for (j, b) in other.segments.iter().enumerate().filter(|(_, b)| reach.overlaps(&b.bounds())) {
            found.extend(meeting_points(a, b).into_iter().map(|at| Crossing { at, pieces: (i, j) }));
        }
    }
    found
}

/// Every stretch that a contour goes along twice, by its middle.
pub fn doubled_in(contour: &Contour) -> Vec<Crossing> {
    let pieces = &contour.segments;
    let of_pair = |(i, j)| doubled(&pieces[i], &pieces[j]).into_iter().map(move |at| Crossing { at, pieces: (i, j) });
    pairs_in_reach(pieces).into_iter().flat_map(of_pair).collect()
}

/// The middle of every stretch that two contours share.
pub fn doubled_between(one: &Contour, other: &Contour) -> Vec<PlatePoint> {
    let mut found = Vec::new();
    for a in &one.segments {
        let reach = a.bounds().grown(SAME_PLACE_MM);
        for b in other.segments.iter().filter(|b| reach.overlaps(&b.bounds())) {
            found.extend(doubled(a, b));
        }
    }
    found
}

/// Middles of the stretches that two pieces share.
fn doubled(a: &Segment, b: &Segment) -> Vec<PlatePoint> {
    stretches(a, &ends_on_the_other(a, b), b)
}

/// Pairs of pieces whose boxes share a point, by a sweep along x; the smaller number comes first.
fn pairs_in_reach(pieces: &[Segment]) -> Vec<(usize, usize)> {
    let boxes: Vec<_> = pieces.iter().map(|s| s.bounds().grown(SAME_PLACE_MM)).collect();
    let mut by_start: Vec<usize> = (0..pieces.len()).collect();
    by_start.sort_by(|&i, &j| boxes[i].min.x.total_cmp(&boxes[j].min.x));
    let mut active: Vec<usize> = Vec::new();
    let mut pairs = Vec::new();
    for i in by_start {
        active.retain(|&j| boxes[j].max.x >= boxes[i].min.x);
        let reached = active.iter().filter(|&&j| boxes[j].overlaps(&boxes[i]));
        pairs.extend(reached.map(|&j| (i.min(j), i.max(j))));
        active.push(i);
    }
    pairs
}

/// Every place where two pieces that share no end meet: the middle of each stretch that lies on the other, or single
/// places.
pub fn meeting_points(a: &Segment, b: &Segment) -> Vec<PlatePoint> {
    let touching = ends_on_the_other(a, b);
    let stretches = stretches(a, &touching, b);
    if !stretches.is_empty() {
        return stretches;
    }
    let crossing = circle_meetings(a, b).into_iter().filter(|&p| is_on_both(p, a, b));
    let mut places = touching;
    for place in crossing {
        if places.iter().all(|p| p.distance(place) > SAME_PLACE_MM) {
            places.push(place);
        }
    }
    places
}

/// Where two neighbours meet other than at the ends that they share.
fn neighbour_meetings(a: &Segment, b: &Segment, shared: &[PlatePoint]) -> Vec<PlatePoint> {
    let touching = ends_on_the_other(a, b);
    let stretches = stretches(a, &touching, b);
    if !stretches.is_empty() {
        return stretches;
    }
    let is_new = |p: PlatePoint, places: &[PlatePoint]| places.iter().all(|q| q.distance(p) > SAME_PLACE_MM);
    let mut places = Vec::new();
    for p in touching.into_iter().chain(shared.iter().filter_map(|&end| second_meeting(a, b, end))) {
        if is_new(p, shared) && is_new(p, &places) && is_on_both(p, a, b) {
            places.push(p);
        }
    }
    places
}

fn is_on_both(place: PlatePoint, a: &Segment, b: &Segment) -> bool {
    a.distance_mm(place) <= SAME_PLACE_MM && b.distance_mm(place) <= SAME_PLACE_MM
}

/// Ends of either that lie on the other, each place once.
fn ends_on_the_other(a: &Segment, b: &Segment) -> Vec<PlatePoint> {
    let of_b = [b.from, b.to].into_iter().filter(|&p| a.distance_mm(p) <= SAME_PLACE_MM);
    let of_a = [a.from, a.to].into_iter().filter(|&p| b.distance_mm(p) <= SAME_PLACE_MM);
    let mut places: Vec<PlatePoint> = Vec::new();
    for p in of_b.chain(of_a) {
        if places.iter().all(|q| q.distance(p) > SAME_PLACE_MM) {
            places.push(p);
        }
    }
    places
}

/// Middles of the stretches of `a` between ends that lie on both, where the middle lies on both too.
fn stretches(a: &Segment, ends: &[PlatePoint], b: &Segment) -> Vec<PlatePoint> {
    let mut shares: Vec<f64> = ends.iter().map(|&p| a.share_at(p)).collect();
    shares.sort_by(f64::total_cmp);
    let middles = shares.windows(2).map(|pair| a.point_at(f64::midpoint(pair[0], pair[1])));
    middles.filter(|&p| b.distance_mm(p) <= SAME_PLACE_MM).collect()
}

/// Where the whole line or circle of `a` meets that of `b`; a touch within [`SAME_PLACE_MM`] counts.
fn circle_meetings(a: &Segment, b: &Segment) -> Vec<PlatePoint> {
    match (a.centre().zip(a.radius_mm()), b.centre().zip(b.radius_mm())) {
        (None, None) => line_and_line(a, b).into_iter().collect(),
        (None, Some(circle)) => line_and_circle(a, circle),
        (Some(circle), None) => line_and_circle(b, circle),
        (Some(one), Some(other)) => circle_and_circle(one, other),
    }
}

fn line_and_line(a: &Segment, b: &Segment) -> Option<PlatePoint> {
    let (along_a, along_b) = (a.chord(), b.chord());
    let share = (b.from - a.from).cross(along_b) / along_a.cross(along_b);
    share.is_finite().then(|| a.from + along_a * share)
}

fn line_and_circle(line: &Segment, (centre, radius): (PlatePoint, f64)) -> Vec<PlatePoint> {
    let Some(along) = line.chord().unit() else { return Vec::new() };
    let foot = line.from + along * (centre - line.from).dot(along);
    let off = foot.distance(centre);
    if off > radius + SAME_PLACE_MM {
        return Vec::new();
    }
    let half = ((radius - off) * (radius + off)).max(0.0).sqrt();
    let mut places = vec![foot - along * half, foot + along * half];
    // Where the line dips into the circle by less than the tolerance, the deepest place counts as a touch as well.
    if (off - radius).abs() <= SAME_PLACE_MM {
        places.insert(0, foot);
        places.truncate(1);
    }
    places
}

fn circle_and_circle((c, r): (PlatePoint, f64), (d, s): (PlatePoint, f64)) -> Vec<PlatePoint> {
    let Some(towards) = (d - c).unit() else { return Vec::new() };
    let apart = c.distance(d);
    let touches_outside = (apart - r - s).abs() <= SAME_PLACE_MM;
    let touches_inside = (apart - (r - s).abs()).abs() <= SAME_PLACE_MM;
    if touches_outside || touches_inside {
        let side = if touches_inside && r < s { -1.0 } else { 1.0 };
        return vec![c + towards * (side * r)];
    }
    let along = (apart * apart + (r - s) * (r + s)) / (2.0 * apart);
    let square = (r - along) * (r + along);
    if square < 0.0 {
        return Vec::new();
    }
    let foot = c + towards * along;
    let aside = towards.perp() * square.sqrt();
    vec![foot - aside, foot + aside]
}

/// The other place where the whole lines or circles of two pieces meet that both pass through `shared`: its mirror image
/// in the line of centres, or along the line. `None` where there is no other (two lines, or one circle twice).
fn second_meeting(a: &Segment, b: &Segment, shared: PlatePoint) -> Option<PlatePoint> {
    match (a.centre(), b.centre()) {
        (None, None) => None,
        (None, Some(centre)) => along_line(a, centre, shared),
        (Some(centre), None) => along_line(b, centre, shared),
        (Some(c), Some(d)) => {
            let across = (d - c).unit()?.perp();
            Some(shared - across * (2.0 * (shared - c).dot(across)))
        }
    }
}

fn along_line(line: &Segment, centre: PlatePoint, shared: PlatePoint) -> Option<PlatePoint> {
    let along = line.chord().unit()?;
    Some(shared - along * (2.0 * (shared - centre).dot(along)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::segment::tests::any_segment;
    use proptest::prelude::*;

    fn at(x: f64, y: f64) -> PlatePoint {
        PlatePoint::new(x, y)
    }

    fn line(a: (f64, f64), b: (f64, f64)) -> Segment {
        Segment::line(at(a.0, a.1), at(b.0, b.1))
    }

    fn arc(a: (f64, f64), b: (f64, f64), bulge: f64) -> Segment {
        Segment::arc(at(a.0, a.1), at(b.0, b.1), bulge)
    }

    /// Checks that two pieces meet at these places and no others, whichever is asked first and whichever way they run.
    fn check_meet(a: Segment, b: Segment, expected: &[(f64, f64)]) {
        for (one, other) in [(a, b), (b, a), (a.reversed(), b), (a, b.reversed())] {
            let mut found = meeting_points(&one, &other);
            found.sort_by(|p, q| p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y)));
            let near = found.iter().zip(expected).all(|(p, &(x, y))| p.distance(at(x, y)) < 1e-5);
            assert!(found.len() == expected.len() && near, "{one:?} and {other:?} meet at {found:?}, not {expected:?}");
        }
    }

    #[test]
    fn pieces_meet_where_they_should() {
        let base = line((0.0, 0.0), (10.0, 0.0));
        let half = arc((0.0, 0.0), (10.0, 0.0), -1.0);
        check_meet(base, line((5.0, -1.0), (5.0, 1.0)), &[(5.0, 0.0)]);
        check_meet(base, line((5.0, 0.0), (5.0, 1.0)), &[(5.0, 0.0)]);
        check_meet(base, line((5.0, 0.1), (5.0, 1.0)), &[]);
        check_meet(base, line((0.0, 1.0), (10.0, 1.0)), &[]);
        check_meet(base, line((10.0, 0.0), (20.0, 0.0)), &[(10.0, 0.0)]);
        check_meet(base, line((4.0, 0.0), (20.0, 0.0)), &[(7.0, 0.0)]);
        check_meet(base, line((4.0, 0.0), (6.0, 0.0)), &[(5.0, 0.0)]);
        check_meet(half, line((-5.0, 5.0), (15.0, 5.0)), &[(5.0, 5.0)]);
        check_meet(half, line((-5.0, 3.0), (15.0, 3.0)), &[(1.0, 3.0), (9.0, 3.0)]);
        check_meet(half, line((-5.0, -3.0), (15.0, -3.0)), &[]);
        check_meet(half, line((5.0, 1.0), (5.0, 4.0)), &[]);
        check_meet(half, arc((0.0, 6.0), (10.0, 6.0), 1.0), &[(1.0, 3.0), (9.0, 3.0)]);
        check_meet(half, arc((0.0, 10.0), (10.0, 10.0), 1.0), &[(5.0, 5.0)]);
        check_meet(half, arc((0.0, 10.1), (10.0, 10.1), 1.0), &[]);
        check_meet(half, arc((0.0, 0.0), (5.0, 5.0), 1.0 - 2f64.sqrt()), &[(5.0 - 12.5f64.sqrt(), 12.5f64.sqrt())]);
        check_meet(half, arc((3.0, 3.0), (7.0, 3.0), -1.0), &[(5.0, 5.0)]);
    }

    #[test]
    fn a_stretch_gone_along_twice_is_told_from_a_crossing() {
        // Along y = 0 to x = 10, back along it to x = 4, and home round the top: from 4 to 10 the line is there twice.
        let back = Contour::polygon(&[at(0.0, 0.0), at(10.0, 0.0), at(4.0, 0.0), at(4.0, 5.0)]);
        assert_eq!(
            doubled_in(&back),
            [Crossing { at: at(7.0, 0.0), pieces: (0, 1) }],
            "the middle of what is there twice"
        );
        let bow = Contour::polygon(&[at(0.0, 0.0), at(10.0, 10.0), at(10.0, 0.0), at(0.0, 10.0)]);
        assert_eq!((contour_crossings(&bow).len(), doubled_in(&bow).len()), (1, 0), "a crossing is no stretch");
        assert!(doubled_in(&Contour::circle(at(3.0, 1.0), 4.0)).is_empty(), "two halves of a circle share no stretch");
        let square = |x: f64| Contour::polygon(&[at(x, 0.0), at(x + 10.0, 0.0), at(x + 10.0, 10.0), at(x, 10.0)]);
        assert_eq!(
            doubled_between(&square(0.0), &square(10.0)),
            [at(10.0, 5.0)],
            "squares side by side share one side"
        );
        assert!(doubled_between(&square(0.0), &square(10.1)).is_empty(), "a tenth apart they share none");
        assert_eq!(doubled_between(&square(0.0), &square(0.0)).len(), 4, "one square twice");
    }

    fn found(pieces: Vec<Segment>) -> Vec<(usize, usize)> {
        contour_crossings(&Contour { segments: pieces, closed: true }).iter().map(|c| c.pieces).collect()
    }

    #[test]
    fn neighbours_meet_only_where_they_double_back() {
        let square = [at(0.0, 0.0), at(10.0, 0.0), at(10.0, 10.0), at(0.0, 10.0)];
        assert_eq!(found(Contour::polygon(&square).segments), [], "a square");
        assert_eq!(found(Contour::circle(at(3.0, 1.0), 1e5).segments), [], "a circle of 100 m");
        assert_eq!(found(Contour::polygon(&[square[0], square[2], square[1], square[3]]).segments), [(0, 2)], "a bow");
        assert_eq!(found(Contour::polygon(&[square[0], square[1]]).segments), [(0, 1)], "a line, there and back");
        let spike = [at(0.0, 0.0), at(10.0, 0.0), at(6.0, 0.0), at(6.0, 10.0)];
        assert_eq!(found(Contour::polygon(&spike).segments), [(0, 1), (0, 2)], "a spike, and the piece that leaves it");
        let through = [line((10.0, 0.0), (0.0, 0.0)), arc((0.0, 0.0), (8.0, -0.5), 1.0)];
        assert_eq!(contour_crossings(&Contour { segments: through.to_vec(), closed: false }).len(), 0, "turns away");
        let back = [line((-10.0, 0.0), (0.0, 0.0)), arc((0.0, 0.0), (-8.0, -0.5), 1.0)];
        let crossing = contour_crossings(&Contour { segments: back.to_vec(), closed: false });
        assert_eq!(crossing.len(), 1, "an arc comes back through the line before it: {crossing:?}");
    }

    #[test]
    fn tangent_joins_of_every_size_are_no_crossings() {
        for radius in [0.5, 10.0, 1e3, 1e5] {
            let slot = [
                line((0.0, 0.0), (100.0, 0.0)),
                arc((100.0, 0.0), (100.0, 2.0 * radius), 1.0),
                line((100.0, 2.0 * radius), (0.0, 2.0 * radius)),
                arc((0.0, 2.0 * radius), (0.0, 0.0), 1.0),
            ];
            assert_eq!(found(slot.to_vec()), [], "ends of radius {radius}");
        }
        let tangent = [arc((0.0, 0.0), (10.0, 10.0), 2f64.sqrt() - 1.0), arc((10.0, 10.0), (0.0, 30.0), 0.6)];
        assert_eq!(contour_crossings(&Contour { segments: tangent.to_vec(), closed: false }), [], "arc into arc");
    }

    /// How near two pieces come, by brute force over fine samples.
    fn sampled_distance(a: &Segment, b: &Segment) -> f64 {
        let along = |s: &Segment| (0..=400).map(|k| s.point_at(f64::from(k) / 400.0)).collect::<Vec<_>>();
        let one = along(a).into_iter().map(|p| b.distance_mm(p));
        one.chain(along(b).into_iter().map(|p| a.distance_mm(p))).fold(f64::INFINITY, f64::min)
    }

    /// The samples of two pieces cross each other as polylines.
    fn polylines_cross(a: &Segment, b: &Segment) -> bool {
        let along = |s: &Segment| (0..=200).map(|k| s.point_at(f64::from(k) / 200.0)).collect::<Vec<_>>();
        let (one, other) = (along(a), along(b));
        let side = |p: PlatePoint, q: PlatePoint, r: PlatePoint| (q - p).cross(r - p) > 0.0;
        one.windows(2).any(|u| {
            other.windows(2).any(|v| {
                side(u[0], u[1], v[0]) != side(u[0], u[1], v[1]) && side(v[0], v[1], u[0]) != side(v[0], v[1], u[1])
            })
        })
    }

    proptest! {
        #[test]
        fn meetings_agree_with_brute_force(a in any_segment(), b in any_segment()) {
            let places = meeting_points(&a, &b);
            for &p in &places {
                prop_assert!(is_on_both(p, &a, &b), "{p:?} is off by {} and {}", a.distance_mm(p), b.distance_mm(p));
            }
            if polylines_cross(&a, &b) {
                // The polylines stand beside the arcs by up to this much; a near miss of theirs may be none of these.
                prop_assert!(!places.is_empty() || sampled_distance(&a, &b) < 0.02, "missed");
            } else {
                prop_assert!(places.is_empty() || sampled_distance(&a, &b) < 0.5, "invented {places:?}");
            }
        }

        #[test]
        fn the_sweep_leaves_out_no_pair(pieces in prop::collection::vec(any_segment(), 2..30)) {
            let mut swept = pairs_in_reach(&pieces);
            swept.sort_unstable();
            let boxes: Vec<_> = pieces.iter().map(|s| s.bounds().grown(SAME_PLACE_MM)).collect();
            let all = (0..pieces.len()).flat_map(|i| (i + 1..pieces.len()).map(move |j| (i, j)));
            let expected: Vec<_> = all.filter(|&(i, j)| boxes[i].overlaps(&boxes[j])).collect();
            prop_assert_eq!(swept, expected);
        }
    }
}
