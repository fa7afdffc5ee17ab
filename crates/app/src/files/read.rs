//! Reading a file's bytes with a limit.

use super::error::Problem;
use std::fs::{self, File};
use std::io::Read as _;
use std::path::Path;

/// The bytes of the file at `path`, at most `limit`. Folders, devices and pipes are refused, as reading them may never
/// end.
pub(super) fn bytes(path: &Path, limit: u64) -> Result<Vec<u8>, Problem> {
    let about = fs::metadata(path).map_err(Problem::reading)?;
    if about.is_dir() {
        return Err(Problem::IsFolder);
    }
    if !about.is_file() {
        return Err(Problem::NotAFile);
    }
    if about.len() > limit {
        return Err(Problem::TooManyBytes { bytes: about.len(), limit });
    }
    let mut bytes = Vec::with_capacity(usize::try_from(about.len()).unwrap_or(0));
    // One byte more than allowed is enough to see that the file has grown since it was looked at.
    let file = File::open(path).map_err(Problem::reading)?;
    file.take(limit + 1).read_to_end(&mut bytes).map_err(Problem::reading)?;
    let found = bytes.len() as u64;
    if found > limit { Err(Problem::TooManyBytes { bytes: found, limit }) } else { Ok(bytes) }
}
