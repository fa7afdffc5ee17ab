//! Rings of straight sides made solid: a closed surface of triangles.
//!
//! Every corner of a ring is two vertices of the mesh, one on each face, and all triangles share them: no vertex lies on the
//! side of a triangle that does not know it. Coordinates are rounded to a grid that single precision holds exactly, as STL has
//! it, before the faces are cut into triangles: both formats hold the same solid, no triangle turns over in the rounding, and
//! on which side of a line a corner lies is worked out without any.

use crate::geom::Bounds;
use crate::space::PlatePoint;
use std::collections::{BTreeMap, BTreeSet};

/// Steps of the grid to the mm. Up to 4 m the numbers of steps have 24 binary digits, their products 48.
const STEPS_PER_MM: f64 = 4096.0;

/// A closed surface of triangles.
#[derive(Debug, Clone, PartialEq)]
pub struct Mesh {
    /// Corners, mm.
    pub vertices: Vec<[f32; 3]>,
    /// Numbers of the corners of each triangle, counter-clockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
}

impl Mesh {
    /// The corners of a triangle.
    pub fn corners(&self, triangle: [u32; 3]) -> [[f32; 3]; 3] {
        triangle.map(|at| self.vertices[at as usize])
    }

    /// Every side of every triangle is gone along once each way.
    pub fn is_watertight(&self) -> bool {
        let mut sides: Vec<Side> = self.triangles.iter().copied().flat_map(sides_of).collect();
        let mut back: Vec<Side> = sides.iter().map(|&(a, b)| (b, a)).collect();
        sides.sort_unstable();
        back.sort_unstable();
        sides == back && sides.windows(2).all(|pair| pair[0] != pair[1]) && sides.iter().all(|(a, b)| a != b)
    }
}

/// From one vertex to another.
type Side = (u32, u32);

fn sides_of([a, b, c]: [u32; 3]) -> [Side; 3] {
    [(a, b), (b, c), (c, a)]
}

/// The solid between z = 0 and `thickness_mm` inside the first ring and outside all others, enlarged by `scale` in x and y,
/// with its least x and y at 0. The rings are simple and apart, each with three corners at least. `None` where the faces
/// could not be cut into triangles without a gap.
pub(super) fn solid(rings: &[Vec<PlatePoint>], thickness_mm: f64, scale: f64) -> Option<Mesh> {
    let least = Bounds::around(rings.iter().flatten().copied())?.min;
    let on_grid = |mm: f64| ((mm * scale * STEPS_PER_MM).round() / STEPS_PER_MM) as f32;
    let rounded = |p: &PlatePoint| [on_grid(p.x - least.x), on_grid(p.y - least.y)];
    let rings: Vec<Vec<[f32; 2]>> = (0..)
        .zip(rings)
        .map(|(number, ring)| {
            let mut ring: Vec<[f32; 2]> = ring.iter().map(rounded).collect();
            // Material lies to the left: the outline runs counter-clockwise, all others clockwise.
            if (area2(&ring) > 0.0) != (number == 0) {
                ring.reverse();
            }
            ring
        })
        .collect();
    let face = face(&rings)?;
    let flat: Vec<[f32; 2]> = rings.iter().flatten().copied().collect();
    let count = u32::try_from(flat.len()).ok()?;
    let at_height = |z: f32| flat.iter().map(move |&[x, y]| [x, y, z]);
    let vertices = at_height(0.0).chain(at_height(thickness_mm as f32)).collect();
    let upper = face.iter().map(|triangle| triangle.map(|at| at + count));
    let lower = face.iter().map(|&[a, b, c]| [a, c, b]);
    let walls = ring_sides(&rings).flat_map(|(a, b)| [[a, b, b + count], [a, b + count, a + count]]);
    let mesh = Mesh { vertices, triangles: upper.chain(lower).chain(walls).collect() };
    mesh.is_watertight().then_some(mesh)
}

/// Twice the area inside a ring, positive counter-clockwise.
fn area2(ring: &[[f32; 2]]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).map(|(&a, &b)| turn(ring[0], a, b)).sum()
}

