//! Opening in the window: what another window has open, what was left unsaved, and a photo that is not where its job has
//! it, are asked about instead of refused.

use super::beside::only_photo;
use super::error::{FileError, Place, Problem, in_job};
use super::job::{OpenedJob, as_text, is_job, is_same_file, new_job, photo_from_job, photo_path, read_job_bytes};
use super::photo::{LoadedPhoto, load_photo};
use super::recovery::{self, About, Leftover, Slot};
use super::{Fingerprint, short_name};
use platewright_core::job::{self, Job, count};
use std::path::{Path, PathBuf};

/// What is to be opened, and what the person has settled about it already.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opening {
    /// What.
    pub from: Source,
    /// What to do where another window has it open.
    pub beside: Beside,
    /// Where the person says that the job's photo is.
    pub photo: Option<PathBuf>,
    /// Another photo of the same size is taken for the job's.
    pub other_photo: bool,
}

/// What is opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Source {
    /// A job or a photo.
    File(PathBuf),
    /// Unsaved work that was left.
    Left(Leftover),
}

/// What to do where another window has the job open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beside {
    /// Ask.
    Ask,
    /// Open it all the same.
    EvenSo,
    /// Open a copy that has no file yet.
    AsCopy,
}

/// Why nothing was opened.
#[derive(Debug)]
pub enum NotOpened {
    /// What was to be opened could not be, and why.
    Failed(Box<(Opening, FileError)>),
    /// The person is asked first.
    Held(Box<Held>),
}

/// What the person is asked before something is opened.
#[derive(Debug, Clone, PartialEq)]
pub enum Held {
    /// Another window has it open.
    Elsewhere(Opening),
    /// Work on it was left unsaved.
    Left(Opening, Leftover),
    /// Its photo is not there, or is not the one that it was made on.
    Photo(LostPhoto),
}

/// A job without its photo.
#[derive(Debug, Clone, PartialEq)]
pub struct LostPhoto {
    /// What was to be opened.
    pub opening: Opening,
    /// The name of the photo that the job was made on.
    pub name: String,
    /// Where it was looked for last.
    pub looked_at: PathBuf,
    /// What is the matter there.
    pub trouble: PhotoTrouble,
    /// Width and height of the photo that the job was made on, px.
    pub size: [u32; 2],
    /// The only photo of that size in the job's folder.
    pub beside: Option<PathBuf>,
}

/// Why a file is not the photo of a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PhotoTrouble {
    /// Nothing is there.
    Missing,
    /// It is another photo, of the same size.
    Other,
    /// It is another photo, of this width and height, px.
    OtherSize([u32; 2]),
    /// It could not be read, with the sentence that says why.
    Unreadable(String),
}

impl Opening {
    /// Opens the job or the photo at `path`, asking about all there is to ask.
    pub fn file(path: PathBuf) -> Self {
        Self::of(Source::File(path))
    }

    /// Goes on with what was left.
    pub fn left(leftover: Leftover) -> Self {
        Self::of(Source::Left(leftover))
    }

    fn of(from: Source) -> Self {
        Self { from, beside: Beside::Ask, photo: None, other_photo: false }
    }

    /// What it is called while it is read.
    pub fn called(&self) -> String {
        match &self.from {
            Source::File(path) => short_name(path),
            Source::Left(leftover) => leftover.title.clone(),
        }
    }

    /// The file that is opened, or that the work which was left is saved to.
    pub fn path(&self) -> Option<&Path> {
        match &self.from {
            Source::File(path) => Some(path),
            Source::Left(leftover) => leftover.path.as_deref(),
        }
    }

    /// Opens it, and holds a slot for it in the folder of copies.
    ///
    /// # Errors
    /// Where the person has something to settle first, or where it cannot be opened.
    pub fn open(self, recovery: Option<&Path>) -> Result<OpenedJob, NotOpened> {
        let asked = recovery.and_then(|folder| self.to_ask(folder));
        if let Some(held) = asked {
            return Err(NotOpened::Held(Box::new(held)));
        }
        let opened = match &self.from {
            Source::File(path) if is_job(path) => self.open_job(path),
            Source::File(path) => load_photo(path).and_then(|photo| new_job(path, photo)).map_err(Trouble::File),
            Source::Left(leftover) => self.go_on_with(leftover),
        };
        match opened {
            Ok(opened) => Ok(hold(opened, recovery)),
            Err(Trouble::File(error)) => Err(NotOpened::Failed(Box::new((self, error)))),
            Err(Trouble::Photo { name, looked_at, trouble, size }) => {
                let beside = self.photo_beside(size, &looked_at, &trouble);
                let lost = LostPhoto { opening: self, name, looked_at, trouble, size, beside };
                Err(NotOpened::Held(Box::new(Held::Photo(lost))))
            }
        }
    }

