//! Writing a file so that it is there whole or not at all.
//!
//! A program that is stopped in the middle leaves the file as it was, and beside it one that was on its way; the next that
//! is written into the folder takes that away.

use super::error::{FileError, Place, Problem};
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// The most symbolic links that are followed, as in the kernel.
const MOST_LINKS: usize = 40;

/// Writes `bytes` to `path`: beside it first, then put in its place in one step. A file that is replaced keeps its
/// permissions; a symbolic link stays and the file that it leads to is replaced.
///
/// # Errors
/// Where the folder is missing or the system refuses; whatever stood at `path` is then as it was.
pub fn write(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    write_beside(path, bytes).map_err(|problem| Place::file(path).has(problem))
}

fn write_beside(path: &Path, bytes: &[u8]) -> Result<(), Problem> {
    let target = behind_links(path).map_err(Problem::writing)?;
    let old = match fs::metadata(&target) {
        Ok(old) if old.is_dir() => return Err(Problem::IsFolder),
        Ok(old) if !old.is_file() => return Err(Problem::NotAFile),
        Ok(old) if old.permissions().readonly() => return Err(Problem::WriteProtected),
        Ok(old) => Some(old.permissions()),
        Err(error) if error.kind() == io::ErrorKind::NotFound => None,
        Err(error) => return Err(Problem::writing(error)),
    };
    let folder = match target.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    sweep(folder);
    let mut beside = part_file(folder).map_err(Problem::writing)?;
    beside.write_all(bytes).map_err(Problem::writing)?;
    if let Some(permissions) = old {
        beside.as_file().set_permissions(permissions).map_err(Problem::writing)?;
    }
    // The bytes have to be on the disk before the name leads to them, or a power cut leaves an empty file.
    beside.as_file().sync_all().map_err(Problem::writing)?;
    beside.persist(&target).map_err(|error| Problem::writing(error.error))?;
    Ok(())
}

/// What the names of files on their way begin and end with.
const PART: (&str, &str) = (".platewright-", ".part");

/// A file on its way, locked for as long as it is, so that a [`sweep`] leaves it alone.
fn part_file(folder: &Path) -> io::Result<tempfile::NamedTempFile> {
    loop {
        let part = builder().tempfile_in(folder)?;
        // Where the disk knows no locks nothing is swept either.
        let locked = part.as_file().lock().is_ok();
        // A sweep may have come between the making and the lock; it took the file away, and another is made.
        if !locked || part.path().exists() {
            return Ok(part);
        }
    }
}

/// Takes away what is left of files that were on their way when the program was stopped: nobody holds their locks. What
/// cannot be looked at or taken away stays: it harms nobody, and the file at hand matters more.
fn sweep(folder: &Path) {
    for entry in fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok) {
        let name = entry.file_name();
        let is_part = name.to_str().is_some_and(|name| name.starts_with(PART.0) && name.ends_with(PART.1));
        let is_file = entry.file_type().is_ok_and(|kind| kind.is_file());
        if is_part
            && is_file
            && let Ok(file) = fs::File::open(entry.path())
            && file.try_lock().is_ok()
        {
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// Names for files on their way. A new file gets the permissions that any program's would: all but the umask's.
fn builder() -> tempfile::Builder<'static, 'static> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(PART.0).suffix(PART.1);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder
}

/// The file that `path` leads to; it need not exist.
fn behind_links(path: &Path) -> io::Result<PathBuf> {
    let mut path = path.to_path_buf();
    for _ in 0..MOST_LINKS {
        match fs::symlink_metadata(&path) {
            Ok(found) if found.is_symlink() => {
                let leads_to = fs::read_link(&path)?;
                path = path.parent().unwrap_or(Path::new("")).join(leads_to);
            }
            // Nothing there, or no link: this is the end. What else is wrong shows when it is opened.
            Ok(_) | Err(_) => return Ok(path),
        }
    }
    Err(io::Error::other("the symbolic links go round in a circle"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> =
            fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    #[test]
    fn a_file_is_replaced_whole_and_nothing_is_left_beside_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.dxf");
        write(&path, b"old").unwrap();
        write(&path, b"new").unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"new", "the new bytes");
        assert_eq!(names(folder.path()), ["a.dxf"], "nothing beside it");
    }

    #[test]
    fn what_cannot_be_written_leaves_the_folder_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir(folder.path().join("taken")).unwrap();
        let said = write(&folder.path().join("taken"), b"x").unwrap_err().to_string();
        assert!(said.ends_with("taken: this is a folder. Name a file."), "{said}");
        let said = write(&folder.path().join("no/such/a.dxf"), b"x").unwrap_err().to_string();
        assert!(said.contains("there is no such folder"), "{said}");
        assert_eq!(names(folder.path()), ["taken"], "nothing was left");
    }

    #[test]
    fn what_a_stopped_program_left_is_taken_away_and_nothing_else() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        for name in [".platewright-a1b2c3.part", ".platewright-mine", "b.part"] {
            fs::write(at(name), b"left").unwrap();
        }
        fs::create_dir(at(".platewright-folder.part")).unwrap();
        let under_way = part_file(folder.path()).unwrap();
        write(&at("a.dxf"), b"new").unwrap();
        let mut stays =
            [".platewright-folder.part", ".platewright-mine", "a.dxf", "b.part"].map(str::to_owned).to_vec();
        stays.push(under_way.path().file_name().unwrap().to_str().unwrap().to_owned());
        stays.sort();
        assert_eq!(names(folder.path()), stays, "all but the one that nobody is writing");
    }

    #[cfg(unix)]
    #[test]
    fn permissions_and_links_stay() {
        use std::os::unix::fs::{PermissionsExt as _, symlink};
        let folder = tempfile::tempdir().unwrap();
        let (path, link) = (folder.path().join("a.dxf"), folder.path().join("link.dxf"));
        write(&path, b"old").unwrap();
        let usual = fs::metadata(&path).unwrap().permissions().mode();
        fs::File::create(folder.path().join("plain")).unwrap();
        let plain = fs::metadata(folder.path().join("plain")).unwrap().permissions().mode();
        assert_eq!(usual, plain, "a new file has the permissions of any other");
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        symlink("a.dxf", &link).unwrap();
        write(&link, b"new").unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink(), "the link is still a link");
        assert_eq!(fs::read(&path).unwrap(), b"new", "the file behind it is new");
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o640, "its permissions stay");
        fs::set_permissions(&path, fs::Permissions::from_mode(0o440)).unwrap();
        let said = write(&path, b"newer").unwrap_err().to_string();
        assert!(said.contains("it is write-protected"), "{said}");
    }
}
