//! The document: the job with its history, its photo, and where it stands against its file.

use crate::files::LoadedPhoto;
use platewright_core::job::{History, Job};
use std::path::PathBuf;
use std::sync::Arc;

/// The job with its history and its photo.
#[derive(Debug)]
pub struct Document {
    /// The job and every step that led to it.
    pub history: History,
    /// Where it was opened from or saved to last.
    pub path: Option<PathBuf>,
    /// The job as it stands in its file; `None` for a job that was never saved.
    pub saved: Option<Job>,
    /// The photo's pixels and what the file says of itself.
    pub photo: Arc<LoadedPhoto>,
}

impl Document {
    /// The job as it stands.
    pub fn job(&self) -> &Job {
        self.history.job()
    }

    /// It differs from what was saved; what was done and taken back is no difference.
    pub fn is_modified(&self) -> bool {
        self.saved.as_ref() != Some(self.job())
    }

    /// Something that was done on it would be lost. A photo just opened is no work yet.
    pub fn would_lose_work(&self) -> bool {
        self.is_modified() && (self.saved.is_some() || self.history.undo_name().is_some())
    }
}
