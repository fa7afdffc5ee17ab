//! What the plate on the demo's photo measures, for those who take their first plate and have none in hand.

use super::error::{FileError, Place, Problem};
use super::{job, read};
use crate::guide::Practice;
use std::path::PathBuf;

/// The largest file of practice dimensions that is read, bytes.
const MOST_BYTES: u64 = 1_000_000;

/// The demo's photo, and what the plate on it measures.
///
/// # Errors
/// Where the demo is not there, or what belongs to it cannot be read.
pub fn practice() -> Result<(PathBuf, Practice), FileError> {
    let demo = job::demo_job()?;
    let path = demo.with_file_name("practice.json");
    let bytes = read::bytes(&path, MOST_BYTES).map_err(|problem| Place::file(&path).has(problem))?;
    let unread = |error: serde_json::Error| Place::file(&path).has(Problem::Practice(error.to_string()));
    let practice: Practice = serde_json::from_slice(&bytes).map_err(unread)?;
    Ok((demo.with_file_name(&practice.photo), practice))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_demo_says_what_its_plate_measures() {
        let (photo, practice) = practice().unwrap();
        assert!(photo.is_file(), "{}", photo.display());
        let demo = job::read_job(&job::demo_job().unwrap()).unwrap();
        assert_eq!(practice.holes.len(), demo.holes.len(), "each of its holes");
    }
}
