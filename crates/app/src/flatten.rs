//! The photo at true scale, as a picture with its scale in it.
//!
//! The pixels are worked out by the core, band by band on all processors; the PNG says of itself how large a pixel is (pHYs,
//! and to more digits as text) and where the plate's origin lies.

use crate::files::LoadedPhoto;
use platewright_core::camera::{FLAT_BAND_ROWS, FlatFrame, Pixels, PlateMap, flatten_band};
use platewright_core::export::CutDrawing;
use platewright_core::geom::Bounds;
use platewright_core::job::Job;
use platewright_core::solution::Solution;
use platewright_core::space::{PhotoPoint, PlatePoint};
use png::{BitDepth, ColorType, Compression, Encoder, Filter, PixelDimensions, SrgbRenderingIntent, Unit};
use rayon::prelude::*;
use std::ops::RangeInclusive;

/// The most pixels of a picture: those of the largest photo.
const MOST_PIXELS: u64 = 205_000_000;
/// What is shown round the part, mm, and at least as a share of the part's longer side.
const MARGIN_MM: f64 = 5.0;
const MARGIN_SHARE: f64 = 0.05;
/// Scales that a picture may have.
const SCALES: RangeInclusive<f64> = 0.1..=1000.0;
/// Places along each side of the photo where it is asked how far the face reaches.
const ALONG_SIDE: u32 = 16;

/// Key of the scale in the picture's text.
pub const PX_PER_MM: &str = "px-per-mm";
/// Key of the plate's origin, px from the centre of the first pixel.
pub const ORIGIN_PX: &str = "origin-px";

/// A picture at true scale.
#[derive(Debug, Clone, PartialEq)]
pub struct Flat {
    /// Where its pixels lie on the plate.
    pub frame: FlatFrame,
    /// Three sRGB bytes a pixel, row by row.
    pub srgb: Vec<u8>,
}

/// Why there is no such picture.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FlatRefused {
    /// Nothing says how large the part is.
    #[error("nothing says how large the part is; measure between two holes")]
    SizeNotKnown,
    /// The face has no bounds in the photo.
    #[error("the photo looks along the face to the horizon; draw the part's outline, and only that is shown")]
    NoBounds,
    /// The scale is none, or not one that a picture may have.
    #[error("{given} px per mm is no scale from {} to {}", SCALES.start(), SCALES.end())]
    NoScale {
        /// What was asked for.
        given: f64,
    },
    /// There are more pixels than a picture may have.
    #[error("at {px_per_mm} px per mm it would have more than {} megapixels; ask for fewer px per mm", MOST_PIXELS / 1_000_000)]
    TooLarge {
        /// The scale.
        px_per_mm: f64,
    },
    /// The photo has no two rows or columns.
    #[error("the photo is too small")]
    NoPhoto,
    /// The library that writes pictures failed.
    #[error("{0}")]
    NotCoded(String),
}

/// Where the pixels of a picture of the part lie, with what is round it; of all of the face where there is no outline. The
/// scale is, unless it is asked for, the photo's own where it is largest, in whole px per mm from 2 px per mm on.
///
/// # Errors
/// Where the size of the part is not known, or the picture would be none or too large.
pub fn frame(
    job: &Job,
    solution: &Solution,
    photo_size: [u32; 2],
    px_per_mm: Option<f64>,
) -> Result<FlatFrame, FlatRefused> {
    let map = solution.map.filter(|_| solution.fit.scale_known()).ok_or(FlatRefused::SizeNotKnown)?;
    let drawing = CutDrawing::as_seen(job, solution);
    let shown = if drawing.outer.is_empty() { face(&map, photo_size) } else { drawing.bounds().map(with_margin) };
    let shown = shown.ok_or(FlatRefused::NoBounds)?;
    let px_per_mm = px_per_mm.unwrap_or_else(|| own_scale(&map, shown));
    if !SCALES.contains(&px_per_mm) {
        return Err(FlatRefused::NoScale { given: px_per_mm });
    }
    let frame = FlatFrame::over(shown, px_per_mm).filter(|frame| frame.pixels() <= MOST_PIXELS);
    frame.ok_or(FlatRefused::TooLarge { px_per_mm })
}

