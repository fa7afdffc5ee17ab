//! The only place that opens and writes files.

pub mod dialog;
pub mod settings;

use platewright_core::job::Job;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A photo in memory.
#[derive(Debug, Clone)]
pub struct LoadedPhoto {
    /// Where it was read from.
    pub path: PathBuf,
    /// Its pixels, upright.
    pub image: Arc<image::RgbImage>,
    /// Focal length by its EXIF (35 mm equivalent, diagonal rule), px.
    pub exif_focal_px: Option<f64>,
    /// SHA-256 of its bytes, hex.
    pub sha256: String,
}

/// A job with its photo.
#[derive(Debug)]
pub struct OpenedJob {
    /// The job.
    pub job: Job,
    /// Its file; `None` where a photo was opened.
    pub path: Option<PathBuf>,
    /// Its photo.
    pub photo: LoadedPhoto,
    /// It was made just now from a photo.
    pub is_new: bool,
}

/// What went wrong with a file, as a sentence.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// Any.
    #[error("{0}")]
    Other(String),
}

/// Opens a job with its photo, or makes a job for a photo.
///
/// # Errors
/// One sentence.
pub fn open_job_or_photo(path: &Path) -> Result<OpenedJob, FileError> {
    Err(FileError::Other(path.display().to_string()))
}
/// Where the demo job is.
///
/// # Errors
/// One sentence.
pub fn demo_job() -> Result<PathBuf, FileError> {
    Err(FileError::Other(String::new()))
}
/// Saves; returns the photo's path as the job now has it.
///
/// # Errors
/// One sentence.
pub fn save_job(_job: &Job, _photo: &Path, _path: &Path) -> Result<String, FileError> {
    Err(FileError::Other(String::new()))
}
/// The file's own name.
pub fn short_name(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}
/// With the job's extension.
pub fn with_job_extension(path: PathBuf) -> PathBuf {
    path
}
