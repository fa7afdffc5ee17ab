//! The grid on which the photo is bent flat: exact at its places, straight between them.
//!
//! ## Model
//! Between the places of the grid the graphics card moves pixels affinely in each triangle. How far that is off the exact
//! map grows with the square of a cell's side (Taylor), so it is tried once, with cells of a known side at places all over
//! the view, and the side follows from what may be off. All cells of a frame have the same side: neighbours of two sizes
//! would leave cracks.

use super::pixel_corner;
use crate::canvas::transform::Transform;
use egui::{Pos2, Rect, pos2};
use platewright_core::camera::PlateMap;
use platewright_core::space::{PhotoPoint, PhotoVec, PlatePoint};

/// How far off its exact place a pixel may be drawn, px of the screen.
const OFF_PX: f64 = 0.1;
/// The share of it that is planned for: the trial sees only some places.
const PLANNED: f64 = 0.6;
/// Side of the cells that are tried, photo px.
const TRIED: f64 = 64.0;
/// Trials along each side of the view.
const TRIALS: u32 = 12;
/// The largest cell, photo px; no larger than a tile.
const LARGEST: u32 = 512;
/// The most places of a grid. Only a view of a face seen nearly along it comes near.
const MOST_PLACES: u32 = 60_000;

/// Plate places of a regular grid over the part of the photo that is in view.
pub(super) struct Grid {
    map: PlateMap,
    size: [u32; 2],
    /// Side of a cell, photo px: a power of two, so that no cell lies across two tiles.
    pub(super) step: u32,
    /// The first column and row, and the first that are not part of it, in cells.
    columns: [u32; 2],
    rows: [u32; 2],
    places: Vec<Option<PlatePoint>>,
}

impl Grid {
    /// The grid for what `transform` shows of a photo of `size` px with `pixels_per_point`; `before` itself where it serves.
    pub(super) fn for_view(
        before: Option<Self>,
        size: [u32; 2],
        (map, transform): (PlateMap, &Transform),
        pixels_per_point: f32,
    ) -> Self {
        let mut step = step_for(transform, size, f64::from(pixels_per_point));
        let seen = in_view(transform, size);
        let [mut columns, mut rows] = cells(seen, step);
        while (columns[1] - columns[0] + 1) * (rows[1] - rows[0] + 1) > MOST_PLACES && step < LARGEST {
            step *= 2;
            [columns, rows] = cells(seen, step);
        }
        let serves = |grid: &Self| {
            let holds = |outer: [u32; 2], inner: [u32; 2]| outer[0] <= inner[0] && inner[1] <= outer[1];
            (grid.map, grid.size, grid.step) == (map, size, step)
                && holds(grid.columns, columns)
                && holds(grid.rows, rows)
        };
        before.filter(serves).unwrap_or_else(|| Self::over(map, size, step, columns, rows))
    }

    fn over(map: PlateMap, size: [u32; 2], step: u32, columns: [u32; 2], rows: [u32; 2]) -> Self {
        let place = |row: u32, column: u32| {
            map.plate_from_photo(pixel_corner((column * step).min(size[0]), (row * step).min(size[1])))
        };
        let places = (rows[0]..=rows[1]).flat_map(|row| (columns[0]..=columns[1]).map(move |column| (row, column)));
        let places = places.map(|(row, column)| place(row, column)).collect();
        Self { map, size, step, columns, rows, places }
    }

    /// The screen places of the grid.
    pub(super) fn seen(&self, transform: &Transform) -> Seen<'_> {
        let on_screen = |place: &Option<PlatePoint>| place.and_then(|plate| transform.screen_from_plate(plate));
        Seen { grid: self, places: self.places.iter().map(on_screen).collect() }
    }
}

/// A grid with the places of the screen that its own are seen at.
pub(super) struct Seen<'a> {
    grid: &'a Grid,
    places: Vec<Option<Pos2>>,
}

/// A cell: its first pixel and the first that is not of it, each way, and its corners on the screen, row by row.
pub(super) struct Cell {
    pub(super) x: [u32; 2],
    pub(super) y: [u32; 2],
    pub(super) corners: [Pos2; 4],
}

