//! The photo at true scale: each pixel of an upright picture of the plate from where the camera saw it.
//!
//! The picture is made in cells of 32 x 32 px. The camera's map is worked out at nine places of a cell and is a quadratic
//! between them, gone along row by row in whole numbers; two further places tell whether that holds. Where it does not (near
//! the horizon, where the lens folds over) or the photo ends within the cell, each pixel is worked out by itself. Colours are
//! bilinear between the four nearest pixels of the photo, as they are coded.
//!
//! Bands of the picture do not depend on each other: whoever has threads may work out several at a time.

use super::PlateMap;
use crate::geom::Bounds;
use crate::space::{PhotoPoint, PlatePoint};
use wide::{bytemuck, i16x8, i32x4, u8x16, u32x4};

/// Side of a cell, px.
const CELL: usize = 32;
/// From node to node, px.
const STEP: f64 = CELL as f64 / 2.0;
/// Bands are best this high, px, or a multiple of it.
pub const FLAT_BAND_ROWS: usize = CELL;
/// How far the quadratic may be off the camera's own map where it is looked at, photo px. A quadratic's error is greatest
/// near there and grows with the third derivative, which hardly changes within a cell: it stays under 0.02 px everywhere.
const OFF_PX: f64 = 0.01;
/// How far beyond its nodes a cell may reach in the photo, px: a quadratic bent by less than 1 px at its middle stays within.
const REACH_PX: f64 = 2.0;
const MOST_BEND_PX: f64 = 1.0;
/// What is not in the photo.
const PAPER: [u8; 3] = [255; 3];
/// Binary digits behind the point of a place in the photo.
const PLACE_BITS: u32 = 32;
/// Binary digits behind the point of a colour between rows.
const COLOUR_BITS: i32 = 7;
/// Binary digits of the weights of two columns.
const WEIGHT_BITS: u32 = 14;
/// Binary digits behind the point of a colour between rows and columns.
const SUM_BITS: i32 = COLOUR_BITS + WEIGHT_BITS.cast_signed();

/// A photo's pixels.
#[derive(Debug, Clone, Copy)]
pub struct Pixels<'a> {
    size: [usize; 2],
    srgb: &'a [u8],
}

impl<'a> Pixels<'a> {
    /// Three bytes a pixel, row by row; `None` where they are not as many as the size (px) says, or fewer than 2 x 2.
    pub fn new(size: [u32; 2], srgb: &'a [u8]) -> Option<Self> {
        let size = size.map(|side| side as usize);
        let bytes = size[0].checked_mul(size[1])?.checked_mul(3)?;
        (bytes == srgb.len() && size.iter().all(|side| *side >= 2)).then_some(Self { size, srgb })
    }

    fn stride(&self) -> usize {
        3 * self.size[0]
    }

    /// The colour at a place, the nearest pixel's within half a pixel of the photo's sides; paper beyond.
    fn at(&self, place: PhotoPoint) -> [u8; 3] {
        let [width, height] = self.size.map(|side| side as f64);
        let inside = |v: f64, side: f64| v >= -0.5 && v <= side - 0.5;
        if !(inside(place.x, width) && inside(place.y, height)) {
            return PAPER;
        }
        let split = |v: f64, side: f64| {
            let v = v.clamp(0.0, side - 1.0);
            let whole = v.floor().min(side - 2.0);
            (whole as usize, ((v - whole) * f64::from(PLACE_BITS).exp2()) as u32)
        };
        let ((x, share_x), (y, share_y)) = (split(place.x, width), split(place.y, height));
        let start = 3 * (y * self.size[0] + x);
        let six = |start: usize| {
            let mut row = [0; 11];
            row[..6].copy_from_slice(&self.srgb[start..start + 6]);
            row
        };
        let [r, g, b, _] = between(&six(start), &six(start + self.stride()), share_x, share_y).to_array();
        [r, g, b].map(|colour| colour as u8)
    }
}

