//! From the bytes of a picture file to upright sRGB pixels.
//!
//! Nothing in the bytes is believed: the header is looked at before memory is taken for what it promises, and a decoder
//! that panics has met a damaged file.

use super::error::{Problem, on_one_line};
use super::exif_tags::Tags;
use super::tone::{Coding, to_srgb};
use super::{heic, jpeg, png};
use image::error::ImageError;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits, RgbImage};
use std::io::{self, Cursor};
use std::panic;

/// The largest photo that is decoded, px. Phones reach 200 megapixels (common practice, no source).
pub(super) const MOST_PIXELS: u64 = 205_000_000;

/// The most memory that a decoder may take, bytes.
const MOST_MEMORY: u64 = 2_000_000_000;

/// A picture as it is in its file.
pub(super) struct Stored {
    pub(super) image: DynamicImage,
    pub(super) coding: Coding,
    /// How it has to be turned to stand upright.
    pub(super) orientation: Orientation,
}

/// The upright pixels, and what the photo says of its lens.
pub(super) fn decode(bytes: &[u8]) -> Result<(RgbImage, Tags), Problem> {
    panic::catch_unwind(|| {
        let tags = Tags::read(bytes);
        let Stored { image, coding, orientation } = stored(bytes, tags.orientation)?;
        let mut image = DynamicImage::ImageRgb8(to_srgb(image, &coding)?);
        image.apply_orientation(orientation);
        Ok((image.into_rgb8(), tags))
    })
    .unwrap_or_else(|_| Err(Problem::Damaged("its decoder stopped in the middle".to_owned())))
}

/// Width and height of a picture when it is upright, px, by its header alone; `None` where it says none.
pub(super) fn upright_size(bytes: &[u8]) -> Option<[u32; 2]> {
    panic::catch_unwind(|| {
        if heic::is_heic(bytes) {
            return heic::size(bytes);
        }
        let format = image::guess_format(bytes).ok()?;
        let (width, height) = reader(bytes, format).ok()?.dimensions();
        let lies = matches!(
            Tags::read(bytes).orientation,
            Orientation::Rotate90 | Orientation::Rotate270 | Orientation::Rotate90FlipH | Orientation::Rotate270FlipH
        );
        Some(if lies { [height, width] } else { [width, height] })
    })
    .unwrap_or(None)
}

fn stored(bytes: &[u8], orientation: Orientation) -> Result<Stored, Problem> {
    match image::guess_format(bytes) {
        Ok(ImageFormat::Jpeg) if jpeg::is_complete(bytes) => {
            whole(reader(bytes, ImageFormat::Jpeg)?, None, orientation)
        }
        Ok(ImageFormat::Jpeg) => Err(of_cut_jpeg(bytes)),
        Ok(ImageFormat::Png) => whole(reader(bytes, ImageFormat::Png)?, png::gamma(bytes), orientation),
        Ok(ImageFormat::Tiff) => whole(reader(bytes, ImageFormat::Tiff)?, None, orientation),
        Ok(ImageFormat::WebP) if is_cut_riff(bytes) => Err(Problem::Truncated),
        Ok(ImageFormat::WebP) => whole(reader(bytes, ImageFormat::WebP)?, None, orientation),
        _ if heic::is_heic(bytes) => heic::stored(bytes),
        _ => Err(Problem::UnknownPicture),
    }
}

/// The file is shorter than it says behind its first four bytes (RFC 9649, 2.3).
fn is_cut_riff(bytes: &[u8]) -> bool {
    let said = bytes.get(4..).and_then(|rest| rest.first_chunk()).copied().map(u32::from_le_bytes);
    said.is_none_or(|length| u64::from(length) + 8 > bytes.len() as u64)
}

fn reader(bytes: &[u8], format: ImageFormat) -> Result<impl ImageDecoder, Problem> {
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(MOST_MEMORY);
    reader.limits(limits);
    reader.into_decoder().map_err(problem_of)
}

/// Decodes what the header says is no more than fits.
fn whole(mut decoder: impl ImageDecoder, gamma: Option<f64>, orientation: Orientation) -> Result<Stored, Problem> {
    check_size(decoder.dimensions())?;
    if decoder.total_bytes() > MOST_MEMORY {
        return Err(Problem::TooMuchMemory);
    }
    let coding = Coding { icc: decoder.icc_profile().map_err(problem_of)?, gamma };
    let image = DynamicImage::from_decoder(decoder).map_err(problem_of)?;
    Ok(Stored { image, coding, orientation })
}

/// A picture has pixels, and not more than are decoded.
pub(super) fn check_size(size: (u32, u32)) -> Result<(), Problem> {
    match u64::from(size.0) * u64::from(size.1) {
        0 => Err(Problem::Damaged("it has no pixels".to_owned())),
        pixels if pixels > MOST_PIXELS => Err(Problem::TooManyPixels { size, limit: MOST_PIXELS }),
        _ => Ok(()),
    }
}

/// What is wrong with a JPEG that has no end: its header may promise too much besides.
fn of_cut_jpeg(bytes: &[u8]) -> Problem {
    let size = reader(bytes, ImageFormat::Jpeg).map(|decoder| decoder.dimensions());
    size.and_then(check_size)
        .err()
        .filter(|problem| matches!(problem, Problem::TooManyPixels { .. }))
        .unwrap_or(Problem::Truncated)
}

fn problem_of(error: ImageError) -> Problem {
    match error {
        ImageError::IoError(error) if error.kind() == io::ErrorKind::UnexpectedEof => Problem::Truncated,
        ImageError::IoError(error) => Problem::CannotRead(error),
        ImageError::Limits(_) => Problem::TooMuchMemory,
        ImageError::Unsupported(error) => Problem::Unsupported(on_one_line(error.to_string().trim())),
        other => Problem::Damaged(on_one_line(other.to_string().trim())),
    }
}
