//! Copies of unsaved work, in a folder of the person's own.
//!
//! Each open job has a slot of three files: `NAME.lock`, locked for as long as the process that keeps the job lives;
//! `NAME.about.json`, which says what job it is; and, while the job differs from its file, `NAME.plate.json`, a job file
//! like any other.
//!
//! ## Invariants
//! - Whether a process lives is told by its lock alone, neither by a clock nor by a number that may have another owner.
//! - A copy belongs to the `about` beside it: that is written before the first copy, and changed only while there is none.
//! - A copy is never older than the job's file: what is saved is kept here first.

use super::error::{FileError, Place, Problem};
use super::job::{JOB_EXTENSION, is_same_file, read_job};
use super::{Fingerprint, atomic, read};
use platewright_core::job::{self, Job};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::ffi::OsString;
use std::fs::{self, File, TryLockError};
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

const LOCK: &str = ".lock";
const ABOUT: &str = ".about.json";

/// The largest `about` that is read, bytes.
const MOST_BYTES: u64 = 1_000_000;

/// How often a slot is asked for, and how long between: whoever only looks whether its process lives holds it for a moment.
const CLAIMS: (u32, Duration) = (50, Duration::from_millis(10));

/// What job is kept. Paths are as the system has them: one that is no text is kept too.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct About {
    path: Option<OsString>,
    photo: OsString,
    /// The job's file as it was opened or saved last.
    pub(super) in_file: Option<Fingerprint>,
}

impl About {
    /// The job in the file at `path` on the photo at `photo`.
    pub fn new(path: Option<&Path>, photo: &Path, in_file: Option<Fingerprint>) -> Self {
        let absolute = |path: &Path| std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf()).into_os_string();
        Self { path: path.map(absolute), photo: absolute(photo), in_file }
    }

    /// Its file.
    pub(super) fn path(&self) -> Option<PathBuf> {
        self.path.as_ref().map(PathBuf::from)
    }

    /// Its photo.
    pub(super) fn photo(&self) -> PathBuf {
        PathBuf::from(&self.photo)
    }
}

/// A slot that this process holds. Where it is dropped without [`Slot::end`] its files stay, as after a crash.
#[derive(Debug)]
pub struct Slot {
    folder: PathBuf,
    name: String,
    _lock: File,
}

impl Slot {
    /// A new slot in `folder`, which is made where it is missing, for that job.
    ///
    /// # Errors
    /// Where nothing can be written there.
    pub fn new(folder: &Path, about: &About) -> Result<Self, FileError> {
        let slot = Self::locked(folder).map_err(|error| not_kept(folder, &Problem::writing(error)))?;
        slot.describe(about)?;
        Ok(slot)
    }

    fn locked(folder: &Path) -> io::Result<Self> {
        fs::create_dir_all(folder)?;
        loop {
            let (lock, path) = tempfile::Builder::new()
                .prefix("job-")
                .suffix(LOCK)
                .tempfile_in(folder)?
                .keep()
                .map_err(io::Error::from)?;
            // Where the disk knows no locks the copy is kept all the same.
            let locked = lock.lock().is_ok();
            // Another process may have looked before it was locked, and taken it for one that was left.
            if !locked || path.exists() {
                let name = file_name(&path).strip_suffix(LOCK).unwrap_or_default().to_owned();
                return Ok(Self { folder: folder.to_path_buf(), name, _lock: lock });
            }
        }
    }

    /// The slot that a process left, for this one; `None` where another was quicker.
    fn claim(folder: &Path, name: &str) -> io::Result<Option<Self>> {
        let lock = File::options().create(true).append(true).open(folder.join(format!("{name}{LOCK}")))?;
        for _ in 0..CLAIMS.0 {
            match lock.try_lock() {
                // Where the disk knows no locks nobody can say whose it is: the person does.
                Ok(()) | Err(TryLockError::Error(_)) => {
                    return Ok(Some(Self { folder: folder.to_path_buf(), name: name.to_owned(), _lock: lock }));
                }
                Err(TryLockError::WouldBlock) => std::thread::sleep(CLAIMS.1),
            }
        }
        Ok(None)
    }

