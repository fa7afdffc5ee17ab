//! Where Platewright keeps what is the person's and no job: settings, and copies of unsaved work.

use std::path::{Path, PathBuf};

/// The places of one person's account. Without a place nothing is kept there.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Places {
    /// The settings file.
    pub settings: Option<PathBuf>,
    /// The folder of copies of unsaved work.
    pub recovery: Option<PathBuf>,
    /// The folder of the person's documents: where a job is saved that has no folder of its own.
    pub documents: Option<PathBuf>,
}

impl Places {
    /// Where the system has such things: on Linux below `$XDG_CONFIG_HOME` and `$XDG_STATE_HOME`. A system that has no
    /// place for the state of programs has one for their data.
    pub fn usual() -> Self {
        let own = directories::UserDirs::new();
        let documents = own.map(|own| own.document_dir().unwrap_or_else(|| own.home_dir()).to_path_buf());
        let folders = directories::ProjectDirs::from("", "", "platewright");
        Self {
            settings: folders.as_ref().map(|folders| folders.config_dir().join("settings.json")),
            recovery: folders
                .map(|folders| folders.state_dir().unwrap_or_else(|| folders.data_local_dir()).join("recovery")),
            documents,
        }
    }

    /// All below one folder.
    pub fn below(folder: &Path) -> Self {
        Self {
            settings: Some(folder.join("settings.json")),
            recovery: Some(folder.join("recovery")),
            documents: Some(folder.to_path_buf()),
        }
    }
}
