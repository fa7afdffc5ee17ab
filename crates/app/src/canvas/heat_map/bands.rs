//! The face cut into bands of how well its places are known, and the lines between them.
//!
//! Every cell of the grid is two triangles in which the figure and the distance to the edge are taken as linear; each
//! triangle is cut to the face and then into its bands.

use super::field::Field;
use platewright_core::space::PlatePoint;
use std::collections::BTreeMap;

/// A part of the face between two steps.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Band {
    /// Corners of its triangles.
    pub(super) places: Vec<PlatePoint>,
    /// Three indices for each triangle.
    pub(super) triangles: Vec<u32>,
}

/// A corner with what is known there.
#[derive(Debug, Clone, Copy)]
struct Corner {
    at: PlatePoint,
    plus_minus_mm: f64,
    inside_mm: f64,
    /// The node that it is; `None` for one that a cut made.
    node: Option<usize>,
}

impl Corner {
    fn towards(&self, other: &Self, share: f64) -> Self {
        let mix = |a: f64, b: f64| a + (b - a) * share;
        Self {
            at: self.at.lerp(other.at, share),
            plus_minus_mm: mix(self.plus_minus_mm, other.plus_minus_mm),
            inside_mm: mix(self.inside_mm, other.inside_mm),
            node: None,
        }
    }
}

/// The corners of the grid's triangles, where all three are known and one at least lies on the face.
fn triangles(field: &Field) -> impl Iterator<Item = [Corner; 3]> {
    let corner = |node: usize| Corner {
        at: field.place(node),
        plus_minus_mm: field.plus_minus_mm[node],
        inside_mm: field.inside_mm[node],
        node: Some(node),
    };
    let cells = (0..field.rows.saturating_sub(1))
        .flat_map(move |row| (0..field.columns.saturating_sub(1)).map(move |column| row * field.columns + column));
    cells
        .flat_map(move |a| {
            let (b, d) = (a + 1, a + field.columns);
            [[a, b, d + 1], [a, d + 1, d]].map(|nodes| nodes.map(corner))
        })
        .filter(|corners| corners.iter().all(|corner| corner.plus_minus_mm.is_finite()))
        .filter(|corners| corners.iter().any(|corner| corner.inside_mm > 0.0))
}

/// The part of a convex polygon in which `amount` is not less than 0.
fn cut(polygon: &[Corner], amount: impl Fn(&Corner) -> f64) -> Vec<Corner> {
    let mut left = Vec::with_capacity(polygon.len() + 1);
    for (a, b) in polygon.iter().zip(polygon.iter().cycle().skip(1)) {
        let (at_a, at_b) = (amount(a), amount(b));
        if at_a >= 0.0 {
            left.push(*a);
        }
        if (at_a >= 0.0) != (at_b >= 0.0) {
            left.push(a.towards(b, at_a / (at_a - at_b)));
        }
    }
    left
}

/// The bands between `levels_mm`, which rise: one more than there are levels.
pub(super) fn bands(field: &Field, levels_mm: &[f64]) -> Vec<Band> {
    let mut bands = vec![Band::default(); levels_mm.len() + 1];
    let mut numbers = vec![BTreeMap::new(); bands.len()];
    for corners in triangles(field) {
        let figures = corners.map(|corner| corner.plus_minus_mm);
        let (least, most) = (figures.into_iter().fold(f64::MAX, f64::min), figures.into_iter().fold(0.0, f64::max));
        // The bands that it may reach into: one for most triangles.
        let first = levels_mm.partition_point(|level| *level <= least);
        let last = levels_mm.partition_point(|level| *level <= most);
        let on_face = cut(&corners, |corner| corner.inside_mm);
        for index in first..=last {
            let mut within = on_face.clone();
            if index > first {
                within = cut(&within, |corner| corner.plus_minus_mm - levels_mm[index - 1]);
            }
            if index < last {
                within = cut(&within, |corner| levels_mm[index] - corner.plus_minus_mm);
            }
            push(&mut bands[index], &mut numbers[index], &within);
        }
    }
    bands
}

