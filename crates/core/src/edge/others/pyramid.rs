//! The photo at halves of its size, each pixel the mean light of four.

use super::super::picture::{Mixture, Picture};
use crate::space::PhotoPoint;

/// Square roots of the light of red, green and blue.
///
/// The noise of counted light is even in its square root (Anscombe 1948), and a surface in half the light differs from
/// what is beside it by seven tenths as much, not by half.
pub(in crate::edge) type Tone = [f32; 3];

/// The photo shrunk by a power of two.
#[derive(Debug, Clone)]
pub(in crate::edge) struct Level {
    /// Width and height, px of its own.
    pub(in crate::edge) size: [usize; 2],
    /// Side of one of its pixels, px of the photo.
    pub(in crate::edge) pixel_px: f64,
    /// Its first pixel, px of its own from that of the photo.
    origin: [usize; 2],
    /// Each colour row by row.
    pub(in crate::edge) planes: [Vec<f32>; 3],
}

/// No level is narrower than this: there is no room for a circle and its surroundings.
const NARROWEST: usize = 24;

/// The levels of a photo, finest first: half its size, a quarter, and so on; none of a tiny one.
pub(in crate::edge) fn levels(picture: &Picture) -> Vec<Level> {
    let mut levels: Vec<Level> = Level::half_of(picture).into_iter().collect();
    while let Some(next) = levels.last().and_then(Level::halved) {
        levels.push(next);
    }
    levels
}

impl Level {
    /// The photo's own pixels round a place, up to `reach_px` away each way, as far as it holds them.
    pub(super) fn whole_pixels(picture: &Picture, centre: PhotoPoint, reach_px: f64) -> Self {
        let [width, height] = picture.size();
        let span = |at: f64, side: usize| {
            let last = side.saturating_sub(1) as f64;
            [(at - reach_px).floor(), (at + reach_px).ceil()].map(|end| end.clamp(0.0, last) as usize)
        };
        let ([left, right], [top, bottom]) = (span(centre.x, width), span(centre.y, height));
        let light = light_of_codes();
        let mut planes = [0; 3].map(|_| Vec::with_capacity((right - left + 1) * (bottom - top + 1)));
        for pixel in (top..=bottom).flat_map(|y| picture.row(y, left, right)) {
            for (colour, plane) in planes.iter_mut().enumerate() {
                plane.push(light[usize::from(pixel[colour])].sqrt());
            }
        }
        Self { size: [right - left + 1, bottom - top + 1], pixel_px: 1.0, origin: [left, top], planes }
    }

    fn half_of(picture: &Picture) -> Option<Self> {
        let [width, height] = half(picture.size())?;
        let light = light_of_codes();
        let mut planes = [0; 3].map(|_| Vec::with_capacity(width * height));
        for y in 0..height {
            let [mut above, mut below] = [0, 1].map(|row| picture.row(2 * y + row, 0, 2 * width - 1));
            while let (Some(a), Some(b), Some(c), Some(d)) = (above.next(), above.next(), below.next(), below.next()) {
                for (colour, plane) in planes.iter_mut().enumerate() {
                    let sum: f32 = [a, b, c, d].map(|pixel| light[usize::from(pixel[colour])]).iter().sum();
                    plane.push((0.25 * sum).sqrt());
                }
            }
        }
        Some(Self { size: [width, height], pixel_px: 2.0, origin: [0; 2], planes })
    }

    fn halved(&self) -> Option<Self> {
        let [width, height] = half(self.size)?;
        let planes = [0, 1, 2].map(|colour: usize| {
            let mut plane = Vec::with_capacity(width * height);
            for pair in self.planes[colour].chunks_exact(2 * self.size[0]).take(height) {
                let (above, below) = pair.split_at(self.size[0]);
                for (a, b) in above.chunks_exact(2).zip(below.chunks_exact(2)) {
                    plane.push((0.25 * (a[0] * a[0] + a[1] * a[1] + b[0] * b[0] + b[1] * b[1])).sqrt());
                }
            }
            plane
        });
        Some(Self { size: [width, height], pixel_px: 2.0 * self.pixel_px, origin: [0; 2], planes })
    }

    /// Where a place of the level lies in the photo.
    pub(in crate::edge) fn photo(&self, [x, y]: [f64; 2]) -> PhotoPoint {
        let photo = |value: f64, origin: usize| (value + 0.5 + origin as f64) * self.pixel_px - 0.5;
        PhotoPoint::new(photo(x, self.origin[0]), photo(y, self.origin[1]))
    }

    /// The tone at a place of the photo, by bilinear interpolation; `None` beyond the centres of the outermost pixels.
    pub(super) fn sample(&self, at: PhotoPoint) -> Option<Tone> {
        let own = |value: f64, origin: usize| (value + 0.5) / self.pixel_px - 0.5 - origin as f64;
        let (x, y) = (own(at.x, self.origin[0]), own(at.y, self.origin[1]));
        let [width, height] = self.size;
        if !(x >= 0.0 && y >= 0.0 && x < (width - 1) as f64 && y < (height - 1) as f64) {
            return None;
        }
        let start = y as usize * width + x as usize;
        let (share_x, share_y) = (x.fract() as f32, y.fract() as f32);
        let mix = |a: f32, b: f32, share: f32| a + (b - a) * share;
        Some([0, 1, 2].map(|colour: usize| {
            let plane = &self.planes[colour];
            let above = mix(plane[start], plane[start + 1], share_x);
            mix(above, mix(plane[start + width], plane[start + width + 1], share_x), share_y)
        }))
    }
}

/// The tone of a primary's 256 code values.
pub(in crate::edge) fn tone_of_codes() -> [f32; 256] {
    light_of_codes().map(f32::sqrt)
}

/// The light of a primary's 256 code values.
fn light_of_codes() -> [f32; 256] {
    let mixture = Mixture::of_light();
    // The shares of brightness add up to one, so the brightness of a grey is the light of its code value.
    std::array::from_fn(|code| mixture.light([code as u8; 3])[0] as f32)
}

/// Half of each side; `None` where that is too narrow.
fn half(size: [usize; 2]) -> Option<[usize; 2]> {
    let half = size.map(|side| side / 2);
    (half[0].min(half[1]) >= NARROWEST).then_some(half)
}
