//! Where Platewright keeps what is the person's and no job: settings, and copies of unsaved work.

use std::path::{Path, PathBuf};

/// The places of one person's account. Without a place nothing is kept there.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Places {
    /// The settings file.
    pub settings: Option<PathBuf>,
    /// The folder of copies of unsaved work.
    pub recovery: Option<PathBuf>,
}

impl Places {
    /// Where the system has such things: on Linux below `$XDG_CONFIG_HOME` and `$XDG_STATE_HOME`. A system that has no
    /// place for the state of programs has one for their data.
    pub fn usual() -> Self {
        directories::ProjectDirs::from("", "", "platewright").map_or_else(Self::default, |folders| Self {
            settings: Some(folders.config_dir().join("settings.json")),
            recovery: Some(folders.state_dir().unwrap_or_else(|| folders.data_local_dir()).join("recovery")),
        })
    }

    /// Both below one folder.
    pub fn below(folder: &Path) -> Self {
        Self { settings: Some(folder.join("settings.json")), recovery: Some(folder.join("recovery")) }
    }
}
