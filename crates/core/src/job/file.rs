//! The job file: text in, job out, and back.

use super::error::shown;
use super::{Job, JobError, layout, validate};
use serde_json::Value;
use serde_json::error::Category;
use serde_path_to_error::{Path, Segment};

/// What `format` says in every job file.
pub const FORMAT: &str = "platewright-job";

/// The version that is written, and the newest that is read.
pub const VERSION: u32 = 1;

/// Reads a job file.
///
/// The version is looked at before the rest, so that a newer file is refused for being newer and not for a key that
/// this program has never heard of. Version 1 is the first: there is no older layout to bring up to date.
///
/// # Errors
/// Where the text is no job, or a job that does not hold together; with the key at fault.
pub fn read(text: &str) -> Result<Job, JobError> {
    // Some editors begin a file with a byte order mark; it means nothing in UTF-8.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.trim().is_empty() {
        return Err(JobError::whole("the file is empty"));
    }
    check_header(&parse(text)?)?;
    let job: Job = parse(text)?;
    validate(&job)?;
    Ok(job)
}

/// Writes a job file: the keys in the order of the documentation, whatever fits on a line on one line, and the same
/// bytes for the same job.
///
/// # Panics
/// Never for a [`Job`]: it is made of objects with fixed keys, lists, strings and numbers, all of which JSON can hold.
pub fn write(job: &Job) -> String {
    let tree = serde_json::to_value(job).expect("a job is made of what JSON can hold");
    layout::laid_out(&tree)
}

/// Refuses what is no job file, or one of a version that this program does not know.
fn check_header(tree: &Value) -> Result<(), JobError> {
    let Value::Object(keys) = tree else {
        return Err(JobError::whole("this is no job file, which is one object in { }"));
    };
    match keys.get("format") {
        Some(Value::String(format)) if format == FORMAT => {}
        Some(other) => {
            let found = shown(other.as_str().unwrap_or(&other.to_string()));
            return Err(JobError::at("format", format!("is “{found}”, which is not “{FORMAT}”: this is no job file")));
        }
        None => return Err(JobError::at("format", "is missing: this is no job file")),
    }
    match keys.get("version") {
        Some(Value::Number(number)) => match number.as_u64() {
            Some(version) if version == u64::from(VERSION) => Ok(()),
            Some(version) if version > u64::from(VERSION) => Err(JobError::at(
                "version",
                format!("is version {version}; this program reads up to {VERSION}; it is left untouched"),
            )),
            _ => Err(JobError::at("version", format!("{number} is no version that was ever written"))),
        },
        Some(other) => Err(JobError::at("version", format!("“{}” is not a whole number", shown(&other.to_string())))),
        None => Err(JobError::at("version", "is missing")),
    }
}

/// Parses `text`, with the place of whatever cannot be parsed.
fn parse<'a, T: serde::Deserialize<'a>>(text: &'a str) -> Result<T, JobError> {
    let mut json = serde_json::Deserializer::from_str(text);
    let parsed = serde_path_to_error::deserialize(&mut json)
        .map_err(|error| JobError::at(key_of(error.path()), problem_of(error.inner(), text)))?;
    json.end().map_err(|error| {
        let (line, column) = (error.line(), error.column());
        JobError::whole(format!("something follows the end of the job (line {line}, column {column})"))
    })?;
    Ok(parsed)
}

/// The path as it is written in sentences: `holes[2].rim[0]`.
fn key_of(path: &Path) -> String {
    let mut key = String::new();
    for segment in path {
        match segment {
            Segment::Seq { index } => key.extend(["[", &index.to_string(), "]"]),
            Segment::Map { key: name } | Segment::Enum { variant: name } => {
                if !key.is_empty() {
                    key.push('.');
                }
                key.push_str(&shown(name));
            }
            Segment::Unknown => {}
        }
    }
    key
}

