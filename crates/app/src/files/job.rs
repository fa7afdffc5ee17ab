//! Opening and saving jobs with their photos.

use super::error::{FileError, Place, Problem, in_job};
use super::photo::{self, LoadedPhoto, Wanted};
use super::recovery::Slot;
use super::{atomic, read};
use platewright_core::job::{self, Held, Job, LensBeliefs, Photo};
use serde::{Deserialize, Serialize};
use std::io;
use std::path::{Component, Path, PathBuf};

/// The largest job file that is read, bytes; sixty holes with their outline take a hundredth of a megabyte.
const MOST_BYTES: u64 = 64_000_000;

/// What the name of a job file ends in.
pub const JOB_EXTENSION: &str = ".plate.json";

/// What stands in a job's file, told from anything else that may come to stand there: a clock has no say in it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Fingerprint(String);

impl Fingerprint {
    /// That of a file of these bytes.
    pub(super) fn of(bytes: &[u8]) -> Self {
        Self(photo::digest(bytes))
    }
}

/// A job with its photo.
#[derive(Debug)]
pub struct OpenedJob {
    /// The job.
    pub job: Job,
    /// The job as it stands in its file; `None` where it has none.
    pub saved: Option<Job>,
    /// What stands in its file.
    pub in_file: Option<Fingerprint>,
    /// Its file; `None` where a photo was opened, or a copy.
    pub path: Option<PathBuf>,
    /// Its photo.
    pub photo: LoadedPhoto,
    /// It was made just now from a photo.
    pub is_new: bool,
    /// It is unsaved work that was left.
    pub is_left: bool,
    /// What holds the place of its copies, where they are kept.
    pub slot: Option<Slot>,
}

impl OpenedJob {
    /// A job that has no file.
    pub fn new(job: Job, photo: LoadedPhoto) -> Self {
        Self { job, saved: None, in_file: None, path: None, photo, is_new: false, is_left: false, slot: None }
    }
}

/// Reads a job file, without its photo.
///
/// # Errors
/// Where there is no such file or it is no job.
pub fn read_job(path: &Path) -> Result<Job, FileError> {
    let bytes = read_job_bytes(path)?;
    job::read(as_text(path, &bytes)?).map_err(|error| in_job(path, &error))
}

/// The bytes of a job file.
pub(super) fn read_job_bytes(path: &Path) -> Result<Vec<u8>, FileError> {
    read::bytes(path, MOST_BYTES).map_err(|problem| Place::file(path).has(problem))
}

/// The bytes of the job file at `path` as text.
pub(super) fn as_text<'a>(path: &Path, bytes: &'a [u8]) -> Result<&'a str, FileError> {
    let Ok(text) = std::str::from_utf8(bytes) else { return Err(Place::file(path).has(Problem::NotText)) };
    Ok(text)
}

/// Opens a job with its photo, and makes sure that the photo is the one that the job was made on.
///
/// # Errors
/// Where one of the two files is missing, damaged, or not what the job says.
pub fn open_job(path: &Path) -> Result<OpenedJob, FileError> {
    let job = read_job(path)?;
    let photo_path = photo_path(path, &job);
    let wanted = Wanted { sha256: &job.photo.sha256, size: job.photo.size };
    let place = Place::file(Path::new(&job.photo.file));
    let photo = photo::load(&photo_path, &place, "photo", Some(wanted))?;
    Ok(OpenedJob { saved: Some(job.clone()), path: Some(path.to_path_buf()), ..OpenedJob::new(job, photo) })
}

/// What ends in `.json` is a job.
pub(super) fn is_job(path: &Path) -> bool {
    path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("json"))
}

/// A job for the photo that was read from `path`.
///
/// # Errors
/// Where the path cannot be written into a job.
pub(super) fn new_job(path: &Path, photo: LoadedPhoto) -> Result<OpenedJob, FileError> {
    let Some(file) = path.to_str() else {
        return Err(Place::file(path).has(Problem::NameIsNoText));
    };
    let job = Job::new(Photo {
        file: file.to_owned(),
        sha256: photo.sha256.clone(),
        size: photo.size(),
        held: Held::default(),
        focal_px: None,
        lens: LensBeliefs::default(),
    });
    Ok(OpenedJob { is_new: true, ..OpenedJob::new(job, photo) })
}

/// How a job was saved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Saved {
    /// The photo's name as the file now has it; nothing else of the job changes.
    pub photo_file: String,
    /// What stands in the file.
    pub in_file: Fingerprint,
}

/// Saves `job` at `path`, with its photo named relative to it where that makes sense.
///
/// # Errors
/// Where the file cannot be written; whatever stood there is then as it was.
pub fn save_job(job: &Job, photo: &Path, path: &Path) -> Result<Saved, FileError> {
    let file = photo_from_job(photo, path).map_err(|problem| Place::file(photo).has(problem))?;
    let mut saved = job.clone();
    saved.photo.file.clone_from(&file);
    let text = job::write(&saved);
    atomic::write(path, text.as_bytes())?;
    Ok(Saved { photo_file: file, in_file: Fingerprint::of(text.as_bytes()) })
}