    /// A photo in the job's folder that may be the one it was made on; `None` where what was looked at may be it itself.
    fn photo_beside(&self, size: [u32; 2], looked_at: &Path, trouble: &PhotoTrouble) -> Option<PathBuf> {
        let folder = self.path()?.parent()?;
        let is_sought = *trouble != PhotoTrouble::Other;
        is_sought.then(|| only_photo(folder, size, looked_at)).flatten()
    }

    /// What is to be settled before anything is read.
    fn to_ask(&self, folder: &Path) -> Option<Held> {
        let path = self.path().filter(|_| self.beside == Beside::Ask)?;
        if recovery::is_open_elsewhere(folder, path) {
            return Some(Held::Elsewhere(self.clone()));
        }
        if matches!(self.from, Source::Left(_)) {
            return None;
        }
        let left = recovery::leftovers(folder).into_iter().find(|leftover| leftover.is_of(path))?;
        Some(Held::Left(self.clone(), left))
    }

    fn open_job(&self, path: &Path) -> Result<OpenedJob, Trouble> {
        let bytes = read_job_bytes(path)?;
        let saved = job::read(as_text(path, &bytes)?).map_err(|error| in_job(path, &error))?;
        let photo = self.photo_of(&saved, &[photo_path(path, &saved), beside(path, &saved.photo.file)])?;
        let job = mended(&saved, &photo, Some(path));
        let is_copy = self.beside == Beside::AsCopy;
        Ok(OpenedJob {
            saved: (!is_copy).then_some(saved),
            in_file: (!is_copy).then(|| Fingerprint::of(&bytes)),
            path: (!is_copy).then(|| path.to_path_buf()),
            ..OpenedJob::new(job, photo)
        })
    }

    fn go_on_with(&self, leftover: &Leftover) -> Result<OpenedJob, Trouble> {
        let (slot, about, copy) = leftover.take()?;
        let path = leftover.path.as_deref().filter(|_| self.beside != Beside::AsCopy);
        let kept = about.as_ref().map(About::photo);
        let own = path.into_iter().flat_map(|path| [photo_path(path, &copy), beside(path, &copy.photo.file)]);
        // What the copy itself says of its photo is tried last but for the job's own folder.
        let places: Vec<PathBuf> = kept.into_iter().chain([PathBuf::from(&copy.photo.file)]).chain(own).collect();
        let photo = self.photo_of(&copy, &places)?;
        let mut job = mended(&copy, &photo, path);
        // The copy names it by its whole path; where the job's own way of naming it is no text, that stays.
        if let Some(file) = path.and_then(|path| photo_from_job(&photo.path, path).ok()) {
            job.photo.file = file;
        }
        // A file that is gone or spoilt since takes nothing from the work: it is written anew.
        let saved = path.and_then(|path| super::read_job(path).ok());
        let in_file = about.and_then(|about| about.in_file);
        let path = path.map(Path::to_path_buf);
        Ok(OpenedJob { saved, in_file, path, slot: Some(slot), is_left: true, ..OpenedJob::new(job, photo) })
    }

    /// The photo of `job`: where the person says, else at the first of `places` where it is. Whatever else is there is not
    /// taken.
    fn photo_of(&self, job: &Job, places: &[PathBuf]) -> Result<LoadedPhoto, Trouble> {
        let places = self.photo.as_ref().map_or(places, std::slice::from_ref);
        let mut first: Option<(&PathBuf, PhotoTrouble)> = None;
        for place in places {
            let trouble = match looked_at(place, job, self.other_photo) {
                Ok(photo) => return Ok(photo),
                Err(trouble) => trouble,
            };
            // That something else is there says more than that nothing is.
            let says_more = trouble != PhotoTrouble::Missing;
            if first.as_ref().is_none_or(|(_, first)| *first == PhotoTrouble::Missing && says_more) {
                first = Some((place, trouble));
            }
        }
        let (looked_at, trouble) =
            first.map_or_else(|| (PathBuf::new(), PhotoTrouble::Missing), |(p, t)| (p.clone(), t));
        Err(Trouble::Photo { name: last_part(&job.photo.file), looked_at, trouble, size: job.photo.size })
    }
}

/// Why a job was not read.
enum Trouble {
    File(FileError),
    Photo { name: String, looked_at: PathBuf, trouble: PhotoTrouble, size: [u32; 2] },
}

impl From<FileError> for Trouble {
    fn from(error: FileError) -> Self {
        Self::File(error)
    }
}