/// What serde says, in this program's words.
fn problem_of(error: &serde_json::Error, text: &str) -> String {
    let (line, column) = (error.line(), error.column());
    let place = format!("line {line}, column {column}");
    let raw = error.to_string();
    let said = raw.strip_suffix(&format!(" at line {line} column {column}")).unwrap_or(&raw);
    match error.classify() {
        Category::Eof => format!("the file ends in the middle ({place})"),
        Category::Data => shape_problem(said),
        Category::Syntax | Category::Io => match no_number_at(text, line, column) {
            Some(word) => format!("“{word}” is not a number ({place})"),
            None if said == "number out of range" => format!("the number is too large to hold ({place})"),
            None if said == "trailing characters" => format!("holds more than belongs here ({place})"),
            None => format!("this is not JSON ({place}: {said})"),
        },
    }
}

/// What does not fit the job's shape, from serde's fixed phrases.
fn shape_problem(said: &str) -> String {
    let quoted = |start: &str| said.strip_prefix(start).and_then(|rest| rest.split('`').next()).map(shown);
    if quoted("unknown field `").is_some() {
        return "is not a key that is known here".to_owned();
    }
    if let Some(name) = quoted("missing field `") {
        return format!("the key “{name}” is missing");
    }
    if let Some(name) = quoted("duplicate field `") {
        return format!("the key “{name}” is there twice");
    }
    if let Some(name) = quoted("unknown variant `") {
        let known = said.split_once("expected ").map_or("", |(_, known)| known).replace('`', "“");
        return format!("“{name}” is not known here; known are {}", closed_quotes(&known));
    }
    if let Some((found, wanted)) = said.split_once(", expected ") {
        let found = found.trim_start_matches("invalid type: ").trim_start_matches("invalid value: ");
        return format!("is {}, where {} belongs", found_in_words(found), wanted_in_words(wanted));
    }
    shown(said)
}

/// Turns the serde list `one of “a“, “b“` into `“a”, “b”`.
fn closed_quotes(list: &str) -> String {
    let mut open = false;
    let turned = list.trim_start_matches("one of ").chars().map(|c| match c {
        '“' => {
            open = !open;
            if open { '“' } else { '”' }
        }
        other => other,
    });
    turned.collect()
}

/// What serde found, as a person would name it.
fn found_in_words(found: &str) -> String {
    match found {
        "map" => "an object in { }".to_owned(),
        "sequence" => "a list".to_owned(),
        other => {
            let bare = other.replace('`', "");
            let kinds = ["integer ", "floating point ", "boolean ", "string ", "invalid "];
            shown(kinds.iter().find_map(|kind| bare.strip_prefix(kind)).unwrap_or(&bare))
        }
    }
}

/// What serde wanted, as a person would name it.
fn wanted_in_words(wanted: &str) -> String {
    match wanted {
        "f64" => "a number".to_owned(),
        "u32" | "usize" => "a whole number of 0 or more".to_owned(),
        "a sequence" => "a list".to_owned(),
        "a boolean" => "true or false".to_owned(),
        "an array of length 2" | "fewer elements in array" => "a pair of numbers".to_owned(),
        other => match other.strip_prefix("struct ") {
            Some(_) => "an object in { }".to_owned(),
            None => shown(other),
        },
    }
}

/// The word at this place where it is one of those that other programs write for what is no number.
fn no_number_at(text: &str, line: usize, column: usize) -> Option<&str> {
    let row = text.split('\n').nth(line.checked_sub(1)?)?;
    let is_part = |b: &u8| b.is_ascii_alphabetic() || matches!(b, b'-' | b'+');
    let at = column.checked_sub(1)?.min(row.len());
    let before = row.as_bytes()[..at].iter().rev().take_while(|b| is_part(b)).count();
    let after = row.as_bytes()[at..].iter().take_while(|b| is_part(b)).count();
    let word = row.get(at - before..at + after)?;
    let bare = word.trim_start_matches(['-', '+']).to_ascii_lowercase();
    matches!(bare.as_str(), "nan" | "inf" | "infinity").then_some(word)
}
