//! The document: the job with its history, its photo, and where it stands against its file.

use crate::files::recovery::About;
use crate::files::{Fingerprint, LoadedPhoto};
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
    /// What stands in its file, as it was opened or saved last.
    pub in_file: Option<Fingerprint>,
    /// It is unsaved work that was left: there is work in it before its first step.
    pub is_left: bool,
    /// The photo's pixels and what the file says of itself.
    pub photo: Arc<LoadedPhoto>,
}

impl Document {
    /// A job that was never saved, or is as it stands in its file.
    pub fn new(job: Job, path: Option<PathBuf>, photo: Arc<LoadedPhoto>) -> Self {
        let saved = path.is_some().then(|| job.clone());
        Self { history: History::new(job), path, saved, in_file: None, is_left: false, photo }
    }

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
        self.is_modified() && (self.saved.is_some() || self.is_left || self.history.undo_name().is_some())
    }

    /// What a copy of it has to say of it.
    pub fn about(&self) -> About {
        About::new(self.path.as_deref(), &self.photo.path, self.in_file.clone())
    }
}
