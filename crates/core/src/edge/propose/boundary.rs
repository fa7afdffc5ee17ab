//! Boundaries of sets of cells.

/// Cells of a level, row by row, each in the set or not.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cells {
    pub(super) size: [usize; 2],
    pub(super) inside: Vec<bool>,
}

/// Where a flood goes from a cell: over its sides, or over its corners as well.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Over {
    Sides,
    Corners,
}

/// Headings east, south, west and north: where the cells ahead on the right and on the left lie from a corner.
const AHEAD: [[[usize; 2]; 2]; 4] = [[[1, 1], [1, 0]], [[0, 1], [1, 1]], [[0, 0], [0, 1]], [[1, 0], [0, 0]]];

impl Cells {
    pub(super) fn none(size: [usize; 2]) -> Self {
        Self { size, inside: vec![false; size[0] * size[1]] }
    }

    pub(super) fn count(&self) -> usize {
        self.inside.iter().filter(|is_in| **is_in).count()
    }

    /// Whether one of the outermost cells is in the set.
    pub(super) fn touches_border(&self) -> bool {
        self.border().any(|cell| self.inside[cell])
    }

    fn border(&self) -> impl Iterator<Item = usize> + use<> {
        let [width, height] = self.size;
        let rows = (0..height).flat_map(move |y| [y * width, y * width + width - 1]);
        rows.chain((0..width).flat_map(move |x| [x, (height - 1) * width + x]))
    }

    /// The cells that a flood from `starts` reaches where `may` allows.
    pub(super) fn flood(
        size: [usize; 2],
        starts: impl Iterator<Item = usize>,
        over: Over,
        may: impl Fn(usize) -> bool,
    ) -> Self {
        let mut flood = Self::none(size);
        let [width, height] = size;
        let mut open: Vec<usize> = Vec::new();
        for start in starts {
            if !flood.inside[start] && may(start) {
                flood.inside[start] = true;
                open.push(start);
            }
        }
        while let Some(cell) = open.pop() {
            let (x, y) = (cell % width, cell / width);
            for ny in y.saturating_sub(1)..(y + 2).min(height) {
                for nx in x.saturating_sub(1)..(x + 2).min(width) {
                    let next = ny * width + nx;
                    let is_reached = over == Over::Corners || nx == x || ny == y;
                    if is_reached && !flood.inside[next] && may(next) {
                        flood.inside[next] = true;
                        open.push(next);
                    }
                }
            }
        }
        flood
    }

    /// The set with all that it encloses.
    pub(super) fn filled(&self) -> Self {
        let outside = Self::flood(self.size, self.border(), Over::Corners, |cell| !self.inside[cell]);
        Self { size: self.size, inside: outside.inside.iter().map(|is_out| !is_out).collect() }
    }

    /// Cells in the set whose surroundings of five by five are mostly in it, and those out of it whose surroundings are.
    pub(super) fn smoothed(&self) -> Self {
        let [width, height] = self.size;
        let count_along = |values: &[u8], count: usize, stride: usize, lines: usize, line_stride: usize| {
            let mut sums = vec![0_u8; values.len()];
            for line in 0..lines {
                for i in 0..count {
                    let near = i.saturating_sub(2)..(i + 3).min(count);
                    sums[line * line_stride + i * stride] = near.map(|k| values[line * line_stride + k * stride]).sum();
                }
            }
            sums
        };
        let ones: Vec<u8> = self.inside.iter().map(|is_in| u8::from(*is_in)).collect();
        let rows = count_along(&ones, width, 1, height, width);
        let sums = count_along(&rows, height, width, width, 1);
        Self { size: self.size, inside: sums.into_iter().map(|sum| sum > 12).collect() }
    }

    /// The boundary of the part that holds the set's first cell, as corners of cells, each by its column and row, with the set
    /// on the right as it is seen; empty of no cells.
    pub(super) fn boundary(&self) -> Vec<[usize; 2]> {
        let [width, height] = self.size;
        let Some(first) = self.inside.iter().position(|is_in| *is_in) else { return Vec::new() };
        let holds = |x: usize, y: usize, [dx, dy]: [usize; 2]| {
            // A corner's cells lie one before it and one after it each way.
            let cell = (x + dx).checked_sub(1).zip((y + dy).checked_sub(1));
            cell.is_some_and(|(x, y)| x < width && y < height && self.inside[y * width + x])
        };
        let start = [first % width, first / width];
        let ([mut x, mut y], mut heading) = (start, 0);
        let mut corners = Vec::new();
        loop {
            corners.push([x, y]);
            match heading {
                0 => x += 1,
                1 => y += 1,
                2 => x -= 1,
                _ => y -= 1,
            }
            let [right, left] = AHEAD[heading];
            if !holds(x, y, right) {
                heading = (heading + 1) % 4;
            } else if holds(x, y, left) {
                heading = (heading + 3) % 4;
            }
            if ([x, y], heading) == (start, 0) {
                return corners;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(rows: &[&str]) -> Cells {
        let inside = rows.iter().flat_map(|row| row.bytes().map(|cell| cell == b'#')).collect();
        Cells { size: [rows[0].len(), rows.len()], inside }
    }

    #[test]
    fn a_boundary_goes_round_with_the_set_on_its_right() {
        let corners = cells(&["....", ".##.", ".#..", "...."]).boundary();
        let expected = [[1, 1], [2, 1], [3, 1], [3, 2], [2, 2], [2, 3], [1, 3], [1, 2]];
        assert_eq!(corners, expected);
        // Cells that meet at a corner alone are not one part.
        assert_eq!(cells(&["#.", ".#"]).boundary().len(), 4, "one cell");
        assert!(cells(&["..", ".."]).boundary().is_empty(), "no cells");
    }

    #[test]
    fn what_is_enclosed_is_filled() {
        let ring = cells(&[".....", ".###.", ".#.#.", ".###.", "....."]);
        assert_eq!(ring.filled().count(), 9, "the ring and its middle");
        assert!(!ring.touches_border(), "it lies within");
    }
}
