//! Circles that many edges of the photo point at.
//!
//! Each edge pixel votes for the two centres that lie a radius away from it along its slope, to either side (Kimme,
//! Ballard and Sklansky 1975; Loy and Zelinsky 2003). Every level of the photo is asked for the same few radii in its
//! own pixels, so that small rims are looked for where they are small and large ones where the photo is.

use super::pyramid::Level;
use crate::space::PhotoPoint;

/// Radii that are looked for at each level, px of the level: an octave, with some to spare at both ends.
const RADII: std::ops::RangeInclusive<u16> = 4..=9;

/// A centre must have this share of the votes that a full circle gives.
const LEAST_SHARE: f64 = 0.42;

/// The most circles that are kept of one level.
const MOST_CIRCLES: usize = 160;

/// Two centres nearer than this share of the radius, with radii nearer than this ratio, are one circle.
const SAME_CENTRE: f64 = 0.35;
const SAME_RADIUS: f64 = 1.2;

/// Every so many rows tell the usual slope of a level.
const SLOPE_ROWS: usize = 16;

/// An edge stands out from the usual slope by this factor.
const STANDS_OUT: f32 = 2.5;

/// A circle that may be a rim.
#[derive(Debug, Clone, Copy)]
pub(super) struct Voted {
    pub(super) centre: PhotoPoint,
    pub(super) radius_px: f64,
    /// Number of the level at which it was seen.
    pub(super) level: usize,
    /// Share of a full circle's votes.
    share: f64,
}

/// An edge pixel and the direction of its slope, length one.
#[derive(Debug, Clone, Copy)]
struct EdgePixel {
    at: [f32; 2],
    slope: [f32; 2],
}

/// The circles of one level whose edges are steeper than `steep` (tones per px of the level) and steeper than usual,
/// best first.
pub(super) fn circles(level: &Level, number: usize, steep: f32) -> Vec<Voted> {
    let edges = edge_pixels(level, steep);
    let mut board = Board::new(level.size);
    let mut found = Vec::new();
    for radius in RADII {
        board.vote(&edges, f32::from(radius));
        let full = std::f64::consts::TAU * f64::from(radius);
        let voted = |(at, votes): ([f64; 2], u16)| Voted {
            centre: level.photo(at),
            radius_px: f64::from(radius) * level.pixel_px,
            level: number,
            share: f64::from(votes) / full,
        };
        found.extend(board.peaks((LEAST_SHARE * full).ceil() as u16).into_iter().map(voted));
    }
    best_of(found, MOST_CIRCLES)
}

/// The best of the circles, best first, none of them twice.
fn best_of(mut circles: Vec<Voted>, most: usize) -> Vec<Voted> {
    let place = |circle: &Voted| (circle.centre.y, circle.centre.x, circle.radius_px);
    circles.sort_by(|a, b| {
        let (a_at, b_at) = (place(a), place(b));
        b.share
            .total_cmp(&a.share)
            .then(a_at.0.total_cmp(&b_at.0))
            .then(a_at.1.total_cmp(&b_at.1))
            .then(a_at.2.total_cmp(&b_at.2))
    });
    let mut kept: Vec<Voted> = Vec::new();
    for circle in circles {
        if kept.len() == most {
            break;
        }
        let is_same = |other: &Voted| {
            let radius = circle.radius_px.min(other.radius_px);
            circle.centre.distance(other.centre) < SAME_CENTRE * radius
                && circle.radius_px.max(other.radius_px) < SAME_RADIUS * radius
        };
        if !kept.iter().any(is_same) {
            kept.push(circle);
        }
    }
    kept
}

/// Slopes of one row: of the colour with the steepest, along x and y, and its square.
#[derive(Debug, Clone, Default)]
struct SlopeRow {
    x: Vec<f32>,
    y: Vec<f32>,
    square: Vec<f32>,
}

impl SlopeRow {
    fn new(width: usize) -> Self {
        Self { x: vec![0.0; width], y: vec![0.0; width], square: vec![0.0; width] }
    }

    /// Slopes of row `y` (not the first or last), by differences over two px of means over four.
    fn fill(&mut self, level: &Level, y: usize) {
        let width = level.size[0];
        self.square.fill(0.0);
        for plane in &level.planes {
            let row = |number: usize| &plane[number * width..(number + 1) * width];
            let (above, here, below) = (row(y - 1), row(y), row(y + 1));
            let (slope_x, slope_y, square) = (&mut self.x[..width], &mut self.y[..width], &mut self.square[..width]);
            for i in 1..width - 1 {
                let [left, right] = [i - 1, i + 1].map(|i| (above[i] + 2.0 * here[i] + below[i], below[i] - above[i]));
                let x = 0.125 * (right.0 - left.0);
                let y = 0.125 * (left.1 + 2.0 * (below[i] - above[i]) + right.1);
                let steeper = x * x + y * y;
                let is_steeper = steeper > square[i];
                slope_x[i] = if is_steeper { x } else { slope_x[i] };
                slope_y[i] = if is_steeper { y } else { slope_y[i] };
                square[i] = if is_steeper { steeper } else { square[i] };
            }
        }
    }
}

