//! The rules of the house that a compiler does not know.
#![expect(clippy::unwrap_used, reason = "what cannot be read here is a failed check")]

use platewright_tests::project_dir;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The longest file and the longest functions that are read with ease, in lines.
const FILE_LINES: usize = 600;
const FUNCTION_LINES: usize = 70;
const SCREEN_FUNCTION_LINES: usize = 100;

/// Files that may be longer, each with the reason.
const LONGER_FILES: [(&str, &str); 0] = [];

/// A source file, with its path from the project's folder.
struct Source {
    path: String,
    text: String,
}

impl Source {
    fn is_under(&self, folder: &str) -> bool {
        self.path.starts_with(folder)
    }

    /// Its lines with their numbers, without what only tests see: by the house's habit that comes last in a file.
    fn lines(&self) -> impl Iterator<Item = (usize, &str)> {
        let is_test_file = self.path.ends_with("tests.rs") || self.path.contains("/tests/");
        let product = if is_test_file {
            ""
        } else {
            self.text
                .split(
                    "#[cfg(test)]
mod tests {",
                )
                .next()
                .unwrap()
        };
        (1..).zip(product.lines())
    }
}

/// Every Rust file under `folder`, in the order of the paths.
fn sources(folder: &str) -> Vec<Source> {
    let root = project_dir();
    let mut folders = vec![root.join(folder)];
    let mut files = BTreeSet::new();
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                files.insert(path);
            }
        }
    }
    assert!(!files.is_empty(), "{folder} has sources");
    files.iter().map(|file| source(&root, file)).collect()
}

/// Every Rust file of ours.
fn all_sources() -> Vec<Source> {
    ["crates", "tests"].into_iter().flat_map(sources).collect()
}

fn source(root: &Path, file: &Path) -> Source {
    let path = file.strip_prefix(root).unwrap().to_str().unwrap().replace('\\', "/");
    Source { path, text: fs::read_to_string(file).unwrap() }
}

/// The text between the quotes of the string literals on a line, as far as a line tells. Comments hold none.
fn literals(line: &str) -> impl Iterator<Item = &str> {
    let code = if line.trim_start().starts_with("//") { "" } else { line };
    code.split('"').skip(1).step_by(2)
}

/// Fails with every place that was found.
#[track_caller]
fn check_none(rule: &str, found: &[String]) {
    let list = found.iter().fold(String::new(), |mut list, place| {
        write!(list, "\n  {place}").unwrap();
        list
    });
    assert!(found.is_empty(), "{rule}:{list}");
}

#[test]
fn the_map_names_every_crate_and_none_that_is_gone() {
    let map = fs::read_to_string(project_dir().join("DEVELOPERS.md")).unwrap();
    let entries = fs::read_dir(project_dir().join("crates")).unwrap();
    let crates: BTreeSet<String> = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    let named: BTreeSet<String> = map
        .split("crates/")
        .skip(1)
        .map(|rest| rest.chars().take_while(|c| c.is_alphanumeric() || *c == '-').collect())
        .collect();
    assert_eq!(named, crates, "crates that the map names, and those that there are");
}

#[test]
fn files_can_be_read_in_one_sitting() {
    let all = all_sources();
    let is_listed = |source: &Source| LONGER_FILES.iter().any(|(path, _)| *path == source.path);
    let is_long = |source: &&Source| source.text.lines().count() > FILE_LINES;
    let long: Vec<String> = all
        .iter()
        .filter(is_long)
        .filter(|source| !is_listed(source))
        .map(|source| format!("{}: {} lines", source.path, source.text.lines().count()))
        .collect();
    check_none("files over 600 lines without a reason in this test", &long);
    for (path, reason) in LONGER_FILES {
        let still = all.iter().filter(is_long).any(|source| source.path == path);
        assert!(still, "{path} is listed ({reason}) and is not that long, or not there");
    }
}

