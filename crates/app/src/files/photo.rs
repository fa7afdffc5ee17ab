//! Reading photos: upright pixels, the focal length that the photo says of itself, and its digest.

use super::error::{FileError, Place, Problem, on_one_line};
use super::{jpeg, read};
use image::error::ImageError;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits, RgbImage};
use platewright_core::edge::Picture;
use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use std::io::{self, Cursor};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The largest photo file that is read, bytes. A 200 megapixel phone writes about 100 MB.
const MOST_BYTES: u64 = 1_000_000_000;

/// The largest photo that is decoded, px. Phones reach 200 megapixels (common practice, no source).
const MOST_PIXELS: u64 = 205_000_000;

/// The most memory that a decoder may take, bytes.
const MOST_MEMORY: u64 = 2_000_000_000;

/// Diagonal of the 36 x 24 mm frame that 35 mm equivalents refer to, mm (CIPA DCG-001, diagonal angle of view).
const FULL_FRAME_DIAGONAL_MM: f64 = 43.266_615_305_567_87;

/// A photo in memory.
#[derive(Debug, Clone)]
pub struct LoadedPhoto {
    /// Where it was read from.
    pub path: PathBuf,
    /// Its pixels, upright (the EXIF orientation is applied), as they are coded: sRGB as a rule.
    pub image: Arc<RgbImage>,
    /// Focal length by its EXIF (35 mm equivalent, diagonal rule), px; `None` where it says nothing.
    pub exif_focal_px: Option<f64>,
    /// SHA-256 of the file's bytes, 64 lower-case hex digits.
    pub sha256: String,
}

impl LoadedPhoto {
    /// Its pixels as light, to measure in.
    pub fn picture(&self) -> Option<Picture<'_>> {
        Picture::from_srgb(self.size(), self.image.as_raw())
    }

    /// Width and height, px.
    pub fn size(&self) -> [u32; 2] {
        [self.image.width(), self.image.height()]
    }
}

/// What a photo has to be to go with a job.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wanted<'a> {
    /// Digest of its bytes.
    pub(super) sha256: &'a str,
    /// Its size when upright, px.
    pub(super) size: [u32; 2],
}

/// Reads the photo at `path`.
///
/// # Errors
/// Where it is no photo, or more than fits.
pub fn load_photo(path: &Path) -> Result<LoadedPhoto, FileError> {
    load(path, &Place::file(path), "", None)
}

/// Reads the photo at `path` for a job, which knows it as `place`; `keys` goes before the names of the job's keys.
pub(super) fn load(
    path: &Path,
    place: &Place,
    keys: &str,
    wanted: Option<Wanted<'_>>,
) -> Result<LoadedPhoto, FileError> {
    let key = |name: &str| if keys.is_empty() { place.clone() } else { place.clone().key(&format!("{keys}.{name}")) };
    let bytes = read::bytes(path, MOST_BYTES).map_err(|problem| match problem {
        Problem::NoSuchFile if wanted.is_some() => key("file").has(Problem::NoSuchPhoto),
        problem => key("file").has(problem),
    })?;
    let sha256 = hex(&Sha256::digest(&bytes));
    // Before it is decoded: a photo that was cut short has changed too, but only the decoder can say what is wrong.
    let changed = wanted.is_some_and(|wanted| !wanted.sha256.eq_ignore_ascii_case(&sha256));
    let image = decode(&bytes).map_err(|problem| key("file").has(problem))?;
    if changed {
        return Err(key("sha256").has(Problem::PhotoChanged));
    }
    let found = [image.width(), image.height()];
    if let Some(Wanted { size: said, .. }) = wanted
        && said != found
    {
        return Err(key("size").has(Problem::SizeDiffers { said, found }));
    }
    let exif_focal_px = exif_focal_px(&bytes, found);
    Ok(LoadedPhoto { path: path.to_path_buf(), image: Arc::new(image), exif_focal_px, sha256 })
}

/// The upright pixels. The header is looked at before memory is taken for what it promises.
fn decode(bytes: &[u8]) -> Result<RgbImage, Problem> {
    let format = match image::guess_format(bytes) {
        Ok(format @ (ImageFormat::Jpeg | ImageFormat::Png | ImageFormat::Tiff | ImageFormat::WebP)) => format,
        _ if is_heic(bytes) => return Err(Problem::Heic),
        _ => return Err(Problem::UnknownPicture),
    };
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(MOST_MEMORY);
    reader.limits(limits);
    let is_cut = || format == ImageFormat::Jpeg && !jpeg::is_complete(bytes);
    let mut decoder =
        reader.into_decoder().map_err(|error| if is_cut() { Problem::Truncated } else { problem_of(error) })?;
    let size = decoder.dimensions();
    if u64::from(size.0) * u64::from(size.1) > MOST_PIXELS {
        return Err(Problem::TooManyPixels { size, limit: MOST_PIXELS });
    }
    if decoder.total_bytes() > MOST_MEMORY {
        return Err(Problem::TooMuchMemory);
    }
    if is_cut() {
        return Err(Problem::Truncated);
    }
    let orientation = decoder.orientation().map_err(problem_of)?;
    let mut image = DynamicImage::from_decoder(decoder).map_err(problem_of)?;
    image.apply_orientation(orientation);
    Ok(image.into_rgb8())
}

fn problem_of(error: ImageError) -> Problem {
    match error {
        ImageError::IoError(error) if error.kind() == io::ErrorKind::UnexpectedEof => Problem::Truncated,
        ImageError::IoError(error) => Problem::CannotRead(error),
        ImageError::Limits(_) => Problem::TooMuchMemory,
        other => Problem::Damaged(on_one_line(other.to_string().trim())),
    }
}

/// The file is an ISO base media file with one of the brands of still pictures (ISO/IEC 23008-12).
fn is_heic(bytes: &[u8]) -> bool {
    let brands: [&[u8]; 8] = [b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1", b"avif"];
    bytes.get(4..8) == Some(b"ftyp") && bytes.get(8..12).is_some_and(|brand| brands.contains(&brand))
}

/// Focal length by the photo's EXIF, px: the 35 mm equivalent (tag 0xA405) by the diagonal rule,
/// `f35 * diagonal px / 43.27 mm`. A photo without EXIF, or with broken EXIF, says nothing; that is no error.
fn exif_focal_px(bytes: &[u8], size: [u32; 2]) -> Option<f64> {
    let mut reader = exif::Reader::new();
    let read = reader.continue_on_error(true).read_from_container(&mut Cursor::new(bytes));
    let exif = read.or_else(|error| error.distill_partial_result(|_| ())).ok()?;
    let field = exif.get_field(exif::Tag::FocalLengthIn35mmFilm, exif::In::PRIMARY)?;
    let f35_mm = f64::from(field.value.get_uint(0)?);
    let diagonal_px = f64::from(size[0]).hypot(f64::from(size[1]));
    // 0 means unknown (EXIF 2.32).
    (f35_mm > 0.0).then(|| f35_mm * diagonal_px / FULL_FRAME_DIAGONAL_MM)
}

/// The bytes as lower-case hex digits.
fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::with_capacity(bytes.len() * 2), |mut text, byte| {
        // Writing into a String cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}
