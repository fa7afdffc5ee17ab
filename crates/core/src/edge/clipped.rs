//! Where a photo is cut off at white or at black.
//!
//! Counted once for a photo, in tiles: 12 megapixels are 47,000 of them, and whoever asks about a part of the photo adds
//! up those that lie on it.

use super::picture::Picture;
use super::profile::WHITE;
use crate::space::PhotoPoint;

/// Side of a tile, px: finer than any rim that can be measured, and a row of pixels is still read in long runs.
const TILE_PX: usize = 16;

/// Up to this code value a pixel may be cut off at black: JPEG rings by a step or two, as at white.
const BLACK: u8 = 2;

/// How many pixels of a photo are cut off, tile by tile.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Clipped {
    size: [usize; 2],
    /// White and black pixels of each tile, row by row.
    tiles: Vec<[u16; 2]>,
}

/// A tile of a photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tile {
    /// Its column and row.
    pub number: [usize; 2],
    /// Its middle.
    pub middle: PhotoPoint,
    /// How many pixels it has.
    pub pixels: f64,
    /// How many of them are white in all three colours.
    pub white: f64,
    /// How many of them are black in all three colours.
    pub black: f64,
}

/// How a pixel is cut off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CutOff {
    /// At white.
    White,
    /// At black.
    Black,
}

fn cut_off(pixel: &[u8]) -> Option<CutOff> {
    if pixel.iter().all(|code| *code >= WHITE) {
        Some(CutOff::White)
    } else {
        pixel.iter().all(|code| *code <= BLACK).then_some(CutOff::Black)
    }
}

impl Clipped {
    /// Side of a tile, px.
    pub const TILE_PX: f64 = TILE_PX as f64;

    /// Counts a whole photo.
    pub fn of(picture: &Picture<'_>) -> Self {
        let size = picture.size();
        let columns = size[0].div_ceil(TILE_PX);
        let mut tiles = vec![[0_u16; 2]; columns * size[1].div_ceil(TILE_PX)];
        for (y, row) in picture.rows().enumerate() {
            let first = y / TILE_PX * columns;
            for (tile, pixels) in tiles[first..first + columns].iter_mut().zip(row.chunks(3 * TILE_PX)) {
                for pixel in pixels.chunks_exact(3) {
                    if let Some(how) = cut_off(pixel) {
                        tile[how as usize] += 1;
                    }
                }
            }
        }
        Self { size, tiles }
    }

    /// How many tiles a row has.
    pub const fn columns(&self) -> usize {
        self.size[0].div_ceil(TILE_PX)
    }

    /// All tiles, row by row.
    pub fn tiles(&self) -> impl Iterator<Item = Tile> {
        let columns = self.columns().max(1);
        self.tiles.iter().enumerate().map(move |(index, [white, black])| {
            let number = [index % columns, index / columns];
            let [across, down] = [0, 1].map(|i: usize| TILE_PX.min(self.size[i] - number[i] * TILE_PX) as f64);
            let [left, top] = number.map(|number| (number * TILE_PX) as f64);
            Tile {
                number,
                middle: PhotoPoint::new(left + 0.5 * (across - 1.0), top + 0.5 * (down - 1.0)),
                pixels: across * down,
                white: f64::from(*white),
                black: f64::from(*black),
            }
        })
    }
}

impl Picture<'_> {
    /// How the pixel at a place is cut off; `None` where it is not, and off the photo.
    pub fn cut_off(&self, at: PhotoPoint) -> Option<CutOff> {
        let inside = self.holds(at, 0.0);
        inside.then(|| self.pixel(at.x.round() as usize, at.y.round() as usize)).flatten().and_then(|p| cut_off(&p))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pixel_that_is_cut_off_is_counted_in_its_tile() {
        // 40 x 20: two and a half tiles across, one and a quarter down.
        let mut bytes = vec![100_u8; 40 * 20 * 3];
        let mut set = |x: usize, y: usize, code: u8| bytes[(y * 40 + x) * 3..][..3].fill(code);
        for x in 30..40 {
            set(x, 18, 255);
        }
        set(0, 0, 0);
        set(1, 0, BLACK + 1);
        set(2, 0, WHITE - 1);
        let picture = Picture::from_srgb([40, 20], &bytes).unwrap();
        let tiles: Vec<Tile> = Clipped::of(&picture).tiles().collect();
        assert_eq!(tiles.len(), 6, "three by two");
        assert_eq!((tiles[0].white, tiles[0].black, tiles[0].pixels), (0.0, 1.0, 256.0), "{:?}", tiles[0]);
        assert_eq!((tiles[4].white, tiles[5].white, tiles[5].pixels), (2.0, 8.0, 32.0), "{:?}", tiles[5]);
        assert_eq!(tiles[5].middle, PhotoPoint::new(35.5, 17.5), "the middle of what there is of it");
        assert_eq!(picture.cut_off(PhotoPoint::new(33.4, 18.2)), Some(CutOff::White), "white there");
        assert_eq!(picture.cut_off(PhotoPoint::new(0.0, 0.0)), Some(CutOff::Black), "black there");
        assert_eq!(picture.cut_off(PhotoPoint::new(2.0, 0.0)), None, "light, not white");
        assert_eq!(picture.cut_off(PhotoPoint::new(-5.0, 0.0)), None, "off the photo");
    }
}