/// Where the pixels of a picture at true scale lie on the plate: x to the right, y up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlatFrame {
    /// Its scale.
    pub px_per_mm: f64,
    /// Width and height, px.
    pub size: [u32; 2],
    /// The plate's origin in the picture: x to the right, y down from the centre of its first pixel, whole px.
    pub origin_px: [i64; 2],
}

impl FlatFrame {
    /// A picture of everything within `bounds`; `None` where a side is none or has more px than can be counted.
    pub fn over(bounds: Bounds, px_per_mm: f64) -> Option<Self> {
        let low = [bounds.min.x, -bounds.max.y].map(|mm| (mm * px_per_mm).floor());
        let high = [bounds.max.x, -bounds.min.y].map(|mm| (mm * px_per_mm).ceil());
        let sides = [high[0] - low[0] + 1.0, high[1] - low[1] + 1.0];
        let counted = sides.iter().all(|side| *side >= 1.0 && *side <= f64::from(u32::MAX)) && px_per_mm > 0.0;
        let held = low.iter().all(|px| px.abs() < 2_f64.powi(52));
        let [width, height] = sides.map(|side| side as u32);
        (counted && held).then(|| Self { px_per_mm, size: [width, height], origin_px: low.map(|px| -(px as i64)) })
    }

    /// The place on the plate that a place in the picture shows, px from the centre of the first pixel.
    pub fn plate_from_flat(&self, [x, y]: [f64; 2]) -> PlatePoint {
        let [origin_x, origin_y] = self.origin_px.map(|px| px as f64);
        PlatePoint::new((x - origin_x) / self.px_per_mm, (origin_y - y) / self.px_per_mm)
    }

    /// How many pixels it has.
    pub fn pixels(&self) -> u64 {
        u64::from(self.size[0]) * u64::from(self.size[1])
    }
}

/// Fills `band`, whole rows of the picture from row `first` on, three bytes a pixel.
///
/// # Panics
/// Where `band` is not of whole rows.
pub fn flatten_band(photo: &Pixels<'_>, map: &PlateMap, frame: &FlatFrame, first: usize, band: &mut [u8]) {
    let width = frame.size[0] as usize;
    assert!(band.len().is_multiple_of(3 * width), "a band is of whole rows");
    for (number, rows) in band.chunks_mut(3 * width * CELL).enumerate() {
        let top = (first + number * CELL) as f64;
        let place = |x: f64, y: f64| map.photo_from_plate(frame.plate_from_flat([x, y]));
        let column = |x: f64| [0.0, 1.0, 2.0].map(|k| place(x, top + k * STEP));
        let mut right = column(0.0);
        for start in (0..width).step_by(CELL) {
            let left = start as f64;
            let columns = [right, column(left + STEP), column(left + 2.0 * STEP)];
            right = columns[2];
            let exact = |x: f64, y: f64| place(left + x, top + y);
            let cell = Cell { span: 3 * start..3 * (start + CELL).min(width), width: 3 * width };
            match Bent::through(columns).filter(|bent| bent.holds(exact)) {
                Some(bent) if bent.is_inside(photo.size) => cell.fill_fast(rows, photo, &bent),
                Some(bent) => cell.fill_each(rows, |x, y| photo.at(bent.at(x, y))),
                None => cell.fill_each(rows, |x, y| exact(x, y).map_or(PAPER, |place| photo.at(place))),
            }
        }
    }
}

/// A cell's part of each row of a band, in bytes.
struct Cell {
    span: std::ops::Range<usize>,
    width: usize,
}

impl Cell {
    fn fill_each(&self, rows: &mut [u8], colour: impl Fn(f64, f64) -> [u8; 3]) {
        for (y, row) in rows.chunks_exact_mut(self.width).enumerate() {
            for (x, pixel) in row[self.span.clone()].as_chunks_mut::<3>().0.iter_mut().enumerate() {
                *pixel = colour(x as f64, y as f64);
            }
        }
    }

