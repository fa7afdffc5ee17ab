//! Measured places beside their cut: how far they lie off it, and how far it stands out where there are none.

use super::followed::{Drawing, Given, Run};
use super::path::{Along, way};
use crate::edge::FaceSide;
use crate::geom::Segment;
use crate::seen::REACH_PX;
use crate::solution::{EdgePlace, FarNode};
use crate::space::PlatePoint;
use crate::tolerance::SAME_PLACE_MM;
use std::f64::consts::SQRT_2;

/// Two places agree where they differ by no more than the noise makes them but once in a hundred times: 2.576 standard
/// deviations of a difference.
const AGREE_SIGMAS: f64 = 2.576 * SQRT_2;

/// A right angle stands out by less than this share of what lies between its last places: its tip by 0.293 of it, (sqrt 2 - 1)
/// / sqrt 2, farther than the largest rounding that these places leave room for.
const CORNER_SHARE: f64 = 0.3;

/// Where a measured place lies on the cut.
#[derive(Debug, Clone, Copy)]
struct Foot {
    at: PlatePoint,
    along: Along,
    took_part: bool,
}

/// The measured places of a run beside its cut.
#[derive(Debug)]
pub(super) struct Beside {
    pub(super) places: Vec<EdgePlace>,
    feet: Vec<Foot>,
}

impl Beside {
    pub(super) fn new(run: &Run, face: FaceSide) -> Self {
        let feet = feet(run);
        let outward = if face == FaceSide::Left { 1.0 } else { -1.0 };
        let place = |((given, off_mm), foot): ((&Given, &f64), &Foot)| EdgePlace {
            at: given.point.at,
            on_cut: foot.at,
            off_mm: outward * off_mm,
            node: given.node,
            took_part: foot.took_part,
        };
        let measured = run.given.iter().zip(&run.faired.deviations).zip(&feet);
        let measured = measured.filter(|((given, off), _)| off.is_finite() && !given.point.pinned);
        Self { places: measured.map(place).collect(), feet }
    }

    /// How far off the cut lie places that were left out though they are no strays, mm: pairs that agree, and more in a
    /// row, are a part of the edge that was missed.
    pub(super) fn passed_by_mm(&self, noise_mm: f64) -> f64 {
        let least = |row: &[EdgePlace]| row.iter().map(|place| place.off_mm.abs()).fold(f64::INFINITY, f64::min);
        let is_out = |row: &&[EdgePlace]| row.iter().all(|place| !place.took_part);
        let agrees = |row: &&[EdgePlace]| (row[0].off_mm - row[1].off_mm).abs() <= AGREE_SIGMAS * noise_mm;
        let pairs = self.places.windows(2).filter(is_out).filter(agrees).map(least);
        self.places.windows(3).filter(is_out).map(least).chain(pairs).fold(0.0, f64::max)
    }

    /// How far the cut may stand out of the part between places that took part, mm. Only a corner does so: it may be rounded
    /// as far as its last places leave room for. What the corner of a rectangle or a node's place leaves open is not
    /// told.
    pub(super) fn stands_out_mm(&self, run: &Run, reach_mm: impl Fn(PlatePoint) -> f64) -> f64 {
        let mut kept: Vec<&Foot> = self.feet.iter().filter(|foot| foot.took_part).collect();
        kept.sort_by(|a, b| a.along.0.cmp(&b.along.0).then(a.along.1.total_cmp(&b.along.1)));
        if run.ring {
            kept.extend(kept.first().copied());
        }
        let out = |pair: &[&Foot]| {
            let [one, other] = [pair[0], pair[1]];
            let is_straight = one.along.0 == other.along.0
                && one.along.1 <= other.along.1
                && run.segments.get(one.along.0).is_none_or(Segment::is_line);
            if is_straight {
                return 0.0;
            }
            let across = Segment::line(one.at, other.at);
            let ways = way(&run.segments, one.along, other.along);
            let height = ways.into_iter().map(|at| across.distance_mm(at)).fold(0.0, f64::max);
            let out_mm = tip_mm(across.length_mm(), height);
            let allowed_mm = reach_mm(one.at).max(CORNER_SHARE * across.length_mm());
            if out_mm > allowed_mm { out_mm } else { 0.0 }
        };
        kept.windows(2).map(out).fold(0.0, f64::max)
    }
}