/// The photo at `place`, where it is the job's; `or_other`: or another of the same size.
fn looked_at(place: &Path, job: &Job, or_other: bool) -> Result<LoadedPhoto, PhotoTrouble> {
    let photo = load_photo(place).map_err(|error| match error.problem {
        Problem::NoSuchFile => PhotoTrouble::Missing,
        problem => PhotoTrouble::Unreadable(problem.to_string()),
    })?;
    let is_own = photo.sha256.eq_ignore_ascii_case(&job.photo.sha256);
    match photo.size() {
        found if found != job.photo.size => Err(PhotoTrouble::OtherSize(found)),
        _ if is_own || or_other => Ok(photo),
        _ => Err(PhotoTrouble::Other),
    }
}

/// The job with the photo that was found, where it lies.
fn mended(job: &Job, photo: &LoadedPhoto, path: Option<&Path>) -> Job {
    let mut mended = job.clone();
    if !photo.sha256.eq_ignore_ascii_case(&job.photo.sha256) {
        mended.photo.sha256.clone_from(&photo.sha256);
    }
    let said = path.map_or_else(|| PathBuf::from(&job.photo.file), |path| photo_path(path, job));
    // Where the new name cannot be written into a job, the slot knows the place, and saving says so.
    if !is_same_file(&said, &photo.path)
        && let Some(file) = path.map_or_else(|| whole_path(&photo.path), |path| photo_from_job(&photo.path, path).ok())
    {
        mended.photo.file = file;
    }
    mended
}

/// The absolute path, where it is text.
pub(super) fn whole_path(path: &Path) -> Option<String> {
    std::path::absolute(path).ok()?.to_str().map(str::to_owned)
}

/// The file of that name in the job's own folder.
fn beside(job_path: &Path, file: &str) -> PathBuf {
    job_path.parent().unwrap_or(Path::new("")).join(last_part(file))
}

/// The last part of a path that was written on any system.
fn last_part(file: &str) -> String {
    file.rsplit(['/', '\\']).next().unwrap_or(file).to_owned()
}

/// Holds a slot for the job, where copies are kept.
fn hold(mut opened: OpenedJob, recovery: Option<&Path>) -> OpenedJob {
    if let (None, Some(folder)) = (&opened.slot, recovery) {
        let about = About::new(opened.path.as_deref(), &opened.photo.path, opened.in_file.clone());
        // Where it cannot be, the first copy that fails is said aloud.
        opened.slot = Slot::new(folder, &about).ok();
    }
    opened
}

impl LostPhoto {
    /// The same opened with the photo that the person shows.
    #[must_use]
    pub fn with(self, photo: PathBuf) -> Opening {
        Opening { photo: Some(photo), ..self.opening }
    }

    /// The same opened with the other photo that was looked at last.
    #[must_use]
    pub fn even_so(self) -> Opening {
        Opening { photo: Some(self.looked_at), other_photo: true, ..self.opening }
    }

    /// What is the matter, as a sentence that names the photo.
    pub fn sentence(&self) -> String {
        let Self { name, looked_at, .. } = self;
        let found = short_name(looked_at);
        let is_named = found == *name;
        match &self.trouble {
            PhotoTrouble::Missing if self.opening.photo.is_some() => {
                format!("There is no file {}.", looked_at.display())
            }
            PhotoTrouble::Missing => format!("The photo {name} is not where this job has it."),
            PhotoTrouble::Other if is_named => format!("The photo {name} is not the one this job was made with."),
            PhotoTrouble::Other => format!("{found} is not the photo {name} this job was made with."),
            PhotoTrouble::OtherSize([width, height]) => {
                let [own_width, own_height] = self.size;
                format!(
                    "{found} is not the photo this job was made with: it has {width} × {height} px, and that one had \
                     {own_width} × {own_height} px."
                )
            }
            PhotoTrouble::Unreadable(why) => format!("{}: {why}", Place::file(looked_at)),
        }
    }

    /// The way out, as a sentence.
    pub fn way_out(&self) -> &'static str {
        match self.trouble {
            PhotoTrouble::Other => "Show where the right one is, or take this one and check every rim.",
            _ => "Show where the right one is.",
        }
    }
}

/// What is said once a job is open whose photo was found elsewhere, or is another.
pub fn said_of_photo(saved: Option<&Job>, job: &Job) -> Option<String> {
    let saved = saved?;
    if saved.photo.sha256 != job.photo.sha256 {
        let rims = count(job.holes.len(), "rim");
        return Some(format!("This is another photo than the job was made with: check every rim, {rims} in all."));
    }
    let is_found = saved.photo.file != job.photo.file;
    is_found.then(|| format!("The photo was found at {}. Save the job to have it remembered.", job.photo.file))
}