    /// All of the cell lies inside the photo.
    fn fill_fast(&self, rows: &mut [u8], photo: &Pixels<'_>, bent: &Bent) {
        let stride = photo.stride();
        for (y, row) in rows.chunks_exact_mut(self.width).enumerate() {
            let mut run = bent.run(y as f64);
            let (fours, rest) = row[self.span.clone()].as_chunks_mut::<12>();
            for four in fours {
                let [a, b, c, d] = [(); 4].map(|()| run.next_colour(photo.srgb, stride));
                let halves = [[a, b], [c, d]].map(|pair| i16x8::from_i32x8_saturate(bytemuck::cast(pair)));
                let [a, b, c, d]: [u32; 4] = bytemuck::cast(u8x16::narrow_i16x8(halves[0], halves[1]));
                // Every fourth byte is none: it is pushed out.
                let pushed = |word: u32| word & 0x00ff_ffff;
                let words = [pushed(a) | b << 24, pushed(b) >> 8 | c << 16, pushed(c) >> 16 | d << 8];
                for (bytes, word) in four.as_chunks_mut::<4>().0.iter_mut().zip(words) {
                    *bytes = word.to_le_bytes();
                }
            }
            for pixel in rest.as_chunks_mut::<3>().0 {
                let [r, g, b, _] = run.next_colour(photo.srgb, stride).to_array();
                *pixel = [r, g, b].map(|colour| colour as u8);
            }
        }
    }
}

/// A quadratic along x and y through nine places of the photo.
struct Bent {
    /// By column, then by row.
    nodes: [[PhotoPoint; 3]; 3],
}

impl Bent {
    fn through(columns: [[Option<PhotoPoint>; 3]; 3]) -> Option<Self> {
        let mut nodes = [[PhotoPoint::default(); 3]; 3];
        for (found, column) in nodes.iter_mut().flatten().zip(columns.iter().flatten()) {
            *found = (*column)?;
        }
        Some(Self { nodes })
    }

    /// Where the row `y` of the cell meets the three columns.
    fn row(&self, y: f64) -> [PhotoPoint; 3] {
        let t = y / STEP;
        let [a, b, c] = [(t - 1.0) * (t - 2.0) / 2.0, t * (2.0 - t), t * (t - 1.0) / 2.0];
        self.nodes.map(|[p, q, r]| PhotoPoint::new(a * p.x + b * q.x + c * r.x, a * p.y + b * q.y + c * r.y))
    }

    fn at(&self, x: f64, y: f64) -> PhotoPoint {
        let t = x / STEP;
        let [a, b, c] = [(t - 1.0) * (t - 2.0) / 2.0, t * (2.0 - t), t * (t - 1.0) / 2.0];
        let [p, q, r] = self.row(y);
        PhotoPoint::new(a * p.x + b * q.x + c * r.x, a * p.y + b * q.y + c * r.y)
    }

    /// It is near the map itself where it is farthest from its nodes.
    fn holds(&self, exact: impl Fn(f64, f64) -> Option<PhotoPoint>) -> bool {
        let near = |x: f64, y: f64| exact(x, y).is_some_and(|place| (place - self.at(x, y)).length() <= OFF_PX);
        let far = 0.4226 * STEP;
        near(far, far) && near(2.0 * STEP - far, 2.0 * STEP - far)
    }

    /// All of the cell is seen, with the pixels to the right and below.
    fn is_inside(&self, size: [usize; 2]) -> bool {
        let [most_x, most_y] = size.map(|side| side as f64 - 2.0 - REACH_PX);
        let inside = |p: &PhotoPoint| p.x >= REACH_PX && p.x <= most_x && p.y >= REACH_PX && p.y <= most_y;
        let bend = |[p, q, r]: [PhotoPoint; 3]| {
            (p.x - 2.0 * q.x + r.x).abs().max((p.y - 2.0 * q.y + r.y).abs()) < 2.0 * MOST_BEND_PX
        };
        let across = |k: usize| self.nodes.map(|column| column[k]);
        self.nodes.iter().flatten().all(inside) && (0..3).all(|k| bend(self.nodes[k]) && bend(across(k)))
    }