impl Seen<'_> {
    /// The cells over the pixels from `start` to before `end`.
    pub(super) fn cells(&self, start: [u32; 2], end: [u32; 2]) -> impl Iterator<Item = Cell> + '_ {
        let Grid { step, columns, rows, size, .. } = *self.grid;
        let within = |range: [u32; 2], from: u32, to: u32| range[0].max(from / step)..range[1].min(to.div_ceil(step));
        let width = columns[1] - columns[0] + 1;
        let over = within(columns, start[0], end[0]);
        within(rows, start[1], end[1]).flat_map(move |row| {
            over.clone().filter_map(move |column| {
                let at = ((row - rows[0]) * width + column - columns[0]) as usize;
                let below = at + width as usize;
                let corner = |index: usize| self.places.get(index).copied().flatten();
                let corners = [corner(at)?, corner(at + 1)?, corner(below)?, corner(below + 1)?];
                let ends = |cell: u32, side: u32| [cell * step, ((cell + 1) * step).min(side)];
                Some(Cell { x: ends(column, size[0]), y: ends(row, size[1]), corners })
            })
        })
    }
}

/// The side of the cells with which every pixel is drawn near enough to its place.
fn step_for(transform: &Transform, size: [u32; 2], pixels_per_point: f64) -> u32 {
    let worst = trial_places(transform)
        .filter_map(|at| transform.photo_from_screen(at))
        .filter(|at| is_in(*at, size))
        .filter_map(|at| off_at(transform, at, TRIED))
        .fold(0.0, f64::max);
    let off = worst * pixels_per_point;
    let side = if off > 0.0 { TRIED * (PLANNED * OFF_PX / off).sqrt() } else { f64::from(LARGEST) };
    let side = side.clamp(1.0, f64::from(LARGEST)) as u32;
    // The greatest power of two that is no larger.
    1 << side.ilog2()
}

/// How far off the middles of the triangles of a cell of `side` px round `at` are drawn, points of the screen.
fn off_at(transform: &Transform, at: PhotoPoint, side: f64) -> Option<f64> {
    let half = side / 2.0;
    let exact = |x: f64, y: f64| transform.screen_from_photo(at + PhotoVec::new(x * half, y * half));
    let [a, b, c, d] = [exact(-1.0, -1.0)?, exact(1.0, -1.0)?, exact(-1.0, 1.0)?, exact(1.0, 1.0)?];
    let drawn = [
        (a.lerp(b, 0.5), exact(0.0, -1.0)?),
        (a.lerp(c, 0.5), exact(-1.0, 0.0)?),
        (b.lerp(c, 0.5), exact(0.0, 0.0)?),
        (b.lerp(d, 0.5), exact(1.0, 0.0)?),
        (c.lerp(d, 0.5), exact(0.0, 1.0)?),
    ];
    Some(drawn.into_iter().map(|(drawn, exact)| f64::from(drawn.distance(exact))).fold(0.0, f64::max))
}

/// Places all over the view, its border among them.
fn trial_places(transform: &Transform) -> impl Iterator<Item = Pos2> + use<> {
    let rect = transform.rect;
    let share = |index: u32| index as f32 / TRIALS as f32;
    (0..=TRIALS).flat_map(move |row| {
        (0..=TRIALS).map(move |column| {
            let x = egui::lerp(rect.x_range(), share(column));
            pos2(x, egui::lerp(rect.y_range(), share(row)))
        })
    })
}

fn is_in(at: PhotoPoint, [width, height]: [u32; 2]) -> bool {
    at.x > -0.5 && at.y > -0.5 && at.x < f64::from(width) - 0.5 && at.y < f64::from(height) - 0.5
}

/// The part of the photo that is in view, px; all of it where the camera does not see as far as the view's border.
fn in_view(transform: &Transform, [width, height]: [u32; 2]) -> Rect {
    let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(width as f32, height as f32));
    let mut around = Rect::NOTHING;
    for at in trial_places(transform) {
        match transform.photo_from_screen(at) {
            Some(photo) if photo.is_finite() => around.extend_with(pos2(photo.x as f32, photo.y as f32)),
            _ => return whole,
        }
    }
    // The border of the view is bent between its trials, by less than a trial is wide.
    let margin = (around.width().max(around.height()) / TRIALS as f32).max(2.0);
    around.expand(margin).intersect(whole)
}

