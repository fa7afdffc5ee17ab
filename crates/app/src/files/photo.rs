//! Reading photos: upright pixels, the focal length that the photo says of itself, and its digest.

use super::decode::decode;
use super::error::{FileError, Place, Problem};
use super::{jpeg, read};
use image::RgbImage;
use platewright_core::advice::PhotoFile;
use platewright_core::edge::{Clipped, Picture};
use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread;

/// The largest photo file that is read, bytes. A 200 megapixel phone writes about 100 MB.
const MOST_BYTES: u64 = 1_000_000_000;

/// A photo in memory.
#[derive(Debug, Clone)]
pub struct LoadedPhoto {
    /// Where it was read from.
    pub path: PathBuf,
    /// Its pixels, upright (the file's own turning is applied), with light coded as sRGB does; on white where they are
    /// see-through.
    pub image: Arc<RgbImage>,
    /// Focal length by its EXIF, px: by the 35 mm equivalent, else by the sensor's size; `None` where it says nothing.
    pub exif_focal_px: Option<f64>,
    /// SHA-256 of the file's bytes, 64 lower-case hex digits.
    pub sha256: String,
    /// What its file and all its pixels say of how good it is.
    pub file: PhotoFile,
}

impl LoadedPhoto {
    /// Its pixels as light, to measure in.
    pub fn picture(&self) -> Option<Picture<'_>> {
        Picture::from_srgb(self.size(), self.image.as_raw())
    }

    /// The file at `path` is the one that it was read from, by whatever name.
    pub fn is_at(&self, path: &Path) -> bool {
        let real = |path: &Path| path.canonicalize().ok();
        real(path).is_some_and(|path| real(&self.path) == Some(path))
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
    let (sha256, decoded) = thread::scope(|scope| {
        let digest = thread::Builder::new().name("digest".to_owned()).spawn_scoped(scope, || digest(&bytes));
        let decoded = decode(&bytes);
        // Where the system starts no thread, or it came to harm, the digest is taken here.
        (digest.ok().and_then(|digest| digest.join().ok()).unwrap_or_else(|| self::digest(&bytes)), decoded)
    });
    // First what the decoder says: a photo that was cut short has changed too, but only the decoder says what is wrong.
    let (image, tags) = decoded.map_err(|problem| key("file").has(problem))?;
    if wanted.is_some_and(|wanted| !wanted.sha256.eq_ignore_ascii_case(&sha256)) {
        return Err(key("sha256").has(Problem::PhotoChanged));
    }
    let found = [image.width(), image.height()];
    if let Some(Wanted { size: said, .. }) = wanted
        && said != found
    {
        return Err(key("size").has(Problem::SizeDiffers { said, found }));
    }
    let exif_focal_px = tags.focal_px(found);
    let clipped = Picture::from_srgb(found, image.as_raw()).map_or_else(Clipped::default, |whole| Clipped::of(&whole));
    let file = PhotoFile { clipped, jpeg_quality: jpeg::quality(&bytes) };
    Ok(LoadedPhoto { path: path.to_path_buf(), image: Arc::new(image), exif_focal_px, sha256, file })
}

/// SHA-256 as lower-case hex digits.
pub(super) fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::with_capacity(64), |mut text, byte| {
        // Writing into a String cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}