    fn at(&self, ending: &str) -> PathBuf {
        self.folder.join(format!("{}{ending}", self.name))
    }

    /// Its files have not been taken away by others.
    pub fn is_there(&self) -> bool {
        self.at(LOCK).exists()
    }

    /// Says that it is that job from now on. There must be no copy of another.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub fn describe(&self, about: &About) -> Result<(), FileError> {
        let bytes = serde_json::to_vec(about).map_err(|error| Problem::CannotWrite(io::Error::from(error)));
        let written = bytes.and_then(|bytes| atomic::write(&self.at(ABOUT), &bytes).map_err(|error| error.problem));
        written.map_err(|problem| not_kept(&self.folder, &problem))
    }

    /// Keeps a copy of the job as it stands.
    ///
    /// # Errors
    /// Where it cannot be written; the copy before is then as it was.
    pub fn keep(&self, job: &Job) -> Result<(), FileError> {
        atomic::write(&self.at(JOB_EXTENSION), job::write(job).as_bytes())
            .map_err(|error| not_kept(&self.folder, &error.problem))
    }

    /// Takes the copy away: the job is as in its file.
    ///
    /// # Errors
    /// Where the system refuses.
    pub fn clear(&self) -> Result<(), FileError> {
        remove(&self.at(JOB_EXTENSION))
    }

    /// Takes the slot away: the job is closed, or its work thrown away on purpose.
    ///
    /// # Errors
    /// Where the system refuses.
    pub fn end(self) -> Result<(), FileError> {
        [JOB_EXTENSION, ABOUT, LOCK].into_iter().try_for_each(|ending| remove(&self.at(ending)))
    }
}

/// Takes a file away, if it is there.
fn remove(path: &Path) -> Result<(), FileError> {
    match fs::remove_file(path) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => {
            Err(Place::file(path).has(Problem::CannotRemove(error)))
        }
        _ => Ok(()),
    }
}

/// That no copy is kept in `folder`, since the system refuses something.
pub fn not_kept_in(folder: &Path, error: io::Error) -> FileError {
    not_kept(folder, &Problem::CannotWrite(error))
}

fn not_kept(folder: &Path, problem: &Problem) -> FileError {
    Place::file(folder).has(Problem::NotKept(problem.why()))
}

/// Unsaved work that a process left when it came to its end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Leftover {
    folder: PathBuf,
    name: String,
    /// The part's name; of a part without one, the name of its file or photo.
    pub title: String,
    /// The job's file; `None` where it was never saved, or nobody knows.
    pub path: Option<PathBuf>,
    /// When the copy was written, by the system's clock then.
    pub kept: SystemTime,
    about: Option<About>,
}

impl Leftover {
    /// It is work on the same job, or on the same photo where it was never saved.
    pub(super) fn is_of(&self, file: &Path) -> bool {
        let photo = || self.about.as_ref().map(About::photo);
        self.path.clone().or_else(photo).is_some_and(|own| is_same_file(&own, file))
    }

    /// The copy, in a slot that is this process's from now on, with what is known of the job.
    pub(super) fn take(&self) -> Result<(Slot, Option<About>, Job), FileError> {
        let place = || Place::file(&self.folder.join(&self.name));
        let slot = Slot::claim(&self.folder, &self.name).map_err(|error| place().has(Problem::writing(error)))?;
        let slot = slot.ok_or_else(|| place().has(Problem::TakenMeanwhile))?;
        let job = read_job(&slot.at(JOB_EXTENSION))?;
        Ok((slot, self.about.clone(), job))
    }

    /// Throws it away.
    ///
    /// # Errors
    /// Where another window has gone on with it meanwhile, or the system refuses.
    pub fn throw_away(&self) -> Result<(), FileError> {
        let place = || Place::file(&self.folder.join(&self.name));
        let slot = Slot::claim(&self.folder, &self.name).map_err(|error| place().has(Problem::writing(error)))?;
        slot.ok_or_else(|| place().has(Problem::TakenMeanwhile))?.end()
    }
}