/// Adds a convex polygon as triangles; a node of the grid is added once.
fn push(band: &mut Band, numbers: &mut BTreeMap<usize, u32>, polygon: &[Corner]) {
    if polygon.len() < 3 {
        return;
    }
    let mut number = |corner: &Corner| {
        let mut add = || {
            band.places.push(corner.at);
            band.places.len() as u32 - 1
        };
        match corner.node {
            Some(node) => *numbers.entry(node).or_insert_with(add),
            None => add(),
        }
    };
    let all: Vec<u32> = polygon.iter().map(&mut number).collect();
    for pair in all[1..].windows(2) {
        band.triangles.extend([all[0], pair[0], pair[1]]);
    }
}

/// An edge of the grid's triangles, by its nodes, the smaller first.
type Edge = (usize, usize);

/// The lines on which the figure is `level_mm`, cut to the face, the longest first.
pub(super) fn lines(field: &Field, level_mm: f64) -> Vec<Vec<PlatePoint>> {
    let mut crossed: BTreeMap<Edge, (Corner, Vec<Edge>)> = BTreeMap::new();
    for corners in triangles(field) {
        let ends: Vec<(Edge, Corner)> =
            (0..3).filter_map(|side| crossing(&corners[side], &corners[(side + 1) % 3], level_mm)).collect();
        if let [(first, at_first), (second, at_second)] = ends.as_slice() {
            crossed.entry(*first).or_insert_with(|| (*at_first, Vec::new())).1.push(*second);
            crossed.entry(*second).or_insert_with(|| (*at_second, Vec::new())).1.push(*first);
        }
    }
    let mut found: Vec<Vec<PlatePoint>> = chains(crossed).iter().flat_map(|chain| on_the_face(chain)).collect();
    found.sort_by(|a, b| length(b).total_cmp(&length(a)));
    found
}

/// Where a side crosses the level. The side is looked at from its smaller node, so that both triangles that share it find
/// the very same place.
fn crossing(a: &Corner, b: &Corner, level_mm: f64) -> Option<(Edge, Corner)> {
    let (a, b) = if a.node <= b.node { (a, b) } else { (b, a) };
    let (at_a, at_b) = (a.plus_minus_mm - level_mm, b.plus_minus_mm - level_mm);
    ((at_a >= 0.0) != (at_b >= 0.0))
        .then(|| ((a.node, b.node), a.towards(b, at_a / (at_a - at_b))))
        .and_then(|((first, second), at)| Some(((first?, second?), at)))
}

/// The crossings in the order in which they hang together; a closed chain ends where it starts.
fn chains(mut crossed: BTreeMap<Edge, (Corner, Vec<Edge>)>) -> Vec<Vec<Corner>> {
    let mut found = Vec::new();
    loop {
        // An end first, so that an open chain is walked from one end to the other.
        let end = crossed.iter().find(|(_, (_, next))| next.len() == 1).map(|(edge, _)| *edge);
        let Some(start) = end.or_else(|| crossed.keys().next().copied()) else { return found };
        let (mut chain, mut at) = (Vec::new(), Some(start));
        let first = crossed.get(&start).map(|(corner, _)| *corner);
        let closed = end.is_none();
        while let Some((corner, next)) = at.and_then(|edge| crossed.remove(&edge)) {
            chain.push(corner);
            at = next.into_iter().find(|edge| crossed.contains_key(edge));
        }
        chain.extend(first.filter(|_| closed));
        found.push(chain);
    }
}

/// The parts of a chain that lie on the face.
fn on_the_face(chain: &[Corner]) -> Vec<Vec<PlatePoint>> {
    let mut parts = vec![Vec::new()];
    for pair in chain.windows(2) {
        let (a, b) = (&pair[0], &pair[1]);
        let edge = || a.towards(b, a.inside_mm / (a.inside_mm - b.inside_mm)).at;
        let Some(part) = parts.last_mut() else { continue };
        match (a.inside_mm >= 0.0, b.inside_mm >= 0.0) {
            (true, true) if part.is_empty() => part.extend([a.at, b.at]),
            (true, true) => part.push(b.at),
            (true, false) => {
                if part.is_empty() {
                    part.push(a.at);
                }
                part.push(edge());
                parts.push(Vec::new());
            }
            (false, true) => part.extend([edge(), b.at]),
            (false, false) => {}
        }
    }
    parts.retain(|part| part.len() > 1);
    parts
}

/// Length of a line, mm.
pub(super) fn length(places: &[PlatePoint]) -> f64 {
    places.windows(2).map(|ends| ends[0].distance(ends[1])).sum()
}