fn with_margin(part: Bounds) -> Bounds {
    let size = part.size();
    part.grown(MARGIN_MM.max(MARGIN_SHARE * size.x.max(size.y)))
}

/// The box around all of the face that the photo shows.
fn face(map: &PlateMap, size: [u32; 2]) -> Option<Bounds> {
    let [right, low] = size.map(|side| f64::from(side) - 1.0);
    let along = (0..=ALONG_SIDE).map(|k| f64::from(k) / f64::from(ALONG_SIDE));
    let border = along.flat_map(|t| [[t * right, 0.0], [t * right, low], [0.0, t * low], [right, t * low]]);
    let places: Option<Vec<PlatePoint>> = border.map(|[x, y]| map.plate_from_photo(PhotoPoint::new(x, y))).collect();
    Bounds::around(places?)
}

/// The photo's own scale where it is largest, rounded up, so that no detail is lost.
fn own_scale(map: &PlateMap, shown: Bounds) -> f64 {
    let Bounds { min, max } = shown;
    let corners = [min, max, PlatePoint::new(min.x, max.y), PlatePoint::new(max.x, min.y), min.lerp(max, 0.5)];
    let largest = corners.map(|corner| map.px_per_mm(corner)).into_iter().fold(0.0, f64::max);
    if largest >= 2.0 { largest.ceil() } else { (largest * 10.0).ceil() / 10.0 }
}

/// The picture, on all processors.
///
/// # Errors
/// Where the photo is too small to be between its pixels.
pub fn flatten(photo: &LoadedPhoto, map: &PlateMap, frame: FlatFrame) -> Result<Flat, FlatRefused> {
    let pixels = Pixels::new(photo.size(), photo.image.as_raw()).ok_or(FlatRefused::NoPhoto)?;
    let row = 3 * frame.size[0] as usize;
    let mut srgb = vec![0; row * frame.size[1] as usize];
    fill(&pixels, map, &frame, &mut srgb);
    Ok(Flat { frame, srgb })
}

/// Fills the whole picture, on all processors.
pub fn fill(photo: &Pixels<'_>, map: &PlateMap, frame: &FlatFrame, srgb: &mut [u8]) {
    let bands = srgb.par_chunks_mut(3 * frame.size[0] as usize * FLAT_BAND_ROWS).enumerate();
    bands.for_each(|(number, band)| flatten_band(photo, map, frame, number * FLAT_BAND_ROWS, band));
}

impl Flat {
    /// The bytes of its PNG.
    ///
    /// # Errors
    /// Where the library that writes it fails.
    pub fn png(&self, title: &str) -> Result<Vec<u8>, FlatRefused> {
        let failed = |error: png::EncodingError| FlatRefused::NotCoded(error.to_string());
        let FlatFrame { px_per_mm, size: [width, height], origin_px: [x, y] } = self.frame;
        let mut bytes = Vec::new();
        let mut encoder = Encoder::new(&mut bytes, width, height);
        encoder.set_color(ColorType::Rgb);
        encoder.set_depth(BitDepth::Eight);
        encoder.set_source_srgb(SrgbRenderingIntent::Perceptual);
        encoder.set_compression(Compression::Fast);
        encoder.set_filter(Filter::Up);
        // pHYs holds whole px per metre (ISO 15948, 11.3.5.3).
        let per_metre = (px_per_mm * 1000.0).round() as u32;
        encoder.set_pixel_dims(Some(PixelDimensions { xppu: per_metre, yppu: per_metre, unit: Unit::Meter }));
        for (key, text) in [(PX_PER_MM, px_per_mm.to_string()), (ORIGIN_PX, format!("{x} {y}"))] {
            encoder.add_text_chunk(key.to_owned(), text).map_err(failed)?;
        }
        if !title.is_empty() {
            encoder.add_itxt_chunk("Title".to_owned(), title.to_owned()).map_err(failed)?;
        }
        let mut writer = encoder.write_header().map_err(failed)?;
        writer.write_image_data(&self.srgb).map_err(failed)?;
        writer.finish().map_err(failed)?;
        Ok(bytes)
    }
}
