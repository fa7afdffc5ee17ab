//! The way along lines and arcs from node to node, for drawing.

use crate::geom::Segment;
use crate::space::PlatePoint;
use crate::tolerance::DRAWN_CHORD_MM;

/// A place along a chain of lines and arcs: the number of the piece, and the share of it that lies behind.
pub(super) type Along = (usize, f64);

/// The way from each of `nodes` to the next, sampled. Of a ring the last leads back to the first. Where the nodes do not
/// come in the order of the way, all of it is the first node's.
pub(super) fn between_nodes(segments: &[Segment], nodes: &[PlatePoint], ring: bool) -> Vec<Vec<PlatePoint>> {
    let count = if ring { nodes.len() } else { nodes.len().saturating_sub(1) };
    let mut feet: Vec<Along> = nodes.iter().map(|node| nearest(segments, *node)).collect();
    if !ring && let ([first, .., last], Some(end)) = (feet.as_mut_slice(), segments.len().checked_sub(1)) {
        (*first, *last) = ((0, 0.0), (end, 1.0));
    }
    let backward = feet.windows(2).filter(|pair| pair[1] < pair[0]).count();
    // Round a ring the way passes the end of the list once at most; the closing piece does so else.
    if count == 0 || backward > usize::from(ring) || (ring && backward == 1 && feet.last() > feet.first()) {
        let mut all = vec![Vec::new(); count];
        if let Some(first) = all.first_mut() {
            *first = way(segments, (0, 0.0), (segments.len().saturating_sub(1), 1.0));
        }
        return all;
    }
    (0..count).map(|k| way(segments, feet[k], feet[(k + 1) % feet.len()])).collect()
}

/// Where the chain comes nearest to a place.
fn nearest(segments: &[Segment], place: PlatePoint) -> Along {
    let distance = |number: &usize| segments[*number].distance_mm(place);
    let number = (0..segments.len()).min_by(|a, b| distance(a).total_cmp(&distance(b))).unwrap_or(0);
    let share = segments.get(number).map_or(0.0, |segment| segment.share_at(segment.nearest(place)));
    (number, share)
}

/// The way from one place to another, on round where that lies behind.
pub(super) fn way(segments: &[Segment], from: Along, to: Along) -> Vec<PlatePoint> {
    let count = segments.len();
    let passed = if to < from { to.0 + count - from.0 } else { to.0 - from.0 };
    let mut places: Vec<PlatePoint> = Vec::new();
    for step in 0..=passed {
        let Some(segment) = segments.get((from.0 + step) % count.max(1)) else { break };
        let start = if step == 0 { from.1 } else { 0.0 };
        let end = if step == passed { to.1 } else { 1.0 };
        let part = part(segment, start, end);
        places.extend(part.sampled(DRAWN_CHORD_MM).into_iter().skip(usize::from(step > 0)));
    }
    places
}

/// A piece from one share of its length to another.
fn part(segment: &Segment, start: f64, end: f64) -> Segment {
    let bulge = (segment.bulge.atan() * (end - start)).tan();
    Segment::arc(segment.point_at(start), segment.point_at(end), bulge)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64) -> PlatePoint {
        PlatePoint::new(x, y)
    }

    /// A half disc above the x axis, counter-clockwise from the origin.
    fn half_disc() -> Vec<Segment> {
        vec![Segment::line(at(-10.0, 0.0), at(10.0, 0.0)), Segment::arc(at(10.0, 0.0), at(-10.0, 0.0), 1.0)]
    }

    #[test]
    fn each_node_has_the_way_to_the_next() {
        let nodes = [at(-4.0, -1.0), at(6.0, 0.5), at(0.0, 11.0)];
        let ways = between_nodes(&half_disc(), &nodes, true);
        assert_eq!(ways[0], [at(-4.0, 0.0), at(6.0, 0.0)], "a part of the line");
        assert_eq!((ways[1][0], ways[1][1]), (at(6.0, 0.0), at(10.0, 0.0)), "on over the corner");
        assert!(ways[1].last().unwrap().distance(at(0.0, 10.0)) < 1e-9, "up to the top");
        assert!(ways[2].contains(&at(-10.0, 0.0)), "round over the start: {:?}", ways[2]);
        assert!(ways[2].last().unwrap().distance(at(-4.0, 0.0)) < 1e-9, "back to the first");
    }

    #[test]
    fn nodes_out_of_order_leave_all_to_the_first() {
        let nodes = [at(6.0, 0.0), at(-4.0, 0.0), at(0.0, 0.0), at(-6.0, 0.0)];
        let ways = between_nodes(&half_disc(), &nodes, true);
        assert_eq!(ways.iter().filter(|way| way.is_empty()).count(), 3, "{ways:?}");
        assert!(ways[0].len() > 10, "all of it");
        assert!(between_nodes(&[], &nodes, true).iter().all(Vec::is_empty), "nothing of nothing");
    }

    #[test]
    fn an_open_way_goes_from_end_to_end() {
        let ways = between_nodes(&half_disc(), &[at(-9.0, 0.0), at(10.0, 1.0), at(-9.0, 2.0)], false);
        assert_eq!(ways.len(), 2, "a way less than nodes");
        assert_eq!(ways[0][0], at(-10.0, 0.0), "from its end");
        assert_eq!(ways[1].last(), Some(&at(-10.0, 0.0)), "to its end");
    }
}
