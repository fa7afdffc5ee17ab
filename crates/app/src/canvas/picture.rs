//! The photo on the graphics card: tiles with mipmaps, put there a few a frame, drawn as shot or warped flat.
//!
//! The window draws from these tiles only; everything that is measured comes from the photo's own pixels.

mod flat;

use super::transform::Transform;
use crate::theme;
use egui::epaint::Vertex;
use egui::{Color32, ColorImage, Context, Mesh, Painter, Rect, TextureFilter, TextureHandle, TextureOptions, pos2};
use flat::{Cell, Grid};
use image::RgbImage;
use platewright_core::space::PhotoPoint;
use std::sync::Arc;

/// Side of a tile, px: within the limit of every graphics driver.
const TILE: u32 = 1024;
/// How many tiles a frame puts on the graphics card: each costs about a ms here, and 12 more ms in the frame's end where
/// the graphics are software that has to make its mipmaps.
const TILES_A_FRAME: usize = 2;
/// A cell that reaches further than this beyond the view is not drawn, points: near the horizon cells grow without
/// bound.
const FAR_OUT: f32 = 20_000.0;

/// The photo's tiles and the grid of the flat view.
#[derive(Default)]
pub(super) struct Picture {
    photo: Option<Arc<RgbImage>>,
    preview: Option<TextureHandle>,
    tiles: Vec<Tile>,
    grid: Option<Grid>,
}

impl std::fmt::Debug for Picture {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Picture").field("tiles", &self.tiles.len()).finish_non_exhaustive()
    }
}

/// A rectangle of the photo, in whole px, and its texture once it is on the graphics card.
struct Tile {
    x: u32,
    y: u32,
    width: u32,
    height: u32,
    texture: Option<TextureHandle>,
}

impl Picture {
    /// Takes everything off the graphics card.
    pub(super) fn forget(&mut self) {
        *self = Self::default();
    }

    /// Puts a few tiles on the graphics card, the nearest to the middle of the view first; in the first frame the coarse
    /// picture alone. The frame is repeated until all are there.
    pub(super) fn put_up(&mut self, ctx: &Context, photo: &Arc<RgbImage>, middle: PhotoPoint) {
        if !self.photo.as_ref().is_some_and(|known| Arc::ptr_eq(known, photo)) {
            self.forget();
            self.tiles = tiles_of(photo.width(), photo.height());
            self.preview = Some(ctx.load_texture("photo, coarse", coarse(photo), options()));
            self.photo = Some(Arc::clone(photo));
            ctx.request_repaint();
            return;
        }
        for _ in 0..TILES_A_FRAME {
            let Some(next) = next_tile(&self.tiles, middle) else { break };
            let tile = &mut self.tiles[next];
            tile.texture = Some(ctx.load_texture("photo tile", tile.pixels(photo), options()));
        }
        if self.tiles.iter().any(|tile| tile.texture.is_none()) {
            ctx.request_repaint();
        }
    }

    /// Draws the photo.
    pub(super) fn paint(&mut self, painter: &Painter, transform: &Transform) {
        let Some(photo) = self.photo.clone() else { return };
        let size = [photo.width(), photo.height()];
        match transform.map {
            Some(map) if transform.is_flat() => {
                let pixels_per_point = painter.ctx().pixels_per_point();
                let grid = Grid::for_view(self.grid.take(), size, (map, transform), pixels_per_point);
                self.paint_flat(painter, transform, &grid, size);
                self.grid = Some(grid);
            }
            _ => self.paint_as_shot(painter, transform, size),
        }
    }

    fn paint_as_shot(&self, painter: &Painter, transform: &Transform, size: [u32; 2]) {
        for tile in &self.tiles {
            let corner = |x: u32, y: u32| transform.screen_from_photo(pixel_corner(x, y));
            let corners = (corner(tile.x, tile.y), corner(tile.x + tile.width, tile.y + tile.height));
            let (Some(least), Some(most)) = corners else { continue };
            let rect = Rect::from_min_max(least, most);
            if let Some((texture, part)) = self.source(tile, size).filter(|_| rect.intersects(transform.rect)) {
                painter.image(texture.id(), rect, part, Color32::WHITE);
            }
        }
    }

    fn paint_flat(&self, painter: &Painter, transform: &Transform, grid: &Grid, size: [u32; 2]) {
        let seen = grid.seen(transform);
        for tile in &self.tiles {
            let Some((texture, part)) = self.source(tile, size) else { continue };
            let mut mesh = Mesh::with_texture(texture.id());
            for cell in seen.cells([tile.x, tile.y], [tile.x + tile.width, tile.y + tile.height]) {
                add_cell(&mut mesh, transform.rect, &cell, tile, part);
            }
            if !mesh.is_empty() {
                painter.add(mesh);
            }
        }
    }

    /// The texture for a tile with the part of it that is the tile: its own, else the coarse one.
    fn source<'a>(&'a self, tile: &'a Tile, [width, height]: [u32; 2]) -> Option<(&'a TextureHandle, Rect)> {
        let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
        if let Some(texture) = &tile.texture {
            return Some((texture, whole));
        }
        let at = |x: u32, y: u32| pos2(x as f32 / width as f32, y as f32 / height as f32);
        let part = Rect::from_min_max(at(tile.x, tile.y), at(tile.x + tile.width, tile.y + tile.height));
        Some((self.preview.as_ref()?, part))
    }
}

/// A pixel's top-left corner: photo points count from the middle of the first pixel.
fn pixel_corner(x: u32, y: u32) -> PhotoPoint {
    PhotoPoint::new(f64::from(x) - 0.5, f64::from(y) - 0.5)
}

