//! The window.

use std::path::PathBuf;

/// Opens the window and returns when it is closed.
///
/// # Errors
/// One sentence where there is no window.
pub fn open(_job: Option<PathBuf>) -> Result<(), String> {
    Err("The window is not built yet. Use ‘platewright solve JOB’.".to_owned())
}