/// The file at `path` is there and is not what was `known` of it: somebody else has written it since.
pub fn has_changed(path: &Path, known: Option<&Fingerprint>) -> bool {
    match read::bytes(path, MOST_BYTES) {
        Ok(bytes) => known != Some(&Fingerprint::of(&bytes)),
        // What is no file cannot be saved over either, and saving says so.
        Err(Problem::NoSuchFile | Problem::IsFolder | Problem::NotAFile) => false,
        Err(_) => true,
    }
}

/// The two lead to one file, or would.
pub fn is_same_file(one: &Path, other: &Path) -> bool {
    let real = |path: &Path| path.canonicalize().or_else(|_| std::path::absolute(path)).ok();
    one == other || real(one).is_some_and(|one| real(other) == Some(one))
}

/// `path`, or a name like it that is not taken yet.
pub fn free_name(path: PathBuf) -> PathBuf {
    let name = short_name(&path);
    let stem = name.strip_suffix(JOB_EXTENSION);
    let (stem, ending) =
        stem.map_or_else(|| name.rsplit_once('.').unwrap_or((&name, "")), |stem| (stem, &JOB_EXTENSION[1..]));
    let mut numbered = (2..1000).map(|number| path.with_file_name(format!("{stem}-{number}.{ending}")));
    if is_there(&path) { numbered.find(|other| !is_there(other)).unwrap_or(path) } else { path }
}

/// Where the photo of the job in the file at `job_path` is.
pub fn photo_path(job_path: &Path, job: &Job) -> PathBuf {
    job_path.parent().unwrap_or(Path::new("")).join(&job.photo.file)
}

/// The name that a job in the file at `job_path` gives its photo: relative, with `/`, unless the two share no folder
/// but the root. A photo that is gone keeps the absolute path that it had.
pub(super) fn photo_from_job(photo: &Path, job_path: &Path) -> Result<String, Problem> {
    let photo = real_or_absolute(photo).map_err(Problem::reading)?;
    let folder = job_path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let folder = real_or_absolute(folder).map_err(Problem::writing)?;
    let shared = photo.components().zip(folder.components()).take_while(|(one, other)| one == other).count();
    let shares_a_folder = photo.components().take(shared).any(|part| matches!(part, Component::Normal(_)));
    if !shares_a_folder {
        return photo.to_str().map(str::to_owned).ok_or(Problem::NameIsNoText);
    }
    let up = folder.components().skip(shared).map(|_| Some(".."));
    let down = photo.components().skip(shared).map(|part| part.as_os_str().to_str());
    let parts: Option<Vec<&str>> = up.chain(down).collect();
    parts.map(|parts| parts.join("/")).ok_or(Problem::NameIsNoText)
}

/// The path without links where it exists, else the absolute path.
fn real_or_absolute(path: &Path) -> io::Result<PathBuf> {
    match path.canonicalize() {
        Err(error) if error.kind() == io::ErrorKind::NotFound => std::path::absolute(path),
        found => found,
    }
}

/// Something of this name is there.
pub fn is_there(path: &Path) -> bool {
    path.exists()
}

/// The file's own name.
pub fn short_name(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

/// The path with the extension of a job, unless it ends in `.json` already.
pub fn with_job_extension(path: PathBuf) -> PathBuf {
    with_extension(path, "json", JOB_EXTENSION)
}

/// The path with the extension of a file for others, unless it has it already: such a file never takes the place of a job
/// or of a photo.
pub fn with_extension_of(path: PathBuf, extension: &str) -> PathBuf {
    with_extension(path, extension, &format!(".{extension}"))
}

fn with_extension(path: PathBuf, known: &str, added: &str) -> PathBuf {
    if path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case(known)) {
        return path;
    }
    let mut name = path.into_os_string();
    name.push(added);
    PathBuf::from(name)
}

/// Where the demo job is: in the demo folder beside the program, where it was installed, or in the source tree.
///
/// # Errors
/// Where it is in none of them.
pub fn demo_job() -> Result<PathBuf, FileError> {
    let program = std::env::current_exe().ok();
    let beside = program.as_deref().and_then(Path::parent);
    let folders = beside.into_iter().flat_map(|folder| [folder.join("demo"), folder.join("../share/platewright/demo")]);
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
    folders
        .chain([source])
        .find_map(|folder| first_job(&folder))
        .ok_or_else(|| Place::file(Path::new("demo")).has(Problem::NoDemo))
}

/// The job file in `folder` whose name comes first.
fn first_job(folder: &Path) -> Option<PathBuf> {
    let entries = std::fs::read_dir(folder).ok()?;
    let is_job = |path: &PathBuf| short_name(path).ends_with(JOB_EXTENSION);
    entries.filter_map(Result::ok).map(|entry| entry.path()).filter(is_job).min()
}