/// Which share of a tile lies before the grid line at `at` px, 0 to 1.
fn part_of(at: u32, start: u32, length: u32) -> f32 {
    ((f64::from(at) - f64::from(start)) / f64::from(length)).clamp(0.0, 1.0) as f32
}

/// Adds a cell of a tile as two triangles; `part` is the tile's part of the texture.
fn add_cell(mesh: &mut Mesh, view: Rect, cell: &Cell, tile: &Tile, part: Rect) {
    let around = Rect::from_points(&cell.corners);
    if !around.intersects(view) || !view.expand(FAR_OUT).contains_rect(around) {
        return;
    }
    let first = mesh.vertices.len() as u32;
    for (index, &pos) in cell.corners.iter().enumerate() {
        let x = part_of(cell.x[index % 2], tile.x, tile.width);
        let uv = part.lerp_inside(egui::vec2(x, part_of(cell.y[index / 2], tile.y, tile.height)));
        mesh.vertices.push(Vertex { pos, uv, color: Color32::WHITE });
    }
    mesh.add_triangle(first, first + 1, first + 2);
    mesh.add_triangle(first + 2, first + 1, first + 3);
}

/// Squares of pixels when they are large, no moire when they are small.
fn options() -> TextureOptions {
    TextureOptions {
        magnification: TextureFilter::Nearest,
        minification: TextureFilter::Linear,
        mipmap_mode: Some(TextureFilter::Linear),
        ..TextureOptions::default()
    }
}

/// The tiles of a photo, row by row. Their sides are whole numbers of grid cells but for the last of a row or column.
fn tiles_of(width: u32, height: u32) -> Vec<Tile> {
    let starts = |length: u32| (0..length).step_by(TILE as usize);
    starts(height)
        .flat_map(|y| starts(width).map(move |x| (x, y)))
        .map(|(x, y)| Tile { x, y, width: TILE.min(width - x), height: TILE.min(height - y), texture: None })
        .collect()
}

/// The tile to put up next: the nearest to `middle` of those that are not there.
fn next_tile(tiles: &[Tile], middle: PhotoPoint) -> Option<usize> {
    let waiting = tiles.iter().enumerate().filter(|(_, tile)| tile.texture.is_none());
    waiting.map(|(index, tile)| (index, tile.distance(middle))).min_by(|a, b| a.1.total_cmp(&b.1)).map(|(i, _)| i)
}

/// The photo with every so manieth pixel, to be seen until the tiles are there.
fn coarse(photo: &RgbImage) -> ColorImage {
    let every = photo.width().max(photo.height()).div_ceil(TILE / 2).max(1);
    let (width, height) = (photo.width() / every, photo.height() / every);
    let (width, height) = (width.max(1), height.max(1));
    let pixel = |index: u32| {
        let (x, y) = (index % width * every + every / 2, index / width * every + every / 2);
        let [r, g, b] = photo.get_pixel(x.min(photo.width() - 1), y.min(photo.height() - 1)).0;
        theme::of_pixel([r, g, b])
    };
    ColorImage::new([width as usize, height as usize], (0..width * height).map(pixel).collect())
}

impl Tile {
    fn pixels(&self, photo: &RgbImage) -> ColorImage {
        let stride = photo.width() as usize * 3;
        let from = self.x as usize * 3;
        let (width, height) = (self.width as usize, self.height as usize);
        let mut pixels = Vec::with_capacity(width * height);
        for row in photo.as_raw().chunks_exact(stride).skip(self.y as usize).take(height) {
            let part = &row[from..from + width * 3];
            pixels.extend(part.as_chunks::<3>().0.iter().copied().map(theme::of_pixel));
        }
        ColorImage::new([width, height], pixels)
    }

    fn distance(&self, to: PhotoPoint) -> f64 {
        let x = f64::from(self.x) + f64::from(self.width) / 2.0 - to.x;
        let y = f64::from(self.y) + f64::from(self.height) / 2.0 - to.y;
        x.hypot(y)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tiles_cover_every_pixel_once() {
        for (width, height) in [(4000, 3000), (1024, 1024), (1025, 1), (8064, 6048)] {
            let tiles = tiles_of(width, height);
            let area: u64 = tiles.iter().map(|t| u64::from(t.width) * u64::from(t.height)).sum();
            assert_eq!(area, u64::from(width) * u64::from(height), "{width} x {height}");
            for (index, a) in tiles.iter().enumerate() {
                assert!(a.x + a.width <= width && a.y + a.height <= height, "inside the photo");
                for b in &tiles[index + 1..] {
                    let apart = a.x + a.width <= b.x || b.x + b.width <= a.x;
                    assert!(apart || a.y + a.height <= b.y || b.y + b.height <= a.y, "no two overlap");
                }
            }
        }
    }

    #[test]
    fn a_tile_holds_its_own_pixels() {
        let photo = RgbImage::from_fn(1030, 3, |x, y| image::Rgb([(x % 251) as u8, y as u8, 7]));
        let tiles = tiles_of(1030, 3);
        let last = tiles[1].pixels(&photo);
        assert_eq!(last.size, [6, 3], "what is left of the row");
        assert_eq!(
            last.pixels[6 + 2],
            Color32::from_rgb((1026 % 251) as u8, 1, 7),
            "the third pixel of the second row"
        );
    }

    #[test]
    fn the_tile_under_the_middle_comes_first() {
        let tiles = tiles_of(4000, 3000);
        let next = next_tile(&tiles, PhotoPoint::new(1500.0, 1400.0)).unwrap();
        assert_eq!((tiles[next].x, tiles[next].y), (1024, 1024), "the tile that holds it");
    }
}
