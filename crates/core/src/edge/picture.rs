//! The photo as amounts of light.

use crate::space::PhotoPoint;
use std::sync::LazyLock;

/// Brightness, black 0 and white 1, and two colours, or three mixtures of them.
pub(super) type Light = [f64; 3];

/// A photo whose pixels are read as linear light.
///
/// Light adds up, code values do not: an edge pixel that is half face and half hole holds the mean of their light, and
/// the code value of that mean lies far above the mean of their code values. Measured on code values an edge sits up
/// to half a pixel on its dark side.
///
/// The bytes are borrowed as they are and become light where they are looked at: a rim needs a thousandth of the photo.
#[derive(Debug, Clone, Copy)]
pub struct Picture<'a> {
    width: usize,
    height: usize,
    rgb: &'a [u8],
}

/// Light of the 256 code values (IEC 61966-2-1).
static LINEAR: LazyLock<[f64; 256]> = LazyLock::new(|| {
    std::array::from_fn(|code| {
        let c = code as f64 / 255.0;
        if c <= 0.040_45 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
    })
});

/// Shares of red, green and blue in the brightness: those of JPEG's (ITU-T T.871), which keeps it at full resolution and
/// colour usually at half. With these the smeared colour cancels to first order where face and ground are nearly grey.
const BRIGHTNESS: [f64; 3] = [0.299, 0.587, 0.114];

/// Shares of the two colours: red and blue, less brightness.
const COLOURS: [[f64; 3]; 2] = [[0.701, -0.587, -0.114], [-0.299, -0.587, 0.886]];

/// A table that gives a pixel's brightness and two colours as sums over red, green and blue.
#[derive(Debug, Clone)]
pub(super) struct Mixture {
    tables: [[Light; 256]; 3],
}

impl Mixture {
    /// Brightness and colours, both in light: what edges are looked for in.
    pub(super) fn of_light() -> Self {
        Self::new(1.0, 1.0, &LINEAR)
    }

    /// Brightness in light and colours in code values, each multiplied by a scale: what edges are measured in.
    ///
    /// Code values are where JPEG halves the resolution of colour, so that there its smear reaches equally far to both
    /// sides of an edge.
    pub(super) fn of_coded_colour(brightness: f64, colour: f64) -> Self {
        Self::new(brightness, colour, &std::array::from_fn(|code| code as f64 / 255.0))
    }

    fn new(brightness: f64, colour: f64, colour_values: &[f64; 256]) -> Self {
        let of = |primary: usize, code: usize| {
            let value = colour * colour_values[code];
            let [red, blue] = COLOURS.map(|shares| shares[primary] * value);
            [brightness * BRIGHTNESS[primary] * LINEAR[code], red, blue]
        };
        Self { tables: std::array::from_fn(|primary| std::array::from_fn(|code| of(primary, code))) }
    }

    /// The mixtures of a pixel.
    pub(super) fn light(&self, rgb: [u8; 3]) -> Light {
        let [r, g, b] = [0, 1, 2].map(|colour| &self.tables[colour][usize::from(rgb[colour])]);
        [r[0] + g[0] + b[0], r[1] + g[1] + b[1], r[2] + g[2] + b[2]]
    }
}

impl<'a> Picture<'a> {
    /// From sRGB bytes, three a pixel, row by row, already turned upright. `None` where the bytes are not as many as
    /// the size says.
    pub fn from_srgb([width, height]: [u32; 2], rgb: &'a [u8]) -> Option<Self> {
        let (width, height) = (width as usize, height as usize);
        (width.checked_mul(height)?.checked_mul(3)? == rgb.len()).then_some(Self { width, height, rgb })
    }

    /// Width and height, px.
    pub(super) const fn size(&self) -> [usize; 2] {
        [self.width, self.height]
    }

    /// Whether the place lies between the centres of the photo's outermost pixels, by at least `margin_px`.
    pub(super) fn holds(&self, at: PhotoPoint, margin_px: f64) -> bool {
        let inside = |value: f64, side: usize| value >= margin_px && value <= side as f64 - 1.0 - margin_px;
        inside(at.x, self.width) && inside(at.y, self.height)
    }