/// Square of the slope that half of the level's pixels exceed.
fn usual_square(level: &Level) -> f32 {
    let mut row = SlopeRow::new(level.size[0]);
    let mut squares = Vec::new();
    for y in (1..level.size[1] - 1).step_by(SLOPE_ROWS) {
        row.fill(level, y);
        squares.extend(row.square.iter().skip(1).step_by(4));
    }
    let middle = squares.len() / 2;
    if squares.is_empty() { 0.0 } else { *squares.select_nth_unstable_by(middle, f32::total_cmp).1 }
}

/// Pixels whose slope is the steepest across their edge.
fn edge_pixels(level: &Level, steep: f32) -> Vec<EdgePixel> {
    let [width, height] = level.size;
    let least = (usual_square(level) * STANDS_OUT * STANDS_OUT).max(steep * steep);
    let mut edges = Vec::new();
    let mut rows = [0; 3].map(|_| SlopeRow::new(width));
    for y in 1..height - 1 {
        rows.rotate_left(1);
        rows[2].fill(level, y);
        if y < 3 {
            continue;
        }
        let [above, here, below] = &rows;
        for x in 1..width - 1 {
            let square = here.square[x];
            if square <= least {
                continue;
            }
            let slope = [here.x[x], here.y[x]];
            let is_level = slope[0].abs() > 2.0 * slope[1].abs();
            let is_upright = slope[1].abs() > 2.0 * slope[0].abs();
            let (before, after) = if is_level {
                (here.square[x - 1], here.square[x + 1])
            } else if is_upright {
                (above.square[x], below.square[x])
            } else if slope[0] * slope[1] > 0.0 {
                (above.square[x - 1], below.square[x + 1])
            } else {
                (above.square[x + 1], below.square[x - 1])
            };
            if square >= before && square > after {
                let size = square.sqrt();
                edges.push(EdgePixel { at: [x as f32, (y - 1) as f32], slope: [slope[0] / size, slope[1] / size] });
            }
        }
    }
    edges
}

/// Where votes for the centres of circles of one radius are counted.
struct Board {
    size: [usize; 2],
    votes: Vec<u16>,
}

impl Board {
    fn new(size: [usize; 2]) -> Self {
        Self { size, votes: vec![0; size[0] * size[1]] }
    }

    fn vote(&mut self, edges: &[EdgePixel], radius: f32) {
        let [width, height] = self.size;
        self.votes.fill(0);
        for edge in edges {
            for radius in [radius, -radius] {
                let [x, y] = [0, 1].map(|axis: usize| edge.at[axis] + radius * edge.slope[axis] + 0.5);
                if x >= 0.0 && y >= 0.0 && x < width as f32 && y < height as f32 {
                    let votes = &mut self.votes[y as usize * width + x as usize];
                    *votes = votes.saturating_add(1);
                }
            }
        }
    }

    /// Places with `least` votes or more in the three by three px round them, and not fewer than their neighbours; the
    /// place is the mean of those votes.
    fn peaks(&self, least: u16) -> Vec<([f64; 2], u16)> {
        let [width, height] = self.size;
        let mut found = Vec::new();
        let mut sums = vec![0_u16; width];
        for y in 1..height - 1 {
            let row = |number: usize| &self.votes[number * width..(number + 1) * width];
            let (above, here, below) = (row(y - 1), row(y), row(y + 1));
            for (((sum, a), b), c) in sums.iter_mut().zip(above).zip(here).zip(below) {
                *sum = a.saturating_add(*b).saturating_add(*c);
            }
            for x in 1..width - 1 {
                let votes = sums[x - 1].saturating_add(sums[x]).saturating_add(sums[x + 1]);
                if votes >= least && here[x] > 0 {
                    found.push((self.mean_place(x, y), votes));
                }
            }
        }
        found
    }

    /// Mean place of the votes in the three by three px round a place.
    fn mean_place(&self, x: usize, y: usize) -> [f64; 2] {
        let mut sums = [0.0; 3];
        for row in y - 1..=y + 1 {
            for column in x - 1..=x + 1 {
                let votes = f64::from(self.votes[row * self.size[0] + column]);
                sums[0] += votes * column as f64;
                sums[1] += votes * row as f64;
                sums[2] += votes;
            }
        }
        [sums[0] / sums[2], sums[1] / sums[2]]
    }
}