    /// The row `y` of the cell, from its first pixel on.
    fn run(&self, y: f64) -> Run {
        let row = self.row(y);
        let along = |of: fn(&PhotoPoint) -> f64| {
            let [p, q, r] = [of(&row[0]), of(&row[1]), of(&row[2])];
            let (slope, bend) = ((2.0 * q - 1.5 * p - 0.5 * r) / STEP, (0.5 * p - q + 0.5 * r) / (STEP * STEP));
            let fixed = |v: f64| (v * f64::from(PLACE_BITS).exp2()).round() as i64;
            Stepped { at: fixed(p), step: fixed(slope + bend), more: fixed(2.0 * bend) }
        };
        Run { x: along(|p| p.x), y: along(|p| p.y) }
    }
}

/// A quadratic at whole numbers, by adding up its differences.
#[derive(Clone, Copy)]
struct Stepped {
    at: i64,
    step: i64,
    more: i64,
}

impl Stepped {
    /// The place, and on to the next one.
    #[expect(clippy::inline_always, reason = "the inner loop of millions of pixels")]
    #[inline(always)]
    fn next(&mut self) -> (usize, u32) {
        let at = self.at;
        self.at += self.step;
        self.step += self.more;
        ((at >> PLACE_BITS) as usize, at as u32)
    }
}

struct Run {
    x: Stepped,
    y: Stepped,
}

impl Run {
    /// The colour at the next place. Within the photo by what was looked at before; were it not, it would be paper.
    #[expect(clippy::inline_always, reason = "the inner loop of millions of pixels")]
    #[inline(always)]
    fn next_colour(&mut self, srgb: &[u8], stride: usize) -> i32x4 {
        let ((x, part_x), (y, part_y)) = (self.x.next(), self.y.next());
        let start = y.wrapping_mul(stride).wrapping_add(3 * x);
        // From the upper left pixel to what is read of the lower row: one look at the length is enough for both rows.
        let window = srgb.get(start..).and_then(|rest| rest.get(..stride + 11));
        match window.and_then(|window| window.first_chunk::<11>().zip(window.last_chunk::<11>())) {
            Some((upper, lower)) => between(upper, lower, part_x, part_y),
            None => i32x4::splat(255),
        }
    }
}