    /// Pixels of a row from column `from` up to column `to`; none where the photo does not hold them all.
    pub(super) fn row(&self, y: usize, from: usize, to: usize) -> impl Iterator<Item = [u8; 3]> + use<'a> {
        let within = from <= to && to < self.width && y < self.height;
        let start = y * self.width;
        let bytes = if within { &self.rgb[(start + from) * 3..(start + to + 1) * 3] } else { &[] };
        bytes.chunks_exact(3).map(|p| [p[0], p[1], p[2]])
    }

    /// All rows from the top, three bytes a pixel.
    pub(super) fn rows(&self) -> impl Iterator<Item = &'a [u8]> {
        self.rgb.chunks_exact((3 * self.width).max(1))
    }

    /// One pixel; `None` off the photo.
    pub(super) fn pixel(&self, x: usize, y: usize) -> Option<[u8; 3]> {
        let start = (y * self.width + x) * 3;
        if x < self.width && y < self.height { self.rgb.get(start..)?.first_chunk().copied() } else { None }
    }

    /// The light at a place between pixels, by bilinear interpolation; `None` beyond the centres of the outermost.
    ///
    /// This serves the search alone. It widens an edge by up to a quarter square pixel, depending on where the sample
    /// falls, and neighbouring samples share noise: what is measured is taken from the pixels themselves.
    pub(super) fn sample(&self, mixture: &Mixture, at: PhotoPoint) -> Option<Light> {
        if !self.holds(at, 0.0) {
            return None;
        }
        let (x, y) = (at.x as usize, at.y as usize);
        let (right, below) = ((x + 1).min(self.width - 1), (y + 1).min(self.height - 1));
        let (share_x, share_y) = (at.x - x as f64, at.y - y as f64);
        let light = |x: usize, y: usize| {
            let start = (y * self.width + x) * 3;
            mixture.light([self.rgb[start], self.rgb[start + 1], self.rgb[start + 2]])
        };
        let (a, b, c, d) = (light(x, y), light(right, y), light(x, below), light(right, below));
        let mix = |a: f64, b: f64, share: f64| a + (b - a) * share;
        Some(std::array::from_fn(|i| mix(mix(a[i], b[i], share_x), mix(c[i], d[i], share_x), share_y)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn brightness(picture: &Picture, x: f64, y: f64) -> Option<f64> {
        picture.sample(&Mixture::of_light(), PhotoPoint::new(x, y)).map(|light| light[0])
    }

    #[test]
    fn code_values_become_light() {
        let picture = Picture::from_srgb([3, 1], &[0, 0, 0, 188, 188, 188, 255, 255, 255]).unwrap();
        check(&picture, 0.0, 0.0, 0.0);
        check(&picture, 2.0, 0.0, 1.0);
        // IEC 61966-2-1: half the light is code value 187.5.
        let half = brightness(&picture, 1.0, 0.0).unwrap();
        assert!((half - 0.5).abs() < 0.004, "half: {half}");
    }

    fn check(picture: &Picture, x: f64, y: f64, expected: f64) {
        let found = brightness(picture, x, y).unwrap();
        assert!((found - expected).abs() < 1e-14, "at ({x}, {y}): {found}, not {expected}");
    }

    #[test]
    fn between_pixels_light_is_mixed() {
        let picture = Picture::from_srgb([2, 2], &[0, 0, 0, 255, 255, 255, 255, 255, 255, 0, 0, 0]).unwrap();
        check(&picture, 0.25, 0.0, 0.25);
        check(&picture, 1.0, 0.75, 0.25);
        check(&picture, 1.0, 1.0, 0.0);
    }

    #[test]
    fn beyond_the_photo_there_is_nothing() {
        let picture = Picture::from_srgb([1, 1], &[255; 3]).unwrap();
        check(&picture, 0.0, 0.0, 1.0);
        for (x, y) in [(-0.1, 0.0), (0.0, 0.1), (f64::NAN, 0.0), (f64::INFINITY, 0.0)] {
            assert_eq!(brightness(&picture, x, y), None, "({x}, {y})");
        }
        assert_eq!(picture.row(5, 0, 0).count(), 0, "no such row");
        assert_eq!(picture.row(0, 0, 3).count(), 0, "no such columns");
    }

    #[test]
    fn bytes_that_make_no_picture_are_refused() {
        assert!(Picture::from_srgb([2, 2], &[0; 11]).is_none(), "a byte short");
        assert!(Picture::from_srgb([u32::MAX, u32::MAX], &[]).is_none(), "too large to count");
    }
}