#[test]
fn functions_can_be_seen_at_once() {
    let mut long = Vec::new();
    for source in sources("crates") {
        let is_screen = ["sheets", "canvas", "controls", "window"]
            .iter()
            .any(|folder| source.is_under(&format!("crates/app/src/{folder}")));
        let most = if is_screen { SCREEN_FUNCTION_LINES } else { FUNCTION_LINES };
        for (name, line, length) in functions(&source) {
            if length > most {
                long.push(format!("{}:{line}: {name} has {length} lines", source.path));
            }
        }
    }
    check_none("functions over 70 lines (100 on screen)", &long);
}

/// Name, first line and length of each function; in formatted code it ends at the brace under its first letter.
fn functions(source: &Source) -> Vec<(&str, usize, usize)> {
    let lines: Vec<(usize, &str)> = source.lines().collect();
    let starts = lines.iter().enumerate().filter_map(|(at, (number, line))| {
        let indent = line.len() - line.trim_start().len();
        let words: Vec<&str> = line.trim_start().split(' ').collect();
        let fn_at = words.iter().position(|word| *word == "fn")?;
        let is_item = words[..fn_at].iter().all(|word| word.starts_with("pub") || matches!(*word, "const" | "async"));
        let name = words.get(fn_at + 1).filter(|_| is_item)?.split(['(', '<']).next()?;
        let end = lines[at..].iter().position(|(_, line)| line.trim_end() == format!("{}}}", " ".repeat(indent)))?;
        Some((name, *number, end + 1))
    });
    starts.collect()
}

#[test]
fn what_is_left_to_do_has_an_owner() {
    let words = ["TO", "FIX"].map(|start| start.to_owned() + if start == "TO" { "DO" } else { "ME" });
    let mut found = Vec::new();
    for source in all_sources() {
        for (number, line) in (1..).zip(source.text.lines()) {
            let is_orphan = |word: &String| line.split(word.as_str()).skip(1).any(|rest| !rest.starts_with('('));
            if words.iter().any(is_orphan) {
                found.push(format!("{}:{number}", source.path));
            }
        }
    }
    check_none("things left to do without an owner in brackets", &found);
}

#[test]
fn names_of_files_say_what_is_in_them() {
    let vague = ["misc", "util", "utils", "helper", "helpers", "common", "stuff"];
    let all = all_sources();
    let is_vague =
        |path: &str| Path::new(path).iter().any(|part| vague.contains(&part.to_str().unwrap().trim_end_matches(".rs")));
    let found: Vec<String> = all.into_iter().map(|source| source.path).filter(|path| is_vague(path)).collect();
    check_none("files whose names say nothing", &found);
}

/// The packages that `package` needs, by `cargo tree`; `of` narrows it to those that need that one.
fn tree(package: &str, of: Option<&str>) -> BTreeSet<String> {
    let mut cargo = Command::new(env!("CARGO"));
    cargo.args(["tree", "--locked", "--offline", "--edges", "normal", "--prefix", "none", "--package", package]);
    cargo.args(of.into_iter().flat_map(|of| ["--invert", of, "--depth", "1"]));
    let out = cargo.current_dir(project_dir()).output().unwrap();
    assert!(out.status.success(), "cargo tree: {}", String::from_utf8_lossy(&out.stderr));
    let text = String::from_utf8(out.stdout).unwrap();
    text.lines().filter_map(|line| line.split(' ').next()).filter(|name| !name.is_empty()).map(str::to_owned).collect()
}

#[test]
fn the_core_knows_no_window_and_no_picture_format() {
    let core = tree("platewright-core", None);
    assert!(core.contains("nalgebra"), "the tree was read");
    let barred = [
        "egui",
        "eframe",
        "winit",
        "rfd",
        "glow",
        "clap",
        "directories",
        "tempfile",
        "zune-jpeg",
        "png",
        "tiff",
        "image-webp",
        "kamadak-exif",
        "heic-decoder",
        "platewright",
        "platewright-synth",
    ];
    let found: Vec<String> =
        barred.iter().filter(|name| core.contains(**name)).map(|name| (*name).to_owned()).collect();
    check_none("packages that have no place under the core", &found);
    // The DXF library brings the picture library, without one format, for its thumbnails; nothing else may.
    if core.contains("image") {
        let users = tree("platewright-core", Some("image"));
        assert_eq!(users, ["dxf", "image"].map(str::to_owned).into(), "who brings the picture library");
    }
}