/// The colours at a place between pixels, in the wide registers that every processor of the kind has: between the upper
/// pixels (three bytes each, the right one from byte 3 on) and the two below them, at these shares of the way to the right
/// and down, in parts of 2^32. Three whole figures from 0 to 255, and one that is none.
#[expect(clippy::inline_always, reason = "the inner loop of millions of pixels")]
#[inline(always)]
fn between(upper: &[u8; 11], lower: &[u8; 11], share_x: u32, share_y: u32) -> i32x4 {
    // Left and right stand side by side, colour by colour.
    let beside = |row: &[u8; 11]| {
        let [left, right] = [0, 3].map(|at| {
            let mut wide = [0; 16];
            wide[..8].copy_from_slice(&row[at..at + 8]);
            u8x16::new(wide)
        });
        i16x8::from_u8x16_low(u8x16::unpack_low(left, right))
    };
    let (upper, lower) = (beside(upper), beside(lower));
    // From the middle between the rows, up or down by half of their difference at most: a difference of 8 + 7 digits by a
    // share of 16, of which the upper half is kept.
    let from_middle = ((share_y >> 16) as i16) ^ i16::MIN;
    let by = ((lower - upper) << COLOUR_BITS).mul_keep_high(i16x8::splat(from_middle));
    let column = ((upper + lower) << (COLOUR_BITS - 1)) + i16x8::splat(1 << (COLOUR_BITS - 1)) + by;
    let right = share_x >> (u32::BITS - WEIGHT_BITS);
    let weights: i16x8 = bytemuck::cast(u32x4::splat(right << 16 | ((1 << WEIGHT_BITS) - right)));
    column.dot(weights) >> SUM_BITS
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::camera::{Lens, Pose, RigidMove};
    use crate::space::PlateVec;
    use proptest::prelude::*;

    /// Grey noise with slopes, repeatable.
    fn noise([width, height]: [u32; 2], grain: u32) -> Vec<u8> {
        let mut state = 7_u32;
        let byte = |k: u32| {
            // A linear congruential generator (Knuth, The Art of Computer Programming 2, 3.3.4).
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            ((k / 3 % width + k / 3 / width) % (256 - grain) + (state >> 16) % grain) as u8
        };
        (0..3 * width * height).map(byte).collect()
    }

    fn flattened(size: [u32; 2], srgb: &[u8], map: &PlateMap, frame: &FlatFrame) -> Vec<u8> {
        let photo = Pixels::new(size, srgb).unwrap();
        let mut out = vec![0; 3 * frame.pixels() as usize];
        flatten_band(&photo, map, frame, 0, &mut out);
        out
    }

    /// A lens that bends, held at a slant, over a photo of this size at about 10 px per mm.
    fn slanted([width, height]: [u32; 2], tilt: f64, k1: f64) -> PlateMap {
        let principal = PhotoPoint::new(f64::from(width) / 2.0 + 3.3, f64::from(height) / 2.0 - 2.1);
        let long = f64::from(width.max(height));
        let lens = Lens { k1, k2: 0.02, p1: 5e-4, p2: -4e-4, ..Lens::pinhole(0.75 * long, principal) };
        let pose = Pose { distance_mm: 0.075 * long, tilt_a_rad: tilt, tilt_b_rad: -0.6 * tilt };
        PlateMap::new(lens, pose).with_datum(&RigidMove::new(0.7, PlateVec::new(4.0, -9.0)))
    }

    #[test]
    fn square_on_at_its_own_scale_a_photo_stays_as_it_is() {
        let size = [75, 41];
        let srgb = noise(size, 200);
        let map = PlateMap::new(Lens::pinhole(3000.0, PhotoPoint::new(30.0, 20.0)), Pose::square(300.0));
        let frame = FlatFrame { px_per_mm: 10.0, size, origin_px: [30, 20] };
        let out = flattened(size, &srgb, &map, &frame);
        let worst = out.iter().zip(&srgb).map(|(a, b)| a.abs_diff(*b)).max();
        assert_eq!(worst, Some(0), "every pixel");
        let beside = FlatFrame { origin_px: [30 + 100, 20], ..frame };
        assert!(
            flattened(size, &srgb, &map, &beside).iter().all(|byte| *byte == 255),
            "beside the photo there is paper"
        );
    }

    #[test]
    fn a_picture_shows_what_is_within_its_bounds() {
        let bounds = Bounds { min: PlatePoint::new(-2.04, -1.0), max: PlatePoint::new(7.0, 3.51) };
        let frame = FlatFrame::over(bounds, 10.0).unwrap();
        assert_eq!((frame.size, frame.origin_px), ([92, 47], [21, 36]), "from -2.1 to 7 and from 3.6 down to -1");
        assert!(frame.plate_from_flat([21.0, 36.0]).distance(PlatePoint::default()) < 1e-12, "the origin, on a pixel");
        assert!(frame.plate_from_flat([0.0, 0.0]).distance(PlatePoint::new(-2.1, 3.6)) < 1e-12, "up is y");
        assert_eq!(FlatFrame::over(bounds, f64::NAN), None, "no scale");
        assert_eq!(FlatFrame::over(bounds, 1e12), None, "more than can be counted");
    }

    #[test]
    fn between_its_nodes_a_cell_is_near_the_map_itself() {
        for (tilt, k1) in [(0.0, 0.0), (0.15, -0.1), (0.5, 0.25), (0.9, -0.25)] {
            let size = [4000, 3000];
            let map = slanted(size, tilt, k1);
            let (mut worst, mut quick, mut all) = (0.0_f64, 0, 0);
            for (left, top) in (0..40).flat_map(|k| (0..40).map(move |j| (96.0 * f64::from(k), 96.0 * f64::from(j)))) {
                let frame = FlatFrame { px_per_mm: 10.0, size: [3840, 3840], origin_px: [1900, 1900] };
                let exact = |x: f64, y: f64| map.photo_from_plate(frame.plate_from_flat([left + x, top + y]));
                let columns = [0.0, STEP, 2.0 * STEP].map(|x| [0.0, STEP, 2.0 * STEP].map(|y| exact(x, y)));
                all += 1;
                let Some(bent) = Bent::through(columns).filter(|bent| bent.holds(exact)) else { continue };
                quick += 1;
                for y in 0..CELL {
                    let mut run = bent.run(y as f64);
                    for x in 0..CELL {
                        let [x_fixed, y_fixed] = [run.x.at, run.y.at].map(|v| v as f64 / f64::from(PLACE_BITS).exp2());
                        run.x.next();
                        run.y.next();
                        let Some(place) = exact(x as f64, y as f64) else { panic!("a place that is not seen") };
                        worst = worst.max((PhotoPoint::new(x_fixed, y_fixed) - place).length());
                    }
                }
            }
            assert!(worst < 0.02, "tilt {tilt}, k1 {k1}: {worst} px off");
            assert!(quick * 10 > all * 6, "tilt {tilt}, k1 {k1}: {quick} of {all} cells take the quick way");
        }
    }

    #[test]
    fn bands_do_not_depend_on_each_other() {
        let size = [130, 90];
        let (srgb, map) = (noise(size, 60), slanted(size, 0.3, -0.1));
        let frame = FlatFrame { px_per_mm: 11.0, size: [151, 133], origin_px: [70, 61] };
        let whole = flattened(size, &srgb, &map, &frame);
        let photo = Pixels::new(size, &srgb).unwrap();
        let mut bands = vec![0; whole.len()];
        for (number, band) in bands.chunks_mut(3 * 151 * FLAT_BAND_ROWS).enumerate() {
            flatten_band(&photo, &map, &frame, number * FLAT_BAND_ROWS, band);
        }
        assert!(bands == whole, "band by band");
        assert!(whole.as_chunks::<3>().0.iter().filter(|p| **p != PAPER).count() > 2000, "something is seen");
    }

    #[test]
    fn pixels_are_as_many_as_the_size_says() {
        assert!(Pixels::new([4, 4], &[0; 48]).is_some(), "4 x 4 of three bytes");
        assert!(Pixels::new([4, 4], &[0; 47]).is_none(), "one is missing");
        assert!(Pixels::new([1, 4], &[0; 12]).is_none(), "nothing to be between");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]
        /// Colours are those of the textbook's bilinear formula in double precision, at the map's own places.
        #[test]
        fn colours_are_bilinear(tilt in -0.6..0.6f64, k1 in -0.2..0.2f64, px_per_mm in 6.0..16.0f64) {
            let size = [140_u32, 110];
            let srgb = noise(size, 90);
            let map = slanted(size, tilt, k1);
            let frame = FlatFrame { px_per_mm, size: [150, 140], origin_px: [70, 60] };
            let out = flattened(size, &srgb, &map, &frame);
            let photo = |x: usize, y: usize, c: usize| f64::from(srgb[3 * (y * size[0] as usize + x) + c]);
            for (k, pixel) in out.as_chunks::<3>().0.iter().enumerate() {
                let Some(at) = map.photo_from_plate(frame.plate_from_flat([(k % 150) as f64, (k / 150) as f64])) else {
                    continue;
                };
                if at.x < 0.5 || at.y < 0.5 || at.x > 138.5 || at.y > 108.5 {
                    continue;
                }
                let (x, y, fx, fy) = (at.x as usize, at.y as usize, at.x.fract(), at.y.fract());
                for (c, colour) in pixel.iter().enumerate() {
                    let upper = photo(x, y, c) * (1.0 - fx) + photo(x + 1, y, c) * fx;
                    let lower = photo(x, y + 1, c) * (1.0 - fx) + photo(x + 1, y + 1, c) * fx;
                    let wanted = upper * (1.0 - fy) + lower * fy;
                    // Half a step of rounding, and what a place 0.005 px off along both axes makes where neighbours differ by
                    // up to 255.
                    let apart = (f64::from(*colour) - wanted).abs();
                    prop_assert!(apart < 0.5 + 2.0 * 0.005 * 255.0, "pixel {k}: {colour} for {wanted}");
                }
            }
        }
    }
}
