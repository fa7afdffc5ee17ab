//! What outlives the session: the theme, the recent jobs and how proofs are made, in the settings folder of the person's account.

use super::error::{FileError, Place, Problem};
use super::{atomic, read};
use crate::exports::ProofSettings;
use crate::theme::Theme;
use serde::{Deserialize, Serialize};
use std::io;
use std::path::{Path, PathBuf};

/// The most recent jobs that are kept.
const MOST_RECENT: usize = 8;

/// The largest settings file that is read, bytes.
const MOST_BYTES: u64 = 1_000_000;

/// What outlives the session.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// The theme.
    pub theme: Theme,
    /// Jobs opened or saved lately, newest first, as absolute paths.
    pub recent: Vec<PathBuf>,
    /// How proofs are made here.
    pub proof: ProofSettings,
}

impl Settings {
    /// Reads the settings; with a notice where they are there and could not be read, and the usual ones are used.
    pub fn load() -> (Self, Option<String>) {
        usual_file().map_or_else(Default::default, |file| Self::load_from(&file))
    }

    /// Writes the settings. Does nothing on a system that has no settings folder.
    ///
    /// # Errors
    /// Where they cannot be written.
    pub fn save(&self) -> Result<(), FileError> {
        usual_file().map_or(Ok(()), |file| self.save_to(&file))
    }

    /// Reads the settings in `file`, as [`Self::load`].
    pub fn load_from(file: &Path) -> (Self, Option<String>) {
        let bytes = match read::bytes(file, MOST_BYTES) {
            Ok(bytes) => bytes,
            Err(Problem::NoSuchFile) => return Self::default_without_notice(),
            Err(problem) => return Self::default_with(file, &problem.to_string()),
        };
        match serde_json::from_slice(&bytes) {
            Ok(settings) => (settings, None),
            Err(error) => Self::default_with(file, &format!("this cannot be read as settings ({error}).")),
        }
    }

    /// Writes the settings to `file` and makes its folder where it is missing.
    ///
    /// # Errors
    /// Where they cannot be written.
    pub fn save_to(&self, file: &Path) -> Result<(), FileError> {
        let refused = |error| Place::file(file).has(Problem::CannotWrite(error));
        if let Some(folder) = file.parent() {
            std::fs::create_dir_all(folder).map_err(refused)?;
        }
        let mut text = serde_json::to_string_pretty(self).map_err(|error| refused(io::Error::from(error)))?;
        text.push('\n');
        atomic::write(file, text.as_bytes())
    }

    /// Puts a job at the head of the recent ones. A path that is no text cannot be kept and is passed over.
    pub fn opened(&mut self, path: &Path) {
        let path = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
        if path.to_str().is_none() {
            return;
        }
        self.recent.retain(|other| *other != path);
        self.recent.insert(0, path);
        self.recent.truncate(MOST_RECENT);
    }

    fn default_without_notice() -> (Self, Option<String>) {
        (Self::default(), None)
    }

    fn default_with(file: &Path, problem: &str) -> (Self, Option<String>) {
        (Self::default(), Some(format!("{}: {problem} The usual settings are used.", Place::file(file))))
    }
}

/// Where the settings are kept; `None` on a system without such a folder, and in tests, which leave those of the person
/// who runs them alone.
fn usual_file() -> Option<PathBuf> {
    if cfg!(test) {
        return None;
    }
    directories::ProjectDirs::from("", "", "platewright").map(|folders| folders.config_dir().join("settings.json"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_come_back_as_they_were_saved() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("new/folder/settings.json");
        assert_eq!(Settings::load_from(&file), (Settings::default(), None), "none yet, and no notice");
        let mut settings = Settings { theme: Theme::NightShift, ..Settings::default() };
        for number in 0..10 {
            settings.opened(Path::new(&format!("/jobs/{number}.plate.json")));
        }
        settings.opened(Path::new("/jobs/5.plate.json"));
        settings.save_to(&file).unwrap();
        let (loaded, notice) = Settings::load_from(&file);
        assert_eq!((&loaded, notice), (&settings, None), "the same settings");
        assert_eq!(loaded.recent.len(), MOST_RECENT, "only the latest are kept");
        assert_eq!(loaded.recent[..2], ["/jobs/5.plate.json", "/jobs/9.plate.json"].map(PathBuf::from), "newest first");
    }

    #[test]
    fn damaged_settings_are_set_aside_with_a_notice() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("settings.json");
        for damaged in [&b"{\"theme\": \"pap"[..], b"\xff\xfe", b"", b"{\"theme\": 7}"] {
            std::fs::write(&file, damaged).unwrap();
            let (settings, notice) = Settings::load_from(&file);
            assert_eq!(settings, Settings::default(), "the usual settings");
            let notice = notice.unwrap();
            assert!(notice.contains("settings.json: this cannot be read as settings ("), "{notice}");
            assert!(notice.ends_with("The usual settings are used."), "{notice}");
        }
    }
}
