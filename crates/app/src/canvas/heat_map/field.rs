//! How well places of the face are known, sampled on a grid: the figure and the distance to the face's edge at each node.

use platewright_core::geom::Bounds;
use platewright_core::solution::FaceMap;
use platewright_core::space::{PlatePoint, PlateVec};

/// Cells along the longer side of the grid. The figure changes little from cell to cell; a rim of twice a cell's width is
/// off by an eighth of a cell.
const CELLS: f64 = 72.0;

/// The part of the plate that is shown.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Face {
    /// Closed lines round it and round its openings, each without its first point at the end.
    pub(super) loops: Vec<Vec<PlatePoint>>,
    /// Holes: centre and radius, mm.
    pub(super) holes: Vec<(PlatePoint, f64)>,
}

/// A grid over the face.
#[derive(Debug, Clone)]
pub(super) struct Field {
    origin: PlatePoint,
    step_mm: f64,
    pub(super) columns: usize,
    pub(super) rows: usize,
    /// How far off a hole there could be, mm (95 %); not a number where the camera does not see the place.
    pub(super) plus_minus_mm: Vec<f64>,
    /// How far inside the face's edge, mm; less than 0 outside, and no more than a few cells either way.
    pub(super) inside_mm: Vec<f64>,
}

impl Field {
    /// The grid over `face`; `None` where the face has no extent.
    pub(super) fn over(face: &Face, map: &FaceMap) -> Option<Self> {
        let bounds = Bounds::around(face.loops.iter().flatten().copied())?;
        let size = bounds.size();
        let step_mm = size.x.max(size.y) / CELLS;
        if !(step_mm.is_finite() && step_mm > 0.0) {
            return None;
        }
        // One cell more on each side, so that the face's edge lies inside the grid.
        let grown = bounds.grown(step_mm);
        let nodes = |length: f64| (length / step_mm).ceil() as usize + 3;
        let (columns, rows) = (nodes(size.x), nodes(size.y));
        let mut field =
            Self { origin: grown.min, step_mm, columns, rows, plus_minus_mm: Vec::new(), inside_mm: Vec::new() };
        field.inside_mm = field.distances(face);
        field.plus_minus_mm = (0..columns * rows).map(|node| field.sampled(map, node)).collect();
        Some(field)
    }

    /// Where a node lies.
    pub(super) fn place(&self, node: usize) -> PlatePoint {
        let (column, row) = (node % self.columns, node / self.columns);
        self.origin + PlateVec::new(column as f64 * self.step_mm, row as f64 * self.step_mm)
    }

    /// A figure is needed only where a cell may reach into the face.
    fn sampled(&self, map: &FaceMap, node: usize) -> f64 {
        if self.inside_mm[node] < -1.5 * self.step_mm {
            return f64::NAN;
        }
        map.plus_minus_mm(self.place(node)).unwrap_or(f64::NAN)
    }

    /// Distances to the edge, with the sign of the even-odd rule over the loops; holes are cut out by their circles.
    fn distances(&self, face: &Face) -> Vec<f64> {
        let far = 2.0 * self.step_mm;
        let mut distances = vec![far; self.columns * self.rows];
        for line in &face.loops {
            for (a, b) in line.iter().zip(line.iter().cycle().skip(1)) {
                self.near_segment(*a, *b, far, &mut distances);
            }
        }
        for row in 0..self.rows {
            let crossings = self.crossings(face, row);
            for column in 0..self.columns {
                let node = row * self.columns + column;
                let x = self.place(node).x;
                let left = crossings.partition_point(|crossing| *crossing <= x);
                if left % 2 == 0 {
                    distances[node] = -distances[node];
                }
            }
        }
        for (node, distance) in distances.iter_mut().enumerate() {
            let at = self.place(node);
            for (centre, radius) in &face.holes {
                *distance = distance.min(at.distance(*centre) - radius);
            }
        }
        distances
    }

    /// Lowers the distances of the nodes within `far` of a segment to it.
    fn near_segment(&self, a: PlatePoint, b: PlatePoint, far: f64, distances: &mut [f64]) {
        let span = |from: f64, to: f64, origin: f64, count: usize| {
            let first = ((from.min(to) - far - origin) / self.step_mm).floor().max(0.0) as usize;
            let last = ((from.max(to) + far - origin) / self.step_mm).ceil().max(0.0) as usize;
            first..(last + 1).min(count)
        };
        let along = b - a;
        let square = along.dot(along);
        for row in span(a.y, b.y, self.origin.y, self.rows) {
            for column in span(a.x, b.x, self.origin.x, self.columns) {
                let node = row * self.columns + column;
                let at = self.place(node);
                let share = if square > 0.0 { ((at - a).dot(along) / square).clamp(0.0, 1.0) } else { 0.0 };
                distances[node] = distances[node].min(at.distance(a + along * share));
            }
        }
    }

    /// Where the loops cross the level of a row, from left to right.
    fn crossings(&self, face: &Face, row: usize) -> Vec<f64> {
        let y = self.origin.y + row as f64 * self.step_mm;
        let mut found = Vec::new();
        for line in &face.loops {
            for (a, b) in line.iter().zip(line.iter().cycle().skip(1)) {
                if (a.y > y) != (b.y > y) {
                    found.push(a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y));
                }
            }
        }
        found.sort_by(f64::total_cmp);
        found
    }
}
