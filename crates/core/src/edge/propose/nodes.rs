//! Corners of a chain of places, and the few of its places that a person would have clicked.

use super::super::follow::Polyline;
use crate::space::{PhotoPoint, PhotoVec};

/// The sides of a corner are looked at from so far to so far from it, px along the chain.
const SIDE_PX: (usize, usize) = (12, 30);

/// They turn by at least this, rad; and cross no farther from the chain than so many px for each rad that they turn. Along an
/// arc the directions of the two sides turn over 42 px, and they cross `42 / 8` px off for each rad, whatever its radius.
const TURNS_RAD: f64 = 0.3;
const CUT_PX: f64 = 3.0;

/// Places nearer to a corner than this are not measured, px.
const UNMEASURED_PX: f64 = 11.0;

/// Between two nodes the chain leaves their chord by at most this share of it (a quarter of a circle has 0.21), or so many px.
const BULGE_SHARE: f64 = 0.08;
const BULGE_PX: f64 = 4.0;

/// A place along a chain.
#[derive(Debug, Clone, Copy)]
struct Corner {
    /// Its number in the chain with a place each px.
    index: usize,
    at: PhotoPoint,
}

fn distance_px(place: PhotoPoint, from: PhotoPoint, along: PhotoVec) -> f64 {
    along.cross(place - from).abs()
}

/// A closed chain with a place each px.
fn by_the_pixel(chain: &[PhotoPoint]) -> Polyline {
    Polyline { points: chain.iter().map(|at| (*at, 0)).collect(), closed: true }.resampled(1.0)
}

/// The sharp corners of a chain with a place each px: where its sides cross.
fn corners(chain: &Polyline) -> Vec<Corner> {
    let len = chain.points.len();
    let (near, far) = (SIDE_PX.0.cast_signed(), SIDE_PX.1.cast_signed());
    if len < 4 * SIDE_PX.1 {
        return Vec::new();
    }
    let sides = |index: usize| {
        let at = |step: isize| chain.point(index, step);
        let (before, after) = ((at(-near) - at(-far)).unit()?, (at(far) - at(near)).unit()?);
        Some((before, after, before.cross(after).atan2(before.dot(after)).abs()))
    };
    let turns: Vec<f64> = (0..len).map(|index| sides(index).map_or(0.0, |(.., turn)| turn)).collect();
    let is_peak = |index: usize| {
        let around = 1..SIDE_PX.1;
        let other = |step: usize| (turns[(index + step) % len], turns[(index + len - step) % len]);
        turns[index] > TURNS_RAD
            && around.into_iter().map(other).all(|(after, before)| turns[index] >= after && turns[index] > before)
    };
    let corner = |index: usize| {
        let (before, after, turn) = sides(index)?;
        let from = chain.point(index, -near);
        let along = (chain.point(index, near) - from).cross(after) / before.cross(after);
        let at = from + before * along;
        // From the nearest place on, as the turn is as large over a stretch.
        let near_px = |step: isize| chain.point(index, step).distance(at);
        let nearest = (-near..=near).min_by(|a, b| near_px(*a).total_cmp(&near_px(*b)))?;
        let index = (index.cast_signed() + nearest).rem_euclid(len.cast_signed()).cast_unsigned();
        (near_px(nearest) < CUT_PX * turn).then_some(Corner { index, at })
    };
    (0..len).filter(|index| is_peak(*index)).filter_map(corner).collect()
}

/// The chain with its sharp corners where their sides cross: a measured way cuts their tips.
pub(super) fn sharpened(chain: Vec<PhotoPoint>) -> Vec<PhotoPoint> {
    let fine = by_the_pixel(&chain);
    let mut sharp = chain;
    for corner in corners(&fine) {
        let is_cut = |at: &PhotoPoint| at.distance(corner.at) < UNMEASURED_PX;
        let Some(first) = sharp.iter().position(is_cut) else { continue };
        // What is cut may lie on both sides of the seam.
        let mut turned = sharp.split_off(first);
        let head_cut = first == 0 && turned.last().is_some_and(is_cut);
        turned.append(&mut sharp);
        if head_cut {
            let kept = turned.iter().rev().take_while(|at| is_cut(at)).count();
            turned.rotate_right(kept);
        }
        let cut = turned.iter().take_while(|at| is_cut(at)).count();
        turned.splice(..cut, [corner.at]);
        sharp = turned;
    }
    sharp
}

