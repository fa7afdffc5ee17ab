//! What can go wrong with a file: one sentence each, with the file, the key where there is one, and a way out.

use platewright_core::job::JobError;
use std::fmt;
use std::io;
use std::path::Path;

/// Why a file was not read or not written.
#[derive(Debug, thiserror::Error)]
#[error("{place}: {problem}")]
pub struct FileError {
    /// Which file, and which key of a job led to it.
    pub place: Place,
    /// What is wrong with it.
    pub problem: Problem,
}

/// A file as it is named in a sentence, with the key of the job that names it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    file: String,
    key: String,
}

impl Place {
    /// The file itself, as the person named it.
    pub fn file(path: &Path) -> Self {
        Self { file: on_one_line(&path.to_string_lossy()), key: String::new() }
    }

    /// The same file, reached through `key` of a job.
    #[must_use]
    pub fn key(self, key: &str) -> Self {
        Self { key: key.to_owned(), ..self }
    }

    /// This file with this problem.
    pub fn has(self, problem: Problem) -> FileError {
        FileError { place: self, problem }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if self.key.is_empty() { Ok(()) } else { write!(f, " ({})", self.key) }
    }
}

/// What is wrong with a file.
#[derive(Debug, thiserror::Error)]
pub enum Problem {
    /// The job's photo is not where the job says.
    #[error("there is no such photo. Put it back where the job has it.")]
    NoSuchPhoto,
    /// The file is not there.
    #[error("there is no such file. Check the name and the folder.")]
    NoSuchFile,
    /// The folder that a file is to be written into is not there.
    #[error("there is no such folder. Make it first, or choose another one.")]
    NoSuchFolder,
    /// A folder stands where a file is wanted.
    #[error("this is a folder. Name a file.")]
    IsFolder,
    /// A device or a pipe stands where a file is wanted.
    #[error("this is no ordinary file. Copy what it holds into one first.")]
    NotAFile,
    /// The system does not let it be read.
    #[error("it could not be read: {}. Check the disk and who may read the file.", system(.0))]
    CannotRead(#[source] io::Error),
    /// The system does not let it be written.
    #[error("it could not be written: {}. Choose another folder; nothing was changed.", system(.0))]
    CannotWrite(#[source] io::Error),
    /// No copy of unsaved work can be kept in the folder, and why.
    #[error("no copy of unsaved work is kept here: {0}. Save often.")]
    NotKept(String),
    /// The system does not let it be taken away.
    #[error("it could not be taken away: {}. Take it away yourself.", system(.0))]
    CannotRemove(#[source] io::Error),
    /// Another window has gone on with the work that was left.
    #[error("another window has gone on with this work. Look there.")]
    TakenMeanwhile,
    /// The file that would be replaced is write-protected.
    #[error("it is write-protected. Choose another name; nothing was changed.")]
    WriteProtected,
    /// The file is larger than any of its kind.
    #[error("it has {} MB, and the limit is {} MB. Check that it is the right file.", .bytes / 1_000_000, .limit / 1_000_000)]
    TooManyBytes {
        /// Its size.
        bytes: u64,
        /// The most that is read.
        limit: u64,
    },
    /// The file is not text.
    #[error("this is not text, so it is no job. Open the job's .plate.json file.")]
    NotText,
    /// The text is no job. The key is part of the place.
    #[error("{0}.")]
    Job(String),
    /// The photo is not the one that the job was made on.
    #[error("the photo has changed since the job was made. Put the old photo back, or begin a new job on this one.")]
    PhotoChanged,
    /// The photo has another size than the job says.
    #[error(
        "the job says {} × {} px, and the photo has {} × {} px. Put the right photo back, or correct the job.",
        .said[0], .said[1], .found[0], .found[1]
    )]
    SizeDiffers {
        /// By the job.
        said: [u32; 2],
        /// By the photo.
        found: [u32; 2],
    },
    /// The picture ends before it is complete.
    #[error("the picture ends in the middle. Copy it from the camera again.")]
    Truncated,
    /// The picture's header promises more than is decoded.
    #[error("its header promises {} × {} px, and the limit is {} megapixels. Export a smaller copy.", .size.0, .size.1, .limit / 1_000_000)]
    TooManyPixels {
        /// Width and height by the header.
        size: (u32, u32),
        /// The most that is decoded, px.
        limit: u64,
    },
    /// Decoding would take more memory than is given to it.
    #[error("decoding it would take more memory than a photo needs. Export a smaller copy.")]
    TooMuchMemory,
    /// A picture in the format of phones that was not understood.
    #[error("this HEIC picture could not be read ({0}). Export it as JPEG.")]
    Heic(String),
    /// The file is no picture of a known format.
    #[error("this is no picture that is read here; JPEG, PNG, TIFF, WebP and HEIC are. Export it as JPEG.")]
    UnknownPicture,
    /// A picture of a known format that makes use of what is rare in it.
    #[error("the picture is of a kind that is not read here ({0}). Export it as JPEG.")]
    Unsupported(String),
    /// The decoder gave up.
    #[error("the picture is damaged ({0}). Copy it from the camera again.")]
    Damaged(String),
    /// A path that cannot be written into a job.
    #[error("its name holds bytes that are no text. Rename it.")]
    NameIsNoText,
    /// What was asked for could not be made of the job.
    #[error("{what} could not be made: {why}. Nothing was written.")]
    NotMade {
        /// What it is called: `the cut file`.
        what: &'static str,
        /// Why, without a full stop.
        why: String,
    },
    /// The name of a cut file has to say what the file cannot.
    #[error("its name has to say “{mark}”, or nobody at the cutter knows. Call it {name}.")]
    NameLacks {
        /// What it has to say.
        mark: String,
        /// A name that says it.
        name: String,
    },
    /// The name of a cut file says what is not so.
    #[error("its name says “{mark}”, and the file is not so: it would be cut wrongly. Call it {name}.")]
    NameClaims {
        /// What it says.
        mark: String,
        /// A name that does not.
        name: String,
    },
    /// A picture would take the place of the photo that it is made from.
    #[error("this is the job's own photo. Choose another name; nothing was changed.")]
    OwnPhoto,
    /// The demo job is not installed.
    #[error("the demo job is not here. Install Platewright again with its demo folder.")]
    NoDemo,
    /// The dimensions that the guide's practice caliper reads were not understood.
    #[error("this cannot be read as practice dimensions ({0}). Install Platewright again with its demo folder.")]
    Practice(String),
}

impl Problem {
    /// The problem of a file that could not be read.
    pub(super) fn reading(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::NotFound => Self::NoSuchFile,
            io::ErrorKind::IsADirectory => Self::IsFolder,
            _ => Self::CannotRead(error),
        }
    }

