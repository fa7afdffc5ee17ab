//! What can be wrong with a job, each in one sentence with its place.

use std::fmt;

/// Why a job was not read, or may not stand. The text names the key; the app puts the file's name before it.
#[derive(Debug, Clone, PartialEq)]
pub struct JobError {
    /// Path of the key, `holes[2].rim[0]` for instance; empty where it is about the file as a whole.
    pub key: String,
    /// What is wrong, as a sentence without its full stop.
    pub problem: String,
}

impl JobError {
    /// The error at `key`.
    pub(super) fn at(key: impl Into<String>, problem: impl Into<String>) -> Self {
        Self { key: key.into(), problem: problem.into() }
    }

    /// The error of the file as a whole.
    pub(super) fn whole(problem: impl Into<String>) -> Self {
        Self::at("", problem)
    }
}

impl fmt::Display for JobError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.key.is_empty() { f.write_str(&self.problem) } else { write!(f, "{}: {}", self.key, self.problem) }
    }
}

impl std::error::Error for JobError {}

/// The most characters of somebody else's text that are repeated in a sentence.
const QUOTED_CHARS: usize = 40;

/// Somebody else's text, fit to stand in a sentence: on one line and no longer than can be read.
pub(super) fn shown(text: &str) -> String {
    let mut out: String = text.chars().take(QUOTED_CHARS).flat_map(escaped).collect();
    if text.chars().nth(QUOTED_CHARS).is_some() {
        out.push('…');
    }
    out
}

fn escaped(c: char) -> impl Iterator<Item = char> {
    let (plain, code) = if c.is_control() { (None, Some(c.escape_default())) } else { (Some(c), None) };
    plain.into_iter().chain(code.into_iter().flatten())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_key_comes_first_where_there_is_one() {
        assert_eq!(JobError::at("holes[0].id", "is empty").to_string(), "holes[0].id: is empty", "with a key");
        assert_eq!(JobError::whole("the file is empty").to_string(), "the file is empty", "without one");
    }

    #[test]
    fn a_quoted_text_stays_short_and_on_one_line() {
        assert_eq!(shown("a\nb"), "a\\nb", "a line break is written out");
        assert_eq!(shown(&"x".repeat(41)).chars().count(), 41, "40 characters and the sign that more follows");
        assert_eq!(shown("é"), "é", "letters stay");
    }
}