#[test]
fn synthetic_photos_share_nothing_with_the_core() {
    let synth = tree("platewright-synth", None);
    assert!(synth.contains("platewright-synth"), "the tree was read");
    assert!(!synth.contains("platewright-core"), "an oracle that uses what it judges is none");
}

#[test]
fn colours_are_made_in_the_theme_alone() {
    let makers = ["Color32::from_", "Rgba::from_", "Hsva::new", "hex_color!", "ecolor::Hsva"];
    let found = places(&sources("crates/app/src"), "crates/app/src/theme", |line| {
        makers.iter().any(|maker| line.contains(maker))
    });
    check_none("colours made outside the theme", &found);
}

#[test]
fn files_are_opened_and_written_in_one_place() {
    let openers = ["std::fs", "fs::read", "fs::write", "File::open", "File::create", "OpenOptions"];
    let found = places(&sources("crates/app/src"), "crates/app/src/files", |line| {
        openers.iter().any(|opener| line.contains(opener))
    });
    check_none("files opened or written outside the files module", &found);
}

/// Lines of `sources`, except those under `home`, that `is_found` picks out.
fn places(sources: &[Source], home: &str, is_found: impl Fn(&str) -> bool) -> Vec<String> {
    let strangers = sources.iter().filter(|source| !source.is_under(home));
    let lines = strangers.flat_map(|source| source.lines().map(move |(number, line)| (source, number, line)));
    lines
        .filter(|(_, _, line)| !line.trim_start().starts_with("//") && is_found(line))
        .map(|(source, number, line)| format!("{}:{number}: {}", source.path, line.trim()))
        .collect()
}

#[test]
fn the_screen_speaks_the_workshops_words() {
    let never = ["residual", "sigma", "covariance", "redundancy"];
    let manners = ["sorry", "please", "oops", "successfully"];
    let mut found = Vec::new();
    for source in sources("crates") {
        // Keys of files and of `--json` are for programs.
        let is_for_reading = !source.path.ends_with("solve_json.rs") && !source.is_under("crates/synth");
        for (number, line) in source.lines().filter(|_| is_for_reading) {
            for literal in literals(line).map(str::to_lowercase) {
                let is_sentence = literal.contains(' ');
                let is_science = is_sentence
                    && literal.split(|c: char| !c.is_alphabetic() && c != '_').any(|word| never.contains(&word));
                if is_science || manners.iter().any(|word| literal.contains(word)) {
                    found.push(format!("{}:{number}: {literal}", source.path));
                }
            }
        }
    }
    check_none("words that are not for reading", &found);
}

/// The layers of the core, top first, as DEVELOPERS.md has them.
const LAYERS: [&[&str]; 8] = [
    &["units", "space", "tolerance", "instrument", "standards"],
    &["geom"],
    &["camera", "fit", "fair", "edge", "adjust", "bolt_up"],
    &["job"],
    &["seen"],
    &["outline", "solution"],
    &["check", "caution", "export", "advice"],
    &["paper"],
];

#[test]
fn core_modules_import_from_their_own_layer_and_those_above() {
    let layer = |module: &str| LAYERS.iter().position(|layer| layer.contains(&module));
    let mut found = Vec::new();
    for source in sources("crates/core/src") {
        let inside: PathBuf = Path::new(&source.path).strip_prefix("crates/core/src").unwrap().to_path_buf();
        let own = inside.iter().next().unwrap().to_str().unwrap().trim_end_matches(".rs");
        if own == "lib" {
            continue;
        }
        let own_layer = layer(own).unwrap_or_else(|| panic!("{own} is in a layer"));
        for (number, line) in source.lines().filter(|(_, line)| !line.trim_start().starts_with("//")) {
            let named = line.split("crate::").skip(1);
            let named = named.map(|rest| rest.split(|c: char| !c.is_alphanumeric() && c != '_').next().unwrap());
            for module in named {
                if layer(module).is_some_and(|layer| layer > own_layer) {
                    found.push(format!("{}:{number}: {own} imports {module}", source.path));
                }
            }
        }
    }
    check_none("imports from a layer below", &found);
}