    /// Why, in the words of the system where it has any, without a full stop.
    pub(super) fn why(&self) -> String {
        match self {
            Self::CannotRead(error) | Self::CannotWrite(error) => system(error),
            Self::NoSuchFolder => "there is no such folder".to_owned(),
            other => other.to_string().split(". ").next().unwrap_or_default().trim_end_matches('.').to_owned(),
        }
    }

    /// The problem of a file that could not be written.
    pub(super) fn writing(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => Self::NoSuchFolder,
            io::ErrorKind::IsADirectory => Self::IsFolder,
            _ => Self::CannotWrite(error),
        }
    }
}

/// The error of the job in the file at `path`.
pub(super) fn in_job(path: &Path, error: &JobError) -> FileError {
    Place::file(path).key(&error.key).has(Problem::Job(error.problem.clone()))
}

/// What the system says, without its error numbers.
fn system(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::PermissionDenied => "permission is denied".to_owned(),
        io::ErrorKind::StorageFull => "the disk is full".to_owned(),
        io::ErrorKind::QuotaExceeded => "the disk holds no more of yours".to_owned(),
        io::ErrorKind::FileTooLarge => "it is larger than a file may be there".to_owned(),
        io::ErrorKind::ReadOnlyFilesystem => "the disk is read-only".to_owned(),
        _ => on_one_line(&error.to_string()),
    }
}

/// A name or a message with line breaks and other control characters written out.
pub(super) fn on_one_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { c.escape_default().to_string() } else { c.to_string() }).collect()
}