/// The few places of a closed chain between which its edge can be followed: its corners, and between them as many as leave no
/// stretch bent more than an eighth of a circle. In the chain's order.
pub(super) fn thinned(chain: &[PhotoPoint]) -> Vec<PhotoPoint> {
    let fine = by_the_pixel(chain);
    let len = fine.points.len();
    if len < 4 {
        return chain.to_vec();
    }
    let mut ends = corners(&fine);
    if ends.len() < 2 {
        // The place that is farthest from a first one, and the one farthest from that.
        let at = |index: usize| fine.points[index].0;
        let first = ends.first().map_or(0, |corner| corner.index);
        let farthest = |from: usize| {
            (0..len).max_by(|a, b| at(*a).distance(at(from)).total_cmp(&at(*b).distance(at(from)))).unwrap_or(0)
        };
        let second = farthest(first);
        let first = if ends.is_empty() { farthest(second) } else { first };
        ends.extend([first, second].map(|index| Corner { index, at: at(index) }));
        ends.sort_by_key(|end| end.index);
        ends.dedup_by_key(|end| end.index);
    }
    ends.sort_by_key(|end| end.index);
    let mut nodes = Vec::new();
    for (number, end) in ends.iter().enumerate() {
        let next = ends[(number + 1) % ends.len()];
        let last = if next.index > end.index { next.index } else { next.index + len };
        nodes.push(end.at);
        between(&fine, [(end.index, end.at), (last, next.at)], &mut nodes);
    }
    nodes
}

/// Adds the nodes that a stretch needs between its ends.
fn between(fine: &Polyline, [(first, from), (last, to)]: [(usize, PhotoPoint); 2], nodes: &mut Vec<PhotoPoint>) {
    // Places that are still to be looked at, the next one last.
    let mut ends = vec![(last, to)];
    let (mut first, mut from) = (first, from);
    while let Some((last, to)) = ends.last().copied() {
        let length = from.distance(to);
        let off = |index: usize| {
            let at = fine.point(index % fine.points.len(), 0);
            (to - from).unit().map_or_else(|| at.distance(from), |along| distance_px(at, from, along))
        };
        let widest = (first + 1..last).max_by(|a, b| off(*a).total_cmp(&off(*b)));
        if let Some(index) = widest.filter(|index| off(*index) > BULGE_PX.max(BULGE_SHARE * length)) {
            ends.push((index, fine.point(index % fine.points.len(), 0)));
        } else {
            ends.pop();
            if !ends.is_empty() {
                nodes.push(to);
            }
            (first, from) = (last, to);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A rectangle of 300 x 200 px with its tips cut by 2 px and one corner rounded by 60 px.
    fn chain() -> Vec<PhotoPoint> {
        let at = PhotoPoint::new;
        let mut chain = vec![at(2.0, 0.0), at(298.0, 0.0), at(300.0, 2.0), at(300.0, 140.0)];
        chain.extend((1..=20).map(|k| {
            let (sine, cosine) = (f64::from(k) / 20.0 * std::f64::consts::FRAC_PI_2).sin_cos();
            at(240.0 + 60.0 * cosine, 140.0 + 60.0 * sine)
        }));
        chain.extend([at(2.0, 200.0), at(0.0, 198.0), at(0.0, 2.0)]);
        chain
    }

    fn off(places: &[PhotoPoint], x: f64, y: f64) -> f64 {
        places.iter().map(|place| place.distance(PhotoPoint::new(x, y))).fold(f64::INFINITY, f64::min)
    }

    #[test]
    fn sides_cross_at_the_tips_wherever_the_chain_starts() {
        for start in [0, 3, 9, 24] {
            let mut turned = chain();
            turned.rotate_left(start);
            let sharp = sharpened(turned);
            for [x, y] in [[0.0, 0.0], [300.0, 0.0], [0.0, 200.0]] {
                assert!(off(&sharp, x, y) < 0.1, "({x}, {y}) from {start}: {sharp:?}");
            }
            assert!(off(&sharp, 300.0, 200.0) > 20.0, "the rounded one stays: {sharp:?}");
            assert_eq!(sharp.len(), chain().len() - 3, "two places make one at each tip");
        }
    }

    #[test]
    fn few_nodes_say_what_it_is() {
        let nodes = thinned(&chain());
        assert!(nodes.len() <= 9, "{nodes:?}");
        for [x, y] in [[0.0, 0.0], [300.0, 0.0], [0.0, 200.0]] {
            assert!(off(&nodes, x, y) < 0.1, "({x}, {y}): {nodes:?}");
        }
        let circle: Vec<PhotoPoint> = (0..100)
            .map(|k| (f64::from(k) / 100.0 * std::f64::consts::TAU).sin_cos())
            .map(|(sine, cosine)| PhotoPoint::new(200.0 + 100.0 * cosine, 200.0 - 100.0 * sine))
            .collect();
        let nodes = thinned(&circle);
        assert!((4..=16).contains(&nodes.len()), "{nodes:?}");
        assert!(thinned(&circle[..3]).len() >= 2, "a sliver");
        assert_eq!(thinned(&[]), [], "nothing");
    }
}
