//! The job file: text in, job out, and back.
use super::{Job, JobError};
/// What `format` says in every job file.
pub const FORMAT: &str = "platewright-job";
/// The version that is written.
pub const VERSION: u32 = 1;
/// Reads a job file.
///
/// # Errors
/// Where the text is no job, with the key at fault.
pub fn read(text: &str) -> Result<Job, JobError> {
    serde_json::from_str(text).map_err(|error| JobError { key: String::new(), problem: error.to_string() })
}
/// Writes a job file.
pub fn write(job: &Job) -> String {
    serde_json::to_string_pretty(job).unwrap_or_default()
}
