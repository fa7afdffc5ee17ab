//! The only place that opens and writes files.
//!
//! ## Invariants
//! - Every error is one sentence that names the file, the key of the job that led to it, and a way out.
//! - Everything is written beside and renamed: a file is there whole or not at all.
//! - Nothing that was done is lost: a copy of unsaved work lies in the person's own folder (`recovery`).
//! - Nothing is believed: sizes are looked at before memory is taken, and a photo is the one that its job was made on.

mod atomic;
mod beside;
mod decode;
pub mod dialog;
mod error;
mod exif_tags;
mod heic;
mod job;
mod jpeg;
pub mod opening;
mod photo;
mod places;
mod png;
mod practice;
mod read;
pub mod recovery;
pub mod settings;
mod tone;

#[cfg(test)]
mod tests;

pub use atomic::write;
pub use error::{FileError, Place, Problem};
pub use job::{
    Fingerprint, JOB_EXTENSION, OpenedJob, Saved, demo_job, free_name, has_changed, is_same_file, is_there, open_job,
    photo_path, read_job, save_job, short_name, with_extension_of, with_job_extension,
};
pub use photo::{LoadedPhoto, load_photo};
pub use places::Places;
pub use practice::practice;