/// The columns and rows of cells over a part of the photo; none where nothing of it is in view.
fn cells(part: Rect, step: u32) -> [[u32; 2]; 2] {
    if part.is_negative() {
        return [[0, 0]; 2];
    }
    let range = |from: f32, to: f32| [from.max(0.0) as u32 / step, (to.max(0.0).ceil() as u32).div_ceil(step)];
    [range(part.left(), part.right()), range(part.top(), part.bottom())]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::canvas::transform::tests::{rect, slanted};
    use crate::session::{Look, View};

    /// Where the drawn triangles put a photo place, points.
    fn drawn(seen: &Seen<'_>, at: PhotoPoint) -> Option<Pos2> {
        let (x, y) = (at.x + 0.5, at.y + 0.5);
        let pixel = [x as u32, y as u32];
        let cell = seen.cells(pixel, pixel.map(|side| side + 1)).next()?;
        let share = |at: f64, [from, to]: [u32; 2]| ((at - f64::from(from)) / f64::from(to - from)) as f32;
        let (u, v) = (share(x, cell.x), share(y, cell.y));
        let [a, b, c, d] = cell.corners;
        Some(if u + v < 1.0 { a + (b - a) * u + (c - a) * v } else { d + (c - d) * (1.0 - u) + (b - d) * (1.0 - v) })
    }

    #[test]
    fn every_pixel_in_view_is_drawn_within_a_tenth_of_a_screen_pixel() {
        for (size, scale) in [([4000_u32, 3000_u32], 1.0), ([8064, 6048], 2.0)] {
            for (zoom, pixels_per_point) in [(0.2, 1.0), (0.6, 1.0), (1.0, 2.0), (3.0, 1.0), (9.0, 2.0), (20.0, 1.0)] {
                let map = slanted();
                for middle in [(1700.0, 1310.0), (600.0, 2500.0), (3900.0, 100.0)] {
                    let centre = PhotoPoint::new(middle.0, middle.1);
                    let look = Look { centre, zoom: zoom / scale };
                    let transform = Transform::new(rect(), look, View::Flat, Some(map));
                    let grid = Grid::for_view(None, size, (map, &transform), pixels_per_point);
                    let seen = grid.seen(&transform);
                    let (mut worst, mut tried) = (0.0_f32, 0);
                    for step in 0..2000_u32 {
                        let share = |by: f32| (step as f32 * by).fract();
                        let x = egui::lerp(rect().x_range(), share(0.618_034));
                        let at = pos2(x, egui::lerp(rect().y_range(), share(0.754_878)));
                        let Some(photo) = transform.photo_from_screen(at).filter(|at| is_in(*at, size)) else {
                            continue;
                        };
                        let exact = transform.screen_from_photo(photo).unwrap();
                        worst = worst.max(drawn(&seen, photo).unwrap().distance(exact) * pixels_per_point);
                        tried += 1;
                    }
                    assert!(tried > 100, "only {tried} places of the photo are in view");
                    assert!(worst < OFF_PX as f32, "{worst} px off at zoom {zoom} round {middle:?}");
                    assert!(grid.places.len() < MOST_PLACES as usize, "{} places", grid.places.len());
                }
            }
        }
    }

    #[test]
    fn a_grid_serves_again_while_what_is_in_view_lies_on_it() {
        let map = slanted();
        let look = Look { centre: PhotoPoint::new(1999.5, 1499.5), zoom: 0.2 };
        let far = Transform::new(rect(), look, View::Flat, Some(map));
        let grid = Grid::for_view(None, [4000, 3000], (map, &far), 1.0);
        let (first, step) = (grid.places.as_ptr(), grid.step);
        let panned = Transform::new(rect(), far.panned(egui::vec2(3.0, 2.0)).unwrap(), View::Flat, Some(map));
        let grid = Grid::for_view(Some(grid), [4000, 3000], (map, &panned), 1.0);
        assert_eq!((grid.places.as_ptr(), grid.step), (first, step), "the same places");
    }

    #[test]
    fn nothing_is_drawn_of_a_photo_that_is_out_of_sight() {
        let map = slanted();
        let look = Look { centre: PhotoPoint::new(9000.0, 1499.5), zoom: 6.0 };
        let away = Transform::new(rect(), look, View::Flat, Some(map));
        let grid = Grid::for_view(None, [4000, 3000], (map, &away), 1.0);
        assert_eq!(grid.seen(&away).cells([0, 0], [4000, 3000]).count(), 0, "no cell is in sight");
    }
}