/// Twice the area of a triangle, positive counter-clockwise.
fn turn(a: [f32; 2], b: [f32; 2], c: [f32; 2]) -> f64 {
    let [[ax, ay], [bx, by], [cx, cy]] = [a, b, c].map(|p| p.map(f64::from));
    (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
}

/// Every side of the rings, by the numbers that their corners have when the rings are strung together.
fn ring_sides(rings: &[Vec<[f32; 2]>]) -> impl Iterator<Item = Side> {
    let mut start = 0;
    rings.iter().flat_map(move |ring| {
        let (first, count) = (start, ring.len() as u32);
        start += count;
        (0..count).map(move |k| (first + k, first + (k + 1) % count))
    })
}

/// The face as counter-clockwise triangles with all corners of all rings and no others.
fn face(rings: &[Vec<[f32; 2]>]) -> Option<Vec<[u32; 3]>> {
    let corners: Vec<[f64; 2]> = rings.iter().flatten().map(|corner| corner.map(f64::from)).collect();
    let starts = rings.iter().scan(0, |at, ring| {
        *at += ring.len() as u32;
        Some(*at)
    });
    let hole_starts: Vec<u32> = starts.take(rings.len() - 1).collect();
    let mut found: Vec<u32> = Vec::new();
    earcut::Earcut::new().earcut(corners.iter().copied(), &hole_starts, &mut found);
    let flat: Vec<[f32; 2]> = rings.iter().flatten().copied().collect();
    let mut triangles: Vec<[u32; 3]> = found.as_chunks().0.to_vec();
    for triangle in &mut triangles {
        if turn_of(&flat, *triangle) < 0.0 {
            triangle.swap(1, 2);
        }
    }
    triangles.retain(|&triangle| turn_of(&flat, triangle) > 0.0);
    put_corners_in(&mut triangles, &flat, rings);
    // Slivers become better triangles with the same corners.
    earcut::refine(triangles.as_flattened_mut(), &corners);
    let whole: f64 = rings.iter().map(|ring| area2(ring)).sum();
    let covered: f64 = triangles.iter().map(|&triangle| turn_of(&flat, triangle)).sum();
    let upright = triangles.iter().all(|&triangle| turn_of(&flat, triangle) > 0.0);
    (upright && (covered - whole).abs() <= 1e-9 * whole).then_some(triangles)
}

fn turn_of(flat: &[[f32; 2]], triangle: [u32; 3]) -> f64 {
    let [a, b, c] = triangle.map(|at| flat[at as usize]);
    turn(a, b, c)
}

/// Puts in corners that the triangulation left out: it drops a corner on a straight line between its neighbours, from a ring
/// or from a cut through the face. Such a line is one triangle's side from the one hand and two sides from the other; the
/// triangle is cut in two at the corner.
fn put_corners_in(triangles: &mut Vec<[u32; 3]>, flat: &[[f32; 2]], rings: &[Vec<[f32; 2]>]) {
    // Each round puts in one corner at least, or is the last.
    for _ in 0..flat.len() {
        let cuts = cuts(triangles, flat, rings);
        if cuts.is_empty() {
            return;
        }
        for (owner, (a, c), b) in cuts {
            let [p, q, r] = triangles[owner];
            let far = [p, q, r].into_iter().find(|&at| at != a && at != c).unwrap_or(b);
            triangles[owner] = [a, b, far];
            triangles.push([b, c, far]);
        }
    }
}

/// Triangles with a side that has a corner of others on it: its number, the side, the corner. Each triangle comes once.
fn cuts(triangles: &[[u32; 3]], flat: &[[f32; 2]], rings: &[Vec<[f32; 2]>]) -> Vec<(usize, Side, u32)> {
    let owners: BTreeMap<Side, usize> =
        triangles.iter().enumerate().flat_map(|(number, t)| sides_of(*t).map(|s| (s, number))).collect();
    // What lies beyond the rings goes along their sides the other way.
    let beyond = ring_sides(rings).map(|(a, b)| (b, a));
    let all: BTreeSet<Side> = owners.keys().copied().chain(beyond).collect();
    let alone: BTreeSet<Side> = all.iter().copied().filter(|&(a, b)| !all.contains(&(b, a))).collect();
    let mut cut = BTreeSet::new();
    let found = alone.iter().filter_map(|&(a, c)| {
        let &owner = owners.get(&(a, c))?;
        let mut onward = alone.range((c, 0)..=(c, u32::MAX)).map(|&(_, b)| b);
        let b = onward.find(|&b| is_between(flat, a, b, c))?;
        cut.insert(owner).then_some((owner, (a, c), b))
    });
    found.collect()
}

/// `b` lies on the straight line from `a` to `c`, between them.
fn is_between(flat: &[[f32; 2]], a: u32, b: u32, c: u32) -> bool {
    let is_other = b != a && b != c;
    let [a, b, c] = [a, b, c].map(|at| flat[at as usize]);
    let within = |k: usize| a[k].min(c[k]) <= b[k] && b[k] <= a[k].max(c[k]);
    is_other && turn(a, b, c) == 0.0 && within(0) && within(1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::f64::consts::TAU;

    fn at(x: f64, y: f64) -> PlatePoint {
        PlatePoint::new(x, y)
    }

    /// Volume inside the surface, mm³ (divergence theorem: the sum of the tetrahedra over all triangles).
    fn volume_mm3(mesh: &Mesh) -> f64 {
        let volume = |[a, b, c]: [[f32; 3]; 3]| {
            let [a, b, c] = [a, b, c].map(|p| p.map(f64::from));
            a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0])
        };
        mesh.triangles.iter().map(|&t| volume(mesh.corners(t)) / 6.0).sum()
    }

    fn area_mm2(ring: &[PlatePoint]) -> f64 {
        crate::geom::Contour::polygon(ring).signed_area_mm2().abs()
    }

    #[track_caller]
    fn check(rings: &[Vec<PlatePoint>]) {
        let mesh = solid(rings, 2.0, 1.0).unwrap_or_else(|| panic!("no solid of {rings:?}"));
        assert!(mesh.is_watertight(), "{rings:?}");
        let corners: usize = rings.iter().map(Vec::len).sum();
        // Euler: two faces of n - 2 + 2 h triangles each, and two for each side.
        assert_eq!(mesh.vertices.len(), 2 * corners, "every corner on both faces");
        assert_eq!(mesh.triangles.len(), 2 * (corners + 2 * (rings.len() - 1) - 2) + 2 * corners, "{rings:?}");
        let area = area_mm2(&rings[0]) - rings[1..].iter().map(|ring| area_mm2(ring)).sum::<f64>();
        assert!(
            (volume_mm3(&mesh) - 2.0 * area).abs() < 1e-4 * area + 0.01,
            "{} for {}",
            volume_mm3(&mesh),
            2.0 * area
        );
    }

    #[test]
    fn a_square_with_a_square_hole_is_what_is_counted_by_hand() {
        let square = |half: f64| vec![at(-half, -half), at(half, -half), at(half, half), at(-half, half)];
        let mesh = solid(&[square(10.0), square(5.0)], 3.0, 1.01).unwrap();
        assert_eq!((mesh.vertices.len(), mesh.triangles.len()), (16, 32), "8 on each face, 8 walls of two");
        assert!((volume_mm3(&mesh) - (400.0 - 100.0) * 1.01 * 1.01 * 3.0).abs() < 0.05, "{}", volume_mm3(&mesh));
        let most = mesh.vertices.iter().fold([0.0_f32; 3], |m, v| [m[0].max(v[0]), m[1].max(v[1]), m[2].max(v[2])]);
        assert!((most[0] - 20.2).abs() < 1e-3 && most[2].to_bits() == 3.0_f32.to_bits(), "from 0 to {most:?}");
        assert_eq!(solid(&[square(10.0), square(10.0)], 3.0, 1.0), None, "nothing is left of it");
    }

    #[test]
    fn corners_on_straight_lines_are_kept() {
        let comb = |x: f64, y: f64, side: f64, n: usize| -> Vec<PlatePoint> {
            let step = side / n as f64;
            let along = |k: usize| step * k as f64;
            let bottom = (0..n).map(|k| at(x + along(k), y));
            let right = (0..n).map(|k| at(x + side, y + along(k)));
            let top = (0..n).map(|k| at(x + side - along(k), y + side));
            let left = (0..n).map(|k| at(x, y + side - along(k)));
            bottom.chain(right).chain(top).chain(left).collect()
        };
        for n in [1, 2, 3, 8, 17] {
            check(&[comb(0.0, 0.0, 64.0, n)]);
            // Corners of holes lie in line with each other and with the outline's.
            let holes = [(8.0, 8.0), (40.0, 8.0), (8.0, 40.0), (40.0, 40.0), (28.0, 28.0)];
            let rings = holes.map(|(x, y)| comb(x, y, 8.0, n));
            check(&std::iter::once(comb(0.0, 0.0, 64.0, n)).chain(rings).collect::<Vec<_>>());
        }
    }

    /// A ring about `centre` whose corners are on spokes of these lengths.
    fn star(centre: PlatePoint, spokes: &[f64]) -> Vec<PlatePoint> {
        let corner = |(k, r): (usize, &f64)| {
            let angle = TAU * k as f64 / spokes.len() as f64;
            at(centre.x + r * angle.cos(), centre.y + r * angle.sin())
        };
        spokes.iter().enumerate().map(corner).collect()
    }

    proptest! {
        /// A wavy outline with wavy holes on the places of a grid: whichever are there, and however many corners they have.
        #[test]
        fn rings_with_holes_give_a_closed_surface(
            outline in prop::collection::vec(60.0..100.0f64, 3..60),
            holes in prop::collection::vec(prop::option::of((3usize..40, 0.5..6.0f64, 0.0..1.0f64)), 16),
        ) {
            let rim = |n: usize, r: f64, wave: f64| -> Vec<f64> {
                (0..n).map(|k| r * (1.0 - 0.5 * wave * (k % 3) as f64 / 2.0)).collect()
            };
            let mut rings = vec![star(at(0.0, 0.0), &outline)];
            // Three spokes leave a triangle whose middle is half as near as its corners: 30 mm, at least.
            let places = (0..16).map(|k| at(f64::from(k % 4) * 11.0 - 16.5, f64::from(k / 4) * 11.0 - 16.5));
            let inside = |p: &PlatePoint| p.x.hypot(p.y) < 20.0;
            rings.extend(places.zip(&holes).filter(|(p, _)| inside(p)).filter_map(|(p, hole)| {
                let (n, r, wave) = (*hole)?;
                Some(star(p, &rim(n, r.min(5.0), wave)))
            }));
            check(&rings);
        }

        /// Corners on whole mm: many in line, by chance and exactly.
        #[test]
        fn corners_in_line_by_chance_are_no_gap(heights in prop::collection::vec(1u32..5, 2..24), rows in 1u32..4) {
            let n = heights.len() as f64;
            let mut ring = vec![at(0.0, -10.0 * f64::from(rows)), at(4.0 * n, -10.0 * f64::from(rows))];
            for (k, h) in heights.iter().enumerate().rev() {
                let x = 4.0 * k as f64;
                ring.extend([at(x + 4.0, 0.0), at(x + 2.0, f64::from(*h)), at(x + 1.0, 0.0)]);
            }
            ring.dedup();
            let mut rings = vec![ring];
            for row in 0..rows {
                let y = -10.0 * f64::from(row) - 5.0;
                rings.extend((0..heights.len()).map(|k| {
                    let x = 4.0 * k as f64;
                    vec![at(x + 1.0, y), at(x + 2.0, y - 1.0), at(x + 3.0, y), at(x + 2.0, y + 1.0)]
                }));
            }
            check(&rings);
        }
    }
}
