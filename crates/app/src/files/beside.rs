//! A photo beside a job that may be the one it was made on, where that is not to be found.

use super::decode::upright_size;
use super::job::is_same_file;
use super::{dialog, read};
use std::fs;
use std::path::{Path, PathBuf};

/// With more pictures than this beside the job nobody means one of them for certain, and reading them takes its time.
const MOST_PICTURES: usize = 24;

/// The largest picture that is looked at, bytes; a 200 megapixel phone writes about 100 MB.
const MOST_BYTES: u64 = 200_000_000;

/// The one photo in `folder` that is so many px wide and high when upright; `None` where there is none or more than one.
/// What cannot be read is none. `but` is known not to be it.
pub(super) fn only_photo(folder: &Path, size: [u32; 2], but: &Path) -> Option<PathBuf> {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let entries = fs::read_dir(folder).ok()?;
    let is_picture = |path: &PathBuf| {
        path.extension()
            .and_then(|extension| extension.to_str())
            .is_some_and(|extension| dialog::PHOTOS.contains(&extension))
    };
    let pictures = entries.filter_map(Result::ok).map(|entry| entry.path()).filter(is_picture);
    let pictures: Vec<PathBuf> = pictures.take(MOST_PICTURES + 1).collect();
    if pictures.len() > MOST_PICTURES {
        return None;
    }
    let has_size =
        |path: &PathBuf| read::bytes(path, MOST_BYTES).ok().and_then(|bytes| upright_size(&bytes)) == Some(size);
    let mut of_size = pictures.into_iter().filter(|path| !is_same_file(path, but)).filter(has_size);
    let first = of_size.next()?;
    of_size.next().is_none().then_some(first)
}