/// All work that was left in `folder`, the latest first. What was left without work in it is taken away.
pub fn leftovers(folder: &Path) -> Vec<Leftover> {
    let mut found: Vec<Leftover> = names(folder).into_iter().filter_map(|name| leftover(folder, name)).collect();
    found.sort_by(|a, b| b.kept.cmp(&a.kept).then_with(|| a.name.cmp(&b.name)));
    found
}

fn leftover(folder: &Path, name: String) -> Option<Leftover> {
    let at = |ending: &str| folder.join(format!("{name}{ending}"));
    // Locked in common with others that look: its process could not have its own lock beside this one.
    let (looked_at, knows_locks) = match File::open(at(LOCK)) {
        Ok(lock) => match lock.try_lock_shared() {
            Err(TryLockError::WouldBlock) => return None,
            Ok(()) => (Some(lock), true),
            // It may be in use: nothing of it is taken away.
            Err(TryLockError::Error(_)) => (None, false),
        },
        Err(_) => (None, true),
    };
    let about = read_about(&at(ABOUT));
    let copy = at(JOB_EXTENSION);
    let kept = fs::metadata(&copy).and_then(|found| found.modified());
    let job = read_job(&copy);
    let is_saved = || {
        let saved = about.as_ref().and_then(About::path).and_then(|path| read_job(&path).ok());
        job.as_ref().ok().zip(saved).is_some_and(|(copy, saved)| is_same_work(copy, &saved))
    };
    let is_nothing = kept.as_ref().is_err_and(|error| error.kind() == io::ErrorKind::NotFound);
    if is_nothing || is_saved() {
        if knows_locks {
            // What cannot be taken away is looked at again the next time.
            let _ = [JOB_EXTENSION, ABOUT, LOCK].into_iter().try_for_each(|ending| remove(&at(ending)));
        }
        drop(looked_at);
        return None;
    }
    let path = about.as_ref().and_then(About::path);
    let named = job.ok().map(|job| job.title.trim().to_owned()).filter(|title| !title.is_empty());
    let file = path.clone().or_else(|| about.as_ref().map(About::photo));
    let title = named.or_else(|| file.map(|file| file_name(&file))).unwrap_or_else(|| name.clone());
    Some(Leftover {
        folder: folder.to_path_buf(),
        name,
        title,
        path,
        kept: kept.unwrap_or(SystemTime::UNIX_EPOCH),
        about,
    })
}

/// The two say the same, wherever their photo is said to lie.
fn is_same_work(copy: &Job, saved: &Job) -> bool {
    let mut copy = copy.clone();
    copy.photo.file.clone_from(&saved.photo.file);
    copy == *saved
}

/// A living process has the job in the file at `path` open.
pub(super) fn is_open_elsewhere(folder: &Path, path: &Path) -> bool {
    names(folder).into_iter().any(|name| {
        let at = |ending: &str| folder.join(format!("{name}{ending}"));
        let lives =
            File::open(at(LOCK)).is_ok_and(|lock| matches!(lock.try_lock_shared(), Err(TryLockError::WouldBlock)));
        let open = || read_about(&at(ABOUT))?.path();
        lives && open().is_some_and(|open| is_same_file(&open, path))
    })
}

/// The names of all slots, in their order.
fn names(folder: &Path) -> BTreeSet<String> {
    let files = fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok).map(|entry| file_name(&entry.path()));
    let name = |file: String| {
        let name = [LOCK, ABOUT, JOB_EXTENSION].into_iter().find_map(|ending| file.strip_suffix(ending))?;
        (!name.starts_with('.')).then(|| name.to_owned())
    };
    files.filter_map(name).collect()
}

fn read_about(path: &Path) -> Option<About> {
    serde_json::from_slice(&read::bytes(path, MOST_BYTES).ok()?).ok()
}

fn file_name(path: &Path) -> String {
    super::short_name(path)
}