/// How far the tip of a corner with even legs lies from the largest rounding that starts at the ends of its legs, mm: these are
/// `across_mm` apart and the tip stands `height_mm` above them. With half the angle h and legs of length u it is
/// u (1 - sin h) / cos h.
fn tip_mm(across_mm: f64, height_mm: f64) -> f64 {
    if height_mm <= SAME_PLACE_MM {
        return 0.0;
    }
    let leg = height_mm.hypot(0.5 * across_mm);
    leg * (leg - 0.5 * across_mm) / height_mm
}

fn feet(run: &Run) -> Vec<Foot> {
    let segments = &run.segments;
    let mut is_left_out = vec![false; run.given.len()];
    for number in &run.faired.left_out {
        is_left_out.get_mut(*number).into_iter().for_each(|is_out| *is_out = true);
    }
    let mut near = 0;
    // The pieces follow each other as the places do: the nearest is mostly the last one's, or next to it.
    let mut foot = |at: PlatePoint, off_mm: f64| {
        let count = segments.len().max(1);
        let around = (0..4).map(|step| (near + count + step - 1) % count);
        let is_nearest = |number: &usize| {
            segments.get(*number).is_some_and(|segment| (segment.distance_mm(at) - off_mm).abs() < SAME_PLACE_MM)
        };
        let distance = |number: &usize| segments[*number].distance_mm(at);
        let least = || (0..segments.len()).min_by(|a, b| distance(a).total_cmp(&distance(b)));
        near = around.into_iter().find(is_nearest).or_else(least).unwrap_or(0);
        let on_cut = segments.get(near).map(|segment| (segment.nearest(at), segment));
        on_cut.map_or((at, (near, 0.0)), |(foot, segment)| (foot, (near, segment.share_at(foot))))
    };
    let measured = run.given.iter().zip(&run.faired.deviations).zip(is_left_out);
    let on_cut = measured.map(|((given, off_mm), is_out)| {
        let (at, along) = foot(given.point.at, off_mm.abs());
        Foot { at, along, took_part: !is_out }
    });
    on_cut.collect()
}

impl Drawing<'_> {
    /// Nodes beside followed pieces that the cut passes farther off than they can have been placed from the edge.
    pub(super) fn far_nodes(&self, cut: &[Segment]) -> Vec<FarNode> {
        let follows = |node: &usize| {
            let count = self.nodes.len();
            self.contour.follows(*node) || self.contour.follows((*node + count - 1) % count)
        };
        let far = |node: usize| {
            let at = self.nodes[node];
            let off_mm = cut.iter().map(|segment| segment.distance_mm(at)).fold(f64::INFINITY, f64::min);
            (off_mm.is_finite() && off_mm > self.reach_mm(at)).then_some(FarNode { node, off_mm })
        };
        (0..self.nodes.len()).filter(follows).filter_map(far).collect()
    }

    /// How far from the edge a node may have been placed, mm.
    pub(super) fn reach_mm(&self, at: PlatePoint) -> f64 {
        REACH_PX / self.map.px_per_mm(at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_corner_stands_out_of_its_largest_rounding() {
        // Legs of 10 mm: roundings of 10 mm and of 10 mm times the tangent of 10 degrees.
        let square = tip_mm(200f64.sqrt(), 50f64.sqrt());
        assert!((square - 10.0 * (SQRT_2 - 1.0)).abs() < 1e-9, "{square}");
        let (sine, cosine) = 10f64.to_radians().sin_cos();
        let radius = 10.0 * sine / cosine;
        let sharp = tip_mm(20.0 * sine, 10.0 * cosine);
        assert!((sharp - (radius / sine - radius)).abs() < 1e-9, "{sharp}");
        assert!(square < CORNER_SHARE * 200f64.sqrt() && sharp > CORNER_SHARE * 20.0 * sine, "one is told");
        assert!(tip_mm(3.0, 0.0).abs() < 1e-12, "straight on");
    }
}
