//! What can be wrong with a job file, each in one sentence with its place.

/// Why a job was not read. The text names the key; the app puts the file's name before it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{key}: {problem}")]
pub struct JobError {
    /// Path of the key, `holes[2].rim[0]` for instance.
    pub key: String,
    /// What is wrong, as the rest of a sentence.
    pub problem: String,
}
